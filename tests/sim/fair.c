/* SPDX-License-Identifier: MIT
 * The distance-fair estimate: thrown from elsewhere, predicted at 5 m, and what was made there. */
#include <math.h>
#include <stdio.h>

#include "assess/band.h"
#include "world.h"

#define REFERENCE 5.0
static const double band_lines[] = {4, 8, 11};

struct from {
    const char *id;
    double distance;            /* metres; 0: each attempt from 3, 4, 5, 6 or 7 */
    double tau;
    struct world world;
    struct crowd crowd;         /* {0}: the usual */
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
        int c[ZONES];
        double d = f->distance > 0 ? f->distance : 3 + rng_below(r, 5);
        world_throw(&f->world, sigma, d, r, c);
        out->t[i] = (struct aim_attempt){.distance = d, .known = true,
                                         .counts = {c[2], c[1], c[0]}};
        out->score[i] = zones_earned(c);
    }
}

static int band_at(const struct band_rule *rule, double *score)
{
    return band_of(rule, false, band_statistic(rule->stat, false, score, 3));
}

static void one(const struct from *f, const struct band_rule *rule, struct rng *r,
                struct fared *out)
{
    struct aim a = demo_aim();
    struct world there = f->world;
    struct aim_posterior p;
    struct aim_prediction q;
    struct throws home, later;
    struct from at = {.distance = REFERENCE};
    const struct crowd *crowd = f->crowd.median > 0 ? &f->crowd : &crowd_usual;
    double sigma = crowd_sigma(crowd, r);
    there.target = 1;
    at.world = there;
    thrown(f, on_a_day(sigma, f->tau, r), r, &home);
    thrown(&at, on_a_day(sigma, f->tau, r), r, &later);
    if (!aim_learn(&a, home.t, 3, sim_room(), &p)) {
        return;
    }
    aim_another_day(&p, 0.10);
    if (!aim_predict(&a, &p, &(struct aim_at){REFERENCE, rule}, sim_room(), &q)) {
        return;
    }
    double made = (later.score[0] + later.score[1] + later.score[2]) / 3;
    tally_add(&out->bias, q.mean - made);
    tally_add(&out->naive, (home.score[0] + home.score[1] + home.score[2]) / 3 - made);
    tally_add(&out->covers, later.score[0] >= q.lo && later.score[0] <= q.hi);
    struct band_answer b = {.band = 0};
    band_conclude(rule, q.tails, 3, 15, &b);
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
    bool naive = f->tau == 0 && f->world.power == 1 && f->crowd.median == 0;
    rule.lines = 3;
    for (size_t i = 0; i < rule.lines; i++) {
        rule.line[i] = band_lines[i];
    }
    snprintf(name, sizeof name, "fair.%s", f->id);
    rng_seed(&r, name);
    for (size_t i = sim_pupils(4000); i > 0; i--) {
        one(f, &rule, &r, &out);
    }
    tell(f->id, "bias", &out.bias);
    tell(f->id, "covers", &out.covers);
    if (f->crowd.median > 0) {
        return;
    }
    tell(f->id, "said", &out.said);
    tell(f->id, "came", &out.came);
    if (naive) {
        tell(f->id, "naive", &out.naive);
        tell(f->id, "naivecame", &out.naive_came);
    }
    if (f->distance == 0 && (naive || f->tau > 0 || f->world.target > 0)) {
        tell(f->id, "high", &out.high);
    }
}

void sim_distance_fair(void)
{
    static const struct from rows[] = {
        {.id = "random", .world.power = 1}, {.id = "3m", .distance = 3, .world.power = 1},
        {.id = "7m", .distance = 7, .world.power = 1}, {.id = "tau2", .tau = 0.2},
        {.id = "08.3m", .distance = 3, .world.power = 0.8},
        {.id = "08.7m", .distance = 7, .world.power = 0.8},
        {.id = "13.3m", .distance = 3, .world.power = 1.3},
        {.id = "13.7m", .distance = 7, .world.power = 1.3},
        {.id = "bias.3m", .distance = 3, .world.bias = 0.15},
        {.id = "bias.7m", .distance = 7, .world.bias = 0.15},
        {.id = "angle", .world.angle = 2 * 0.017453292519943295},
        {.id = "larger", .world.target = 1.25}, {.id = "smaller", .world.target = 0.75},
        {.id = "vertical", .world.vertical = 1.5}, {.id = "tails", .world.heavy = true},
        {.id = "crowd045", .crowd = {0.045, 0.5}}, {.id = "crowd14", .crowd = {0.14, 0.5}},
        {.id = "crowd25", .crowd = {0.25, 0.5}},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        run_from(&rows[i]);
    }
}
