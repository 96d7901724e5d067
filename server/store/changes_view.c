/* SPDX-License-Identifier: MIT
 * Looking at changes: what waits, what was decided of late, who may accept, who reads messages. */
#include "base/clock.h"
#include "base/mem.h"
#include "reading_internal.h"
#include "store/changes.h"
#include "store/query.h"

enum { LIST, GET, MAY_ACCEPT, SECOND_PERSONS, HOLDERS };

#define COLUMNS \
    "c.id, c.kind, c.outcome, c.staff_id, o.name, c.class_id, k.name, c.until_day, c.asked_by," \
    " b.name, c.asked_at, c.decided_by, d.name, c.decided_at, c.older," \
    " o.must_change = 0, o.disabled_at IS NOT NULL, coalesce(" READING_MAY_ACCEPT("b") ", 0)"
#define TABLES \
    " FROM pending_change c JOIN staff o ON o.id = c.staff_id" \
    " LEFT JOIN class k ON k.id = c.class_id LEFT JOIN staff b ON b.id = c.asked_by" \
    " LEFT JOIN staff d ON d.id = c.decided_by"

static const struct stmt_def defs[] = {
    [LIST] = {"changes list",
        "SELECT " COLUMNS TABLES " WHERE coalesce(c.decided_at, c.asked_at) >= :since"
        " ORDER BY coalesce(c.decided_at, c.asked_at) DESC, c.id"
        " /*scan: a school changes rights a few dozen times a year*/"},
    [GET] = {"change get", "SELECT " COLUMNS TABLES " WHERE c.id = :id"},
    [MAY_ACCEPT] = {"may accept changes",
        "SELECT 1 FROM staff s WHERE s.id = :staff AND " READING_MAY_ACCEPT("s")},
    [SECOND_PERSONS] = {"second persons",
        "SELECT s.id, s.name FROM staff s WHERE s.id NOT IN (:of, :by)"
        " AND " READING_MAY_ACCEPT("s") " ORDER BY s.name_key /*scan: the staff of one school*/"},
    [HOLDERS] = {"who reads messages",
        "SELECT s.id, s.name, g.right, NULL, NULL, g.agreed_at IS NOT NULL,"
        " " READING_SURE("s") ", g.agreed_at, g.opened_at, s.name_key, 0, ''"
        " FROM staff_right g JOIN staff s ON s.id = g.staff_id"
        " WHERE g.right IN ('safeguarding', 'office') AND s.disabled_at IS NULL"
        " UNION ALL SELECT s.id, s.name, t.right, k.id, k.name, " READING_TEACH("t") ","
        " " READING_SURE("s") ", t.agreed_at, t.opened_at, s.name_key, 1, k.name_key"
        " FROM class_right t JOIN staff s ON s.id = t.staff_id JOIN class k ON k.id = t.class_id"
        " WHERE t.right = 'teach' AND s.disabled_at IS NULL AND k.archived_at IS NULL"
        " AND (t.until_day IS NULL OR t.until_day >= :today)"
        " ORDER BY 10, 1, 11, 3 DESC, 12 /*scan: the staff of one school*/"},
};
const struct stmt_set changes_view_stmts = {"changes view", defs, sizeof defs / sizeof *defs};

static enum change_state state_of(const char *outcome, int64_t asked_at, int64_t now)
{
    if (!outcome) {
        return asked_at > now - CHANGE_LAPSES_DAYS * INT64_C(86400) ? CHANGE_WAITING
                                                                     : CHANGE_LAPSED;
    }
    return outcome[0] == 'a' ? CHANGE_ACCEPTED : outcome[0] == 'd' ? CHANGE_DECLINED
         : outcome[0] == 'w' ? CHANGE_WITHDRAWN : CHANGE_BY_MACHINE;
}

