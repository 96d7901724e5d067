/* SPDX-License-Identifier: MIT
 * Is the gain more than luck? All throws of the first comparable hand-in against all of the latest:
 * not best against best. Only the teacher sees any of it; a child sees its own best. Where even a
 * perfect result could not convince, the answer is silence, and "within the usual ups and downs" is
 * not "no progress". */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "assess/attainable.h"
#include "assess/band_zones.h"
#include "assess/room.h"

enum gain_category {
    GAIN_SILENT,        /* too few throws: even the best possible result would prove nothing */
    GAIN_CLEAR, GAIN_LIKELY,
    GAIN_UP_LUCK, GAIN_SAME, GAIN_DOWN_LUCK,
    GAIN_LOWER,         /* lower than at first; kit, place or distance may differ */
};

/* Exact one-sided tails of the points now, when throws before and after are exchangeable. */
struct gain_tails {
    double up, eq, lo;  /* P(>= now), P(= now), P(<= now) */
    double best;        /* P(= the largest total the pooled throws allow) */
};

/* Counts in the order of the points of `s`; at most 400 throws together. False: no throws on a
 * side, or no room. */
bool gain_throws(const struct scoring *s, const int *before, const int *after, struct room *w,
                 struct gain_tails *out);
enum gain_category gain_category(const struct scoring *s, const struct gain_tails *t,
                                 const int *before, const int *after);

/* Attempts of which only totals may be known: the smallest and the largest P(>= now) over every
 * pair of vectors the totals allow. Judge by the largest; the page shows the range when it crosses
 * a category. `worst` (may be NULL) gets the tails of the largest. */
struct gain_range { double smallest, largest; };
struct gain_sides {
    struct outcomes before, after;
};
/* False too when there are more than GAIN_PAIRS_MOST pairs. */
enum { GAIN_PAIRS_MOST = 2048 };
bool gain_totals(const struct scoring *s, const struct gain_sides *sides, struct room *w,
                 struct gain_range *out, struct gain_tails *worst);
/* The careful reading: by the largest. *crosses: the smallest would be another category. */
struct gain_judged {
    struct gain_range range;
    struct gain_tails worst;
};
enum gain_category gain_totals_category(const struct scoring *s, const struct gain_sides *sides,
                                        const struct gain_judged *j, bool *crosses);

/* Within one hand-in: P(best of all attempts - first >= gain), the best being chosen after seeing
 * it. gain <= 0 gives 1. False: over budget. */
struct gain_attempts {
    const int (*counts)[SCORE_ZONES_MAX];   /* throws known, each attempt of s->throws */
    int m;
    int gain;
};
bool gain_first_to_best(const struct scoring *s, const struct gain_attempts *a, struct room *w,
                        double *p);

/* Counts in a time, nothing known of the class: P(>= after) given the sum. */
double gain_counts(int64_t before, double seconds_before, int64_t after, double seconds_after);
/* By the same tails. SILENT when even all of the counts falling now would prove nothing. */
struct gain_counted {
    int64_t before, after;
    double seconds_before, seconds_after;
};
enum gain_category gain_counts_category(const struct gain_counted *c);

/* Measures (and counts on the square root) with what the class shows. Means on the scale, higher
 * better. `nu` are those of the pooled spread: SILENT below BAND_NU_LEAST. Where the day-to-day
 * change was measured as well, the test has fewer: `nu_change` = pairs - 1 (0: it was not). With
 * no spread at all t is 0 and p is one half. */
struct gain_means {
    double before, after;
    int n_before, n_after;
    double s_w, nu, s_day;
    double nu_change;
};
double gain_measure(const struct gain_means *g, double *t);
enum gain_category gain_measure_category(const struct gain_means *g);

/* P(aim now is closer than before) across distances, from distance.h: LIKELY from 0.98 on, never
 * CLEAR; SILENT when the two distances differ by more than a factor of 1.75. */
enum gain_category gain_distance_category(double p_smaller, double distance_ratio);

/* "silent", "clear", "likely", "up_luck", "same", "down_luck", "lower". */
const char *gain_category_word(enum gain_category c);
