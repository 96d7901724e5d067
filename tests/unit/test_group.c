/* SPDX-License-Identifier: MIT
 * A class as a whole, against published data: Shrout and Fleiss, Bland and Altman, Cohen, Fleiss,
 * NIST. What leaves the class is tried on many tables. */
#include "assess/group.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "assess/spread.h"
#include "t.h"

/* P. E. Shrout, J. L. Fleiss (1979) Psychol Bull 86:420-428, table 2: published .17 .71 .44 .91;
 * further digits and limits by R psych 2.2.9, ICC(). */
static void shrout_and_fleiss(void **state)
{
    (void)state;
    static const double x[] = {9, 2, 5, 8, 6, 1, 3, 2, 8, 4, 6, 8,
                               7, 1, 2, 6, 10, 5, 6, 9, 6, 2, 4, 7};
    struct icc_balanced c;
    assert_true(group_icc_balanced(x, 6, 4, &c));
    near_to(c.icc1, .17, .005);
    near_to(c.icc3, .71, .005);
    near_to(c.icc1k, .44, .005);
    near_to(c.icc3k, .91, .005);
    near_to(c.msb, 11.241666667, 1e-9);
    near_to(c.mse, 1.019444444, 1e-9);
    near_to(c.lower, .342465, 1e-6);
    near_to(c.upper, .945858, 1e-6);
    assert_int_equal(group_dependable(c.icc3, 6), GROUP_FEW);
    assert_int_equal(group_dependable(c.icc3, 10), GROUP_ROUGHLY);
}

/* J. M. Bland, D. G. Altman (1986) Lancet, peak flow by the Wright meter, 17 people twice. Typical
 * error (W. G. Hopkins 2000, Sports Med 30:1-15) = SD of the differences / sqrt 2 = 15.361215. */
static void typical_error_of_two_readings(void **state)
{
    (void)state;
    static const double first[] = {494, 395, 516, 434, 476, 557, 413, 442, 650,
                                   433, 417, 656, 267, 478, 178, 423, 427};
    static const double second[] = {490, 397, 512, 401, 470, 611, 415, 431, 638,
                                    429, 420, 633, 275, 492, 165, 372, 421};
    double x[34];
    struct icc_balanced c;
    for (int i = 0; i < 17; i++) {
        x[2 * i] = first[i];
        x[2 * i + 1] = second[i];
    }
    assert_true(group_icc_balanced(x, 17, 2, &c));
    near_to(c.typical_error, 15.361215, 1e-6);
    near_to(sqrt(c.msw), 15.306669, 1e-6);
    near_to(2 * sqrt(2 * c.msw), 43.2, 0.1);        /* published coefficient of repeatability */
    near_to(c.icc1, .983165020, 1e-9);
    near_to(c.icc3, .983045842, 1e-9);
}

/* J. M. Bland, D. G. Altman (1996) BMJ 313:744: peak flow of schoolchildren, four readings each
 * (the first 16 of 20 rows); sw 21.378289, ICC(1) .770604728; first three readings 19.525624,
 * .789698146 (R). The published SD of row 4 is 38.60. */
static const double peak_flow[16][4] = {
    {190, 220, 200, 200}, {220, 200, 240, 230}, {260, 260, 240, 280}, {210, 300, 280, 265},
    {270, 265, 280, 270}, {280, 280, 270, 275}, {260, 280, 280, 300}, {275, 275, 275, 305},
    {280, 290, 300, 290}, {320, 290, 300, 290}, {300, 300, 310, 300}, {270, 250, 330, 370},
    {320, 330, 330, 330}, {335, 320, 335, 375}, {350, 320, 340, 365}, {360, 320, 350, 345},
};

static void within_child_spread_of_schoolchildren(void **state)
{
    (void)state;
    static const struct { size_t k; double sw, icc; } cases[] = {
        {4, 21.378289, .770604728}, {3, 19.525624, .789698146},
    };
    for (size_t c = 0; c < T_COUNT(cases); c++) {
        double x[64];
        size_t count[16], n = 0;
        struct spread_sum sum = {0};
        struct band_spread sp = {.scale = BAND_RAW};
        struct icc_unbalanced u;
        for (size_t i = 0; i < 16; i++) {
            count[i] = cases[c].k;
            spread_add(&sum, peak_flow[i], cases[c].k);
            for (size_t j = 0; j < cases[c].k; j++) {
                x[n++] = peak_flow[i][j];
            }
        }
        spread_close(&sum, &sp);
        assert_true(group_icc_unbalanced(x, count, 16, &u));
        near_to(u.typical_error, cases[c].sw, 1e-6);
        near_to(sp.s_w, cases[c].sw, 1e-6);
        near_to(sp.nu, 16 * ((double)cases[c].k - 1), 0);
        near_to(u.icc1, cases[c].icc, 1e-9);
        near_to(u.k0, (double)cases[c].k, 1e-12);
    }
    struct spread_sum one = {0};
    struct band_spread sp = {.scale = BAND_RAW};
    spread_add(&one, peak_flow[3], 4);
    spread_close(&one, &sp);
    near_to(sp.s_w, 38.60, 0.005);
    near_to(sp.rho, 0.5, 0);            /* nobody with two hand-ins yet */
}

