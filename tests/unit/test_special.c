/* SPDX-License-Identifier: MIT
 * Special functions against printed tables. */
#include "assess/special.h"

#include <math.h>

#include "t.h"

/* NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7.2: upper critical values of Student's
 * t, printed to three places. */
static void student_table(void **state)
{
    (void)state;
    static const struct { double df, upper, t; } rows[] = {
        {1, 0.05, 6.314}, {5, 0.025, 2.571}, {10, 0.025, 2.228}, {20, 0.01, 2.528},
        {30, 0.05, 1.697}, {100, 0.005, 2.626},
    };
    for (size_t i = 0; i < T_COUNT(rows); i++) {
        near_to(special_t_sf(rows[i].t, rows[i].df), rows[i].upper, 2e-4);
        near_to(special_t_sf(-rows[i].t, rows[i].df), 1 - rows[i].upper, 2e-4);
    }
}

/* With one degree of freedom the tail is 1/2 - atan(t)/pi (Cauchy): also just beside 0. */
static void student_near_zero(void **state)
{
    (void)state;
    for (double t = 1e-12; t < 1e6; t *= 7) {
        near_to(special_t_sf(t, 1), 0.5 - atan(t) / 3.14159265358979323846, 2e-15);
        near_to(special_t_sf(-t, 1), 0.5 + atan(t) / 3.14159265358979323846, 2e-15);
    }
}

/* The same, 1.3.6.7.3: upper 5 % points of F. */
static void f_table(void **state)
{
    (void)state;
    static const struct { double d1, d2, f; } rows[] = {
        {1, 1, 161.448}, {5, 10, 3.326}, {10, 20, 2.348}, {2, 30, 3.316}, {4, 5, 5.192},
    };
    for (size_t i = 0; i < T_COUNT(rows); i++) {
        near_to(special_f_quantile(0.95, rows[i].d1, rows[i].d2), rows[i].f, 5e-4);
        near_to(special_f_cdf(rows[i].f, rows[i].d1, rows[i].d2), 0.95, 1e-4);
    }
}

/* Binomial tails by adding up; normal at the usual points (any table of the normal). */
static void sums_and_normal(void **state)
{
    (void)state;
    for (int n = 1; n <= 20; n++) {
        for (int k = -1; k <= n; k++) {
            double tail = 0;
            for (int x = k + 1; x <= n; x++) {
                tail += exp(special_ln_choose(n, x)) * pow(0.3, x) * pow(0.7, n - x);
            }
            near_to(special_binom_sf(k, n, 0.3), tail, 1e-12);
        }
    }
    near_to(special_phi(1.959963984540054), 0.975, 1e-14);
    near_to(special_phi(0), 0.5, 1e-15);
    near_to(special_phi(-3), 0.0013498980316301, 1e-14);
}

/* Gamma(2, 1) and three counts of sum 7 give Gamma(9, 4); the next count is negative binomial
 * (9, 4/5): .134217728 .2415919104 .2415919104 .1771674010 (exact decimals). */
static void next_count_of_gamma_poisson(void **state)
{
    (void)state;
    static const double want[] = {0.134217728, 0.2415919104, 0.2415919104, 0.17716740096};
    double sum = 0;
    for (int k = 0; k < 4; k++) {
        near_to(special_nbinom_pmf(k, 9, 0.8), want[k], 1e-12);
        sum += want[k];
        near_to(special_nbinom_sf(k, 9, 0.8), 1 - sum, 1e-12);
    }
}

/* I_x(a, b) + I_1-x(b, a) = 1, and I_x(1, 1) = x. */
static void beta_reflects(void **state)
{
    (void)state;
    for (double x = 0.05; x < 1; x += 0.05) {
        near_to(special_ibeta(x, 1, 1), x, 1e-14);
        near_to(special_ibeta(x, 2.5, 7) + special_ibeta(1 - x, 7, 2.5), 1, 1e-13);
        near_to(special_ibeta(x, 300, 250) + special_ibeta(1 - x, 250, 300), 1, 1e-12);
    }
    near_to(special_ibeta(0, 2, 3), 0, 0);
    near_to(special_ibeta(1, 2, 3), 1, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(student_table),
        cmocka_unit_test(student_near_zero),
        cmocka_unit_test(f_table),
        cmocka_unit_test(sums_and_normal),
        cmocka_unit_test(next_count_of_gamma_poisson),
        cmocka_unit_test(beta_reflects),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
