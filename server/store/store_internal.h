/* SPDX-License-Identifier: MIT
 * What the files of the store layer share; nobody above sees a sqlite3 type. */
#pragma once

#include <sqlite3.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/err.h"
#include "store/store.h"

enum { STORE_APPLICATION_ID = 0x54485243 };     /* "THRC" */

#define STORE_FILE "school.db"

struct store_set {
    const struct stmt_set *set;
    sqlite3_stmt **stmts;       /* NULL until first used */
};

struct store {
    sqlite3 *db;
    enum store_mode mode;
    struct store_set *sets;
    size_t set_count;
    sqlite3_stmt *data_version;
    int64_t seen_version;       /* last answer of PRAGMA data_version */
    uint64_t seen_changes;      /* the process's count when it was answered */
    int running;                /* queries begun and not ended */
    const char *in_tx;          /* name of the transaction, NULL outside one */
    void *slots[STORE_SLOTS];
};

/* What a connection is for. DB_READ and DB_WRITE may attach nothing; DB_MAINTAIN may attach one
 * file (VACUUM INTO needs it) and has the limits a migration needs; DB_LOOK is read-only on disk,
 * for a file that is not a running school (a backup); it may be copied from. */
enum db_use { DB_READ, DB_WRITE, DB_MAINTAIN, DB_LOOK };

/* Opens an existing file by its absolute, link-free path and hardens the connection. */
enum err db_open(void *ctx, const char *path, enum db_use use, sqlite3 **out, const char **why)
    MUST_USE;
/* These three log nothing: their callers say in words what went wrong. */
enum err db_exec(sqlite3 *db, const char *sql) MUST_USE;
/* First column of the first row of a statement without arguments. */
enum err db_int(sqlite3 *db, const char *sql, int64_t *out) MUST_USE;
/* VACUUM INTO an existing empty file. */
enum err db_copy_into(sqlite3 *db, const char *path) MUST_USE;

/* <realpath of dir>/name, on ctx; NULL when dir is not there. */
char *db_path(void *ctx, const char *dir, const char *name);
/* realpath of an existing file, on ctx; NULL when it is not there. */
char *db_real(void *ctx, const char *path);
/* A new empty file, 0600, never an existing one; false with errno. */
bool db_file_make(const char *path);
bool db_dir_sync(const char *path_inside);

/* Our word for SQLite's; logs what nobody should see, with the statement's name. */
enum err store_err(sqlite3 *db, int rc, const char *name);

/* Do the migrations that this database says it has had read as the embedded ones do? */
enum err migrate_hashes_fit(void *ctx, sqlite3 *db, const char **why) MUST_USE;
/* A database in memory with the schema after migration `version`. */
enum err migrate_in_memory(void *ctx, int version, sqlite3 **out, const char **why) MUST_USE;

/* After every COMMIT that may have changed the school. */
void store_committed(void);

/* Statements of transactions, among all others. */
extern const struct stmt_set tx_stmts;
enum { TX_BEGIN, TX_COMMIT, TX_ROLLBACK, TX_SAVE, TX_RELEASE, TX_BACK };
enum err tx_do(struct store *st, size_t which) MUST_USE;
/* False when SQLite has rolled the whole transaction back by itself. */
bool tx_is_open(struct store *st);
/* As store_open, without trying the statements; the writer's thread does that itself. */
enum err store_open_quick(void *ctx, const char *dir, enum store_mode mode, struct store **out,
                          const char **why) MUST_USE;
/* Tries every statement; *why (on ctx) names the first that does not fit. */
enum err store_statements_fit(void *ctx, struct store *st, const char **why) MUST_USE;
/* The statement, prepared at its first use (sqlite3_stmt). NULL when it cannot be; logged. */
void *store_statement(struct store *st, const struct stmt_set *set, size_t index);
/* Our own bug: a query was begun and not ended. Resets all, says so. */
bool store_is_idle(struct store *st);
