/* SPDX-License-Identifier: MIT
 * Gathers tries of the standard version for the distance model and asks it once. */
#include "store/estimate.h"

#include "base/mem.h"
#include "gains_internal.h"
#include "store/scoring.h"
#include "suggest_internal.h"

#define TAU_DAY 0.10
#define RATIO_MOST 1.75
enum { ATTEMPTS_STANDARD = 3 };

static enum estimate_why why_of(enum aim_fit fit)
{
    static const enum estimate_why words[] = {
        [AIM_FITS] = ESTIMATE_TOLD, [AIM_NO_ZONES] = ESTIMATE_NOT_MEANT,
        [AIM_NO_SIZE] = ESTIMATE_NO_SIZE, [AIM_NO_DISTANCE] = ESTIMATE_NO_DISTANCE,
    };
    return words[fit];
}

/* The activity's steps from which the reference can be told. */
static void near_steps(const struct activity *a, struct estimate *out)
{
    for (size_t i = 0; i < a->distance_count; i++) {
        double ratio = (double)a->distances_mm[i] / a->reference_mm;
        if (ratio <= RATIO_MOST && ratio >= 1 / RATIO_MOST) {
            out->near_mm = out->near_mm == 0 ? a->distances_mm[i] : out->near_mm;
            out->far_mm = a->distances_mm[i];
        }
    }
}

static bool at_reference(const struct activity *a, const struct hand_in *h)
{
    for (size_t i = 0; i < h->attempt_count; i++) {
        if (h->attempts[i].distance_mm > 0 && gain_at_step(a, &h->attempts[i], a->reference_mm)) {
            return true;
        }
    }
    return false;
}

static void note_distances(const struct aim_side *side, struct estimate *out)
{
    for (size_t i = 0; i < side->n; i++) {
        int32_t mm = (int32_t)(side->v[i].distance * 1000 + 0.5);
        out->from_low_mm = out->from_low_mm == 0 || mm < out->from_low_mm ? mm : out->from_low_mm;
        out->from_high_mm = mm > out->from_high_mm ? mm : out->from_high_mm;
    }
}

/* All tries that count. *why is ESTIMATE_TOLD when they fit the model, else why not; tries made at
 * the reference need no estimate. */
static enum err gather(struct store *st, const struct estimate_ask *ask, struct aim_side *side,
                       enum estimate_why *why)
{
    *why = ESTIMATE_NOT_MEANT;
    enum aim_fit fit = AIM_FITS;
    for (size_t i = 0; i < ask->hand_ins->n; i++) {
        const struct hand_in *h = &ask->hand_ins->v[i];
        const struct activity *a;
        if (h->state != HAND_IN_COUNTS || h->attempt_count == 0 ||
            h->activity.v != ask->activity->id.v ||
            version_kind_of(h->version_kind) != VERSION_STANDARD) {
            continue;
        }
        enum err e = activity_load(st, h->revision, &a);
        if (e != OK) {
            return e;
        }
        if (!scoring_same(a, ask->activity)) {
            continue;
        }
        if (at_reference(ask->activity, h)) {
            *why = ESTIMATE_NOT_MEANT;
            return OK;
        }
        fit = fit == AIM_FITS ? aim_add(a, h, side) : fit;
        *why = why_of(fit);
    }
    return OK;
}

static enum estimate_why limits(const struct aim_side *side, double reference)
{
    if (aim_usable(side->v, side->n, side->aim.throws, reference)) {
        return ESTIMATE_TOLD;
    }
    for (size_t i = 0; i < side->n; i++) {
        double ratio = side->v[i].distance / reference;
        if (ratio <= RATIO_MOST && ratio >= 1 / RATIO_MOST) {
            return ESTIMATE_FEW;
        }
    }
    return ESTIMATE_FAR;
}

/* The most probable band, never called surer than fairly. */
static void conclude(const struct band_rule *r, const double *tails, struct estimate *out)
{
    struct band_answer a = {.likelier = -1};
    double most = -1;
    for (size_t b = 0; b <= r->lines; b++) {
        double p = (b == 0 ? 1 : tails[b - 1]) - (b < r->lines ? tails[b] : 0);
        if (p > most) {
            most = p;
            a.band = (int)b;
        }
    }
    band_conclude(r, tails, 0, 0, &a);
    out->label = a.label > BAND_FAIRLY ? BAND_FAIRLY : a.label;
    out->band = r->lines > 0 && a.label != BAND_NOT_ENOUGH ? a.band : -1;
}

static bool predict(struct store *st, const struct estimate_ask *ask, const struct aim_side *side,
                    struct estimate *out)
{
    const struct activity *a = ask->activity;
    const struct activity_version *v = activity_version_of(a, VERSION_STANDARD);
    struct aim_posterior p;
    struct aim_prediction now;
    int asked = a->attempts < ATTEMPTS_STANDARD ? a->attempts : ATTEMPTS_STANDARD;
    struct band_rule r = band_rule_default(ask->stat, asked);
    for (size_t i = 0; v != NULL && i < v->band_line_count; i++) {
        r.line[r.lines++] = (double)v->band_lines[i];
    }
    const struct aim_at at = {a->reference_mm / 1000.0, &r};
    if (!aim_learn(&side->aim, side->v, side->n, suggest_room(st), &p)) {
        return false;
    }
    aim_another_day(&p, TAU_DAY);
    if (!aim_predict(&side->aim, &p, &at, suggest_room(st), &now)) {
        return false;
    }
    out->mean = now.mean;
    out->lo = now.lo;
    out->hi = now.hi;
    conclude(&r, now.tails, out);
    return true;
}

enum err estimate_of(struct store *st, void *ctx, const struct estimate_ask *ask,
                     struct estimate *out)
{
    size_t most = ask->hand_ins->n * HAND_IN_ATTEMPTS;
    struct aim_side side = {.v = mem_array(ctx, struct aim_attempt, most), .cap = most};
    *out = (struct estimate){.why = ESTIMATE_NOT_MEANT, .band = -1,
                             .distance_mm = ask->activity->reference_mm};
    if (ask->activity->reference_mm <= 0) {
        return OK;
    }
    near_steps(ask->activity, out);
    enum err e = gather(st, ask, &side, &out->why);
    if (e != OK || out->why != ESTIMATE_TOLD) {
        return e;
    }
    note_distances(&side, out);
    out->why = limits(&side, ask->activity->reference_mm / 1000.0);
    if (out->why == ESTIMATE_TOLD && !predict(st, ask, &side, out)) {
        out->why = ESTIMATE_NOT_MEANT;      /* too large for the lent room */
    }
    return OK;
}

const char *estimate_why_word(enum estimate_why w)
{
    static const char *const words[] = {
        [ESTIMATE_TOLD] = NULL, [ESTIMATE_NOT_MEANT] = NULL,
        [ESTIMATE_NO_SIZE] = "unknown_target", [ESTIMATE_NO_DISTANCE] = "unknown_distance",
        [ESTIMATE_FEW] = "too_few_throws", [ESTIMATE_FAR] = "too_far",
    };
    return words[w];
}
