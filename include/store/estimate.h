/* SPDX-License-Identifier: MIT
 * What a child's tries from other distances would likely give at the reference distance. Always an
 * ESTIMATE, off unless the school turns it on, and silent where the size of the home's target is
 * not stated. Who has thrown from the reference gets none: those tries speak for themselves. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "assess/band.h"
#include "base/err.h"
#include "store/activities.h"
#include "store/hand_ins.h"
#include "store/store.h"

enum estimate_why {
    ESTIMATE_TOLD,
    ESTIMATE_NOT_MEANT,         /* no tries, no reference, no zones, or thrown from the reference */
    ESTIMATE_NO_SIZE,           /* of the home's target, or two sizes */
    ESTIMATE_NO_DISTANCE,       /* of some try it is not known from where */
    ESTIMATE_FEW,               /* fewer than ten throws */
    ESTIMATE_FAR,               /* none near enough to the reference */
};

struct estimate {
    enum estimate_why why;
    int32_t distance_mm;        /* the reference */
    int32_t near_mm, far_mm;    /* steps from which it could be told */
    int32_t from_low_mm, from_high_mm;  /* where the tries were made */
    double mean;                /* points of one try */
    int lo, hi;                 /* usually */
    int band;                   /* most likely; -1: no lines, or not sure enough to say */
    enum band_label label;      /* at most BAND_FAIRLY */
};

struct estimate_ask {
    const struct hand_in_list *hand_ins;    /* one pupil's; all states and activities */
    const struct activity *activity;
    enum band_stat stat;
};
enum err estimate_of(struct store *st, void *ctx, const struct estimate_ask *ask,
                     struct estimate *out) MUST_USE;

/* "unknown_target" ...; NULL for told and for not meant. */
const char *estimate_why_word(enum estimate_why w);
