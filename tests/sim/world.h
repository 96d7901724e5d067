/* SPDX-License-Identifier: MIT
 * How the world may differ from what the distance model assumes. */
#pragma once

#include "sim.h"

struct world {
    double power;           /* misses grow with distance^power, alike at 5 m; 0 is read as 1 */
    double bias;            /* metres beside the aim, at any distance */
    double angle;           /* the same as an angle, radians */
    double target;          /* true size over stated size of the target; 0 is read as 1 */
    double vertical;        /* vertical over sideways spread; 0 is read as 1 */
    bool heavy;             /* Student tails, 5 degrees of freedom, same variance */
};

/* The counts of five throws; `distance` in metres. */
void world_throw(const struct world *w, double sigma, double distance, struct rng *r, int *counts);
