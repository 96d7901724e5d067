/* SPDX-License-Identifier: MIT
 * How an invented child does. Shapes only, no norms: slides land around the aim with an angle's
 * spread (wider along than across), catches and rolls are hits by a logistic chance, counts and
 * times are about a level times a factor of luck. Levels rise with the times a child has been at
 * it, and each day is a little better or worse than the last. */
#include "demo_score.h"

#include <math.h>
#include <stdlib.h>

#include "base/rand.h"

double demo_unit(void)
{
    return rand_below(1u << 24) / (double)(1u << 24);
}

/* Marsaglia's polar method, one of the pair. */
double demo_normal(void)
{
    for (;;) {
        double x = 2 * demo_unit() - 1, y = 2 * demo_unit() - 1, s = x * x + y * y;
        if (s > 0 && s < 1) {
            return x * sqrt(-2 * log(s) / s);
        }
    }
}

bool demo_chance(double p)
{
    return demo_unit() < p;
}

static int64_t clamp(double v, double low, double high)
{
    return (int64_t)(v < low ? low : v > high ? high : v);
}

static bool inside(const struct optional_int *low, const struct optional_int *high, double v)
{
    return !low->set || (v >= (double)low->v && v <= (double)high->v);
}

/* Points of one slide from `mm` away. */
static int slide(const struct activity *a, double level, int32_t mm)
{
    double spread = 0.075 * exp(-0.28 * level) * mm;
    double x = spread * demo_normal(), y = 1.5 * spread * demo_normal();
    for (size_t i = 0; i < a->zone_count; i++) {
        const struct activity_zone *z = &a->zones[i];
        if (inside(&z->x1_mm, &z->x2_mm, x) && inside(&z->y1_mm, &z->y2_mm, y)) {
            return z->points;
        }
    }
    return 0;
}

/* A hit of the two kinds of hits: catches, and rolls from `mm` away. */
static int hit(double level, int32_t mm)
{
    double odds = mm ? 1.5 + 0.7 * level - 0.45 * (mm / 1000.0) : 0.3 + 0.75 * level;
    return demo_chance(1 / (1 + exp(-odds)));
}

static void goes(const struct activity *a, double level, struct hand_in_attempt *t)
{
    int n = a->throws;
    if (a->kind == ACTIVITY_KIND_ZONES && demo_chance(0.02)) {
        n--;
        t->part = true;
    }
    for (int i = 0; i < n; i++) {
        int points = a->kind == ACTIVITY_KIND_ZONES ? slide(a, level, t->distance_mm)
                                                    : hit(level, t->distance_mm);
        t->throws[i] = (uint8_t)points;
        t->value += points;
    }
    t->throw_count = n;
    if (!t->part && demo_chance(a->kind == ACTIVITY_KIND_ZONES ? 0.15 : 0.5)) {
        t->throw_count = 0;         /* only the total was sent */
    }
}

static int64_t rounded(double v, const struct activity *a)
{
    int64_t low = a->soft_low.set ? a->soft_low.v : a->hard_low.v;
    int64_t high = a->soft_high.set ? a->soft_high.v : a->hard_high.v;
    int64_t whole = (int64_t)(v / a->resolution + 0.5) * a->resolution;
    return clamp((double)whole, (double)low, (double)high);
}

static int64_t counted(const struct activity *a, double level)
{
    double mean = 21 * exp(0.32 * level);
    return clamp(mean + 0.14 * mean * demo_normal() + demo_normal(), 0,
                 (double)a->soft_high.v - 4);
}

static int64_t measured(const struct activity *a, double level)
{
    double v = a->lower_is_better ? 36000 * exp(-0.13 * level + 0.09 * demo_normal())
                                  : 11500 * exp(0.42 * level + 0.3 * demo_normal());
    return rounded(v, a);
}

static void one_try(const struct activity *a, double level, struct hand_in_attempt *t)
{
    if (a->kind == ACTIVITY_KIND_TIMED_COUNT) {
        t->value = counted(a, level);
    } else if (a->kind == ACTIVITY_KIND_MEASURE) {
        t->value = measured(a, level);
    } else {
        goes(a, level, t);
    }
}

/* A step closer after a poor try, further after a good one, mostly the same. */
static size_t next_step(const struct activity *a, size_t at, int64_t value)
{
    int64_t most = a->kind == ACTIVITY_KIND_ZONES ? 5 * a->throws : a->throws;
    if (value * 10 >= most * 7 && at + 1 < a->distance_count && demo_chance(0.5)) {
        return at + 1;
    }
    if (value * 10 <= most * 2 && at > 0 && demo_chance(0.6)) {
        return at - 1;
    }
    return at;
}

/* The step that the band lines belong to. */
static size_t reference_step(const struct activity *a, size_t otherwise)
{
    for (size_t i = 0; i < a->distance_count; i++) {
        if (a->distances_mm[i] == a->reference_mm) {
            return i;
        }
    }
    return otherwise;
}

void demo_score(struct demo_pupil *p, const struct demo_set *s, struct hand_in *h)
{
    const struct activity *a = s->activity;
    double level = p->skill[s->starter] + 0.28 * p->learns * sqrt(p->times[s->starter]) +
                   0.22 * demo_normal();
    size_t step = a->distance_count ? (size_t)clamp(1.2 + 0.5 * level, 0, 2) : 0;
    if (a->reference_mm && demo_chance(0.6)) {
        step = reference_step(a, step);
    }
    h->attempt_count = demo_chance(0.05) ? 2 : (size_t)a->attempts;
    for (size_t i = 0; i < h->attempt_count; i++) {
        h->attempts[i] = (struct hand_in_attempt){0};
        h->attempts[i].distance_mm = a->distance_count ? a->distances_mm[step] : 0;
        one_try(a, level, &h->attempts[i]);
        step = next_step(a, step, h->attempts[i].value);
    }
    p->times[s->starter]++;
    hand_in_settle(h, a->lower_is_better);
}
