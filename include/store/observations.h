/* SPDX-License-Identifier: MIT
 * What a teacher saw and heard in lessons: teaching points, questions answered, taking part. Rows
 * of seen and lesson_answer are only ever added; the one said last of (unit, pupil, cue or
 * question) holds, and one that takes back leaves the thing as if it had never been looked for or
 * asked. Not looked for is not the same as not seen: readers answer only what still stands. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/err.h"
#include "base/ids.h"
#include "store/store.h"

/* A class as it stands on a day, in a unit. */
struct unit_class {
    struct unit_id unit;
    struct class_id cls;
    int32_t today;
};

struct seen_row {
    struct pupil_id pupil;
    struct unit_id unit;
    int64_t cue;
    const char *cue_text;           /* readers */
    struct activity_id activity;    /* readers */
    bool seen;                      /* false: looked for and not seen */
    bool taken_back;                /* what was said before holds no more, nor `seen` */
    int32_t on_day;
    struct staff_id by;
    int64_t said_at;                /* seen_add: of two rows the one said last holds */
    bool has_mark;                  /* seen_add: a repeat of this id is stored once */
    struct uuid mark;
};

struct seen_list {
    struct seen_row *v;             /* on ctx */
    size_t n;
};

/* ERR_NOT_FOUND when the cue is of no activity of the unit (set, or in a lesson of it). A mark
 * whose id is there already is left alone; ERR_DIFFERENT when that one said something else. */
enum err seen_add(struct store *st, const struct seen_row *row) MUST_USE;
/* What holds for each teaching point that was looked for, of the pupils in the class; by pupil id.
 * A point is its words in its activity: what was said of it in an older revision holds until
 * something is said of it in a newer one. `cue` is the one that was ticked. */
enum err seen_of_class(struct store *st, void *ctx, const struct unit_class *k,
                       struct seen_list *out) MUST_USE;
/* The same of one pupil, every unit, by day. */
enum err seen_of_pupil(struct store *st, void *ctx, struct pupil_id p,
                       struct seen_list *out) MUST_USE;
/* Every row that is held of the pupil, also what no longer holds and what takes back, in the order
 * in which it was said: for the copy of a child's data. */
enum err seen_ever_of_pupil(struct store *st, void *ctx, struct pupil_id p,
                            struct seen_list *out) MUST_USE;

/* Does the row speak of the point with these words of this activity, in whatever revision? */
bool seen_is_of(const struct seen_row *row, struct activity_id a, const char *text);

struct lesson_answer {
    struct pupil_id pupil;
    struct unit_id unit;
    int64_t question;
    const char *question_text;      /* readers */
    struct activity_id activity;    /* readers */
    bool right;                     /* false: not yet */
    bool taken_back;                /* as above */
    int32_t on_day;
    struct staff_id by;
};

struct lesson_answer_list {
    struct lesson_answer *v;        /* on ctx */
    size_t n;
};

/* The same four for a question of an activity, which too is its words in its activity. A record of
 * a teacher stands in place of the child's own answers to that question, in whatever revision;
 * taken back, those count again. */
enum err lesson_answer_add(struct store *st, const struct lesson_answer *a) MUST_USE;
enum err lesson_answers_of_class(struct store *st, void *ctx, const struct unit_class *k,
                                 struct lesson_answer_list *out) MUST_USE;
enum err lesson_answers_of_pupil(struct store *st, void *ctx, struct pupil_id p,
                                 struct lesson_answer_list *out) MUST_USE;
enum err lesson_answers_ever_of_pupil(struct store *st, void *ctx, struct pupil_id p,
                                      struct lesson_answer_list *out) MUST_USE;
bool lesson_answer_is_of(const struct lesson_answer *row, struct activity_id a, const char *text);

struct taking_part {
    struct pupil_id pupil;
    struct unit_id unit;
    int band;
    struct staff_id by;
    int32_t on_day;
};

struct taking_part_list {
    struct taking_part *v;          /* on ctx */
    size_t n;
};

enum err taking_part_put(struct store *st, const struct taking_part *t) MUST_USE;
/* Nothing recorded is fine too. */
enum err taking_part_take_back(struct store *st, struct unit_id u, struct pupil_id p) MUST_USE;
enum err taking_part_of_class(struct store *st, void *ctx, const struct unit_class *k,
                              struct taking_part_list *out) MUST_USE;
enum err taking_part_of_pupil(struct store *st, void *ctx, struct pupil_id p,
                              struct taking_part_list *out) MUST_USE;

extern const struct stmt_set observations_stmts;
