/* SPDX-License-Identifier: MIT
 * How an activity is scored, and whether what a child typed can be.
 *
 * Zones and successes have finitely many totals: a bounded coin problem with exactly n throws.
 * Every check answers OK, ASK ("are you sure?": taken when confirmed, and flagged) or REJECT
 * (impossible by the rules of the activity). Nothing is ever rejected for being surprising. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum {
    SCORE_ZONES_MAX = 8,        /* different points a throw can earn, a miss included */
    SCORE_THROWS_MAX = 200,
    SCORE_TOTAL_MAX = 4095,     /* throws x highest points must stay within this */
    SCORE_DISTANCES_MAX = 16,
    TRIED_THROWS_MAX = 100,
    DISTANCE_LEAST_MM = 500,
    DISTANCE_MOST_MM = 30000,
    SAME_STEP_MM = 250,         /* distances this close are the same step */
};

/* An open limit. */
#define SCORE_NO_LIMIT INT64_MIN

enum score_kind { SCORE_ZONES, SCORE_SUCCESSES, SCORE_TIMED_COUNT, SCORE_MEASURE };

/* A value: {0} and then what the kind asks for. Successes need no points (0 and 1 are meant). */
struct scoring {
    enum score_kind kind;
    int attempts;                       /* asked of one hand-in, 1..5 (0 is read as 3) */
    int throws;                         /* zones, successes: goes in one attempt */
    int points[SCORE_ZONES_MAX];        /* zones: each different value once; add with scoring_add */
    int zones;                          /* how many of points[] */
    int cap;                            /* successes: objects not set up again; 0 = none */
    int seconds;                        /* timed_count: how long it is counted */
    int64_t hard_low, hard_high;        /* outside: impossible. SCORE_NO_LIMIT = none */
    int64_t soft_low, soft_high;        /* outside: ask */
    bool lower_is_better;               /* measure */
    int64_t resolution;                 /* in the unit; 0 is read as 1 */
    int32_t distances_mm[SCORE_DISTANCES_MAX];
    int distances;                      /* 0: the activity has no distance */
};

/* {0} with all four limits open. */
struct scoring scoring_empty(enum score_kind kind);
/* Adds a zone's points unless they are there. False: negative, or no room. */
bool scoring_add(struct scoring *s, int points);

/* Set of totals that one attempt can make. */
struct total_set {
    uint64_t bit[(SCORE_TOTAL_MAX + 1) / 64];
    int most;                           /* largest member; -1 when empty */
};

/* Totals of exactly `throws` throws (s->throws when 0). Kinds without totals give the empty set;
 * so does a scoring whose totals pass SCORE_TOTAL_MAX. */
void attainable_totals(const struct scoring *s, int throws, struct total_set *out);
bool attainable_has(const struct total_set *set, int64_t total);
/* Writes up to `room` members in rising order; returns how many there are. */
size_t attainable_list(const struct total_set *set, int *out, size_t room);
/* Smallest member above / largest below `total`; -1 when there is none. */
int attainable_above(const struct total_set *set, int64_t total);
int attainable_below(const struct total_set *set, int64_t total);

/* One attempt as it was sent. */
struct tried {
    bool has_value;
    int64_t value;                      /* in the activity's unit */
    int throws[TRIED_THROWS_MAX];       /* points of each throw as made; successes: 0 or 1 */
    int throw_count;                    /* 0: throws were not sent */
    int32_t distance_mm;                /* 0: not said */
    int tries_used;                     /* 0: not said */
};

enum check_result { CHECK_OK, CHECK_ASK, CHECK_REJECT };

enum check_code {
    CHECK_NONE,
    CHECK_NOTHING,              /* neither a value nor throws */
    CHECK_NOT_OF_THIS_KIND,     /* throws or tries where the kind has none */
    CHECK_WRONG_POINTS,         /* at throws[throw_index]: no zone gives that */
    CHECK_TOO_MANY_THROWS,
    CHECK_DISAGREE,             /* the value is not the sum of the throws */
    CHECK_IMPOSSIBLE,           /* no such total; `nearest` says what can be */
    CHECK_OUT_OF_RANGE,         /* outside what can happen */
    CHECK_TRIES,                /* tries used do not fit */
    CHECK_DISTANCE,             /* outside 0.5 to 30 m */
    CHECK_UNUSUAL,              /* ask: outside what is usual */
    CHECK_DISTANCE_UNUSUAL,     /* ask: none of the activity's distances */
};

struct check_detail {
    enum check_code code;
    int throw_index;            /* CHECK_WRONG_POINTS */
    int nearest[2];             /* CHECK_IMPOSSIBLE: attainable below and above, rising */
    int nearest_count;
    bool has_meant;             /* "did you mean?": a slip of the unit or of a digit */
    int64_t meant;
    /* What to store when the result is not REJECT. */
    int64_t value;              /* the throws added up; a measure rounded to the resolution */
    int32_t distance_mm;        /* 0 when the activity has none; the only one when not said */
    int tries_used;             /* 0: not known */
    bool part;                  /* fewer throws than asked: evidence, no best */
    bool at_least;              /* the cap was reached and the tries used are not known */
};

/* Judges one attempt; `out` is filled in every case. */
enum check_result check_attempt(const struct scoring *s, const struct tried *t,
                                struct check_detail *out);
/* The API's word for a code: "impossible", "wrong_points" ... ; "" for CHECK_NONE. */
const char *check_code_word(enum check_code code);
