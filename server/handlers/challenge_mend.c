/* SPDX-License-Identifier: MIT
 * Mending what was set: other dates, cancelled, set again, for one's own classes.
 *
 * Threat: a challenge may be set to classes of several teachers, and the body names classes. The
 * scope lets in whoever teaches one of them; each class named is asked for here, and by the store
 * again. Nothing is changed for one class when another one's dates do not fit. */
#include "challenge_internal.h"

#include <string.h>

#include "auth/scope.h"
#include "base/clock.h"
#include "base/mem.h"
#include "base/text.h"
#include "handlers/handlers.h"
#include "store/challenge_changes.h"

enum { YEARS_AHEAD_S = 2 * 366 * 86400 };

/* Dates --------------------------------------------------------------------------------------- */

/* "due_on" (a day) or "due_at" (an instant); `late`: the day's last second stands for it. */
static void read_time(struct reader *r, const char *name, bool late, bool *has, int64_t *out)
{
    const char *on = mem_printf(r->rq->mem, "%s_on", name);
    const char *at = mem_printf(r->rq->mem, "%s_at", name);
    int32_t day = 0;
    bool has_day = false;
    reader_day(r, on, &has_day, &day);
    reader_at(r, at, has, out);
    if (has_day && *has) {
        reader_blame(r, at, "twice");
    }
    if (has_day) {
        *has = true;
        *out = late ? clock_day_end(day) : clock_day_start(day);
    }
}

void times_read(struct reader *r, struct times *t)
{
    read_time(r, "opens", false, &t->opens, &t->opens_at);
    read_time(r, "due", true, &t->due, &t->due_at);
    read_time(r, "closes", true, &t->closes, &t->closes_at);
}

static void blame_time(struct reader *r, const char *name, const char *code)
{
    const char *at = mem_printf(r->rq->mem, "%s_at", name);
    reader_blame(r, reader_has(r, at) ? at : mem_printf(r->rq->mem, "%s_on", name), code);
}

void times_check(struct reader *r, const struct times *t)
{
    if (r->err != OK) {
        return;
    }
    if (t->opens_at >= t->due_at) {
        blame_time(r, t->opens && !t->due ? "opens" : "due", "wrong_order");
    } else if (t->due_at > t->closes_at) {
        blame_time(r, "closes", "wrong_order");
    } else if (t->closes_at > r->rq->now + YEARS_AHEAD_S) {
        blame_time(r, "closes", "out_of_range");
    } else if (t->due_at < r->rq->now - YEARS_AHEAD_S) {
        blame_time(r, "due", "out_of_range");
    }
}

/* Classes ------------------------------------------------------------------------------------- */

static bool class_named(const struct class_id *ids, size_t n, int64_t id)
{
    for (size_t i = 0; i < n; i++) {
        if (ids[i].v == id) {
            return true;
        }
    }
    return false;
}

void classes_read(struct reader *r, class_may *may, const void *of, struct class_id *ids, size_t *n)
{
    const json_t *list = reader_list(r, "classes", SET_CLASSES);
    if (r->err == OK && json_array_size(list) == 0) {
        reader_blame(r, "classes", "required");
    }
    for (size_t i = 0; i < json_array_size(list); i++) {
        const char *s = json_string_value(json_array_get(list, i));
        const char *key = mem_printf(r->rq->mem, "classes/%zu", i);
        int64_t id = 0;
        if (!s || !text_id(s, &id)) {
            reader_blame(r, key, "not_an_id");
        } else if (class_named(ids, *n, id)) {
            reader_blame(r, key, "duplicate");
        } else if (!may(r->rq, of, id)) {
            reader_blame(r, key, "not_found");
        } else {
            ids[(*n)++].v = id;
        }
    }
}

static bool is_own(struct request *rq, int64_t id)
{
    return (rights_on_class(rq, id) & (ALLOW_TEACH | ALLOW_PE_LEAD)) != 0;
}

static bool is_own_of(struct request *rq, const void *challenge, int64_t id)
{
    return challenge_has_class(challenge, (struct class_id){id}) && is_own(rq, id);
}

