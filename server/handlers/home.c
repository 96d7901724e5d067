/* SPDX-License-Identifier: MIT
 * The first page of staff: four steps that tick themselves, own classes at a glance, and for those
 * who may read them whether messages wait. Everybody else gets the same answer as when there is
 * none. Class figures are counts of states, for whoever may see the grid: staff with a right on the
 * class, the PE lead, the office. */
#include "handlers/handlers.h"

#include "base/clock.h"
#include "people_internal.h"
#include "second_internal.h"
#include "store/messages.h"
#include "store/school.h"
#include "store/waiting.h"

static enum err class_json(struct request *rq, const struct class_row *c, json_t **out)
{
    struct class_digest d;
    enum err e = class_digest(rq->store, c->id, rq->now, &d);
    if (e != OK) {
        return e;
    }
    const char *right = class_right_word(c->right);
    json_t *o = json_object();
    json_put(&o, "id", json_id(c->id.v));
    json_put(&o, "name", json_string(c->name));
    json_put(&o, "kind", json_string(c->group ? "group" : "class"));
    json_put(&o, "right", right ? json_string(right) : json_null());
    json_put(&o, "pupils", json_integer(c->pupils));
    json_put(&o, "open", json_integer(d.open));
    json_put(&o, "handed_in", json_integer(d.handed_in));
    json_put(&o, "expected", json_integer(d.expected));
    json_put(&o, "to_check", json_integer(d.to_check));
    *out = o;
    return OK;
}

static enum err classes_json(struct request *rq, json_t **out)
{
    const struct class_query want = {
        .staff = rq->who.staff,
        .all = (rq->who.rights & (ALLOW_PE_LEAD | ALLOW_OFFICE)) != 0,
        .today = clock_day(rq->now),
    };
    struct class_row *rows;
    size_t n;
    enum err e = classes_list(rq->store, rq->mem, &want, &rows, &n);
    *out = json_array();
    for (size_t i = 0; e == OK && i < n; i++) {
        json_t *o = NULL;
        e = class_json(rq, &rows[i], &o);
        json_add(out, o);
    }
    return e;
}

static enum err messages_json(struct request *rq, json_t **out)
{
    const struct message_reader who = {
        .staff = rq->who.staff,
        .now = rq->now,
    };
    bool may_see = false;
    int64_t waiting = 0;
    enum err e = messages_reads_any(rq->store, &who, &may_see);
    if (e == OK && may_see) {
        e = messages_waiting(rq->store, &who, &waiting);
    }
    json_t *o = json_object();
    json_put(&o, "may_see", json_boolean(may_see));
    json_put(&o, "waiting", json_integer(waiting));
    *out = o;
    return e;
}

static json_t *steps_json(const struct school_steps *s)
{
    json_t *o = json_object();
    json_put(&o, "class_list", json_boolean(s->class_list));
    json_put(&o, "cards", json_boolean(s->cards));
    json_put(&o, "activity_set", json_boolean(s->activity_set));
    json_put(&o, "tried", json_boolean(s->tried));
    return o;
}

/* How long the list of /to-check is. */
static enum err to_check(struct request *rq, int64_t *n)
{
    const struct waiting_ask ask = {
        .staff = rq->who.staff,
        .all = (rq->who.rights & ALLOW_PE_LEAD) != 0,
        .today = clock_day(rq->now),
    };
    return waiting_count(rq->store, &ask, n);
}

enum err h_home_get(struct request *rq, struct reply *rp)
{
    struct school school;
    struct school_steps steps;
    struct second_view_list owed;
    json_t *classes = NULL, *messages = NULL;
    int64_t waiting = 0;
    enum err e = school_get(rq->store, rq->mem, &school);
    if (e == OK) {
        e = school_steps(rq->store, &steps);
    }
    if (e == OK) {
        e = classes_json(rq, &classes);
    }
    if (e == OK) {
        e = messages_json(rq, &messages);
    }
    if (e == OK) {
        e = second_views_owed(rq, &owed);
    }
    if (e == OK) {
        e = to_check(rq, &waiting);
    }
    if (e != OK) {
        json_decref(classes);
        json_decref(messages);
        return e;
    }
    json_t *o = json_object();
    json_put(&o, "school_name", json_string(school.name));
    json_put(&o, "steps", steps_json(&steps));
    json_put(&o, "classes", classes);
    json_put(&o, "messages", messages);
    json_put(&o, "to_check", json_integer(waiting));
    json_put(&o, "second_views", json_integer((json_int_t)owed.n));
    return reply_json(rq, rp, 200, o);
}
