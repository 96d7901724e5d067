/* SPDX-License-Identifier: MIT
 * Activities: something to do with a way to score. An activity has a row of revisions; a revision
 * is never changed once stored, so a challenge keeps what was set and the loaded form may be kept
 * for as long as the store is open. Ids of versions, cues, questions, choices, targets and kit
 * belong to one revision. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/err.h"
#include "base/ids.h"
#include "store/store.h"

enum activity_kind { 
    ACTIVITY_KIND_ZONES, ACTIVITY_KIND_SUCCESSES, ACTIVITY_KIND_TIMED_COUNT, ACTIVITY_KIND_MEASURE,
    ACTIVITY_KIND_COUNT
};
enum value_unit { VALUE_POINTS, VALUE_COUNT, VALUE_MS, VALUE_MM, VALUE_UNIT_COUNT };
enum strand {
    STRAND_TARGET, STRAND_STRIKING, STRAND_CATCHING, STRAND_BALANCE, STRAND_TRAVELLING,
    STRAND_SKIPPING, STRAND_DANCE, STRAND_COUNT
};
enum version_kind {
    VERSION_STANDARD, VERSION_QUIET, VERSION_SEATED, VERSION_NO_KIT, VERSION_KIND_COUNT
};
enum step_change { CHANGE_SPACE, CHANGE_TASK, CHANGE_EQUIPMENT, CHANGE_PEOPLE, CHANGE_COUNT };

/* The words of the database and the API, and back. The readers answer -1 for another word. */
const char *activity_kind_word(enum activity_kind k);
const char *value_unit_word(enum value_unit u);
const char *strand_word(enum strand s);
const char *version_kind_word(enum version_kind k);
const char *step_change_word(enum step_change c);
int activity_kind_of(const char *word);
int value_unit_of(const char *word);
int strand_of(const char *word);
int version_kind_of(const char *word);
int step_change_of(const char *word);

enum {
    ACTIVITY_DISTANCES = 12, ACTIVITY_ZONES = 6, ACTIVITY_TARGETS = 8, ACTIVITY_VERSIONS = 4,
    ACTIVITY_CUES = 8, ACTIVITY_QUESTIONS = 3, ACTIVITY_CHOICES = 5, ACTIVITY_SAFETY = 8,
    ACTIVITY_KIT = 8, ACTIVITY_STEPS = 4, ACTIVITY_BAND_LINES = 5
};

struct optional_int { bool set; int64_t v; };

struct activity_zone {                  /* first match wins */
    const char *name;
    int points;
    struct optional_int x1_mm, x2_mm, y1_mm, y2_mm;
};
struct activity_target { int64_t id; const char *name; int size_mm; /* 0: not said */ };
struct activity_version {
    struct version_id id;
    enum version_kind kind;
    const char *how;
    int64_t band_lines[ACTIVITY_BAND_LINES];    /* [0]: the score that reaches band 1 */
    size_t band_line_count;                     /* 0: no band, an own target only     */
    struct optional_int own_target;             /* never with band lines, never standard */
};
struct activity_cue { int64_t id; const char *text; };
struct activity_choice { int64_t id; const char *text; bool right; };
struct activity_question {
    int64_t id;
    const char *text;
    struct activity_choice choices[ACTIVITY_CHOICES];
    size_t choice_count;
};
struct activity_kit { int64_t id; const char *item, *swap; };
struct activity_step { enum step_change change; const char *easier, *harder; };

