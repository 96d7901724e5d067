/* SPDX-License-Identifier: MIT
 * Which two hand-ins are compared: the latest that counts, and the first of the same school year
 * (or since the fresh start) that is comparable with it: the same activity, the same kind of
 * version, scored alike, from the same place. Where the child was never at that place before, the
 * first from elsewhere is taken, and the answer is an estimate at most. */
#include "store/gains.h"

#include <math.h>

#include "assess/spread.h"
#include "base/mem.h"
#include "gains_internal.h"
#include "store/bests.h"
#include "store/school.h"
#include "store/scoring.h"

bool gain_at_step(const struct activity *a, const struct hand_in_attempt *t, int32_t step_mm)
{
    int32_t off = t->distance_mm - step_mm;
    return a->distance_count == 0 || (off >= -SAME_STEP_MM && off <= SAME_STEP_MM);
}

int32_t gain_step(const struct activity *a, const struct hand_in *h)
{
    int32_t step = 0;
    size_t most = 0;
    for (size_t i = 0; a->distance_count > 0 && i < h->attempt_count; i++) {
        int32_t at = h->attempts[i].distance_mm;
        size_t n = 0;
        for (size_t k = 0; k < h->attempt_count; k++) {
            n += !h->attempts[k].part && gain_at_step(a, &h->attempts[k], at);
        }
        if (n > most || (n == most && at > step)) {
            most = n;
            step = at;
        }
    }
    return step;
}

enum band_scale gain_scale(const struct activity *a)
{
    return a->kind == ACTIVITY_KIND_MEASURE ? BAND_LOG
           : a->kind == ACTIVITY_KIND_TIMED_COUNT ? BAND_SQRT : BAND_RAW;
}

size_t gain_values(const struct activity *a, const struct hand_in *h, int32_t step_mm, double *y)
{
    enum band_scale scale = gain_scale(a);
    size_t n = 0;
    for (size_t i = 0; i < h->attempt_count; i++) {
        const struct hand_in_attempt *t = &h->attempts[i];
        if (!t->part && gain_at_step(a, t, step_mm) && (scale != BAND_LOG || t->value > 0)) {
            y[n++] = spread_scale(scale, a->lower_is_better, (double)t->value);
        }
    }
    return n;
}

/* The class --- */

static bool is_evidence(const struct hand_in *h)
{
    return h->state == HAND_IN_COUNTS && h->could_not == NULL && h->attempt_count > 0;
}

/* One version's sums, and the pupil in hand: its first hand-in and its latest so far. */
struct summing {
    struct spread_sum sum;
    int64_t pupil;
    int32_t step_mm;
    double first, latest;
    size_t first_n, latest_n;
};

static void end_pupil(struct summing *s)
{
    spread_pair(&s->sum, s->first, s->first_n, s->latest, s->latest_n);
    s->first_n = s->latest_n = 0;
}

static void sum_hand_in(struct summing *s, const struct activity *a, const struct hand_in *h)
{
    double y[HAND_IN_ATTEMPTS], mean = 0;
    int32_t step = gain_step(a, h);
    size_t n = gain_values(a, h, step, y);
    if (n == 0) {
        return;
    }
    spread_add(&s->sum, y, n);
    for (size_t i = 0; i < n; i++) {
        mean += y[i] / (double)n;
    }
    if (s->pupil != h->pupil.v) {
        end_pupil(s);
        s->pupil = h->pupil.v;
        s->first = mean;
        s->first_n = n;
        s->step_mm = step;
    } else if (step >= s->step_mm - SAME_STEP_MM && step <= s->step_mm + SAME_STEP_MM) {
        s->latest = mean;
        s->latest_n = n;
    }
}

static void close_sums(struct summing *s, struct gain_spread *out)
{
    struct band_spread sp = {0};
    end_pupil(s);
    spread_close(&s->sum, &sp);
    *out = (struct gain_spread){.s_w = sp.s_w, .nu = sp.nu, .rho = sp.rho};
    if (s->sum.pairs >= SPREAD_PAIRS_LEAST) {
        out->nu_change = (double)s->sum.pairs - 1;
    }
}

enum err gains_class_of(struct store *st, const struct gains_class_ask *ask,
                        struct gains_class *out)
{
    struct summing sums[VERSION_KIND_COUNT] = {0};
    for (size_t i = 0; i < ask->hand_ins->n; i++) {
        const struct hand_in *h = &ask->hand_ins->v[i];
        const struct activity *a;
        int kind = version_kind_of(h->version_kind);
        if (!is_evidence(h) || kind < 0 || h->activity.v != ask->activity->id.v) {
            continue;
        }
        enum err e = activity_load(st, h->revision, &a);
        if (e != OK) {
            return e;
        }
        if (scoring_same(a, ask->activity)) {
            sum_hand_in(&sums[kind], a, h);
        }
    }
    for (int k = 0; k < VERSION_KIND_COUNT; k++) {
        close_sums(&sums[k], &out->of[k]);
    }
    return OK;
}

