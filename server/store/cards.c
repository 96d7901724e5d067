/* SPDX-License-Identifier: MIT
 * Cards.
 *
 * Invariants: a code or key is never here, only its hash; "live" is decided in one place (LIVE),
 * the same words as in sessions.c; cancelling ends the card's sessions in the same transaction.
 * Whether a fourth live card is too many is decided in auth/cards.c, in the same transaction. */
#include "store/cards.h"

#include <string.h>

#include "base/clock.h"
#include "base/mem.h"
#include "store/query.h"
#include "store/sessions.h"

enum {
    BY_CODE, BY_KEY, BY_ID, IN_CLASS, PUT, USED, CANCEL, CANCEL_PUPIL, OF_PUPIL, PUPIL, OF_CLASS,
    KINDS
};

#define LIVE \
    "k.cancelled_at IS NULL AND (k.expires_at IS NULL OR k.expires_at > :now)" \
    " AND p.left_day IS NULL AND (k.holder = 'pupil' OR p.family_view <> 'off')"
#define FOUND \
    "SELECT k.id, k.pupil_id, k.holder = 'family', p.display_name, p.picture," \
    " k.holder = 'family' AND p.family_view = 'two_part', p.family_phrase_hash, k.last_used_day," \
    " k.code_mac, " LIVE " FROM card k JOIN pupil p ON p.id = k.pupil_id WHERE "
#define COUNT(holder) \
    "(SELECT count(*) FROM card k WHERE k.pupil_id = p.id AND k.holder = '" holder "'" \
    " AND k.cancelled_at IS NULL AND (k.expires_at IS NULL OR k.expires_at > :now))"
#define IN_TODAY "m.from_day <= :today AND (m.to_day IS NULL OR m.to_day >= :today)"

static const struct stmt_def defs[] = {
    [BY_CODE] = {"card by code", FOUND "k.code_mac = :hash"},
    [BY_KEY] = {"card by key", FOUND "k.key_hash = :hash"},
    [BY_ID] = {"card by id", FOUND "k.id = :id"},
    [IN_CLASS] = {"card in class",
                  "SELECT 1 FROM card k JOIN membership m ON m.pupil_id = k.pupil_id"
                  " WHERE k.id = :id AND m.class_id = :class AND " IN_TODAY " LIMIT 1"},
    [PUT] = {"card put",
             "INSERT INTO card(id, pupil_id, holder, label, code_mac, key_hash, made_day, made_by,"
             " expires_at) VALUES (:id, :pupil, :holder, :label, :mac, :key, :day, :by, :expires)"},
    [USED] = {"card used", "UPDATE card SET last_used_day = :day WHERE id = :id"
                           " AND (last_used_day IS NULL OR last_used_day < :day)"},
    [CANCEL] = {"card cancel",
                "UPDATE card SET cancelled_at = :now WHERE id = :id AND cancelled_at IS NULL"},
    [CANCEL_PUPIL] = {"cards cancel pupil",
                      "UPDATE card SET cancelled_at = :now"
                      " WHERE pupil_id = :pupil AND cancelled_at IS NULL"},
    [OF_PUPIL] = {"cards of pupil",
                  "SELECT k.id, k.holder = 'family', k.label, k.made_day, k.last_used_day,"
                  " k.expires_at, " LIVE " FROM card k JOIN pupil p ON p.id = k.pupil_id"
                  " WHERE k.pupil_id = :pupil ORDER BY k.holder DESC, k.made_day, k.id"},
    [PUPIL] = {"card pupil",
               "SELECT p.id, p.display_name, p.picture, (SELECT c.name FROM membership m"
               " JOIN class c ON c.id = m.class_id WHERE m.pupil_id = p.id AND " IN_TODAY
               " ORDER BY c.kind, c.name_key LIMIT 1), " COUNT("pupil") ", " COUNT("family")
               ", p.family_view <> 'open' FROM pupil p WHERE p.id = :pupil AND p.left_day IS NULL"},
    [OF_CLASS] = {"card pupils of class",
                  "SELECT DISTINCT p.id, p.display_name, p.picture, c.name, " COUNT("pupil") ", "
                  COUNT("family") ", p.family_view <> 'open', p.name_key FROM class c"
                  " JOIN membership m ON m.class_id = c.id AND " IN_TODAY
                  " JOIN pupil p ON p.id = m.pupil_id AND p.left_day IS NULL"
                  " WHERE c.id = :class ORDER BY p.name_key COLLATE by_name, p.id"},
    [KINDS] = {"card kinds of class",
               "SELECT DISTINCT p.id, p.display_name, k.holder = 'family', k.label, k.id,"
               " p.name_key FROM membership m JOIN pupil p ON p.id = m.pupil_id"
               " JOIN card k ON k.pupil_id = p.id WHERE m.class_id = :class AND " IN_TODAY
               " AND " LIVE " AND (k.holder = 'pupil' OR p.family_view = 'open')"
               " ORDER BY p.name_key COLLATE by_name, p.id, k.holder DESC, k.label, k.id"},
};
const struct stmt_set cards_stmts = {"cards", defs, sizeof defs / sizeof *defs};