/* R. J. Hyndman, Y. Fan (1996) Am Stat 50:361-365, type 7; values of R's quantile(). */
static void quantiles_of_type_seven(void **state)
{
    (void)state;
    static const double x[] = {15, 20, 35, 40, 50};
    static const double p[] = {.05, .30, .40, .50, .75, .95};
    static const double want[] = {16, 23, 29, 35, 40, 48};
    for (size_t i = 0; i < T_COUNT(p); i++) {
        near_to(group_quantile(x, 5, p[i]), want[i], 1e-12);
    }
    near_to(group_quantile(x, 1, .9), 15, 0);
    struct five_numbers f;
    assert_false(group_five_numbers(NULL, 0, &f));
}

/* NIST StRD, univariate: certified mean and standard deviation. Michelso: speed of light. */
static const double michelso[] = {
    299.85, 299.74, 299.90, 300.07, 299.93, 299.85, 299.95, 299.98, 299.98, 299.88, 300.00,
    299.98, 299.93, 299.65, 299.76, 299.81, 300.00, 300.00, 299.96, 299.96, 299.96, 299.94,
    299.96, 299.94, 299.88, 299.80, 299.85, 299.88, 299.90, 299.84, 299.83, 299.79, 299.81,
    299.88, 299.88, 299.83, 299.80, 299.79, 299.76, 299.80, 299.88, 299.88, 299.88, 299.86,
    299.72, 299.72, 299.62, 299.86, 299.97, 299.95, 299.88, 299.91, 299.85, 299.87, 299.84,
    299.84, 299.85, 299.84, 299.84, 299.84, 299.89, 299.81, 299.81, 299.82, 299.80, 299.77,
    299.76, 299.74, 299.75, 299.76, 299.91, 299.92, 299.89, 299.86, 299.88, 299.72, 299.84,
    299.85, 299.85, 299.78, 299.89, 299.84, 299.78, 299.81, 299.76, 299.81, 299.79, 299.81,
    299.82, 299.85, 299.87, 299.87, 299.81, 299.74, 299.81, 299.94, 299.95, 299.80, 299.81,
    299.87,
};

static void check_nist(double *x, size_t n, double mean, double sd, double tolerance)
{
    struct spread_sum sum = {0};
    struct band_spread sp = {.scale = BAND_RAW};
    struct five_numbers f;
    spread_add(&sum, x, n);
    spread_close(&sum, &sp);
    assert_true(group_five_numbers(x, n, &f));
    near_to(f.mean, mean, fabs(mean) * 1e-15 + 1e-12);
    near_to(sp.s_w, sd, sd * tolerance);
}

static void nist_certified_means_and_deviations(void **state)
{
    (void)state;
    static double x[1001];
    memcpy(x, michelso, sizeof michelso);
    check_nist(x, T_COUNT(michelso), 299.852400000000, 0.0790105478190518, 1e-12);
    x[0] = 10000001;                        /* NumAcc1 */
    x[1] = 10000003;
    x[2] = 10000002;
    check_nist(x, 3, 10000002, 1, 1e-15);
    static const struct { double base, tolerance; } acc[] = {   /* NumAcc2, 3, 4 */
        {1, 1e-13}, {1000000, 1e-9}, {10000000, 1e-7},
    };
    for (size_t a = 0; a < T_COUNT(acc); a++) {
        x[0] = acc[a].base + 0.2;
        for (size_t i = 1; i < 1001; i += 2) {
            x[i] = acc[a].base + 0.1;
            x[i + 1] = acc[a].base + 0.3;
        }
        struct spread_sum sum = {0};
        struct band_spread sp = {.scale = BAND_RAW};
        spread_add(&sum, x, 1001);
        spread_close(&sum, &sp);
        near_to(sp.s_w, 0.1, 0.1 * acc[a].tolerance);
    }
}

static void fill(struct kappa_table *t, const double *cells)
{
    for (int i = 0; i < t->k; i++) {
        for (int j = 0; j < t->k; j++) {
            t->n[i][j] = cells[i * t->k + j];
        }
    }
}

/* J. Cohen (1968) Psychol Bull 70:213-220, disagreement weights 0 1 3/1 0 6/3 6 0: reported .492
 * and .348 (R psych: .491525424, .347826087). */
