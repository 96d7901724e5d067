/* SPDX-License-Identifier: MIT
 * An activity as the assessment sees it. */
#pragma once

#include <stdbool.h>

#include "assess/attainable.h"
#include "store/activities.h"

/* How this revision is scored, from its stored form. */
void scoring_of(const struct activity *a, struct scoring *out);

/* May results of the two be put on one line? The same kind, unit, throws, points, cap, time and
 * direction; names, texts, kit and limits may differ. */
bool scoring_same(const struct activity *a, const struct activity *b);
