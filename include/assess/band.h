/* SPDX-License-Identifier: MIT
 * Which of the school's bands a result points to, and how sure that is. The band is arithmetic:
 * how many of the school's lines the result reaches. "How sure" is the probability that fresh
 * attempts of the same child on another day would land in that band again. Missing is never low:
 * where there is not enough to go by, the answer is a run of bands, or silence. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum { BAND_LINES_MAX = 8 };

enum band_stat { BAND_MIDDLE, BAND_BEST, BAND_MEAN };

enum band_label { BAND_NOT_ENOUGH, BAND_LEANING, BAND_FAIRLY, BAND_SURE };

/* The school's rule. band_rule_default() fills all but the lines. */
struct band_rule {
    enum band_stat stat;
    int m_new;                      /* attempts of the imagined repeat; 3 */
    size_t lines;
    double line[BAND_LINES_MAX];    /* easiest first: rising, or falling where lower is better */
    double alpha, weight;           /* prior count a zone, weight of evidence: 1 and 0.8 */
    double sure, fairly, leaning;   /* least probability of each label: 0.80, 0.65, 0.50 */
};
struct band_rule band_rule_default(enum band_stat stat, int m_new);

struct band_answer {
    double observed;                /* the statistic of what was made */
    int band;                       /* lines it reaches, 0..lines */
    bool known;                     /* the rest is filled: "how sure" could be worked out */
    double probs[BAND_LINES_MAX + 1];
    enum band_label label;
    int span_low, span_high;        /* shortest run of bands that holds 80 % */
    int likelier;                   /* a band more probable than the observed one; -1 none */
};

/* k-th best of n scores (middle: the better of two middle ones), or the mean. n >= 1. The array is
 * reordered, best first. */
double band_statistic(enum band_stat stat, bool lower_is_better, double *scores, size_t n);
/* How many of the lines the value reaches. */
int band_of(const struct band_rule *r, bool lower_is_better, double value);
/* k of the k-th best among m: 1 for best, ceil(m/2) for middle. */
int band_kth(enum band_stat stat, int m);

/* tails[j] = P(a repeat reaches line j), easiest first. Fills probs, label, span and likelier.
 * `attempts` and `throws` made (throws -1: the kind has none) decide whether SURE may be said. */
void band_conclude(const struct band_rule *r, const double *tails, int attempts, int throws,
                   struct band_answer *out);

/* "sure", "fairly", "leaning", "not_enough". */
const char *band_label_word(enum band_label l);

/* Counts in a fixed time, when nothing is known of how much the class varies: a Gamma-Poisson
 * repeat. `w` for the tables (about 24 bytes x m_new x highest line). False: no room, or n is 0. */
struct room;
bool band_counts(const struct band_rule *r, const int64_t *counts, size_t n, struct room *w,
                 struct band_answer *out);

/* The same with tables made once for an activity's version and lines: they depend on no child. */
struct counts_table {
    int m;
    size_t lines;
    int below[BAND_LINES_MAX];
    const double *cells[BAND_LINES_MAX];    /* in lent memory; NULL where none is needed */
};
struct tallies {
    const int64_t *v;
    size_t n;
};
/* False: a line above 3000, more than 20 attempts, or no room. */
bool counts_table_make(const struct band_rule *r, struct room *w, struct counts_table *out);
/* Without a table (NULL) only observed and band are filled. */
bool band_counts_by(const struct band_rule *r, const struct counts_table *t, struct tallies c,
                    struct room *w, struct band_answer *out);

/* Measures, and counts on the square-root scale. */
enum band_scale { BAND_LOG, BAND_RAW, BAND_SQRT };
struct band_spread {
    enum band_scale scale;
    bool lower_is_better;
    double resolution;              /* of a recorded value */
    double s_w, nu;                 /* pooled within-hand-in SD on the scale, and its df */
    double rho;                     /* day SD / within SD: 0.5 until the class shows it */
};
enum { BAND_NU_LEAST = 20 };
/* `values` as recorded. With nu < BAND_NU_LEAST only observed and band are filled. False: n is 0
 * or a value does not exist on the scale. */
bool band_measure(const struct band_rule *r, const struct band_spread *sp, const double *values,
                  size_t n, struct band_answer *out);
