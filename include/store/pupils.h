/* SPDX-License-Identifier: MIT
 * Pupils and their membership by date. A pupil is in one class at a time and in any number of
 * groups; "home class" is that class. Everything listed is sorted by name, never by a value. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/err.h"
#include "base/ids.h"
#include "store/store.h"

enum { PUPIL_PICTURES = 24, PUPIL_NO_YEAR = -1, PUPIL_NAME_MAX = 40 };

enum family_view { FAMILY_OPEN, FAMILY_TWO_PART, FAMILY_OFF };

struct pupil_row {
    struct pupil_id id;
    const char *display_name;
    int year_group;                 /* 0..7, PUPIL_NO_YEAR: not said */
    int picture;                    /* 0..23 */
    enum family_view family_view;
    bool left;
    int32_t left_day;
    int64_t pupil_cards, family_cards;      /* live; only filled by pupils_of_class */
};

struct pupil_new {
    const char *display_name;       /* cleaned and checked by the caller */
    int year_group;
    struct class_id in;
    int32_t from_day;
    int64_t now;
};

struct membership {
    struct class_id id;
    const char *name;
    bool group;
    int32_t from_day, to_day;
    bool has_to;
};

extern const struct stmt_set pupils_stmts;

const char *family_view_word(enum family_view v);
bool family_view_parse(const char *word, enum family_view *out);

/* ERR_NOT_FOUND. */
enum err pupil_get(struct store *st, void *ctx, struct pupil_id id, struct pupil_row *out) MUST_USE;
/* A pupil with membership; the picture is the one least used in the class. ERR_CONFLICT when a
 * pupil of that name is in the class on from_day. */
enum err pupil_make(struct store *st, const struct pupil_new *p, struct pupil_id *out) MUST_USE;
/* The same for lists: no look at names, the picture is given. */
enum err pupil_add(struct store *st, const struct pupil_new *p, int picture, struct pupil_id *out)
    MUST_USE;
/* How often each picture is in use in the class, and the next to give (least used; any of those
 * by chance). pupil_picture_next counts it. */
struct pupil_pictures { int used[PUPIL_PICTURES]; };
enum err pupil_pictures(struct store *st, struct class_id in, int32_t day,
                        struct pupil_pictures *out) MUST_USE;
int pupil_picture_next(struct pupil_pictures *p);
enum err pupil_rename(struct store *st, struct pupil_id id, const char *display_name) MUST_USE;
enum err pupil_year_put(struct store *st, struct pupil_id id, int year_group) MUST_USE;
/* `phrase_hash` only with FAMILY_TWO_PART (else NULL). Ends the child's family sessions unless
 * open. */
enum err pupil_family_view_put(struct store *st, struct pupil_id id, enum family_view v,
                               const char *phrase_hash) MUST_USE;

/* Pupils in the class on `day` (leavers of before are out), by name. `now` decides live cards. */
struct pupils_query { struct class_id in; int32_t day; int64_t now; bool leavers; };
enum err pupils_of_class(struct store *st, void *ctx, const struct pupils_query *want,
                         struct pupil_row **out, size_t *n) MUST_USE;

/* In the class on that day? */
enum err pupil_in_class(struct store *st, struct pupil_id id, struct class_id in, int32_t day,
                        bool *out) MUST_USE;
/* Home class on that day (kind class; a group only when there is no class). id.v 0, name NULL and
 * OK: none. */
struct home_class { struct class_id id; const char *name; };
enum err pupil_home_class(struct store *st, void *ctx, struct pupil_id id, int32_t day,
                          struct home_class *out) MUST_USE;
enum err pupil_memberships(struct store *st, void *ctx, struct pupil_id id,
                           struct membership **out, size_t *n) MUST_USE;

/* Is somebody of this name in the class on that day? Except `but` (.v 0: nobody). */
struct name_place { struct class_id in; int32_t day; struct pupil_id but; };
enum err pupil_name_taken(struct store *st, const char *display_name,
                          const struct name_place *place, bool *out) MUST_USE;

/* Into a group from `day` on. ERR_CONFLICT when in it already. */
enum err pupil_join(struct store *st, struct pupil_id id, struct class_id group, int32_t day)
    MUST_USE;
/* To another class: the old membership ends the day before, the new one begins on `day`.
 * ERR_CONFLICT when in it already. */
enum err pupil_move(struct store *st, struct pupil_id id, struct class_id to, int32_t day) MUST_USE;
/* Leaves the school: `day` is the first day away; memberships end the day before, cards are
 * cancelled and their sessions end. ERR_CONFLICT when left already. */
enum err pupil_leave(struct store *st, struct pupil_id id, int32_t day, int64_t now) MUST_USE;
/* Back again: into the class it left, from `day` on. New cards have to be made. ERR_CONFLICT when
 * it has not left. */
enum err pupil_return(struct store *st, struct pupil_id id, int32_t day) MUST_USE;
