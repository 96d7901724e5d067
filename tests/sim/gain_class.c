/* SPDX-License-Identifier: MIT
 * Gains of measures and counts, where what varies is borrowed from the class. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "assess/gain.h"
#include "assess/spread.h"
#include "sim.h"

enum { CLASS_MOST = 25, ATTEMPTS = 3, HAND_INS = 2 };
static const double level[2] = {0.02, 0.10};
static const char *const level_name[2] = {"02", "10"};

static void tell(const char *what, const struct tally two[2])
{
    for (int i = 0; i < 2; i++) {
        char id[64];
        snprintf(id, sizeof id, "%s.x%s", what, level_name[i]);
        figure_tally(id, &two[i]);
    }
}

/* A class with two hand-ins each: y[pupil][hand-in][attempt], on the scale. */
struct class {
    int pupils;
    double y[CLASS_MOST][HAND_INS][ATTEMPTS];
};

static double mean_of(const double *y)
{
    return (y[0] + y[1] + y[2]) / ATTEMPTS;
}

/* What is borrowed, and how: from the first hand-ins the spread; rho as assumed or estimated. */
struct borrow {
    double rho;                 /* < 0: estimated from the class */
    double nu_most;             /* caps the degrees of freedom */
};

/* Tests every pupil of `c` by what the class `from` shows; a class is one draw, for its pupils
 * share what was borrowed. */
static void class_test(const struct class *c, const struct class *from, const struct borrow *b,
                       struct tally out[2])
{
    struct spread_sum sum = {0};
    struct band_spread sp = {.scale = BAND_RAW};
    double hits[2] = {0};
    for (int i = 0; i < from->pupils; i++) {
        spread_add(&sum, from->y[i][0], ATTEMPTS);
        if (b->rho < 0) {
            spread_add(&sum, from->y[i][1], ATTEMPTS);
            spread_pair(&sum, mean_of(from->y[i][0]), ATTEMPTS, mean_of(from->y[i][1]), ATTEMPTS);
        }
    }
    spread_close(&sum, &sp);
    double rho = b->rho < 0 ? sp.rho : b->rho, nu = fmin(sp.nu, b->nu_most);
    for (int i = 0; i < c->pupils; i++) {
        struct gain_means g = {.before = mean_of(c->y[i][0]), .after = mean_of(c->y[i][1]),
                               .n_before = ATTEMPTS, .n_after = ATTEMPTS,
                               .s_w = sp.s_w, .nu = nu, .s_day = rho * sp.s_w};
        double t, p = gain_measure(&g, &t);
        hits[0] += p <= level[0];
        hits[1] += p <= level[1];
    }
    tally_add(&out[0], hits[0] / c->pupils);
    tally_add(&out[1], hits[1] / c->pupils);
}

struct measure_setting {
    const char *id;
    double rho_true;
    struct borrow borrow;
    double gain;                /* in within-hand-in SDs */
    int pupils;
};

static void class_draw(const struct measure_setting *k, struct rng *r, struct class *c)
{
    c->pupils = k->pupils;
    for (int i = 0; i < k->pupils; i++) {
        for (int h = 0; h < HAND_INS; h++) {
            double day = k->rho_true * rng_normal(r) + h * k->gain;
            for (int a = 0; a < ATTEMPTS; a++) {
                c->y[i][h][a] = day + rng_normal(r);
            }
        }
    }
}

/* Where rho is estimated, the tested pupils are others than those it comes from: a pupil's own
 * change in the estimate would make the test more careful than it is. */
static void run_measure(const struct measure_setting *k)
{
    struct rng r;
    struct tally out[2] = {{0}};
    rng_seed(&r, k->id);
    for (size_t n = sim_pupils(2400); n > 0; n--) {
        struct class tested, other;
        class_draw(k, &r, &tested);
        class_draw(k, &r, &other);
        class_test(&tested, k->borrow.rho < 0 ? &other : &tested, &k->borrow, out);
    }
    tell(k->id, out);
}

void sim_gain_measures(void)
{
    static const struct measure_setting settings[] = {
        {"measure.5as0", 0.5, {0, 50}, 0, 25}, {"measure.5as5", 0.5, {0.5, 50}, 0, 25},
        {"measure.0as5", 0, {0.5, 50}, 0, 25}, {"measure.10as5", 1, {0.5, 50}, 0, 25},
        {"measure.0est25", 0, {-1, 24}, 0, 25}, {"measure.5est25", 0.5, {-1, 24}, 0, 25},
        {"measure.10est25", 1, {-1, 24}, 0, 25}, {"measure.0est12", 0, {-1, 11}, 0, 12},
        {"measure.5est12", 0.5, {-1, 11}, 0, 12}, {"measure.10est12", 1, {-1, 11}, 0, 12},
        {"measure.power1", 0.5, {0.5, 50}, 1, 25}, {"measure.power2", 0.5, {0.5, 50}, 2, 25},
        {"measure.power3", 0.5, {0.5, 50}, 3, 25},
    };
    for (size_t i = 0; i < sizeof settings / sizeof *settings; i++) {
        run_measure(&settings[i]);
    }
}

