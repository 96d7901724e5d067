/* SPDX-License-Identifier: MIT
 * Changes by which somebody would come to read children's messages, or to accept such a change:
 * seen by office and safeguarding, accepted or declined by a second of them.
 *
 * The rule itself is the store's (store/changes.h); here it is asked for, with a word for each
 * refusal. A right that waits was given elsewhere (staff.c, shares.c); asking again is for one that
 * lapsed, and for messages from before a right.
 * Threats: one person who acts twice. Hence no acceptance by who asked, by whom it concerns, by an
 * account whose own right or passphrase no second person agreed to, and none for an account whose
 * passphrase the office still knows. */
#include "handlers/handlers.h"

#include <string.h>

#include "base/clock.h"
#include "people_internal.h"

enum err people_ask_change(struct request *rq, enum change_kind kind, struct staff_id of,
                           struct class_id in, enum change_asked *out)
{
    const struct change_ask ask = {.kind = kind, .of = of, .in = in, .by = rq->who.staff,
                                   .now = rq->now};
    enum change_asked asked = CHANGE_NOT_NEEDED;
    enum err e = change_ask(rq->store, &ask, &asked);
    if (out) {
        *out = asked;
    }
    if (e != OK || asked == CHANGE_NOT_NEEDED) {
        return e;
    }
    const char *action = asked == CHANGE_WAITS ? "change asked" : "change made alone";
    return people_audit(rq, action, "staff", of.v, change_kind_word(kind));
}

/* Showing -------------------------------------------------------------------------------------- */

static const char *const state_words[] = {
    [CHANGE_WAITING] = "waiting", [CHANGE_LAPSED] = "lapsed", [CHANGE_ACCEPTED] = "accepted",
    [CHANGE_DECLINED] = "declined", [CHANGE_WITHDRAWN] = "withdrawn",
    [CHANGE_BY_MACHINE] = "machine",
};

static json_t *named(int64_t id, const char *name)
{
    if (!id) {
        return json_null();
    }
    json_t *o = json_object();
    json_put(&o, "id", json_id(id));
    json_put(&o, "name", json_string(name ? name : ""));
    return o;
}

static json_t *day_at(int64_t at)
{
    return json_day_or_null(at != 0, at != 0 ? clock_day(at) : 0);
}

json_t *change_json(const struct change_row *c)
{
    json_t *o = json_object();
    json_put(&o, "id", json_id(c->id));
    json_put(&o, "kind", json_string(change_kind_word(c->kind)));
    json_put(&o, "state", json_string(state_words[c->state]));
    json_put(&o, "of", named(c->of.v, c->of_name));
    json_put(&o, "class", named(c->in.v, c->class_name));
    json_put(&o, "until", json_day_or_null(c->has_until, c->until_day));
    json_put(&o, "asked_by", named(c->by.v, c->by_name));
    json_put(&o, "asked_on", day_at(c->asked_at));
    json_put(&o, "lapses_on", day_at(c->lapses_at));
    json_put(&o, "decided_by", named(c->decided_by.v, c->decided_name));
    json_put(&o, "decided_on", day_at(c->decided_at));
    json_put(&o, "older", json_boolean(c->older));
    return o;
}

enum err changes_for_session(struct request *rq, const struct who *who, json_t *to)
{
    struct change_row *rows;
    size_t n;
    json_int_t waiting = 0;
    json_t *list = json_array();
    enum err e = changes_list(rq->store, rq->mem, rq->now, &rows, &n);
    for (size_t i = 0; e == OK && i < n; i++) {
        const struct change_row *c = &rows[i];
        bool mine = c->of.v == who->staff.v;
        if (mine || c->state == CHANGE_BY_MACHINE || (who->rights & ALLOW_SAFEGUARDING)) {
            json_add(&list, change_json(c));
        }
        waiting += c->state == CHANGE_WAITING && !mine && c->by.v != who->staff.v &&
                   (who->rights & (ALLOW_OFFICE | ALLOW_SAFEGUARDING));
    }
    int bad = json_object_set_new(to, "changes", list);
    bad |= json_object_set_new(to, "to_accept", json_integer(waiting));
    return e == OK && bad ? ERR_INTERNAL : e;
}

