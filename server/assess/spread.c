/* SPDX-License-Identifier: MIT
 * Pooled within-hand-in variance and the variance of change between hand-ins. */
#include "assess/spread.h"

#include <math.h>

#define RHO_UNKNOWN 0.5
#define RHO_LEAST 0.3
#define RHO_MOST 1.5

double spread_scale(enum band_scale scale, bool lower_is_better, double x)
{
    double y = scale == BAND_LOG ? log(x) : scale == BAND_SQRT ? sqrt(x) : x;
    return lower_is_better ? -y : y;
}

void spread_add(struct spread_sum *s, const double *y, size_t n)
{
    double mean = 0;
    for (size_t i = 0; i < n; i++) {
        mean += y[i] / (double)n;
    }
    for (size_t i = 0; i < n; i++) {
        s->ss += (y[i] - mean) * (y[i] - mean);
    }
    s->df += n > 0 ? (double)n - 1 : 0;
}

void spread_pair(struct spread_sum *s, double mean_a, size_t n_a, double mean_b, size_t n_b)
{
    double change = mean_b - mean_a;
    if (n_a == 0 || n_b == 0) {
        return;
    }
    s->pairs++;
    s->change += change;
    s->change_sq += change * change;
    s->inverse += 1 / (double)n_a + 1 / (double)n_b;
}

void spread_close(const struct spread_sum *s, struct band_spread *out)
{
    double n = (double)s->pairs;
    out->s_w = s->df > 0 ? sqrt(s->ss / s->df) : 0;
    out->nu = s->df;
    out->rho = RHO_UNKNOWN;
    if (s->pairs < SPREAD_PAIRS_LEAST || out->s_w <= 0) {
        return;
    }
    double var = (s->change_sq - s->change * s->change / n) / (n - 1);
    double day = fmax(0, (var - out->s_w * out->s_w * s->inverse / n) / 2);
    out->rho = fmin(RHO_MOST, fmax(RHO_LEAST, sqrt(day) / out->s_w));
}
