/* SPDX-License-Identifier: MIT
 * The distance-fair estimate: thrown from elsewhere, predicted at 3 m, and what was made there. */
#include <math.h>
#include <stdio.h>

#include "assess/band.h"
#include "world.h"

static const double band_lines[] = {7, 12, 17};

struct from {
    const char *id;
    double distance;            /* metres; 0: each attempt from 2, 2.5, 3, 3.5 or 4 */
    double tau;
    struct world world;
    struct crowd crowd;         /* {0}: the usual */
    bool same_day;              /* no day kernel */
    enum { NAIVE = 1, NAIVE_CAME = 2, HIGH = 4, NO_BIAS = 8 } also;    /* what is published */
};

struct fared {
    struct tally bias, naive, covers, said, came, naive_came;
    struct tally high;          /* came, where >= .65 was said */
};

struct throws {
    struct aim_attempt t[3];
    double score[3];
};

static void thrown(const struct from *f, double sigma, struct rng *r, struct throws *out)
{
    for (int i = 0; i < 3; i++) {
        int c[SLIDE_ZONES];
        double d = f->distance > 0 ? f->distance : 2 + 0.5 * rng_below(r, 5);
        world_throw(&f->world, sigma, d, r, c);
        out->t[i] = (struct aim_attempt){.distance = d, .known = true,
                                         .counts = {c[2], c[1], c[0]}};
        out->score[i] = scheme_earned(&slide, c);
    }
}

static int band_at(const struct band_rule *rule, double *score)
{
    return band_of(rule, false, band_statistic(rule->stat, false, score, 3));
}

static void one(const struct from *f, const struct band_rule *rule, struct rng *r,
                struct fared *out)
{
    struct aim a = scheme_aim(&slide);
    struct world there = f->world;
    struct aim_posterior p;
    struct aim_prediction q;
    struct throws home, later;
    struct from at = {.distance = SLIDE_DISTANCE};
    const struct crowd *crowd = f->crowd.median > 0 ? &f->crowd : &crowd_usual;
    double sigma = crowd_sigma(crowd, r);
    there.target = 1;
    at.world = there;
    thrown(f, on_a_day(sigma, f->tau, r), r, &home);
    thrown(&at, on_a_day(sigma, f->tau, r), r, &later);
    if (!aim_learn(&a, home.t, 3, sim_room(), &p)) {
        return;
    }
    aim_another_day(&p, f->same_day ? 0 : 0.10);
    if (!aim_predict(&a, &p, &(struct aim_at){SLIDE_DISTANCE, rule}, sim_room(), &q)) {
        return;
    }
    double made = (later.score[0] + later.score[1] + later.score[2]) / 3;
    tally_add(&out->bias, q.mean - made);
    tally_add(&out->naive, (home.score[0] + home.score[1] + home.score[2]) / 3 - made);
    tally_add(&out->covers, later.score[0] >= q.lo && later.score[0] <= q.hi);
    struct band_answer b = {.band = 0};
    band_conclude(rule, q.tails, 3, 3 * slide.throws, &b);
    int likely = b.likelier >= 0 ? b.likelier : 0, band = band_at(rule, later.score);
    tally_add(&out->said, b.probs[likely]);
    tally_add(&out->came, band == likely);
    tally_add(&out->naive_came, band == band_at(rule, home.score));
    if (b.probs[likely] >= 0.65) {
        tally_add(&out->high, band == likely);
    }
}

static void tell(const char *id, const char *what, const struct tally *t)
{
    char name[96];
    snprintf(name, sizeof name, "fair.%s.%s", id, what);
    figure_tally(name, t);
}

static void run_from(const struct from *f)
{
    struct band_rule rule = band_rule_default(BAND_BEST, 3);
    struct fared out = {0};
    struct rng r;
    char name[64];
    rule.lines = 3;
    for (size_t i = 0; i < rule.lines; i++) {
        rule.line[i] = band_lines[i];
    }
    snprintf(name, sizeof name, "fair.%s", f->id);
    rng_seed(&r, name);
    for (size_t i = sim_pupils(4000); i > 0; i--) {
        one(f, &rule, &r, &out);
    }
    if (!(f->also & NO_BIAS)) {
        tell(f->id, "bias", &out.bias);
    }
    tell(f->id, "covers", &out.covers);
    if (f->crowd.median > 0) {
        return;
    }
    tell(f->id, "said", &out.said);
    tell(f->id, "came", &out.came);
    if (f->also & NAIVE) {
        tell(f->id, "naive", &out.naive);
    }
    if (f->also & NAIVE_CAME) {
        tell(f->id, "naivecame", &out.naive_came);
    }
    if (f->also & HIGH) {
        tell(f->id, "high", &out.high);
    }
}

/* How widely the other crowds differ is not stated; a log SD of 0.3 reproduces both columns. */
void sim_distance_fair(void)
{
    static const struct from rows[] = {
        {.id = "random", .also = NAIVE | NAIVE_CAME | HIGH},
        {.id = "2m", .distance = 2, .also = NAIVE | NAIVE_CAME},
        {.id = "4m", .distance = 4, .also = NAIVE | NAIVE_CAME},
        {.id = "tau2", .tau = 0.2, .also = NAIVE_CAME | HIGH},
        {.id = "08.2m", .distance = 2, .world.power = 0.8},
        {.id = "08.4m", .distance = 4, .world.power = 0.8},
        {.id = "13.2m", .distance = 2, .world.power = 1.3},
        {.id = "13.4m", .distance = 4, .world.power = 1.3},
        {.id = "bias.2m", .distance = 2, .world.bias = 0.15},
        {.id = "bias.4m", .distance = 4, .world.bias = 0.15},
        {.id = "angle", .world.angle = 2 * 0.017453292519943295, .also = NAIVE_CAME},
        {.id = "larger", .world.target = 1.25, .also = HIGH},
        {.id = "smaller", .world.target = 0.75, .also = HIGH},
        {.id = "vertical", .world.vertical = 1.5}, {.id = "tails", .world.heavy = true},
        {.id = "kernel0", .tau = 0.1, .same_day = true, .also = NO_BIAS},
        {.id = "kernel1", .tau = 0.1, .also = NO_BIAS},
        {.id = "crowd045", .crowd = {0.045, 0.3}}, {.id = "crowd14", .crowd = {0.14, 0.3}},
        {.id = "crowd25", .crowd = {0.25, 0.3}},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        run_from(&rows[i]);
    }
}
