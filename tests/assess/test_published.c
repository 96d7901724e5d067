/* SPDX-License-Identifier: MIT
 * Published values, each with its source and how far it was verified. "Recomputed" means: the
 * figure was worked out again in R 4.2.2 or by exact fractions and agrees; where only a few printed
 * digits are from the paper it says so. More of them stand beside the functions they test
 * (tests/unit/test_group.c, test_gain.c, test_distance.c, test_band_zones.c, test_special.c).
 * No confidence interval of one proportion is shown anywhere, so Newcombe (1998) has nothing here. */
#include <math.h>
#include <string.h>

#include "assess/band.h"
#include "assess/band_zones.h"
#include "assess/distance.h"
#include "assess/gain.h"
#include "assess/group.h"
#include "assess/special.h"
#include "assess/spread.h"
#include "nist.h"
#include "t.h"

static _Alignas(16) unsigned char memory[ROOM_ENOUGH];

static struct room lent(void)
{
    return (struct room){.base = memory, .size = sizeof memory};
}

/* NIST StRD: certified mean and standard deviation. Data and values read in GSL's test, which asks
 * for 1e-15 (Lew, Lottery) and 1e-13 (Mavro) of the deviation; here 1e-13 for all. */
static void nist_means_and_deviations(void **state)
{
    (void)state;
    static const struct { const double *x; size_t n; double mean, sd; } sets[] = {
        {nist_lew, T_COUNT(nist_lew), -177.435000000000, 277.332168044316},
        {nist_lottery, T_COUNT(nist_lottery), 518.958715596330, 291.699727470969},
        {nist_mavro, T_COUNT(nist_mavro), 2.00185600000000, 0.000429123454003053},
    };
    static const size_t sizes[] = {200, 218, 50};
    for (size_t i = 0; i < T_COUNT(sets); i++) {
        double x[218];
        struct spread_sum sum = {0};
        struct band_spread sp = {.scale = BAND_RAW};
        struct five_numbers f;
        assert_int_equal(sets[i].n, sizes[i]);
        memcpy(x, sets[i].x, sets[i].n * sizeof *x);
        spread_add(&sum, x, sets[i].n);
        spread_close(&sum, &sp);
        assert_true(group_five_numbers(x, sets[i].n, &f));
        near_to(f.mean, sets[i].mean, fabs(sets[i].mean) * 1e-14);
        near_to(sp.s_w, sets[i].sd, sets[i].sd * (i == 2 ? 1e-12 : 1e-13));
    }
}

/* Fisher (1935), lady tasting tea, all five outcomes: 1, 16, 36, 16, 1 of 70 (exact; as in the help
 * of R's fisher.test). */
static void tea_in_full(void **state)
{
    (void)state;
    static const double ways[] = {1, 16, 36, 16, 1};
    struct scoring s = scoring_empty(SCORE_SUCCESSES);
    s.throws = 4;
    double up = 1;
    for (int k = 0; k <= 4; k++) {
        const int after[SCORE_ZONES_MAX] = {4 - k, k}, before[SCORE_ZONES_MAX] = {k, 4 - k};
        struct gain_tails t;
        struct room w = lent();
        assert_true(gain_throws(&s, before, after, &w, &t));
        near_to(t.eq, ways[k] / 70, 1e-14);
        near_to(t.up, up, 1e-14);
        near_to(t.lo, 1 - up + ways[k] / 70, 1e-14);
        up -= ways[k] / 70;
    }
}

/* Rayleigh: P(R <= k sigma) = 1 - exp(-k^2/2); printed points of circular error: CEP 1.17741, R90
 * 2.145966, R95 2.447747, R99 3.034854 (standard table, from memory; recomputed). The round target
 * becomes a square of equal area: half a side r sqrt(pi)/2. With two targets of .15 and .23 m,
 * P(small) .20/.30/.50/.70 belongs to sigma .22453502/.17759877/.12739827/.09666470 and to P(large)
 * .40822885/.56767706/.80400498/.94102690 (recomputed). */
static void circular_error(void **state)
{
    (void)state;
    static const double r[] = {1.17741002251547, 2.145966, 2.447747, 3.034854};
    static const double p[] = {.5, .9, .95, .99};
    static const double sigma[] = {.22453502, .17759877, .12739827, .09666470};
    static const double large[] = {.40822885, .56767706, .80400498, .94102690};
    for (size_t i = 0; i < T_COUNT(r); i++) {
        const double half[] = {aim_round(r[i]), aim_round(.23)};
        const double want[] = {p[i], large[i]}, spread[] = {1, sigma[i]};
        for (size_t k = 0; k < 2; k++) {
            struct aim a = {.rect = {{-half[k], half[k], -half[k], half[k]}}, .points = {1},
                            .zones = 1, .throws = 12, .kappa = 1};
            double got[2];
            aim_zone_probs(&a, spread[k] / 4, 4, got);
            near_to(got[0], want[k], 0.0115);       /* the square is not quite the circle */
        }
    }
    near_to(aim_round(2) * aim_round(2) * 4, 4 * 3.14159265358979, 1e-12);
}

/* Hyndman and Fan (1996), type 7. 1..10 at .25 .5 .75 .9: 3.25 5.5 7.75 9.1; 1..4 at .25: 1.75 (R).
 * NIST/SEMATECH e-Handbook, 12 gauge readings, is not here: it prints type 6. */
