/* SPDX-License-Identifier: MIT
 * Accounts of staff and what they may do.
 *
 * A passphrase is drawn here, shown once, and has to be changed at the first sign-in; only its hash
 * is stored, made on a hashing thread before the writer's turn. Rights that shrink end the
 * account's sessions in the same transaction.
 * Invariants: the last account that holds `office` keeps it and stays enabled (409 last_office).
 * What would open children's messages, or make somebody who may accept that, waits for a second
 * person (store/changes.h): `safeguarding` is not held before; `teach` and `office` work at once,
 * without messages and without accepting; so does an account whose passphrase was issued anew or
 * that was let in again.
 * Threats: an office account that lets itself read children's messages, a school locked out of its
 * own staff page, rights left behind after a change. */
#include "handlers/handlers.h"

#include <string.h>

#include "auth/auth.h"
#include "auth/passphrase.h"
#include "base/clock.h"
#include "base/mem.h"
#include "base/rand.h"
#include "base/text.h"
#include "people_internal.h"
#include "store/sessions.h"
#include "store/staff.h"

enum { STAFF_CLASSES = 100, STAFF_NAME = 60 };

/* What a body asks for; has_* false: leave as it is. */
struct staff_wish {
    const char *name;
    bool has_rights, has_classes, has_disabled, disabled;
    unsigned rights;
    struct staff_class_row *classes;
    size_t class_count;
    char passphrase[PASSPHRASE_WORDS];
    char hash[PASSPHRASE_HASH];
};

/* Reading -------------------------------------------------------------------------------------- */

static enum err read_rights(struct request *rq, json_t *v, struct staff_wish *w)
{
    static const char *const words[] = {"pe_lead", "safeguarding", "office", NULL};
    enum err e = field_array(rq, v, "/rights", 3);
    w->has_rights = true;
    for (size_t i = 0; e == OK && i < json_array_size(v); i++) {
        const char *word = NULL;
        e = field_word(rq, json_array_get(v, i), mem_printf(rq->mem, "/rights/%zu", i), words,
                       &word);
        w->rights |= word ? right_bit(word) : 0;
    }
    return e;
}

static enum err read_class(struct request *rq, json_t *v, const char *at,
                           struct staff_class_row *out)
{
    static const char *const allowed[] = {"class", "right", "until", NULL};
    static const char *const words[] = {"teach", "help", "read", NULL};
    enum err e = field_known(rq, v, at, allowed);
    const char *word = NULL;
    if (e == OK) {
        e = field_id(rq, json_object_get(v, "class"), mem_printf(rq->mem, "%s/class", at),
                     &out->class_id.v);
    }
    if (e == OK) {
        e = field_word(rq, json_object_get(v, "right"), mem_printf(rq->mem, "%s/right", at), words,
                       &word);
    }
    json_t *until = json_object_get(v, "until");
    out->has_until = until && !json_is_null(until);
    if (e == OK && out->has_until) {
        e = field_day(rq, until, mem_printf(rq->mem, "%s/until", at), &out->until_day);
    }
    out->right = e == OK ? right_bit(word) : 0;
    return e;
}

static enum err read_classes(struct request *rq, json_t *v, struct staff_wish *w)
{
    enum err e = field_array(rq, v, "/classes", STAFF_CLASSES);
    if (e != OK) {
        return e;
    }
    w->has_classes = true;
    w->class_count = json_array_size(v);
    w->classes = mem_array(rq->mem, struct staff_class_row, w->class_count);
    for (size_t i = 0; e == OK && i < w->class_count; i++) {
        const char *at = mem_printf(rq->mem, "/classes/%zu", i);
        e = read_class(rq, json_array_get(v, i), at, &w->classes[i]);
        struct class_row row;
        if (e == OK) {
            e = class_get(rq->store, rq->mem, w->classes[i].class_id, clock_day(rq->now), &row);
        }
        if (e == ERR_NOT_FOUND) {
            e = request_blame(rq, mem_printf(rq->mem, "%s/class", at), "not_found", NULL);
        }
        for (size_t j = 0; e == OK && j < i; j++) {
            if (w->classes[j].class_id.v == w->classes[i].class_id.v) {
                e = request_blame(rq, at, "duplicate", NULL);
            }
        }
    }
    return e;
}

