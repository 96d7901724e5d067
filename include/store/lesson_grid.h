/* SPDX-License-Identifier: MIT
 * The observation grid of a unit: a class x teaching points, then questions, then taking part.
 * Pupils by name. What was not looked for or asked has no mark. */
#pragma once

#include <stddef.h>

#include "base/err.h"
#include "base/ids.h"
#include "store/observations.h"
#include "store/pupils.h"
#include "store/units.h"

struct lesson_column {              /* a cue or a question */
    int64_t id;
    const char *text;
    struct activity_id activity;
    const char *activity_name;
};

struct lesson_row {
    struct pupil_row pupil;
    const struct seen_row *seen;            /* what holds, under its column's id */
    size_t seen_count;
    const struct lesson_answer *answers;    /* the same, of questions */
    size_t answer_count;
    int taking_part;                        /* -1: not recorded */
};

struct lesson_grid {
    struct unit unit;
    struct lesson_column *cues, *questions;
    size_t cue_count, question_count;
    struct lesson_row *rows;
    size_t row_count;
};

/* Columns are those of the activities that were set to the class in the unit, by opening, then of
 * the unit's lessons that were not; an older wording only where somebody has a mark there.
 * ERR_NOT_FOUND: no such unit. All of it on ctx. */
enum err lesson_grid_load(struct store *st, void *ctx, const struct unit_class *of, int64_t now,
                          struct lesson_grid *out) MUST_USE;
