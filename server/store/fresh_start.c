/* SPDX-License-Identifier: MIT
 * The day from which a pupil's bests and gains count.
 *
 * Owns: every statement on fresh_start. Invariants: at most one row a pupil, and it goes with the
 * pupil; a row only ever narrows what is compared, so taking it back shows again all there was. */
#include "store/fresh_start.h"

#include "base/mem.h"
#include "store/query.h"

enum { GET, OF_CLASS, SET, CLEAR, FRESH_STMTS };

static const struct stmt_def defs[] = {
    [GET] = {"fresh start get", "SELECT from_day FROM fresh_start WHERE pupil_id = :pupil"},
    [OF_CLASS] = {"fresh starts of class",
        "SELECT DISTINCT f.pupil_id, f.from_day FROM membership m"
        " JOIN fresh_start f ON f.pupil_id = m.pupil_id"
        " WHERE m.class_id = :class AND m.from_day <= :today"
        " AND (m.to_day IS NULL OR m.to_day >= :today) ORDER BY f.pupil_id"},
    [SET] = {"fresh start set",
        "INSERT INTO fresh_start (pupil_id, from_day, by_staff, set_day)"
        " VALUES (:pupil, :from, :by, :day) ON CONFLICT (pupil_id) DO UPDATE"
        " SET from_day = excluded.from_day, by_staff = excluded.by_staff,"
        " set_day = excluded.set_day"},
    [CLEAR] = {"fresh start clear", "DELETE FROM fresh_start WHERE pupil_id = :pupil"},
};

const struct stmt_set fresh_start_stmts = {"fresh_start", defs, FRESH_STMTS};

enum err fresh_start_get(struct store *st, struct pupil_id pupil, int32_t *from_day)
{
    struct query q;
    *from_day = 0;
    query_begin(&q, st, &fresh_start_stmts, GET);
    query_int(&q, ":pupil", pupil.v);
    while (query_row(&q)) {
        *from_day = (int32_t)col_int(&q, 0);
    }
    return query_end(&q);
}

enum err fresh_start_from(struct store *st, struct pupil_id pupil, int32_t from_day, int32_t *out)
{
    enum err e = fresh_start_get(st, pupil, out);
    *out = *out > from_day ? *out : from_day;
    return e;
}

enum err fresh_start_of_class(struct store *st, void *ctx, const struct fresh_start_ask *ask,
                              struct fresh_start_list *out)
{
    struct query q;
    size_t cap = 0;
    *out = (struct fresh_start_list){0};
    query_begin(&q, st, &fresh_start_stmts, OF_CLASS);
    query_int(&q, ":class", ask->cls.v);
    query_int(&q, ":today", ask->today);
    while (query_row(&q)) {
        mem_grow(ctx, out->v, out->n, &cap);
        out->v[out->n++] =
            (struct fresh_start){{col_int(&q, 0)}, (int32_t)col_int(&q, 1)};
    }
    return query_end(&q);
}

int32_t fresh_start_in(const struct fresh_start_list *list, struct pupil_id pupil)
{
    size_t low = 0, high = list->n;
    while (low < high) {
        size_t mid = low + (high - low) / 2;
        if (list->v[mid].pupil.v < pupil.v) {
            low = mid + 1;
        } else {
            high = mid;
        }
    }
    return low < list->n && list->v[low].pupil.v == pupil.v ? list->v[low].from_day : 0;
}

enum err fresh_start_set(struct store *st, const struct fresh_start_set *s)
{
    struct query q;
    query_begin(&q, st, &fresh_start_stmts, SET);
    query_int(&q, ":pupil", s->pupil.v);
    query_int(&q, ":from", s->from_day);
    query_int(&q, ":by", s->by.v);
    query_int(&q, ":day", s->set_day);
    return query_run(&q);
}

enum err fresh_start_clear(struct store *st, struct pupil_id pupil)
{
    struct query q;
    query_begin(&q, st, &fresh_start_stmts, CLEAR);
    query_int(&q, ":pupil", pupil.v);
    return query_run(&q);
}

struct hand_in_list fresh_start_since(void *ctx, const struct hand_in_list *all, int32_t from_day)
{
    struct hand_in_list out = {.v = mem_array(ctx, struct hand_in, all->n)};
    for (size_t i = 0; i < all->n; i++) {
        if (all->v[i].done_day >= from_day) {
            out.v[out.n++] = all->v[i];
        }
    }
    return out;
}
