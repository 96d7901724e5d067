/* SPDX-License-Identifier: MIT
 * One right of one member of staff on one class: given, changed, taken away; with a last day or
 * without. A right with a last day ends by itself (see store/classes.c); what is taken away or
 * made smaller ends the person's sessions, so that no page of before stays open.
 * Messages of the class are read only once a second person has agreed (store/changes.h).
 * Threat: a supply teacher who keeps the class by oversight. A last day in the past is refused
 * instead of stored as a right that never held. */
#include "handlers/handlers.h"

#include "base/clock.h"
#include "people_internal.h"
#include "store/sessions.h"

struct share {
    struct class_id in;
    struct staff_id of;
    enum class_right right;
    bool has_until;
    int32_t until;
};

static enum err read_share(struct request *rq, struct share *s)
{
    static const char *const allowed[] = {"right", "until", NULL};
    static const char *const words[] = {"teach", "help", "read", "none", NULL};
    json_t *until = json_object_get(rq->json, "until");
    const char *word = NULL;
    enum err e = field_known(rq, rq->json, "", allowed);
    if (e == OK) {
        e = field_word(rq, json_object_get(rq->json, "right"), "/right", words, &word);
    }
    s->right = CLASS_NONE;
    if (e == OK && word != words[3] && !class_right_parse(word, &s->right)) {
        e = ERR_INTERNAL;
    }
    s->has_until = until && !json_is_null(until);
    if (e == OK && s->has_until) {
        e = field_day(rq, until, "/until", &s->until);
    }
    if (e == OK && s->has_until && s->until < clock_day(rq->now)) {
        e = request_blame(rq, "/until", "in_past", NULL);
    }
    return e;
}

/* Does the person hold something today that `s` does not leave? */
static enum err lost(struct request *rq, const struct share *s, bool *out)
{
    struct class_staff *rows;
    size_t n;
    enum err e = class_staff_list(rq->store, rq->mem, s->in, clock_day(rq->now), &rows, &n);
    *out = false;
    for (size_t i = 0; e == OK && i < n; i++) {
        const struct class_staff *old = &rows[i];
        if (old->id.v == s->of.v) {
            bool same = s->right == old->right || s->right == CLASS_TEACH;
            bool as_long = !s->has_until || (old->has_until && s->until >= old->until_day);
            *out = !same || !as_long;
        }
    }
    return e;
}

enum err h_class_staff_put(struct request *rq, struct reply *rp)
{
    struct share s = {.in = {rq->args[0].id}, .of = {rq->args[1].id}};
    struct staff_row member;
    bool less = false;
    enum err e = staff_get(rq->store, rq->mem, s.of, &member);
    if (e == OK) {
        e = read_share(rq, &s);
    }
    if (e == OK) {
        e = lost(rq, &s, &less);
    }
    if (e == OK) {
        e = class_right_put(rq->store, s.in, s.of, s.right, s.has_until ? &s.until : NULL);
    }
    if (e == OK && s.right == CLASS_TEACH) {
        e = people_ask_change(rq, CHANGE_TEACH, s.of, s.in, NULL);
    }
    if (e == OK) {
        e = changes_tidy(rq->store, s.of, rq->who.staff, rq->now);
    }
    if (e == OK && less) {
        e = sessions_end_staff(rq->store, s.of, (struct session_id){0});
    }
    const char *word = class_right_word(s.right);
    if (e == OK) {
        e = people_audit(rq, word ? "right given" : "right taken away", "class", s.in.v,
                         word ? word : "");
    }
    if (e == OK) {
        e = people_audit(rq, "rights on classes changed", "staff", s.of.v, "");
    }
    return e == OK ? h_class_get(rq, rp) : e;
}
