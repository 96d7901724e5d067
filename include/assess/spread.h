/* SPDX-License-Identifier: MIT
 * What is borrowed from the class: how much one child's attempts vary within a hand-in, and from
 * one day to another. Never a level: a child's level comes from its own attempts alone. */
#pragma once

#include <stdbool.h>
#include <stddef.h>

#include "assess/band.h"

/* Sums; {0}, then spread_add for each hand-in and spread_pair for each child with two. */
struct spread_sum {
    double ss, df;                      /* within hand-ins */
    size_t pairs;
    double change, change_sq, inverse;  /* of means; of 1/n_a + 1/n_b */
};

/* Where a value lies on the scale, higher better. */
double spread_scale(enum band_scale scale, bool lower_is_better, double x);

/* The attempts of one hand-in on the scale; n of 1 adds nothing. */
void spread_add(struct spread_sum *s, const double *y, size_t n);
/* First and latest hand-in of one child. */
void spread_pair(struct spread_sum *s, double mean_a, size_t n_a, double mean_b, size_t n_b);

/* s_w, nu and rho into `out` (whose scale, direction and resolution stay). rho is 0.5 until twelve
 * children have two hand-ins, then what they show, kept within 0.3 to 1.5. (A test of
 * change then has at most pairs - 1 degrees of freedom.) */
enum { SPREAD_PAIRS_LEAST = 12 };
void spread_close(const struct spread_sum *s, struct band_spread *out);
