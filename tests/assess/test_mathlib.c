/* SPDX-License-Identifier: MIT
 * The distributions against R's mathlib (Debian r-mathlib 4.2.2, linked into this test only), over
 * seeded draws that reach into the tails. Both sides are in doubles.
 *
 * Tolerances are relative to the smaller tail where the function gives that tail itself, and have
 * an absolute part where it is one minus something. What bounds them is ln Gamma: near x it is
 * known to about x ln x units of 1e-16, and exp() turns that absolute error into a relative one. For
 * arguments up to 500 (ln Gamma about 2600, three of them) that is 3 x 2600 x 1.1e-16 = 9e-13. */
#include "assess/special.h"

#include <math.h>
#include <string.h>

#define MATHLIB_STANDALONE 1
#include <Rmath.h>

#include "assess/band.h"
#include "assess/band_zones.h"
#include "assess/gain.h"
#include "draw.h"
#include "t.h"

enum { DRAWS = 4000 };
#define LN_GAMMA_BOUND 1e-11        /* ten times the bound above */
#define TINY 1e-200   /* below it mathlib gives 0 or fewer digits (seen: 1e-8 off at 7e-274) */

static _Alignas(16) unsigned char memory[ROOM_ENOUGH];

static struct room lent(void)
{
    return (struct room){.base = memory, .size = sizeof memory};
}

static void agree(const char *what, double got, double want, double relative, double absolute)
{
    double tolerance = relative * fabs(want) + absolute;
    if (!(fabs(got - want) <= tolerance)) {
        print_error("%s: %.17g, mathlib has %.17g\n", what, got, want);
        fail();
    }
}

/* Relative 1e-14 down to the far tail: erfc of libm is good to a unit or two in the last place, and
 * the rounding of x / sqrt 2 costs x^2 units more (x = -30: 900 x 1.1e-16 = 1e-13). */
static void normal(void **state)
{
    (void)state;
    draw_seed(11);
    for (int i = 0; i < DRAWS; i++) {
        double x = draw_double(-36, 9);
        agree("phi", special_phi(x), pnorm(x, 0, 1, 1, 0), 1e-14 + 3e-16 * x * x, TINY);
    }
}

static void incomplete_beta(void **state)
{
    (void)state;
    draw_seed(12);
    for (int i = 0; i < DRAWS; i++) {
        double a = exp(draw_double(log(0.25), log(500))), b = exp(draw_double(log(0.25), log(500)));
        double x = draw_double(0, 1);
        double want = pbeta(x, a, b, 1, 0);
        /* above the turning point it is one minus the other tail: absolute there */
        bool lower = x < (a + 1) / (a + b + 2);
        agree("ibeta", special_ibeta(x, a, b), want, LN_GAMMA_BOUND, lower ? TINY : 1e-12);
        double tail = special_ibeta(1 - x, b, a);
        agree("both tails", special_ibeta(x, a, b) + tail, 1, 1e-11, 0);
    }
}

/* Above 1e7 by Abramowitz and Stegun 26.5.22. They give 0.005 where a + b > 6 (from memory); with
 * both this large it is far nearer. */
static void beta_of_the_largest_counts(void **state)
{
    (void)state;
    draw_seed(23);
    for (int i = 0; i < DRAWS; i++) {
        double a = exp(draw_double(log(1e5), log(1e15))), b = exp(draw_double(log(1e7), log(1e15)));
        double mean = a / (a + b), sd = sqrt(mean * (1 - mean) / (a + b + 1));
        double x = mean + draw_double(-5, 5) * sd;
        agree("large", special_ibeta(x, a, b), pbeta(x, a, b, 1, 0), 0, 1e-6);
    }
}

static void student(void **state)
{
    (void)state;
    draw_seed(13);
    for (int i = 0; i < DRAWS; i++) {
        double df = exp(draw_double(log(0.5), log(900))), t = draw_double(-12, 60);
        double near = (t < 0 ? -1 : 1) * exp(draw_double(-30, 0));
        /* for t < 1 it is one half less the incomplete beta */
        agree("t", special_t_sf(t, df), pt(t, df, 0, 0), LN_GAMMA_BOUND, t > 2 ? TINY : 1e-12);
        agree("t near 0", special_t_sf(near, df), pt(near, df, 0, 0), LN_GAMMA_BOUND, 0);
    }
}

