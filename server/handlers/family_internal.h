/* SPDX-License-Identifier: MIT
 * A line and a next challenge in plain words for a family. */
#pragma once

#include "assess/next.h"
#include "store/bests.h"

/* What a line says: how often, the best at each distance, and that numbers go up and down. It never
 * compares with another child, and never calls a change an improvement. `since_day`: the line
 * begins at a fresh start within the year and holds less than was sent in it; 0: it does not. On
 * ctx. */
const char *family_meaning(void *ctx, const struct best_line *line, int32_t since_day);

/* "Try for 13 points." NULL: nothing to say. On ctx. */
const char *family_next_words(void *ctx, const struct activity *a, const struct next *n);
