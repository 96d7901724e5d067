/* SPDX-License-Identifier: MIT
 * The choice of the prior and of the weight of the evidence, over crowds and ways of asking; and
 * what may be said beside the label. */
#include <math.h>
#include <stdio.h>

#include "sure.h"

enum { CROWDS = 3, WAYS = 5, TRY_WAYS = 2 };
static const struct crowd crowds[CROWDS] = {{0.045, 0.5}, {0.08, 0.5}, {0.14, 0.5}};
static const struct crowd try_crowds[CROWDS] = {{0.5, 1}, {1, 1}, {2, 1}};
static const struct design ways[WAYS] = {
    {"prior.best", false, {0, 0}, BAND_BEST, 3, 1, 3, {7, 12, 17}, .tau = 0},
    {"prior.middle", false, {0, 0}, BAND_MIDDLE, 3, 1, 3, {7, 12, 17}, .tau = 0},
    {"prior.mean", false, {0, 0}, BAND_MEAN, 3, 1, 3, {7, 12, 17}, .tau = 0},
    {"prior.best5", false, {0, 0}, BAND_BEST, 5, 1, 3, {7, 12, 17}, .tau = 0},
    {"prior.mid5", false, {0, 0}, BAND_MIDDLE, 5, 1, 3, {7, 12, 17}, .tau = 0},
};
static const struct design try_ways[TRY_WAYS] = {
    {"prior.tries", true, {0, 0}, BAND_BEST, 3, 1, 3, {4, 7, 10}, .tau = 0},
    {"prior.tries.middle", true, {0, 0}, BAND_MIDDLE, 3, 1, 3, {4, 7, 10}, .tau = 0},
};

struct average {
    double gap, ece, high, worst;
    int n;
};

static void average_add(struct average *a, const struct design *way, const struct crowd *c,
                        const struct sayer *s)
{
    struct design d = *way;
    struct labelled l;
    d.crowd = *c;
    sure_run(&d, s, sim_pupils(20000), &l);
    a->gap += tally_mean(&l.all_said) - tally_mean(&l.all_came);
    a->ece += sure_ece(&l);
    a->high += l.high.n > 0 ? tally_mean(&l.high) : 0.8;
    a->worst = fmax(a->worst, sure_ece(&l));
    a->n++;
}

static void tell(const char *id, const struct average *a, double error)
{
    char name[96];
    snprintf(name, sizeof name, "%s.gap", id);
    figure(name, a->gap / a->n, error);
    snprintf(name, sizeof name, "%s.ece", id);
    figure(name, a->ece / a->n, error);
    snprintf(name, sizeof name, "%s.high", id);
    figure(name, a->high / a->n, 2 * error);
}

/* Averages over crowds and ways: their own error is that of about a dozen runs together. */
static void run_prior(const char *id, const struct sayer *s, double tau, double tries_tau)
{
    struct average zones = {0}, tries = {0};
    char name[96];
    for (int c = 0; c < CROWDS; c++) {
        for (int w = 0; w < WAYS; w++) {
            struct design d = ways[w];
            d.tau = tau;
            average_add(&zones, &d, &crowds[c], s);
        }
        for (int w = 0; w < TRY_WAYS; w++) {
            struct design d = try_ways[w];
            d.tau = tries_tau;
            average_add(&tries, &d, &try_crowds[c], s);
        }
    }
    double error = 0.3 / sqrt((double)sim_pupils(20000) * CROWDS * TRY_WAYS);
    snprintf(name, sizeof name, "prior.zones.%s", id);
    tell(name, &zones, error);
    snprintf(name, sizeof name, "prior.tries.%s", id);
    tell(name, &tries, error);
}

void sim_sure_prior(void)
{
    static const struct { const char *id; double alpha, weight; } priors[] = {
        {"jeffreys", 0.5, 1}, {"flat", 1, 1}, {"default", 1, 0.8}, {"half", 1, 0.5},
    };
    static const struct { const char *id; double tau, tries; } days[] = {
        {"day0", 0, 0}, {"day1", 0.1, 0.15}, {"day2", 0.2, 0.3},
    };
    for (size_t i = 0; i < sizeof priors / sizeof *priors; i++) {
        for (size_t k = 0; k < sizeof days / sizeof *days; k++) {
            struct sayer s = sayer_default();
            char id[64];
            s.zones = s.tries = (struct belief){priors[i].alpha, priors[i].weight};
            snprintf(id, sizeof id, "%s.%s", priors[i].id, days[k].id);
            run_prior(id, &s, days[k].tau, days[k].tries);
        }
    }
}

static void middle_of(int m, const double *pmf)
{
    double mean = 0, tail = 1;
    char id[64];
    for (int x = 1; x < SCORES; x++) {
        tail -= pmf[x - 1];
        mean += sure_at_least(m, band_kth(BAND_MIDDLE, m), tail);
    }
    if (m > 1) {
        snprintf(id, sizeof id, "middleof.%d.mean", m);
        figure(id, mean, 0);
    }
}

/* One thrower, exactly: what the best of m attempts makes. */
static void best_of_m(void)
{
    struct thrower t = thrower_of(&slide, 0.08, SLIDE_DISTANCE);
    double pmf[SCORES], mean, high;
    char id[64];
    thrower_pmf(&slide, &t, pmf);
    for (int m = 1; m <= 5; m++) {
        double below = 0, shares[BANDS] = {0}, last = 0;
        mean = high = 0;
        for (int x = 0; x < SCORES; x++) {
            double p = pow(below + pmf[x], m) - last;
            below += pmf[x];
            last += p;
            mean += x * p;
            high += x >= 17 ? p : 0;
            shares[(x >= 7) + (x >= 12) + (x >= 17)] += p;
        }
        middle_of(m, pmf);
        snprintf(id, sizeof id, "bestof.%d.mean", m);
        figure(id, mean, 0);
        snprintf(id, sizeof id, "bestof.%d.high", m);
        figure(id, high, 0);
        for (int b = 0; b < BANDS && (m == 1 || m == 5); b++) {
            snprintf(id, sizeof id, "bestof.%d.band%d", m, b);
            figure(id, shares[b], 0);
        }
    }
}

void sim_sure_other(void)
{
    struct design d = ways[0];
    struct sayer s = sayer_default();
    struct labelled l;
    d.id = "likelier";
    d.crowd = crowd_usual;
    d.tau = 0.1;
    sure_run(&d, &s, sim_pupils(60000), &l);
    figure_tally("likelier", &l.likelier);
    figure_tally("likelier.down", &l.likelier_down);
    figure_tally("likelier.came", &l.likelier_came);
    figure_tally("likelier.own", &l.likelier_own);
    figure_tally("likelier.next", &l.next);
    d.attempts = 1;
    d.id = "one";
    sure_run(&d, &s, sim_pupils(60000), &l);
    figure_tally("one.next", &l.next);
    d = ways[1];
    d.id = "sure.lowest";
    d.crowd = crowd_usual;
    d.tau = 0.1;
    sure_run(&d, &s, sim_pupils(60000), &l);
    figure_tally("sure.lowest", &l.sure_lowest);
    figure("fives.three", sure_of_the_top(&ways[1], (int[]){0, 0, 12}), 0);
    figure("fives.six", sure_of_the_top(&ways[1], (int[]){0, 0, 24}), 0);
    best_of_m();
}
