/* SPDX-License-Identifier: MIT
 * A child's own pages: what is set now, one challenge with all its screens need, the lines of this
 * school year. Never a band, never anybody else. */
#include <string.h>

#include "base/clock.h"
#include "base/mem.h"
#include "handlers/activity_view.h"
#include "handlers/hand_in_view.h"
#include "handlers/handlers.h"
#include "store/challenges.h"
#include "store/fresh_start.h"
#include "store/grid.h"
#include "store/school.h"
#include "store/starting_versions.h"

struct own_best {
    bool has;
    int64_t value;
};

/* A child's word for how it stands. */
static const char *state_word(enum grid_state s)
{
    return grid_state_is_in(s) && s != GRID_TO_CHECK ? grid_state_word[GRID_HANDED_IN]
                                                     : grid_state_word[s];
}

/* The day from which this child's bests count: a fresh start begins every line anew. */
static enum err counts_from(struct request *rq, int32_t *day)
{
    return fresh_start_from(rq->store, rq->who.pupil, school_year_first(clock_day(rq->now)), day);
}

/* What "My bests" says of this activity: the line of the standard version, or else of the one done
 * last. Lines are of the school year: a tile may show what an earlier challenge gave. */
static enum err year_best(struct request *rq, const struct activity *a, int32_t from_day,
                          struct own_best *out)
{
    struct hand_in_list all;
    const struct hand_in_scope scope = {
        .pupil = rq->who.pupil, .activity = a->id, .from_day = from_day};
    enum err e = hand_ins_of_pupil_activity(rq->store, rq->mem, &scope, &all);
    int64_t newest = 0;
    *out = (struct own_best){0};
    for (size_t i = 0; e == OK && i < a->version_count; i++) {
        struct best_line line;
        const struct best_line_ask ask = {.all = &all, .activity = a, .version = &a->versions[i],
                                          .before_seq = INT64_MAX};
        int64_t value;
        int32_t distance;
        e = best_line_for(rq->store, rq->mem, &ask, &line);
        if (e != OK || !line_best(&line, &value, &distance)) {
            continue;
        }
        bool standard = a->versions[i].kind == VERSION_STANDARD;
        int64_t seq = standard ? INT64_MAX : line.hand_ins[line.n - 1]->seq;
        if (seq > newest) {
            newest = seq;
            *out = (struct own_best){true, value};
        }
    }
    return e;
}

static enum err tile(struct request *rq, struct buf *b, const struct challenge *c,
                     int32_t from_day)
{
    const struct activity *a = NULL;
    struct hand_in_list own;
    struct own_best best = {0};
    enum err e = activity_load(rq->store, c->revision, &a);
    if (e == OK) {
        e = hand_ins_of_pupil_challenge(rq->store, rq->mem, rq->who.pupil, c->id, &own);
    }
    if (e == OK) {
        e = year_best(rq, a, from_day, &best);
    }
    if (e != OK) {
        return e;
    }
    struct grid_challenge as = {.lower_is_better = a->lower_is_better};
    const struct activity_version *standard = activity_version_of(a, VERSION_STANDARD);
    as.standard.v = standard ? standard->id.v : 0;
    const struct grid_cell cell = grid_cell_of(own.v, own.n, &as);
    buf_str(b, "{\"id\":");
    view_id(b, c->id.v);
    buf_printf(b, ",\"number\":%d,\"name\":", c->number);
    json_txt(b, a->name);
    buf_str(b, ",\"summary\":");
    json_txt(b, a->summary);
    buf_printf(b, ",\"kind\":\"%s\",\"unit\":\"%s\",\"opens_at\":", activity_kind_word(a->kind),
               value_unit_word(a->unit));
    view_at(b, c->opens_at);
    buf_str(b, ",\"due_at\":");
    view_at(b, c->due_at);
    buf_str(b, ",\"closes_at\":");
    view_at(b, c->closes_at);
    buf_printf(b, ",\"state\":\"%s\",\"best\":", state_word(grid_cell_state(&cell)));
    if (best.has) {
        buf_int(b, best.value);
    } else {
        buf_str(b, "null");
    }
    buf_str(b, "}");
    return OK;
}

enum err h_me_challenges_get(struct request *rq, struct reply *rp)
{
    struct challenge_list list;
    int32_t from_day = 0;
    enum err e = challenges_open_for_pupil(rq->mem, rq->store, rq->who.pupil, rq->now, &list);
    if (e == OK) {
        e = counts_from(rq, &from_day);
    }
    struct buf *b = reply_json_buf(rq, rp, 200);
    buf_str(b, "{\"today\":");
    view_day(b, clock_day(rq->now));
    buf_str(b, ",\"challenges\":[");
    for (size_t i = 0; e == OK && i < list.count; i++) {
        buf_str(b, i > 0 ? "," : "");
        e = tile(rq, b, &list.rows[i], from_day);
    }
    buf_str(b, "]}");
    return e;
}

/* One challenge -------------------------------------------------------------------------------- */

