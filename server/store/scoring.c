/* SPDX-License-Identifier: MIT
 * Stored activities as scorings. A revision may change what is scored: results from before and
 * after such a change are never put on one line. */
#include "store/scoring.h"

static int64_t limit_of(struct optional_int v)
{
    return v.set ? v.v : SCORE_NO_LIMIT;
}

static enum score_kind kind_of(enum activity_kind k)
{
    switch (k) {
    case ACTIVITY_KIND_ZONES:
        return SCORE_ZONES;
    case ACTIVITY_KIND_SUCCESSES:
        return SCORE_SUCCESSES;
    case ACTIVITY_KIND_TIMED_COUNT:
        return SCORE_TIMED_COUNT;
    default:
        return SCORE_MEASURE;
    }
}

void scoring_of(const struct activity *a, struct scoring *out)
{
    *out = scoring_empty(kind_of(a->kind));
    out->attempts = a->attempts;
    out->throws = a->throws;
    for (size_t i = 0; i < a->zone_count; i++) {
        scoring_add(out, a->zones[i].points);
    }
    out->cap = a->cap;
    out->seconds = a->seconds;
    out->hard_low = limit_of(a->hard_low);
    out->hard_high = limit_of(a->hard_high);
    out->soft_low = limit_of(a->soft_low);
    out->soft_high = limit_of(a->soft_high);
    out->lower_is_better = a->lower_is_better;
    out->resolution = a->resolution;
    for (size_t i = 0; i < a->distance_count && i < SCORE_DISTANCES_MAX; i++) {
        out->distances_mm[i] = a->distances_mm[i];
        out->distances = (int)i + 1;
    }
}

static bool has_points(const struct scoring *s, int points)
{
    for (int i = 0; i < s->zones; i++) {
        if (s->points[i] == points) {
            return true;
        }
    }
    return false;
}

bool scoring_same(const struct activity *a, const struct activity *b)
{
    if (a == b) {
        return true;
    }
    struct scoring x, y;
    scoring_of(a, &x);
    scoring_of(b, &y);
    if (x.kind != y.kind || a->unit != b->unit || x.throws != y.throws || x.zones != y.zones ||
        x.cap != y.cap || x.seconds != y.seconds || x.lower_is_better != y.lower_is_better) {
        return false;
    }
    for (int i = 0; i < x.zones; i++) {
        if (!has_points(&y, x.points[i])) {
            return false;
        }
    }
    return true;
}