static void cohen_1968(void **state)
{
    (void)state;
    static const double p[] = {.44, .07, .09, .05, .20, .05, .01, .03, .06};
    static const double v[3][3] = {{0, 1, 3}, {1, 0, 6}, {3, 6, 0}};
    struct kappa_table t = {.k = 3};
    struct kappa k;
    fill(&t, p);
    assert_true(group_kappa(&t, &k));
    near_to(k.kappa, .491525424, 1e-9);
    t.weights = KAPPA_GIVEN;
    for (int i = 0; i < 3; i++) {
        for (int j = 0; j < 3; j++) {
            t.w[i][j] = 1 - v[i][j] / 6;
        }
    }
    assert_true(group_kappa(&t, &k));
    near_to(k.kappa, .347826087, 1e-9);
    t.weights = KAPPA_LINEAR;
    assert_true(group_kappa(&t, &k));
    near_to(k.kappa, .473684211, 1e-9);
    t.weights = KAPPA_QUADRATIC;
    assert_true(group_kappa(&t, &k));
    near_to(k.kappa, .454545455, 1e-9);
}

/* J. L. Fleiss, J. Cohen, B. S. Everitt (1969) Psychol Bull 72:323-327: counts; kappa .428571429,
 * linear .492307692, quadratic .566666667 (R psych). R vcd SexualFun: ASE .068598533, linear
 * .078316335. */
static void fleiss_cohen_everitt_1969(void **state)
{
    (void)state;
    static const double p[] = {106, 10, 4, 22, 28, 10, 2, 12, 6};
    static const double w[3][3] = {{1, 0, .4444}, {0, 1, .6667}, {.4444, .6667, 1}};
    struct kappa_table t = {.k = 3};
    struct kappa k;
    fill(&t, p);
    assert_true(group_kappa(&t, &k));
    near_to(k.kappa, .428571429, 1e-9);
    t.weights = KAPPA_LINEAR;
    assert_true(group_kappa(&t, &k));
    near_to(k.kappa, .492307692, 1e-9);
    t.weights = KAPPA_GIVEN;
    memcpy(t.w, (const double[KAPPA_MAX][KAPPA_MAX]){{0}}, sizeof t.w);
    for (int i = 0; i < 3; i++) {
        memcpy(t.w[i], w[i], sizeof w[i]);
    }
    assert_true(group_kappa(&t, &k));
    near_to(k.kappa, .507069965, 1e-6);
    static const double fun[] = {7, 7, 2, 3, 2, 8, 3, 7, 1, 5, 4, 9, 2, 8, 9, 14};
    struct kappa_table f = {.k = 4};
    fill(&f, fun);
    assert_true(group_kappa(&f, &k));
    near_to(k.kappa, .129330254, 1e-9);
    near_to(k.ase, .068598533, 1e-9);
    f.weights = KAPPA_LINEAR;
    assert_true(group_kappa(&f, &k));
    near_to(k.kappa, .237380628, 1e-9);
    near_to(k.ase, .078316335, 1e-9);
    f.weights = KAPPA_QUADRATIC;
    assert_true(group_kappa(&f, &k));
    near_to(k.kappa, .332045586, 1e-9);
}

static void nothing_to_judge_is_said(void **state)
{
    (void)state;
    static const double same[] = {4, 4, 4, 4, 4, 4}, apart[] = {1, 1, 2, 2, 3, 3};
    struct icc_balanced c;
    struct icc_unbalanced u;
    struct kappa k;
    static const size_t ones[] = {1, 1, 1};
    assert_true(group_icc_balanced(same, 3, 2, &c));
    assert_false(c.judged);
    assert_true(group_icc_balanced(apart, 3, 2, &c));
    near_to(c.icc3, 1, 0);
    assert_false(group_icc_balanced(same, 1, 2, &c));
    assert_false(group_icc_unbalanced(same, ones, 3, &u));
    struct kappa_table t = {.k = 2};
    assert_false(group_kappa(&t, &k));
    near_to(group_icc_shown(-0.3), 0, 0);
}

/* Twelve children with a change of their own between two hand-ins: the day shows. */
static void days_show_from_twelve_pairs(void **state)
{
    (void)state;
    struct spread_sum s = {0};
    struct band_spread sp = {.scale = BAND_RAW};
    static const double y[] = {1, 2, 3};
    for (int i = 0; i < 11; i++) {
        spread_add(&s, y, 3);
        spread_add(&s, y, 3);
        spread_pair(&s, 0, 3, i % 2 == 0 ? 4 : -4, 3);
    }
    spread_close(&s, &sp);
    near_to(sp.rho, 0.5, 0);
    spread_pair(&s, 0, 3, -4, 3);
    spread_close(&s, &sp);
    near_to(sp.s_w, 1, 1e-12);
    near_to(sp.rho, 1.5, 0);            /* sqrt((192/11 - 2/3) / 2) = 2.9, kept at 1.5 */
}

