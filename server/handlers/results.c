/* SPDX-License-Identifier: MIT
 * One challenge: every child's tries, what changed for that child, what the tries point to. By
 * name, class by class; only classes on which the person holds teach or read (or all, for the PE
 * lead). No number here sets one child against another. */
#include "auth/scope.h"
#include "base/clock.h"
#include "base/mem.h"
#include "handlers/activity_view.h"
#include "handlers/hand_in_view.h"
#include "handlers/handlers.h"
#include "handlers/suggestion.h"
#include "results_internal.h"
#include "second_internal.h"
#include "store/results.h"

enum { SEES = ALLOW_TEACH | ALLOW_READ | ALLOW_PE_LEAD };

static bool written_before(struct sheet *s, struct pupil_id id)
{
    for (size_t i = 0; i < s->count; i++) {
        if (s->written[i] == id.v) {
            return true;
        }
    }
    mem_grow(s->rq->mem, s->written, s->count, &s->cap);
    s->written[s->count++] = id.v;
    return false;
}

/* The school year in which the challenge opened, or today's when it opens in the next. */
static int32_t year_from(const struct sheet *s)
{
    int32_t opens = clock_day(s->challenge.opens_at), today = clock_day(s->rq->now);
    return school_year_first(opens < today ? opens : today);
}

static enum err load_year(const struct sheet *s, struct class_id cls, struct sheet_class *c)
{
    const struct hand_in_scope scope = {
        .cls = cls, .activity = s->activity->id, .today = clock_day(s->rq->now),
        .from_day = year_from(s),
    };
    const struct fresh_start_ask fresh = {cls, scope.today};
    const struct gains_class_ask spread = {&c->year, s->activity};
    enum err e = hand_ins_of_class_activity(s->rq->store, s->rq->mem, &scope, &c->year);
    if (e == OK) {
        e = fresh_start_of_class(s->rq->store, s->rq->mem, &fresh, &c->fresh);
    }
    return e == OK ? gains_class_of(s->rq->store, &spread, &c->spread) : e;
}

/* The rows of one class. No band on a single challenge unless the school turns it on: then from
 * this challenge alone, else from all hand-ins of the unit at this activity. */
static enum err view_class(struct sheet *s, struct class_id cls)
{
    struct sheet_class *c = mem_new(s->rq->mem, struct sheet_class);
    const struct results_ask ask = {
        .of = {s->challenge.unit, cls, clock_day(s->rq->now)}, .now = s->rq->now,
        .activity = s->challenge.activity,
        .challenge = {s->school.single_bands ? s->challenge.id.v : 0},
    };
    enum err e = results_load(s->rq->store, s->rq->mem, &ask, &c->r);
    if (e == OK) {
        e = load_year(s, cls, c);
    }
    if (e == OK) {
        e = sheet_class_view(s, c, cls);
    }
    for (size_t i = 0; e == OK && i < c->r.row_count; i++) {
        bool first = s->count == 0;
        if (written_before(s, c->r.rows[i].pupil.id)) {
            continue;
        }
        buf_str(s->b, first ? "" : ",");
        e = sheet_row(s, c, &c->r.rows[i]);
    }
    return e;
}

static enum err view_classes(struct sheet *s, int64_t only)
{
    bool any = false;
    enum err e = OK;
    for (size_t i = 0; e == OK && i < s->challenge.class_count; i++) {
        int64_t cls = s->challenge.classes[i].id.v;
        if ((only != 0 && only != cls) || (rights_on_class(s->rq, cls) & SEES) == 0) {
            continue;
        }
        any = true;
        e = view_class(s, (struct class_id){cls});
    }
    return e == OK && !any ? ERR_NOT_FOUND : e;
}

enum err h_challenge_results_get(struct request *rq, struct reply *rp)
{
    struct sheet s = {.rq = rq};
    int64_t cls;
    enum err e = request_query_id(rq, "class", &cls);
    if (e == OK) {
        e = challenge_get(rq->mem, rq->store, (struct challenge_id){rq->args[0].id}, &s.challenge);
    }
    if (e == OK) {
        e = challenge_count_sent(rq->store, &s.challenge);
    }
    if (e == OK) {
        e = activity_load(rq->store, s.challenge.revision, &s.activity);
    }
    if (e == OK) {
        e = school_get(rq->store, rq->mem, &s.school);
    }
    if (e == OK) {
        e = second_blind_load(rq, &s.blind);
    }
    if (e != OK) {
        return e;
    }
    buf_init(&s.checks, rq->mem);
    buf_init(&s.noted, rq->mem);
    buf_init(&s.views, rq->mem);
    s.b = reply_json_buf(rq, rp, 200);
    buf_str(s.b, "{\"challenge\":");
    view_challenge(s.b, &s.challenge, s.activity);
    buf_str(s.b, ",\"activity\":");
    view_activity(s.b, s.activity, ACTIVITY_FOR_STAFF);
    buf_str(s.b, ",\"rows\":[");
    e = view_classes(&s, cls);
    buf_str(s.b, "],\"to_check\":[");
    buf_bytes(s.b, s.checks.data, s.checks.len);
    buf_str(s.b, "],\"noted\":[");
    buf_bytes(s.b, s.noted.data, s.noted.len);
    buf_str(s.b, "],\"class_view\":[");
    buf_bytes(s.b, s.views.data, s.views.len);
    buf_printf(s.b, "],\"single_bands\":%s,\"note\":", s.school.single_bands ? "true" : "false");
    json_txt(s.b, suggestion_note);
    buf_str(s.b, "}");
    return e;
}