static enum err read_wish(struct request *rq, bool with_name, struct staff_wish *w)
{
    static const char *const making[] = {"name", "rights", "classes", NULL};
    static const char *const changing[] = {"rights", "classes", "disabled", NULL};
    json_t *rights = json_object_get(rq->json, "rights");
    json_t *classes = json_object_get(rq->json, "classes");
    json_t *disabled = json_object_get(rq->json, "disabled");
    enum err e = field_known(rq, rq->json, "", with_name ? making : changing);
    if (e == OK && with_name) {
        e = field_name(rq, json_object_get(rq->json, "name"), "/name", STAFF_NAME, &w->name);
    }
    if (e == OK && rights) {
        e = read_rights(rq, rights, w);
    }
    if (e == OK && classes) {
        e = read_classes(rq, classes, w);
    }
    if (e == OK && disabled) {
        w->has_disabled = true;
        e = field_bool(rq, disabled, "/disabled", &w->disabled);
    }
    return e;
}

/* Showing -------------------------------------------------------------------------------------- */

static json_t *rights_json(unsigned rights)
{
    static const unsigned bits[] = {ALLOW_PE_LEAD, ALLOW_SAFEGUARDING, ALLOW_OFFICE};
    json_t *a = json_array();
    for (size_t i = 0; i < 3; i++) {
        if (rights & bits[i]) {
            json_add(&a, json_string(right_word(bits[i])));
        }
    }
    return a;
}

static json_t *class_json(const struct staff_class_row *c, int32_t today)
{
    json_t *o = json_object();
    json_put(&o, "id", json_id(c->class_id.v));
    json_put(&o, "name", json_string(c->class_name));
    json_put(&o, "right", json_string(right_word(c->right)));
    json_put(&o, "until", json_day_or_null(c->has_until, c->until_day));
    json_put(&o, "over", json_boolean(c->has_until && c->until_day < today));
    json_put(&o, "reads", json_boolean(c->reads));
    return o;
}

static enum err staff_json(struct request *rq, const struct staff_row *s, json_t **out)
{
    struct staff_class_row *rows;
    size_t n;
    const struct staff_classes_want all = {.id = s->id, .today = clock_day(rq->now), .ever = true};
    enum err e = staff_classes(rq->store, rq->mem, &all, &rows, &n);
    if (e != OK) {
        return e;
    }
    json_t *classes = json_array();
    for (size_t i = 0; i < n; i++) {
        json_add(&classes, class_json(&rows[i], clock_day(rq->now)));
    }
    json_t *o = json_object();
    json_put(&o, "id", json_id(s->id.v));
    json_put(&o, "name", json_string(s->name));
    json_put(&o, "rights", rights_json(s->rights));
    json_put(&o, "classes", classes);
    json_put(&o, "disabled", json_boolean(s->disabled));
    json_put(&o, "must_change", json_boolean(s->must_change));
    json_put(&o, "reads_all", json_boolean(s->reads_all));
    json_put(&o, "unagreed", json_boolean(!s->sure));
    *out = o;
    return o ? OK : ERR_INTERNAL;
}

/* {"staff":{..}} and, when there is one, the passphrase shown once. */
static enum err reply_staff(struct request *rq, struct reply *rp, int status, struct staff_id id,
                            const char *passphrase)
{
    struct staff_row row;
    json_t *member = NULL;
    enum err e = staff_get(rq->store, rq->mem, id, &row);
    if (e == OK) {
        e = staff_json(rq, &row, &member);
    }
    if (e != OK) {
        return e;
    }
    json_t *o = json_object();
    json_put(&o, "staff", member);
    if (passphrase) {
        json_put(&o, "passphrase", json_string(passphrase));
    }
    return reply_json(rq, rp, status, o);
}

enum err h_staff_get(struct request *rq, struct reply *rp)
{
    struct staff_row *rows;
    size_t n;
    enum err e = staff_list(rq->store, rq->mem, &rows, &n);
    json_t *list = json_array();
    for (size_t i = 0; e == OK && i < n; i++) {
        json_t *member = NULL;
        e = staff_json(rq, &rows[i], &member);
        json_add(&list, member);
    }
    if (e != OK) {
        json_decref(list);
        return e;
    }
    json_t *o = json_object();
    json_put(&o, "staff", list);
    return reply_json(rq, rp, 200, o);
}

/* Rules ---------------------------------------------------------------------------------------- */

static enum err conflict(struct request *rq, const char *pointer, const char *code)
{
    enum err blamed = request_blame(rq, pointer, code, NULL);
    return blamed == ERR_BAD_INPUT ? ERR_CONFLICT : blamed;
}

