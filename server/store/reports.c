/* SPDX-License-Identifier: MIT
 * Report drafts in the database.
 *
 * Owns: table report. Invariants: at most one draft a child and unit; never an empty one. */
#include "store/reports.h"

#include "base/mem.h"
#include "store/query.h"

enum { GET, PUT, TAKE_AWAY, OF_CLASS, OF_PUPIL, DONE, LEFT };

#define MEMBERS                                                                     \
    " membership m WHERE m.class_id = :class AND m.from_day <= :today"              \
    " AND (m.to_day IS NULL OR m.to_day >= :today)"

static const struct stmt_def defs[] = {
    [GET] = {"report get",
        "SELECT text, by_staff, on_day FROM report WHERE pupil_id = :pupil AND unit_id = :unit"},
    [PUT] = {"report put",
        "INSERT INTO report (unit_id, pupil_id, text, by_staff, on_day)"
        " VALUES (:unit, :pupil, :text, :by, :day) ON CONFLICT (pupil_id, unit_id)"
        " DO UPDATE SET text = excluded.text, by_staff = excluded.by_staff,"
        " on_day = excluded.on_day"},
    [TAKE_AWAY] = {"report take away",
        "DELETE FROM report WHERE pupil_id = :pupil AND unit_id = :unit"},
    [OF_CLASS] = {"reports of class",
        "SELECT DISTINCT p.id, p.display_name, r.text, r.by_staff, r.on_day, s.name,"
        " p.name_key"
        " FROM membership m JOIN pupil p ON p.id = m.pupil_id AND p.left_day IS NULL"
        " LEFT JOIN report r ON r.pupil_id = p.id AND r.unit_id = :unit"
        " LEFT JOIN staff s ON s.id = r.by_staff"
        " WHERE m.class_id = :class AND m.from_day <= :today"
        " AND (m.to_day IS NULL OR m.to_day >= :today)"
        " ORDER BY p.name_key COLLATE by_name, p.id"},
    [OF_PUPIL] = {"reports of pupil",
        "SELECT r.unit_id, u.name, r.text, r.by_staff, r.on_day FROM report r"
        " JOIN unit u ON u.id = r.unit_id WHERE r.pupil_id = :pupil ORDER BY r.on_day, r.unit_id"},
    [LEFT] = {"reports left",
        "SELECT count(*) FROM report WHERE unit_id = :unit"
        " AND pupil_id IN (SELECT m.pupil_id FROM" MEMBERS ")"},
    [DONE] = {"reports done",
        "DELETE FROM report WHERE unit_id = :unit"
        " AND pupil_id IN (SELECT m.pupil_id FROM" MEMBERS ")"},
};

const struct stmt_set reports_stmts = {"reports", defs, sizeof defs / sizeof *defs};

enum err report_get(struct store *st, void *ctx, struct unit_id u, struct pupil_id p,
                    struct report *out)
{
    struct query q;
    *out = (struct report){.unit = u, .pupil = p};
    query_begin(&q, st, &reports_stmts, GET);
    query_int(&q, ":unit", u.v);
    query_int(&q, ":pupil", p.v);
    while (query_row(&q)) {
        out->text = col_text(&q, 0, ctx);
        out->by.v = col_int(&q, 1);
        out->on_day = (int32_t)col_int(&q, 2);
    }
    return query_end(&q);
}

enum err report_put(struct store *st, const struct report *r)
{
    struct query q;
    const bool some = r->text && *r->text;
    query_begin(&q, st, &reports_stmts, some ? PUT : TAKE_AWAY);
    query_int(&q, ":unit", r->unit.v);
    query_int(&q, ":pupil", r->pupil.v);
    if (some) {
        query_text(&q, ":text", r->text);
        query_int(&q, ":by", r->by.v);
        query_int(&q, ":day", r->on_day);
    }
    return query_run(&q);
}

static void begin_class(struct query *q, struct store *st, size_t stmt,
                        const struct report_class *k)
{
    query_begin(q, st, &reports_stmts, stmt);
    query_int(q, ":unit", k->unit.v);
    query_int(q, ":class", k->cls.v);
    query_int(q, ":today", k->today);
}

enum err reports_of_class(struct store *st, void *ctx, const struct report_class *k,
                          struct report_list *out)
{
    struct query q;
    size_t cap = 0;
    *out = (struct report_list){0};
    begin_class(&q, st, OF_CLASS, k);
    while (query_row(&q)) {
        mem_grow(ctx, out->v, out->n, &cap);
        out->v[out->n++] = (struct report){
            .unit = k->unit, .pupil = {col_int(&q, 0)}, .display_name = col_text(&q, 1, ctx),
            .text = col_text(&q, 2, ctx), .by = {col_int(&q, 3)},
            .on_day = (int32_t)col_int(&q, 4), .by_name = col_text(&q, 5, ctx),
        };
    }
    return query_end(&q);
}

enum err reports_of_pupil(struct store *st, void *ctx, struct pupil_id p, struct report_list *out)
{
    struct query q;
    size_t cap = 0;
    *out = (struct report_list){0};
    query_begin(&q, st, &reports_stmts, OF_PUPIL);
    query_int(&q, ":pupil", p.v);
    while (query_row(&q)) {
        mem_grow(ctx, out->v, out->n, &cap);
        out->v[out->n++] = (struct report){
            .unit = {col_int(&q, 0)}, .pupil = p, .unit_name = col_text(&q, 1, ctx),
            .text = col_text(&q, 2, ctx), .by = {col_int(&q, 3)},
            .on_day = (int32_t)col_int(&q, 4),
        };
    }
    return query_end(&q);
}

enum err reports_done(struct store *st, const struct report_class *k, int64_t *gone)
{
    struct query q;
    *gone = 0;
    begin_class(&q, st, LEFT, k);
    while (query_row(&q)) {
        *gone = col_int(&q, 0);
    }
    enum err e = query_end(&q);
    if (e != OK) {
        return e;
    }
    begin_class(&q, st, DONE, k);
    return query_run(&q);
}
