/* SPDX-License-Identifier: MIT
 * Counts in a fixed time when nothing is known of the class: lambda ~ Gamma(1/2 + w sum x,
 * w m_obs), a repeat of m fresh counts. Given their sum s the counts fall into m equal cells; what
 * is tabled is the chance that every one of j cells stays below the line. */
#include <math.h>

#include "assess/band.h"
#include "assess/room.h"
#include "assess/special.h"

enum { LINE_MOST = 3000, ATTEMPTS_MOST = 20 };

/* P(x of s balls in one of j cells), x = low.. , times r[s-x], added up to below - 1. */
static double cell(int s, int j, int below, const double *r, int r_most)
{
    double sum = 0, p = 0;
    int low = s - r_most > 0 ? s - r_most : 0;
    bool plain = false;
    for (int x = low; x < below && x <= s; x++) {
        if (!plain) {       /* from the logarithm until it is safe to go on by ratios */
            double ln = special_ln_choose(s, x) - x * log(j) + (s - x) * log1p(-1.0 / j);
            p = exp(ln);
            plain = ln > -600;
        }
        sum += p * r[s - x];
        p = p * (s - x) / (x + 1) / (j - 1);
    }
    return sum;
}

/* r[j - 1][s], j = 1..m, one after the other: P(every one of j cells stays below | s balls) */
static double *cells_make(int below, int m, struct room *w)
{
    size_t size = 0;
    for (int j = 1; j <= m; j++) {
        size += (size_t)j * (size_t)(below - 1) + 1;
    }
    double *all = ROOM_TAKE(w, double, size), *r = all, *last = NULL;
    for (int j = 1; all != NULL && j <= m; j++) {
        for (int s = 0; s <= j * (below - 1); s++) {
            r[s] = j == 1 ? 1 : cell(s, j, below, last, (j - 1) * (below - 1));
        }
        last = r;
        r += j * (below - 1) + 1;
    }
    return all;
}

bool counts_table_make(const struct band_rule *r, struct room *w, struct counts_table *out)
{
    size_t mark = w->used;
    *out = (struct counts_table){.m = r->m_new, .lines = r->lines};
    for (size_t i = 0; i < r->lines; i++) {
        if (r->stat == BAND_MEAN || r->line[i] <= 0) {
            continue;               /* the mean's tail needs no table */
        }
        bool fits = r->line[i] <= LINE_MOST && r->m_new >= 1 && r->m_new <= ATTEMPTS_MOST;
        out->below[i] = fits ? (int)ceil(r->line[i] - 1e-9) : 0;
        out->cells[i] = fits ? cells_make(out->below[i], r->m_new, w) : NULL;
        if (out->cells[i] == NULL) {
            w->used = mark;
            return false;
        }
    }
    return true;
}

/* sum over s of r[s] P(s), P negative binomial: from its mode both ways, by ratios */
static double nbinom_dot(const double *r, int most, double a, double p)
{
    double mode = floor((a - 1) * (1 - p) / p), above, below;
    int from = mode < 0 ? 0 : mode > most ? most : (int)mode;
    above = below = special_nbinom_pmf(from, a, p);
    double sum = above * r[from];
    for (int s = from; s < most; s++) {
        above *= (s + a) / (s + 1) * (1 - p);
        sum += above * r[s + 1];
    }
    for (int s = from; s > 0; s--) {
        below *= s / ((s - 1 + a) * (1 - p));
        sum += below * r[s - 1];
    }
    return sum;
}

/* q[j] = P(all of j fresh counts stay below the line), j = 0..m */
static void all_below(const struct counts_table *t, size_t line, const double gamma[2], double *q)
{
    const double *r = t->cells[line];
    q[0] = 1;
    for (int j = 1; j <= t->m; j++) {
        int most = j * (t->below[line] - 1);
        q[j] = nbinom_dot(r, most, gamma[0], gamma[1] / (gamma[1] + j));
        r += most + 1;
    }
}

static double choose(int n, int k)
{
    double x = 1;
    for (int i = 0; i < k; i++) {
        x = x * (n - i) / (i + 1);
    }
    return x;
}

static double at_least_k(const double *q, int m, int k)
{
    double sum = 0;
    for (int r = k; r <= m; r++) {
        double exactly = 0;
        for (int i = 0; i <= r; i++) {
            double part = choose(r, i) * q[m - r + i];
            exactly += i % 2 == 0 ? part : -part;
        }
        sum += choose(m, r) * exactly;
    }
    return fmin(1, fmax(0, sum));
}

static double tail_of(const struct band_rule *r, const struct counts_table *t, size_t line,
                      const double gamma[2])
{
    double q[ATTEMPTS_MOST + 1];
    if (r->line[line] <= 0) {
        return 1;
    }
    if (r->stat == BAND_MEAN) {
        double least = ceil(r->m_new * r->line[line] - 1e-9);
        return special_nbinom_sf(least - 1, gamma[0], gamma[1] / (gamma[1] + r->m_new));
    }
    all_below(t, line, gamma, q);
    return at_least_k(q, r->m_new, band_kth(r->stat, r->m_new));
}

bool band_counts_by(const struct band_rule *r, const struct counts_table *t, struct tallies c,
                    struct room *w, struct band_answer *out)
{
    size_t mark = w->used;
    double gamma[2] = {0.5, r->weight * (double)c.n}, tails[BAND_LINES_MAX];
    double *scores = ROOM_TAKE(w, double, c.n);
    *out = (struct band_answer){.likelier = -1};
    if (c.n == 0 || scores == NULL || r->m_new < 1) {
        w->used = mark;
        return false;
    }
    for (size_t i = 0; i < c.n; i++) {
        scores[i] = (double)c.v[i];
        gamma[0] += r->weight * scores[i];
    }
    out->observed = band_statistic(r->stat, false, scores, c.n);
    out->band = band_of(r, false, out->observed);
    for (size_t i = 0; t != NULL && i < r->lines; i++) {
        tails[i] = tail_of(r, t, i, gamma);
    }
    if (t != NULL) {
        band_conclude(r, tails, (int)c.n, -1, out);
    }
    w->used = mark;
    return true;
}

bool band_counts(const struct band_rule *r, const int64_t *counts, size_t n, struct room *w,
                 struct band_answer *out)
{
    struct counts_table t;
    size_t mark = w->used;
    bool made = counts_table_make(r, w, &t);
    bool good = band_counts_by(r, made ? &t : NULL, (struct tallies){counts, n}, w, out);
    w->used = mark;
    return good;
}
