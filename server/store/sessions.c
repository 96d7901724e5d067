/* SPDX-License-Identifier: MIT
 * Sessions.
 *
 * Invariants: found by the hash of a token only; a session is good only while what opened it is:
 * the account not disabled (one that somebody let in alone goes without safeguarding until a
 * second person agrees), a card not cancelled nor expired, the child not gone, the family view
 * not off. That is asked with every request, so taking access away works at the next one. How old
 * a session may get is auth/session.c's business. No address and no browser is kept. */
#include "store/sessions.h"

#include <string.h>

#include "base/mem.h"
#include "store/query.h"
#include "store/upkeep.h"

enum {
    FIND, CARD, INSERT, ADD_CARD, TOUCH, END, END_STAFF, END_CARD, END_PUPIL, END_FAMILY, END_ALL,
    TRIM_STAFF, TRIM_CARD, SWEEP, OF_STAFF, CHILDREN, HAS_CHILD, PUPIL
};

/* A card `k` of pupil `p` that opens something at :now. */
#define LIVE \
    "k.cancelled_at IS NULL AND (k.expires_at IS NULL OR k.expires_at > :now)" \
    " AND p.left_day IS NULL AND (k.holder = 'pupil' OR p.family_view <> 'off')"
#define OPENED \
    " FROM session_card sc JOIN card k ON k.id = sc.card_id" \
    " JOIN pupil p ON p.id = k.pupil_id WHERE sc.session_id = :session AND " LIVE

static const struct stmt_def defs[] = {
    [FIND] = {"session find",
              "SELECT s.id, s.role, s.started_at, s.seen_at, s.proved_at, s.staff_id,"
              " t.must_change, t.id IS NOT NULL AND t.disabled_at IS NULL,"
              " (SELECT coalesce(sum(CASE r.right WHEN 'pe_lead' THEN 1 WHEN 'safeguarding'"
              " THEN 2 * (t.unagreed_at IS NULL AND r.agreed_at IS NOT NULL) ELSE 4 END), 0)"
              " FROM staff_right r WHERE r.staff_id = s.staff_id)"
              " FROM session s LEFT JOIN staff t ON t.id = s.staff_id WHERE s.token_hash = :hash"},
    [CARD] = {"session card", "SELECT k.id, k.pupil_id" OPENED " ORDER BY k.id LIMIT 1"},
    [INSERT] = {"session insert",
                "INSERT INTO session(id, token_hash, role, staff_id, started_at, seen_at,"
                " proved_at) VALUES (:id, :hash, :role, :staff, :started, :seen, :proved)"},
    [ADD_CARD] = {"session add card",
                  "INSERT INTO session_card(session_id, card_id) VALUES (:session, :card)"
                  " ON CONFLICT DO NOTHING"},
    [TOUCH] = {"session touch",
               "UPDATE session SET seen_at = max(seen_at, :now) WHERE id = :session"},
    [END] = {"session end", "DELETE FROM session WHERE id = :session"},
    [END_STAFF] = {"sessions end staff",
                   "DELETE FROM session WHERE staff_id = :staff AND id <> :but"},
    [END_CARD] = {"sessions end card",
                  "DELETE FROM session WHERE id IN"
                  " (SELECT session_id FROM session_card WHERE card_id = :card)"},
    [END_PUPIL] = {"sessions end pupil",
                   "DELETE FROM session WHERE id IN (SELECT sc.session_id FROM card k"
                   " JOIN session_card sc ON sc.card_id = k.id WHERE k.pupil_id = :pupil)"},
    [END_FAMILY] = {"sessions end family",
                    "DELETE FROM session WHERE id IN (SELECT sc.session_id FROM card k"
                    " JOIN session_card sc ON sc.card_id = k.id"
                    " WHERE k.pupil_id = :pupil AND k.holder = 'family')"},
    [END_ALL] = {"sessions end all", "DELETE FROM session /*scan: all of them go*/"},
    [TRIM_STAFF] = {"sessions trim staff",
                    "DELETE FROM session WHERE staff_id = :staff AND id NOT IN"
                    " (SELECT id FROM session WHERE staff_id = :staff"
                    " ORDER BY started_at DESC, id DESC LIMIT :keep)"},
    [TRIM_CARD] = {"sessions trim card",
                   "DELETE FROM session WHERE id IN (SELECT s.id FROM session_card sc"
                   " JOIN session s ON s.id = sc.session_id WHERE sc.card_id = :card"
                   " ORDER BY s.started_at DESC, s.id DESC LIMIT -1 OFFSET :keep)"},
    [SWEEP] = {"sessions sweep", "DELETE FROM session WHERE seen_at < :before"},
    [OF_STAFF] = {"sessions of staff",
                  "SELECT id, started_at, seen_at FROM session WHERE staff_id = :staff"
                  " ORDER BY started_at DESC, id"},
    [CHILDREN] = {"session children",
                  "SELECT DISTINCT p.id, p.display_name, p.picture, p.name_key" OPENED
                  " AND k.holder = 'family' ORDER BY p.name_key COLLATE by_name, p.id"},
    [HAS_CHILD] = {"session has child",
                   "SELECT 1" OPENED " AND k.holder = 'family' AND k.pupil_id = :pupil LIMIT 1"},
    [PUPIL] = {"session pupil",
               "SELECT p.display_name, p.picture, c.id, c.name,"
               " p.family_view <> 'off' AND EXISTS (SELECT 1 FROM card k WHERE k.pupil_id = p.id"
               " AND k.holder = 'family' AND k.cancelled_at IS NULL"
               " AND (k.expires_at IS NULL OR k.expires_at > :now))"
               " FROM pupil p LEFT JOIN membership m ON m.pupil_id = p.id"
               " AND m.from_day <= :today AND (m.to_day IS NULL OR m.to_day >= :today)"
               " LEFT JOIN class c ON c.id = m.class_id AND c.kind = 'class'"
               " AND c.archived_at IS NULL"
               " WHERE p.id = :pupil ORDER BY c.id IS NULL, m.from_day DESC LIMIT 1"},
};
const struct stmt_set sessions_stmts = {"sessions", defs, sizeof defs / sizeof *defs};

