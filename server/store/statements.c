/* SPDX-License-Identifier: MIT
 * Statements and their ticks.
 *
 * Owns: tables statement, statement_tick. Ids count upwards on purpose; "the last tick" is the
 * highest. Ticks say something about the words they were given against, so words that anybody was
 * ticked against stay as they are: a school that wants others archives them and adds its own. */
#include "store/statements.h"

#include <string.h>

#include "base/mem.h"
#include "store/query.h"

const char *const statement_area_words[] = {
    "swimming", "end_of_key_stage", "dance", "other", NULL,
};

#define AREA_ORDER                                                                             \
    "CASE area WHEN 'swimming' THEN 1 WHEN 'end_of_key_stage' THEN 2 WHEN 'dance' THEN 3"      \
    " ELSE 4 END"
#define TICK_HOLDS                                                                             \
    "t.met IS NOT NULL AND t.id = (SELECT max(o.id) FROM statement_tick o"                     \
    " WHERE o.pupil_id = t.pupil_id AND o.statement_id = t.statement_id)"
#define TICK_COLUMNS                                                                           \
    "SELECT t.pupil_id, t.statement_id, s.text, t.met, t.on_day, t.by_staff, f.name"           \
    " FROM statement_tick t JOIN statement s ON s.id = t.statement_id"                         \
    " JOIN staff f ON f.id = t.by_staff "

enum {
    LIST, GET, IN_USE, ADD, TICKED, REWORD, ARCHIVE, TICK_ADD, TICKS_OF_CLASS, TICKS_OF_PUPIL,
    TICKS_EVER_OF_PUPIL
};

static const struct stmt_def defs[] = {
    [LIST] = {"statements list",
        "SELECT id, area, text, archived_at IS NOT NULL FROM statement"
        " WHERE archived_at IS NULL OR :all ORDER BY " AREA_ORDER ", position, id"
        " /*scan: a school has a few dozen*/"},
    [GET] = {"statement get",
        "SELECT id, area, text, archived_at IS NOT NULL FROM statement WHERE id = :id"},
    [IN_USE] = {"statements in use",
        "SELECT count(*) FROM statement WHERE archived_at IS NULL /*scan: a few dozen*/"},
    [ADD] = {"statement add",
        "INSERT INTO statement (area, position, text) VALUES (:area, min(40, 1 + (SELECT"
        " coalesce(max(position), 0) FROM statement WHERE area = :area /*scan: a few dozen*/)),"
        " :text) RETURNING id"},
    [TICKED] = {"statement ticked",
        "SELECT 1 FROM statement_tick WHERE statement_id = :id LIMIT 1"},
    [REWORD] = {"statement reword", "UPDATE statement SET text = :text WHERE id = :id"},
    [ARCHIVE] = {"statement archive", "UPDATE statement SET archived_at = :at WHERE id = :id"},
    [TICK_ADD] = {"statement tick add",
        "INSERT INTO statement_tick (pupil_id, statement_id, met, on_day, by_staff)"
        " VALUES (:pupil, :statement, :met, :day, :by)"},
    [TICKS_OF_CLASS] = {"ticks of class",
        TICK_COLUMNS "WHERE s.archived_at IS NULL AND t.pupil_id IN (SELECT m.pupil_id"
        " FROM membership m WHERE m.class_id = :class AND m.from_day <= :today"
        " AND (m.to_day IS NULL OR m.to_day >= :today)) AND " TICK_HOLDS
        " ORDER BY t.pupil_id, t.statement_id"},
    [TICKS_OF_PUPIL] = {"ticks of pupil",
        TICK_COLUMNS "WHERE t.pupil_id = :pupil AND " TICK_HOLDS " ORDER BY t.on_day, t.id"},
    [TICKS_EVER_OF_PUPIL] = {"ticks ever of pupil",
        TICK_COLUMNS "WHERE t.pupil_id = :pupil ORDER BY t.id"},
};

const struct stmt_set statements_stmts = {"statements", defs, sizeof defs / sizeof *defs};

/* The list's own literal. */
static const char *area_of(struct query *q, int i, void *ctx)
{
    const char *s = col_text(q, i, ctx);
    for (size_t k = 0; s != NULL && statement_area_words[k] != NULL; k++) {
        if (strcmp(statement_area_words[k], s) == 0) {
            return statement_area_words[k];
        }
    }
    return "other";
}

static void read_one(struct query *q, void *ctx, struct statement *out)
{
    *out = (struct statement){
        .id = col_int(q, 0), .area = area_of(q, 1, ctx), .text = col_text(q, 2, ctx),
        .archived = col_int(q, 3) != 0,
    };
}

enum err statements_list(struct store *st, void *ctx, bool archived_too,
                         struct statement_list *out)
{
    struct query q;
    size_t cap = 0;
    *out = (struct statement_list){0};
    query_begin(&q, st, &statements_stmts, LIST);
    query_int(&q, ":all", archived_too);
    while (query_row(&q)) {
        mem_grow(ctx, out->v, out->n, &cap);
        read_one(&q, ctx, &out->v[out->n++]);
    }
    return query_end(&q);
}