/* With who may accept it and why this person may not, while it waits. */
static enum err row_json(struct request *rq, const struct change_row *c, json_t **out)
{
    struct change_person *who = NULL;
    size_t n = 0;
    const char *code = NULL;
    enum err e = OK;
    if (c->state == CHANGE_WAITING) {
        e = change_refusal(rq->store, c, rq->who.staff, &code);
    }
    if (e == OK && c->state == CHANGE_WAITING) {
        e = change_second_persons(rq->store, rq->mem, c, &who, &n);
    }
    if (e != OK) {
        return e;
    }
    json_t *names = json_array();
    for (size_t i = 0; i < n; i++) {
        json_add(&names, named(who[i].id.v, who[i].name));
    }
    *out = change_json(c);
    json_put(out, "refusal", code ? json_string(code) : json_null());
    json_put(out, "second_persons", names);
    return OK;
}

static json_t *holder_json(const struct change_holder *h)
{
    json_t *o = json_object();
    json_put(&o, "staff", named(h->staff.v, h->name));
    json_put(&o, "right", json_string(change_kind_word(h->right)));
    json_put(&o, "class", named(h->in.v, h->class_name));
    json_put(&o, "agreed", json_boolean(h->agreed));
    json_put(&o, "sure", json_boolean(h->sure));
    json_put(&o, "since", day_at(h->agreed ? h->agreed_at : 0));
    json_put(&o, "opened_on", day_at(h->opened_at));
    return o;
}

enum err h_pending_changes_get(struct request *rq, struct reply *rp)
{
    struct change_row *rows;
    struct change_holder *holders;
    size_t n = 0, holder_count;
    json_t *list = json_array(), *readers = json_array(), *o = json_object();
    enum err e = changes_list(rq->store, rq->mem, rq->now, &rows, &n);
    for (size_t i = 0; e == OK && i < n; i++) {
        json_t *row = NULL;
        e = row_json(rq, &rows[i], &row);
        if (e == OK) {
            json_add(&list, row);
        }
    }
    if (e == OK) {
        e = change_holders(rq->store, rq->mem, clock_day(rq->now), &holders, &holder_count);
    }
    for (size_t i = 0; e == OK && i < holder_count; i++) {
        json_add(&readers, holder_json(&holders[i]));
    }
    json_put(&o, "changes", list);
    json_put(&o, "holders", readers);
    if (e != OK) {
        json_decref(o);
        return e;
    }
    return reply_json(rq, rp, 200, o);
}

/* Asking again --------------------------------------------------------------------------------- */

static enum err conflict(struct request *rq, const char *pointer, const char *code)
{
    enum err blamed = request_blame(rq, pointer, code, NULL);
    return blamed == ERR_BAD_INPUT ? ERR_CONFLICT : blamed;
}

static enum err read_ask(struct request *rq, struct change_ask *a)
{
    static const char *const allowed[] = {"kind", "staff", "class", NULL};
    static const char *const kinds[] = {"office", "teach", "reset", "older", NULL};
    json_t *in = json_object_get(rq->json, "class");
    const char *word = NULL;
    enum err e = field_known(rq, rq->json, "", allowed);
    if (e == OK) {
        e = field_word(rq, json_object_get(rq->json, "kind"), "/kind", kinds, &word);
    }
    if (e == OK) {
        e = field_id(rq, json_object_get(rq->json, "staff"), "/staff", &a->of.v);
    }
    if (e == OK && in && !json_is_null(in)) {
        e = field_id(rq, in, "/class", &a->in.v);
    }
    if (e == OK && !change_kind_parse(word, &a->kind)) {
        e = ERR_INTERNAL;
    }
    bool takes = a->kind == CHANGE_TEACH || a->kind == CHANGE_OLDER;
    if (e == OK && a->in.v != 0 && !takes) {
        e = request_blame(rq, "/class", "not_of_this_kind", NULL);
    }
    return e == OK && a->kind == CHANGE_TEACH && a->in.v == 0
               ? request_blame(rq, "/class", "required", NULL) : e;
}

