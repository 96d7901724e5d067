/* SPDX-License-Identifier: MIT
 * What the nightly purge would delete: now, as `thrice purge --dry-run` counts it, and what will be
 * due within the fourteen days ahead; what it waits for; and the office's word on both, that the
 * clock is right and that a plan of more than twice the last may go on. Deletes nothing itself.
 *
 * The office does not learn of messages, not even that there were any; safeguarding learns no name
 * here, because who has left is the office's. */
#include "handlers/handlers.h"

#include "base/clock.h"
#include "people_internal.h"
#include "store/purge.h"
#include "store/purge_plan.h"
#include "store/upkeep.h"

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
    json_put(&o, "challenges", json_integer(d->challenges));
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

static const char *clock_word(enum upkeep_clock c)
{
    static const char *const words[] = {
        [UPKEEP_CLOCK_SYNCHRONISED] = "synchronised", [UPKEEP_CLOCK_CONFIRMED] = "confirmed",
        [UPKEEP_CLOCK_UNSURE] = "unsure", [UPKEEP_CLOCK_BEHIND] = "behind"};
    return words[c];
}

static json_t *plan_json(const struct purge_plan *p)
{
    json_t *o = p->any ? json_object() : json_null();
    if (p->any) {
        json_put(&o, "made_on", json_day(p->day));
        json_put(&o, "listed", json_integer(p->listed));
        json_put(&o, "listed_before", p->has_before ? json_integer(p->before) : json_null());
    }
    return o;
}

static json_t *next_json(const struct purge_state *s)
{
    json_t *o = s->next ? json_object() : json_null();
    if (s->next) {
        json_put(&o, "listed_on", json_day(s->next_day));
        json_put(&o, "from", json_day(s->next_day + PURGE_AHEAD_DAYS));
        json_put(&o, "days_of_use", json_integer(s->next_use));
        json_put(&o, "days_needed", json_integer(PURGE_USE_DAYS));
    }
    return o;
}

static json_t *leavers_json(const struct request *rq, const struct purge_leaver *rows, size_t n)
{
    json_t *leavers = json_array();
    for (size_t i = 0; i < n; i++) {
        json_add(&leavers, leaver_json(rq, &rows[i]));
    }
    return leavers;
}

/* The moment of this request; the clock is asked afresh whether anybody says that it is right. */
static struct upkeep_now moment(const struct request *rq)
{
    struct upkeep_now now = upkeep_now();
    now.at = rq->now;
    return now;
}

enum err h_purge_plan_get(struct request *rq, struct reply *rp)
{
    const struct upkeep_now when = moment(rq);
    struct purge_state state;
    struct purge_done now, ahead;
    struct purge_leaver *rows = NULL;
    size_t n = 0;
    enum err e = purge_look(rq->store, &when, &state);
    if (e == OK) {
        e = purge_count(rq->store, rq->now, &state.may, &now);
    }
    if (e == OK) {
        int64_t then = clock_day_end(clock_day(rq->now) + PURGE_AHEAD_DAYS);
        e = purge_count(rq->store, then, NULL, &ahead);
    }
    if (e == OK) {
        e = purge_leavers(rq->store, rq->mem, &rows, &n);
    }
    if (e != OK) {
        return e;
    }
    const struct upkeep *u = &state.upkeep;
    json_t *o = json_object();
    json_put(&o, "on", json_day(clock_day(rq->now)));
    json_put(&o, "last_on", json_day_or_null(u->purged, u->purged_day));
    json_put(&o, "backup_on", json_day_or_null(u->backed_up, u->backup_day));
    json_put(&o, "clock", json_string(clock_word(u->clock)));
    json_put(&o, "plan", plan_json(&state.plan));
    json_put(&o, "waits", plan_json(&state.waits));
    json_put(&o, "next", next_json(&state));
    json_put(&o, "now", counts_json(rq, &now));
    json_put(&o, "within_14_days", counts_json(rq, &ahead));
    json_put(&o, "leavers", leavers_json(rq, rows, n));
    return reply_json(rq, rp, 200, o);
}

/* The office's word ---------------------------------------------------------------------------- */

/* "today": the date the office was shown and says is right. Past midnight it is another. */
static enum err confirm(struct request *rq, json_t *v)
{
    const struct upkeep_now when = moment(rq);
    int32_t day = 0;
    enum err e = field_day(rq, v, "/today", &day);
    if (e == OK && day != clock_day(rq->now)) {
        e = request_blame(rq, "/today", "other_day", NULL);
    }
    if (e == OK) {
        e = upkeep_confirm(rq->store, &when);
    }
    return e == OK ? people_audit(rq, "date confirmed", "school", 1, "") : e;
}

static enum err accept(struct request *rq, json_t *v)
{
    int32_t day = 0;
    enum err e = field_day(rq, v, "/accept", &day);
    if (e == OK) {
        e = purge_accept(rq->store, clock_day(rq->now), day);
    }
    if (e == ERR_NOT_FOUND) {
        e = request_blame(rq, "/accept", "not_found", NULL);
    }
    return e == OK ? people_audit(rq, "purge plan accepted", "school", 1, "") : e;
}

enum err h_purge_plan_put(struct request *rq, struct reply *rp)
{
    static const char *const allowed[] = {"today", "accept", NULL};
    enum err e = field_known(rq, rq->json, "", allowed);
    if (e == OK && json_object_size(rq->json) == 0) {
        e = request_blame(rq, "", "required", NULL);
    }
    json_t *today = json_object_get(rq->json, "today"), *day = json_object_get(rq->json, "accept");
    if (e == OK && today) {
        e = confirm(rq, today);
    }
    if (e == OK && day) {
        e = accept(rq, day);
    }
    return e == OK ? h_purge_plan_get(rq, rp) : e;
}
