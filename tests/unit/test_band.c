/* SPDX-License-Identifier: MIT
 * Labels and spans; counts and measures against direct integration. */
#include "assess/band.h"

#include <math.h>
#include <string.h>

#include "assess/room.h"
#include "assess/special.h"
#include "t.h"

static _Alignas(16) unsigned char memory[1 << 20];

static void the_observed_band_is_arithmetic(void **state)
{
    (void)state;
    struct band_rule r = band_rule_default(BAND_MIDDLE, 3);
    r.lines = 2;
    r.line[0] = 14;
    r.line[1] = 12.5;
    assert_int_equal(band_of(&r, true, 14.1), 0);
    assert_int_equal(band_of(&r, true, 14), 1);
    assert_int_equal(band_of(&r, true, 12.5), 2);
    double odd[] = {3, 9, 5}, even[] = {7, 9}, mean[] = {1, 2, 6};
    near_to(band_statistic(BAND_MIDDLE, false, odd, 3), 5, 0);
    near_to(band_statistic(BAND_MIDDLE, false, even, 2), 9, 0);
    near_to(band_statistic(BAND_MIDDLE, true, even, 2), 7, 0);
    near_to(band_statistic(BAND_MEAN, false, mean, 3), 3, 1e-15);
    near_to(band_statistic(BAND_BEST, true, odd, 3), 3, 0);
}

static void conclude(const double *tails, size_t lines, int band, struct band_answer *a)
{
    struct band_rule r = band_rule_default(BAND_MIDDLE, 3);
    r.lines = lines;
    *a = (struct band_answer){.band = band};
    band_conclude(&r, tails, 3, 12, a);
}

static void labels_and_spans(void **state)
{
    (void)state;
    struct band_answer a;
    const double sure[] = {0.95, 0.10}, fairly[] = {0.90, 0.25}, even[] = {0.75, 0.5, 0.25};
    conclude(sure, 2, 1, &a);
    assert_int_equal(a.label, BAND_SURE);
    assert_int_equal(a.span_low, 1);
    assert_int_equal(a.span_high, 1);
    assert_int_equal(a.likelier, -1);
    conclude(fairly, 2, 1, &a);
    assert_int_equal(a.label, BAND_FAIRLY);
    conclude(fairly, 2, 2, &a);         /* the observed band is not the likelier one */
    assert_int_equal(a.label, BAND_NOT_ENOUGH);
    assert_int_equal(a.likelier, 1);
    conclude(even, 3, 0, &a);           /* all alike: all four bands are needed for 80 % */
    assert_int_equal(a.span_low, 0);
    assert_int_equal(a.span_high, 3);
    const double tie[] = {1, 0.5, 0};
    conclude(tie, 3, 1, &a);
    assert_int_equal(a.label, BAND_LEANING);
    assert_int_equal(a.span_low, 1);
    assert_int_equal(a.span_high, 2);
}

/* P(the k-th best of m Poisson counts >= b), integrated over Gamma(a, rate) by Simpson's rule. */
static double integrated(double a, double rate, int m, int k, int b)
{
    enum { STEPS = 4000 };
    double high = a / rate + 12 * sqrt(a) / rate + 5, sum = 0;
    for (int i = 1; i <= STEPS; i++) {
        double x = high * i / STEPS, below = 0;
        double density = exp(a * log(rate) + (a - 1) * log(x) - rate * x - special_ln_gamma(a));
        for (int c = 0; c < b; c++) {
            below += exp(c * log(x) - x - special_ln_gamma(c + 1));
        }
        double p = special_binom_sf(k - 1, m, fmax(0, 1 - below));
        sum += density * p * (i == STEPS ? 1 : i % 2 == 1 ? 4 : 2);
    }
    return sum * high / STEPS / 3;
}

