/* SPDX-License-Identifier: MIT
 * Second views.
 *
 * Owns: every statement on second_view. Invariants: a view is given once and agreed on once, by
 * WHERE clauses that find nothing the second time; one a person, child and unit (UNIQUE); an
 * agreement keeps the assessment that held then, so a later change of mind does not rewrite what
 * the two looks were. */
#include "store/second_views.h"

#include "base/mem.h"
#include "store/query.h"

enum {
    GET, OF_CLASS, ASKED_OF, OF_PUPIL, ASK, GIVE, WITHDRAW, AGREE, MAY_ASK, BLIND, SECOND_STMTS
};

#define COLUMNS \
    "v.id, v.unit_id, u.name, v.pupil_id, p.display_name, v.asked_of, s.name, v.asked_by, b.name," \
    " v.asked_day, v.band, v.given_day, (SELECT a.band FROM assessment a" \
    " WHERE a.unit_id = v.unit_id AND a.pupil_id = v.pupil_id ORDER BY a.id DESC LIMIT 1)," \
    " v.first_band, v.agreed_band, v.agreed_day"
#define OTHERS \
    " JOIN unit u ON u.id = v.unit_id JOIN pupil p ON p.id = v.pupil_id" \
    " JOIN staff s ON s.id = v.asked_of JOIN staff b ON b.id = v.asked_by"

static const struct stmt_def defs[] = {
    [GET] = {"second view get",
        "SELECT " COLUMNS " FROM second_view v" OTHERS " WHERE v.id = :id"},
    [OF_CLASS] = {"second views of class",
        "SELECT " COLUMNS " FROM membership m JOIN second_view v ON v.pupil_id = m.pupil_id" OTHERS
        " WHERE m.class_id = :class AND m.from_day <= :today"
        " AND (m.to_day IS NULL OR m.to_day >= :today) AND v.unit_id = :unit"
        " ORDER BY p.name_key COLLATE by_name, p.id, s.name_key, v.id"},
    [ASKED_OF] = {"second views asked of",
        "SELECT " COLUMNS " FROM second_view v" OTHERS
        " WHERE v.asked_of = :staff AND v.band IS NULL"
        " ORDER BY u.name, p.name_key COLLATE by_name, v.id"},
    [OF_PUPIL] = {"second views of pupil",
        "SELECT " COLUMNS " FROM second_view v" OTHERS
        " WHERE v.pupil_id = :pupil ORDER BY v.asked_day, u.name, s.name_key"},
    [ASK] = {"second view ask",
        "INSERT INTO second_view (id, unit_id, pupil_id, asked_of, asked_by, asked_day)"
        " VALUES (:id, :unit, :pupil, :of, :by, :day)"},
    [GIVE] = {"second view give",
        "UPDATE second_view SET band = :band, given_day = :day WHERE id = :id AND band IS NULL"},
    [WITHDRAW] = {"second view withdraw",
        "DELETE FROM second_view WHERE id = :id AND band IS NULL"},
    [AGREE] = {"second view agree",
        "UPDATE second_view SET first_band = :first, agreed_band = :band, agreed_by = :by,"
        " agreed_day = :day WHERE id = :id AND band IS NOT NULL AND agreed_band IS NULL"},
    [MAY_ASK] = {"second view may ask",
        "SELECT s.id, s.name FROM staff s WHERE s.disabled_at IS NULL AND s.id <> :but AND"
        " (EXISTS (SELECT 1 FROM class_right r WHERE r.class_id = :class AND r.staff_id = s.id"
        " AND r.right IN ('teach', 'read') AND (r.until_day IS NULL OR r.until_day >= :today))"
        " OR EXISTS (SELECT 1 FROM staff_right l WHERE l.staff_id = s.id AND l.right = 'pe_lead'))"
        " ORDER BY s.name_key /*scan: the staff of one school*/"},
    [BLIND] = {"second views owed",
        "SELECT unit_id, pupil_id FROM second_view WHERE asked_of = :staff AND band IS NULL"},
};

const struct stmt_set second_views_stmts = {"second_views", defs, SECOND_STMTS};

static int band_or_none(struct query *q, int i)
{
    return col_null(q, i) ? -1 : (int)col_int(q, i);
}

static void read_row(struct query *q, void *ctx, struct second_view *v)
{
    *v = (struct second_view){
        .id = col_int(q, 0),
        .unit = {col_int(q, 1)},
        .unit_name = col_text(q, 2, ctx),
        .pupil = {col_int(q, 3)},
        .display_name = col_text(q, 4, ctx),
        .asked_of = {col_int(q, 5)},
        .asked_of_name = col_text(q, 6, ctx),
        .asked_by = {col_int(q, 7)},
        .asked_by_name = col_text(q, 8, ctx),
        .asked_day = (int32_t)col_int(q, 9),
        .band = band_or_none(q, 10),
        .given_day = (int32_t)col_int(q, 11),
        .now_band = band_or_none(q, 12),
        .first_band = band_or_none(q, 13),
        .agreed_band = band_or_none(q, 14),
        .agreed_day = (int32_t)col_int(q, 15),
    };
}

