/* SPDX-License-Identifier: MIT
 * What to try next: a little harder than sure, a little easier than luck. Offered, never forced;
 * one step at a time; never more force, speed or distance than the activity and the home allow. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "assess/attainable.h"
#include "assess/band_zones.h"

enum next_kind {
    NEXT_NONE,          /* nothing to go by */
    NEXT_SCORE,         /* try to make `value` */
    NEXT_CLOSER,        /* `distance_mm` */
    NEXT_SAME,          /* the same distance again */
    NEXT_FURTHER,       /* `distance_mm` */
    NEXT_AGAIN,         /* at the top: do it again, or another activity */
};

struct next {
    enum next_kind kind;
    int64_t value;              /* NEXT_SCORE */
    int32_t distance_mm;        /* NEXT_CLOSER, NEXT_SAME, NEXT_FURTHER */
};

/* What is known of the child at this activity and version: attempts of the last three hand-ins. */
struct next_from {
    bool has_best;
    int64_t best;               /* value as stored, not signed */
    int32_t distance_mm;        /* where the child is now; 0 = no distance */
    int32_t space_mm;           /* the farthest the home or the teacher allows; 0 = not said */
    int scored, throws;         /* throws at this distance that earned anything, of how many;
                                   0 of 0 when throws are not known */
    bool hold;                  /* pain, fear, a flagged entry: never further */
};

/* Never a distance beyond the activity's farthest or the space: who is beyond is asked closer. */
void next_challenge(const struct scoring *s, const struct next_from *from, struct next *out);
/* "none", "score", "closer", "same", "further", "again". */
const char *next_kind_word(enum next_kind k);

/* Smallest value that beats `best`: the next attainable total, count + 1, one resolution.
 * False at the maximum. */
bool next_value(const struct scoring *s, int64_t best, int64_t *out);

/* Zones and successes: what to aim for, from the attempts of the last hand-ins. */
struct next_ask {
    const struct scoring *scoring;
    const struct outcomes *outcomes;
    int m;                      /* attempts of a day: 3 */
    int best;
};
struct next_aim {
    int next;                   /* smallest attainable total above the best; -1 at the maximum */
    double p_next;              /* that the best of m attempts reaches it */
    int today;                  /* attainable, up to `next`: reached in about 6 of 10 days */
    double p_today;
};
/* False: over the budget of band_zones.h, or too little room. */
bool next_total(const struct next_ask *ask, struct room *w, struct next_aim *out);

/* The same with tables made once for an activity's version. */
enum { NEXT_TOTALS_MOST = 64, NEXT_CHUNKS = NEXT_TOTALS_MOST / BAND_LINES_MAX };
struct next_tables {
    size_t n;
    int total[NEXT_TOTALS_MOST];                /* attainable, rising */
    struct zones_table chunk[NEXT_CHUNKS];      /* reach BAND_LINES_MAX of them each */
};
/* False: more totals than NEXT_TOTALS_MOST, over the budget, or too little room. */
bool next_tables_make(const struct scoring *s, int m, struct room *w, struct next_tables *out);
bool next_total_by(const struct next_tables *t, const struct next_ask *ask, struct room *w,
                   struct next_aim *out);
