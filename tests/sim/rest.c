/* SPDX-License-Identifier: MIT
 * The next distance, bests that luck alone gives, and the spread of the agreement figures. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "assess/best.h"
#include "assess/group.h"
#include "world.h"

enum { STEPS = 5, HAND_INS = 10, START = 1 };
#define HITS 0.60
#define JUDGE_NOISE 0.36
static const double steps[STEPS] = {2, 2.5, 3, 3.5, 4};

struct walk {
    double distance, hit;       /* at the end */
    bool near;                  /* then within a step of where the hits are nearest the aim */
    int moves, leaps;           /* leaps: more than a step at once, or outside the limits */
};

static bool next_step(const struct aim_attempt *t, size_t n, int *at, struct walk *w)
{
    struct aim a = scheme_aim(&slide);
    struct aim_posterior p;
    double hits[STEPS];
    enum aim_reason why;
    size_t from = n > 9 ? n - 9 : 0;            /* the last three hand-ins */
    if (!aim_learn(&a, t + from, n - from, sim_room(), &p)) {
        return false;
    }
    aim_another_day(&p, 0.10);
    for (int i = 0; i < STEPS; i++) {
        hits[i] = aim_hit(&a, &p, steps[i]);
    }
    int here = 0;
    for (size_t i = from; i < n; i++) {
        here += fabs(t[i].distance - steps[*at]) < 0.25 ? slide.throws : 0;
    }
    struct aim_step_ask ask = {.steps = steps, .n = STEPS, .current = *at, .target = HITS,
                               .dead_band = 0.15, .throws_here = here};
    int to = aim_next_step(&ask, hits, &why);
    w->moves += to != *at;
    w->leaps += abs(to - *at) > 1 || to < 0 || to >= STEPS;
    *at = to;
    return true;
}

static void walk_one(double sigma, struct rng *r, struct walk *w)
{
    struct aim_attempt t[3 * HAND_INS];
    struct world plain = {.power = 1};
    size_t n = 0;
    int at = START;
    *w = (struct walk){0};
    for (int h = 0; h < HAND_INS; h++) {
        double day = on_a_day(sigma, 0.1, r);
        for (int i = 0; i < 3; i++) {
            int c[SLIDE_ZONES];
            world_throw(&plain, day, steps[at], r, c);
            t[n++] = (struct aim_attempt){.distance = steps[at], .known = true,
                                          .counts = {c[2], c[1], c[0]}};
        }
        if (!next_step(t, n, &at, w)) {
            w->leaps++;
        }
    }
    int ideal = 0;
    double hit[STEPS];
    for (int i = 0; i < STEPS; i++) {
        hit[i] = 1 - thrower_of(&slide, sigma, steps[i]).p[0];
        ideal = fabs(hit[i] - HITS) < fabs(hit[ideal] - HITS) ? i : ideal;
    }
    w->distance = steps[at];
    w->hit = hit[at];
    w->near = abs(at - ideal) <= 1;
}

void sim_next_distance(void)
{
    static const struct { const char *id; double sigma; } who[] = {
        {"next.03", 0.03}, {"next.05", 0.05}, {"next.08", 0.08}, {"next.12", 0.12},
        {"next.20", 0.20}, {"next.30", 0.30},
    };
    double leaps = 0, least = 99, most = 0;
    for (size_t k = 0; k < sizeof who / sizeof *who; k++) {
        struct tally distance = {0}, hit = {0}, moves = {0}, near = {0};
        struct rng r;
        char id[64];
        rng_seed(&r, who[k].id);
        for (size_t i = sim_pupils(400); i > 0; i--) {
            struct walk w;
            walk_one(who[k].sigma, &r, &w);
            tally_add(&distance, w.distance);
            tally_add(&hit, w.hit);
            tally_add(&moves, w.moves);
            tally_add(&near, w.near);
            leaps += w.leaps;
        }
        least = fmin(least, tally_mean(&moves));
        most = fmax(most, tally_mean(&moves));
        snprintf(id, sizeof id, "%s.distance", who[k].id);
        figure_tally(id, &distance);
        snprintf(id, sizeof id, "%s.hit", who[k].id);
        figure_tally(id, &hit);
        snprintf(id, sizeof id, "%s.near", who[k].id);
        figure_tally(id, &near);
    }
    figure("next.moves.least", least, 0.05);
    figure("next.moves.most", most, 0.05);
    figure("next.leaps", leaps, 0);
}

