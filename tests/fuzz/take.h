/* SPDX-License-Identifier: MIT
 * Bytes of a fuzzer as numbers and records. When they run out everything is 0. */
#pragma once

#include <math.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "assess/attainable.h"
#include "assess/band.h"
#include "assess/band_zones.h"
#include "assess/room.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

/* Says which promise was broken, and stops as a sanitizer does. */
#define MUST(what) \
    do { \
        if (!(what)) { \
            fprintf(stderr, "%s:%d: broken: %s\n", __FILE__, __LINE__, #what); \
            abort(); \
        } \
    } while (0)

struct bytes {
    const uint8_t *p;
    size_t left;
};

static inline unsigned take(struct bytes *b)
{
    if (b->left == 0) {
        return 0;
    }
    b->left--;
    return *b->p++;
}

/* low..high by up to four bytes */
static inline int take_int(struct bytes *b, int low, int high)
{
    uint32_t x = take(b);
    for (uint32_t most = (uint32_t)(high - low); most > 0xff; most >>= 8) {
        x = x << 8 | take(b);
    }
    return low + (int)(x % (uint32_t)(high - low + 1));
}

/* Any integer; small ones and the edges often. */
static inline int64_t take_any(struct bytes *b)
{
    static const int64_t edge[] = {0, 1, -1, INT64_MAX, INT64_MIN, INT32_MAX, INT64_MAX - 1, 4095};
    unsigned kind = take(b);
    if (kind < 160) {
        return (int64_t)take(b);
    }
    if (kind < 200) {
        return edge[kind % 8];
    }
    uint64_t x = 0;
    for (unsigned i = 0; i < 1 + kind % 8; i++) {
        x = x << 8 | take(b);
    }
    return (int64_t)x;
}

static inline double take_share(struct bytes *b)
{
    return take_int(b, 0, 10000) / 10000.0;
}

/* A finite double with as many powers of ten as the edges of a record have. */
static inline double take_double(struct bytes *b)
{
    return take_int(b, -9999, 9999) / 100.0 * pow(10, take_int(b, -9, 15));
}

/* Zones or successes that a form lets in; `large` also those beyond the budget. */
static inline struct scoring take_scoring(struct bytes *b, bool large)
{
    struct scoring s = scoring_empty(take(b) % 3 == 0 ? SCORE_SUCCESSES : SCORE_ZONES);
    int most = large ? SCORE_THROWS_MAX : 6, zones = take_int(b, 1, large ? SCORE_ZONES_MAX : 4);
    s.throws = take_int(b, 1, most);
    if (s.kind == SCORE_SUCCESSES) {
        s.cap = take(b) % 3 == 0 ? take_int(b, 1, s.throws) : 0;
        return s;
    }
    for (int i = 0; i < zones; i++) {
        scoring_add(&s, take_int(b, 0, large ? SCORE_TOTAL_MAX : 20));
    }
    return s;
}

/* What was typed: throws that may or may not be, a total, or both. */
static inline struct tried take_tried(struct bytes *b, const struct scoring *s)
{
    struct tried t = {.has_value = take(b) % 4 > 0, .value = take_any(b)};
    t.throw_count = take(b) % 2 ? take_int(b, 0, TRIED_THROWS_MAX) : 0;
    t.tries_used = take(b) % 4 == 0 ? take_int(b, 0, 100) : 0;
    t.distance_mm = take(b) % 2 ? (int32_t)take_any(b) : 0;
    for (int i = 0; i < t.throw_count; i++) {
        int z = take_int(b, 0, SCORE_ZONES_MAX);
        t.throws[i] = z < s->zones ? s->points[z] : z % 2 - (z == SCORE_ZONES_MAX ? 5 : 0);
    }
    return t;
}

/* An attempt as it is stored: it went through the check first. False: it was refused. */
static inline bool take_outcome(struct bytes *b, const struct scoring *s, struct outcome *out)
{
    struct check_detail d;
    struct tried t = {.has_value = true, .value = take(b)};
    if (take(b) % 2) {
        int zones = s->kind == SCORE_SUCCESSES ? 2 : s->zones;
        t.has_value = false;
        t.throw_count = take_int(b, 1, s->throws < TRIED_THROWS_MAX ? s->throws : TRIED_THROWS_MAX);
        for (int i = 0; i < t.throw_count; i++) {
            int z = take_int(b, 0, zones - 1);
            t.throws[i] = s->kind == SCORE_SUCCESSES ? z : s->points[z];
        }
    }
    if (check_attempt(s, &t, &d) == CHECK_REJECT) {
        return false;
    }
    t.value = d.value;
    t.tries_used = d.tries_used;
    return outcome_of(s, &t, d.part, out);
}

static inline size_t take_outcomes(struct bytes *b, const struct scoring *s, struct outcome *o,
                                   size_t room)
{
    size_t n = 0, most = (size_t)take_int(b, 0, (int)room);
    for (size_t i = 0; i < most; i++) {
        n += take_outcome(b, s, &o[n]);
    }
    return n;
}

/* Lines in rising order (a form refuses others), from anywhere. */
static inline struct band_rule take_rule(struct bytes *b)
{
    struct band_rule r = band_rule_default((enum band_stat)take_int(b, 0, 2), take_int(b, 1, 3));
    r.lines = (size_t)take_int(b, 0, 4);
    for (size_t i = 0; i < r.lines; i++) {
        r.line[i] = take(b) % 8 ? take_int(b, 0, 60) : (double)take_any(b);
        if (i > 0 && r.line[i] < r.line[i - 1]) {
            r.line[i] = r.line[i - 1];
        }
    }
    return r;
}

/* Lent memory with a wall behind it: often too little. */
enum { WALL = 64 };
static inline struct room take_room(struct bytes *b, unsigned char *memory, size_t size)
{
    size_t lent = take(b) % 4 ? size - WALL : (size_t)take_int(b, 0, 65535);
    lent = lent > size - WALL ? size - WALL : lent;
    memset(memory + lent, 0xa5, WALL);
    return (struct room){.base = memory, .size = lent};
}

static inline void room_held(const struct room *w, size_t used)
{
    MUST(w->used == used && w->used <= w->size);
    for (size_t i = 0; i < WALL; i++) {
        MUST(w->base[w->size + i] == 0xa5);
    }
}

static inline void is_chance(double p)
{
    MUST(p >= 0 && p <= 1 + 1e-9);
}

/* The same answer by another way. */
static inline void same_answer(const struct band_answer *a, const struct band_answer *b, size_t lines)
{
    MUST(a->band == b->band && a->known == b->known && a->observed == b->observed);
    for (size_t i = 0; a->known && i <= lines; i++) {
        MUST(fabs(a->probs[i] - b->probs[i]) < 1e-9);
    }
}

static inline void is_answer(const struct band_answer *a, size_t lines)
{
    double sum = 0;
    MUST(isfinite(a->observed));
    MUST(a->band >= 0 && a->band <= (int)lines);
    for (size_t i = 0; a->known && i <= lines; i++) {
        is_chance(a->probs[i]);
        sum += a->probs[i];
    }
    MUST(!a->known || fabs(sum - 1) < 1e-6);
    MUST(a->span_low >= 0 && a->span_low <= a->span_high && a->span_high <= (int)lines);
    MUST(a->likelier >= -1 && a->likelier <= (int)lines);
}
