/* SPDX-License-Identifier: MIT
 * A class at one challenge as a whole: how many took part, what is usual, and whether the challenge
 * tells children apart. About the class only: nothing here names or orders a child. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "assess/band.h"
#include "assess/group.h"
#include "base/err.h"
#include "base/ids.h"
#include "store/activities.h"
#include "store/hand_ins.h"
#include "store/results.h"
#include "store/second_views.h"
#include "store/store.h"

/* Does this challenge tell children apart? */
enum class_tells {
    TELLS_FEW,                  /* cannot be said yet: fewer than 10 children */
    TELLS_NOTHING,              /* cannot be said: one try each, or all are equal */
    TELLS_ALIKE,                /* hardly, and tries differ little: the children are alike here */
    TELLS_NOT,                  /* not dependably */
    TELLS_ROUGHLY,
    TELLS_DEPENDABLY,
};

enum { CLASS_FIVE_LEAST = 5 };

struct class_view {
    size_t set, made, could_not;        /* children */
    /* The version and place that most of them chose; the rest of this is about those only. */
    enum version_kind kind;
    int32_t step_mm;                    /* 0: no distance */
    size_t n;                           /* children there whose tries count */
    enum band_stat stat;
    bool has_five;                      /* from five children on */
    struct five_numbers five;           /* of the statistic, in the activity's unit */
    enum class_tells tells;
    bool between;                       /* judged between two hand-ins, not within one day */
    size_t pupils;                      /* judged on */
    bool has_icc;
    double icc_one, icc_together;       /* of one try (between: one hand-in), of a day's tries */
    double lower, upper;                /* 95 % of what is judged: between icc_one, else together */
    bool has_error;
    double typical_error;               /* of a child's own tries, in the unit; measures: a share */
    bool relative;                      /* it is a share */
    bool has_width;
    double widths;                      /* typical error in widths of a band */
    double judged_widths;               /* the same of what is judged: between, of hand-ins */
    bool has_sure;
    size_t kept;                        /* children left out of it: a second view is not given */
    double how_sure;                    /* mean probability of the band that is pointed to */
};

struct class_view_ask {
    const struct results *results;          /* suggestions of the class */
    const struct hand_in_list *year;        /* the class's at the activity, by pupil then seq */
    const struct activity *activity;        /* the challenge's revision */
    struct challenge_id challenge;
    const struct second_blind_list *blind;  /* kept from who asks; may be NULL */
};
enum err class_view_of(struct store *st, void *ctx, const struct class_view_ask *ask,
                       struct class_view *out) MUST_USE;

/* "few", "nothing", "alike", "not", "roughly", "dependably". */
const char *class_tells_word(enum class_tells t);
