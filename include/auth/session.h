/* SPDX-License-Identifier: MIT
 * How long a session lives, and beginning one. */
#pragma once

#include <stdbool.h>
#include <stdint.h>

#include "auth/keys.h"
#include "auth/token.h"
#include "base/err.h"
#include "base/who.h"
#include "store/sessions.h"
#include "store/store.h"

enum { SESSIONS_STAFF = 5, SESSIONS_CARD = 3 };

/* Past its idle or its whole span: staff 30 min / 8 h, pupil 20 min / 3 h, carer 15 min / 1 h. */
bool session_is_over(enum role role, int64_t started_at, int64_t seen_at, int64_t now);

struct session_begin {
    enum role role;
    struct staff_id staff;          /* role staff */
    struct card_id card;            /* pupil, carer */
    int64_t now;
    struct session_id replaces;     /* .v 0: none. That session ends: a new token each time */
};

struct session_begun {
    struct session_id id;
    uint8_t hash[TOKEN_HASH];       /* for csrf_token */
};

/* In a writing store: sweeps dead sessions, ends the oldest beyond the limit, inserts. */
enum err session_begin(struct store *st, const struct session_begin *b,
                       char token[static TOKEN_TEXT], struct session_begun *out) MUST_USE;
