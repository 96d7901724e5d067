/* SPDX-License-Identifier: MIT
 * What the estimate and its tables share. */
#pragma once

#include "assess/distance.h"

double aim_ln_prior(int g);
int aim_top_points(const struct aim *a);
/* pmf of the total of `throws` throws, 0..throws * top; `spare` is as long, either is returned. */
double *aim_total_pmf(const struct aim *a, int throws, const double *p, double *pmf,
                      double *spare);
bool aim_two_buffers(const struct aim *a, int attempts, struct room *w, double *buf[2]);
/* Logarithms of AIM_GRID weights -> weights of sum 1. */
void aim_normalise(double *w);

/* At one spread: the pmf of an attempt, and of the sum of all where the mean is asked for. */
struct aim_pmfs {
    const double *pmf, *sum;
};
void aim_tails_at(const struct aim *a, const struct band_rule *r, const struct aim_pmfs *at,
                  double *tails);
