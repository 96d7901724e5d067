/* SPDX-License-Identifier: MIT
 * Gains across distances: is the aim called closer where it is the same? */
#include <math.h>
#include <stdio.h>

#include "world.h"

struct pair {
    const char *id;
    double before, after;       /* metres */
    double tau;
    struct world world;
    double ratio;               /* true spread after over before; 0 is read as 1 */
};

static struct aim_posterior learned(const struct pair *k, double sigma, double distance,
                                    struct rng *r)
{
    struct aim a = scheme_aim(&slide);
    struct aim_attempt t[3] = {{0}};
    struct aim_posterior p = {{0}};
    for (int i = 0; i < 3; i++) {
        int c[SLIDE_ZONES];
        world_throw(&k->world, sigma, distance, r, c);
        t[i] = (struct aim_attempt){.distance = distance, .known = true,
                                    .counts = {c[2], c[1], c[0]}};
    }
    if (!aim_learn(&a, t, 3, sim_room(), &p)) {
        p.w[0] = NAN;
    }
    return p;
}

static void run_pair(const struct pair *k)
{
    struct rng r;
    struct tally high = {0}, low = {0};
    char id[64];
    rng_seed(&r, k->id);
    for (size_t i = sim_pupils(3000); i > 0; i--) {
        double sigma = crowd_sigma(&crowd_usual, &r), ratio = k->ratio > 0 ? k->ratio : 1;
        struct aim_posterior a = learned(k, on_a_day(sigma, k->tau, &r), k->before, &r);
        struct aim_posterior b = learned(k, on_a_day(sigma * ratio, k->tau, &r), k->after, &r);
        double p = aim_closer_now(&a, &b, 0.10);
        tally_add(&high, p >= 0.98);
        tally_add(&low, p >= 0.90);
    }
    snprintf(id, sizeof id, "%s.98", k->id);
    figure_tally(id, &high);
    if (k->ratio > 0) {
        return;
    }
    snprintf(id, sizeof id, "%s.90", k->id);
    figure_tally(id, &low);
}

void sim_gain_distances(void)
{
    static const struct pair pairs[] = {
        {"far.32", 3, 2, 0, {.power = 1}, 0}, {"far.35to2", 3.5, 2, 0, {.power = 1}, 0},
        {"far.42", 4, 2, 0, {.power = 1}, 0}, {"far.23", 2, 3, 0, {.power = 1}, 0},
        {"far.24", 2, 4, 0, {.power = 1}, 0},
        {"far.day.32", 3, 2, 0.2, {.power = 1}, 0}, {"far.day.42", 4, 2, 0.2, {.power = 1}, 0},
        {"far.day.23", 2, 3, 0.2, {.power = 1}, 0}, {"far.day.24", 2, 4, 0.2, {.power = 1}, 0},
        {"far.13.32", 3, 2, 0, {.power = 1.3}, 0}, {"far.13.35to2", 3.5, 2, 0, {.power = 1.3}, 0},
        {"far.13.42", 4, 2, 0, {.power = 1.3}, 0}, {"far.08.23", 2, 3, 0, {.power = 0.8}, 0},
        {"far.08.24", 2, 4, 0, {.power = 0.8}, 0}, {"far.bias.23", 2, 3, 0, {.bias = 0.15}, 0},
        {"far.bias.24", 2, 4, 0, {.bias = 0.15}, 0}, {"far.power.33", 3, 3, 0, {.power = 1}, 0.5},
        {"far.power.23", 2, 3, 0, {.power = 1}, 0.5}, {"far.power.32", 3, 2, 0, {.power = 1}, 0.5},
    };
    for (size_t i = 0; i < sizeof pairs / sizeof *pairs; i++) {
        run_pair(&pairs[i]);
    }
}
