/* SPDX-License-Identifier: MIT
 * What waits for a look. The rule of the state is hand_in_state_of; HAND_IN_WAITS is the same in
 * SQL; tests/http/to-check.test.mjs holds the two together. */
#include "store/waiting.h"

#include "base/mem.h"
#include "classes_internal.h"
#include "hand_ins_internal.h"
#include "store/query.h"

#define WAITING_FROM                                                                             \
    " FROM class c CROSS JOIN challenge_class cc ON cc.class_id = c.id"                          \
    " CROSS JOIN membership m ON m.class_id = c.id CROSS JOIN pupil p ON p.id = m.pupil_id"      \
    " CROSS JOIN hand_in h ON h.challenge_id = cc.challenge_id AND h.pupil_id = p.id"            \
    " WHERE c.archived_at IS NULL AND " IN_CLASS_TODAY " AND " HAND_IN_WAITS
#define MINE                                                                                     \
    " AND (:all OR EXISTS (SELECT 1 FROM class_right cr WHERE cr.class_id = c.id"                \
    " AND cr.staff_id = :staff AND cr.right = 'teach' AND " RIGHT_HOLDS("cr") "))"

enum { LIST, COUNT, IN_CLASS };

static const struct stmt_def defs[] = {
    /* of the classes of one hand-in, the columns are those of the row with the least name */
    [LIST] = {"waiting list",
        "SELECT min(c.kind || ' ' || c.name_key), c.id, c.name, p.id, p.display_name, h.seq,"
        " " HAND_IN_LAST_MARK " IS 'mistake'" WAITING_FROM MINE
        " GROUP BY h.seq ORDER BY 1, c.id, p.name_key COLLATE by_name, p.id, h.seq"
        " /*scan: the classes of the school*/"},
    [COUNT] = {"waiting count",
        "SELECT count(DISTINCT h.seq)" WAITING_FROM MINE " /*scan: the classes of the school*/"},
    [IN_CLASS] = {"waiting in class",
        "SELECT count(DISTINCT h.seq)" WAITING_FROM " AND c.id = :class"},
};
const struct stmt_set waiting_stmts = {"waiting", defs, sizeof defs / sizeof *defs};

static void whose(struct query *q, const struct waiting_ask *ask)
{
    query_int(q, ":staff", ask->staff.v);
    query_int(q, ":all", ask->all);
    query_int(q, ":today", ask->today);
}

enum err waiting_list(struct store *st, void *ctx, const struct waiting_ask *ask,
                      struct waiting_row **out, size_t *n)
{
    struct query q;
    size_t cap = 0;
    *out = NULL;
    *n = 0;
    query_begin(&q, st, &waiting_stmts, LIST);
    whose(&q, ask);
    while (query_row(&q)) {
        mem_grow(ctx, *out, *n, &cap);
        (*out)[(*n)++] = (struct waiting_row){
            .class_id = {col_int(&q, 1)},
            .class_name = col_text(&q, 2, ctx),
            .pupil = {col_int(&q, 3)},
            .pupil_name = col_text(&q, 4, ctx),
            .seq = col_int(&q, 5),
            .mistake = col_int(&q, 6) != 0,
        };
    }
    return query_end(&q);
}

enum err waiting_count(struct store *st, const struct waiting_ask *ask, int64_t *out)
{
    struct query q;
    *out = 0;
    query_begin(&q, st, &waiting_stmts, COUNT);
    whose(&q, ask);
    if (query_row(&q)) {
        *out = col_int(&q, 0);
    }
    return query_end(&q);
}

enum err waiting_in_class(struct store *st, struct class_id id, int32_t today, int64_t *out)
{
    struct query q;
    *out = 0;
    query_begin(&q, st, &waiting_stmts, IN_CLASS);
    query_int(&q, ":class", id.v);
    query_int(&q, ":today", today);
    if (query_row(&q)) {
        *out = col_int(&q, 0);
    }
    return query_end(&q);
}