static enum err read_list(struct query *q, void *ctx, struct second_view_list *out)
{
    size_t cap = 0;
    *out = (struct second_view_list){0};
    while (query_row(q)) {
        mem_grow(ctx, out->v, out->n, &cap);
        read_row(q, ctx, &out->v[out->n++]);
    }
    return query_end(q);
}

enum err second_view_get(struct store *st, void *ctx, int64_t id, struct second_view *out)
{
    struct query q;
    bool found = false;
    query_begin(&q, st, &second_views_stmts, GET);
    query_int(&q, ":id", id);
    while (query_row(&q)) {
        read_row(&q, ctx, out);
        found = true;
    }
    enum err e = query_end(&q);
    return e == OK && !found ? ERR_NOT_FOUND : e;
}

enum err second_views_of_class(struct store *st, void *ctx, const struct unit_class *k,
                               struct second_view_list *out)
{
    struct query q;
    query_begin(&q, st, &second_views_stmts, OF_CLASS);
    query_int(&q, ":class", k->cls.v);
    query_int(&q, ":today", k->today);
    query_int(&q, ":unit", k->unit.v);
    return read_list(&q, ctx, out);
}

enum err second_views_asked_of(struct store *st, void *ctx, struct staff_id staff,
                               struct second_view_list *out)
{
    struct query q;
    query_begin(&q, st, &second_views_stmts, ASKED_OF);
    query_int(&q, ":staff", staff.v);
    return read_list(&q, ctx, out);
}

enum err second_views_of_pupil(struct store *st, void *ctx, struct pupil_id pupil,
                               struct second_view_list *out)
{
    struct query q;
    query_begin(&q, st, &second_views_stmts, OF_PUPIL);
    query_int(&q, ":pupil", pupil.v);
    return read_list(&q, ctx, out);
}

enum err second_view_ask(struct store *st, const struct second_view_new *n, int64_t *id)
{
    struct query q;
    *id = store_id_new();
    query_begin(&q, st, &second_views_stmts, ASK);
    query_int(&q, ":id", *id);
    query_int(&q, ":unit", n->unit.v);
    query_int(&q, ":pupil", n->pupil.v);
    query_int(&q, ":of", n->asked_of.v);
    query_int(&q, ":by", n->asked_by.v);
    query_int(&q, ":day", n->day);
    return query_run(&q);
}

enum err second_view_give(struct store *st, int64_t id, int band, int32_t day)
{
    struct query q;
    query_begin(&q, st, &second_views_stmts, GIVE);
    query_int(&q, ":id", id);
    query_int(&q, ":band", band);
    query_int(&q, ":day", day);
    return query_run_one(&q);
}

enum err second_view_withdraw(struct store *st, int64_t id)
{
    struct query q;
    query_begin(&q, st, &second_views_stmts, WITHDRAW);
    query_int(&q, ":id", id);
    return query_run_one(&q);
}

enum err second_view_agree(struct store *st, const struct second_view_agree *a)
{
    struct query q;
    query_begin(&q, st, &second_views_stmts, AGREE);
    query_int(&q, ":id", a->id);
    query_int(&q, ":first", a->first_band);
    query_int(&q, ":band", a->band);
    query_int(&q, ":by", a->by.v);
    query_int(&q, ":day", a->day);
    return query_run_one(&q);
}

enum err second_view_may_ask(struct store *st, void *ctx, const struct second_view_may *may,
                             struct second_view_people *out)
{
    struct query q;
    size_t cap = 0;
    *out = (struct second_view_people){0};
    query_begin(&q, st, &second_views_stmts, MAY_ASK);
    query_int(&q, ":class", may->cls.v);
    query_int(&q, ":today", may->today);
    query_int(&q, ":but", may->but.v);
    while (query_row(&q)) {
        mem_grow(ctx, out->v, out->n, &cap);
        out->v[out->n++] =
            (struct second_view_person){{col_int(&q, 0)}, col_text(&q, 1, ctx)};
    }
    return query_end(&q);
}

enum err second_blind_of(struct store *st, void *ctx, struct staff_id staff,
                         struct second_blind_list *out)
{
    struct query q;
    size_t cap = 0;
    *out = (struct second_blind_list){0};
    if (staff.v == 0) {
        return OK;
    }
    query_begin(&q, st, &second_views_stmts, BLIND);
    query_int(&q, ":staff", staff.v);
    while (query_row(&q)) {
        mem_grow(ctx, out->v, out->n, &cap);
        out->v[out->n++] = (struct second_blind){{col_int(&q, 0)}, {col_int(&q, 1)}};
    }
    return query_end(&q);
}

bool second_view_hides(const struct second_blind_list *from, struct unit_id unit,
                       struct pupil_id pupil)
{
    for (size_t i = 0; i < from->n; i++) {
        if (from->v[i].unit.v == unit.v && from->v[i].pupil.v == pupil.v) {
            return true;
        }
    }
    return false;
}

bool second_view_hides_some(const struct second_blind_list *from, struct pupil_id pupil)
{
    for (size_t i = 0; i < from->n; i++) {
        if (from->v[i].pupil.v == pupil.v) {
            return true;
        }
    }
    return false;
}
