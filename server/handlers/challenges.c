/* SPDX-License-Identifier: MIT
 * Setting challenges, and reading them. How one is mended: challenge_mend.c.
 *
 * A day is turned into instants in the school's time zone: it opens at the first second of a day,
 * is due and closes at the last. Without a closing day it closes with the term. The body names
 * classes, which the routing table cannot see: each is asked for again here, and a class that is
 * not this person's is "not found" like one that is not there. */
#include "handlers/activity_view.h"
#include "handlers/handlers.h"
#include "challenge_internal.h"

#include <string.h>

#include "auth/scope.h"
#include "base/clock.h"
#include "base/mem.h"
#include "base/text.h"
#include "store/challenge_changes.h"
#include "store/classes.h"

static enum err complete_times(struct reader *r, struct times *t)
{
    enum err e = OK;
    if (!t->opens) {
        t->opens_at = clock_day_start(clock_day(r->rq->now));
    }
    if (!t->due && r->err == OK) {
        reader_blame(r, "due_on", "required");
    }
    if (!t->closes && r->err == OK) {
        e = challenge_default_close(r->rq->store, clock_day(t->due_at), &t->closes_at);
    }
    return e;
}

/* Classes ------------------------------------------------------------------------------------- */

static bool may_set(struct request *rq, const void *of, int64_t id)
{
    struct class_row row;
    (void)of;
    return (rights_on_class(rq, id) & (ALLOW_TEACH | ALLOW_PE_LEAD)) &&
           class_get(rq->store, rq->mem, (struct class_id){id}, clock_day(rq->now), &row) == OK &&
           !row.archived;
}

static void read_classes(struct reader *r, struct challenge_new *n)
{
    struct class_id *ids = mem_array(r->rq->mem, struct class_id, SET_CLASSES);
    n->classes = ids;
    classes_read(r, may_set, NULL, ids, &n->class_count);
}

/* Setting ------------------------------------------------------------------------------------- */

static void read_activity(struct reader *r, struct challenge_new *n)
{
    bool archived = false;
    if (!reader_has(r, "activity")) {
        reader_blame(r, "activity", "required");
    }
    reader_id(r, "activity", &n->activity.v);
    if (n->activity.v && activity_is_archived(r->rq->store, n->activity, &archived) != OK) {
        reader_blame(r, "activity", "not_found");
    } else if (archived) {
        reader_blame(r, "activity", "archived");
    }
}

static enum err choose_unit(struct reader *r, struct challenge_new *n)
{
    struct unit u;
    if (!n->unit.v) {
        return unit_default(r->rq->store, clock_day(n->opens_at), r->rq->now, &n->unit);
    }
    enum err e = unit_get(r->rq->mem, r->rq->store, n->unit, &u);
    if (e == ERR_NOT_FOUND || (e == OK && u.archived)) {
        reader_blame(r, "unit", e == OK ? "archived" : "not_found");
        return r->err;
    }
    return e;
}

enum err challenge_answer(struct request *rq, struct reply *rp, int status, struct challenge_id id)
{
    struct challenge c;
    const struct activity *a = NULL;
    enum err e = challenge_get(rq->mem, rq->store, id, &c);
    if (e == OK) {
        e = challenge_count_sent(rq->store, &c);
    }
    if (e == OK) {
        e = activity_load(rq->store, c.revision, &a);
    }
    if (e == OK) {
        struct buf *b = reply_json_buf(rq, rp, status);
        buf_str(b, "{\"challenge\":");
        view_challenge(b, &c, a);
        buf_str(b, "}");
    }
    return e;
}

static enum err read_new(struct request *rq, struct challenge_new *n)
{
    static const char *const names[] = {"activity", "classes", "opens_on", "opens_at", "due_on",
                                        "due_at", "closes_on", "closes_at", "unit", NULL};
    struct reader r = reader_body(rq);
    struct times t = {0};
    reader_known(&r, names);
    read_activity(&r, n);
    read_classes(&r, n);
    reader_id(&r, "unit", &n->unit.v);
    times_read(&r, &t);
    enum err e = complete_times(&r, &t);
    if (e != OK) {
        return e;
    }
    times_check(&r, &t);
    n->opens_at = t.opens_at;
    n->due_at = t.due_at;
    n->closes_at = t.closes_at;
    return r.err == OK ? choose_unit(&r, n) : r.err;
}

