/* SPDX-License-Identifier: MIT
 * Cards with their secrets: making them. Finding one by what was typed: auth/card_find.h. */
#pragma once

#include <stddef.h>
#include <stdint.h>

#include "auth/card_code.h"
#include "auth/keys.h"
#include "auth/qr.h"
#include "base/err.h"
#include "store/cards.h"
#include "store/store.h"

/* A card just made: the only time its secrets can be shown. */
struct card_made {
    struct card_id id;
    enum card_holder holder;
    const char *label;              /* a literal */
    struct pupil_id pupil;
    const char *display_name;
    const char *class_name;         /* "" when in none */
    int picture;
    char code[CARD_CODE_TEXT];      /* "BKT RMW HZV" */
    char *url;
    struct qr qr;
};

struct card_order {
    const struct keys *keys;
    const char *origin;             /* "https://school.example" */
    struct pupil_id pupil;
    enum card_holder holder;
    const char *label;              /* one of the schema's, or NULL: the first that is free */
    struct staff_id by;             /* .v 0: the command line */
    int64_t now;
};

/* The label as a literal when it is one of this holder's ("home", "other_home", "school";
 * "card_1", "card_2", "card_3"), else NULL. */
const char *card_label(enum card_holder holder, const char *word);

/* In a writing store. ERR_CONFLICT: three of this holder are live already; ERR_NOT_FOUND: no such
 * pupil, or left. Strings on ctx. */
enum err card_make(struct store *st, void *ctx, const struct card_order *o, struct card_made *out)
    MUST_USE;

/* Cards of a child made anew. A second home's card is somebody's: it never ends unasked. */
struct card_again {
    struct pupil_id pupil;
    enum card_holder holder;
    const char *label;              /* only those; NULL: as `others` says */
    bool others;                    /* every kind that is live; else the first one: home, card 1 */
    int64_t now;
};
struct card_split {
    struct card_list_row *again;    /* to end and be made anew one for one, with the same label */
    struct card_list_row *kept;     /* live and left alone; of this holder, as the others */
    size_t again_n, kept_n;
};
/* Both by kind: home, other home, school. None of either: the child has no live card. */
enum err cards_split(struct store *st, void *ctx, const struct card_again *want,
                     struct card_split *out) MUST_USE;