static enum err keeps_an_office(struct request *rq, const struct staff_row *old,
                                const struct staff_wish *w)
{
    bool loses = (w->has_rights && !(w->rights & ALLOW_OFFICE)) || (w->has_disabled && w->disabled);
    if (old->disabled || !(old->rights & ALLOW_OFFICE) || !loses) {
        return OK;
    }
    int64_t live, office;
    enum err e = staff_counts(rq->store, &live, &office);
    if (e == OK && office <= 1) {
        e = conflict(rq, w->has_rights ? "/rights" : "/disabled", "last_office");
    }
    return e;
}

/* Is any right on a class gone or other? (read and help see different things: a change is one.) */
static bool classes_shrink(const struct staff_class_row *old, size_t n, const struct staff_wish *w)
{
    for (size_t i = 0; i < n; i++) {
        bool kept = false;
        for (size_t j = 0; j < w->class_count && !kept; j++) {
            const struct staff_class_row *c = &w->classes[j];
            kept = c->class_id.v == old[i].class_id.v &&
                   (c->right == old[i].right || c->right == ALLOW_TEACH) &&
                   (!c->has_until || (old[i].has_until && c->until_day >= old[i].until_day));
        }
        if (!kept) {
            return true;
        }
    }
    return false;
}

/* Changing ------------------------------------------------------------------------------------- */

static const char *rights_code(struct request *rq, unsigned rights)
{
    const char *code = mem_printf(rq->mem, "%s%s%s", rights & ALLOW_PE_LEAD ? "+pe_lead" : "",
                                  rights & ALLOW_SAFEGUARDING ? "+safeguarding" : "",
                                  rights & ALLOW_OFFICE ? "+office" : "");
    return *code ? code + 1 : "none";
}

static enum err put_classes(struct request *rq, struct staff_id id, const struct staff_wish *w)
{
    enum err e = staff_classes_keep(rq->store, id, w->classes, w->class_count);
    for (size_t i = 0; e == OK && i < w->class_count; i++) {
        const struct staff_class_row *c = &w->classes[i];
        e = staff_class_put(rq->store, id, c);
        if (e == OK) {
            e = people_audit(rq, "right given", "class", c->class_id.v, right_word(c->right));
        }
        if (e == OK && c->right == ALLOW_TEACH) {
            e = people_ask_change(rq, CHANGE_TEACH, id, c->class_id, NULL);
        }
    }
    return e == OK ? people_audit(rq, "rights on classes changed", "staff", id.v, "") : e;
}

/* `safeguarding` that is new waits for a second person and is not put here. */
static enum err put_rights(struct request *rq, struct staff_id id, unsigned held, unsigned wanted)
{
    const struct class_id none = {0};
    unsigned now = wanted & (held | ~(unsigned)ALLOW_SAFEGUARDING);
    const struct change_ask unasked = {.kind = CHANGE_SAFEGUARDING, .of = id,
                                       .by = rq->who.staff, .now = rq->now};
    enum err e = OK;
    if (now != held) {
        e = staff_set_rights(rq->store, id, now);
        e = e == OK ? people_audit(rq, "rights changed", "staff", id.v, rights_code(rq, now)) : e;
    }
    if (e == OK && now != wanted) {
        e = people_ask_change(rq, CHANGE_SAFEGUARDING, id, none, NULL);
    } else if (e == OK && !(wanted & ALLOW_SAFEGUARDING)) {
        e = change_withdraw_safeguarding(rq->store, &unasked);
    }
    if (e == OK && (now & ~held & ALLOW_OFFICE)) {
        e = people_ask_change(rq, CHANGE_OFFICE, id, none, NULL);
    }
    return e;
}

static enum err put_disabled(struct request *rq, struct staff_id id, bool disabled)
{
    const struct class_id none = {0};
    enum err e = staff_set_disabled(rq->store, id, disabled, rq->now);
    if (e == OK) {
        e = people_audit(rq, disabled ? "staff disabled" : "staff enabled", "staff", id.v, "");
    }
    return e == OK && !disabled ? people_ask_change(rq, CHANGE_ENABLED, id, none, NULL) : e;
}

enum err h_staff_post_parse(struct request *rq, struct reply *rp)
{
    (void)rp;
    struct staff_wish *w = mem_new(rq->mem, struct staff_wish);
    enum err e = read_wish(rq, true, w);
    passphrase_words(w->passphrase);
    rq->input = w;
    rq->slow = e == OK;
    return e;
}

enum err h_staff_post_slow(struct request *rq, struct reply *rp)
{
    (void)rp;
    struct staff_wish *w = rq->input;
    return passphrase_hash(w->passphrase, strlen(w->passphrase), w->hash);
}

