/* SPDX-License-Identifier: MIT
 * Numbered migrations.
 *
 * Owns: the table `migration` and PRAGMA user_version, which say what was applied; the files
 * school-before-NNNN.db.
 * Invariants: a migration is applied whole or not at all (SQLite's DDL, user_version and
 * application_id roll back together); what was applied never reads differently later; the copy is
 * made before the first change and is a whole database. Foreign keys are off while a migration
 * runs (tables are rebuilt by dropping) and checked before it is committed.
 * Threats: a second process doing the same (the number is read again under the write lock), a
 * power cut in the middle, a folder or file readable by others.
 */
#include "store/migrate.h"

#include <errno.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/clock.h"
#include "base/log.h"
#include "base/mem.h"
#include "base/text.h"
#include "store_internal.h"

struct run {
    void *ctx;
    sqlite3 *db;
    const struct migration_list *list;
    const char **why;
};

static int number_of(const struct migration_file *f)
{
    char digits[5] = {0};
    int64_t n;
    if (strlen(f->name) < 5) {
        return 0;
    }
    memcpy(digits, f->name, 4);
    return text_int(digits, 1, 9999, &n) ? (int)n : 0;
}

static struct migration_list embedded(void)
{
    return (struct migration_list){migration_files, (size_t)migration_file_count};
}

int migrate_newest(void)
{
    return (int)migration_file_count;
}

static enum err refuse(struct run *r, enum err e, const char *sentence)
{
    *r->why = mem_str(r->ctx, sentence);
    return e;
}

static enum err version_of(sqlite3 *db, int *out)
{
    int64_t v = 0;
    enum err e = db_int(db, "PRAGMA user_version", &v);
    *out = (int)v;
    return e;
}

static bool row_fits(struct run *r, sqlite3_stmt *rows)
{
    int n = sqlite3_column_int(rows, 0);
    const char *hash = (const char *)sqlite3_column_text(rows, 1);
    if (n < 1 || (size_t)n > r->list->count || !hash) {
        return false;
    }
    return strcmp(hash, r->list->files[n - 1].sha256) == 0;
}

static enum err hashes_fit(struct run *r)
{
    sqlite3_stmt *rows = NULL;
    int rc = sqlite3_prepare_v2(r->db, "SELECT number, sha256 FROM migration ORDER BY number", -1,
                                &rows, NULL);
    int version = 0, seen = 0;
    enum err e = rc == SQLITE_OK ? version_of(r->db, &version) : store_err(r->db, rc, "migrations");
    while (e == OK && (rc = sqlite3_step(rows)) == SQLITE_ROW) {
        if (!row_fits(r, rows) || sqlite3_column_int(rows, 0) != ++seen) {
            e = refuse(r, ERR_STORE, "a migration already applied to this school reads differently "
                                     "in this program: use the program it was made with");
        }
    }
    if (e == OK && rc != SQLITE_DONE) {
        e = store_err(r->db, rc, "migrations");
    }
    sqlite3_finalize(rows);
    if (e == OK && seen != version) {
        e = refuse(r, ERR_STORE, "the schema number does not fit the migrations applied");
    }
    return e;
}

enum err migrate_hashes_fit(void *ctx, sqlite3 *db, const char **why)
{
    const struct migration_list list = embedded();
    struct run r = {ctx, db, &list, why};
    *why = "the table of migrations cannot be read";
    return hashes_fit(&r);
}

static enum err note_applied(sqlite3 *db, const struct migration_file *f, int number)
{
    sqlite3_stmt *stmt = NULL;
    int rc = sqlite3_prepare_v2(
        db, "INSERT INTO migration(number, name, sha256, applied_at) VALUES (?1, ?2, ?3, ?4)", -1,
        &stmt, NULL);
    if (rc == SQLITE_OK) {
        sqlite3_bind_int(stmt, 1, number);
        sqlite3_bind_text(stmt, 2, f->name, -1, SQLITE_STATIC);
        sqlite3_bind_text(stmt, 3, f->sha256, -1, SQLITE_STATIC);
        sqlite3_bind_int64(stmt, 4, clock_now());
        rc = sqlite3_step(stmt);
    }
    sqlite3_finalize(stmt);
    if (rc != SQLITE_DONE) {
        return store_err(db, rc, "note migration");
    }
    /* A pragma takes no bound value; the number is an int of ours. */
    char pragma[48];
    snprintf(pragma, sizeof pragma, "PRAGMA user_version = %d", number);
    return db_exec(db, pragma);
}

