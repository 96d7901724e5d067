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
#include "store/results.h"

enum { SEES = ALLOW_TEACH | ALLOW_READ | ALLOW_PE_LEAD };

struct sheet {
    struct request *rq;
    struct buf *b;
    struct challenge challenge;
    const struct activity *activity;
    bool single_bands;
    int64_t *written;           /* pupils, so that nobody in two classes comes twice */
    size_t count, cap;
};

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

static bool of_challenge(const struct sheet *s, const struct hand_in *h)
{
    return h->challenge.v == s->challenge.id.v;
}

static enum err view_hand_ins(const struct sheet *s, const struct results_row *row)
{
    bool first = true;
    buf_str(s->b, ",\"hand_ins\":[");
    for (size_t i = 0; i < row->hand_ins.n; i++) {
        const struct hand_in *h = &row->hand_ins.v[i];
        struct hand_in_mark_list marks;
        if (!of_challenge(s, h)) {
            continue;
        }
        enum err e = hand_in_marks_of(s->rq->store, s->rq->mem, h->seq, &marks);
        if (e != OK) {
            return e;
        }
        buf_str(s->b, first ? "" : ",");
        first = false;
        view_hand_in(s->b, &(struct hand_in_view){.h = h, .marks = &marks});
    }
    buf_str(s->b, "]");
    return OK;
}

/* What the latest hand-in that counts changed on the child's own line. */
static enum err view_changed(const struct sheet *s, const struct results_row *row)
{
    const struct hand_in *last = NULL;
    struct hand_in_list history;
    for (size_t i = 0; i < row->hand_ins.n; i++) {
        const struct hand_in *h = &row->hand_ins.v[i];
        if (of_challenge(s, h) && h->state == HAND_IN_COUNTS && h->has_best) {
            last = h;
        }
    }
    buf_str(s->b, ",");
    if (last == NULL) {
        buf_str(s->b, "\"own_best\":null");
        return OK;
    }
    const struct hand_in_scope scope = {
        .pupil = row->pupil.id, .activity = s->activity->id,
        .from_day = school_year_first(last->done_day),
    };
    enum err e = hand_ins_of_pupil_activity(s->rq->store, s->rq->mem, &scope, &history);
    struct outlook o = {0};
    if (e == OK) {
        const struct outlook_ask ask = {s->activity, last, &history};
        e = outlook_of(s->rq, &ask, &o);
    }
    view_own_best(s->b, &o);
    return e;
}

static const char *why_not(const struct sheet *s, const struct results_row *row)
{
    const char *reason = NULL;
    for (size_t i = 0; i < row->hand_ins.n; i++) {
        const struct hand_in *h = &row->hand_ins.v[i];
        if (of_challenge(s, h) && h->state == HAND_IN_COUNTS && h->could_not != NULL) {
            reason = h->could_not;
        }
    }
    return reason;
}

static enum grid_state state_in(const struct sheet *s, const struct results *r,
                                const struct results_row *row)
{
    for (size_t i = 0; i < r->challenge_count; i++) {
        if (r->challenges[i].id.v == s->challenge.id.v) {
            return row->states[i];
        }
    }
    return GRID_NOT_YET;
}

static enum err view_row(const struct sheet *s, const struct results *r,
                         const struct results_row *row)
{
    enum grid_state state = state_in(s, r, row);
    buf_str(s->b, "{\"pupil\":");
    view_results_pupil(s->b, &row->pupil);
    buf_printf(s->b, ",\"state\":\"%s\",\"could_not\":", grid_state_word[state]);
    json_txt(s->b, state == GRID_COULD_NOT ? why_not(s, row) : NULL);
    enum err e = view_hand_ins(s, row);
    if (e == OK) {
        e = view_changed(s, row);
    }
    buf_str(s->b, ",\"suggestion\":");
    if (row->suggestion.band < 0 && row->counted == 0) {
        buf_str(s->b, "null}");
        return e;
    }
    view_suggestion(s->b, &row->suggestion, &r->words);
    buf_str(s->b, "}");
    return e;
}

/* The rows of one class. No band on a single challenge unless the school turns it on: then from
 * this challenge alone, else from all hand-ins of the unit at this activity. */
static enum err view_class(struct sheet *s, struct class_id cls)
{
    struct results r;
    const struct results_ask ask = {
        .of = {s->challenge.unit, cls, clock_day(s->rq->now)}, .now = s->rq->now,
        .activity = s->challenge.activity,
        .challenge = {s->single_bands ? s->challenge.id.v : 0},
    };
    enum err e = results_load(s->rq->store, s->rq->mem, &ask, &r);
    for (size_t i = 0; e == OK && i < r.row_count; i++) {
        bool first = s->count == 0;
        if (written_before(s, r.rows[i].pupil.id)) {
            continue;
        }
        buf_str(s->b, first ? "" : ",");
        e = view_row(s, &r, &r.rows[i]);
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
    struct school school;
    int64_t cls;
    enum err e = request_query_id(rq, "class", &cls);
    if (e == OK) {
        e = challenge_get(rq->mem, rq->store, (struct challenge_id){rq->args[0].id}, &s.challenge);
    }
    if (e == OK) {
        e = activity_load(rq->store, s.challenge.revision, &s.activity);
    }
    if (e == OK) {
        e = school_get(rq->store, rq->mem, &school);
    }
    if (e != OK) {
        return e;
    }
    s.single_bands = school.single_bands;
    s.b = reply_json_buf(rq, rp, 200);
    buf_str(s.b, "{\"challenge\":");
    view_challenge(s.b, &s.challenge, s.activity);
    buf_str(s.b, ",\"activity\":");
    view_activity(s.b, s.activity, ACTIVITY_FOR_STAFF);
    buf_str(s.b, ",\"rows\":[");
    e = view_classes(&s, cls);
    buf_str(s.b, "],\"note\":");
    json_txt(s.b, suggestion_note);
    buf_str(s.b, "}");
    return e;
}
