/* SPDX-License-Identifier: MIT
 * Life of a session.
 *
 * Invariants: a new token at every sign-in; at most five sessions an account and three a card, the
 * oldest makes room; ages are judged with a clock that is not turned back (auth_now). */
#include "auth/session.h"

#include "base/rand.h"

static const struct span {
    int64_t idle_s, whole_s;
} spans[] = {
    [ROLE_NONE] = {0, 0},
    [ROLE_PUPIL] = {20 * 60, 3 * 3600},
    [ROLE_CARER] = {15 * 60, 3600},
    [ROLE_STAFF] = {30 * 60, 8 * 3600},
};
enum { LONGEST_IDLE_S = 30 * 60 };

bool session_is_over(enum role role, int64_t started_at, int64_t seen_at, int64_t now)
{
    const struct span *s = &spans[role];
    return now - seen_at >= s->idle_s || now - started_at >= s->whole_s;
}

static enum err make_room(struct store *st, const struct session_begin *b)
{
    enum err e = sessions_sweep(st, b->now - LONGEST_IDLE_S);

    if (!e && b->replaces.v) {
        e = session_end(st, b->replaces);
    }
    if (e) {
        return e;
    }
    return b->role == ROLE_STAFF ? sessions_trim_staff(st, b->staff, SESSIONS_STAFF - 1)
                                 : sessions_trim_card(st, b->card, SESSIONS_CARD - 1);
}

enum err session_begin(struct store *st, const struct session_begin *b,
                       char token[static TOKEN_TEXT], struct session_begun *out)
{
    struct session_row row = {
        .id = {rand_id()},
        .role = b->role,
        .staff = b->staff,
        .started_at = b->now,
        .seen_at = b->now,
        .proved_at = b->now,
    };

    token_new(token, out->hash);
    out->id = row.id;
    enum err e = make_room(st, b);
    if (!e) {
        e = session_insert(st, &row, out->hash);
    }
    if (!e && b->role != ROLE_STAFF) {
        e = session_add_card(st, row.id, b->card);
    }
    return e;
}