static enum err first_things(sqlite3 *db)
{
    char pragma[48];
    snprintf(pragma, sizeof pragma, "PRAGMA application_id = %d", STORE_APPLICATION_ID);
    enum err e = db_exec(db, pragma);
    return e != OK ? e
                   : db_exec(db, "CREATE TABLE migration ("
                                 "number INTEGER PRIMARY KEY, name TEXT NOT NULL, "
                                 "sha256 TEXT NOT NULL, applied_at INTEGER NOT NULL) STRICT");
}

static enum err inside(struct run *r, const struct migration_file *f, int number)
{
    int version = 0;
    enum err e = version_of(r->db, &version);
    if (e == OK && version != number - 1) {
        return refuse(r, ERR_BUSY, "another thrice is bringing this school up to date: try again");
    }
    if (e == OK && number == 1) {
        e = first_things(r->db);
    }
    if (e == OK) {
        e = db_exec(r->db, f->sql);
    }
    int64_t lost = 0;
    if (e == OK) {
        e = db_int(r->db, "SELECT count(*) FROM pragma_foreign_key_check", &lost);
    }
    if (e == OK && lost) {
        return refuse(r, ERR_STORE, "a migration would leave references that lead nowhere");
    }
    return e != OK ? e : note_applied(r->db, f, number);
}

static enum err apply(struct run *r, const struct migration_file *f, int number)
{
    *r->why = NULL;
    enum err e = db_exec(r->db, "BEGIN IMMEDIATE");
    if (e == OK) {
        e = inside(r, f, number);
    }
    if (e == OK) {
        e = db_exec(r->db, "COMMIT");
    }
    if (e != OK && !*r->why) {
        *r->why = mem_printf(r->ctx, "migration %s cannot be applied (%s); nothing was changed",
                             f->name, sqlite3_errmsg(r->db));
    }
    if (e != OK && !sqlite3_get_autocommit(r->db)) {
        sqlite3_exec(r->db, "ROLLBACK", NULL, NULL, NULL);
    }
    return e;
}

static enum err apply_from(struct run *r, int version, size_t last)
{
    enum err e = db_exec(r->db, "PRAGMA foreign_keys = OFF");
    for (size_t i = (size_t)version; e == OK && i < last; i++) {
        e = apply(r, &r->list->files[i], (int)i + 1);
        if (e == OK && version > 0) {       /* of a school that is in use; a new one is no news */
            log_event(LOG_INFO, "migrated", "number=%d", (int)i + 1);
        }
    }
    return e != OK ? e : db_exec(r->db, "PRAGMA foreign_keys = ON");
}

enum err migrate_in_memory(void *ctx, int version, sqlite3 **out, const char **why)
{
    const struct migration_list list = embedded();
    struct run r = {ctx, NULL, &list, why};
    if (sqlite3_open_v2(":memory:", &r.db, SQLITE_OPEN_READWRITE | SQLITE_OPEN_NOMUTEX, NULL)) {
        sqlite3_close(r.db);
        return refuse(&r, ERR_STORE, "no database in memory");
    }
    enum err e = apply_from(&r, 0, (size_t)version);
    if (e != OK) {
        sqlite3_close(r.db);
        return e;
    }
    *out = r.db;
    return OK;
}

/* A copy of what there was, before it is changed. */
static enum err keep_copy(struct run *r, const char *dir, int first)
{
    char name[40];
    snprintf(name, sizeof name, "school-before-%04d.db", first);
    char *path = db_path(r->ctx, dir, name);
    if (!path || (unlink(path) != 0 && errno != ENOENT) || !db_file_make(path)) {
        *r->why = mem_printf(r->ctx, "%s/%s cannot be written; nothing was changed", dir, name);
        return ERR_STORE;
    }
    enum err e = db_copy_into(r->db, path);
    if (e != OK) {
        unlink(path);
        *r->why = mem_printf(r->ctx, "no room for a copy in %s before the change; nothing was "
                                     "changed", dir);
    }
    return e;
}