static const char *const role_words[] = {
    [ROLE_PUPIL] = "pupil", [ROLE_CARER] = "carer", [ROLE_STAFF] = "staff"};

static enum role role_of(struct query *q, int column)
{
    void *ctx = mem_root();
    const char *word = col_text(q, column, ctx);
    enum role role = ROLE_NONE;

    for (int r = ROLE_PUPIL; word && r <= ROLE_STAFF; r++) {
        if (strcmp(word, role_words[r]) == 0) {
            role = (enum role)r;
        }
    }
    talloc_free(ctx);
    return role;
}

static unsigned rights_of(int64_t held)
{
    return (held & 1 ? ALLOW_PE_LEAD : 0U) | (held & 2 ? ALLOW_SAFEGUARDING : 0U) |
           (held & 4 ? ALLOW_OFFICE : 0U);
}

/* The card behind a pupil's or carer's session. */
static enum err find_card(struct store *st, int64_t now, struct session_row *out)
{
    struct query q;

    query_begin(&q, st, &sessions_stmts, CARD);
    query_int(&q, ":session", out->id.v);
    query_int(&q, ":now", now);
    bool found = query_row(&q);
    if (found) {
        out->card.v = col_int(&q, 0);
        out->pupil.v = out->role == ROLE_PUPIL ? col_int(&q, 1) : 0;
    }
    enum err e = query_end(&q);
    return e ? e : found ? OK : ERR_NOT_FOUND;
}

enum err session_find(struct store *st, const uint8_t hash[static 32], int64_t now,
                      struct session_row *out)
{
    struct query q;
    bool usable = false;

    query_begin(&q, st, &sessions_stmts, FIND);
    query_blob(&q, ":hash", hash, 32);
    if (query_row(&q)) {
        *out = (struct session_row){
            .id = {col_int(&q, 0)},
            .role = role_of(&q, 1),
            .started_at = col_int(&q, 2),
            .seen_at = col_int(&q, 3),
            .proved_at = col_int(&q, 4),
            .staff = {col_int(&q, 5)},
            .must_change = col_int(&q, 6) != 0,
            .rights = rights_of(col_int(&q, 8)),
        };
        usable = out->role != ROLE_NONE && (out->role != ROLE_STAFF || col_int(&q, 7) != 0);
    }
    enum err e = query_end(&q);
    if (e || !usable) {
        return e ? e : ERR_NOT_FOUND;
    }
    return out->role == ROLE_STAFF ? OK : find_card(st, now, out);
}

enum err session_insert(struct store *st, const struct session_row *s,
                        const uint8_t hash[static 32])
{
    struct query q;

    query_begin(&q, st, &sessions_stmts, INSERT);
    query_int(&q, ":id", s->id.v);
    query_blob(&q, ":hash", hash, 32);
    query_text(&q, ":role", role_words[s->role]);
    query_int_or_null(&q, ":staff", s->role == ROLE_STAFF, s->staff.v);
    query_int(&q, ":started", s->started_at);
    query_int(&q, ":seen", s->seen_at);
    query_int(&q, ":proved", s->proved_at);
    enum err e = query_run(&q);
    return e == OK ? upkeep_used(st, s->started_at) : e;
}

enum err session_add_card(struct store *st, struct session_id id, struct card_id card)
{
    struct query q;

    query_begin(&q, st, &sessions_stmts, ADD_CARD);
    query_int(&q, ":session", id.v);
    query_int(&q, ":card", card.v);
    return query_run(&q);
}