const char *card_holder_word(enum card_holder h)
{
    return h == CARD_FOR_FAMILY ? "family" : "pupil";
}

bool card_held_back(const struct card_pupil *p, enum card_holder h)
{
    return h == CARD_FOR_FAMILY && p->held_back;
}

static enum err read_found(struct query *q, void *ctx, struct card_row *out)
{
    bool found = query_row(q);
    bool live = found && col_int(q, 9) != 0;

    if (live) {
        *out = (struct card_row){
            .id = {col_int(q, 0)},
            .pupil = {col_int(q, 1)},
            .holder = col_int(q, 2) ? CARD_FOR_FAMILY : CARD_FOR_PUPIL,
            .display_name = col_text(q, 3, ctx),
            .picture = (int)col_int(q, 4),
            .two_part = col_int(q, 5) != 0,
            .phrase_hash = col_text(q, 6, ctx),
            .last_used_day = (int32_t)col_int(q, 7),
        };
        size_t n = 0;
        const void *mac = col_blob(q, 8, &n);
        memcpy(out->code_mac, mac, n < sizeof out->code_mac ? n : sizeof out->code_mac);
    }
    enum err e = query_end(q);
    return e ? e : live ? OK : found ? ERR_CARD_ENDED : ERR_NOT_FOUND;
}

enum err card_by_code(struct store *st, void *ctx, const uint8_t mac[static 32], int64_t now,
                      struct card_row *out)
{
    struct query q;

    query_begin(&q, st, &cards_stmts, BY_CODE);
    query_blob(&q, ":hash", mac, 32);
    query_int(&q, ":now", now);
    return read_found(&q, ctx, out);
}

enum err card_by_key(struct store *st, void *ctx, const uint8_t hash[static 32], int64_t now,
                     struct card_row *out)
{
    struct query q;

    query_begin(&q, st, &cards_stmts, BY_KEY);
    query_blob(&q, ":hash", hash, 32);
    query_int(&q, ":now", now);
    return read_found(&q, ctx, out);
}

enum err card_by_id(struct store *st, void *ctx, struct card_id id, int64_t now,
                    struct card_row *out)
{
    struct query q;

    query_begin(&q, st, &cards_stmts, BY_ID);
    query_int(&q, ":id", id.v);
    query_int(&q, ":now", now);
    return read_found(&q, ctx, out);
}

enum err card_in_class(struct store *st, struct card_id id, struct class_id class_id,
                       int32_t today, bool *yes)
{
    struct query q;

    query_begin(&q, st, &cards_stmts, IN_CLASS);
    query_int(&q, ":id", id.v);
    query_int(&q, ":class", class_id.v);
    query_int(&q, ":today", today);
    *yes = query_row(&q);
    return query_end(&q);
}

enum err card_put(struct store *st, const struct card_new *c)
{
    struct query q;

    query_begin(&q, st, &cards_stmts, PUT);
    query_int(&q, ":id", c->id.v);
    query_int(&q, ":pupil", c->pupil.v);
    query_text(&q, ":holder", card_holder_word(c->holder));
    query_text(&q, ":label", c->label);
    query_blob(&q, ":mac", c->code_mac, sizeof c->code_mac);
    query_blob(&q, ":key", c->key_hash, sizeof c->key_hash);
    query_int(&q, ":day", c->made_day);
    query_int_or_null(&q, ":by", c->by.v != 0, c->by.v);
    query_int_or_null(&q, ":expires", c->expires_at != 0, c->expires_at);
    return query_run(&q);
}

enum err card_used(struct store *st, struct card_id id, int32_t day)
{
    struct query q;

    query_begin(&q, st, &cards_stmts, USED);
    query_int(&q, ":id", id.v);
    query_int(&q, ":day", day);
    return query_run(&q);
}