enum err h_staff_post(struct request *rq, struct reply *rp)
{
    struct staff_wish *w = rq->input;
    const struct staff_new made = {
        .id = {rand_id()}, .name = w->name, .name_key = text_fold(rq->mem, w->name),
        .hash = w->hash, .must_change = true, .now = rq->now,
    };
    enum err e = staff_put(rq->store, &made);
    if (e == ERR_CONFLICT) {
        return conflict(rq, "/name", "taken");
    }
    if (e == OK) {
        e = people_audit(rq, "staff made", "staff", made.id.v, "");
    }
    if (e == OK) {
        e = put_rights(rq, made.id, 0, w->rights);
    }
    if (e == OK && w->class_count > 0) {
        e = put_classes(rq, made.id, w);
    }
    return e == OK ? reply_staff(rq, rp, 201, made.id, w->passphrase) : e;
}

/* Applies the wish to `old`; *shrinks: sessions have to end. */
static enum err apply_wish(struct request *rq, const struct staff_row *old,
                           const struct staff_wish *w, bool *shrinks)
{
    enum err e = OK;
    if (w->has_rights) {
        *shrinks = *shrinks || (old->rights & ~w->rights) != 0;
        e = put_rights(rq, old->id, old->rights, w->rights);
    }
    if (e == OK && w->has_classes) {
        struct staff_class_row *rows;
        size_t n;
        const struct staff_classes_want held = {.id = old->id, .today = clock_day(rq->now)};
        e = staff_classes(rq->store, rq->mem, &held, &rows, &n);
        *shrinks = *shrinks || (e == OK && classes_shrink(rows, n, w));
        e = e == OK ? put_classes(rq, old->id, w) : e;
    }
    if (e == OK && w->has_disabled && w->disabled != old->disabled) {
        *shrinks = *shrinks || w->disabled;
        e = put_disabled(rq, old->id, w->disabled);
    }
    return e == OK ? changes_tidy(rq->store, old->id, rq->who.staff, rq->now) : e;
}

enum err h_staff_put(struct request *rq, struct reply *rp)
{
    struct staff_wish w = {.name = NULL};
    struct staff_row old;
    struct staff_id id = {rq->args[0].id};
    bool shrinks = false;
    enum err e = staff_get(rq->store, rq->mem, id, &old);
    if (e == OK) {
        e = read_wish(rq, false, &w);
    }
    if (e == OK) {
        e = keeps_an_office(rq, &old, &w);
    }
    if (e == OK) {
        e = apply_wish(rq, &old, &w, &shrinks);
    }
    if (e == OK && shrinks) {
        e = sessions_end_staff(rq->store, id, (struct session_id){0});
    }
    return e == OK ? reply_staff(rq, rp, 200, id, NULL) : e;
}

/* A new passphrase ----------------------------------------------------------------------------- */

enum err h_staff_passphrase_post_parse(struct request *rq, struct reply *rp)
{
    static const char *const nothing[] = {NULL};
    struct staff_row row;
    struct staff_id id = {rq->args[0].id};
    (void)rp;
    struct staff_wish *w = mem_new(rq->mem, struct staff_wish);
    enum err e = field_known(rq, rq->json, "", nothing);
    if (e == OK) {
        e = staff_get(rq->store, rq->mem, id, &row);
    }
    passphrase_words(w->passphrase);
    rq->input = w;
    rq->slow = e == OK;
    return e;
}

enum err h_staff_passphrase_post_slow(struct request *rq, struct reply *rp)
{
    return h_staff_post_slow(rq, rp);
}

enum err h_staff_passphrase_post(struct request *rq, struct reply *rp)
{
    const struct staff_wish *w = rq->input;
    struct staff_id id = {rq->args[0].id};
    enum err e = staff_set_hash(rq->store, id, w->hash, true);
    if (e == OK) {
        e = sessions_end_staff(rq->store, id, (struct session_id){0});
    }
    if (e == OK) {
        e = people_audit(rq, "passphrase issued", "staff", id.v, "");
    }
    enum change_asked asked = CHANGE_NOT_NEEDED;
    if (e == OK) {
        e = people_ask_change(rq, CHANGE_RESET, id, (struct class_id){0}, &asked);
    }
    if (e != OK) {
        return e;
    }
    json_t *o = json_object();
    json_put(&o, "passphrase", json_string(w->passphrase));
    json_put(&o, "waits", json_boolean(asked == CHANGE_WAITS));
    return reply_json(rq, rp, 200, o);
}