/* A count of the mean with a variance of `ratio` times it: a negative binomial above 1, a normal
 * rounded to whole numbers below. */
static int count_draw(double mean, double ratio, struct rng *r)
{
    if (ratio > 1) {
        return rng_poisson(r, rng_gamma(r, mean / (ratio - 1)) * (ratio - 1));
    }
    if (ratio < 1) {
        double x = mean + sqrt(mean * ratio) * rng_normal(r);
        return x < 0 ? 0 : (int)lround(x);
    }
    return rng_poisson(r, mean);
}

struct count_setting {
    const char *id;
    double ratio, day;
};

static void run_count(const struct count_setting *k)
{
    struct rng r;
    struct tally poisson[2] = {{0}}, root[2] = {{0}};
    char id[64];
    const struct borrow half = {0.5, 50};
    rng_seed(&r, k->id);
    for (size_t n = sim_pupils(1600); n > 0; n--) {
        struct class c = {.pupils = CLASS_MOST};
        for (int i = 0; i < CLASS_MOST; i++) {
            int sum[HAND_INS] = {0};
            for (int h = 0; h < HAND_INS; h++) {
                double mean = 30 * (1 + k->day * rng_normal(&r));
                for (int a = 0; a < ATTEMPTS; a++) {
                    int x = count_draw(mean, k->ratio, &r);
                    sum[h] += x;
                    c.y[i][h][a] = sqrt(x);
                }
            }
            double p = gain_counts(sum[0], 3, sum[1], 3);
            tally_add(&poisson[0], p <= level[0]);
            tally_add(&poisson[1], p <= level[1]);
        }
        class_test(&c, &c, &half, root);
    }
    snprintf(id, sizeof id, "%s.poisson", k->id);
    tell(id, poisson);
    snprintf(id, sizeof id, "%s.root", k->id);
    tell(id, root);
}

void sim_gain_counts(void)
{
    static const struct count_setting settings[] = {
        {"count4", 0.4, 0}, {"count10", 1, 0}, {"count20", 2, 0},
        {"count4.day", 0.4, 0.08}, {"count10.day", 1, 0.08}, {"count20.day", 2, 0.08},
    };
    for (size_t i = 0; i < sizeof settings / sizeof *settings; i++) {
        run_count(&settings[i]);
    }
}

enum { OBJECTS = 6, TRIES = 12 };

/* Objects that are not set up again. How a throw fells them: */
struct falling {
    const char *id;
    double p;                   /* of a throw that fells, with all standing */
    bool thins_out;             /* it falls with what still stands */
    double clump;               /* chance that each further one falls too */
};

static int fell(const struct falling *f, struct rng *r)
{
    int down = 0;
    for (int i = 0; i < TRIES && down < OBJECTS; i++) {
        double chance = f->thins_out ? f->p * (OBJECTS - down) / OBJECTS : f->p;
        if (rng_unit(r) >= chance) {
            continue;
        }
        down++;
        while (f->clump > 0 && down < OBJECTS && rng_unit(r) < f->clump) {
            down++;
        }
    }
    return down;
}

/* How many fall, and how much that varies beside as many hits in independent throws. */
static void tell_down(const struct falling *f, const struct tally *down)
{
    char id[64];
    double mean = tally_mean(down), variance = pow(tally_error(down), 2) * (down->n - 1);
    double ratio = variance / (mean * (1 - mean / TRIES));
    snprintf(id, sizeof id, "%s.mean", f->id);
    figure_tally(id, down);
    snprintf(id, sizeof id, "%s.variance", f->id);
    if (f->thins_out) {
        figure(id, ratio, ratio * sqrt(2 / down->n));
    }
}

/* The chances are not stated with the published figures. How many fall on average and by how much
 * that varies is: these reproduce it. */
void sim_gain_objects(void)
{
    static const struct falling ways[] = {
        {"objects.one", 0.37, false, 0}, {"objects.thin", 0.6, true, 0},
        {"objects.clump3", 0.375, true, 0.3}, {"objects.clump6", 0.26, true, 0.6},
    };
    struct scoring s = scheme_scoring(&hit_or_miss);
    for (size_t k = 0; k < sizeof ways / sizeof *ways; k++) {
        struct tally out[2] = {{0}}, down = {0};
        struct rng r;
        rng_seed(&r, ways[k].id);
        for (size_t n = sim_pupils(30000); n > 0; n--) {
            int a = fell(&ways[k], &r), b = fell(&ways[k], &r);
            int before[SCORE_ZONES_MAX] = {TRIES - a, a}, after[SCORE_ZONES_MAX] = {TRIES - b, b};
            struct gain_tails t;
            tally_add(&down, a);
            tally_add(&down, b);
            if (gain_throws(&s, before, after, sim_room(), &t)) {
                tally_add(&out[0], t.up <= level[0]);
                tally_add(&out[1], t.up <= level[1]);
            }
        }
        tell(ways[k].id, out);
        tell_down(&ways[k], &down);
    }
}
