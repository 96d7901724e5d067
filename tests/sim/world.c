/* SPDX-License-Identifier: MIT
 * Landing points drawn one by one, so that what differs from the model is drawn and not computed by
 * the code that is under test. */
#include <math.h>
#include <string.h>

#include "world.h"

static double spread(const struct world *w, double sigma, double distance)
{
    double power = w->power > 0 ? w->power : 1;
    return sigma * 5 * pow(distance / 5, power);
}

static double error_draw(const struct world *w, struct rng *r)
{
    return w->heavy ? rng_student(r, 5) * sqrt(3.0 / 5) : rng_normal(r);
}

void world_throw(const struct world *w, double sigma, double distance, struct rng *r, int *counts)
{
    double s = spread(w, sigma, distance), size = w->target > 0 ? w->target : 1;
    double vertical = w->vertical > 0 ? w->vertical : 1;
    memset(counts, 0, ZONES * sizeof *counts);
    for (int i = 0; i < 5; i++) {
        double x = s * error_draw(w, r) + w->bias + distance * tan(w->angle);
        double y = s * vertical * error_draw(w, r);
        double off = fmax(fabs(x), fabs(y)) / size;
        bool wild = rng_unit(r) < 0.02;
        counts[wild || off > 0.5 ? 0 : off > 0.2 ? 1 : 2]++;
    }
}
