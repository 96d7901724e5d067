/* SPDX-License-Identifier: MIT
 * An estimate for another distance as JSON and in words. */
#pragma once

#include "base/buf.h"
#include "store/estimate.h"
#include "store/school.h"

/* {"sentence","distance_mm","mean","lo","hi","would_point_to","label"}; null: not told. */
void view_estimate(struct buf *b, const struct estimate *e, const struct band_words *words);
/* What would make one possible, as one JSON string; null when there is one or none is meant. */
void view_estimate_silent(struct buf *b, const struct estimate *e);
