/* SPDX-License-Identifier: MIT
 * The next lesson: a class in groups by what comes next for each child, and by teaching point that
 * was not seen yet, with the kit and the safety lines.
 *
 * Groups are called by what comes next, never by how well anybody did, and no number of a child
 * stands in them but the distance to stand at. A child without tries is in none of them: nothing is
 * known, so the teacher watches. Looked for and not seen is told apart from not looked for. */
#include "auth/scope.h"
#include "base/clock.h"
#include "base/mem.h"
#include "handlers/hand_in_view.h"
#include "handlers/handlers.h"
#include "handlers/suggestion.h"
#include "results_internal.h"
#include "second_internal.h"
#include "store/results.h"

enum { ACTIVITIES = 3 };

enum step {
    STEP_CLOSER, STEP_SAME, STEP_FURTHER, STEP_SCORE, STEP_NEW, STEP_TO_CHECK, STEP_NO_TRIES,
    STEP_KEPT, STEP_COUNT
};

static const char *const step_words[STEP_COUNT] = {
    "closer", "same", "further", "score", "new", "to_check", "no_tries", "second_view",
};

/* One child at one activity. */
struct next_of {
    enum step step;
    int32_t distance_mm;            /* 0: none */
    const char *version;            /* NULL: no tries */
};

/* An activity that the class did in the unit, at the revision set last. */
struct done {
    const struct activity *activity;
    int32_t last_day;               /* 0: nothing came in yet */
    struct next_of *of;             /* one for each row of the results */
};

struct plan {
    struct request *rq;
    struct buf *b;
    const struct results *r;
    struct done done[ACTIVITIES];
    size_t n;
    struct second_blind_list blind; /* children that this person is to look at unknowing */
};

/* Finding out ---------------------------------------------------------------------------------- */

static bool is_try(const struct hand_in *h, const struct activity *a)
{
    return h->activity.v == a->id.v && h->attempt_count > 0 && h->could_not == NULL;
}

static int32_t last_day_of(const struct results *r, const struct activity *a)
{
    int32_t day = 0;
    for (size_t i = 0; i < r->row_count; i++) {
        const struct hand_in_list *l = &r->rows[i].hand_ins;
        for (size_t k = 0; k < l->n; k++) {
            if (is_try(&l->v[k], a) && l->v[k].state == HAND_IN_COUNTS && l->v[k].done_day > day) {
                day = l->v[k].done_day;
            }
        }
    }
    return day;
}

/* Kept by day, latest first; of equal days what was set later comes first. */
static void keep_latest(struct plan *p, const struct done *d)
{
    size_t i = p->n;
    while (i > 0 && p->done[i - 1].last_day < d->last_day) {
        i--;
    }
    if (i == ACTIVITIES) {
        return;
    }
    p->n += p->n < ACTIVITIES;
    for (size_t k = p->n - 1; k > i; k--) {
        p->done[k] = p->done[k - 1];
    }
    p->done[i] = *d;
}

/* The activities that were done last; one that was set but not done only when there is no other. */
static enum err find_done(struct plan *p)
{
    const struct results *r = p->r;
    for (size_t i = r->challenge_count; i > 0; i--) {           /* newest first */
        struct done d = {0};
        bool known = false;
        for (size_t k = i; k < r->challenge_count; k++) {
            known = known || r->challenges[k].activity.v == r->challenges[i - 1].activity.v;
        }
        enum err e = known ? OK : activity_load(p->rq->store, r->challenges[i - 1].revision,
                                                &d.activity);
        if (e != OK) {
            return e;
        }
        if (!known) {
            d.last_day = last_day_of(r, d.activity);
            keep_latest(p, &d);
        }
    }
    while (p->n > 1 && p->done[p->n - 1].last_day == 0) {
        p->n--;
    }
    return OK;
}

static enum step step_of(enum next_kind k)
{
    switch (k) {
    case NEXT_CLOSER:
        return STEP_CLOSER;
    case NEXT_SAME:
        return STEP_SAME;
    case NEXT_FURTHER:
        return STEP_FURTHER;
    case NEXT_SCORE:
        return STEP_SCORE;
    case NEXT_AGAIN:
        return STEP_NEW;
    default:
        return STEP_NO_TRIES;
    }
}

