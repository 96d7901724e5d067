/* SPDX-License-Identifier: MIT
 * The personal best. A child is compared with nobody but itself, and only within one activity
 * and one version. Distance makes a partial order: as good from farther away is at least as good.
 * Everything is compared as stored integers; a lower result is "not this time", never "worse". */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* A whole attempt. `score` is signed so that higher is better (a time is negated: best_sign). */
struct mark {
    int32_t distance_mm;        /* 0: the activity has no distance, or it is not known */
    int64_t score;
};

enum best_status {
    BEST_NOT_THIS_TIME,
    BEST_EQUAL,                 /* the best again */
    BEST_FIRST_AT_DISTANCE,     /* another distance: no verdict */
    BEST_FIRST,                 /* a first score, not a record */
    BEST_NEW_FARTHER,           /* as good or better from farther away */
    BEST_NEW,
};

static inline int64_t best_sign(int64_t value, bool lower_is_better)
{
    return lower_is_better ? -value : value;    /* its own inverse */
}

/* `now` against all earlier marks; `tol_mm` is usually SAME_STEP_MM. */
enum best_status best_status(const struct mark *earlier, size_t n, struct mark now, int tol_mm);

/* Highest score; of equals the one from farther away, then the first. False when n is 0.
 * `at` (may be NULL) gets its place. */
bool best_of(const struct mark *marks, size_t n, struct mark *out, size_t *at);

/* A whole hand-in against the earlier ones: the gladdest status among its attempts, and which
 * attempt has it. False when it has none. */
struct marks {
    const struct mark *v;
    size_t n;
};
bool best_of_hand_in(struct marks earlier, struct marks now, enum best_status *status,
                     size_t *at);

/* The best at each distance, one entry a step, nearest first; returns how many (at most `room`).
 * Two marks belong to one step when they lie within SAME_STEP_MM of its first mark. */
size_t best_by_step(const struct mark *marks, size_t n, struct mark *out, size_t room);

/* The story of one line, oldest first: what "gain" and "times beaten" say. */
struct best_story {
    int64_t first, best, gain;  /* signed scores */
    int beaten, equalled;       /* NEW and NEW_FARTHER; EQUAL */
    size_t last_new;            /* place of the last new best (0 when none was beaten) */
};
void best_tell(const struct mark *marks, size_t n, struct best_story *out);

/* "first", "new_best", "new_best_farther", "first_at_distance", "equal_best", "not_this_time". */
const char *best_status_word(enum best_status s);
