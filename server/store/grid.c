/* SPDX-License-Identifier: MIT
 * The grid in four statements: the class, its challenges, its pupils, and the cells from one
 * covering index (hand_in_cell, and hand_in_mark_of for the last mark). Names are sorted once;
 * cells come in index order and find their row by the pupil's id. */
#include "store/grid.h"

#include <stdlib.h>
#include <string.h>

#include "base/clock.h"
#include "base/mem.h"
#include "challenges_internal.h"
#include "hand_ins_internal.h"
#include "store/query.h"
#include "store/school.h"

enum { WEEKS_BACK_DAYS = 42 };

const char *const grid_state_word[GRID_STATES] = {
    [GRID_NOT_YET] = "not_yet",       [GRID_COULD_NOT] = "could_not",
    [GRID_ON_PAPER] = "on_paper",     [GRID_AFTER_DATE] = "after_date",
    [GRID_HANDED_IN] = "handed_in",   [GRID_TO_CHECK] = "to_check",
};

#define IN_SPAN                                              \
    " t.opens_at < :opens_before"                            \
    " AND (t.due_at >= :due_from OR t.closes_at >= :open_from)"

/* The last column of CELLS: a hand-in's state in the two lowest bits, then three yes-or-nos. A
 * class has a thousand cells and more; one column is read quicker than four. */
enum { STATE_BITS = 3, LATE_BIT = 1 << 2, PAPER_BIT = 1 << 3, COULD_NOT_BIT = 1 << 4 };

enum { CLASS, CHALLENGES, PUPILS, CELLS };

static const struct stmt_def defs[] = {
    [CLASS] = {"grid class", "SELECT name FROM class WHERE id = :class"},
    [CHALLENGES] = {"grid challenges",
        "SELECT c.id, c.number, r.name, r.unit, r.kind, t.opens_at, t.due_at, t.closes_at,"
        " r.lower_is_better, v.id, t.cancelled_at FROM " CLASS_CHALLENGE " t"
        " JOIN challenge c ON c.id = t.challenge_id"
        " JOIN revision r ON r.id = c.revision_id"
        " LEFT JOIN version v ON v.revision_id = r.id AND v.kind = 'standard'"
        " WHERE t.class_id = :class AND" IN_SPAN " AND (t.cancelled_at IS NULL OR t.came)"
        " ORDER BY t.due_at, c.number, c.id"},
    [PUPILS] = {"grid pupils",
        "SELECT p.id, p.display_name FROM membership m JOIN pupil p ON p.id = m.pupil_id"
        " WHERE m.class_id = :class AND m.from_day <= :today"
        " AND (m.to_day IS NULL OR m.to_day >= :today)"
        " ORDER BY p.name_key COLLATE by_name, p.id"},
    [CELLS] = {"grid cells",
        "SELECT h.challenge_id, h.pupil_id, h.version_id, h.best,"
        " coalesce(CASE " HAND_IN_LAST_MARK " WHEN 'keep' THEN 0 WHEN 'mistake' THEN 1"
        " WHEN 'set_aside' THEN 2 WHEN 'ask_again' THEN 2 END, h.surprising)"
        " | (h.after_date << 2) | ((h.channel = 'paper') << 3)"
        " | ((h.could_not IS NOT NULL) << 4)"
        " FROM " CLASS_CHALLENGE " t CROSS JOIN hand_in h ON h.challenge_id = t.challenge_id"
        " WHERE t.class_id = :class AND" IN_SPAN
        " AND h.pupil_id IN (SELECT m.pupil_id FROM membership m WHERE m.class_id = :class"
        " AND m.from_day <= :today AND (m.to_day IS NULL OR m.to_day >= :today))"},
};

const struct stmt_set grid_stmts = {"grid", defs, sizeof defs / sizeof *defs};

/* States -------------------------------------------------------------------------------------- */

bool grid_state_is_in(enum grid_state s)
{
    return s == GRID_ON_PAPER || s == GRID_AFTER_DATE || s == GRID_HANDED_IN || s == GRID_TO_CHECK;
}

static void add_best(struct grid_cell *cell, const struct grid_entry *e,
                     const struct grid_challenge *c)
{
    bool standard = e->version.v == c->standard.v;
    if (cell->has_best && cell->best_is_standard && !standard) {
        return;
    }
    bool same_line = cell->has_best && cell->best_version.v == e->version.v;
    bool better = c->lower_is_better ? e->best < cell->best : e->best > cell->best;
    if (!same_line || better) {
        cell->has_best = true;
        cell->best = e->best;
        cell->best_version = e->version;
        cell->best_is_standard = standard;
    }
}

