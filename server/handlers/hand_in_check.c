/* SPDX-License-Identifier: MIT
 * What was sent against what was set: the assessment layer judges each attempt, ids must belong to
 * the revision, and a result that is possible but surprising is asked about once. Surprise is
 * measured against the child's own line; the class lends only how much tries of a measure vary. */
#include "assess/best.h"
#include "assess/surprise.h"
#include "base/clock.h"
#include "base/mem.h"
#include "hand_in_internal.h"
#include "store/bests.h"
#include "store/gains.h"
#include "store/pupils.h"
#include "store/scoring.h"
#include "store/school.h"
#include "store/starting_versions.h"

enum { SURPRISE_ROOM = 1 << 20 };

struct check {
    struct request *rq;
    struct hand_in_input *in;
    const struct activity *activity;
    const struct activity_version *version;
    struct scoring scoring;
    size_t asked;               /* blames that are questions, not refusals */
    bool ask;
};

static const char *attempt_at(const struct check *c, size_t i, const char *member)
{
    return mem_printf(c->rq->mem, "/attempts/%zu%s", i, member);
}

/* Where a refused attempt is wrong. */
static const char *pointer_of(const struct check *c, size_t i, const struct check_detail *d)
{
    const struct tried *t = &c->in->tried[i];
    switch (d->code) {
    case CHECK_NOTHING:
        return attempt_at(c, i, "");
    case CHECK_NOT_OF_THIS_KIND:
        return attempt_at(c, i, t->throw_count > 0 ? "/throws" : "/tries_used");
    case CHECK_WRONG_POINTS:
        return mem_printf(c->rq->mem, "/attempts/%zu/throws/%d", i, d->throw_index);
    case CHECK_TOO_MANY_THROWS:
        return attempt_at(c, i, "/throws");
    case CHECK_TRIES:
        return attempt_at(c, i, "/tries_used");
    case CHECK_DISTANCE:
    case CHECK_DISTANCE_UNUSUAL:
        return attempt_at(c, i, "/distance_mm");
    default:
        return attempt_at(c, i, t->has_value ? "/value" : "/throws");
    }
}

static json_t *more_of(const struct check_detail *d)
{
    json_t *more = d->nearest_count > 0 || d->has_meant ? json_object() : NULL;
    if (more && d->nearest_count > 0) {
        json_t *nearest = json_array();
        for (int i = 0; i < d->nearest_count; i++) {
            json_array_append_new(nearest, json_integer(d->nearest[i]));
        }
        json_object_set_new(more, "nearest", nearest);
    }
    if (more && d->has_meant) {
        json_object_set_new(more, "did_you_mean", json_integer(d->meant));
    }
    return more;
}

static void keep_attempt(struct hand_in_attempt *to, const struct tried *t,
                         const struct check_detail *d)
{
    *to = (struct hand_in_attempt){.value = d->value,
                                   .distance_mm = d->distance_mm,
                                   .tries_used = d->tries_used,
                                   .part = d->part};
    for (int i = 0; i < t->throw_count && i < HAND_IN_THROWS; i++) {
        to->throws[to->throw_count++] = (uint8_t)t->throws[i];
    }
}

static void check_attempts(struct check *c)
{
    struct hand_in *h = &c->in->h;
    for (size_t i = 0; i < c->in->tried_count; i++) {
        struct check_detail d;
        enum check_result r = check_attempt(&c->scoring, &c->in->tried[i], &d);
        if (r == CHECK_REJECT) {
            request_blame(c->rq, pointer_of(c, i, &d), check_code_word(d.code), more_of(&d));
            continue;
        }
        keep_attempt(&h->attempts[i], &c->in->tried[i], &d);
        if (r == CHECK_ASK && !h->confirmed) {
            request_blame(c->rq, pointer_of(c, i, &d), "confirm", more_of(&d));
            c->asked++;
        }
        c->ask = c->ask || r == CHECK_ASK;
    }
    h->attempt_count = c->in->tried_count;
}

/* Ids ------------------------------------------------------------------------------------------ */

static void check_ids(struct check *c)
{
    const struct hand_in *h = &c->in->h;
    for (size_t i = 0; i < h->cue_count; i++) {
        if (!activity_cue(c->activity, h->cues[i])) {
            request_blame(c->rq, mem_printf(c->rq->mem, "/cues/%zu", i), "not_a_choice", NULL);
        }
    }
    for (size_t i = 0; i < h->answer_count; i++) {
        const struct activity_question *q =
            activity_question(c->activity, h->answers[i].question);
        if (!q || !activity_choice(q, h->answers[i].choice)) {
            request_blame(c->rq,
                          mem_printf(c->rq->mem, "/answers/%lld",
                                     (long long)h->answers[i].question),
                          "not_a_choice", NULL);
        }
    }
    if (h->target != 0 && !activity_target(c->activity, h->target)) {
        request_blame(c->rq, "/setup/target", "not_a_choice", NULL);
    }
    if (h->kit != 0 && !activity_kit(c->activity, h->kit)) {
        request_blame(c->rq, "/setup/kit", "not_a_choice", NULL);
    }
}

static void check_count(struct check *c)
{
    if (c->in->tried_count == 0 && !c->in->h.could_not) {
        request_blame(c->rq, "/attempts", "required", NULL);
    }
    if (c->in->tried_count > (size_t)c->activity->attempts) {
        request_blame(c->rq, "/attempts", "too_many", NULL);
    }
}

