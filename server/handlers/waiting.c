/* SPDX-License-Identifier: MIT
 * The list of what is to check, over the classes one teaches (the PE lead: all), with what a row of
 * it shows. By class and name, never by a result. */
#include "handlers/handlers.h"

#include "base/clock.h"
#include "base/text.h"
#include "people_internal.h"
#include "store/activities.h"
#include "store/hand_ins.h"
#include "store/waiting.h"

static json_t *named(int64_t id, const char *member, const char *name)
{
    json_t *o = json_object();
    json_put(&o, "id", json_id(id));
    json_put(&o, member, json_string(name));
    return o;
}

static json_t *values_json(const struct hand_in *h)
{
    json_t *list = json_array();
    for (size_t i = 0; i < h->attempt_count; i++) {
        json_add(&list, json_integer(h->attempts[i].value));
    }
    return list;
}

static enum err row_json(struct request *rq, const struct waiting_row *w, json_t **out)
{
    struct hand_in h;
    const struct activity *a = NULL;
    char uuid[37];
    enum err e = hand_in_by_seq(rq->store, w->seq, &h);
    if (e == OK) {
        e = activity_load(rq->store, h.revision, &a);
    }
    if (e != OK) {
        return e;
    }
    text_uuid_print(h.id.b, uuid);
    json_t *activity = json_object(), *o = json_object();
    json_put(&activity, "name", json_string(a->name));
    json_put(&activity, "unit", json_string(value_unit_word(a->unit)));
    json_put(&o, "class", named(w->class_id.v, "name", w->class_name));
    json_put(&o, "pupil", named(w->pupil.v, "display_name", w->pupil_name));
    json_put(&o, "challenge", json_id(h.challenge.v));
    json_put(&o, "activity", activity);
    json_put(&o, "version", json_string(h.version_kind));
    json_put(&o, "hand_in", json_string(uuid));
    json_put(&o, "done_on", json_day(h.done_day));
    json_put(&o, "values", values_json(&h));
    json_put(&o, "why", json_string(w->mistake ? "mistake" : "surprising"));
    *out = o;
    return OK;
}

enum err h_to_check_get(struct request *rq, struct reply *rp)
{
    const struct waiting_ask ask = {
        .staff = rq->who.staff,
        .all = (rq->who.rights & ALLOW_PE_LEAD) != 0,
        .today = clock_day(rq->now),
    };
    struct waiting_row *rows;
    size_t n;
    enum err e = waiting_list(rq->store, rq->mem, &ask, &rows, &n);
    json_t *list = json_array(), *o = json_object();
    for (size_t i = 0; e == OK && i < n; i++) {
        json_t *row = NULL;
        e = row_json(rq, &rows[i], &row);
        json_add(&list, row);
    }
    json_put(&o, "to_check", list);
    if (e != OK) {
        json_decref(o);
        return e;
    }
    return reply_json(rq, rp, 200, o);
}
