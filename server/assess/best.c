/* SPDX-License-Identifier: MIT
 * The personal best as a partial order: (distance, score) is beaten by what is at least as good
 * from the same place or farther away. */
#include "assess/best.h"

#include "assess/attainable.h"

enum best_status best_status(const struct mark *earlier, size_t n, struct mark now, int tol_mm)
{
    bool as_good = false, only_equal = true, same_place = false, closer_not_better = false;
    if (n == 0) {
        return BEST_FIRST;
    }
    for (size_t i = 0; i < n; i++) {
        int64_t off = (int64_t)earlier[i].distance_mm - now.distance_mm;
        bool same = off <= tol_mm && off >= -tol_mm;
        same_place = same_place || same;
        if (off >= -tol_mm && earlier[i].score >= now.score) {
            as_good = true;
            only_equal = only_equal && same && earlier[i].score == now.score;
        }
        if (off < -tol_mm && earlier[i].score <= now.score) {
            closer_not_better = true;
        }
    }
    if (as_good) {
        return only_equal ? BEST_EQUAL : BEST_NOT_THIS_TIME;
    }
    if (same_place) {
        return BEST_NEW;
    }
    return closer_not_better ? BEST_NEW_FARTHER : BEST_FIRST_AT_DISTANCE;
}

static bool better(struct mark a, struct mark b)
{
    return a.score != b.score ? a.score > b.score : a.distance_mm > b.distance_mm;
}

bool best_of(const struct mark *marks, size_t n, struct mark *out, size_t *at)
{
    size_t top = 0;
    if (n == 0) {
        return false;
    }
    for (size_t i = 1; i < n; i++) {
        top = better(marks[i], marks[top]) ? i : top;
    }
    *out = marks[top];
    if (at != NULL) {
        *at = top;
    }
    return true;
}

bool best_of_hand_in(struct marks earlier, struct marks now, enum best_status *status, size_t *at)
{
    if (now.n == 0) {
        return false;
    }
    *at = 0;
    *status = best_status(earlier.v, earlier.n, now.v[0], SAME_STEP_MM);
    for (size_t i = 1; i < now.n; i++) {
        enum best_status s = best_status(earlier.v, earlier.n, now.v[i], SAME_STEP_MM);
        if (s > *status || (s == *status && better(now.v[i], now.v[*at]))) {
            *status = s;
            *at = i;
        }
    }
    return true;
}

static struct mark *step_of(struct mark *steps, size_t n, int32_t distance_mm)
{
    for (size_t i = 0; i < n; i++) {
        int64_t off = (int64_t)steps[i].distance_mm - distance_mm;
        if (off <= SAME_STEP_MM && off >= -SAME_STEP_MM) {
            return &steps[i];
        }
    }
    return NULL;
}

size_t best_by_step(const struct mark *marks, size_t n, struct mark *out, size_t room)
{
    size_t steps = 0;
    for (size_t i = 0; i < n; i++) {
        struct mark *step = step_of(out, steps, marks[i].distance_mm);
        if (step != NULL) {
            step->score = marks[i].score > step->score ? marks[i].score : step->score;
        } else if (steps < room) {
            out[steps++] = marks[i];
        }
    }
    for (size_t i = 1; i < steps; i++) {
        struct mark m = out[i];
        size_t j = i;
        for (; j > 0 && out[j - 1].distance_mm > m.distance_mm; j--) {
            out[j] = out[j - 1];
        }
        out[j] = m;
    }
    return steps;
}

void best_tell(const struct mark *marks, size_t n, struct best_story *out)
{
    *out = (struct best_story){0};
    if (n == 0) {
        return;
    }
    out->first = out->best = marks[0].score;
    for (size_t i = 1; i < n; i++) {
        enum best_status s = best_status(marks, i, marks[i], SAME_STEP_MM);
        if (s == BEST_NEW || s == BEST_NEW_FARTHER) {
            out->beaten++;
            out->last_new = i;
        }
        out->equalled += s == BEST_EQUAL;
        out->best = marks[i].score > out->best ? marks[i].score : out->best;
    }
    out->gain = out->best - out->first;
}

const char *best_status_word(enum best_status s)
{
    static const char *const words[] = {
        [BEST_NOT_THIS_TIME] = "not_this_time", [BEST_EQUAL] = "equal_best",
        [BEST_FIRST_AT_DISTANCE] = "first_at_distance", [BEST_FIRST] = "first",
        [BEST_NEW_FARTHER] = "new_best_farther", [BEST_NEW] = "new_best",
    };
    return words[s];
}