enum err card_cancel(struct store *st, struct card_id id, int64_t now)
{
    struct query q;

    query_begin(&q, st, &cards_stmts, CANCEL);
    query_int(&q, ":id", id.v);
    query_int(&q, ":now", now);
    enum err e = query_run_one(&q);
    return e ? e : sessions_end_card(st, id);
}

enum err cards_cancel_pupil(struct store *st, struct pupil_id pupil, int64_t now)
{
    struct query q;

    query_begin(&q, st, &cards_stmts, CANCEL_PUPIL);
    query_int(&q, ":pupil", pupil.v);
    query_int(&q, ":now", now);
    enum err e = query_run(&q);
    return e ? e : sessions_end_pupil(st, pupil);
}

enum err cards_of_pupil(struct store *st, void *ctx, struct pupil_id pupil, int64_t now,
                        struct card_list_row **out, size_t *n)
{
    struct query q;
    size_t cap = 0;

    *out = NULL;
    *n = 0;
    query_begin(&q, st, &cards_stmts, OF_PUPIL);
    query_int(&q, ":pupil", pupil.v);
    query_int(&q, ":now", now);
    while (query_row(&q)) {
        mem_grow(ctx, *out, *n, &cap);
        (*out)[(*n)++] = (struct card_list_row){
            .id = {col_int(&q, 0)},
            .holder = col_int(&q, 1) ? CARD_FOR_FAMILY : CARD_FOR_PUPIL,
            .label = col_text(&q, 2, ctx),
            .made_day = (int32_t)col_int(&q, 3),
            .last_used_day = (int32_t)col_int(&q, 4),
            .expires_at = col_int(&q, 5),
            .live = col_int(&q, 6) != 0,
        };
    }
    return query_end(&q);
}

static void read_pupil(struct query *q, void *ctx, struct card_pupil *out)
{
    const char *class_name = col_text(q, 3, ctx);

    *out = (struct card_pupil){
        .pupil = {col_int(q, 0)},
        .display_name = col_text(q, 1, ctx),
        .picture = (int)col_int(q, 2),
        .class_name = class_name ? class_name : "",
        .live = {(int)col_int(q, 4), (int)col_int(q, 5)},
        .held_back = col_int(q, 6) != 0,
    };
}

enum err card_pupil_get(struct store *st, void *ctx, struct pupil_id pupil, int64_t now,
                        struct card_pupil *out)
{
    struct query q;

    query_begin(&q, st, &cards_stmts, PUPIL);
    query_int(&q, ":pupil", pupil.v);
    query_int(&q, ":now", now);
    query_int(&q, ":today", clock_day(now));
    bool found = query_row(&q);
    if (found) {
        read_pupil(&q, ctx, out);
    }
    enum err e = query_end(&q);
    return e ? e : found ? OK : ERR_NOT_FOUND;
}

enum err card_pupils_of_class(struct store *st, void *ctx, struct class_id class_id, int64_t now,
                              struct card_pupil **out, size_t *n)
{
    struct query q;
    size_t cap = 0;

    *out = NULL;
    *n = 0;
    query_begin(&q, st, &cards_stmts, OF_CLASS);
    query_int(&q, ":class", class_id.v);
    query_int(&q, ":now", now);
    query_int(&q, ":today", clock_day(now));
    while (query_row(&q)) {
        mem_grow(ctx, *out, *n, &cap);
        read_pupil(&q, ctx, &(*out)[(*n)++]);
    }
    return query_end(&q);
}

enum err card_kinds_of_class(struct store *st, void *ctx, struct class_id class_id, int64_t now,
                             struct card_kind **out, size_t *n)
{
    struct query q;
    size_t cap = 0;

    *out = NULL;
    *n = 0;
    query_begin(&q, st, &cards_stmts, KINDS);
    query_int(&q, ":class", class_id.v);
    query_int(&q, ":now", now);
    query_int(&q, ":today", clock_day(now));
    while (query_row(&q)) {
        mem_grow(ctx, *out, *n, &cap);
        (*out)[(*n)++] = (struct card_kind){
            .pupil = {col_int(&q, 0)},
            .display_name = col_text(&q, 1, ctx),
            .holder = col_int(&q, 2) ? CARD_FOR_FAMILY : CARD_FOR_PUPIL,
            .label = col_text(&q, 3, ctx),
        };
    }
    return query_end(&q);
}
