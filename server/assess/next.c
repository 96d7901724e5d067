/* SPDX-License-Identifier: MIT
 * The next challenge from the child's own throws at one distance. Success around six throws in ten
 * is aimed at, with room on both sides before anything moves; the number is the school's choice,
 * no theory gives it. */
#include "assess/next.h"

#define TARGET 0.60
#define DEAD_BAND 0.15
enum { THROWS_BEFORE_MOVING = 5 };

static int64_t step_of(const struct scoring *s)
{
    return s->resolution > 0 ? s->resolution : 1;
}

bool next_value(const struct scoring *s, int64_t best, int64_t *out)
{
    if (s->kind == SCORE_ZONES || s->kind == SCORE_SUCCESSES) {
        struct total_set set;
        attainable_totals(s, s->throws, &set);
        *out = attainable_above(&set, best);
        return *out >= 0;
    }
    if (s->kind == SCORE_TIMED_COUNT) {
        int64_t most = s->hard_high != SCORE_NO_LIMIT ? s->hard_high : 8 * (int64_t)s->seconds;
        return !__builtin_add_overflow(best, 1, out) && *out <= most;
    }
    int64_t step = s->lower_is_better ? -step_of(s) : step_of(s);
    return !__builtin_add_overflow(best, step, out) && *out > 0 &&
           (s->hard_low == SCORE_NO_LIMIT || *out >= s->hard_low) &&
           (s->hard_high == SCORE_NO_LIMIT || *out <= s->hard_high);
}

/* The nearest step clearly beyond (+1) or short of (-1) where the child is; 0: none. */
static int32_t neighbour(const struct scoring *s, int32_t here, int way)
{
    int32_t found = 0;
    for (int i = 0; i < s->distances; i++) {
        int32_t d = s->distances_mm[i], off = way * (d - here);
        if (off > SAME_STEP_MM && (found == 0 || off < way * (found - here))) {
            found = d;
        }
    }
    return found;
}

/* The farthest step that activity and home allow; 0: none. */
static int32_t farthest(const struct scoring *s, int32_t space)
{
    int32_t most = 0;
    for (int i = 0; i < s->distances; i++) {
        int32_t d = s->distances_mm[i];
        most = d > most && (space == 0 || d <= space) ? d : most;
    }
    return most;
}

static void next_score(const struct scoring *s, const struct next_from *f, struct next *out)
{
    if (!f->has_best) {
        return;
    }
    out->kind = next_value(s, f->best, &out->value) ? NEXT_SCORE : NEXT_AGAIN;
}

void next_challenge(const struct scoring *s, const struct next_from *f, struct next *out)
{
    *out = (struct next){.kind = NEXT_NONE};
    if (f->distance_mm == 0 || s->distances == 0 || f->throws == 0) {
        next_score(s, f, out);
        return;
    }
    double share = (double)f->scored / f->throws;
    int32_t further = neighbour(s, f->distance_mm, 1), closer = neighbour(s, f->distance_mm, -1);
    int32_t most = farthest(s, f->space_mm);
    if (f->distance_mm > most + SAME_STEP_MM || (f->space_mm > 0 && f->distance_mm > f->space_mm)) {
        *out = (struct next){.kind = most > 0 ? NEXT_CLOSER : NEXT_NONE, .distance_mm = most};
        return;         /* beyond a limit, however well it went there */
    }
    bool enough = f->throws >= THROWS_BEFORE_MOVING;
    out->kind = NEXT_SAME;
    out->distance_mm = f->distance_mm;
    if (share > TARGET + DEAD_BAND) {
        if (further == 0) {
            out->distance_mm = 0;
            next_score(s, f, out);
        } else if (enough && !f->hold && (f->space_mm == 0 || further <= f->space_mm)) {
            *out = (struct next){.kind = NEXT_FURTHER, .distance_mm = further};
        }
    } else if (enough && share < TARGET - DEAD_BAND && closer != 0) {
        *out = (struct next){.kind = NEXT_CLOSER, .distance_mm = closer};
    }
}

const char *next_kind_word(enum next_kind k)
{
    static const char *const words[] = {
        [NEXT_NONE] = "none", [NEXT_SCORE] = "score", [NEXT_CLOSER] = "closer",
        [NEXT_SAME] = "same", [NEXT_FURTHER] = "further", [NEXT_AGAIN] = "again",
    };
    return words[k];
}
