/* SPDX-License-Identifier: MIT
 * Met, nearly or not yet. A stored whole number can be reached exactly; a mean may miss it by the
 * last bit, so the comparison is as forgiving as that of band lines. */
#include "assess/target.h"

#include <math.h>

static bool reaches(const struct own_target_ask *ask, double value)
{
    return ask->lower_is_better ? value <= ask->target + 1e-9 : value >= ask->target - 1e-9;
}

enum own_target_state own_target_reached(const struct own_target_ask *ask, double *values,
                                         size_t n, double *observed)
{
    for (size_t i = 0; i < n; i++) {
        if (!isfinite(values[i])) {
            return OWN_TARGET_NONE;
        }
    }
    if (n == 0 || !isfinite(ask->target)) {
        return OWN_TARGET_NONE;
    }
    double v = band_statistic(ask->stat, ask->lower_is_better, values, n);
    *observed = v;
    if (reaches(ask, v)) {
        return OWN_TARGET_MET;
    }
    return reaches(ask, values[0]) ? OWN_TARGET_NEARLY : OWN_TARGET_NOT_YET;
}

const char *own_target_word(enum own_target_state s)
{
    static const char *const words[] = {
        [OWN_TARGET_NONE] = "none", [OWN_TARGET_NOT_YET] = "not_yet",
        [OWN_TARGET_NEARLY] = "nearly", [OWN_TARGET_MET] = "met",
    };
    return words[s];
}
