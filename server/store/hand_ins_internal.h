/* SPDX-License-Identifier: MIT
 * What the store's files about hand-ins share: the form of a row and the rule of its state. */
#pragma once

#include "store/hand_ins.h"
#include "store/query.h"

/* The last mark on hand-in `h` of the statement, or NULL; answered from index hand_in_mark_of. */
#define HAND_IN_LAST_MARK                                                             \
    "(SELECT k.mark FROM hand_in_mark k WHERE k.hand_in_seq = h.seq"                  \
    " ORDER BY k.id DESC LIMIT 1)"

/* The rule of the state: the last mark holds; without one a surprising hand-in waits. HAND_IN_WAITS
 * is HAND_IN_TO_CHECK of hand-in `h` in SQL. */
#define HAND_IN_WAITS \
    "coalesce(" HAND_IN_LAST_MARK ", CASE h.surprising WHEN 1 THEN 'mistake' END) = 'mistake'"
enum hand_in_state hand_in_state_of(const char *last_mark, bool surprising);

/* Reads a row in the order of COLUMNS; attempts, cues and answers stay empty. */
void hand_in_read_row(struct query *q, struct hand_in *h);

/* "[2,0,5]", and back. */
void hand_in_throws_print(const struct hand_in_attempt *a, char out[HAND_IN_THROWS * 4 + 3]);
void hand_in_throws_read(const char *text, size_t n, struct hand_in_attempt *a);

/* Fills attempts, cues and answers of rows just read: three statements for all of them. `ctx` lends
 * what is needed on the way. */
enum err hand_in_parts_load(struct store *st, void *ctx, struct hand_in *v, size_t n) MUST_USE;
