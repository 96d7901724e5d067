/* SPDX-License-Identifier: MIT
 * What the nightly purge would delete: now, and within the fourteen days ahead, as `thrice purge
 * --dry-run` counts it. Looks only; deleting is for the box.
 *
 * The office does not learn of messages, not even that there were any; safeguarding learns no name
 * here, because who has left is the office's. */
#include "handlers/handlers.h"

#include "base/clock.h"
#include "people_internal.h"
#include "store/audit.h"
#include "store/purge.h"

enum { AHEAD_DAYS = 14 };

static bool holds(const struct request *rq, unsigned right)
{
    return (rq->who.rights & right) != 0;
}

static json_t *counts_json(const struct request *rq, const struct purge_done *d)
{
    json_t *o = json_object();
    json_put(&o, "sessions", json_integer(d->sessions));
    json_put(&o, "cards", json_integer(d->cards));
    json_put(&o, "messages", holds(rq, ALLOW_SAFEGUARDING) ? json_integer(d->messages)
                                                           : json_null());
    json_put(&o, "leavers", json_integer(d->leavers));
    json_put(&o, "hand_ins", json_integer(d->hand_ins));
    json_put(&o, "decisions", json_integer(d->decisions));
    return o;
}

static json_t *leaver_json(const struct request *rq, const struct purge_leaver *l)
{
    json_t *pupil = json_null(), *o = json_object();
    if (holds(rq, ALLOW_OFFICE)) {
        pupil = json_object();
        json_put(&pupil, "id", json_id(l->id.v));
        json_put(&pupil, "display_name", json_string(l->display_name));
    }
    json_put(&o, "pupil", pupil);
    json_put(&o, "left_on", json_day(l->left_day));
    json_put(&o, "goes_on", json_day(l->goes_day));
    return o;
}

static const char *clock_word(enum purge_clock c)
{
    return c == PURGE_CLOCK_BACK ? "back" : c == PURGE_CLOCK_AHEAD ? "ahead" : "fits";
}

enum err h_purge_plan_get(struct request *rq, struct reply *rp)
{
    struct purge_done now, ahead;
    struct purge_leaver *rows = NULL;
    struct audit_row *last = NULL;
    size_t n = 0, last_count = 0;
    enum purge_clock clock;
    enum err e = purge_plan(rq->store, rq->now, &now);
    if (e == OK) {
        e = purge_plan(rq->store, rq->now + AHEAD_DAYS * INT64_C(86400), &ahead);
    }
    if (e == OK) {
        e = purge_leavers(rq->store, rq->mem, &rows, &n);
    }
    if (e == OK) {
        e = purge_clock(rq->store, rq->now, &clock);
    }
    if (e == OK) {
        e = audit_of_action(rq->store, rq->mem, "purged", &last, &last_count);
    }
    if (e != OK) {
        return e;
    }
    json_t *leavers = json_array(), *o = json_object();
    for (size_t i = 0; i < n; i++) {
        json_add(&leavers, leaver_json(rq, &rows[i]));
    }
    json_put(&o, "on", json_day(clock_day(rq->now)));
    json_put(&o, "last_on", json_day_or_null(last_count > 0,
                                             last_count > 0 ? clock_day(last[0].at) : 0));
    json_put(&o, "clock", json_string(clock_word(clock)));
    json_put(&o, "now", counts_json(rq, &now));
    json_put(&o, "within_14_days", counts_json(rq, &ahead));
    json_put(&o, "leavers", leavers);
    return reply_json(rq, rp, 200, o);
}
