/* SPDX-License-Identifier: MIT
 * Counts by year group. Reads pupils, hand-ins and statements; owns no table. */
#include "store/head_counts.h"

#include "base/mem.h"
#include "store/query.h"

enum { RETURNS, STATEMENTS };

static const struct stmt_def defs[] = {
    [RETURNS] = {"head returns",
        "SELECT p.year_group, count(*), sum(EXISTS (SELECT 1 FROM hand_in h"
        " WHERE h.pupil_id = p.id AND h.could_not IS NULL AND h.done_day BETWEEN :from AND :to"
        " AND coalesce((SELECT k.mark FROM hand_in_mark k WHERE k.hand_in_seq = h.seq"
        " ORDER BY k.id DESC LIMIT 1), '') NOT IN ('set_aside', 'mistake')))"
        " FROM pupil p WHERE p.left_day IS NULL GROUP BY p.year_group ORDER BY p.year_group"
        " /*scan: the whole school, asked by hand*/"},
    [STATEMENTS] = {"head statements",
        "SELECT id, text, year_group, count(*), sum(met IS 1), sum(met IS 0) FROM ("
        "SELECT s.id, s.text, s.position, p.year_group, (SELECT t.met FROM statement_tick t"
        " WHERE t.pupil_id = p.id AND t.statement_id = s.id ORDER BY t.id DESC LIMIT 1) AS met"
        " FROM statement s CROSS JOIN pupil p WHERE s.area = 'swimming'"
        " AND s.archived_at IS NULL AND p.left_day IS NULL)"
        " GROUP BY position, id, year_group ORDER BY position, id, year_group"
        " /*scan: the whole school, asked by hand*/"},
};

const struct stmt_set head_counts_stmts = {"head_counts", defs, sizeof defs / sizeof *defs};

static int year_of(struct query *q, int i)
{
    return col_null(q, i) ? HEAD_NO_YEAR : (int)col_int(q, i);
}

enum err head_returns(struct store *st, void *ctx, int32_t from, int32_t to,
                      struct head_rows *out)
{
    struct query q;
    size_t cap = 0;
    *out = (struct head_rows){0};
    query_begin(&q, st, &head_counts_stmts, RETURNS);
    query_int(&q, ":from", from);
    query_int(&q, ":to", to);
    while (query_row(&q)) {
        mem_grow(ctx, out->v, out->n, &cap);
        out->v[out->n++] = (struct head_row){
            .year_group = year_of(&q, 0), .pupils = (int)col_int(&q, 1),
            .yes = (int)col_int(&q, 2),
        };
    }
    return query_end(&q);
}

enum err head_statements(struct store *st, void *ctx, struct head_rows *out)
{
    struct query q;
    size_t cap = 0;
    *out = (struct head_rows){0};
    query_begin(&q, st, &head_counts_stmts, STATEMENTS);
    while (query_row(&q)) {
        mem_grow(ctx, out->v, out->n, &cap);
        out->v[out->n++] = (struct head_row){
            .statement = col_int(&q, 0), .text = col_text(&q, 1, ctx),
            .year_group = year_of(&q, 2), .pupils = (int)col_int(&q, 3),
            .yes = (int)col_int(&q, 4), .not_yet = (int)col_int(&q, 5),
        };
    }
    return query_end(&q);
}
