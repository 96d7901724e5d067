/* SPDX-License-Identifier: MIT
 * Measures: a repeat on the scale (log, raw, square root) is normal around what the child's own
 * attempts average, wider by the day; the spread is the class's, known as well as its degrees of
 * freedom allow. Two sums stand for the integrals: trapezoid over the normal, and over the spread
 * on the cube-root (Wilson-Hilferty) scale. */
#include <math.h>
#include <stdlib.h>

#include "assess/band.h"
#include "assess/special.h"

enum { ATTEMPTS_MOST = 20 };

static double on_scale(const struct band_spread *sp, double x)
{
    double y = sp->scale == BAND_LOG ? log(x) : sp->scale == BAND_SQRT ? sqrt(x) : x;
    return sp->lower_is_better ? -y : y;
}

static double off_scale(const struct band_spread *sp, double y)
{
    y = sp->lower_is_better ? -y : y;
    return sp->scale == BAND_LOG ? exp(y) : sp->scale == BAND_SQRT ? y * y : y;
}

/* A recorded value reaches the line when the true one passes it less half the resolution. */
static double line_on_scale(const struct band_spread *sp, double line)
{
    double half = sp->resolution / 2;
    double x = sp->lower_is_better ? line + half : line - half;
    if (sp->scale != BAND_RAW && x <= 0) {
        return sp->lower_is_better ? INFINITY : -INFINITY;
    }
    return on_scale(sp, x);
}

/* P(at least k of m reach, each with probability p): chance by chance, no powers. */
static double k_of_m(int m, int k, double p)
{
    if (m == 3 && k == 2) {         /* the middle of three, by far the usual case */
        return p * p * (3 - 2 * p);
    }
    double ways[ATTEMPTS_MOST + 1] = {1}, sum = 0;
    for (int i = 0; i < m; i++) {
        for (int r = i + 1; r > 0; r--) {
            ways[r] = ways[r] * (1 - p) + ways[r - 1] * p;
        }
        ways[0] *= 1 - p;
    }
    for (int r = k; r <= m; r++) {
        sum += ways[r];
    }
    return sum;
}

enum { LEVELS_MOST = 64 };
#define FAR 8.5         /* beyond it Phi is 0 or 1 to the last digit of the sum */

/* Where the child's own level may lie: i steps from the middle, and how likely that is. */
struct repeat {
    int m, k;
    double psi, nu;
    double step;
    int most;
    double weight[LEVELS_MOST];     /* of 0..most; beyond the last they are worked out */
    double total;
};

static double level_weight(const struct repeat *q, int i)
{
    double z = i * q->step;
    return i < LEVELS_MOST ? q->weight[i] : exp(-z * z / 2);
}

static void levels_make(struct repeat *q)
{
    q->step = 0.5 / fmax(1, 1.25 * q->psi);
    q->most = (int)ceil(7 / q->step);
    q->total = 0;
    for (int i = 0; i < LEVELS_MOST && i <= q->most; i++) {
        double z = i * q->step;
        q->weight[i] = exp(-z * z / 2);
    }
    for (int i = 0; i <= q->most; i++) {
        q->total += (i > 0 ? 2 : 1) * level_weight(q, i);
    }
}

static double over_level(const struct repeat *q, double gap)
{
    double sum = 0;
    for (int i = -q->most; i <= q->most; i++) {
        double x = q->psi * i * q->step - gap;
        if (x > -FAR) {
            double p = x < FAR ? special_phi(x) : 1;
            sum += level_weight(q, abs(i)) * k_of_m(q->m, q->k, p);
        }
    }
    return sum / q->total;
}

/* Over what the spread may be: sigma = s_w sqrt(nu / chi2). */
static double over_spread(const struct repeat *q, double gap)
{
    double c = 2 / (9 * q->nu), sum = 0, total = 0;
    for (int i = -10; i <= 10; i++) {
        double y = 1 - c + 0.75 * i * sqrt(c);
        if (y <= 0) {
            continue;
        }
        double x = q->nu * y * y * y;
        double weight = exp((q->nu / 2 - 1) * log(x / q->nu) - (x - q->nu) / 2 + 2 * log(y));
        sum += weight * over_level(q, gap * sqrt(x / q->nu));
        total += weight;
    }
    return sum / total;
}

/* `q`: made for n attempts, filled unless the statistic is the mean. */
static double measure_tail(const struct band_rule *r, const struct band_spread *sp,
                           const struct repeat *q, double gap, size_t n)
{
    if (isinf(gap)) {
        return gap < 0 ? 1 : 0;
    }
    if (r->stat == BAND_MEAN) {
        double width = sqrt(1 / (double)n + 1.0 / r->m_new + 2 * sp->rho * sp->rho);
        return special_t_sf(gap / width, sp->nu);
    }
    return over_spread(q, gap);
}

/* k-th best without an array to sort: the value that k - 1 others beat. */
static double kth_best(bool lower, const double *values, size_t n, int k)
{
    for (size_t i = 0; i < n; i++) {
        int ahead = 0, level = 0;
        for (size_t j = 0; j < n; j++) {
            ahead += lower ? values[j] < values[i] : values[j] > values[i];
            level += values[j] == values[i];
        }
        if (ahead < k && k <= ahead + level) {
            return values[i];
        }
    }
    return values[0];
}

bool band_measure(const struct band_rule *r, const struct band_spread *sp, const double *values,
                  size_t n, struct band_answer *out)
{
    double sum = 0, tails[BAND_LINES_MAX];
    *out = (struct band_answer){.likelier = -1};
    for (size_t i = 0; i < n; i++) {
        if (!isfinite(values[i]) || (sp->scale != BAND_RAW && values[i] < 0) ||
            (sp->scale == BAND_LOG && values[i] <= 0)) {
            return false;
        }
        sum += on_scale(sp, values[i]);
    }
    if (n == 0) {
        return false;
    }
    double ybar = sum / (double)n;
    out->observed = r->stat == BAND_MEAN
                        ? off_scale(sp, ybar)
                        : kth_best(sp->lower_is_better, values, n, band_kth(r->stat, (int)n));
    out->band = band_of(r, sp->lower_is_better, out->observed);
    if (!(sp->nu >= BAND_NU_LEAST) || !(sp->s_w > 0) || r->m_new < 1 ||
        r->m_new > ATTEMPTS_MOST) {
        return true;
    }
    struct repeat q = {.m = r->m_new, .k = band_kth(r->stat, r->m_new), .nu = sp->nu,
                       .psi = sqrt(1 / (double)n + 2 * sp->rho * sp->rho)};
    if (r->stat != BAND_MEAN) {
        levels_make(&q);
    }
    for (size_t i = 0; i < r->lines; i++) {
        double gap = (line_on_scale(sp, r->line[i]) - ybar) / sp->s_w;
        tails[i] = measure_tail(r, sp, &q, gap, n);
    }
    band_conclude(r, tails, (int)n, -1, out);
    return true;
}
