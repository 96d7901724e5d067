/* SPDX-License-Identifier: MIT
 * Cards as the database holds them: hashes, whom for, until when. Rows are on ctx. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/err.h"
#include "base/ids.h"
#include "store/store.h"

extern const struct stmt_set cards_stmts;

enum card_holder { CARD_FOR_PUPIL, CARD_FOR_FAMILY };
enum { CARDS_LIVE_MAX = 3 };

const char *card_holder_word(enum card_holder h);      /* "pupil", "family" */

/* A live card: not cancelled, not expired, the child has not left; family: the view is not off. */
struct card_row {
    struct card_id id;
    struct pupil_id pupil;
    enum card_holder holder;
    const char *display_name;
    int picture;
    bool two_part;              /* family: a phrase is asked as well */
    const char *phrase_hash;    /* NULL: none set */
    int32_t last_used_day;      /* 0: never */
    uint8_t code_mac[32];
};
/* ERR_NOT_FOUND: none. ERR_CARD_ENDED: it is there and not live at `now`; why is nobody's to learn
 * who holds the card, so *out stays as it was. */
enum err card_by_code(struct store *st, void *ctx, const uint8_t mac[static 32], int64_t now,
                      struct card_row *out) MUST_USE;
enum err card_by_key(struct store *st, void *ctx, const uint8_t hash[static 32], int64_t now,
                     struct card_row *out) MUST_USE;
enum err card_by_id(struct store *st, void *ctx, struct card_id id, int64_t now,
                    struct card_row *out) MUST_USE;
/* Is the card's child in this class today? */
enum err card_in_class(struct store *st, struct card_id id, struct class_id class_id, int32_t today,
                       bool *yes) MUST_USE;

struct card_new {
    struct card_id id;
    struct pupil_id pupil;
    enum card_holder holder;
    const char *label;
    uint8_t code_mac[32], key_hash[32];
    int32_t made_day;
    struct staff_id by;         /* .v 0: the command line */
    int64_t expires_at;         /* 0: does not */
};
enum err card_put(struct store *st, const struct card_new *c) MUST_USE;
enum err card_used(struct store *st, struct card_id id, int32_t day) MUST_USE;
/* Ends the card and its sessions. ERR_NOT_FOUND: none, or cancelled before. */
enum err card_cancel(struct store *st, struct card_id id, int64_t now) MUST_USE;
/* Ends all live cards of a child (and their sessions): a leaver. */
enum err cards_cancel_pupil(struct store *st, struct pupil_id pupil, int64_t now) MUST_USE;

struct card_list_row {
    struct card_id id;
    enum card_holder holder;
    const char *label;
    int32_t made_day, last_used_day;    /* last_used_day 0: never */
    int64_t expires_at;                 /* 0: does not */
    bool live;
};
enum err cards_of_pupil(struct store *st, void *ctx, struct pupil_id pupil, int64_t now,
                        struct card_list_row **out, size_t *n) MUST_USE;

/* One live card of a child of the class today, with what kind of card it is. */
struct card_kind {
    struct pupil_id pupil;
    const char *display_name;
    enum card_holder holder;
    const char *label;
};
/* By name, then holder, then label. Family cards that are held back are left out, as they are when
 * cards are made for the class. */
enum err card_kinds_of_class(struct store *st, void *ctx, struct class_id class_id, int64_t now,
                             struct card_kind **out, size_t *n) MUST_USE;

/* A child a card may be made for. */
struct card_pupil {
    struct pupil_id pupil;
    const char *display_name;
    const char *class_name;     /* "" when in none */
    int picture;
    int live[2];                /* by holder */
    bool held_back;             /* family cards: made one by one only, by the school's own rules */
};
/* Is this child left out where cards are made for a whole class? */
bool card_held_back(const struct card_pupil *p, enum card_holder h);
/* ERR_NOT_FOUND also for a leaver. */
enum err card_pupil_get(struct store *st, void *ctx, struct pupil_id pupil, int64_t now,
                        struct card_pupil *out) MUST_USE;
/* The class's children of today, by name. */
enum err card_pupils_of_class(struct store *st, void *ctx, struct class_id class_id, int64_t now,
                              struct card_pupil **out, size_t *n) MUST_USE;
