/* SPDX-License-Identifier: MIT
 * Classes and teaching groups, who on the staff holds which right on them, and the named readers
 * of messages. Names are unique among classes not archived, ignoring case. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/err.h"
#include "base/ids.h"
#include "store/store.h"

enum class_right { CLASS_NONE, CLASS_READ, CLASS_HELP, CLASS_TEACH };
enum { CLASS_READERS = 20 };

struct class_row {
    struct class_id id;
    const char *name;
    bool group;                     /* kind "group", else "class" */
    bool archived;
    bool messages_on;               /* two or more named readers who may still read */
    int64_t pupils;                 /* in it today */
    enum class_right right;         /* of the staff asked for; CLASS_NONE otherwise */
};

struct class_staff {                /* somebody with a right on the class that holds today */
    struct staff_id id;
    const char *name;
    enum class_right right;
    bool has_until;
    int32_t until_day;              /* last day it holds */
};

extern const struct stmt_set classes_stmts;

const char *class_right_word(enum class_right r);               /* "teach"..., NULL for none */
bool class_right_parse(const char *word, enum class_right *out);

/* By name, ignoring case, not archived; kind class or group. ERR_NOT_FOUND. */
enum err class_find(struct store *st, const char *name, struct class_id *out) MUST_USE;
/* `today` decides pupils and rights. right is CLASS_NONE. ERR_NOT_FOUND. */
enum err class_get(struct store *st, void *ctx, struct class_id id, int32_t today,
                   struct class_row *out) MUST_USE;
/* A new class; ERR_CONFLICT when the name is taken. The caller has cleaned `name` (text_clean). */
enum err class_make(struct store *st, const char *name, bool group, int64_t now,
                    struct class_id *out) MUST_USE;
enum err class_rename(struct store *st, struct class_id id, const char *name) MUST_USE;
/* `at` 0 takes it out of the archive (ERR_CONFLICT when the name is taken by now). */
enum err class_archive(struct store *st, struct class_id id, int64_t at) MUST_USE;

/* Classes on which `staff` holds a right today, by name; with `all` every class not archived. */
struct class_query { struct staff_id staff; bool all; int32_t today; };
enum err classes_list(struct store *st, void *ctx, const struct class_query *want,
                      struct class_row **out, size_t *n) MUST_USE;

/* The right that `staff` holds on the class on `day`; CLASS_NONE (and OK) when none. */
enum err class_right_of(struct store *st, struct class_id id, struct staff_id staff, int32_t day,
                        enum class_right *out) MUST_USE;
/* Gives or changes one right; `until` NULL: until taken away. CLASS_NONE takes it away. */
enum err class_right_put(struct store *st, struct class_id id, struct staff_id staff,
                         enum class_right right, const int32_t *until) MUST_USE;
enum err class_staff_list(struct store *st, void *ctx, struct class_id id, int32_t today,
                          struct class_staff **out, size_t *n) MUST_USE;
/* Holds `teach` on any class today? */
enum err class_teaches_any(struct store *st, struct staff_id staff, int32_t day, bool *out)
    MUST_USE;

/* Named readers that may still read (not disabled; teach the class today or hold safeguarding). */
enum err class_readers(struct store *st, void *ctx, struct class_id id, int32_t today,
                       struct class_staff **out, size_t *n) MUST_USE;
/* Replaces all. ERR_CONFLICT and *bad = index when one may not read. */
struct reader_set { const struct staff_id *ids; size_t n; };
enum err class_readers_put(struct store *st, struct class_id id, int32_t today,
                           const struct reader_set *set, size_t *bad) MUST_USE;

/* First page: what a class is about today. */
struct class_digest {
    int64_t open;                   /* challenges open now */
    int64_t expected, handed_in;    /* pupil x open challenge; of these with tries not set aside */
    int64_t to_check;               /* hand-ins waiting for a look, any challenge */
};
enum err class_digest(struct store *st, struct class_id id, int64_t now, struct class_digest *out)
    MUST_USE;

/* The four steps of an empty school. */
struct school_steps { bool class_list, cards, activity_set, tried; };
enum err school_steps(struct store *st, struct school_steps *out) MUST_USE;