enum err h_pending_changes_post(struct request *rq, struct reply *rp)
{
    struct change_ask a = {.kind = CHANGE_KINDS};
    struct staff_row member;
    enum change_asked asked = CHANGE_NOT_NEEDED;
    enum err e = read_ask(rq, &a);
    if (e == OK) {
        e = staff_get(rq->store, rq->mem, a.of, &member);
        e = e == ERR_NOT_FOUND ? request_blame(rq, "/staff", "not_found", NULL) : e;
    }
    /* an account that two persons agreed to is not made unsure by asking */
    if (e == OK && (a.kind != CHANGE_RESET || !member.sure)) {
        e = people_ask_change(rq, a.kind, a.of, a.in, &asked);
    }
    if (e == OK && asked == CHANGE_NOT_NEEDED) {
        e = conflict(rq, "", "nothing_to_accept");
    }
    return e == OK ? h_pending_changes_get(rq, rp) : e;
}

/* Deciding ------------------------------------------------------------------------------------- */

/* What is kept and shown must be so: a passphrase or `office` opens no message from before. */
static enum err read_older(struct request *rq, enum change_kind kind, bool *out)
{
    json_t *older = json_object_get(rq->json, "older");
    bool opens = kind == CHANGE_SAFEGUARDING || kind == CHANGE_TEACH || kind == CHANGE_OLDER;
    enum err e = older ? field_bool(rq, older, "/older", out) : OK;
    return e == OK && *out && !opens ? request_blame(rq, "/older", "not_of_this_kind", NULL) : e;
}

enum err h_change_acceptance_post(struct request *rq, struct reply *rp)
{
    static const char *const allowed[] = {"older", NULL};
    struct change_decision d = {.by = rq->who.staff, .now = rq->now};
    struct change_row c;
    const char *code = NULL;
    enum err e = change_get(rq->store, rq->mem, rq->args[0].id, rq->now, &c);
    if (e == OK) {
        e = field_known(rq, rq->json, "", allowed);
    }
    if (e == OK) {
        e = read_older(rq, c.kind, &d.older);
    }
    if (e == OK) {
        e = change_refusal(rq->store, &c, rq->who.staff, &code);
    }
    if (e == OK && code) {
        e = conflict(rq, "", code);
    }
    if (e == OK) {
        e = change_accept(rq->store, &c, &d);
    }
    if (e == OK) {
        e = people_audit(rq, d.older ? "change accepted, older too" : "change accepted", "staff",
                         c.of.v, change_kind_word(c.kind));
    }
    return e == OK ? h_pending_changes_get(rq, rp) : e;
}

enum err h_change_delete(struct request *rq, struct reply *rp)
{
    const struct change_decision d = {.by = rq->who.staff, .now = rq->now};
    struct change_row c;
    const char *code = NULL;
    enum err e = change_get(rq->store, rq->mem, rq->args[0].id, rq->now, &c);
    if (e == OK) {
        e = change_refusal(rq->store, &c, rq->who.staff, &code);
    }
    if (e == OK && code && (strcmp(code, "over") == 0 || strcmp(code, "not_agreed") == 0)) {
        e = conflict(rq, "", code);
    }
    if (e == OK) {
        e = change_decline(rq->store, &c, &d);
    }
    if (e == OK) {
        e = people_audit(rq, c.by.v == d.by.v ? "change withdrawn" : "change declined", "staff",
                         c.of.v, change_kind_word(c.kind));
    }
    if (e == OK) {
        reply_no_content(rp);
    }
    return e;
}