static enum err find_next(struct plan *p, const struct results_row *row, const struct activity *a,
                          struct next_of *out)
{
    const struct hand_in *last = NULL;
    struct hand_in_list history;
    struct outlook o;
    bool waiting = false;
    *out = (struct next_of){.step = STEP_NO_TRIES};
    for (size_t i = 0; i < row->hand_ins.n; i++) {
        const struct hand_in *h = &row->hand_ins.v[i];
        last = is_try(h, a) && h->state == HAND_IN_COUNTS ? h : last;
        waiting = waiting || (is_try(h, a) && h->state == HAND_IN_TO_CHECK);
    }
    if (last == NULL) {
        out->step = waiting ? STEP_TO_CHECK : STEP_NO_TRIES;
        return OK;
    }
    const struct hand_in_scope scope = {
        .pupil = row->pupil.id, .activity = a->id, .from_day = school_year_first(last->done_day),
    };
    const struct activity *then;
    enum err e = activity_load(p->rq->store, last->revision, &then);
    if (e == OK) {
        e = hand_ins_of_pupil_activity(p->rq->store, p->rq->mem, &scope, &history);
    }
    if (e == OK) {
        const struct outlook_ask ask = {then, last, &history};
        e = outlook_of(p->rq, &ask, &o);
    }
    if (e == OK) {
        out->step = step_of(o.next.kind);
        out->distance_mm = out->step <= STEP_FURTHER ? o.next.distance_mm : 0;
        out->version = last->version_kind;
    }
    return e;
}

static enum err find_all(struct plan *p)
{
    enum err e = find_done(p);
    for (size_t i = 0; e == OK && i < p->n; i++) {
        p->done[i].of = mem_array(p->rq->mem, struct next_of, p->r->row_count);
        for (size_t k = 0; e == OK && k < p->r->row_count; k++) {
            if (second_view_hides(&p->blind, p->r->unit.id, p->r->rows[k].pupil.id)) {
                p->done[i].of[k].step = STEP_KEPT;
                continue;
            }
            e = find_next(p, &p->r->rows[k], p->done[i].activity, &p->done[i].of[k]);
        }
    }
    return e;
}

/* Was this teaching point of the activity seen in this unit: 1 seen, 0 looked for and not seen, -1
 * not looked for. A later revision has the same point under another id. */
static int seen_of(const struct results_row *row, const struct activity *a,
                   const struct activity_cue *c)
{
    for (size_t i = 0; i < row->seen_count; i++) {
        if (seen_is_of(&row->seen[i], a->id, c->text)) {
            return row->seen[i].seen;
        }
    }
    return -1;
}

/* Saying --------------------------------------------------------------------------------------- */

static void view_pupil(struct buf *b, const struct pupil_row *p, const struct next_of *n)
{
    buf_str(b, "{\"id\":");
    view_id(b, p->id.v);
    buf_str(b, ",\"display_name\":");
    json_txt(b, p->display_name);
    if (n != NULL) {
        buf_str(b, ",\"version\":");
        json_txt(b, n->version);
        buf_str(b, ",\"distance_mm\":");
        if (n->distance_mm > 0) {
            buf_int(b, n->distance_mm);
        } else {
            buf_str(b, "null");
        }
    }
    buf_str(b, "}");
}

/* What the activity says about making it easier or harder, for this step. */
static void view_steps(struct buf *b, const struct activity *a, enum step step)
{
    size_t said = 0;
    buf_str(b, "\"words\":[");
    for (size_t i = 0; i < a->step_count; i++) {
        const struct activity_step *s = &a->steps[i];
        bool space = s->change == CHANGE_SPACE;
        const char *text = step == STEP_CLOSER && space ? s->easier
                           : step == STEP_FURTHER && space ? s->harder
                           : step == STEP_NEW && !space ? s->harder : NULL;
        if (text != NULL && text[0] != '\0') {
            buf_str(b, said++ > 0 ? "," : "");
            json_txt(b, text);
        }
    }
    buf_str(b, "]");
}

static void view_group(const struct plan *p, const struct done *d, enum step step)
{
    size_t said = 0;
    buf_printf(p->b, "{\"step\":\"%s\",", step_words[step]);
    view_steps(p->b, d->activity, step);
    buf_str(p->b, ",\"pupils\":[");
    for (size_t i = 0; i < p->r->row_count; i++) {
        if (d->of[i].step == step) {
            buf_str(p->b, said++ > 0 ? "," : "");
            view_pupil(p->b, &p->r->rows[i].pupil, &d->of[i]);
        }
    }
    buf_str(p->b, "]}");
}

