/* SPDX-License-Identifier: MIT
 * What two hand-ins of the same child have in common, by the statistic that the band is made of;
 * and what more attempts alone do to a band. */
#include <math.h>
#include <stdio.h>

#include "assess/band.h"
#include "sim.h"

enum { ATTEMPTS = 3, MOST = 5, STATS = BAND_MEAN + 1 };
static const double band_lines[] = {7, 12, 17};
static const char *const stat_name[STATS] = {"middle", "best", "mean"};

static void scores_draw(double sigma, int n, struct rng *r, double *scores)
{
    struct thrower t = thrower_of(&slide, sigma, SLIDE_DISTANCE);
    for (int i = 0; i < n; i++) {
        scores[i] = throw_attempt(&slide, &t, r).total;
    }
}

/* Running sums of a pair of numbers. */
struct joint {
    double n, x, y, xx, yy, xy;
};

static double correlation(const struct joint *j)
{
    double xx = j->xx - j->x * j->x / j->n, yy = j->yy - j->y * j->y / j->n;
    return (j->xy - j->x * j->y / j->n) / sqrt(xx * yy);
}

static void joint_add(struct joint *j, double x, double y)
{
    j->n++;
    j->x += x;
    j->y += y;
    j->xx += x * x;
    j->yy += y * y;
    j->xy += x * y;
}

static void run_pairs(const char *id, double tau)
{
    struct rng r;
    struct joint joint[STATS] = {{0}};
    rng_seed(&r, id);
    for (size_t i = sim_pupils(60000); i > 0; i--) {
        double sigma = crowd_sigma(&crowd_usual, &r), one[ATTEMPTS], two[ATTEMPTS];
        scores_draw(on_a_day(sigma, tau, &r), ATTEMPTS, &r, one);
        scores_draw(on_a_day(sigma, tau, &r), ATTEMPTS, &r, two);
        for (int s = 0; s < STATS; s++) {
            enum band_stat stat = (enum band_stat)s;
            joint_add(&joint[s], band_statistic(stat, false, one, ATTEMPTS),
                      band_statistic(stat, false, two, ATTEMPTS));
        }
    }
    for (int s = 0; s < STATS; s++) {
        char name[64];
        double c = correlation(&joint[s]);
        snprintf(name, sizeof name, "%s.%s", id, stat_name[s]);
        figure(name, c, (1 - c * c) / sqrt(joint[s].n));
    }
}

static int band_of_best(const double *scores, int n)
{
    double best = scores[0];
    int band = 0;
    for (int i = 1; i < n; i++) {
        best = fmax(best, scores[i]);
    }
    for (size_t i = 0; i < sizeof band_lines / sizeof *band_lines; i++) {
        band += best >= band_lines[i];
    }
    return band;
}

void sim_repeats(void)
{
    struct rng r;
    struct tally five = {0}, three = {0};
    run_pairs("repeats.day0", 0);
    run_pairs("repeats.day1", 0.1);
    rng_seed(&r, "higher");
    for (size_t i = sim_pupils(60000); i > 0; i--) {
        double scores[MOST];
        scores_draw(crowd_sigma(&crowd_usual, &r), MOST, &r, scores);
        int band = band_of_best(scores, ATTEMPTS);
        tally_add(&five, band_of_best(scores, MOST) > band);
        tally_add(&three, band > band_of_best(scores, 1));
    }
    figure_tally("higher.five", &five);
    figure_tally("higher.three", &three);
}