enum err statement_get(struct store *st, void *ctx, int64_t id, struct statement *out)
{
    struct query q;
    bool found = false;
    query_begin(&q, st, &statements_stmts, GET);
    query_int(&q, ":id", id);
    while (query_row(&q)) {
        read_one(&q, ctx, out);
        found = true;
    }
    enum err e = query_end(&q);
    return e == OK && !found ? ERR_NOT_FOUND : e;
}

static enum err room_for_one(struct store *st)
{
    struct query q;
    int64_t n = 0;
    query_begin(&q, st, &statements_stmts, IN_USE);
    while (query_row(&q)) {
        n = col_int(&q, 0);
    }
    enum err e = query_end(&q);
    return e == OK && n >= STATEMENTS_MOST ? ERR_CONFLICT : e;
}

enum err statement_add(struct store *st, const char *area, const char *text, int64_t *id)
{
    struct query q;
    enum err e = room_for_one(st);
    if (e != OK) {
        return e;
    }
    query_begin(&q, st, &statements_stmts, ADD);
    query_text(&q, ":area", area);
    query_text(&q, ":text", text);
    while (query_row(&q)) {
        *id = col_int(&q, 0);
    }
    return query_end(&q);
}

enum err statement_is_ticked(struct store *st, int64_t id, bool *out)
{
    struct query q;
    *out = false;
    query_begin(&q, st, &statements_stmts, TICKED);
    query_int(&q, ":id", id);
    while (query_row(&q)) {
        *out = true;
    }
    return query_end(&q);
}

enum err statement_reword(struct store *st, int64_t id, const char *text)
{
    struct query q;
    bool ticked;
    enum err e = statement_is_ticked(st, id, &ticked);
    if (e != OK || ticked) {
        return e != OK ? e : ERR_CONFLICT;
    }
    query_begin(&q, st, &statements_stmts, REWORD);
    query_int(&q, ":id", id);
    query_text(&q, ":text", text);
    return query_run_one(&q);
}

enum err statement_archive(struct store *st, int64_t id, int64_t at)
{
    struct query q;
    void *mem = mem_root();
    struct statement s;
    enum err e = statement_get(st, mem, id, &s);
    if (e == OK && at == 0 && s.archived) {
        e = room_for_one(st);
    }
    talloc_free(mem);
    if (e != OK) {
        return e;
    }
    query_begin(&q, st, &statements_stmts, ARCHIVE);
    query_int(&q, ":id", id);
    query_int_or_null(&q, ":at", at != 0, at);
    return query_run_one(&q);
}

enum err statement_tick_add(struct store *st, const struct statement_tick *t)
{
    struct query q;
    void *mem = mem_root();
    struct statement s;
    enum err e = statement_get(st, mem, t->statement, &s);
    if (e == OK && s.archived && !t->taken_back) {
        e = ERR_NOT_FOUND;
    }
    talloc_free(mem);
    if (e != OK) {
        return e;
    }
    query_begin(&q, st, &statements_stmts, TICK_ADD);
    query_int(&q, ":pupil", t->pupil.v);
    query_int(&q, ":statement", t->statement);
    query_int_or_null(&q, ":met", !t->taken_back, t->met);
    query_int(&q, ":day", t->on_day);
    query_int(&q, ":by", t->by.v);
    return query_run(&q);
}

static enum err read_ticks(struct query *q, void *ctx, struct statement_tick_list *out)
{
    size_t cap = 0;
    *out = (struct statement_tick_list){0};
    while (query_row(q)) {
        mem_grow(ctx, out->v, out->n, &cap);
        out->v[out->n++] = (struct statement_tick){
            .pupil = {col_int(q, 0)}, .statement = col_int(q, 1), .text = col_text(q, 2, ctx),
            .met = col_int(q, 3) != 0, .taken_back = col_null(q, 3),
            .on_day = (int32_t)col_int(q, 4), .by = {col_int(q, 5)},
            .by_name = col_text(q, 6, ctx),
        };
    }
    return query_end(q);
}

enum err statement_ticks_of_class(struct store *st, void *ctx, struct class_id cls, int32_t today,
                                  struct statement_tick_list *out)
{
    struct query q;
    query_begin(&q, st, &statements_stmts, TICKS_OF_CLASS);
    query_int(&q, ":class", cls.v);
    query_int(&q, ":today", today);
    return read_ticks(&q, ctx, out);
}

enum err statement_ticks_of_pupil(struct store *st, void *ctx, struct pupil_id p,
                                  struct statement_tick_list *out)
{
    struct query q;
    query_begin(&q, st, &statements_stmts, TICKS_OF_PUPIL);
    query_int(&q, ":pupil", p.v);
    return read_ticks(&q, ctx, out);
}

enum err statement_ticks_ever_of_pupil(struct store *st, void *ctx, struct pupil_id p,
                                       struct statement_tick_list *out)
{
    struct query q;
    query_begin(&q, st, &statements_stmts, TICKS_EVER_OF_PUPIL);
    query_int(&q, ":pupil", p.v);
    return read_ticks(&q, ctx, out);
}
