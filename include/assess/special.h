/* SPDX-License-Identifier: MIT
 * The few special functions that the rest is built on. libm's erfc, lgamma_r, exp and log below. */
#pragma once

double special_phi(double x);                           /* normal distribution function */
double special_ibeta(double x, double a, double b);     /* regularised incomplete beta; a, b > 0;
                                                           a + b above 1e7: nearly */
double special_t_sf(double t, double df);               /* P(T > t), Student */
double special_f_cdf(double x, double d1, double d2);
double special_f_quantile(double p, double d1, double d2);
double special_binom_sf(double k, double n, double p);  /* P(X > k) */
double special_nbinom_sf(double k, double r, double p); /* P(X > k), failures before r successes */
double special_nbinom_pmf(double k, double r, double p);
double special_ln_gamma(double x);                      /* x > 0; keeps no sign anywhere */
double special_ln_choose(double n, double k);