static void line_bests(struct request *rq, struct buf *b, const struct best_line *line,
                       struct version_id as, bool *first)
{
    bool lower = line->activity->lower_is_better;
    struct mark *marks = NULL, steps[OUTLOOK_BESTS];
    size_t n = line_marks(rq->mem, line, &marks);
    size_t k = best_by_step(marks, n, steps, OUTLOOK_BESTS);
    for (size_t i = 0; i < k && i < OUTLOOK_BESTS; i++) {
        buf_str(b, *first ? "" : ",");
        *first = false;
        view_best(b, as, steps[i].distance_mm, best_sign(steps[i].score, lower));
    }
}

/* Bests of this school year at each version of the challenge's revision. */
static enum err bests(struct request *rq, struct buf *b, const struct activity *a)
{
    struct hand_in_list all;
    struct hand_in_scope scope = {.pupil = rq->who.pupil, .activity = a->id};
    enum err e = counts_from(rq, &scope.from_day);
    if (e == OK) {
        e = hand_ins_of_pupil_activity(rq->store, rq->mem, &scope, &all);
    }
    bool first = true;
    buf_str(b, "\"bests\":[");
    for (size_t i = 0; e == OK && i < a->version_count; i++) {
        struct best_line line;
        const struct best_line_ask ask = {.all = &all,
                                          .activity = a,
                                          .version = &a->versions[i],
                                          .before_seq = INT64_MAX};
        e = best_line_for(rq->store, rq->mem, &ask, &line);
        if (e == OK) {
            line_bests(rq, b, &line, a->versions[i].id, &first);
        }
    }
    buf_str(b, "]");
    return e;
}

static void own_hand_ins(struct buf *b, const struct hand_in_list *own)
{
    buf_str(b, ",\"hand_ins\":[");
    for (size_t i = 0; i < own->n; i++) {
        buf_str(b, i > 0 ? "," : "");
        view_hand_in(b, &(struct hand_in_view){.h = &own->v[i]});
    }
    buf_str(b, "],");
}

/* The version that the child starts with comes first; all others are there as ever. */
static enum err start_first(struct request *rq, struct challenge_id id, const struct activity **a)
{
    enum version_kind kind = VERSION_STANDARD;
    enum err e = starting_version_get(rq->store, rq->who.pupil, id, &kind);
    const struct activity_version *start = activity_version_of(*a, kind);
    if (e != OK || kind == VERSION_STANDARD || !start) {
        return e;
    }
    struct activity *own = mem_new(rq->mem, struct activity);
    *own = **a;
    const size_t at = (size_t)(start - (*a)->versions);
    memmove(&own->versions[1], &own->versions[0], at * sizeof *own->versions);
    own->versions[0] = *start;
    *a = own;
    return OK;
}

enum err h_me_challenge_get(struct request *rq, struct reply *rp)
{
    struct challenge c;
    const struct activity *a = NULL;
    struct hand_in_list own;
    const struct challenge_id id = {rq->args[0].id};
    enum err e = challenge_of_pupil(rq->mem, rq->store, rq->who.pupil, id, &c);
    if (e == OK && (c.cancelled || c.opens_at > rq->now)) {
        e = ERR_NOT_FOUND;
    }
    if (e == OK) {
        e = activity_load(rq->store, c.revision, &a);
    }
    if (e == OK) {
        e = hand_ins_of_pupil_challenge(rq->store, rq->mem, rq->who.pupil, id, &own);
    }
    if (e == OK) {
        e = start_first(rq, id, &a);
    }
    if (e != OK) {
        return e;
    }
    struct buf *b = reply_json_buf(rq, rp, 200);
    buf_str(b, "{\"id\":");
    view_id(b, id.v);
    buf_printf(b, ",\"number\":%d,\"opens_at\":", c.number);
    view_at(b, c.opens_at);
    buf_str(b, ",\"due_at\":");
    view_at(b, c.due_at);
    buf_str(b, ",\"closes_at\":");
    view_at(b, c.closes_at);
    buf_str(b, ",\"activity\":");
    view_activity(b, a, ACTIVITY_FOR_PUPIL);
    own_hand_ins(b, &own);
    e = bests(rq, b, a);
    buf_str(b, "}");
    return e;
}

enum err h_me_bests_get(struct request *rq, struct reply *rp)
{
    struct hand_in_list all;
    struct best_lines lines;
    int32_t from;
    enum err e = counts_from(rq, &from);
    if (e == OK) {
        e = hand_ins_of_pupil(rq->store, rq->mem, rq->who.pupil, from, &all);
    }
    if (e == OK) {
        e = best_lines_of(rq->store, rq->mem, &all, &lines);
    }
    if (e != OK) {
        return e;
    }
    struct buf *b = reply_json_buf(rq, rp, 200);
    buf_str(b, "{\"lines\":[");
    for (size_t i = 0; e == OK && i < lines.n; i++) {
        struct line_words w = {0};
        buf_str(b, i > 0 ? "," : "");
        e = line_met(rq->store, rq->mem, &lines.v[i], &w);
        view_line(b, &lines.v[i], &w);
    }
    buf_str(b, "]}");
    return e;
}
