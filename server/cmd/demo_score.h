/* SPDX-License-Identifier: MIT
 * How an invented child does at an activity: a level, a day, luck. Private to the demo. */
#pragma once

#include "demo_internal.h"
#include "store/hand_ins.h"

/* Fills attempts (three, now and then fewer) of a hand-in of set `s` by pupil `p`, made as a child
 * of that level would; counts the time towards what the child has learnt. */
void demo_score(struct demo_pupil *p, const struct demo_set *s, struct hand_in *h);
