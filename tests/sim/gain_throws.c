/* SPDX-License-Identifier: MIT
 * False alarms and power of the exact test on throws. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "assess/gain.h"
#include "sim.h"

/* How one setting went: exact p and mid-p at both levels, and silence. */
struct verdicts {
    struct tally exact[2], mid[2], silent;
};
static const double level[2] = {0.02, 0.10};
static const char *const level_name[2] = {"02", "10"};

static void verdict_add(struct verdicts *v, const struct gain_tails *t)
{
    for (int i = 0; i < 2; i++) {
        tally_add(&v->exact[i], t->up <= level[i]);
        tally_add(&v->mid[i], t->up - t->eq / 2 <= level[i]);
    }
    tally_add(&v->silent, t->best > level[1]);
}

static void tell(const char *what, const char *kind, const struct tally two[2])
{
    for (int i = 0; i < 2; i++) {
        char id[64];
        snprintf(id, sizeof id, "%s.%s%s", what, kind, level_name[i]);
        figure_tally(id, &two[i]);
    }
}

struct setting {
    const char *id;
    int before, after;          /* throws */
    double tau, ratio;          /* day to day; true spread after over before */
    bool power;                 /* exact p alone is published */
    bool silent;                /* so is silence */
};

static void run_setting(const struct setting *k)
{
    struct rng r;
    struct verdicts v = {0};
    struct scoring s = scheme_scoring(&slide);
    rng_seed(&r, k->id);
    for (size_t i = sim_pupils(30000); i > 0; i--) {
        int before[SCORE_ZONES_MAX], after[SCORE_ZONES_MAX];
        double sigma = crowd_sigma(&crowd_usual, &r);
        struct thrower a = thrower_of(&slide, on_a_day(sigma, k->tau, &r), SLIDE_DISTANCE);
        double later = on_a_day(sigma * k->ratio, k->tau, &r);
        struct thrower b = thrower_of(&slide, later, SLIDE_DISTANCE);
        struct gain_tails t;
        throw_counts(&a, k->before, &r, before);
        throw_counts(&b, k->after, &r, after);
        if (gain_throws(&s, before, after, sim_room(), &t)) {
            verdict_add(&v, &t);
        }
    }
    tell(k->id, "x", v.exact);
    if (!k->power) {
        tell(k->id, "m", v.mid);
    }
    if (k->silent) {
        char id[64];
        snprintf(id, sizeof id, "%s.silent", k->id);
        figure_tally(id, &v.silent);
    }
}

/* Three attempts a side of which the totals alone are kept, beside the same with throws known; by
 * the scheme where a total does not tell its throws. */
static void run_totals(const char *id, double ratio, size_t pupils)
{
    struct rng r;
    struct tally totals[2] = {{0}}, throws[2] = {{0}};
    struct scoring s = scheme_scoring(&squares);
    char known[64];
    rng_seed(&r, id);
    for (size_t i = sim_pupils(pupils); i > 0; i--) {
        double sigma = crowd_sigma(&crowd_usual, &r);
        struct thrower t[2] = {thrower_of(&squares, sigma, SLIDE_DISTANCE),
                               thrower_of(&squares, sigma * ratio, SLIDE_DISTANCE)};
        struct outcome o[2][3];
        int sum[2][SCORE_ZONES_MAX] = {{0}};
        for (int k = 0; k < 6; k++) {
            struct outcome *a = &o[k / 3][k % 3];
            *a = throw_attempt(&squares, &t[k / 3], &r);
            a->known = false;
            for (int z = 0; z < squares.zones; z++) {
                sum[k / 3][z] += a->counts[z];
            }
        }
        struct gain_sides sides = {{o[0], 3}, {o[1], 3}};
        struct gain_range range;
        struct gain_tails tails;
        bool good = gain_totals(&s, &sides, sim_room(), &range, NULL) &&
                    gain_throws(&s, sum[0], sum[1], sim_room(), &tails);
        for (int l = 0; good && l < 2; l++) {
            tally_add(&totals[l], range.largest <= level[l]);
            tally_add(&throws[l], tails.up <= level[l]);
        }
    }
    tell(id, "x", totals);
    snprintf(known, sizeof known, "%s.known", id);
    tell(known, "x", throws);
}

/* One sigma for all: who has room above at all. */
static void run_silent(const char *id, double sigma)
{
    struct rng r;
    struct tally silent = {0};
    struct scoring s = scheme_scoring(&slide);
    struct thrower t = thrower_of(&slide, sigma, SLIDE_DISTANCE);
    rng_seed(&r, id);
    for (size_t i = sim_pupils(30000); i > 0; i--) {
        int before[SCORE_ZONES_MAX], after[SCORE_ZONES_MAX];
        struct gain_tails g;
        throw_counts(&t, 12, &r, before);
        throw_counts(&t, 12, &r, after);
        if (gain_throws(&s, before, after, sim_room(), &g)) {
            tally_add(&silent, g.best > level[1]);
        }
    }
    figure_tally(id, &silent);
}

