/* SPDX-License-Identifier: MIT
 * Which test a pair of hand-ins gets. Throws and totals: the exact one. Counts: by what the class
 * shows, else by the time alone. Measures: by what the class shows, else silence. From two
 * distances: the angle of aim, an estimate. */
#include <math.h>

#include "base/mem.h"
#include "gains_internal.h"
#include "store/scoring.h"
#include "suggest_internal.h"

#define TAU_DAY 0.10
enum { AIM_THROWS_LEAST = 10 };

static void tell(struct gain *out, enum gain_category c, enum gain_why silence)
{
    out->category = c;
    out->why = c == GAIN_SILENT ? silence : GAIN_TOLD;
}

/* Measures, counts, and totals whose exact tables would be too large. */
static bool by_spread(const struct gain_pair *p, struct gain *out)
{
    double before[HAND_IN_ATTEMPTS], after[HAND_IN_ATTEMPTS], t;
    size_t nb = gain_values(p->activity, p->first, p->step_mm, before);
    size_t na = gain_values(p->activity, p->latest, p->step_mm, after);
    struct gain_means g = {
        .n_before = (int)nb, .n_after = (int)na, .s_w = p->spread->s_w, .nu = p->spread->nu,
        .s_day = p->spread->rho * p->spread->s_w, .nu_change = p->spread->nu_change,
    };
    out->route = GAIN_BY_SPREAD;
    if (nb == 0 || na == 0 || !(g.nu >= BAND_NU_LEAST) || !(g.s_w > 0)) {
        tell(out, GAIN_SILENT, nb == 0 || na == 0 ? GAIN_TOO_FEW : GAIN_NO_SPREAD);
        return false;
    }
    for (size_t i = 0; i < nb; i++) {
        g.before += before[i] / (double)nb;
    }
    for (size_t i = 0; i < na; i++) {
        g.after += after[i] / (double)na;
    }
    out->p.smallest = out->p.largest = gain_measure(&g, &t);
    tell(out, gain_measure_category(&g), GAIN_NO_SPREAD);
    return true;
}

static void sum_counts(const struct gain_pair *p, const struct hand_in *h, int64_t *sum, int *n)
{
    *sum = 0;
    *n = 0;
    for (size_t i = 0; i < h->attempt_count; i++) {
        const struct hand_in_attempt *a = &h->attempts[i];
        if (!a->part && gain_at_step(p->activity, a, p->step_mm)) {
            *sum += a->value;
            ++*n;
        }
    }
}

static void by_counts(const struct gain_pair *p, struct gain *out)
{
    struct gain_counted c;
    int nb, na;
    if (by_spread(p, out)) {
        return;
    }
    sum_counts(p, p->first, &c.before, &nb);
    sum_counts(p, p->latest, &c.after, &na);
    out->route = GAIN_BY_COUNTS;
    if (nb == 0 || na == 0) {
        tell(out, GAIN_SILENT, GAIN_TOO_FEW);
        return;
    }
    c.seconds_before = (double)p->activity->seconds * nb;
    c.seconds_after = (double)p->activity->seconds * na;
    out->p.smallest = out->p.largest =
        gain_counts(c.before, c.seconds_before, c.after, c.seconds_after);
    tell(out, gain_counts_category(&c), GAIN_TOO_FEW);
}

/* Attempts as outcomes. A part one is evidence only where its throws are known. */
static size_t outcomes_of(const struct gain_pair *p, const struct scoring *s,
                          const struct hand_in *h, struct outcome *v)
{
    size_t n = 0;
    for (size_t i = 0; i < h->attempt_count; i++) {
        const struct hand_in_attempt *a = &h->attempts[i];
        struct tried t = {
            .has_value = true, .value = a->value, .throw_count = a->throw_count,
            .distance_mm = a->distance_mm, .tries_used = a->tries_used,
        };
        if (!gain_at_step(p->activity, a, p->step_mm) || (a->part && a->throw_count == 0)) {
            continue;
        }
        for (int k = 0; k < a->throw_count && k < HAND_IN_THROWS; k++) {
            t.throws[k] = a->throws[k];
        }
        n += outcome_of(s, &t, a->part, &v[n]);
    }
    return n;
}