static void quantiles(void **state)
{
    (void)state;
    static const double x[] = {1, 2, 3, 4, 5, 6, 7, 8, 9, 10};
    static const double p[] = {.25, .5, .75, .9}, want[] = {3.25, 5.5, 7.75, 9.1};
    for (size_t i = 0; i < T_COUNT(p); i++) {
        near_to(group_quantile(x, 10, p[i]), want[i], 1e-14);
    }
    near_to(group_quantile(x, 4, .25), 1.75, 1e-15);
}

/* Bland and Altman (1986) Lancet, mini meter, 17 people twice: typical error 20.415806 (data read on
 * the author's page; recomputed in R). */
static void mini_meter(void **state)
{
    (void)state;
    static const double first[] = {512, 430, 520, 428, 500, 600, 364, 380, 658,
                                   445, 432, 626, 260, 477, 259, 350, 451};
    static const double second[] = {525, 415, 508, 444, 500, 625, 460, 390, 642,
                                    432, 420, 605, 227, 467, 268, 370, 443};
    double x[34];
    struct icc_balanced c;
    for (int i = 0; i < 17; i++) {
        x[2 * i] = first[i];
        x[2 * i + 1] = second[i];
    }
    assert_true(group_icc_balanced(x, 17, 2, &c));
    near_to(c.typical_error, 20.415806, 1e-6);
}

/* Landis and Koch's patients (R vcd MSPatients; kappa recomputed in R): Winnipeg unweighted
 * .207942464, linear .379730548; New Orleans .296516568, .477272727. Table from vcd, from memory. */
static void landis_and_koch(void **state)
{
    (void)state;
    static const double n[2][4][4] = {
        {{38, 5, 0, 1}, {33, 11, 3, 0}, {10, 14, 5, 6}, {3, 7, 3, 10}},
        {{5, 3, 0, 0}, {3, 11, 4, 0}, {2, 13, 3, 4}, {1, 2, 4, 14}},
    };
    static const double want[2][2] = {{.207942464, .379730548}, {.296516568, .477272727}};
    for (int city = 0; city < 2; city++) {
        struct kappa_table t = {.k = 4};
        struct kappa k;
        for (int i = 0; i < 4; i++) {
            memcpy(t.n[i], n[city][i], sizeof n[city][i]);
        }
        assert_true(group_kappa(&t, &k));
        near_to(k.kappa, want[city][0], 1e-9);
        t.weights = KAPPA_LINEAR;
        assert_true(group_kappa(&t, &k));
        near_to(k.kappa, want[city][1], 1e-9);
    }
}

/* P(one attempt of n reaches k) for k = 1..n when hits ~ Beta(a, b). */
static void hits_tails(double a, double b, int n, double *tail)
{
    struct scoring s = scoring_empty(SCORE_SUCCESSES);
    struct band_rule r = band_rule_default(BAND_BEST, 1);
    struct outcome o = {.known = true, .counts = {1, 1}, .throws = 2};
    s.throws = n;
    r.lines = 1;
    r.alpha = fmin(a, b);           /* the larger one by evidence of its own zone */
    r.weight = 1;
    o.counts[0] = (int)lround(b - r.alpha);
    o.counts[1] = (int)lround(a - r.alpha);
    o.throws = o.counts[0] + o.counts[1];
    for (int k = 1; k <= n; k++) {
        struct room w = lent();
        struct zones_table t;
        struct evidence e;
        r.line[0] = k;
        assert_true(zones_table_make(&s, &r, &w, &t));
        assert_true(evidence_make(&s, (struct outcomes){&o, o.throws > 0}, r.alpha, &w, &e));
        assert_true(zones_tails(&t, &r, &e, &w, &tail[k - 1]));
    }
}

/* Beta-binomial (R extraDistr, exact fractions): BB(5; 1, 1) = 1/6 each; BB(3; 1/2, 1/2) = 5/16,
 * 3/16, 3/16, 5/16; BB(10; 2, 3) distribution function at 3 = 5/11. */
static void beta_binomial(void **state)
{
    (void)state;
    double tail[10];
    hits_tails(1, 1, 5, tail);
    for (int k = 1; k <= 5; k++) {
        near_to(tail[k - 1], (6 - k) / 6.0, 1e-14);
    }
    hits_tails(.5, .5, 3, tail);
    near_to(tail[0], 11 / 16.0, 1e-14);
    near_to(tail[1], 8 / 16.0, 1e-14);
    near_to(tail[2], 5 / 16.0, 1e-14);
    hits_tails(2, 3, 10, tail);
    near_to(1 - tail[3], 5 / 11.0, 1e-14);
}

/* Bliss and Fisher (1953), mites on apple leaves: k = 1.02459239, mean 1.1466667, expected of 150
 * leaves 69.487978 37.599870 20.101085 10.702633 5.686933 3.018106 1.600429 .848174 (data from
 * memory, expectations recomputed). Negative binomial with p = k / (k + mean). */
static void mites_on_leaves(void **state)
{
    (void)state;
    static const double want[] = {69.487978, 37.599870, 20.101085, 10.702633,
                                  5.686933, 3.018106, 1.600429, .848174};
    double k = 1.02459239, p = k / (k + 172 / 150.0);
    for (size_t x = 0; x < T_COUNT(want); x++) {
        near_to(150 * special_nbinom_pmf((double)x, k, p), want[x], 2e-6);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(nist_means_and_deviations),
        cmocka_unit_test(tea_in_full),
        cmocka_unit_test(circular_error),
        cmocka_unit_test(quantiles),
        cmocka_unit_test(mini_meter),
        cmocka_unit_test(landis_and_koch),
        cmocka_unit_test(beta_binomial),
        cmocka_unit_test(mites_on_leaves),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