void grid_cell_add(struct grid_cell *cell, const struct grid_entry *e,
                   const struct grid_challenge *c)
{
    if (e->state == HAND_IN_TO_CHECK) {
        cell->to_check = true;
    }
    if (e->state != HAND_IN_COUNTS) {
        return;
    }
    if (e->could_not && !e->has_best) {
        cell->could_not = true;
        return;
    }
    cell->in_time = cell->in_time || !e->after_date;
    cell->in_late = cell->in_late || e->after_date;
    cell->off_paper = cell->off_paper || !e->paper;
    if (e->has_best) {
        add_best(cell, e, c);
    }
}

enum grid_state grid_cell_state(const struct grid_cell *cell)
{
    if (cell->to_check) {
        return GRID_TO_CHECK;
    }
    if (cell->in_time || cell->in_late) {
        if (!cell->off_paper) {
            return GRID_ON_PAPER;
        }
        return cell->in_time ? GRID_HANDED_IN : GRID_AFTER_DATE;
    }
    return cell->could_not ? GRID_COULD_NOT : GRID_NOT_YET;
}

struct grid_cell grid_cell_of(const struct hand_in *v, size_t n, const struct grid_challenge *c)
{
    struct grid_cell cell = {0};
    for (size_t i = 0; i < n; i++) {
        grid_cell_add(&cell,
                      &(struct grid_entry){.state = v[i].state,
                                           .after_date = v[i].after_date,
                                           .paper = strcmp(v[i].channel, "paper") == 0,
                                           .could_not = v[i].could_not != NULL,
                                           .has_best = v[i].has_best,
                                           .best = v[i].best,
                                           .version = v[i].version},
                      c);
    }
    return cell;
}

enum grid_state grid_state_of(const struct hand_in *v, size_t n)
{
    static const struct grid_challenge any = {0};
    const struct grid_cell cell = grid_cell_of(v, n, &any);
    return grid_cell_state(&cell);
}

/* Loading ------------------------------------------------------------------------------------- */

struct place {                  /* an id and its row or column */
    int64_t id;
    size_t at;
};

static int by_id(const void *a, const void *b)
{
    int64_t x = ((const struct place *)a)->id, y = ((const struct place *)b)->id;
    return x < y ? -1 : x > y;
}

static const struct place *find(const struct place *places, size_t n, int64_t id)
{
    struct place key = {.id = id};
    return n > 0 ? bsearch(&key, places, n, sizeof key, by_id) : NULL;
}

static void bind_span(struct query *q, const struct grid_ask *ask)
{
    int32_t before = ask->all ? school_year_last(ask->today) + 1 : ask->today + 1;
    int32_t due = ask->all ? school_year_first(ask->today) : ask->today - WEEKS_BACK_DAYS;
    int32_t open = ask->all ? due : ask->today;
    query_int(q, ":class", ask->cls.v);
    query_int(q, ":opens_before", clock_day_start(before));
    query_int(q, ":due_from", clock_day_start(due));
    query_int(q, ":open_from", clock_day_start(open));
}

static enum err load_class(struct store *st, void *ctx, const struct grid_ask *ask,
                           struct grid *out)
{
    struct query q;
    query_begin(&q, st, &grid_stmts, CLASS);
    query_int(&q, ":class", ask->cls.v);
    while (query_row(&q)) {
        out->class_name = col_text(&q, 0, ctx);
    }
    enum err e = query_end(&q);
    return e == OK && !out->class_name ? ERR_NOT_FOUND : e;
}

static enum err load_challenges(struct store *st, void *ctx, const struct grid_ask *ask,
                                struct grid *out)
{
    size_t cap = 0;
    struct query q;
    query_begin(&q, st, &grid_stmts, CHALLENGES);
    bind_span(&q, ask);
    while (query_row(&q)) {
        mem_grow(ctx, out->challenges, out->challenge_count, &cap);
        out->challenges[out->challenge_count++] = (struct grid_challenge){
            .id = {col_int(&q, 0)},
            .number = (int)col_int(&q, 1),
            .name = col_text(&q, 2, ctx),
            .unit = col_text(&q, 3, ctx),
            .kind = col_text(&q, 4, ctx),
            .opens_at = col_int(&q, 5),
            .due_at = col_int(&q, 6),
            .closes_at = col_int(&q, 7),
            .lower_is_better = col_int(&q, 8) != 0,
            .standard = {col_int(&q, 9)},
            .cancelled = !col_null(&q, 10),
        };
    }
    return query_end(&q);
}

