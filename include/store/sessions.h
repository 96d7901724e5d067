/* SPDX-License-Identifier: MIT
 * Sessions by the hash of their token, and the cards that opened them. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/err.h"
#include "base/ids.h"
#include "base/who.h"
#include "store/store.h"

extern const struct stmt_set sessions_stmts;

struct session_row {
    struct session_id id;
    enum role role;
    int64_t started_at, seen_at, proved_at;
    struct staff_id staff;          /* staff: account not disabled */
    unsigned rights;
    bool must_change;
    struct card_id card;            /* pupil: the card; carer: one of the live ones */
    struct pupil_id pupil;          /* pupil: the card's child */
};

/* ERR_NOT_FOUND also for a disabled account and when no card of it is live any more: cancelled,
 * expired, the child has left, or (family) the view is off. Ages are not looked at. */
enum err session_find(struct store *st, const uint8_t hash[static 32], int64_t now,
                      struct session_row *out) MUST_USE;
enum err session_insert(struct store *st, const struct session_row *s,
                        const uint8_t hash[static 32]) MUST_USE;
enum err session_add_card(struct store *st, struct session_id id, struct card_id card) MUST_USE;
enum err session_touch(struct store *st, struct session_id id, int64_t now) MUST_USE;
enum err session_end(struct store *st, struct session_id id) MUST_USE;

enum err sessions_end_staff(struct store *st, struct staff_id staff, struct session_id but)
    MUST_USE;
enum err sessions_end_card(struct store *st, struct card_id card) MUST_USE;
/* All sessions that a card of this child opened (a leaver); or a family card (restricted). */
enum err sessions_end_pupil(struct store *st, struct pupil_id pupil) MUST_USE;
enum err sessions_end_family(struct store *st, struct pupil_id pupil) MUST_USE;
enum err sessions_end_all(struct store *st) MUST_USE;
/* Ends the oldest until at most `keep` are left. */
enum err sessions_trim_staff(struct store *st, struct staff_id staff, int keep) MUST_USE;
enum err sessions_trim_card(struct store *st, struct card_id card, int keep) MUST_USE;
/* Ends what was last seen before. */
enum err sessions_sweep(struct store *st, int64_t before) MUST_USE;

struct session_list_row {
    struct session_id id;
    int64_t started_at, seen_at;
};
enum err sessions_of_staff(struct store *st, void *ctx, struct staff_id staff,
                           struct session_list_row **out, size_t *n) MUST_USE;

/* Carer: the children this session opened, by name; cards that are live, view not off. */
struct session_child {
    struct pupil_id pupil;
    const char *display_name;
    int picture;
};
enum err session_children(struct store *st, void *ctx, struct session_id id, int64_t now,
                          struct session_child **out, size_t *n) MUST_USE;
enum err session_has_child(struct store *st, struct session_id id, struct pupil_id pupil,
                           int64_t now, bool *yes) MUST_USE;

/* What the pupil's first page shows about its session. */
struct session_pupil {
    const char *display_name;
    int picture;
    struct class_id class_id;       /* kind "class", today; .v 0: none */
    const char *class_name;
    bool family_can_see;            /* a family card is live and the view is not off */
};
struct session_at { struct pupil_id pupil; int64_t now; int32_t today; };
enum err session_pupil_get(struct store *st, void *ctx, const struct session_at *at,
                           struct session_pupil *out) MUST_USE;
