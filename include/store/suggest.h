/* SPDX-License-Identifier: MIT
 * What the tries of one child point to in a unit: from stored hand-ins to the assessment layer's
 * questions and back. Numbers only; the words are the handlers'. Nothing here changes a decision,
 * and nothing here reads a name. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "assess/band.h"
#include "assess/target.h"
#include "assess/unit.h"
#include "base/err.h"
#include "base/ids.h"
#include "store/activities.h"
#include "store/hand_ins.h"
#include "store/store.h"
#include "store/units.h"

/* Why nothing is suggested. */
enum suggest_silent {
    SUGGEST_SAID,
    SUGGEST_NO_ATTEMPTS,        /* no whole attempt that counts */
    SUGGEST_NO_LINES,           /* the school has set no lines for this version */
    SUGGEST_UNKNOWN_TARGET,     /* lines belong to a distance; the tries are from elsewhere, or
                                   it is not known from where */
    SUGGEST_OWN_TARGET,         /* the version has an own target instead of lines: no band */
};

/* One activity at one version and step: hand-ins of the unit pooled. */
struct suggest_line {
    const struct activity *activity;            /* newest revision of it in the unit */
    const struct activity_version *version;     /* NULL: none; its lines are those of the newest
                                                   revision that is scored alike */
    int32_t step_mm;                            /* 0: no distance */
    size_t hand_ins;                            /* that count and have an attempt of this line */
    size_t attempts;                            /* whole ones, the first `asked` of each hand-in */
    size_t parts;                               /* made with fewer throws than asked */
    int throws;                                 /* -1: the kind has none */
    int asked;
    bool fewer;                                 /* some hand-in has fewer attempts than asked */
    enum suggest_silent silent;
    struct band_answer answer;                  /* when SUGGEST_SAID */
    enum own_target_state own_target;           /* when SUGGEST_OWN_TARGET: how far */
    double reached;                             /* and the unit's statistic of the tries */
};

struct suggestion {
    enum suggest_silent silent;
    enum band_stat stat;
    struct suggest_line *lines;                 /* on ctx, by activity name */
    size_t line_count;
    int top_band;
    struct judge_rule rule;
    struct judgement judged;                    /* strands; a band only from two of them on */
    struct fraction seen, right;                /* of looked for, of answered */
    int taking_part;                            /* STRAND_MISSING: not recorded */
    size_t waiting;                             /* hand-ins that wait for a check */
    int band;                                   /* STRAND_MISSING: none */
    /* How sure, of the band as told: .known false when an activity cannot say. .observed is the
     * statistic when there is one line. */
    struct band_answer answer;
};

struct suggest_ask {
    const struct unit *unit;
    size_t bands;                               /* the school's band words */
    const struct hand_in_list *hand_ins;        /* the pupil's in the unit, all states, by seq */
    const struct hand_in_list *class_hand_ins;  /* the class's, by pupil then seq: variability */
    struct fraction seen, right;
    int taking_part;
    struct activity_id activity;                /* .v 0: all of the unit */
    struct challenge_id challenge;              /* .v 0: all of the unit */
    /* NULL: the stored lines. Else a version with lines to try: only hand-ins of its kind are
     * looked at, and nothing of it is remembered but its tables. `activity` must be given. */
    const struct activity_version *lines;
};

enum err suggest(struct store *st, void *ctx, const struct suggest_ask *ask,
                 struct suggestion *out) MUST_USE;

/* Answers are kept with the connection, so that only what changed is worked out again. How many
 * lines were worked out and how many were remembered since the store was opened. */
struct suggest_counts { uint64_t made, remembered; };
struct suggest_counts suggest_counts(struct store *st);
