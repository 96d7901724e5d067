/* SPDX-License-Identifier: MIT
 * The school's invented results. */
#include "school.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "school_internal.h"

struct sim sim = {.seed = 1, .scale = 1};
struct room *sim_room(void)
{
    return NULL;
}

enum kind kind_of(int activity)
{
    return activity < FIRST_ZONES    ? DISTANCES
           : activity < FIRST_TRIES  ? ZONED
           : activity < FIRST_COUNTS ? TRIES
           : activity < FIRST_MEASURES ? COUNTS : MEASURES;
}

static void fill_aimed(struct cell *c, double sigma, struct rng *r)
{
    for (int i = 0; i < MADE; i++) {
        double d = 2 + 0.5 * rng_below(r, PLACES);
        double from = i % ATTEMPTS == 0 ? d : c->aimed[i - 1].distance;
        struct thrower t = thrower_of(&slide, on_a_day(sigma, 0.1, r), from);
        c->o[i] = throw_attempt(&slide, &t, r);
        const int *n = c->o[i].counts;
        c->aimed[i] = (struct aim_attempt){.distance = from, .known = true,
                                           .counts = {n[2], n[1], n[0]}};
    }
}

static void fill_zones(struct cell *c, double sigma, struct rng *r)
{
    for (int i = 0; i < MADE; i++) {
        struct thrower t = thrower_of(&squares, on_a_day(sigma, 0.1, r), SLIDE_DISTANCE);
        c->o[i] = throw_attempt(&squares, &t, r);
    }
}

static void fill(struct cell *c, enum kind kind, double sigma, struct rng *r)
{
    double skill = 0.08 / sigma;
    for (int i = 0; i < MADE; i++) {
        int hits = rng_binomial(r, hit_or_miss.throws, skill / (1 + skill));
        c->count[i] = rng_poisson(r, 15 + 15 * sqrt(skill));
        c->value[i] = round(12000 / sqrt(skill) * exp(0.05 * rng_normal(r)));
        if (kind == TRIES) {
            c->o[i] = (struct outcome){.known = true, .throws = hit_or_miss.throws,
                                       .total = hits,
                                       .counts = {hit_or_miss.throws - hits, hits}};
        }
    }
    if (kind == DISTANCES) {
        fill_aimed(c, sigma, r);
    } else if (kind == ZONED) {
        fill_zones(c, sigma, r);
    }
}

static bool memory(struct school *s)
{
    size_t size = (size_t)ROOM_MIB * 1024 * 1024;
    s->cell = calloc((size_t)PUPILS * ACTIVITIES, sizeof *s->cell);
    s->tables.base = aligned_alloc(16, size);
    s->tables.size = size;
    s->work.base = aligned_alloc(16, ROOM_ENOUGH);
    s->work.size = ROOM_ENOUGH;
    return s->cell != NULL && s->tables.base != NULL && s->work.base != NULL;
}

struct school *school_open(void)
{
    struct school *s = calloc(1, sizeof *s);
    struct rng r;
    if (s == NULL || !memory(s)) {
        return NULL;
    }
    rng_seed(&r, "school");
    s->scoring[DISTANCES] = scheme_scoring(&slide);
    s->scoring[ZONED] = scheme_scoring(&squares);
    s->scoring[TRIES] = scheme_scoring(&hit_or_miss);
    s->aim = scheme_aim(&slide);
    for (int p = 0; p < PUPILS; p++) {
        double sigma = crowd_sigma(&crowd_usual, &r);
        for (int a = 0; a < ACTIVITIES; a++) {
            fill(cell_of(s, p, a), kind_of(a), sigma, &r);
        }
    }
    return s;
}

void school_close(struct school *s)
{
    free(s->cell);
    free(s->tables.base);
    free(s->work.base);
    free(s);
}

double school_sum(const struct school *s)
{
    double sum = 0;
    for (int i = 0; i < PUPILS * ACTIVITIES; i++) {
        const struct cell *c = &s->cell[i];
        sum += c->band.known ? c->band.probs[c->band.band] : 0;
        sum += (double)c->gain + c->next + c->fair;
    }
    return sum;
}
