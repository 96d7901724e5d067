/* SPDX-License-Identifier: MIT
 * Quantiles, intraclass correlations and kappa by their published formulas. Sums of squares are
 * taken around means, not from raw squares, so that large numbers with small differences hold. */
#include "assess/group.h"

#include <math.h>
#include <string.h>

#include "assess/special.h"

enum { WORDS_FROM = 10 };

double group_quantile(const double *sorted, size_t n, double p)
{
    double h = ((double)n - 1) * p;
    size_t at = (size_t)floor(h);
    if (at + 1 >= n) {
        return sorted[n - 1];
    }
    return sorted[at] + (h - (double)at) * (sorted[at + 1] - sorted[at]);
}

static double mean_of(const double *x, size_t n)
{
    double sum = 0, rest = 0;
    for (size_t i = 0; i < n; i++) {
        sum += x[i] / (double)n;
    }
    for (size_t i = 0; i < n; i++) {
        rest += x[i] - sum;
    }
    return sum + rest / (double)n;
}

bool group_five_numbers(double *x, size_t n, struct five_numbers *out)
{
    if (n == 0) {
        return false;
    }
    for (size_t i = 1; i < n; i++) {
        double v = x[i];
        size_t j = i;
        for (; j > 0 && x[j - 1] > v; j--) {
            x[j] = x[j - 1];
        }
        x[j] = v;
    }
    *out = (struct five_numbers){
        .min = x[0], .q1 = group_quantile(x, n, 0.25), .median = group_quantile(x, n, 0.5),
        .q3 = group_quantile(x, n, 0.75), .max = x[n - 1], .mean = mean_of(x, n),
    };
    return true;
}

static double square(double x)
{
    return x * x;
}

/* Both can be rounding of their own: nothing of nothing is no correlation, never a NaN. */
static double share(double part, double of)
{
    return of > 0 ? part / of : 0;
}

/* A sum of squares that is nothing but the rounding of numbers as large as `scale`. */
static double settled(double square_mean, double scale)
{
    return square_mean > 1e-28 * scale ? square_mean : 0;
}

static void limits(struct icc_balanced *o, double n, double k)
{
    double d1 = n - 1, d2 = (n - 1) * (k - 1), f = o->msb / o->mse;
    double low = f / special_f_quantile(0.975, d1, d2);
    double high = f * special_f_quantile(0.975, d2, d1);
    o->lower = (low - 1) / (low + k - 1);
    o->upper = (high - 1) / (high + k - 1);
}

static double attempt_mean(const double *x, size_t n, size_t k, size_t j)
{
    double sum = 0;
    for (size_t i = 0; i < n; i++) {
        sum += x[i * k + j] / (double)n;
    }
    return sum;
}

bool group_icc_balanced(const double *x, size_t n, size_t k, struct icc_balanced *out)
{
    double grand = mean_of(x, n * k), between = 0, within = 0, attempts = 0;
    double pupils = (double)n, tries = (double)k;
    *out = (struct icc_balanced){0};
    if (n < 2 || k < 2) {
        return false;
    }
    for (size_t i = 0; i < n; i++) {
        double mean = mean_of(x + i * k, k);
        between += tries * square(mean - grand);
        for (size_t j = 0; j < k; j++) {
            within += square(x[i * k + j] - mean);
        }
    }
    for (size_t j = 0; j < k; j++) {
        attempts += pupils * square(attempt_mean(x, n, k, j) - grand);
    }
    double scale = square(grand) + 1e14 * within;   /* what is left of `within` is rounded too */
    out->msb = settled(between / (pupils - 1), scale);
    out->msw = settled(within / (pupils * (tries - 1)), square(grand));
    out->mse = settled(fmax(0, within - attempts) / ((pupils - 1) * (tries - 1)), scale);
    out->typical_error = sqrt(out->mse);
    out->judged = out->msb > 0 || out->mse > 0;
    if (!out->judged) {
        return true;
    }
    out->icc1 = share(out->msb - out->msw, out->msb + (tries - 1) * out->msw);
    out->icc1k = share(out->msb - out->msw, out->msb);
    out->icc3 = share(out->msb - out->mse, out->msb + (tries - 1) * out->mse);
    out->icc3k = share(out->msb - out->mse, out->msb);
    if (out->mse > 0) {
        limits(out, pupils, tries);
    } else {
        out->lower = out->upper = out->icc3;
    }
    return true;
}

