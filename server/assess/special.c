/* SPDX-License-Identifier: MIT
 * Special functions by the textbook: the incomplete beta by its continued fraction (Lentz), all
 * distribution functions from it. Checked against published tables in the tests. */
#include "assess/special.h"

#include <math.h>

#define LARGE 1e7

double special_phi(double x)
{
    return 0.5 * erfc(-x / 1.4142135623730950488);
}

double special_ln_gamma(double x)
{
    int sign;
    return lgamma_r(x, &sign);      /* lgamma would write a global */
}

double special_ln_choose(double n, double k)
{
    return special_ln_gamma(n + 1) - special_ln_gamma(k + 1) - special_ln_gamma(n - k + 1);
}

static double away_from_zero(double x)
{
    return fabs(x) < 1e-300 ? 1e-300 : x;
}

static double beta_fraction(double x, double a, double b)
{
    double c = 1, d = 1 / away_from_zero(1 - (a + b) * x / (a + 1)), f = d;
    for (int m = 1; m <= 10000; m++) {
        double m2 = 2.0 * m;
        double even = m * (b - m) * x / ((a + m2 - 1) * (a + m2));
        d = 1 / away_from_zero(1 + even * d);
        c = away_from_zero(1 + even / c);
        f *= d * c;
        double odd = -(a + m) * (a + b + m) * x / ((a + m2) * (a + m2 + 1));
        d = 1 / away_from_zero(1 + odd * d);
        c = away_from_zero(1 + odd / c);
        f *= d * c;
        if (fabs(d * c - 1) < 1e-16) {
            break;
        }
    }
    return f;
}

/* Cube roots are nearly normal: M. Abramowitz, I. A. Stegun (1964), 26.5.22. For counts so large
 * that differences of ln Gamma have no digits left. */
static double beta_large(double x, double a, double b)
{
    double u = cbrt(b * x), v = cbrt(a * (1 - x));
    double gap = 3 * (u * (1 - 1 / (9 * b)) - v * (1 - 1 / (9 * a)));
    return special_phi(gap / sqrt(u * u / b + v * v / a));
}

double special_ibeta(double x, double a, double b)
{
    if (!(x > 0)) {
        return 0;
    }
    if (x >= 1) {
        return 1;
    }
    if (a + b > LARGE) {
        return beta_large(x, a, b);
    }
    double front = exp(special_ln_gamma(a + b) - special_ln_gamma(a) - special_ln_gamma(b) +
                       a * log(x) + b * log1p(-x));
    if (x < (a + 1) / (a + b + 2)) {
        return fmin(1, front * beta_fraction(x, a, b) / a);
    }
    return fmax(0, 1 - front * beta_fraction(1 - x, b, a) / b);
}

double special_t_sf(double t, double df)
{
    double square = t * t;
    /* near 0 the share of df is nearly 1 and would lose the digits of t */
    double half = square < 1 ? 0.5 - 0.5 * special_ibeta(square / (df + square), 0.5, df / 2)
                             : 0.5 * special_ibeta(df / (df + square), df / 2, 0.5);
    return t >= 0 ? half : 1 - half;
}

double special_f_cdf(double x, double d1, double d2)
{
    return x <= 0 ? 0 : special_ibeta(d1 * x / (d1 * x + d2), d1 / 2, d2 / 2);
}

double special_f_quantile(double p, double d1, double d2)
{
    double low = 0, high = 1;
    while (special_f_cdf(high, d1, d2) < p && high < 1e12) {
        low = high;
        high *= 2;
    }
    for (int i = 0; i < 200 && high - low > 1e-15 * high; i++) {
        double mid = (low + high) / 2;
        if (special_f_cdf(mid, d1, d2) < p) {
            low = mid;
        } else {
            high = mid;
        }
    }
    return (low + high) / 2;
}

double special_binom_sf(double k, double n, double p)
{
    k = floor(k);
    if (k < 0) {
        return 1;
    }
    return k >= n ? 0 : special_ibeta(p, k + 1, n - k);
}

double special_nbinom_sf(double k, double r, double p)
{
    k = floor(k);
    return k < 0 ? 1 : special_ibeta(1 - p, k + 1, r);
}

double special_nbinom_pmf(double k, double r, double p)
{
    return exp(special_ln_gamma(k + r) - special_ln_gamma(r) - special_ln_gamma(k + 1) +
               r * log(p) + k * log1p(-p));
}
