/* SPDX-License-Identifier: MIT
 * Landing points drawn one by one, so that what differs from the model is drawn and not computed by
 * the code that is under test. */
#include <math.h>
#include <string.h>

#include "world.h"

static double spread(const struct world *w, double sigma, double distance)
{
    double power = w->power > 0 ? w->power : 1;
    return sigma * SLIDE_DISTANCE * pow(distance / SLIDE_DISTANCE, power);
}

static double error_draw(const struct world *w, struct rng *r)
{
    return w->heavy ? rng_student(r, 5) * sqrt(3.0 / 5) : rng_normal(r);
}

void world_throw(const struct world *w, double sigma, double distance, struct rng *r, int *counts)
{
    double s = spread(w, sigma, distance), size = w->target > 0 ? w->target : 1;
    double vertical = w->vertical > 0 ? w->vertical : 1;
    memset(counts, 0, SLIDE_ZONES * sizeof *counts);
    for (int i = 0; i < slide.throws; i++) {
        double x = s * error_draw(w, r) + w->bias + distance * tan(w->angle);
        double y = s * vertical * error_draw(w, r);
        double off = fmax(fabs(x), fabs(y)) / size;
        counts[off > slide.half[1] ? 0 : off > slide.half[2] ? 1 : 2]++;
    }
}
