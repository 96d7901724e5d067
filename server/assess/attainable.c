/* SPDX-License-Identifier: MIT
 * What one attempt can be. The set of totals is the bounded coin problem with exactly n throws, a
 * set of bits moved by each zone's points: with 0, 2 and 5 and four throws 13 cannot occur. Checks
 * run in the order in which a person would look: are the throws such as can be, do they add up, is
 * the total one that can be made, is it a usual one, and from where. */
#include "assess/attainable.h"

#include <string.h>

enum { WORDS = (SCORE_TOTAL_MAX + 1) / 64 };

struct scoring scoring_empty(enum score_kind kind)
{
    return (struct scoring){
        .kind = kind, .resolution = 1,
        .hard_low = SCORE_NO_LIMIT, .hard_high = SCORE_NO_LIMIT,
        .soft_low = SCORE_NO_LIMIT, .soft_high = SCORE_NO_LIMIT,
    };
}

bool scoring_add(struct scoring *s, int points)
{
    for (int i = 0; i < s->zones; i++) {
        if (s->points[i] == points) {
            return true;
        }
    }
    if (points < 0 || points > SCORE_TOTAL_MAX || s->zones >= SCORE_ZONES_MAX) {
        return false;
    }
    s->points[s->zones++] = points;
    return true;
}

/* to |= from << by */
static void shift_into(uint64_t to[WORDS], const uint64_t from[WORDS], int by)
{
    int words = by / 64, bits = by % 64;
    for (int i = WORDS - 1; i >= words; i--) {
        uint64_t x = from[i - words] << bits;
        if (bits > 0 && i - words > 0) {
            x |= from[i - words - 1] >> (64 - bits);
        }
        to[i] |= x;
    }
}

static void keep_up_to(struct total_set *set, int most)
{
    set->most = -1;
    for (int t = 0; t <= SCORE_TOTAL_MAX; t++) {
        uint64_t one = UINT64_C(1) << (t % 64);
        if (t > most) {
            set->bit[t / 64] &= ~one;
        } else if (set->bit[t / 64] & one) {
            set->most = t;
        }
    }
}

static int highest_points(const struct scoring *s)
{
    int most = 0;
    for (int i = 0; i < s->zones; i++) {
        most = s->points[i] > most ? s->points[i] : most;
    }
    return most;
}

void attainable_totals(const struct scoring *s, int throws, struct total_set *out)
{
    *out = (struct total_set){.most = -1};
    struct scoring two = {.points = {0, 1}, .zones = 2};
    const struct scoring *p = s->kind == SCORE_SUCCESSES ? &two : s;
    int n = throws > 0 ? throws : s->throws;
    if (s->kind != SCORE_ZONES && s->kind != SCORE_SUCCESSES) {
        return;
    }
    if (n < 1 || n > SCORE_THROWS_MAX || p->zones < 1 ||
        (int64_t)n * highest_points(p) > SCORE_TOTAL_MAX) {
        return;
    }
    out->bit[0] = 1;
    for (int i = 0; i < n; i++) {
        uint64_t next[WORDS] = {0};
        for (int z = 0; z < p->zones; z++) {
            shift_into(next, out->bit, p->points[z]);
        }
        memcpy(out->bit, next, sizeof next);
    }
    keep_up_to(out, s->cap > 0 ? s->cap : SCORE_TOTAL_MAX);
}

bool attainable_has(const struct total_set *set, int64_t total)
{
    return total >= 0 && total <= SCORE_TOTAL_MAX &&
           (set->bit[total / 64] >> (total % 64) & 1) != 0;
}

size_t attainable_list(const struct total_set *set, int *out, size_t room)
{
    size_t n = 0;
    for (int t = 0; t <= set->most; t++) {
        if (attainable_has(set, t)) {
            if (n < room) {
                out[n] = t;
            }
            n++;
        }
    }
    return n;
}

int attainable_above(const struct total_set *set, int64_t total)
{
    if (total >= set->most) {       /* what was typed may be the largest integer there is */
        return -1;
    }
    for (int64_t t = total < 0 ? 0 : total + 1; t <= set->most; t++) {
        if (attainable_has(set, t)) {
            return (int)t;
        }
    }
    return -1;
}