static void view_groups(const struct plan *p, const struct done *d)
{
    size_t said = 0;
    buf_str(p->b, ",\"groups\":[");
    for (int step = 0; step < STEP_COUNT; step++) {
        bool any = false;
        for (size_t i = 0; i < p->r->row_count; i++) {
            any = any || d->of[i].step == (enum step)step;
        }
        if (any) {
            buf_str(p->b, said++ > 0 ? "," : "");
            view_group(p, d, (enum step)step);
        }
    }
    buf_str(p->b, "]");
}

static void view_cue_list(const struct plan *p, const struct done *d, const struct activity_cue *c,
                          int wanted)
{
    size_t said = 0;
    for (size_t i = 0; i < p->r->row_count; i++) {
        if (seen_of(&p->r->rows[i], d->activity, c) == wanted) {
            buf_str(p->b, said++ > 0 ? "," : "");
            view_pupil(p->b, &p->r->rows[i].pupil, NULL);
        }
    }
}

static void view_cues(const struct plan *p, const struct done *d)
{
    buf_str(p->b, ",\"cues\":[");
    for (size_t i = 0; i < d->activity->cue_count; i++) {
        const struct activity_cue *c = &d->activity->cues[i];
        buf_str(p->b, i > 0 ? ",{\"id\":" : "{\"id\":");
        view_id(p->b, c->id);
        buf_str(p->b, ",\"text\":");
        json_txt(p->b, c->text);
        buf_str(p->b, ",\"not_seen\":[");
        view_cue_list(p, d, c, 0);
        buf_str(p->b, "],\"not_looked\":[");
        view_cue_list(p, d, c, -1);
        buf_str(p->b, "]}");
    }
    buf_str(p->b, "]");
}

static void view_kit(struct buf *b, const struct activity *a)
{
    buf_str(b, ",\"kit\":[");
    for (size_t i = 0; i < a->kit_count; i++) {
        buf_str(b, i > 0 ? ",{\"item\":" : "{\"item\":");
        json_txt(b, a->kit[i].item);
        buf_str(b, ",\"swap\":");
        json_txt(b, a->kit[i].swap == NULL ? "" : a->kit[i].swap);
        buf_str(b, "}");
    }
    buf_str(b, "],\"safety\":[");
    for (size_t i = 0; i < a->safety_count; i++) {
        buf_str(b, i > 0 ? "," : "");
        json_txt(b, a->safety[i]);
    }
    buf_str(b, "]");
}

static void view_done(const struct plan *p, const struct done *d)
{
    buf_str(p->b, "{\"activity\":{\"id\":");
    view_id(p->b, d->activity->id.v);
    buf_str(p->b, ",\"name\":");
    json_txt(p->b, d->activity->name);
    buf_str(p->b, "},\"last_on\":");
    if (d->last_day > 0) {
        view_day(p->b, d->last_day);
    } else {
        buf_str(p->b, "null");
    }
    view_groups(p, d);
    view_cues(p, d);
    view_kit(p->b, d->activity);
    buf_str(p->b, "}");
}

enum err h_unit_next_lesson_get(struct request *rq, struct reply *rp)
{
    struct results r;
    struct plan p = {.rq = rq, .r = &r};
    int64_t cls;
    enum err e = request_query_id(rq, "class", &cls);
    if (e == OK && cls == 0) {
        e = request_blame(rq, "/class", "required", NULL);
    }
    if (e != OK) {
        return e;
    }
    const struct results_ask ask = {
        .of = {{rq->args[0].id}, {cls}, clock_day(rq->now)}, .now = rq->now,
    };
    e = results_load(rq->store, rq->mem, &ask, &r);
    if (e == OK) {
        e = second_blind_load(rq, &p.blind);
    }
    if (e == OK) {
        e = find_all(&p);
    }
    if (e != OK) {
        return e;
    }
    p.b = reply_json_buf(rq, rp, 200);
    buf_str(p.b, "{\"unit\":{\"id\":");
    view_id(p.b, r.unit.id.v);
    buf_str(p.b, ",\"name\":");
    json_txt(p.b, r.unit.name);
    buf_printf(p.b, "},\"pupils\":%zu,\"activities\":[", r.row_count);
    for (size_t i = 0; i < p.n; i++) {
        buf_str(p.b, i > 0 ? "," : "");
        view_done(&p, &p.done[i]);
    }
    buf_str(p.b, "],\"note\":");
    json_txt(p.b, suggestion_note);
    buf_str(p.b, "}");
    return OK;
}