/* One pupil --- */

static bool later(const struct hand_in *a, const struct hand_in *b)
{
    return a->done_day != b->done_day ? a->done_day > b->done_day : a->seq > b->seq;
}

static const struct hand_in *latest_of(const struct gain_ask *ask, size_t *counted)
{
    const struct hand_in *latest = NULL;
    *counted = 0;
    for (size_t i = 0; i < ask->hand_ins->n; i++) {
        const struct hand_in *h = &ask->hand_ins->v[i];
        if (is_evidence(h) && h->activity.v == ask->activity->id.v &&
            h->done_day >= ask->fresh_day) {
            latest = latest == NULL || later(h, latest) ? h : latest;
            ++*counted;
        }
    }
    return latest;
}

/* The hand-ins that may stand on one line with the latest, oldest first. */
static enum err comparable(struct store *st, void *ctx, const struct gain_ask *ask,
                           struct gain_pair *p, struct best_line *line)
{
    int32_t year = school_year_first(p->latest->done_day);
    const struct best_line_ask which = {
        .all = ask->hand_ins, .activity = p->activity,
        .version = activity_version_of(p->activity, p->kind), .before_seq = INT64_MAX,
        .from_day = ask->fresh_day > year ? ask->fresh_day : year,
    };
    return which.version == NULL ? ERR_INTERNAL : best_line_for(st, ctx, &which, line);
}

static bool has_step(const struct gain_pair *p, const struct hand_in *h)
{
    for (size_t i = 0; i < h->attempt_count; i++) {
        if (gain_at_step(p->activity, &h->attempts[i], p->step_mm)) {
            return true;
        }
    }
    return false;
}

static void pick_first(const struct best_line *line, struct gain_pair *p)
{
    p->step_mm = gain_step(p->activity, p->latest);
    for (size_t i = 0; i < line->n && p->first == NULL; i++) {
        const struct hand_in *h = line->hand_ins[i];
        p->first = h != p->latest && h->could_not == NULL && has_step(p, h) ? h : NULL;
    }
}

static void note_pair(const struct gain_pair *p, struct gain *out)
{
    out->first_day = p->first->done_day;
    out->first_seq = p->first->seq;
    out->latest_day = p->latest->done_day;
    out->latest_seq = p->latest->seq;
}

/* The same place first; then another, if there is one and the school wants estimates. */
static enum err compare(struct store *st, const struct best_line *line, bool estimates,
                        struct gain_pair *p, struct gain *out)
{
    bool placed = p->activity->distance_count == 0 || p->step_mm > 0;
    if (p->first != NULL && placed) {
        note_pair(p, out);
        out->step_mm = p->step_mm;
        gain_same_step(st, p, out);
        return OK;
    }
    const struct activity *then;
    p->first = line->hand_ins[0];
    if (!estimates) {
        note_pair(p, out);
        out->why = GAIN_DISTANCE;
        return OK;
    }
    enum err e = activity_load(st, p->first->revision, &then);
    if (e == OK) {
        note_pair(p, out);
        gain_across(st, p, then, out);
    }
    return e;
}

enum err gain_of(struct store *st, void *ctx, const struct gain_ask *ask, struct gain *out)
{
    struct best_line line;
    struct gain_pair p = {0};
    size_t counted;
    *out = (struct gain){.why = GAIN_NO_HAND_IN, .category = GAIN_SILENT, .p = {1, 1}};
    p.latest = latest_of(ask, &counted);
    if (p.latest == NULL) {
        return OK;
    }
    int kind = version_kind_of(p.latest->version_kind);
    enum err e = kind < 0 ? ERR_INTERNAL : activity_load(st, p.latest->revision, &p.activity);
    if (e != OK) {
        return e;
    }
    p.kind = (enum version_kind)kind;
    p.spread = &ask->cls->of[kind];
    e = comparable(st, ctx, ask, &p, &line);
    if (e != OK) {
        return e;
    }
    out->latest_day = p.latest->done_day;
    if (line.n < 2) {
        out->why = counted > 1 ? GAIN_NOT_COMPARABLE : GAIN_ONE_HAND_IN;
        return OK;
    }
    pick_first(&line, &p);
    return compare(st, &line, ask->estimates, &p, out);
}

const char *gain_why_word(enum gain_why w)
{
    static const char *const words[] = {
        [GAIN_TOLD] = NULL, [GAIN_NO_HAND_IN] = "no_hand_in", [GAIN_ONE_HAND_IN] = "one_hand_in",
        [GAIN_NOT_COMPARABLE] = "not_comparable", [GAIN_TOO_FEW] = "too_few_throws",
        [GAIN_NO_SPREAD] = "spread_unknown", [GAIN_DISTANCE] = "distance",
        [GAIN_UNKNOWN_TARGET] = "unknown_target",
    };
    return words[w];
}