enum err session_touch(struct store *st, struct session_id id, int64_t now)
{
    struct query q;

    query_begin(&q, st, &sessions_stmts, TOUCH);
    query_int(&q, ":session", id.v);
    query_int(&q, ":now", now);
    return query_run(&q);
}

/* Statements with one id and no rows. */
static enum err run_with_id(struct store *st, size_t index, const char *name, int64_t id)
{
    struct query q;

    query_begin(&q, st, &sessions_stmts, index);
    query_int(&q, name, id);
    return query_run(&q);
}

enum err session_end(struct store *st, struct session_id id)
{
    return run_with_id(st, END, ":session", id.v);
}

enum err sessions_end_staff(struct store *st, struct staff_id staff, struct session_id but)
{
    struct query q;

    query_begin(&q, st, &sessions_stmts, END_STAFF);
    query_int(&q, ":staff", staff.v);
    query_int(&q, ":but", but.v);
    return query_run(&q);
}

enum err sessions_end_card(struct store *st, struct card_id card)
{
    return run_with_id(st, END_CARD, ":card", card.v);
}

enum err sessions_end_pupil(struct store *st, struct pupil_id pupil)
{
    return run_with_id(st, END_PUPIL, ":pupil", pupil.v);
}

enum err sessions_end_family(struct store *st, struct pupil_id pupil)
{
    return run_with_id(st, END_FAMILY, ":pupil", pupil.v);
}

enum err sessions_end_all(struct store *st)
{
    struct query q;

    query_begin(&q, st, &sessions_stmts, END_ALL);
    return query_run(&q);
}

enum err sessions_trim_staff(struct store *st, struct staff_id staff, int keep)
{
    struct query q;

    query_begin(&q, st, &sessions_stmts, TRIM_STAFF);
    query_int(&q, ":staff", staff.v);
    query_int(&q, ":keep", keep);
    return query_run(&q);
}

enum err sessions_trim_card(struct store *st, struct card_id card, int keep)
{
    struct query q;

    query_begin(&q, st, &sessions_stmts, TRIM_CARD);
    query_int(&q, ":card", card.v);
    query_int(&q, ":keep", keep);
    return query_run(&q);
}

enum err sessions_sweep(struct store *st, int64_t before)
{
    return run_with_id(st, SWEEP, ":before", before);
}

enum err sessions_of_staff(struct store *st, void *ctx, struct staff_id staff,
                           struct session_list_row **out, size_t *n)
{
    struct query q;
    size_t cap = 0;

    *out = NULL;
    *n = 0;
    query_begin(&q, st, &sessions_stmts, OF_STAFF);
    query_int(&q, ":staff", staff.v);
    while (query_row(&q)) {
        mem_grow(ctx, *out, *n, &cap);
        (*out)[(*n)++] =
            (struct session_list_row){{col_int(&q, 0)}, col_int(&q, 1), col_int(&q, 2)};
    }
    return query_end(&q);
}

enum err session_children(struct store *st, void *ctx, struct session_id id, int64_t now,
                          struct session_child **out, size_t *n)
{
    struct query q;
    size_t cap = 0;

    *out = NULL;
    *n = 0;
    query_begin(&q, st, &sessions_stmts, CHILDREN);
    query_int(&q, ":session", id.v);
    query_int(&q, ":now", now);
    while (query_row(&q)) {
        mem_grow(ctx, *out, *n, &cap);
        (*out)[(*n)++] = (struct session_child){
            {col_int(&q, 0)}, col_text(&q, 1, ctx), (int)col_int(&q, 2)};
    }
    return query_end(&q);
}

enum err session_has_child(struct store *st, struct session_id id, struct pupil_id pupil,
                           int64_t now, bool *yes)
{
    struct query q;

    query_begin(&q, st, &sessions_stmts, HAS_CHILD);
    query_int(&q, ":session", id.v);
    query_int(&q, ":now", now);
    query_int(&q, ":pupil", pupil.v);
    *yes = query_row(&q);
    return query_end(&q);
}

enum err session_pupil_get(struct store *st, void *ctx, const struct session_at *at,
                           struct session_pupil *out)
{
    struct query q;

    query_begin(&q, st, &sessions_stmts, PUPIL);
    query_int(&q, ":pupil", at->pupil.v);
    query_int(&q, ":now", at->now);
    query_int(&q, ":today", at->today);
    bool found = query_row(&q);
    if (found) {
        *out = (struct session_pupil){
            .display_name = col_text(&q, 0, ctx),
            .picture = (int)col_int(&q, 1),
            .class_id = {col_int(&q, 2)},
            .class_name = col_text(&q, 3, ctx),
            .family_can_see = col_int(&q, 4) != 0,
        };
    }
    enum err e = query_end(&q);
    return e ? e : found ? OK : ERR_NOT_FOUND;
}
