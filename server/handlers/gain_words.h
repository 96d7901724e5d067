/* SPDX-License-Identifier: MIT
 * A gain in words that need no statistics, and as JSON. */
#pragma once

#include "base/buf.h"
#include "store/gains.h"

/* {"category","label","sentence","silent","estimate","crosses","first_on","latest_on"} */
void view_gain(struct buf *b, const struct gain *g);