int attainable_below(const struct total_set *set, int64_t total)
{
    if (total <= 0) {
        return -1;
    }
    for (int64_t t = total > set->most ? set->most : total - 1; t >= 0; t--) {
        if (attainable_has(set, t)) {
            return (int)t;
        }
    }
    return -1;
}

static enum check_result no(struct check_detail *out, enum check_code code)
{
    out->code = code;
    return CHECK_REJECT;
}

static bool earns(const struct scoring *s, int points)
{
    if (s->kind == SCORE_SUCCESSES) {
        return points == 0 || points == 1;
    }
    for (int i = 0; i < s->zones; i++) {
        if (s->points[i] == points) {
            return true;
        }
    }
    return false;
}

/* Adds the throws up. *n becomes how many throws the attempt had. */
static enum check_result check_throws(const struct scoring *s, const struct tried *t, int *n,
                                      struct check_detail *out)
{
    int64_t sum = 0;
    if (t->throw_count > s->throws || t->throw_count > TRIED_THROWS_MAX) {
        return no(out, CHECK_TOO_MANY_THROWS);
    }
    for (int i = 0; i < t->throw_count; i++) {
        if (!earns(s, t->throws[i])) {
            out->throw_index = i;
            return no(out, CHECK_WRONG_POINTS);
        }
        sum += t->throws[i];
    }
    if (t->has_value && t->value != sum) {
        return no(out, CHECK_DISAGREE);
    }
    if (t->tries_used != 0 && t->tries_used != t->throw_count) {
        return no(out, CHECK_TRIES);
    }
    out->value = sum;
    out->tries_used = t->throw_count;
    *n = t->throw_count;
    return CHECK_OK;
}

static enum check_result check_total(const struct scoring *s, const struct tried *t,
                                     struct check_detail *out)
{
    int n = s->throws;
    if (t->throw_count > 0) {
        enum check_result r = check_throws(s, t, &n, out);
        if (r != CHECK_OK) {
            return r;
        }
    } else {
        if (t->tries_used < 0 || t->tries_used > s->throws) {
            return no(out, CHECK_TRIES);
        }
        n = t->tries_used > 0 ? t->tries_used : n;
        out->value = t->value;
        out->tries_used = t->tries_used;
    }
    struct total_set set;
    attainable_totals(s, n, &set);
    if (!attainable_has(&set, out->value)) {
        int near[2] = {attainable_below(&set, out->value), attainable_above(&set, out->value)};
        for (int i = 0; i < 2; i++) {
            if (near[i] >= 0) {
                out->nearest[out->nearest_count++] = near[i];
            }
        }
        return no(out, CHECK_IMPOSSIBLE);
    }
    bool full = s->cap > 0 && out->value == s->cap;
    out->part = n < s->throws && !full;
    out->at_least = full && out->tries_used == 0;
    return CHECK_OK;
}

static bool outside(int64_t v, int64_t low, int64_t high)
{
    return (low != SCORE_NO_LIMIT && v < low) || (high != SCORE_NO_LIMIT && v > high);
}

/* A slip of the unit or of the point: x times one of these lies where results usually lie. */
static void find_meant(const struct scoring *s, int64_t x, struct check_detail *out)
{
    static const struct { int64_t up, down; } slips[] = {
        {1, 100}, {100, 1}, {1, 10}, {10, 1}, {60, 1}, {1, 60},
    };
    int64_t low = s->soft_low != SCORE_NO_LIMIT ? s->soft_low : s->hard_low;
    int64_t high = s->soft_high != SCORE_NO_LIMIT ? s->soft_high : s->hard_high;
    if (low == SCORE_NO_LIMIT && high == SCORE_NO_LIMIT) {
        return;
    }
    for (size_t i = 0; i < sizeof slips / sizeof *slips; i++) {
        int64_t y;
        if (__builtin_mul_overflow(x, slips[i].up, &y)) {
            continue;
        }
        y /= slips[i].down;
        if (y > 0 && !outside(y, low, high)) {
            out->has_meant = true;
            out->meant = y;
            return;
        }
    }
}