struct activity {
    struct activity_id id;
    struct revision_id revision;
    int number;                         /* 1 for the first revision */
    const char *name, *summary, *set_up, *scoring;
    enum strand strand;
    enum activity_kind kind;
    enum value_unit unit;
    int attempts;                       /* 1-5 */
    int throws;                         /* zones, successes: goes in one attempt; else 0 */
    int cap;                            /* successes: objects not set up again; 0 none */
    int seconds;                        /* timed_count; else 0 */
    bool lower_is_better;               /* measure only */
    int resolution;                     /* in the unit, >= 1 */
    struct optional_int hard_low, hard_high, soft_low, soft_high;
    int reference_mm;                   /* 0: none */
    int32_t distances_mm[ACTIVITY_DISTANCES];   /* ascending */
    size_t distance_count;              /* 0: no distance is chosen */
    struct activity_zone zones[ACTIVITY_ZONES];
    size_t zone_count;
    struct activity_target targets[ACTIVITY_TARGETS];
    size_t target_count;
    struct activity_version versions[ACTIVITY_VERSIONS];    /* standard first */
    size_t version_count;
    struct activity_cue cues[ACTIVITY_CUES];
    size_t cue_count;
    struct activity_question questions[ACTIVITY_QUESTIONS];
    size_t question_count;
    const char *safety[ACTIVITY_SAFETY];
    size_t safety_count;
    struct activity_kit kit[ACTIVITY_KIT];
    size_t kit_count;
    struct activity_step steps[ACTIVITY_STEPS];
    size_t step_count;
};

/* The revision, whole. Borrowed from the store's cache: valid until the store is closed. */
enum err activity_load(struct store *st, struct revision_id revision,
                       const struct activity **out) MUST_USE;
/* The newest revision of an activity (archived ones too). */
enum err activity_load_current(struct store *st, struct activity_id id,
                               const struct activity **out) MUST_USE;

/* Finders; NULL when the id is not of this activity. */
const struct activity_version *activity_version(const struct activity *a, struct version_id id);
const struct activity_version *activity_version_of(const struct activity *a, enum version_kind k);
const struct activity_cue *activity_cue(const struct activity *a, int64_t id);
const struct activity_question *activity_question(const struct activity *a, int64_t id);
const struct activity_choice *activity_choice(const struct activity_question *q, int64_t id);
const struct activity_target *activity_target(const struct activity *a, int64_t id);
const struct activity_kit *activity_kit(const struct activity *a, int64_t id);

/* One line of the list of activities, its newest revision. */
struct activity_line {
    const struct activity *activity;    /* borrowed from the cache */
    bool archived;
    int64_t used;                       /* challenges that were set with it */
    struct staff_id maker;              /* 0: the command line */
    const char *made_by;                /* a name; NULL with that */
};
enum err activity_list(void *ctx, struct store *st, struct activity_line **out,
                       size_t *count) MUST_USE;
/* ERR_NOT_FOUND when there is none. */
enum err activity_is_archived(struct store *st, struct activity_id id, bool *out) MUST_USE;

struct activity_by { struct staff_id staff; int64_t now; };     /* staff 0: the command line */

/* Stores a draft that activity_check passed. Ids in the draft are ignored and made anew.
 * copied_from.v may be 0. */
enum err activity_create(struct store *st, const struct activity *draft,
                         struct activity_id copied_from, struct activity_by by,
                         const struct activity **out) MUST_USE;
/* A further revision of draft->id. draft->revision is the one the change was made from (0: not
 * said); ERR_CONFLICT when somebody made another since. Its other ids are ignored. */
enum err activity_revise(struct store *st, const struct activity *draft, struct activity_by by,
                         const struct activity **out) MUST_USE;
enum err activity_archive(struct store *st, struct activity_id id, int64_t now) MUST_USE;

/* What is wrong with a draft whose texts are already clean. NULL: nothing. The pointer is RFC
 * 6901 below the activity ("/zones/1/points"), on ctx; *code is a literal. `bands` = number of
 * the school's band words. */
const char *activity_check(void *ctx, const struct activity *draft, size_t bands,
                           const char **code);

/* The same of the lines of one version alone. */
const char *activity_check_lines(void *ctx, const struct activity *draft, size_t version,
                                 size_t bands, const char **code);

extern const struct stmt_set activities_stmts;
extern const struct stmt_set activity_save_stmts;
