/* SPDX-License-Identifier: MIT
 * Between gains.c (which hand-ins), gains_routes.c (which test), estimate.c (another distance),
 * class_view.c and suggest_line.c. */
#pragma once

#include "assess/distance.h"
#include "store/gains.h"

/* Two hand-ins to compare, of one revision's scoring. */
struct gain_pair {
    const struct activity *activity;        /* of the latest */
    enum version_kind kind;
    const struct hand_in *first, *latest;
    int32_t step_mm;                        /* attempts from there; 0: no distances */
    const struct gain_spread *spread;
};

/* From where most of a hand-in's whole tries were made (of equals farther away); 0: the activity
 * has no distances, or it is not known. */
int32_t gain_step(const struct activity *a, const struct hand_in *h);
/* Does the attempt belong to the step? Every one does where there are no distances. */
bool gain_at_step(const struct activity *a, const struct hand_in_attempt *t, int32_t step_mm);
/* Measures on the logarithm, counts on the square root, points as they are. */
enum band_scale gain_scale(const struct activity *a);
/* Whole attempts of a hand-in at a step on the scale of the kind (log, root, points), higher
 * better. At most HAND_IN_ATTEMPTS. */
size_t gain_values(const struct activity *a, const struct hand_in *h, int32_t step_mm, double *y);

/* The test at one step. */
void gain_same_step(struct store *st, const struct gain_pair *p, struct gain *out);
/* The estimate across distances. */
void gain_across(struct store *st, const struct gain_pair *p, const struct activity *then,
                 struct gain *out);

/* Tries as the distance model takes them. */
struct aim_side {
    struct aim aim;
    struct aim_attempt *v;                  /* lent */
    size_t n, cap;
    int size_mm;                            /* of the home's target; 0 until the first hand-in */
};
enum aim_fit { AIM_FITS, AIM_NO_ZONES, AIM_NO_SIZE, AIM_NO_DISTANCE };
/* The activity's zones as rectangles, the outermost of them as large as `size_mm`. */
enum aim_fit aim_of(const struct activity *a, int size_mm, struct aim *out);
/* Adds a hand-in's tries. AIM_NO_SIZE: its target's size is not stated, or another. */
enum aim_fit aim_add(const struct activity *a, const struct hand_in *h, struct aim_side *side);