bool group_icc_unbalanced(const double *x, const size_t *count, size_t n,
                          struct icc_unbalanced *out)
{
    double all = 0, squares = 0, between = 0, within = 0;
    size_t total = 0, there = 0;
    *out = (struct icc_unbalanced){0};
    for (size_t i = 0; i < n; i++) {
        total += count[i];
        there += count[i] > 0;
        squares += (double)count[i] * (double)count[i];
    }
    if (there < 2 || total <= there) {
        return false;
    }
    all = (double)total;
    double grand = mean_of(x, total);
    const double *at = x;
    for (size_t i = 0; i < n; at += count[i++]) {
        double mean = count[i] > 0 ? mean_of(at, count[i]) : 0;
        between += (double)count[i] * square(mean - grand);
        for (size_t j = 0; j < count[i]; j++) {
            within += square(at[j] - mean);
        }
    }
    out->df = all - (double)there;
    out->k0 = (all - squares / all) / ((double)there - 1);
    out->msb = settled(between / ((double)there - 1), square(grand));
    out->msw = settled(within / out->df, square(grand));
    out->typical_error = sqrt(out->msw);
    out->judged = out->msb > 0 || out->msw > 0;
    if (out->judged) {
        out->icc1 = share(out->msb - out->msw, out->msb + (out->k0 - 1) * out->msw);
        out->icc1k = share(out->msb - out->msw, out->msb);
    }
    return true;
}

void group_icc1_limits(const struct icc_unbalanced *u, size_t n, double *lower, double *upper)
{
    double d1 = (double)n - 1, d2 = u->df, k = u->k0;
    *lower = *upper = u->icc1;
    if (!(u->msw > 0) || n < 2) {
        return;
    }
    double f = u->msb / u->msw;
    double low = f / special_f_quantile(0.975, d1, d2);
    double high = f * special_f_quantile(0.975, d2, d1);
    *lower = (low - 1) / (low + k - 1);
    *upper = (high - 1) / (high + k - 1);
}

double group_icc_together(double icc, double k)
{
    double below = 1 + (k - 1) * icc;
    return below > 0 ? k * icc / below : -1;
}

enum group_dependable group_dependable(double icc, size_t pupils)
{
    if (pupils < WORDS_FROM) {
        return GROUP_FEW;
    }
    if (icc < 0.50) {
        return GROUP_NOT;
    }
    return icc < 0.75 ? GROUP_ROUGHLY : GROUP_DEPENDABLY;
}

static double weight(const struct kappa_table *t, int i, int j)
{
    double off = t->k > 1 ? (double)(i - j) / (t->k - 1) : 0;
    switch (t->weights) {
    case KAPPA_LINEAR:
        return 1 - fabs(off);
    case KAPPA_QUADRATIC:
        return 1 - off * off;
    case KAPPA_GIVEN:
        return t->w[i][j];
    case KAPPA_NONE:
        break;
    }
    return i == j;
}

struct shares {
    double p[KAPPA_MAX][KAPPA_MAX], row[KAPPA_MAX], column[KAPPA_MAX];
    double n;
};

static bool shares_of(const struct kappa_table *t, struct shares *s)
{
    memset(s, 0, sizeof *s);
    for (int i = 0; i < t->k; i++) {
        for (int j = 0; j < t->k; j++) {
            s->n += t->n[i][j];
        }
    }
    for (int i = 0; s->n > 0 && i < t->k; i++) {
        for (int j = 0; j < t->k; j++) {
            s->p[i][j] = t->n[i][j] / s->n;
            s->row[i] += s->p[i][j];
            s->column[j] += s->p[i][j];
        }
    }
    return s->n > 0;
}

static double kappa_ase(const struct kappa_table *t, const struct shares *s,
                        const struct kappa *k)
{
    double across[KAPPA_MAX] = {0}, down[KAPPA_MAX] = {0}, sum = 0;
    double gap = 1 - k->kappa;
    for (int i = 0; i < t->k; i++) {
        for (int j = 0; j < t->k; j++) {
            across[i] += weight(t, i, j) * s->column[j];
            down[j] += weight(t, i, j) * s->row[i];
        }
    }
    for (int i = 0; i < t->k; i++) {
        for (int j = 0; j < t->k; j++) {
            sum += s->p[i][j] * square(weight(t, i, j) - (across[i] + down[j]) * gap);
        }
    }
    double var = sum - square(k->kappa - k->expected * gap);
    return sqrt(fmax(0, var) / s->n) / (1 - k->expected);
}

bool group_kappa(const struct kappa_table *t, struct kappa *out)
{
    struct shares s;
    *out = (struct kappa){0};
    if (t->k < 1 || t->k > KAPPA_MAX || !shares_of(t, &s)) {
        return false;
    }
    for (int i = 0; i < t->k; i++) {
        for (int j = 0; j < t->k; j++) {
            out->observed += weight(t, i, j) * s.p[i][j];
            out->expected += weight(t, i, j) * s.row[i] * s.column[j];
        }
    }
    out->defined = 1 - out->expected >= 1e-12;
    if (out->defined) {
        out->kappa = (out->observed - out->expected) / (1 - out->expected);
        out->ase = kappa_ase(t, &s, out);
    }
    return true;
}
