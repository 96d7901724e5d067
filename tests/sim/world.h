/* SPDX-License-Identifier: MIT
 * How the world may differ from what the distance model assumes. Nobody throws wildly here, though
 * the model allows for it: the published figures (tests/data/simulation.csv) come out so, and not with
 * two wild throws in a hundred. */
#pragma once

#include "sim.h"

struct world {
    double power;           /* misses grow with distance^power, alike at 3 m; 0 is read as 1 */
    double bias;            /* metres beside the aim, at any distance */
    double angle;           /* the same as an angle, radians */
    double target;          /* true size over stated size of the target; 0 is read as 1 */
    double vertical;        /* vertical over sideways spread; 0 is read as 1 */
    bool heavy;             /* Student tails, 5 degrees of freedom, same variance */
};

/* The counts of one attempt at the slide; `distance` in metres. */
void world_throw(const struct world *w, double sigma, double distance, struct rng *r, int *counts);
