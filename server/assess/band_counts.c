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

/* q[j] = P(all of j fresh counts stay below the line), j = 0..m */
static bool all_below(int below, int m, const double gamma[2], struct room *w, double *q)
{
    size_t most = (size_t)m * (size_t)(below - 1) + 1;
    double *r = ROOM_TAKE(w, double, most), *next = ROOM_TAKE(w, double, most);
    if (r == NULL || next == NULL) {
        return false;
    }
    q[0] = 1;
    for (int j = 1; j <= m; j++) {
        double p = gamma[1] / (gamma[1] + j);
        q[j] = 0;
        for (int s = 0; s <= j * (below - 1); s++) {
            next[s] = j == 1 ? 1 : cell(s, j, below, r, (j - 1) * (below - 1));
            q[j] += next[s] * special_nbinom_pmf(s, gamma[0], p);
        }
        double *t = r;
        r = next;
        next = t;
    }
    return true;
}

static double at_least_k(const double *q, int m, int k)
{
    double sum = 0;
    for (int r = k; r <= m; r++) {
        double exactly = 0;
        for (int i = 0; i <= r; i++) {
            double part = exp(special_ln_choose(r, i)) * q[m - r + i];
            exactly += i % 2 == 0 ? part : -part;
        }
        sum += exp(special_ln_choose(m, r)) * exactly;
    }
    return fmin(1, fmax(0, sum));
}

static bool tail_of(const struct band_rule *r, double line, const double gamma[2], struct room *w,
                    double *out)
{
    double q[ATTEMPTS_MOST + 1];
    size_t mark = w->used;
    if (line <= 0) {
        *out = 1;
        return true;
    }
    if (r->stat == BAND_MEAN) {
        double least = ceil(r->m_new * line - 1e-9);
        *out = special_nbinom_sf(least - 1, gamma[0], gamma[1] / (gamma[1] + r->m_new));
        return true;
    }
    if (line > LINE_MOST || r->m_new > ATTEMPTS_MOST ||
        !all_below((int)ceil(line - 1e-9), r->m_new, gamma, w, q)) {
        return false;
    }
    *out = at_least_k(q, r->m_new, band_kth(r->stat, r->m_new));
    w->used = mark;
    return true;
}

bool band_counts(const struct band_rule *r, const int64_t *counts, size_t n, struct room *w,
                 struct band_answer *out)
{
    size_t mark = w->used;
    double gamma[2] = {0.5, r->weight * (double)n}, tails[BAND_LINES_MAX];
    double *scores = ROOM_TAKE(w, double, n);
    bool known = true;
    *out = (struct band_answer){.likelier = -1};
    if (n == 0 || scores == NULL || r->m_new < 1) {
        w->used = mark;
        return false;
    }
    for (size_t i = 0; i < n; i++) {
        scores[i] = (double)counts[i];
        gamma[0] += r->weight * scores[i];
    }
    out->observed = band_statistic(r->stat, false, scores, n);
    out->band = band_of(r, false, out->observed);
    for (size_t i = 0; i < r->lines && known; i++) {
        known = tail_of(r, r->line[i], gamma, w, &tails[i]);
    }
    if (known) {
        band_conclude(r, tails, (int)n, -1, out);
    }
    w->used = mark;
    return true;
}
