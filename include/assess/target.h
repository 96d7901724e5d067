/* SPDX-License-Identifier: MIT
 * A version's own target: one score, set by the school for a version that has no band lines. It
 * makes no band, and not reaching it lowers nothing. The rule is the school's, no statistics:
 * common practice, no source. */
#pragma once

#include <stdbool.h>
#include <stddef.h>

#include "assess/band.h"

enum own_target_state { OWN_TARGET_NONE, OWN_TARGET_NOT_YET, OWN_TARGET_NEARLY, OWN_TARGET_MET };

struct own_target_ask {
    enum band_stat stat;        /* the unit's: of the pooled tries */
    bool lower_is_better;
    double target;
};

/* MET: the statistic reaches the target; NEARLY: one try does; NOT_YET: none. NONE and *observed
 * untouched when n is 0 or a number is not finite. `values` (whole tries) are reordered, best
 * first. *observed is the statistic. */
enum own_target_state own_target_reached(const struct own_target_ask *ask, double *values,
                                         size_t n, double *observed);

/* "none", "not_yet", "nearly", "met". */
const char *own_target_word(enum own_target_state s);
