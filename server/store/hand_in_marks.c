/* SPDX-License-Identifier: MIT
 * Marks on hand-ins: only ever added, the last one holds. The schema keeps a child's mark to
 * "mistake" and demands a reason for setting aside. */
#include "store/hand_in_marks.h"

#include "base/mem.h"
#include "store/query.h"

const char *const hand_in_reason_words[] = {"child_says",    "not_possible", "wrong_child",
                                            "entered_twice", "not_as_set",   "other_evidence",
                                            "mistyped",      NULL};

enum { ADD, OF };

static const struct stmt_def defs[] = {
    [ADD] = {"mark add",
        "INSERT INTO hand_in_mark (hand_in_seq, mark, reason, by_staff, at)"
        " VALUES (:seq, :mark, :reason, :by, :at)"},
    [OF] = {"marks of hand-in",
        "SELECT k.mark, k.reason, k.by_staff, s.name, k.at FROM hand_in_mark k"
        " LEFT JOIN staff s ON s.id = k.by_staff WHERE k.hand_in_seq = :seq ORDER BY k.id"},
};

const struct stmt_set hand_in_marks_stmts = {"hand_in_marks", defs, sizeof defs / sizeof *defs};

enum err hand_in_mark_add(struct store *st, const struct hand_in_mark *m)
{
    struct query q;
    query_begin(&q, st, &hand_in_marks_stmts, ADD);
    query_int(&q, ":seq", m->hand_in_seq);
    query_text(&q, ":mark", m->mark);
    query_text(&q, ":reason", m->reason);
    query_int_or_null(&q, ":by", m->by.v != 0, m->by.v);
    query_int(&q, ":at", m->at);
    return query_run(&q);
}

enum err hand_in_marks_of(struct store *st, void *ctx, int64_t hand_in_seq,
                          struct hand_in_mark_list *out)
{
    size_t cap = 0;
    *out = (struct hand_in_mark_list){0};
    struct query q;
    query_begin(&q, st, &hand_in_marks_stmts, OF);
    query_int(&q, ":seq", hand_in_seq);
    while (query_row(&q)) {
        mem_grow(ctx, out->v, out->n, &cap);
        out->v[out->n++] = (struct hand_in_mark){
            .hand_in_seq = hand_in_seq,
            .mark = col_text(&q, 0, ctx),
            .reason = col_text(&q, 1, ctx),
            .by = {col_int(&q, 2)},
            .by_name = col_text(&q, 3, ctx),
            .at = col_int(&q, 4),
        };
    }
    return query_end(&q);
}