static enum err numbers_fit(struct run *r)
{
    for (size_t i = 0; i < r->list->count; i++) {
        if (number_of(&r->list->files[i]) != (int)i + 1) {
            return refuse(r, ERR_INTERNAL, "the migrations are not numbered from 1 without a gap");
        }
    }
    return OK;
}

/* Sets *version to what the file has; 0: new. */
static enum err look_at(struct run *r, int *version)
{
    int64_t id = 0, tables = 0;
    enum err e = version_of(r->db, version);
    if (e == OK) {
        e = db_int(r->db, "PRAGMA application_id", &id);
    }
    if (e == OK) {
        e = db_int(r->db, "SELECT count(*) FROM sqlite_schema", &tables);
    }
    if (e != OK) {
        return refuse(r, e, "the database cannot be read");
    }
    if (*version == 0 && tables == 0) {
        return OK;
    }
    if (id != STORE_APPLICATION_ID || *version == 0) {
        return refuse(r, ERR_STORE, STORE_FILE " in this folder was not made by thrice");
    }
    if ((size_t)*version > r->list->count) {
        return refuse(r, ERR_STORE, "this school was last used by a newer thrice: install that");
    }
    return hashes_fit(r);
}

static enum err folder_make(struct run *r, const char *dir)
{
    struct stat s;
    if (mkdir(dir, 0700) != 0 && errno != EEXIST) {
        *r->why = mem_printf(r->ctx, "the folder %s cannot be made: %s", dir, strerror(errno));
        return ERR_STORE;
    }
    if (stat(dir, &s) != 0 || !S_ISDIR(s.st_mode)) {
        *r->why = mem_printf(r->ctx, "%s is not a folder", dir);
        return ERR_STORE;
    }
    return OK;
}

static enum err file_make(struct run *r, const char *path)
{
    if (db_file_make(path)) {
        if (!db_dir_sync(path)) {
            *r->why = mem_printf(r->ctx, "%s cannot be synced: %s", path, strerror(errno));
            return ERR_STORE;
        }
        return OK;
    }
    if (errno != EEXIST) {
        *r->why = mem_printf(r->ctx, "%s cannot be made: %s", path, strerror(errno));
        return ERR_STORE;
    }
    return OK;
}

enum err migrate_with(void *ctx, const char *dir, const struct migration_list *list,
                      const char **why)
{
    struct run r = {ctx, NULL, list, why};
    enum err e = numbers_fit(&r);
    if (e == OK) {
        e = folder_make(&r, dir);
    }
    char *path = e == OK ? db_path(ctx, dir, STORE_FILE) : NULL;
    if (e == OK) {
        e = path ? file_make(&r, path) : ERR_STORE;
    }
    if (e == OK) {
        e = db_open(ctx, path, DB_MAINTAIN, &r.db, why);
    }
    int version = 0;
    if (e == OK) {
        e = look_at(&r, &version);
    }
    if (e == OK && version > 0 && (size_t)version < list->count) {
        e = keep_copy(&r, dir, version + 1);
    }
    if (e == OK && (size_t)version < list->count) {
        e = apply_from(&r, version, list->count);
    }
    sqlite3_close(r.db);
    return e;
}

enum err migrate_up(void *ctx, const char *dir, const char **why)
{
    const struct migration_list list = embedded();
    *why = "the data folder cannot be used";
    return migrate_with(ctx, dir, &list, why);
}

enum err migrate_existing(void *ctx, const char *dir, const char **why)
{
    struct stat s;
    char *path = db_path(ctx, dir, STORE_FILE);
    if (!path || lstat(path, &s) != 0) {
        *why = mem_printf(ctx, "%s holds no school (thrice init makes one)", dir);
        return ERR_NOT_FOUND;
    }
    return migrate_up(ctx, dir, why);
}
