/* SPDX-License-Identifier: MIT
 * Challenges: an activity's revision set to classes, with the times it opens, is due and closes,
 * and the two- or three-digit number printed on the home sheet. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/err.h"
#include "base/ids.h"
#include "store/store.h"

/* A class that it is set to, and how it stands there. */
struct challenge_class {
    struct class_id id;
    const char *name;
    int64_t opens_at, due_at, closes_at;
    int64_t cancelled_at;               /* 0: it goes on */
    const char *cancelled_by;           /* a name; NULL: it goes on */
    int64_t sent;                       /* children of whom tries came; -1: not counted */
};

struct challenge {
    struct challenge_id id;
    int number;                         /* 10-999, unique in each of its classes */
    struct revision_id revision;        /* activity_load() it */
    struct activity_id activity;
    struct unit_id unit;
    const char *unit_name;
    /* For whom it was read: the class; the pupil, by the class that serves them best; else the
     * widest of those of its classes that go on. */
    int64_t opens_at, due_at, closes_at;
    bool cancelled;                     /* there, or in every class */
    bool empty;                         /* read for a class: cancelled, and nothing came from it */
    struct challenge_class *classes;    /* by name */
    size_t class_count;
};

struct challenge_list { struct challenge *rows; size_t count; };

/* ERR_NOT_FOUND when there is none. All of it on ctx. */
enum err challenge_get(void *ctx, struct store *st, struct challenge_id id,
                       struct challenge *out) MUST_USE;
/* NULL when it is not set to the class. */
const struct challenge_class *challenge_class_of(const struct challenge *c, struct class_id id);
bool challenge_has_class(const struct challenge *c, struct class_id id);
/* Read for a class or a pupil, it becomes as challenge_get() reads it. */
void challenge_widen(struct challenge *c);
/* Fills classes[].sent. */
enum err challenge_count_sent(struct store *st, struct challenge *c) MUST_USE;

/* Those that a pupil may send tries to at `now` (opens_at <= now <= closes_at in a class or group
 * the pupil is in today, and not cancelled there), by due time. */
enum err challenges_open_for_pupil(void *ctx, struct store *st, struct pupil_id pupil, int64_t now,
                                   struct challenge_list *out) MUST_USE;
/* All that were ever set to this pupil (in the class while it was open), cancelled ones too, by
 * opening time. */
enum err challenges_of_pupil(void *ctx, struct store *st, struct pupil_id pupil,
                             struct challenge_list *out) MUST_USE;
/* The challenge if it is, or was while open, set to this pupil; else ERR_NOT_FOUND. */
enum err challenge_of_pupil(void *ctx, struct store *st, struct pupil_id pupil,
                            struct challenge_id id, struct challenge *out) MUST_USE;
/* By the printed number, among those set to this pupil; an open one first, then the newest. */
struct challenge_typed { struct pupil_id pupil; int number; int64_t now; };
enum err challenge_by_number(void *ctx, struct store *st, const struct challenge_typed *typed,
                             struct challenge *out) MUST_USE;
/* Of a class, newest opening first, cancelled ones too: those whose closes_at >= closes_from. */
enum err challenges_of_class(void *ctx, struct store *st, struct class_id cls, int64_t closes_from,
                             struct challenge_list *out) MUST_USE;

struct challenge_new {
    struct activity_id activity;        /* its newest revision is set */
    struct unit_id unit;
    const struct class_id *classes;
    size_t class_count;
    int64_t opens_at, due_at, closes_at;
    struct staff_id by;                 /* 0: the command line */
    int64_t now;
};
/* Gives it a number free in every one of its classes and, while any is left, not used in the
 * school for 400 days. ERR_CONFLICT: the activity is archived, or no number is free. */
enum err challenge_create(struct store *st, const struct challenge_new *n,
                          struct challenge_id *out) MUST_USE;
/* When a challenge with this due day closes unless said otherwise: the end of the term that holds
 * the due day, else 28 days after it. */
enum err challenge_default_close(struct store *st, int32_t due_day, int64_t *out) MUST_USE;

/* How many challenges were set with an activity's revisions is in activity_list. */
extern const struct stmt_set challenges_stmts;
