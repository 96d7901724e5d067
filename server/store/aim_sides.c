/* SPDX-License-Identifier: MIT
 * Stored activities and tries as the distance model takes them. The zones have to be rectangles
 * with points of their own, so that a throw's points say where it landed; the size of the home's
 * target has to be stated, because it matters more than any formula. */
#include "gains_internal.h"

/* Thrown, slid or rolled at something that lies on the floor: misses are longer than wide. */
#define KAPPA_FLOOR 1.5
#define LAPSE 0.02

static double metres(struct optional_int v)
{
    return (double)v.v / 1000;
}

static bool is_rect(const struct activity_zone *z)
{
    return z->x1_mm.set && z->x2_mm.set && z->y1_mm.set && z->y2_mm.set;
}

static bool has_points(const struct aim *a, int points)
{
    for (int z = 0; z < a->zones; z++) {
        if (a->points[z] == points) {
            return true;
        }
    }
    return points == 0;
}

/* The largest rectangle is the target itself, and as wide as the home's. */
static bool fit_size(struct aim *a, int size_mm)
{
    int outer = 0;
    for (int z = 1; z < a->zones; z++) {
        outer = a->rect[z].x2 - a->rect[z].x1 > a->rect[outer].x2 - a->rect[outer].x1 ? z : outer;
    }
    struct aim_rect *r = &a->rect[outer];
    double f = a->zones > 0 && r->x2 > r->x1 ? size_mm / 1000.0 / (r->x2 - r->x1) : 0;
    r->x1 *= f;
    r->x2 *= f;
    r->y1 *= f;
    r->y2 *= f;
    return f > 0;
}

enum aim_fit aim_of(const struct activity *a, int size_mm, struct aim *out)
{
    *out = (struct aim){.throws = a->throws, .kappa = KAPPA_FLOOR, .lapse = LAPSE};
    if (a->kind != ACTIVITY_KIND_ZONES || a->distance_count == 0) {
        return AIM_NO_ZONES;
    }
    for (size_t i = 0; i < a->zone_count; i++) {
        const struct activity_zone *z = &a->zones[i];
        if (!is_rect(z) && z->points == 0) {
            continue;                   /* the miss is what is left */
        }
        if (!is_rect(z) || has_points(out, z->points) || out->zones == AIM_ZONES_MAX) {
            return AIM_NO_ZONES;
        }
        out->rect[out->zones] = (struct aim_rect){metres(z->x1_mm), metres(z->x2_mm),
                                                  metres(z->y1_mm), metres(z->y2_mm)};
        out->points[out->zones++] = z->points;
    }
    if (out->zones == 0) {
        return AIM_NO_ZONES;
    }
    return size_mm > 0 && fit_size(out, size_mm) ? AIM_FITS : AIM_NO_SIZE;
}

/* By zone, then misses. False: points that no zone gives. */
static bool count_throws(const struct aim *a, const struct hand_in_attempt *t, int *counts)
{
    for (int i = 0; i < t->throw_count; i++) {
        int z = 0;
        while (z < a->zones && a->points[z] != t->throws[i]) {
            z++;
        }
        if (z == a->zones && t->throws[i] != 0) {
            return false;
        }
        counts[z]++;
    }
    return true;
}

enum aim_fit aim_add(const struct activity *a, const struct hand_in *h, struct aim_side *side)
{
    const struct activity_target *target = activity_target(a, h->target);
    int size = target != NULL ? target->size_mm : 0;
    enum aim_fit fit = aim_of(a, size, &side->aim);
    if (fit != AIM_FITS || (side->size_mm != 0 && side->size_mm != size)) {
        return fit != AIM_FITS ? fit : AIM_NO_SIZE;
    }
    side->size_mm = size;
    for (size_t i = 0; i < h->attempt_count && side->n < side->cap; i++) {
        const struct hand_in_attempt *t = &h->attempts[i];
        struct aim_attempt to = {.distance = t->distance_mm / 1000.0,
                                 .known = t->throw_count > 0, .total = (int)t->value};
        if (t->part && !to.known) {
            continue;
        }
        if (t->distance_mm <= 0) {
            return AIM_NO_DISTANCE;
        }
        if (!count_throws(&side->aim, t, to.counts)) {
            return AIM_NO_ZONES;
        }
        side->v[side->n++] = to;
    }
    return AIM_FITS;
}
