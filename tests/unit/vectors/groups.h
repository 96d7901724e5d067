/* SPDX-License-Identifier: MIT
 * Files 17 to 21: a class as a whole. */
#pragma once

#include "assess/group.h"
#include "read.h"

static void check_five(const struct row *r)
{
    double x[PARTS_MAX];
    struct five_numbers f;
    int n = numbers(cell(r, "values"), '|', x);
    if (!group_five_numbers(x, (size_t)n, &f)) {
        fail(r, "no answer");
        return;
    }
    same(r, "min", f.min, cell_number(r, "min"));
    same(r, "q1", f.q1, cell_number(r, "q1"));
    same(r, "median", f.median, cell_number(r, "median"));
    same(r, "q3", f.q3, cell_number(r, "q3"));
    same(r, "max", f.max, cell_number(r, "max"));
    same(r, "mean", f.mean, cell_number(r, "mean"));
}

/* "1/2;3/4": rows one after the other; count[i] of each. */
static size_t rows_of(const struct row *r, const char *name, double *x, size_t *count)
{
    char hold[LINE_MAX_BYTES], *part[PARTS_MAX];
    int n = split(cell(r, name), ';', hold, part);
    size_t at = 0;
    for (int i = 0; i < n; i++) {
        char own[LINE_MAX_BYTES], *v[PARTS_MAX];
        int m = split(part[i], '/', own, v);
        for (int j = 0; j < m; j++) {
            x[at++] = atof(v[j]);
        }
        count[i] = (size_t)m;
    }
    return (size_t)n;
}

static void check_icc_balanced(const struct row *r)
{
    double x[PARTS_MAX * 8];
    size_t count[PARTS_MAX];
    struct icc_balanced c;
    size_t n = rows_of(r, "rows_pupils", x, count);
    if (!group_icc_balanced(x, n, count[0], &c)) {
        fail(r, "no answer");
        return;
    }
    same(r, "MSB", c.msb, cell_number(r, "MSB"));
    same(r, "MSW", c.msw, cell_number(r, "MSW"));
    same(r, "MSE", c.mse, cell_number(r, "MSE"));
    same(r, "ICC(1,1)", c.icc1, cell_number(r, "ICC(1,1)"));
    same(r, "ICC(1,k)", c.icc1k, cell_number(r, "ICC(1,k)"));
    same(r, "ICC(3,1)", c.icc3, cell_number(r, "ICC(3,1)"));
    same(r, "ICC(3,k)", c.icc3k, cell_number(r, "ICC(3,k)"));
    same(r, "lower95", c.lower, cell_number(r, "lower95"));
    same(r, "upper95", c.upper, cell_number(r, "upper95"));
    same(r, "typical_error", c.typical_error, cell_number(r, "typical_error"));
}

static void check_icc_unbalanced(const struct row *r)
{
    double x[PARTS_MAX * 8];
    size_t count[PARTS_MAX];
    struct icc_unbalanced c;
    size_t n = rows_of(r, "rows_pupils", x, count);
    if (!group_icc_unbalanced(x, count, n, &c)) {
        fail(r, "no answer");
        return;
    }
    same(r, "k0", c.k0, cell_number(r, "k0"));
    same(r, "MSB", c.msb, cell_number(r, "MSB"));
    same(r, "MSW", c.msw, cell_number(r, "MSW"));
    same(r, "ICC(1)", c.icc1, cell_number(r, "ICC(1)"));
    same(r, "ICC(1,k0)", c.icc1k, cell_number(r, "ICC(1,k0)"));
    same(r, "typical_error", c.typical_error, cell_number(r, "typical_error"));
    same(r, "df", c.df, cell_number(r, "df"));
}

static void check_kappa(const struct row *r)
{
    double x[PARTS_MAX * 8];
    size_t count[PARTS_MAX];
    struct kappa k;
    struct kappa_table t = {0};
    const char *weights = cell(r, "weights");
    size_t n = rows_of(r, "table_rows_judge1", x, count);
    t.k = (int)n;
    t.weights = strcmp(weights, "linear") == 0 ? KAPPA_LINEAR
                : strcmp(weights, "quadratic") == 0 ? KAPPA_QUADRATIC : KAPPA_NONE;
    for (size_t i = 0; i < n * n && n <= KAPPA_MAX; i++) {
        t.n[i / n][i % n] = x[i];
    }
    if (!group_kappa(&t, &k)) {
        fail(r, "no answer");
        return;
    }
    bool undefined = strcmp(cell(r, "kappa"), "UNDEFINED") == 0;
    if (undefined || !k.defined) {
        if (undefined == k.defined) {
            fail(r, "whether kappa is defined");
        }
        return;
    }
    same(r, "kappa", k.kappa, cell_number(r, "kappa"));
    same(r, "ase_1969", k.ase, cell_number(r, "ase_1969"));
    same(r, "p_observed", k.observed, cell_number(r, "p_observed"));
    same(r, "p_expected", k.expected, cell_number(r, "p_expected"));
}

static void check_suppress(const struct row *r)
{
    double x[PARTS_MAX * 8], mask[PARTS_MAX * 8];
    size_t count[PARTS_MAX], again[PARTS_MAX];
    int cells[PARTS_MAX * 8];
    bool hidden[PARTS_MAX * 8];
    size_t n = rows_of(r, "counts_rows", x, count);
    size_t m = rows_of(r, "hidden_mask", mask, again);
    struct leave_table t = {cells, (int)n, (int)count[0]};
    for (size_t i = 0; i < n * count[0]; i++) {
        cells[i] = (int)x[i];
    }
    leave_hide(&t, hidden);
    for (size_t i = 0; i < n * count[0]; i++) {
        if (m != n || hidden[i] != (mask[i] > 0)) {
            fail(r, "another mask");
            return;
        }
    }
}
