/* SPDX-License-Identifier: MIT
 * A fresh start for one child. The day lies in this school year: bests never count from before it
 * anyway. Why is never asked; who set it and when is in the audit. */
#include "handlers/handlers.h"

#include "base/clock.h"
#include "people_internal.h"
#include "store/fresh_start.h"
#include "store/school.h"

static enum err read_from(struct request *rq, struct fresh_start_set *set, bool *clear)
{
    json_t *v = json_object_get(rq->json, "from");
    *clear = json_is_null(v);
    if (*clear) {
        return OK;
    }
    enum err e = field_day(rq, v, "/from", &set->from_day);
    if (e == OK && set->from_day > set->set_day) {
        e = request_blame(rq, "/from", "in_future", NULL);
    }
    if (e == OK && set->from_day < school_year_first(set->set_day)) {
        e = request_blame(rq, "/from", "before_year", NULL);
    }
    return e;
}

enum err h_pupil_fresh_start_put(struct request *rq, struct reply *rp)
{
    static const char *const members[] = {"from", NULL};
    struct fresh_start_set set = {
        .pupil = {rq->args[0].id}, .set_day = clock_day(rq->now), .by = rq->who.staff,
    };
    bool clear = false;
    json_t *shown = NULL, *o = json_object();
    enum err e = field_known(rq, rq->json, "", members);
    if (e == OK) {
        e = read_from(rq, &set, &clear);
    }
    if (e == OK) {
        e = clear ? fresh_start_clear(rq->store, set.pupil) : fresh_start_set(rq->store, &set);
    }
    if (e == OK) {
        e = people_audit(rq, clear ? "fresh start taken back" : "fresh start set", "pupil",
                         set.pupil.v, "");
    }
    if (e == OK) {
        e = pupil_json(rq, set.pupil, &shown);
    }
    if (e != OK) {
        json_decref(o);
        return e;
    }
    json_put(&o, "pupil", shown);
    return reply_json(rq, rp, 200, o);
}