static bool pool_known(const struct outcome *v, size_t n, int *counts)
{
    bool known = true;
    for (size_t i = 0; i < n; i++) {
        known = known && v[i].known;
        for (int z = 0; z < SCORE_ZONES_MAX; z++) {
            counts[z] += v[i].counts[z];
        }
    }
    return known;
}

static void by_throws(struct store *st, const struct gain_pair *p, struct gain *out)
{
    struct scoring s;
    struct outcome before[HAND_IN_ATTEMPTS], after[HAND_IN_ATTEMPTS];
    int cb[SCORE_ZONES_MAX] = {0}, ca[SCORE_ZONES_MAX] = {0};
    scoring_of(p->activity, &s);
    size_t nb = outcomes_of(p, &s, p->first, before), na = outcomes_of(p, &s, p->latest, after);
    const struct gain_sides sides = {{before, nb}, {after, na}};
    bool known = pool_known(before, nb, cb);
    struct gain_judged j;
    out->route = GAIN_BY_THROWS;
    known = pool_known(after, na, ca) && known;
    if (nb == 0 || na == 0) {
        tell(out, GAIN_SILENT, GAIN_TOO_FEW);
    } else if (known && gain_throws(&s, cb, ca, suggest_room(st), &j.worst)) {
        out->p.smallest = out->p.largest = j.worst.up;
        tell(out, gain_category(&s, &j.worst, cb, ca), GAIN_TOO_FEW);
    } else if (!known && gain_totals(&s, &sides, suggest_room(st), &j.range, &j.worst)) {
        out->p = j.range;
        tell(out, gain_totals_category(&s, &sides, &j, &out->crosses), GAIN_TOO_FEW);
    } else {
        by_spread(p, out);
    }
}

void gain_same_step(struct store *st, const struct gain_pair *p, struct gain *out)
{
    switch (p->activity->kind) {
    case ACTIVITY_KIND_MEASURE:
        by_spread(p, out);
        break;
    case ACTIVITY_KIND_TIMED_COUNT:
        by_counts(p, out);
        break;
    default:
        by_throws(st, p, out);
    }
}

/* Across distances --- */

static enum gain_why why_of(enum aim_fit fit)
{
    return fit == AIM_NO_SIZE ? GAIN_UNKNOWN_TARGET : GAIN_DISTANCE;
}

/* Ten throws on each side, as everywhere in the distance model. */
static int throws_of(const struct aim_side *s)
{
    int n = 0;
    for (size_t i = 0; i < s->n; i++) {
        int own = 0;
        for (int z = 0; s->v[i].known && z <= AIM_ZONES_MAX; z++) {
            own += s->v[i].counts[z];
        }
        n += s->v[i].known ? own : s->aim.throws;
    }
    return n;
}

void gain_across(struct store *st, const struct gain_pair *p, const struct activity *then,
                 struct gain *out)
{
    struct aim_attempt vb[HAND_IN_ATTEMPTS], va[HAND_IN_ATTEMPTS];
    struct aim_side before = {.v = vb, .cap = HAND_IN_ATTEMPTS};
    struct aim_side after = {.v = va, .cap = HAND_IN_ATTEMPTS};
    struct aim_posterior pb, pa;
    out->route = GAIN_BY_AIM;
    out->estimate = true;
    enum aim_fit fit = aim_add(then, p->first, &before);
    fit = fit == AIM_FITS ? aim_add(p->activity, p->latest, &after) : fit;
    int32_t from = gain_step(then, p->first), to = gain_step(p->activity, p->latest);
    if (fit != AIM_FITS || from <= 0 || to <= 0 || p->kind != VERSION_STANDARD) {
        tell(out, GAIN_SILENT, why_of(fit));
        return;
    }
    if (throws_of(&before) < AIM_THROWS_LEAST || throws_of(&after) < AIM_THROWS_LEAST) {
        tell(out, GAIN_SILENT, GAIN_TOO_FEW);
        return;
    }
    if (!aim_learn(&before.aim, vb, before.n, suggest_room(st), &pb) ||
        !aim_learn(&after.aim, va, after.n, suggest_room(st), &pa)) {
        tell(out, GAIN_SILENT, GAIN_DISTANCE);
        return;
    }
    double closer = aim_closer_now(&pb, &pa, TAU_DAY);
    out->p.smallest = out->p.largest = 1 - closer;
    tell(out, gain_distance_category(closer, (double)from / to), GAIN_DISTANCE);
}
