/* SPDX-License-Identifier: MIT
 * Lines: a pupil's hand-ins of one activity at one version, oldest first, as far as they may be
 * compared with each other. Only hand-ins that count are on a line. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/err.h"
#include "base/ids.h"
#include "store/activities.h"
#include "store/hand_ins.h"
#include "store/store.h"

struct best_line {
    const struct activity *activity;            /* newest revision seen on the line */
    const struct activity_version *version;     /* of that revision */
    const struct hand_in **hand_ins;            /* by day done, then arrival */
    size_t n;
};

struct best_lines {
    struct best_line *v;        /* by activity name, then version */
    size_t n;
};

/* Sorts hand-ins (any states, any order) into lines. What is given must outlive the lines. */
enum err best_lines_of(struct store *st, void *ctx, const struct hand_in_list *all,
                       struct best_lines *out) MUST_USE;

/* The line a hand-in belongs on: those of `all` that count, are comparable with revision `r` at
 * version kind `k`, and arrived before `before_seq` (INT64_MAX: all). */
struct best_line_ask {
    const struct hand_in_list *all;
    const struct activity *activity;
    const struct activity_version *version;
    int64_t before_seq;
    int32_t from_day;           /* done on it or later; 0: any day */
};
enum err best_line_for(struct store *st, void *ctx, const struct best_line_ask *ask,
                       struct best_line *out) MUST_USE;