/* Surprise ------------------------------------------------------------------------------------- */

struct own {
    int64_t *values;
    size_t n;
    int64_t top;                /* signed best */
    struct band_spread spread;  /* of a measure */
};

static void collect_own(struct request *rq, const struct best_line *line, bool lower,
                        struct own *own)
{
    own->values = mem_array(rq->mem, int64_t, line->n * HAND_IN_ATTEMPTS);
    for (size_t i = 0; i < line->n; i++) {
        const struct hand_in *h = line->hand_ins[i];
        for (size_t k = 0; k < h->attempt_count; k++) {
            if (h->attempts[k].part) {
                continue;
            }
            int64_t score = best_sign(h->attempts[k].value, lower);
            own->top = own->n == 0 || score > own->top ? score : own->top;
            own->values[own->n++] = h->attempts[k].value;
        }
    }
}

/* How much tries of the child's class vary at a measure, this school year. */
static enum err borrow_spread(const struct check *c, struct own *own)
{
    const struct activity *a = c->activity;
    int32_t today = clock_day(c->rq->now);
    struct home_class home = {.name = NULL};
    struct hand_in_list all;
    struct gains_class cls;
    enum err e = pupil_home_class(c->rq->store, c->rq->mem, c->in->h.pupil, today, &home);
    const struct hand_in_scope scope = {.cls = home.id, .activity = a->id, .today = today,
                                        .from_day = school_year_first(today)};
    if (e == OK) {
        e = hand_ins_of_class_activity(c->rq->store, c->rq->mem, &scope, &all);
    }
    if (e == OK) {
        e = gains_class_of(c->rq->store, &(struct gains_class_ask){&all, a}, &cls);
    }
    if (e == OK) {
        const struct gain_spread *sp = &cls.of[c->version->kind];
        own->spread = (struct band_spread){BAND_LOG, a->lower_is_better, a->resolution, sp->s_w,
                                           sp->nu, sp->rho};
    }
    return e;
}

static double tail_of(const struct check *c, const struct own *own, struct room *room, int64_t v)
{
    return c->activity->kind == ACTIVITY_KIND_MEASURE
               ? surprise_measure(&own->spread, own->values, own->n, v)
               : surprise_tail(&c->scoring, own->values, own->n, v, room);
}

static void ask_if_surprising(struct check *c, const struct own *own, struct room *room, size_t i)
{
    struct hand_in *h = &c->in->h;
    const struct hand_in_attempt *a = &h->attempts[i];
    bool higher = best_sign(a->value, c->activity->lower_is_better) > own->top;
    if (a->part || !higher || !surprise_asks(tail_of(c, own, room, a->value))) {
        return;
    }
    c->ask = true;
    if (!h->confirmed) {
        bool typed = c->in->tried[i].has_value;
        request_blame(c->rq, attempt_at(c, i, typed ? "/value" : "/throws"), "confirm", NULL);
        c->asked++;
    }
}

static enum err check_surprise(struct check *c, const struct hand_in_about *about)
{
    struct best_line line;
    const struct best_line_ask ask = {.all = &about->history,
                                      .activity = c->activity,
                                      .version = c->version,
                                      .before_seq = INT64_MAX};
    enum err e = best_line_for(c->rq->store, c->rq->mem, &ask, &line);
    if (e != OK || line.n == 0) {
        return e;
    }
    struct own own = {0};
    collect_own(c->rq, &line, c->activity->lower_is_better, &own);
    if (own.n < 2) {
        return OK;
    }
    if (c->activity->kind == ACTIVITY_KIND_MEASURE) {
        e = borrow_spread(c, &own);
        if (e != OK) {
            return e;
        }
    }
    struct room room = {.base = talloc_size(c->rq->mem, SURPRISE_ROOM), .size = SURPRISE_ROOM};
    for (size_t i = 0; room.base && i < c->in->h.attempt_count; i++) {
        ask_if_surprising(c, &own, &room, i);
    }
    talloc_free(room.base);
    return OK;
}

enum err hand_in_check(struct request *rq, struct hand_in_input *in,
                       const struct hand_in_about *about)
{
    struct check c = {.rq = rq, .in = in, .activity = about->activity};
    enum version_kind start = VERSION_STANDARD;
    if (in->h.version.v == 0) {
        enum err e = starting_version_get(rq->store, in->h.pupil, in->h.challenge, &start);
        if (e != OK) {
            return e;
        }
    }
    c.version = in->h.version.v == 0 ? activity_version_of(c.activity, start)
                                     : activity_version(c.activity, in->h.version);
    if (!c.version) {
        return request_blame(rq, "/version", "not_a_choice", NULL);
    }
    in->h.version = c.version->id;
    in->h.version_kind = version_kind_word(c.version->kind);
    scoring_of(c.activity, &c.scoring);
    check_count(&c);
    if (rq->blame_count == 0) {
        check_attempts(&c);
    }
    check_ids(&c);
    if (rq->blame_count > c.asked) {
        return ERR_BAD_INPUT;
    }
    if (c.asked == 0) {
        enum err e = check_surprise(&c, about);
        if (e != OK) {
            return e;
        }
    }
    in->h.surprising = c.ask;
    hand_in_settle(&in->h, c.activity->lower_is_better);
    return c.asked > 0 ? ERR_CONFIRM : OK;
}
