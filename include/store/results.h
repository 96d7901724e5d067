/* SPDX-License-Identifier: MIT
 * A class in a unit, as a teacher assesses it: every pupil's evidence, what it points to, what was
 * decided. Sorted by name, never by a result. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/err.h"
#include "base/ids.h"
#include "store/assessments.h"
#include "store/challenges.h"
#include "store/grid.h"
#include "store/hand_ins.h"
#include "store/observations.h"
#include "store/pupils.h"
#include "store/school.h"
#include "store/suggest.h"
#include "store/units.h"

struct results_cue {
    int64_t id;
    const char *text;
    struct activity_id activity;
    const char *activity_name;
};

struct results_row {
    struct pupil_row pupil;
    struct hand_in_list hand_ins;           /* in the unit, all states, by arrival */
    enum grid_state *states;                /* one for each of the challenges */
    size_t counted, waiting;                /* hand-ins with tries */
    const struct seen_row *seen;            /* what holds for each point looked for */
    size_t seen_count;
    const struct lesson_answer *answers;    /* a teacher's record for each question asked */
    size_t answer_count;
    struct fraction seen_of_looked, right_of_answered;
    int taking_part;                        /* STRAND_MISSING: not recorded */
    const struct assessment *assessment;    /* NULL: none yet */
    struct suggestion suggestion;
};

struct results {
    struct unit unit;
    struct band_words words;
    struct challenge *challenges;           /* of the unit, set to the class, by opening */
    size_t challenge_count;
    struct results_cue *cues;               /* of those challenges' activities, each
                                               point once, under its newest id there */
    size_t cue_count;
    struct results_row *rows;
    size_t row_count;
};

struct results_ask {
    struct unit_class of;
    int64_t now;
    struct pupil_id only;                   /* .v 0: everybody in the class today */
    struct activity_id activity;            /* suggestions from this one; .v 0: all of the unit */
    struct challenge_id challenge;          /* suggestions from this one's hand-ins; .v 0: all */
};

/* ERR_NOT_FOUND: no such unit. All of it on ctx. */
enum err results_load(struct store *st, void *ctx, const struct results_ask *ask,
                      struct results *out) MUST_USE;

/* May the suggestion be accepted together with others? Only where something was seen in lessons,
 * the suggestion is at least fairly sure and nothing waits for a check. *code (may be NULL): why
 * not: "to_check", "no_suggestion", "nothing_seen", "not_sure"; NULL when it may. */
bool results_bulk_ok(const struct results_row *row, const char **code);

/* The class through which the pupil is in the unit today: one of its own to which a challenge of
 * the unit was set (class before group), else its home class. .v 0 and OK: none. */
enum err results_class_of(struct store *st, struct unit_id unit, struct pupil_id pupil,
                          int32_t today, struct class_id *out) MUST_USE;

extern const struct stmt_set results_stmts;