static void f_and_its_quantile(void **state)
{
    (void)state;
    draw_seed(14);
    for (int i = 0; i < DRAWS; i++) {
        double d1 = draw_int(1, 300), d2 = draw_int(1, 300), x = exp(draw_double(-6, 5));
        agree("F", special_f_cdf(x, d1, d2), pf(x, d1, d2, 1, 0), LN_GAMMA_BOUND, 1e-12);
    }
    for (int i = 0; i < DRAWS / 10; i++) {      /* bisection: as good as the cdf is steep */
        double d1 = draw_int(1, 300), d2 = draw_int(2, 300), p = draw_double(0.005, 0.995);
        agree("F quantile", special_f_quantile(p, d1, d2), qf(p, d1, d2, 1, 0), 1e-9, 1e-14);
    }
}

static void binomial(void **state)
{
    (void)state;
    draw_seed(15);
    for (int i = 0; i < DRAWS; i++) {
        int n = draw_int(1, 400), k = draw_int(-1, n);
        double p = draw_double(0.001, 0.999);
        /* upper tails beyond the mean come directly; below it as one minus */
        bool beyond = k > n * p + 1;
        agree("binomial", special_binom_sf(k, n, p), pbinom(k, n, p, 0, 0), LN_GAMMA_BOUND,
              beyond ? TINY : 1e-12);
    }
}

static void negative_binomial(void **state)
{
    (void)state;
    draw_seed(16);
    for (int i = 0; i < DRAWS; i++) {
        double r = exp(draw_double(log(0.5), log(300))), p = draw_double(0.05, 0.98);
        int k = draw_int(0, 400);
        double mean = r * (1 - p) / p;
        agree("nb tail", special_nbinom_sf(k, r, p), pnbinom(k, r, p, 0, 0), LN_GAMMA_BOUND,
              k > mean + 2 ? TINY : 1e-12);
        agree("nb", special_nbinom_pmf(k, r, p), dnbinom(k, r, p, 0), LN_GAMMA_BOUND, TINY);
    }
}

/* The logarithm itself: a difference of three that may be far larger than it. */
static void ways_to_choose(void **state)
{
    (void)state;
    draw_seed(17);
    for (int i = 0; i < DRAWS; i++) {
        int n = draw_int(0, 4000), k = draw_int(0, n);
        agree("ln choose", special_ln_choose(n, k), lchoose(n, k), 1e-13,
              1e-15 * (lgammafn(n + 1) + 10));
    }
}

/* The two-zone gain test is the hypergeometric distribution: hits now among all throws. */
static void gain_of_two_zones(void **state)
{
    (void)state;
    draw_seed(18);
    for (int i = 0; i < DRAWS; i++) {
        struct scoring s = scoring_empty(SCORE_SUCCESSES);
        int before[SCORE_ZONES_MAX] = {0}, after[SCORE_ZONES_MAX] = {0};
        int then = draw_int(1, 60), now = draw_int(1, 60);
        struct gain_tails t;
        struct room w = lent();
        before[1] = draw_int(0, then);
        after[1] = draw_int(0, now);
        before[0] = then - before[1];
        after[0] = now - after[1];
        s.throws = 60;
        assert_true(gain_throws(&s, before, after, &w, &t));
        int hits = before[1] + after[1], misses = before[0] + after[0], x = after[1];
        /* sums of positive terms: relative, also in the tail */
        agree("up", t.up, phyper(x - 1, hits, misses, now, 0, 0), LN_GAMMA_BOUND, TINY);
        agree("lo", t.lo, phyper(x, hits, misses, now, 1, 0), LN_GAMMA_BOUND, TINY);
        agree("eq", t.eq, dhyper(x, hits, misses, now, 0), LN_GAMMA_BOUND, TINY);
        assert_int_equal(w.used, 0);
    }
}

static double beta_binomial(int k, int n, double a, double b)
{
    return exp(lchoose(n, k) + lbeta(k + a, n - k + b) - lbeta(a, b));
}