static void counts_against_integration(void **state)
{
    (void)state;
    const int64_t counts[] = {21, 25, 24};
    for (int m = 1; m <= 4; m++) {
        for (int best = 0; best < 2; best++) {
            struct room w = {.base = memory, .size = sizeof memory};
            struct band_rule r = band_rule_default(best ? BAND_BEST : BAND_MIDDLE, m);
            struct band_answer a;
            r.lines = 2;
            r.line[0] = 20;
            r.line[1] = 26;
            assert_true(band_counts(&r, counts, 3, &w, &a));
            int k = band_kth(r.stat, m);
            near_to(1 - a.probs[0], integrated(0.5 + 0.8 * 70, 2.4, m, k, 20), 1e-7);
            near_to(a.probs[2], integrated(0.5 + 0.8 * 70, 2.4, m, k, 26), 1e-7);
        }
    }
}

static void counts_at_the_edges(void **state)
{
    (void)state;
    struct room w = {.base = memory, .size = sizeof memory};
    struct band_rule r = band_rule_default(BAND_BEST, 3);
    struct band_answer a;
    const int64_t none[] = {0, 0}, many[] = {900, 950};
    r.lines = 2;
    r.line[0] = 0;
    r.line[1] = 5;
    assert_true(band_counts(&r, none, 2, &w, &a));
    assert_true(a.known);
    near_to(a.probs[0], 0, 0);      /* a line of 0 is always reached */
    assert_true(a.probs[2] < 0.05);
    assert_false(band_counts(&r, none, 0, &w, &a));
    r.line[0] = 800;
    r.line[1] = 1000;
    assert_true(band_counts(&r, many, 2, &w, &a));
    near_to(a.probs[0] + a.probs[1] + a.probs[2], 1, 1e-12);
    struct room tiny = {.base = memory, .size = 256};
    assert_true(band_counts(&r, many, 2, &tiny, &a));
    assert_false(a.known);          /* no room: observed and band only */
    assert_int_equal(a.band, 1);
}

/* With a spread known exactly (very many degrees of freedom) one new attempt is plainly normal. */
static void measures_with_a_known_spread_are_normal(void **state)
{
    (void)state;
    struct band_rule r = band_rule_default(BAND_BEST, 1);
    struct band_spread sp = {.scale = BAND_RAW, .s_w = 2, .nu = 1e6, .rho = 0.5};
    const double x[] = {9, 10, 11};
    struct band_answer a;
    r.lines = 1;
    r.line[0] = 12;
    assert_true(band_measure(&r, &sp, x, 3, &a));
    double width = 2 * sqrt(1 + 1 / 3.0 + 0.5);
    near_to(a.probs[1], 1 - special_phi((12 - 10) / width), 1e-6);
}

static void measures_are_silent_without_the_class(void **state)
{
    (void)state;
    struct band_rule r = band_rule_default(BAND_MIDDLE, 3);
    struct band_spread sp = {.scale = BAND_LOG, .lower_is_better = true, .resolution = 10,
                             .s_w = 0.05, .nu = 19, .rho = 0.5};
    const double x[] = {12300, 11900, 12600}, bad[] = {12300, 0};
    struct band_answer a;
    r.lines = 2;
    r.line[0] = 14000;
    r.line[1] = 12300;
    assert_true(band_measure(&r, &sp, x, 3, &a));
    assert_false(a.known);
    assert_int_equal(a.band, 2);
    sp.nu = 20;
    assert_true(band_measure(&r, &sp, x, 3, &a));
    assert_true(a.known);
    assert_false(band_measure(&r, &sp, bad, 2, &a));
    assert_false(band_measure(&r, &sp, x, 0, &a));
    sp.s_w = 0;
    assert_true(band_measure(&r, &sp, x, 3, &a));
    assert_false(a.known);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_observed_band_is_arithmetic),
        cmocka_unit_test(labels_and_spans),
        cmocka_unit_test(counts_against_integration),
        cmocka_unit_test(counts_at_the_edges),
        cmocka_unit_test(measures_with_a_known_spread_are_normal),
        cmocka_unit_test(measures_are_silent_without_the_class),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