static enum check_result check_count(const struct scoring *s, int64_t x, struct check_detail *out)
{
    int64_t hard = s->hard_high != SCORE_NO_LIMIT ? s->hard_high : 8 * (int64_t)s->seconds;
    int64_t soft = s->soft_high != SCORE_NO_LIMIT ? s->soft_high : 4 * (int64_t)s->seconds;
    out->value = x;
    if (x < 0 || outside(x, s->hard_low, hard)) {
        return no(out, CHECK_OUT_OF_RANGE);
    }
    if (outside(x, s->soft_low, soft)) {
        out->code = CHECK_UNUSUAL;
        return CHECK_ASK;
    }
    return CHECK_OK;
}

static enum check_result check_measure(const struct scoring *s, int64_t x, struct check_detail *out)
{
    int64_t step = s->resolution > 0 ? s->resolution : 1;
    if (x <= 0 || x > INT64_MAX - step || outside(x, s->hard_low, s->hard_high)) {
        find_meant(s, x, out);
        return no(out, CHECK_OUT_OF_RANGE);
    }
    out->value = (x + step / 2) / step * step;
    if (out->value <= 0 || outside(out->value, s->hard_low, s->hard_high)) {
        out->value += out->value > x ? -step : step;    /* rounding must not leave the limits */
    }
    if (out->value <= 0 || outside(out->value, s->hard_low, s->hard_high)) {
        return no(out, CHECK_OUT_OF_RANGE);
    }
    if (outside(x, s->soft_low, s->soft_high)) {
        find_meant(s, x, out);
        out->code = CHECK_UNUSUAL;
        return CHECK_ASK;
    }
    return CHECK_OK;
}

static enum check_result check_distance(const struct scoring *s, int32_t mm,
                                        struct check_detail *out)
{
    if (mm != 0 && (mm < DISTANCE_LEAST_MM || mm > DISTANCE_MOST_MM)) {
        return no(out, CHECK_DISTANCE);
    }
    if (s->distances == 0) {
        return CHECK_OK;
    }
    out->distance_mm = mm == 0 && s->distances == 1 ? s->distances_mm[0] : mm;
    if (mm == 0) {
        return CHECK_OK;
    }
    for (int i = 0; i < s->distances; i++) {
        int32_t off = mm - s->distances_mm[i];
        if (off >= -SAME_STEP_MM && off <= SAME_STEP_MM) {
            return CHECK_OK;
        }
    }
    out->code = CHECK_DISTANCE_UNUSUAL;
    return CHECK_ASK;
}

static enum check_result check_value(const struct scoring *s, const struct tried *t,
                                     struct check_detail *out)
{
    if (!t->has_value && t->throw_count == 0) {
        return no(out, CHECK_NOTHING);
    }
    if (s->kind == SCORE_ZONES || s->kind == SCORE_SUCCESSES) {
        return check_total(s, t, out);
    }
    if (t->throw_count > 0 || t->tries_used != 0) {
        return no(out, CHECK_NOT_OF_THIS_KIND);
    }
    return s->kind == SCORE_TIMED_COUNT ? check_count(s, t->value, out)
                                        : check_measure(s, t->value, out);
}

enum check_result check_attempt(const struct scoring *s, const struct tried *t,
                                struct check_detail *out)
{
    *out = (struct check_detail){.code = CHECK_NONE};
    enum check_result value = check_value(s, t, out);
    if (value == CHECK_REJECT) {
        return value;
    }
    enum check_code code = out->code;
    enum check_result where = check_distance(s, t->distance_mm, out);
    if (where == CHECK_ASK && value == CHECK_ASK) {
        out->code = code;       /* the result is asked about first */
    }
    return where > value ? where : value;
}

const char *check_code_word(enum check_code code)
{
    static const char *const words[] = {
        [CHECK_NONE] = "", [CHECK_NOTHING] = "required",
        [CHECK_NOT_OF_THIS_KIND] = "not_of_this_kind", [CHECK_WRONG_POINTS] = "wrong_points",
        [CHECK_TOO_MANY_THROWS] = "too_many_throws", [CHECK_DISAGREE] = "disagree",
        [CHECK_IMPOSSIBLE] = "impossible", [CHECK_OUT_OF_RANGE] = "out_of_range",
        [CHECK_TRIES] = "tries_used", [CHECK_DISTANCE] = "distance",
        [CHECK_UNUSUAL] = "confirm", [CHECK_DISTANCE_UNUSUAL] = "confirm_distance",
    };
    return words[code];
}