/* One attempt of n tries is beta-binomial: its tail summed from mathlib's lchoose and lbeta. */
static void repeat_of_successes(void **state)
{
    (void)state;
    draw_seed(19);
    for (int i = 0; i < DRAWS / 4; i++) {
        struct scoring s = scoring_empty(SCORE_SUCCESSES);
        struct band_rule r = band_rule_default(BAND_BEST, 1);
        struct room w = lent();
        struct zones_table t;
        struct evidence e;
        int made = draw_int(1, 60), hit = draw_int(0, made), n = draw_int(1, 60);
        struct outcome o = {.known = true, .counts = {made - hit, hit}, .throws = made};
        double tail, want = 0;
        s.throws = n;
        r.alpha = draw_double(0.3, 2);
        r.weight = draw_double(0.3, 1);
        r.lines = 1;
        r.line[0] = draw_int(0, n);
        for (int k = (int)r.line[0]; k <= n; k++) {
            want += beta_binomial(k, n, r.alpha + r.weight * hit,
                                  r.alpha + r.weight * (made - hit));
        }
        assert_true(zones_table_make(&s, &r, &w, &t));
        assert_true(evidence_make(&s, (struct outcomes){&o, 1}, r.alpha, &w, &e));
        assert_true(zones_tails(&t, &r, &e, &w, &tail));
        agree("beta-binomial", tail, want, 1e-11, TINY);
    }
}

/* The mean of m counts, and one count, are negative binomial; best of m at least as high. */
static void repeat_of_counts(void **state)
{
    (void)state;
    draw_seed(20);
    for (int i = 0; i < DRAWS / 4; i++) {
        int m = draw_int(1, 5), n = draw_int(1, 5), line = draw_int(1, 90);
        int64_t counts[5];
        double sum = 0;
        struct band_answer a;
        struct room w = lent();
        struct band_rule r = band_rule_default(BAND_MEAN, m);
        for (int j = 0; j < n; j++) {
            counts[j] = draw_int(0, 60);
            sum += (double)counts[j];
        }
        r.lines = 1;
        r.line[0] = line;
        assert_true(band_counts(&r, counts, (size_t)n, &w, &a));
        double size = 0.5 + 0.8 * sum, rate = 0.8 * n;
        agree("mean of counts", a.probs[1], pnbinom(m * line - 1, size, rate / (rate + m), 0, 0),
              1e-11, 1e-12);
        r.stat = BAND_BEST;
        r.m_new = 1;
        assert_true(band_counts(&r, counts, (size_t)n, &w, &a));
        agree("one count", a.probs[1], pnbinom(line - 1, size, rate / (rate + 1), 0, 0), 1e-10,
              1e-12);     /* one minus a sum of up to 90 terms */
    }
}

/* Counts against counts in other times: binomial given the sum. */
static void gain_of_counts(void **state)
{
    (void)state;
    draw_seed(21);
    for (int i = 0; i < DRAWS; i++) {
        int before = draw_int(0, 200), after = draw_int(0, 200);
        double tb = draw_double(10, 120), ta = draw_double(10, 120), share = ta / (ta + tb);
        agree("counts", gain_counts(before, tb, after, ta),
              pbinom(after - 1, before + after, share, 0, 0), LN_GAMMA_BOUND,
              after > (before + after) * share + 2 ? TINY : 1e-12);
    }
}

/* The mean of a measure's repeat is Student's t. */
static void repeat_of_measures(void **state)
{
    (void)state;
    draw_seed(22);
    for (int i = 0; i < DRAWS; i++) {
        struct band_rule r = band_rule_default(BAND_MEAN, draw_int(1, 5));
        struct band_spread sp = {.scale = BAND_RAW, .s_w = draw_double(0.1, 5),
                                 .nu = draw_int(20, 200), .rho = draw_double(0.3, 1.5)};
        double x[3] = {draw_double(5, 50), draw_double(5, 50), draw_double(5, 50)};
        struct band_answer a;
        r.lines = 1;
        r.line[0] = draw_double(5, 50);
        assert_true(band_measure(&r, &sp, x, 3, &a));
        double width = sp.s_w * sqrt(1 / 3.0 + 1.0 / r.m_new + 2 * sp.rho * sp.rho);
        agree("measure", a.probs[1], pt((r.line[0] - (x[0] + x[1] + x[2]) / 3) / width, sp.nu, 0, 0),
              1e-10, 1e-12);      /* the difference of line and mean is rounded once more */
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(normal), cmocka_unit_test(incomplete_beta),
        cmocka_unit_test(beta_of_the_largest_counts),
        cmocka_unit_test(student), cmocka_unit_test(f_and_its_quantile),
        cmocka_unit_test(binomial), cmocka_unit_test(negative_binomial),
        cmocka_unit_test(ways_to_choose), cmocka_unit_test(gain_of_two_zones),
        cmocka_unit_test(repeat_of_successes), cmocka_unit_test(repeat_of_counts),
        cmocka_unit_test(gain_of_counts), cmocka_unit_test(repeat_of_measures),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
