/* SPDX-License-Identifier: MIT
 * Rows of the audit trail. Triggers of the schema refuse to change or delete one; what a row's MAC
 * covers is known to auth/audit.c alone. Ids and fixed words, never a name: erasing a child leaves
 * the trail as it is. */
#include "store/audit.h"

#include <string.h>

#include "base/mem.h"
#include "store/query.h"

enum { LAST, INSERT, WALK, PAGE, OF_ACTION };

static const struct stmt_def defs[] = {
    [LAST] = {"audit last", "SELECT seq, mac FROM audit /*scan: one row*/"
                            " ORDER BY seq DESC LIMIT 1"},
    [INSERT] = {"audit insert", "INSERT INTO audit(seq, at, actor, action, object, code, mac)"
                                " VALUES (:seq, :at, :actor, :action, :object, :code, :mac)"},
    [WALK] = {"audit walk", "SELECT seq, at, actor, action, object, code, mac"
                            " FROM audit /*scan: the chain is checked whole*/ ORDER BY seq"},
    [PAGE] = {"audit page", "SELECT seq, at, actor, action, object, code, mac FROM audit"
                            " WHERE seq < :before ORDER BY seq DESC LIMIT :max"},
    [OF_ACTION] = {"audit of action", "SELECT seq, at, actor, action, object, code, mac FROM audit"
                                      " WHERE action = :action ORDER BY seq DESC LIMIT 20"
                                      " /*scan: asked a few times a year*/"},
};
const struct stmt_set audit_stmts = {"audit", defs, sizeof defs / sizeof *defs};

static void read_mac(struct query *q, int column, uint8_t mac[static 32])
{
    size_t n = 0;
    const void *p = col_blob(q, column, &n);

    memset(mac, 0, 32);
    if (p && n == 32) {
        memcpy(mac, p, 32);
    }
}

static void read_row(struct query *q, void *ctx, struct audit_row *out)
{
    out->seq = col_int(q, 0);
    out->at = col_int(q, 1);
    out->actor = col_text(q, 2, ctx);
    out->action = col_text(q, 3, ctx);
    out->object = col_text(q, 4, ctx);
    out->code = col_text(q, 5, ctx);
    read_mac(q, 6, out->mac);
}

enum err audit_last(struct store *st, int64_t *seq, uint8_t mac[static 32])
{
    struct query q;

    *seq = 0;
    memset(mac, 0, 32);
    query_begin(&q, st, &audit_stmts, LAST);
    if (query_row(&q)) {
        *seq = col_int(&q, 0);
        read_mac(&q, 1, mac);
    }
    return query_end(&q);
}

enum err audit_insert(struct store *st, const struct audit_row *row)
{
    struct query q;

    query_begin(&q, st, &audit_stmts, INSERT);
    query_int(&q, ":seq", row->seq);
    query_int(&q, ":at", row->at);
    query_text(&q, ":actor", row->actor);
    query_text(&q, ":action", row->action);
    query_text(&q, ":object", row->object);
    query_text(&q, ":code", row->code);
    query_blob(&q, ":mac", row->mac, sizeof row->mac);
    return query_run(&q);
}

enum err audit_walk(struct store *st, audit_each *each, void *arg)
{
    struct query q;
    bool more = true;

    query_begin(&q, st, &audit_stmts, WALK);
    while (more && query_row(&q)) {
        struct audit_row row;
        void *ctx = mem_root();
        read_row(&q, ctx, &row);
        more = each(arg, &row);
        talloc_free(ctx);
    }
    return query_end(&q);
}

enum err audit_page(struct store *st, void *ctx, int64_t before, size_t max,
                    struct audit_row **out, size_t *n)
{
    struct query q;

    *out = mem_array(ctx, struct audit_row, max);
    *n = 0;
    query_begin(&q, st, &audit_stmts, PAGE);
    query_int(&q, ":before", before > 0 ? before : INT64_MAX);
    query_int(&q, ":max", (int64_t)max);
    while (*n < max && query_row(&q)) {
        read_row(&q, ctx, &(*out)[(*n)++]);
    }
    return query_end(&q);
}

enum err audit_of_action(struct store *st, void *ctx, const char *action, struct audit_row **out,
                         size_t *n)
{
    struct query q;
    size_t cap = 0;

    *out = NULL;
    *n = 0;
    query_begin(&q, st, &audit_stmts, OF_ACTION);
    query_text(&q, ":action", action);
    while (query_row(&q)) {
        mem_grow(ctx, *out, *n, &cap);
        read_row(&q, ctx, &(*out)[(*n)++]);
    }
    return query_end(&q);
}
