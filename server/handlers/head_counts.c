/* SPDX-License-Identifier: MIT
 * Counts for the head, by year group: exact for use inside the school, and beside them what may be
 * published, hidden by the assessment module's rules for what leaves a class. Never a name or a
 * result; the lead's alone. */
#include "store/head_counts.h"

#include "assess/group.h"
#include "base/clock.h"
#include "base/mem.h"
#include "handlers/handlers.h"
#include "people_internal.h"

enum { COLUMNS = 3 };

static enum err read_query_day(struct request *rq, const char *name, int32_t *out)
{
    const char *s = request_query(rq, name);
    if (s && clock_day_parse(s, out)) {
        return OK;
    }
    return request_blame(rq, mem_printf(rq->mem, "/%s", name), s ? "not_a_day" : "required", NULL);
}

static json_t *year(const struct head_row *r)
{
    return r->year_group == HEAD_NO_YEAR ? json_null() : json_integer(r->year_group);
}

static void counts_of(const struct head_row *r, int columns, int out[COLUMNS])
{
    out[0] = r->yes;
    out[columns - 2] = columns == COLUMNS ? r->not_yet : r->yes;
    out[columns - 1] = r->pupils - r->yes - r->not_yet;
}

static json_t *exact_json(const struct head_row *r, int columns)
{
    json_t *o = json_object();
    json_put(&o, "year_group", year(r));
    json_put(&o, "pupils", json_integer(r->pupils));
    json_put(&o, "yes", json_integer(r->yes));
    if (columns == COLUMNS) {
        json_put(&o, "not_yet", json_integer(r->not_yet));
    }
    json_put(&o, "rest", json_integer(r->pupils - r->yes - r->not_yet));
    return o;
}

/* `hidden`: of this row's cells; NULL for a group that is too small to be told of. */
static json_t *publish_json(const struct head_row *r, int columns, const bool *hidden)
{
    static const char *const names[2][COLUMNS] = {{"yes", "rest", NULL},
                                                  {"yes", "not_yet", "rest"}};
    int count[COLUMNS] = {0};
    bool any = hidden == NULL;
    json_t *o = json_object();
    counts_of(r, columns, count);
    json_put(&o, "year_group", year(r));
    json_put(&o, "fewer_than_ten", json_boolean(hidden == NULL));
    json_put(&o, "pupils", hidden ? json_integer(r->pupils) : json_null());
    for (int c = 0; c < columns; c++) {
        const bool hide = !hidden || hidden[c];
        any = any || hide;
        json_put(&o, names[columns - 2][c], hide ? json_null() : json_integer(count[c]));
    }
    json_put(&o, "percent", any ? json_null() : json_integer(leave_percent(r->yes, r->pupils)));
    return o;
}

/* All of a small group alike tells of each of them. */
static void hide_alike(const int *count, int columns, bool *hidden)
{
    for (int c = 0; c < columns && !leave_row(count, columns); c++) {
        hidden[c] = true;
    }
}

/* The rows of one table: exact, and for publishing. Small groups are no part of the table that is
 * hidden from, since nothing of them is told. */
static json_t *table_json(struct request *rq, const struct head_row *v, size_t n, int columns)
{
    int *count = mem_array(rq->mem, int, n * COLUMNS + 1);
    bool *hidden = mem_array(rq->mem, bool, n * COLUMNS + 1);
    int rows = 0;
    json_t *exact = json_array(), *publish = json_array(), *o = json_object();
    for (size_t i = 0; i < n; i++) {
        json_add(&exact, exact_json(&v[i], columns));
        if (leave_group((size_t)v[i].pupils)) {
            counts_of(&v[i], columns, &count[rows++ * columns]);
        }
    }
    leave_hide(&(struct leave_table){.count = count, .rows = rows, .columns = columns}, hidden);
    rows = 0;
    for (size_t i = 0; i < n; i++) {
        bool *own = NULL;
        if (leave_group((size_t)v[i].pupils)) {
            own = &hidden[rows * columns];
            hide_alike(&count[rows * columns], columns, own);
            rows++;
        }
        json_add(&publish, publish_json(&v[i], columns, own));
    }
    json_put(&o, "exact", exact);
    json_put(&o, "publish", publish);
    return o;
}

static json_t *statements_json(struct request *rq, const struct head_rows *all)
{
    json_t *list = json_array();
    for (size_t i = 0, n; i < all->n; i += n) {
        for (n = 1; i + n < all->n && all->v[i + n].statement == all->v[i].statement; n++) {
        }
        json_t *o = table_json(rq, &all->v[i], n, COLUMNS);
        json_put(&o, "text", json_string(all->v[i].text));
        json_add(&list, o);
    }
    return list;
}

enum err h_head_counts_get(struct request *rq, struct reply *rp)
{
    int32_t from = 0, to = 0;
    struct head_rows returns, statements;
    enum err e = read_query_day(rq, "from", &from);
    if (e == OK) {
        e = read_query_day(rq, "to", &to);
    }
    if (e == OK && to < from) {
        e = request_blame(rq, "/to", "wrong_order", NULL);
    }
    if (e == OK) {
        e = head_returns(rq->store, rq->mem, from, to, &returns);
    }
    if (e == OK) {
        e = head_statements(rq->store, rq->mem, &statements);
    }
    if (e != OK) {
        return e;
    }
    json_t *o = json_object();
    json_put(&o, "returns", table_json(rq, returns.v, returns.n, 2));
    json_put(&o, "statements", statements_json(rq, &statements));
    return reply_json(rq, rp, 200, o);
}
