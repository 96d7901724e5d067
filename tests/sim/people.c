/* SPDX-License-Identifier: MIT
 * The invented throwers: an angular spread each, another a little wider or narrower day by day,
 * and where that puts five throws on the demo target. */
#include <math.h>
#include <string.h>

#include "sim.h"

const struct crowd crowd_usual = {0.08, 0.5};

struct scoring zones_scoring(void)
{
    struct scoring s = scoring_empty(SCORE_ZONES);
    s.throws = 5;
    scoring_add(&s, 0);
    scoring_add(&s, 1);
    scoring_add(&s, 3);
    return s;
}

struct scoring tries_scoring(int tries)
{
    struct scoring s = scoring_empty(SCORE_SUCCESSES);
    s.throws = tries;
    return s;
}

struct aim demo_aim(void)
{
    return (struct aim){
        .rect = {{-0.2, 0.2, -0.2, 0.2}, {-0.5, 0.5, -0.5, 0.5}},
        .points = {3, 1}, .zones = 2, .throws = 5, .kappa = 1, .lapse = 0.02,
    };
}

double crowd_sigma(const struct crowd *c, struct rng *r)
{
    return c->median * exp(c->log_sd * rng_normal(r));
}

double on_a_day(double sigma, double tau, struct rng *r)
{
    return tau > 0 ? sigma * exp(tau * rng_normal(r)) : sigma;
}

struct thrower thrower_of(double sigma, double distance)
{
    struct aim a = demo_aim();
    double p[AIM_ZONES_MAX + 1];
    aim_zone_probs(&a, sigma, distance, p);
    return (struct thrower){{p[2], p[1], p[0]}};
}

void throw_counts(const struct thrower *t, int throws, struct rng *r, int *counts)
{
    memset(counts, 0, ZONES * sizeof *counts);
    for (int i = 0; i < throws; i++) {
        double u = rng_unit(r);
        counts[u < t->p[0] ? 0 : u < t->p[0] + t->p[1] ? 1 : 2]++;
    }
}

int zones_earned(const int *counts)
{
    return counts[1] + 3 * counts[2];
}

struct outcome throw_attempt(const struct thrower *t, struct rng *r)
{
    struct outcome o = {.known = true, .throws = 5};
    throw_counts(t, 5, r, o.counts);
    o.total = zones_earned(o.counts);
    return o;
}

void thrower_pmf(const struct thrower *t, double *pmf)
{
    double next[TOTALS];
    memset(pmf, 0, TOTALS * sizeof *pmf);
    pmf[0] = 1;
    for (int i = 0; i < 5; i++) {
        for (int x = 0; x < TOTALS; x++) {
            next[x] = pmf[x] * t->p[0] + (x >= 1 ? pmf[x - 1] * t->p[1] : 0) +
                      (x >= 3 ? pmf[x - 3] * t->p[2] : 0);
        }
        memcpy(pmf, next, sizeof next);
    }
}