/* Invented tables: a small cell is never seen, never alone in its line, and never given away by
 * the sum of a line unless the line has no other cell to hide. */
static void small_cells_never_show(void **state)
{
    (void)state;
    srand(7);
    for (int round = 0; round < 2000; round++) {
        int count[16], rows = 1 + rand() % 4, columns = 2 + rand() % 3;
        bool hidden[16];
        for (int i = 0; i < rows * columns; i++) {
            count[i] = rand() % (rand() % 2 ? 6 : 30);
        }
        const struct leave_table t = {count, rows, columns};
        leave_hide(&t, hidden);
        for (int i = 0; i < rows * columns; i++) {
            assert_true(hidden[i] || count[i] == 0 || count[i] >= 5);
        }
        for (int r = 0; r < rows; r++) {
            int cells = 0, sum = 0;
            for (int c = 0; c < columns; c++) {
                cells += hidden[r * columns + c];
                sum += hidden[r * columns + c] ? count[r * columns + c] : 0;
            }
            assert_true(cells == 0 || cells == columns || (cells >= 2 && sum >= 5));
        }
        for (int c = 0; c < columns && rows > 1; c++) {
            int cells = 0, sum = 0;
            for (int r = 0; r < rows; r++) {
                cells += hidden[r * columns + c];
                sum += hidden[r * columns + c] ? count[r * columns + c] : 0;
            }
            assert_true(cells == 0 || cells == rows || (cells >= 2 && sum >= 5));
        }
    }
}

static void rows_and_percentages(void **state)
{
    (void)state;
    const int alone[] = {0, 19, 0}, many[] = {0, 20, 0}, mixed[] = {1, 2, 0};
    assert_false(leave_row(alone, 3));
    assert_true(leave_row(many, 3));
    assert_true(leave_row(mixed, 3));
    assert_int_equal(leave_percent(1, 3), 35);
    assert_int_equal(leave_percent(2, 3), 65);
    assert_int_equal(leave_percent(27, 27), 100);
    assert_int_equal(leave_percent(0, 27), 0);
    assert_false(leave_group(9));
    assert_true(leave_group(10));
}

/* Who has no attempts counts for nothing: the same figures as without them. */
static void pupils_without_attempts_count_for_nothing(void **state)
{
    (void)state;
    static const double x[] = {3, 4, 5, 9, 8};
    static const size_t with[] = {0, 3, 0, 2, 0}, without[] = {3, 2}, one[] = {3, 0};
    struct icc_unbalanced a, b;
    assert_true(group_icc_unbalanced(x, with, 5, &a));
    assert_true(group_icc_unbalanced(x, without, 2, &b));
    near_to(a.icc1, b.icc1, 1e-15);
    near_to(a.k0, b.k0, 1e-15);
    near_to(a.df, 3, 0);
    assert_false(group_icc_unbalanced(x, one, 2, &a));
}

/* Differences of a few last bits, just where they begin to count: two mean squares of the same
 * data are rounded away one without the other. */
static void last_bits_are_no_nan(void **state)
{
    (void)state;
    static const double e = 29 * 0x1p-52;
    const double x[] = {1 + e, 1 - e, 1 - e, 1 + e};
    struct icc_balanced c;
    assert_true(group_icc_balanced(x, 2, 2, &c));
    assert_true(c.mse > 0 && c.msw == 0 && c.msb == 0);     /* else the case is not the one meant */
    assert_true(isfinite(c.icc1) && isfinite(c.icc1k) && isfinite(c.icc3) && isfinite(c.icc3k));
    assert_true(isfinite(c.lower) && isfinite(c.upper));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(shrout_and_fleiss),
        cmocka_unit_test(typical_error_of_two_readings),
        cmocka_unit_test(within_child_spread_of_schoolchildren),
        cmocka_unit_test(quantiles_of_type_seven),
        cmocka_unit_test(nist_certified_means_and_deviations),
        cmocka_unit_test(cohen_1968),
        cmocka_unit_test(fleiss_cohen_everitt_1969),
        cmocka_unit_test(nothing_to_judge_is_said),
        cmocka_unit_test(days_show_from_twelve_pairs),
        cmocka_unit_test(pupils_without_attempts_count_for_nothing),
        cmocka_unit_test(last_bits_are_no_nan),
        cmocka_unit_test(small_cells_never_show),
        cmocka_unit_test(rows_and_percentages),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