/* One thrower that never changes: how bests fall by luck alone. */
void sim_best_by_luck(void)
{
    static const int after[] = {1, 2, 3, 5, 10};
    struct tally beaten[HAND_INS] = {{0}}, latest[HAND_INS] = {{0}}, gain[HAND_INS] = {{0}};
    struct rng r;
    rng_seed(&r, "luck");
    for (size_t i = sim_pupils(40000); i > 0; i--) {
        struct thrower t = thrower_of(&slide, 0.08, SLIDE_DISTANCE);
        struct mark marks[3 * HAND_INS];
        for (int k = 0; k < 3 * HAND_INS; k++) {
            marks[k] = (struct mark){0, throw_attempt(&slide, &t, &r).total};
        }
        for (int h = 0; h < HAND_INS; h++) {
            struct best_story s;
            size_t n = 3 * (size_t)(h + 1);
            best_tell(marks, n, &s);
            tally_add(&beaten[h], s.beaten);
            tally_add(&latest[h], s.beaten > 0 && s.last_new >= n - 3);
            tally_add(&gain[h], (double)s.gain);
        }
    }
    for (size_t k = 0; k < sizeof after / sizeof *after; k++) {
        char id[64];
        snprintf(id, sizeof id, "luck.%d.beaten", after[k]);
        figure_tally(id, &beaten[after[k] - 1]);
        snprintf(id, sizeof id, "luck.%d.latest", after[k]);
        figure_tally(id, &latest[after[k] - 1]);
        snprintf(id, sizeof id, "luck.%d.gain", after[k]);
        figure_tally(id, &gain[after[k] - 1]);
    }
}

static int rising(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

static void run_icc(const char *id, size_t n, double truth)
{
    enum { RUNS = 4000, MOST = 25, TRIES = 3 };
    static double estimates[RUNS];
    double x[MOST * TRIES];
    struct tally covers = {0};
    struct rng r;
    char name[64];
    size_t runs = sim_pupils(RUNS);
    runs = runs < RUNS ? runs : RUNS;
    rng_seed(&r, id);
    for (size_t i = 0; i < runs; i++) {
        struct icc_balanced icc;
        for (size_t p = 0; p < n; p++) {
            double level = sqrt(truth) * rng_normal(&r);
            for (size_t k = 0; k < TRIES; k++) {
                x[p * TRIES + k] = level + sqrt(1 - truth) * rng_normal(&r);
            }
        }
        estimates[i] = group_icc_balanced(x, n, TRIES, &icc) ? icc.icc3 : 0;
        tally_add(&covers, icc.lower <= truth && truth <= icc.upper);
    }
    qsort(estimates, runs, sizeof *estimates, rising);
    double error = 1.2 * (estimates[runs * 19 / 20] - estimates[runs / 20]) / sqrt((double)runs);
    snprintf(name, sizeof name, "%s.p5", id);
    figure(name, group_quantile(estimates, runs, 0.05), error);
    snprintf(name, sizeof name, "%s.p95", id);
    figure(name, group_quantile(estimates, runs, 0.95), error);
    snprintf(name, sizeof name, "%s.covers", id);
    figure_tally(name, &covers);
}

/* The simulated zones activity itself, in one large class. */
static void run_zones_icc(void)
{
    enum { PUPILS = 5000 };
    static double x[PUPILS * 3];
    struct icc_balanced icc;
    struct rng r;
    rng_seed(&r, "icc.zones");
    for (int i = 0; i < PUPILS; i++) {
        struct thrower t = thrower_of(&slide, crowd_sigma(&crowd_usual, &r), SLIDE_DISTANCE);
        for (int k = 0; k < 3; k++) {
            x[i * 3 + k] = throw_attempt(&slide, &t, &r).total;
        }
    }
    bool good = group_icc_balanced(x, PUPILS, 3, &icc);
    figure("icc.zones", good ? icc.icc3 : NAN, 0.007);
}

enum { JUDGED = 25, JUDGE_BANDS = 4 };

static int judged(double level, double noise, struct rng *r)
{
    double x = level + noise * rng_normal(r);
    return (x > -0.6745) + (x > 0) + (x > 0.6745);      /* quarters of the pupils */
}

/* Two judges of 25 pupils. How they differ is not stated; each sees the pupil's level with an error
 * of its own, whose size is chosen so that the mean is the published one. What is tested is how far
 * the formula's standard error falls short of the SD of kappa. */
static void run_kappa(void)
{
    struct tally kappa = {0}, ase = {0};
    struct rng r;
    rng_seed(&r, "kappa");
    for (size_t i = sim_pupils(4000); i > 0; i--) {
        struct kappa_table t = {.k = JUDGE_BANDS, .weights = KAPPA_QUADRATIC};
        struct kappa k;
        for (int p = 0; p < JUDGED; p++) {
            double level = rng_normal(&r);
            int a = judged(level, JUDGE_NOISE, &r), b = judged(level, JUDGE_NOISE, &r);
            t.n[a][b]++;
        }
        if (group_kappa(&t, &k) && k.defined) {
            tally_add(&kappa, k.kappa);
            tally_add(&ase, k.ase);
        }
    }
    double sd = tally_error(&kappa) * sqrt(kappa.n - 1);
    figure_tally("kappa.mean", &kappa);
    figure("kappa.sd", sd, sd / sqrt(2 * kappa.n));
    figure_tally("kappa.ase", &ase);
    figure("kappa.ratio", tally_mean(&ase) / sd, tally_mean(&ase) / sd / sqrt(2 * kappa.n));
}

void sim_agreement(void)
{
    run_icc("icc.25.30", 25, 0.30);
    run_icc("icc.25.60", 25, 0.60);
    run_icc("icc.25.85", 25, 0.85);
    run_icc("icc.10.60", 10, 0.60);
    run_zones_icc();
    run_kappa();
}
