/* SPDX-License-Identifier: MIT
 * Stored integers in everyday units. Values are never negative here. */
#pragma once

#include "base/buf.h"
#include "store/activities.h"

/* "12.4 seconds", "85 cm", "1 point", "17". */
void value_words(struct buf *b, enum value_unit unit, int64_t value);
/* The number alone: seconds, centimetres, points, how many. */
void value_number(struct buf *b, enum value_unit unit, int64_t value);
/* "2.5 m" */
void metres_words(struct buf *b, int32_t mm);
