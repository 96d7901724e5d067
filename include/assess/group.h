/* SPDX-License-Identifier: MIT
 * A class or an activity as a whole: what is typical, how dependably the activity separates pupils,
 * how well two judges agree, and what may leave the class. About groups only; nothing here names or
 * orders pupils. */
#pragma once

#include <stdbool.h>
#include <stddef.h>

/* Quantile by Hyndman and Fan's type 7. `sorted` rising, n >= 1. */
double group_quantile(const double *sorted, size_t n, double p);

struct five_numbers { double min, q1, median, q3, max, mean; };
/* Sorts x. False: n is 0. */
bool group_five_numbers(double *x, size_t n, struct five_numbers *out);

/* Pupils by attempts, complete: x[i * k + j]. */
struct icc_balanced {
    double msb, msw, mse;
    double icc1, icc1k, icc3, icc3k;    /* Shrout and Fleiss (1,1) (1,k) (3,1) (3,k) */
    double lower, upper;                /* 95 % of (3,1) */
    double typical_error;               /* sqrt(mse) */
    bool judged;                        /* false: all pupils are equal, nothing can be said */
};
/* False: fewer than two pupils or attempts. */
bool group_icc_balanced(const double *x, size_t n, size_t k, struct icc_balanced *out);

/* Pupils with any number of attempts: count[i] of them, one after the other in x. Who has none
 * counts for nothing. */
struct icc_unbalanced {
    double k0, msb, msw, icc1, icc1k;
    double typical_error;               /* sqrt(msw) */
    double df;                          /* attempts - pupils */
    bool judged;
};
bool group_icc_unbalanced(const double *x, const size_t *count, size_t n,
                          struct icc_unbalanced *out);

/* 95 % of ICC(1) of `n` pupils, by F as in Shrout and Fleiss (1979); exact when all have the same
 * number, with k0 in its place otherwise. */
void group_icc1_limits(const struct icc_unbalanced *u, size_t n, double *lower, double *upper);
/* Of the mean of k, from that of one (Spearman and Brown). ICC(3,k) from ICC(3,1), exactly. */
double group_icc_together(double icc, double k);

/* What may be said: never below 10 pupils. A negative ICC is shown as 0. */
enum group_dependable { GROUP_FEW, GROUP_NOT, GROUP_ROUGHLY, GROUP_DEPENDABLY };
enum group_dependable group_dependable(double icc, size_t pupils);
static inline double group_icc_shown(double icc)
{
    return icc < 0 ? 0 : icc;
}

enum { KAPPA_MAX = 8 };
enum kappa_weights { KAPPA_NONE, KAPPA_LINEAR, KAPPA_QUADRATIC, KAPPA_GIVEN };
struct kappa_table {
    int k;                              /* categories */
    double n[KAPPA_MAX][KAPPA_MAX];     /* counts or shares: judge one by judge two */
    enum kappa_weights weights;
    double w[KAPPA_MAX][KAPPA_MAX];     /* KAPPA_GIVEN: 1 is full agreement */
};
struct kappa {
    bool defined;                       /* false: chance alone agrees always */
    double kappa, ase, observed, expected;
};
/* ASE by Fleiss, Cohen and Everitt (1969). False: an empty table. */
bool group_kappa(const struct kappa_table *t, struct kappa *out);

/* Cells that may not be shown: counts of 1 to 4, and enough others that none of those can be worked
 * out from the sums of rows and columns. hidden[rows * columns] is filled; all of it where a table
 * has more than 64 rows or columns. */
struct leave_table {
    const int *count;
    int rows, columns;
};
void leave_hide(const struct leave_table *t, bool *hidden);
/* May a group be told of outside at all? From 10 on. */
static inline bool leave_group(size_t pupils)
{
    return pupils >= 10;
}
/* All of a row in one band: hidden unless 20 or more. */
bool leave_row(const int *count, int columns);
/* To the nearest five. */
int leave_percent(int part, int of);
