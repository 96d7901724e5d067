/* SPDX-License-Identifier: MIT
 * Running prepared statements.
 *
 * Owns: the only calls of sqlite3_bind_*, step and column_*; the latch that lets a caller bind
 * freely and look once.
 * Invariants: a statement has one user at a time; an unknown `:name`, a statement begun twice or a
 * column that is not there is our bug and says so at once; values are copied in, text is copied
 * out, so nothing dangles when a row moves on.
 */
#include "store/query.h"

#include <string.h>

#include "base/log.h"
#include "base/mem.h"
#include "store_internal.h"

static void latch(struct query *q, enum err e)
{
    if (q->err == OK) {
        q->err = e;
    }
}

void query_begin(struct query *q, struct store *st, const struct stmt_set *set, size_t index)
{
    sqlite3_stmt *stmt = store_statement(st, set, index);
    *q = (struct query){.st = st, .name = "unknown", .rc = SQLITE_OK, .err = OK};
    if (!stmt) {
        latch(q, ERR_STORE);
        return;
    }
    q->name = set->defs[index].name;
    if (sqlite3_stmt_busy(stmt)) {
        log_bug("statement begun while it runs");
        latch(q, ERR_INTERNAL);
        return;
    }
    q->stmt = stmt;
    st->running++;
}

/* The place of :name; 0 when there is none or something went wrong before. */
static int place(struct query *q, const char *name)
{
    if (q->err != OK) {
        return 0;
    }
    int i = sqlite3_bind_parameter_index(q->stmt, name);
    if (i == 0) {
        log_event(LOG_ERROR, "bind", "statement=\"%s\" unknown=%s", q->name, name);
        log_bug("unknown parameter");
        latch(q, ERR_INTERNAL);
    }
    return i;
}

static void bound(struct query *q, int rc)
{
    if (rc != SQLITE_OK) {
        q->rc = rc;
        latch(q, store_err(q->st->db, rc, q->name));
    }
}

void query_int(struct query *q, const char *name, int64_t v)
{
    int i = place(q, name);
    if (i) {
        bound(q, sqlite3_bind_int64(q->stmt, i, v));
    }
}

void query_int_or_null(struct query *q, const char *name, bool present, int64_t v)
{
    int i = place(q, name);
    if (i) {
        bound(q, present ? sqlite3_bind_int64(q->stmt, i, v) : sqlite3_bind_null(q->stmt, i));
    }
}

void query_text(struct query *q, const char *name, const char *s)
{
    int i = place(q, name);
    if (i) {
        bound(q, s ? sqlite3_bind_text(q->stmt, i, s, -1, SQLITE_TRANSIENT)
                   : sqlite3_bind_null(q->stmt, i));
    }
}

void query_blob(struct query *q, const char *name, const void *p, size_t n)
{
    int i = place(q, name);
    if (i) {
        bound(q, p ? sqlite3_bind_blob64(q->stmt, i, p, n, SQLITE_TRANSIENT)
                   : sqlite3_bind_null(q->stmt, i));
    }
}

void query_real(struct query *q, const char *name, double v)
{
    int i = place(q, name);
    if (i) {
        bound(q, sqlite3_bind_double(q->stmt, i, v));
    }
}

bool query_row(struct query *q)
{
    if (q->err != OK || q->rc == SQLITE_DONE) {
        return false;
    }
    q->rc = sqlite3_step(q->stmt);
    if (q->rc == SQLITE_ROW) {
        return true;
    }
    if (q->rc != SQLITE_DONE) {
        latch(q, store_err(q->st->db, q->rc, q->name));
    }
    return false;
}

enum err query_end(struct query *q)
{
    if (q->stmt) {
        sqlite3_reset(q->stmt);     /* its result repeats what step said */
        sqlite3_clear_bindings(q->stmt);
        q->stmt = NULL;
        q->st->running--;
    }
    return q->err;
}

enum err query_run(struct query *q)
{
    while (query_row(q)) {
    }
    return query_end(q);
}

enum err query_run_one(struct query *q)
{
    enum err e = query_run(q);
    return e == OK && sqlite3_changes64(q->st->db) == 0 ? ERR_NOT_FOUND : e;
}

static bool column_there(struct query *q, int i)
{
    if (q->stmt && q->rc == SQLITE_ROW && i >= 0 && i < sqlite3_data_count(q->stmt)) {
        return true;
    }
    log_bug("column of no row");
    latch(q, ERR_INTERNAL);
    return false;
}

int64_t col_int(struct query *q, int i)
{
    return column_there(q, i) ? sqlite3_column_int64(q->stmt, i) : 0;
}

bool col_null(struct query *q, int i)
{
    return !column_there(q, i) || sqlite3_column_type(q->stmt, i) == SQLITE_NULL;
}

double col_real(struct query *q, int i)
{
    return column_there(q, i) ? sqlite3_column_double(q->stmt, i) : 0;
}

char *col_text(struct query *q, int i, void *ctx)
{
    if (!column_there(q, i)) {
        return NULL;
    }
    const unsigned char *s = sqlite3_column_text(q->stmt, i);
    return s ? mem_strn(ctx, (const char *)s, (size_t)sqlite3_column_bytes(q->stmt, i)) : NULL;
}

const void *col_blob(struct query *q, int i, size_t *n)
{
    *n = 0;
    if (!column_there(q, i)) {
        return NULL;
    }
    const void *p = sqlite3_column_blob(q->stmt, i);
    *n = p ? (size_t)sqlite3_column_bytes(q->stmt, i) : 0;
    return p;
}
