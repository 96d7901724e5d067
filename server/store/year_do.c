/* SPDX-License-Identifier: MIT
 * Doing what was planned for the end of the school year, in the caller's transaction.
 *
 * Owns no table: classes.h and pupils.h do the work, so that a child moved here is a child moved
 * like any other (spans, cards, sessions). Names are put aside first, because "3 Alder" becomes
 * "4 Alder" while there still is one. */
#include <string.h>

#include "base/clock.h"
#include "base/mem.h"
#include "store/classes.h"
#include "store/query.h"
#include "year_internal.h"

enum { NAME_ASIDE, ALONE };

#define IN_CLASS_TODAY \
    "SELECT 1 FROM membership m JOIN class c ON c.id = m.class_id WHERE m.pupil_id = p.id" \
    " AND c.kind = 'class' AND c.archived_at IS NULL AND m.from_day <= :today" \
    " AND (m.to_day IS NULL OR m.to_day >= :today)"

static const struct stmt_def defs[] = {
    /* No folded name has a tab in it. */
    [NAME_ASIDE] = {"class name aside",
                    "UPDATE class SET name_key = char(9) || id WHERE id = :class"},
    [ALONE] = {"pupils in no class",
               "SELECT p.id, p.display_name, p.year_group FROM pupil p"
               " WHERE (p.left_day IS NULL OR p.left_day > :today) AND NOT EXISTS"
               " (" IN_CLASS_TODAY ") ORDER BY p.name_key COLLATE by_name, p.id"
               " /*scan: every child of the school is looked at*/"},
};
const struct stmt_set year_stmts = {"year", defs, sizeof defs / sizeof *defs};

static enum err load_alone(struct store *st, void *ctx, struct year_plan *p)
{
    struct query q;
    size_t cap = 0;
    query_begin(&q, st, &year_stmts, ALONE);
    query_int(&q, ":today", p->today);
    while (query_row(&q)) {
        mem_grow(ctx, p->alone, p->alone_count, &cap);
        p->alone[p->alone_count++] = (struct pupil_row){
            .id = {col_int(&q, 0)},
            .display_name = col_text(&q, 1, ctx),
            .year_group = col_null(&q, 2) ? PUPIL_NO_YEAR : (int)col_int(&q, 2),
        };
    }
    return query_end(&q);
}

enum err year_load(struct store *st, void *ctx, int top, int64_t now, struct year_plan *out)
{
    *out = (struct year_plan){.top = top, .today = clock_day(now)};
    enum err e = year_plan_classes(st, ctx, out);
    return e == OK ? load_alone(st, ctx, out) : e;
}

static enum err put_aside(struct store *st, struct class_id id)
{
    struct query q;
    query_begin(&q, st, &year_stmts, NAME_ASIDE);
    query_int(&q, ":class", id.v);
    return query_run_one(&q);
}

static enum err do_names(struct store *st, const struct year_plan *p, int64_t now)
{
    enum err e = OK;
    for (size_t i = 0; e == OK && i < p->n; i++) {
        const struct year_class *c = &p->classes[i];
        if (c->archive) {
            e = class_archive(st, c->id, now);
        } else if (strcmp(c->name, c->next_name) != 0) {
            e = put_aside(st, c->id);
        }
    }
    for (size_t i = 0; e == OK && i < p->n; i++) {
        const struct year_class *c = &p->classes[i];
        if (!c->archive && strcmp(c->name, c->next_name) != 0) {
            e = class_rename(st, c->id, c->next_name);
        }
    }
    return e;
}

static enum err do_child(struct store *st, const struct year_plan *p, const struct year_part *part,
                         const struct pupil_row *child, int64_t now)
{
    enum err e = OK;
    if (part->to == YEAR_LEAVE) {
        return pupil_leave(st, child->id, p->today, now);
    }
    if (part->to == YEAR_GO) {
        e = pupil_move(st, child->id, p->classes[part->into].id, p->today);
    }
    return e == OK && part->year != PUPIL_NO_YEAR ? pupil_year_put(st, child->id, part->year + 1)
                                                  : e;
}

enum err year_do(struct store *st, const struct year_plan *p, int64_t now)
{
    enum err e = p->problem_count > 0 ? ERR_CONFLICT : do_names(st, p, now);
    for (size_t i = 0; e == OK && i < p->n; i++) {
        for (size_t j = 0; e == OK && j < p->classes[i].part_count; j++) {
            const struct year_part *part = &p->classes[i].parts[j];
            for (size_t k = 0; e == OK && k < part->n; k++) {
                e = do_child(st, p, part, &part->children[k], now);
            }
        }
    }
    return e;
}