void sim_gain_zones(void)
{
    static const struct setting settings[] = {
        {"zones4", 4, 4, 0, 1, false, true}, {"zones8", 8, 8, 0, 1, false, true},
        {"zones12", 12, 12, 0, 1, false, true}, {"zones36", 36, 12, 0, 1, false, true},
        {"zones12.day1", 12, 12, 0.1, 1, false, true},
        {"zones12.day2", 12, 12, 0.2, 1, false, true},
        {"zones12.day3", 12, 12, 0.3, 1, false, true},
        {"power85.12", 12, 12, 0, 0.85, true, false}, {"power85.24", 24, 24, 0, 0.85, true, false},
        {"power70.12", 12, 12, 0, 0.70, true, false}, {"power70.24", 24, 24, 0, 0.70, true, false},
        {"power50.12", 12, 12, 0, 0.50, true, false}, {"power50.24", 24, 24, 0, 0.50, true, false},
    };
    for (size_t i = 0; i < sizeof settings / sizeof *settings; i++) {
        run_setting(&settings[i]);
    }
    run_silent("silent.04", 0.04);
    run_silent("silent.08", 0.08);
    run_totals("totals", 1, 8000);
    run_totals("totals50", 0.5, 3000);
}

static double binomial(int n, int k, double p)
{
    double x = 1;
    for (int i = 0; i < k; i++) {
        x = x * (n - i) / (i + 1) * p;
    }
    return x * pow(1 - p, n - k);
}

/* Successes: every pair of results with its chance, so no Monte Carlo error at all. */
static void tries_exactly(const char *id, int n, double p, double q)
{
    struct scoring s = scheme_scoring(&hit_or_miss);
    double exact[2] = {0}, mid[2] = {0}, silent = 0;
    char name[64];
    for (int a = 0; a <= n; a++) {
        for (int b = 0; b <= n; b++) {
            int before[SCORE_ZONES_MAX] = {n - a, a}, after[SCORE_ZONES_MAX] = {n - b, b};
            double chance = binomial(n, a, p) * binomial(n, b, q);
            struct gain_tails t;
            if (!gain_throws(&s, before, after, sim_room(), &t)) {
                continue;
            }
            silent += t.best > level[1] ? chance : 0;
            for (int l = 0; l < 2; l++) {
                exact[l] += t.up <= level[l] ? chance : 0;
                mid[l] += t.up - t.eq / 2 <= level[l] ? chance : 0;
            }
        }
    }
    for (int l = 0; l < 2; l++) {
        snprintf(name, sizeof name, "%s.x%s", id, level_name[l]);
        figure(name, exact[l], 0);
        snprintf(name, sizeof name, "%s.m%s", id, level_name[l]);
        if (p == q) {
            figure(name, mid[l], 0);
        }
    }
    snprintf(name, sizeof name, "%s.silent", id);
    if (p == q) {
        figure(name, silent, 0);
    }
}

void sim_gain_tries(void)
{
    tries_exactly("tries20", 12, 0.2, 0.2);
    tries_exactly("tries50", 12, 0.5, 0.5);
    tries_exactly("tries80", 12, 0.8, 0.8);
    tries_exactly("tries.power12", 12, 0.4, 0.7);
    tries_exactly("tries.power36", 36, 0.4, 0.7);
}

enum { LOOKS = 6, LOOK_THROWS = 12 };

/* Six later hand-ins of twelve throws: is any of them called a gain, and is the last? */
struct looks {
    struct tally any[2], last[2];
};

static void look(const int base[SCORE_ZONES_MAX], const int *now, bool *hit, bool *last)
{
    struct scoring s = scheme_scoring(&slide);
    struct gain_tails t;
    bool good = gain_throws(&s, base, now, sim_room(), &t);
    for (int l = 0; l < 2; l++) {
        last[l] = good && t.up <= level[l];
        hit[l] = hit[l] || last[l];
    }
}

static void run_looks(double weekly, struct looks *first, struct looks *all)
{
    struct rng r;
    rng_seed(&r, weekly < 1 ? "looks.better" : "looks");
    for (size_t i = sim_pupils(15000); i > 0; i--) {
        int start[SCORE_ZONES_MAX], so_far[SCORE_ZONES_MAX], now[SCORE_ZONES_MAX];
        double sigma = crowd_sigma(&crowd_usual, &r);
        bool hit[2][2] = {{false}}, last[2][2];
        struct thrower t = thrower_of(&slide, sigma, SLIDE_DISTANCE);
        throw_counts(&t, LOOK_THROWS, &r, start);
        memcpy(so_far, start, SLIDE_ZONES * sizeof *start);
        for (int week = 0; week < LOOKS; week++) {
            sigma *= weekly;
            t = thrower_of(&slide, sigma, SLIDE_DISTANCE);
            throw_counts(&t, LOOK_THROWS, &r, now);
            look(start, now, hit[0], last[0]);
            look(so_far, now, hit[1], last[1]);
            for (int z = 0; z < SLIDE_ZONES; z++) {
                so_far[z] += now[z];
            }
        }
        for (int l = 0; l < 2; l++) {
            tally_add(&first->any[l], hit[0][l]);
            tally_add(&first->last[l], last[0][l]);
            tally_add(&all->any[l], hit[1][l]);
            tally_add(&all->last[l], last[1][l]);
        }
    }
}

void sim_gain_looks(void)
{
    struct looks first = {0}, all = {0}, first_better = {0}, all_better = {0};
    run_looks(1, &first, &all);
    run_looks(0.92, &first_better, &all_better);
    tell("looks.first", "x", first.any);
    tell("looks.all", "x", all.any);
    tell("looks.better.first", "x", first_better.last);
    tell("looks.better.all", "x", all_better.last);
}