enum err h_challenges_post(struct request *rq, struct reply *rp)
{
    struct challenge_new n = {.by = rq->who.staff, .now = rq->now};
    struct challenge_id id = {0};
    enum err e = read_new(rq, &n);
    if (e == OK) {
        e = challenge_create(rq->store, &n, &id);
    }
    return e == OK ? challenge_answer(rq, rp, 201, id) : e;
}

/* Reading ------------------------------------------------------------------------------------- */

/* Every challenge of the classes, each once, newest opening first within a class. */
struct listing {
    struct request *rq;
    struct buf *b;
    int64_t *seen;
    size_t count, cap;
    int64_t closes_from;
    bool whole;                 /* not one class's: dates are those of all its classes */
};

static bool listed(struct listing *l, int64_t id)
{
    for (size_t i = 0; i < l->count; i++) {
        if (l->seen[i] == id) {
            return true;
        }
    }
    mem_grow(l->rq->mem, l->seen, l->count, &l->cap);
    l->seen[l->count++] = id;
    return false;
}

/* Cancelled for the class so long ago that nothing can come for it any more. */
static bool is_gone(const struct listing *l, struct class_id id, const struct challenge *c)
{
    const struct challenge_class *k = challenge_class_of(c, id);
    int32_t last = clock_day(k->cancelled_at) + CHANGE_LATE_DAYS;
    return clock_day(l->rq->now) > last;
}

static enum err list_class(struct listing *l, struct class_id id)
{
    struct challenge_list all;
    enum err e = challenges_of_class(l->rq->mem, l->rq->store, id, l->closes_from, &all);
    for (size_t i = 0; e == OK && i < all.count; i++) {
        const struct activity *a = NULL;
        bool hidden = l->closes_from ? all.rows[i].cancelled || all.rows[i].opens_at > l->rq->now
                                     : all.rows[i].empty && is_gone(l, id, &all.rows[i]);
        if (hidden || listed(l, all.rows[i].id.v)) {
            continue;
        }
        e = activity_load(l->rq->store, all.rows[i].revision, &a);
        if (l->whole) {
            challenge_widen(&all.rows[i]);
        }
        if (e == OK) {
            buf_str(l->b, l->count > 1 ? "," : "");
            view_challenge(l->b, &all.rows[i], a);
        }
    }
    return e;
}

static enum err list_own(struct listing *l)
{
    struct class_row *rows = NULL;
    size_t n = 0;
    struct class_query want = {.staff = l->rq->who.staff,
                               .all = (l->rq->who.rights & ALLOW_PE_LEAD) != 0,
                               .today = clock_day(l->rq->now)};
    enum err e = classes_list(l->rq->store, l->rq->mem, &want, &rows, &n);
    for (size_t i = 0; e == OK && i < n; i++) {
        e = list_class(l, rows[i].id);
    }
    return e;
}

enum err h_challenges_get(struct request *rq, struct reply *rp)
{
    int64_t cls = 0;
    const char *state = request_query(rq, "state");
    enum err e = request_query_id(rq, "class", &cls);
    if (e == OK && state && strcmp(state, "open") != 0 && strcmp(state, "all") != 0) {
        e = request_blame(rq, "/state", "not_a_choice", NULL);
    }
    if (e != OK) {
        return e;
    }
    bool all = state && strcmp(state, "all") == 0;
    struct listing l = {.rq = rq, .b = reply_json_buf(rq, rp, 200),
                        .closes_from = all ? 0 : rq->now, .whole = cls == 0};
    buf_str(l.b, "{\"challenges\":[");
    e = cls ? list_class(&l, (struct class_id){cls}) : list_own(&l);
    buf_str(l.b, "]}");
    return e;
}

enum err h_challenge_get(struct request *rq, struct reply *rp)
{
    struct challenge c;
    const struct activity *a = NULL;
    enum err e = challenge_get(rq->mem, rq->store, (struct challenge_id){rq->args[0].id}, &c);
    if (e == OK) {
        e = challenge_count_sent(rq->store, &c);
    }
    if (e == OK) {
        e = activity_load(rq->store, c.revision, &a);
    }
    if (e == OK) {
        struct buf *b = reply_json_buf(rq, rp, 200);
        buf_str(b, "{\"challenge\":");
        view_challenge(b, &c, a);
        buf_str(b, ",\"activity\":");
        view_activity(b, a, ACTIVITY_FOR_STAFF);
        buf_str(b, "}");
    }
    return e;
}