static enum err read_change(struct query *q, void *ctx, int64_t now, struct change_row *out)
{
    int64_t asked_at = col_int(q, 10);
    *out = (struct change_row){
        .id = col_int(q, 0),
        .state = state_of(col_text(q, 2, ctx), asked_at, now),
        .of = {col_int(q, 3)},
        .of_name = col_text(q, 4, ctx),
        .in = {col_int(q, 5)},
        .class_name = col_text(q, 6, ctx),
        .has_until = !col_null(q, 7),
        .until_day = (int32_t)col_int(q, 7),
        .by = {col_int(q, 8)},
        .by_name = col_text(q, 9, ctx),
        .asked_at = asked_at,
        .lapses_at = asked_at + CHANGE_LAPSES_DAYS * INT64_C(86400),
        .decided_by = {col_int(q, 11)},
        .decided_name = col_text(q, 12, ctx),
        .decided_at = col_int(q, 13),
        .older = col_int(q, 14) != 0,
        .signed_in = col_int(q, 15) != 0,
        .disabled = col_int(q, 16) != 0,
        .asker_counts = col_int(q, 17) != 0,
    };
    return change_kind_parse(col_text(q, 1, ctx), &out->kind) ? OK : ERR_STORE;
}

enum err changes_list(struct store *st, void *ctx, int64_t now, struct change_row **out, size_t *n)
{
    struct query q;
    size_t cap = 0;
    enum err bad = OK;
    *out = NULL;
    *n = 0;
    query_begin(&q, st, &changes_view_stmts, LIST);
    query_int(&q, ":since", now - CHANGE_SHOWN_DAYS * INT64_C(86400));
    while (bad == OK && query_row(&q)) {
        mem_grow(ctx, *out, *n, &cap);
        bad = read_change(&q, ctx, now, &(*out)[(*n)++]);
    }
    enum err e = query_end(&q);
    return e == OK ? bad : e;
}

enum err change_get(struct store *st, void *ctx, int64_t id, int64_t now, struct change_row *out)
{
    struct query q;
    enum err bad = ERR_NOT_FOUND;
    *out = (struct change_row){0};
    query_begin(&q, st, &changes_view_stmts, GET);
    query_int(&q, ":id", id);
    if (query_row(&q)) {
        bad = read_change(&q, ctx, now, out);
    }
    enum err e = query_end(&q);
    return e == OK ? bad : e;
}

enum err change_refusal(struct store *st, const struct change_row *c, struct staff_id by,
                        const char **code)
{
    struct query q;
    query_begin(&q, st, &changes_view_stmts, MAY_ACCEPT);
    query_int(&q, ":staff", by.v);
    bool may = query_row(&q);
    enum err e = query_end(&q);
    *code = c->state != CHANGE_WAITING ? "over"
            : by.v == c->of.v          ? "own"
            : by.v == c->by.v          ? "asked_by_you"
            : !may                     ? "not_agreed"
            : !c->asker_counts         ? "asker"
            : c->disabled              ? "account_disabled"
            : !c->signed_in            ? "not_signed_in"
                                       : NULL;
    return e;
}

enum err change_second_persons(struct store *st, void *ctx, const struct change_row *c,
                               struct change_person **out, size_t *n)
{
    struct query q;
    size_t cap = 0;
    *out = NULL;
    *n = 0;
    if (!c->asker_counts || c->disabled) {
        return OK;
    }
    query_begin(&q, st, &changes_view_stmts, SECOND_PERSONS);
    query_int(&q, ":of", c->of.v);
    query_int(&q, ":by", c->by.v);
    while (query_row(&q)) {
        mem_grow(ctx, *out, *n, &cap);
        (*out)[(*n)++] = (struct change_person){{col_int(&q, 0)}, col_text(&q, 1, ctx)};
    }
    return query_end(&q);
}

enum err change_holders(struct store *st, void *ctx, int32_t today, struct change_holder **out,
                        size_t *n)
{
    struct query q;
    size_t cap = 0;
    bool known = true;
    *out = NULL;
    *n = 0;
    query_begin(&q, st, &changes_view_stmts, HOLDERS);
    query_int(&q, ":today", today);
    while (known && query_row(&q)) {
        mem_grow(ctx, *out, *n, &cap);
        struct change_holder *h = &(*out)[(*n)++];
        *h = (struct change_holder){
            .staff = {col_int(&q, 0)},
            .name = col_text(&q, 1, ctx),
            .in = {col_int(&q, 3)},
            .class_name = col_text(&q, 4, ctx),
            .agreed = col_int(&q, 5) != 0,
            .sure = col_int(&q, 6) != 0,
            .agreed_at = col_int(&q, 7),
            .opened_at = col_int(&q, 8),
        };
        known = change_kind_parse(col_text(&q, 2, ctx), &h->right);
    }
    enum err e = query_end(&q);
    return e != OK || known ? e : ERR_STORE;
}
