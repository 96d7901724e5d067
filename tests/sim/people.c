/* SPDX-License-Identifier: MIT
 * The invented throwers: an angular spread each, another a little wider or narrower day by day,
 * and where that puts the throws of an attempt on a target. */
#include <math.h>
#include <string.h>

#include "sim.h"

const struct crowd crowd_usual = {0.08, 0.5};
const struct scheme slide = {SCORE_ZONES, 3, 4, {0, 2, 5}, {0, 0.5, 0.25}};
const struct scheme squares = {SCORE_ZONES, 4, 6, {0, 1, 2, 4}, {0, 0.5, 0.3, 0.15}};
const struct scheme hit_or_miss = {SCORE_SUCCESSES, 2, 12, {0, 1}, {0}};

struct scoring scheme_scoring(const struct scheme *s)
{
    struct scoring out = scoring_empty(s->kind);
    out.throws = s->throws;
    for (int z = 0; s->kind == SCORE_ZONES && z < s->zones; z++) {
        scoring_add(&out, s->points[z]);
    }
    return out;
}

struct aim scheme_aim(const struct scheme *s)
{
    struct aim a = {.zones = s->zones - 1, .throws = s->throws, .kappa = 1, .lapse = 0.02};
    for (int z = 1; z < s->zones; z++) {
        int place = s->zones - 1 - z;           /* the smallest square wins */
        a.rect[place] = (struct aim_rect){-s->half[z], s->half[z], -s->half[z], s->half[z]};
        a.points[place] = s->points[z];
    }
    return a;
}

double crowd_sigma(const struct crowd *c, struct rng *r)
{
    return c->median * exp(c->log_sd * rng_normal(r));
}

double on_a_day(double sigma, double tau, struct rng *r)
{
    return tau > 0 ? sigma * exp(tau * rng_normal(r)) : sigma;
}

struct thrower thrower_of(const struct scheme *s, double sigma, double distance)
{
    struct aim a = scheme_aim(s);
    struct thrower t = {.zones = s->zones};
    double p[AIM_ZONES_MAX + 1];
    aim_zone_probs(&a, sigma, distance, p);
    for (int z = 0; z < s->zones; z++) {
        t.p[z] = p[s->zones - 1 - z];
    }
    return t;
}

void throw_counts(const struct thrower *t, int throws, struct rng *r, int *counts)
{
    memset(counts, 0, (size_t)t->zones * sizeof *counts);
    for (int i = 0; i < throws; i++) {
        double u = rng_unit(r);
        int z = 0;
        while (z < t->zones - 1 && u >= t->p[z]) {
            u -= t->p[z++];
        }
        counts[z]++;
    }
}

int scheme_earned(const struct scheme *s, const int *counts)
{
    int sum = 0;
    for (int z = 0; z < s->zones; z++) {
        sum += counts[z] * s->points[z];
    }
    return sum;
}

struct outcome throw_attempt(const struct scheme *s, const struct thrower *t, struct rng *r)
{
    struct outcome o = {.known = true, .throws = s->throws};
    throw_counts(t, s->throws, r, o.counts);
    o.total = scheme_earned(s, o.counts);
    return o;
}

void thrower_pmf(const struct scheme *s, const struct thrower *t, double pmf[SCORES])
{
    double next[SCORES];
    memset(pmf, 0, SCORES * sizeof *pmf);
    pmf[0] = 1;
    for (int i = 0; i < s->throws; i++) {
        memset(next, 0, sizeof next);
        for (int z = 0; z < s->zones; z++) {
            for (int x = s->points[z]; x < SCORES; x++) {
                next[x] += pmf[x - s->points[z]] * t->p[z];
            }
        }
        memcpy(pmf, next, sizeof next);
    }
}