static enum err load_pupils(struct store *st, void *ctx, const struct grid_ask *ask,
                            struct grid *out)
{
    size_t cap = 0;
    struct query q;
    query_begin(&q, st, &grid_stmts, PUPILS);
    query_int(&q, ":class", ask->cls.v);
    query_int(&q, ":today", ask->today);
    while (query_row(&q)) {
        int64_t id = col_int(&q, 0);
        if (out->pupil_count > 0 && out->pupils[out->pupil_count - 1].id.v == id) {
            continue;
        }
        mem_grow(ctx, out->pupils, out->pupil_count, &cap);
        out->pupils[out->pupil_count++] =
            (struct grid_pupil){.id = {id}, .display_name = col_text(&q, 1, ctx)};
    }
    return query_end(&q);
}

/* Ids come in rising order, so the one looked for is mostly the next. */
static const struct place *find_from(const struct place *places, size_t n, const struct place *last,
                                     int64_t id)
{
    if (last && last->id == id) {
        return last;
    }
    const struct place *next = last ? last + 1 : places;
    return next < places + n && next->id == id ? next : find(places, n, id);
}

static void read_cells(struct query *q, struct grid *g, const struct place *columns,
                       const struct place *rows)
{
    const struct place *column = NULL, *row = NULL;
    while (query_row(q)) {
        column = find_from(columns, g->challenge_count, column, col_int(q, 0));
        row = find_from(rows, g->pupil_count, row, col_int(q, 1));
        if (!column || !row) {
            continue;
        }
        int64_t bits = col_int(q, 4);
        bool has_best = !col_null(q, 3);
        grid_cell_add(&g->cells[row->at * g->challenge_count + column->at],
                      &(struct grid_entry){.version = {col_int(q, 2)},
                                           .has_best = has_best,
                                           .best = has_best ? col_int(q, 3) : 0,
                                           .state = (enum hand_in_state)(bits & STATE_BITS),
                                           .after_date = (bits & LATE_BIT) != 0,
                                           .paper = (bits & PAPER_BIT) != 0,
                                           .could_not = (bits & COULD_NOT_BIT) != 0},
                      &g->challenges[column->at]);
    }
}

static enum err load_cells(struct store *st, void *ctx, const struct grid_ask *ask,
                           struct grid *out)
{
    size_t nc = out->challenge_count, np = out->pupil_count;
    struct place *columns = mem_array(ctx, struct place, nc);
    struct place *rows = mem_array(ctx, struct place, np);
    for (size_t i = 0; i < nc; i++) {
        columns[i] = (struct place){out->challenges[i].id.v, i};
    }
    for (size_t i = 0; i < np; i++) {
        rows[i] = (struct place){out->pupils[i].id.v, i};
    }
    qsort(columns, nc, sizeof *columns, by_id);
    qsort(rows, np, sizeof *rows, by_id);
    out->cells = mem_array(ctx, struct grid_cell, nc * np);
    struct query q;
    query_begin(&q, st, &grid_stmts, CELLS);
    bind_span(&q, ask);
    query_int(&q, ":today", ask->today);
    read_cells(&q, out, columns, rows);
    return query_end(&q);
}

static void count(struct grid *g)
{
    for (size_t p = 0; p < g->pupil_count; p++) {
        for (size_t c = 0; c < g->challenge_count; c++) {
            enum grid_state s = grid_cell_state(&g->cells[p * g->challenge_count + c]);
            g->challenges[c].handed_in += grid_state_is_in(s);
        }
    }
}

enum err grid_load(struct store *st, void *ctx, const struct grid_ask *ask, struct grid *out)
{
    *out = (struct grid){0};
    enum err e = load_class(st, ctx, ask, out);
    if (e == OK) {
        e = load_challenges(st, ctx, ask, out);
    }
    if (e == OK) {
        e = load_pupils(st, ctx, ask, out);
    }
    if (e == OK) {
        e = load_cells(st, ctx, ask, out);
    }
    if (e == OK) {
        count(out);
    }
    return e;
}