struct mend {
    const struct challenge *challenge;
    struct class_id *ids;
    size_t count;
    bool has_cancelled, cancelled;
};

/* Those named; without a list, all of the challenge that are one's own. */
static void read_classes(struct reader *r, struct mend *m)
{
    m->ids = mem_array(r->rq->mem, struct class_id, SET_CLASSES);
    if (reader_has(r, "classes")) {
        classes_read(r, is_own_of, m->challenge, m->ids, &m->count);
        return;
    }
    for (size_t i = 0; i < m->challenge->class_count && m->count < SET_CLASSES; i++) {
        if (is_own(r->rq, m->challenge->classes[i].id.v)) {
            m->ids[m->count++] = m->challenge->classes[i].id;
        }
    }
}

/* Mending ------------------------------------------------------------------------------------- */

/* The dates for one class: what was given in place of what it has. */
static struct times for_class(const struct times *given, const struct challenge_class *k)
{
    struct times t = *given;
    t.opens_at = t.opens ? t.opens_at : k->opens_at;
    t.due_at = t.due ? t.due_at : k->due_at;
    t.closes_at = t.closes ? t.closes_at : k->closes_at;
    if (t.due && !t.closes && t.closes_at < t.due_at) {
        t.closes_at = t.due_at;         /* a later due day never needs a second field */
    }
    return t;
}

static void check_class(struct reader *r, const struct mend *m, const struct times *t,
                        const struct challenge_class *k)
{
    bool dates = t->opens || t->due || t->closes;
    times_check(r, t);
    if (r->err != OK) {
        return;
    }
    bool again = k->cancelled_at && m->has_cancelled && !m->cancelled;
    if (dates && k->cancelled_at && !m->has_cancelled) {
        reader_blame(r, "cancelled", "set_again_first");
    } else if (again && t->closes_at < r->rq->now) {
        blame_time(r, "closes", "in_past");
    }
}

static void read_mend(struct reader *r, struct mend *m, struct times *given)
{
    static const char *const names[] = {"classes", "opens_on", "opens_at", "due_on", "due_at",
                                        "closes_on", "closes_at", "cancelled", NULL};
    reader_known(r, names);
    read_classes(r, m);
    times_read(r, given);
    m->has_cancelled = reader_has(r, "cancelled");
    reader_bool(r, "cancelled", &m->cancelled);
    bool dates = given->opens || given->due || given->closes;
    if (r->err == OK && !dates && !m->has_cancelled) {
        reader_blame(r, "due_on", "required");
    } else if (r->err == OK && dates && m->cancelled) {
        reader_blame(r, "cancelled", "with_dates");
    }
}

static enum err mend_class(struct request *rq, const struct mend *m, const struct times *given,
                           const struct challenge_class *k)
{
    const struct times t = for_class(given, k);
    const struct challenge_change n = {
        .challenge = m->challenge->id, .cls = k->id, .by = rq->who.staff, .now = rq->now,
        .dates = {t.opens_at, t.due_at, t.closes_at},
        .cancelled = m->has_cancelled ? m->cancelled : k->cancelled_at != 0,
    };
    return challenge_change(rq->store, &n);
}

enum err h_challenge_put(struct request *rq, struct reply *rp)
{
    struct challenge c;
    struct reader r = reader_body(rq);
    struct times given = {0};
    struct mend m = {.challenge = &c};
    enum err e = challenge_get(rq->mem, rq->store, (struct challenge_id){rq->args[0].id}, &c);
    if (e != OK) {
        return e;
    }
    read_mend(&r, &m, &given);
    for (size_t i = 0; r.err == OK && i < m.count; i++) {
        const struct challenge_class *k = challenge_class_of(&c, m.ids[i]);
        const struct times t = for_class(&given, k);
        check_class(&r, &m, &t, k);
    }
    e = r.err;
    for (size_t i = 0; e == OK && i < m.count; i++) {
        e = mend_class(rq, &m, &given, challenge_class_of(&c, m.ids[i]));
    }
    return e == OK ? challenge_answer(rq, rp, 200, c.id) : e;
}
