/* SPDX-License-Identifier: MIT
 * Is a result surprising, given the child's own earlier ones? Then "are you sure?" is asked. It is
 * a question, never a refusal, and needs at least two earlier attempts. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "assess/attainable.h"
#include "assess/band.h"
#include "assess/room.h"

#define SURPRISE_BELOW 0.001

/* P(one new attempt reaches `value` | earlier values of the same activity and version, own scores
 * only). 1 when there is nothing to go by: fewer than two earlier values, a measure (for those is
 * surprise_measure), or too little of it in `w` (1 MiB is enough). */
double surprise_tail(const struct scoring *s, const int64_t *earlier, size_t n, int64_t value,
                     struct room *w);
/* The same of a measure. Where the child stands is its own doing alone; how much tries vary is
 * borrowed from the class (`sp`), since two of one's own cannot say. 1 when that is not known. */
double surprise_measure(const struct band_spread *sp, const int64_t *earlier, size_t n,
                        int64_t value);
static inline bool surprise_asks(double tail)
{
    return tail < SURPRISE_BELOW;
}
