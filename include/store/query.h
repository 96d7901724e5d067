/* SPDX-License-Identifier: MIT
 * Running a prepared statement. The first failure is latched: bind freely, look at the end.
 *
 *   struct query q;
 *   query_begin(&q, st, &pupils_stmts, PUPIL_GET);
 *   query_int(&q, ":pupil", id.v);
 *   while (query_row(&q)) { ... col_int(&q, 0) ... }
 *   return query_end(&q);                                   */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/err.h"
#include "store/store.h"

struct query {
    struct store *st;
    void *stmt;             /* sqlite3_stmt */
    const char *name;
    int rc;                 /* last sqlite code */
    enum err err;           /* latched */
};

void query_begin(struct query *q, struct store *st, const struct stmt_set *set, size_t index);
void query_int(struct query *q, const char *name, int64_t v);
void query_int_or_null(struct query *q, const char *name, bool present, int64_t v);
void query_text(struct query *q, const char *name, const char *s);      /* NULL binds NULL */
void query_blob(struct query *q, const char *name, const void *p, size_t n);
void query_real(struct query *q, const char *name, double v);

bool query_row(struct query *q);    /* steps; true while there is a row */
/* Resets and clears. OK, or the latched error: a UNIQUE/CHECK/FK violation is ERR_CONFLICT, a full
 * disk ERR_STORE_FULL, another process holding the lock for too long ERR_BUSY, all else ERR_STORE
 * (logged with the statement's name). */
enum err query_end(struct query *q) MUST_USE;
/* For statements without rows: step until done, then end. */
enum err query_run(struct query *q) MUST_USE;
/* As query_run, and ERR_NOT_FOUND when no row was changed. */
enum err query_run_one(struct query *q) MUST_USE;

/* Columns of the current row. Text is copied to ctx; NULL column -> NULL / 0 / false. */
int64_t col_int(struct query *q, int i);
bool col_null(struct query *q, int i);
double col_real(struct query *q, int i);
char *col_text(struct query *q, int i, void *ctx);
const void *col_blob(struct query *q, int i, size_t *n);   /* valid until the next step */
