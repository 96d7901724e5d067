/* SPDX-License-Identifier: MIT
 * One hardened SQLite connection.
 *
 * Owns: every setting of a connection, in one visible list; paths of the data folder.
 * Invariants: the path is absolute and free of links (NOFOLLOW refuses a link anywhere in it, and
 * "/..." cannot be read as a URI); nothing is created by opening; WAL and synchronous=FULL are
 * read back, because DEFENSIVE makes some pragmas silent no-ops and an acknowledged hand-in must
 * be on the disk.
 * Threats: a crafted database (untrusted schema, cell sizes), SQL read as a string ("" is never
 * text), a runaway statement (limits), a loaded extension, deleted names left in free pages.
 */
#include <errno.h>
#include <fcntl.h>
#include <libgen.h>
#include <pthread.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/log.h"
#include "base/mem.h"
#include "base/text.h"
#include "store_internal.h"

static pthread_once_t configured = PTHREAD_ONCE_INIT;

/* Each connection stays on one thread, and nobody reads SQLite's memory figures: without them the
 * allocator takes no global lock. */
static void configure(void)
{
    sqlite3_config(SQLITE_CONFIG_MULTITHREAD);
    sqlite3_config(SQLITE_CONFIG_MEMSTATUS, 0);
}

/* Without a log line: for work whose caller says in words what went wrong. */
static enum err meaning(sqlite3 *db, int rc)
{
    switch (rc & 0xff) {
    case SQLITE_OK:
    case SQLITE_ROW:
    case SQLITE_DONE:
        return OK;
    case SQLITE_FULL:
        return ERR_STORE_FULL;
    case SQLITE_BUSY:
        return ERR_BUSY;
    case SQLITE_CONSTRAINT:
        if (rc == SQLITE_CONSTRAINT_UNIQUE || rc == SQLITE_CONSTRAINT_PRIMARYKEY ||
            rc == SQLITE_CONSTRAINT_ROWID || rc == SQLITE_CONSTRAINT_CHECK ||
            rc == SQLITE_CONSTRAINT_FOREIGNKEY) {
            return ERR_CONFLICT;
        }
        return ERR_STORE;
    case SQLITE_IOERR:
        /* A full disk shows as an I/O error where SQLite only sees write() fail. */
        return db && sqlite3_system_errno(db) == ENOSPC ? ERR_STORE_FULL : ERR_STORE;
    default:
        return ERR_STORE;
    }
}

enum err store_err(sqlite3 *db, int rc, const char *name)
{
    enum err e = meaning(db, rc);
    if (e == OK || e == ERR_CONFLICT) {
        return e;       /* a conflict is the data's fault: for the caller to tell */
    }
    log_event(LOG_ERROR, "sqlite", "statement=\"%s\" code=%d", name, rc);
    return e;
}

enum err db_exec(sqlite3 *db, const char *sql)
{
    return meaning(db, sqlite3_exec(db, sql, NULL, NULL, NULL));
}

enum err db_int(sqlite3 *db, const char *sql, int64_t *out)
{
    sqlite3_stmt *stmt = NULL;
    int rc = sqlite3_prepare_v2(db, sql, -1, &stmt, NULL);
    if (rc == SQLITE_OK) {
        rc = sqlite3_step(stmt);
    }
    if (rc == SQLITE_ROW) {
        *out = sqlite3_column_int64(stmt, 0);
    } else if (rc == SQLITE_DONE) {
        rc = SQLITE_INTERNAL;
    }
    sqlite3_finalize(stmt);
    return meaning(db, rc);
}

enum err db_copy_into(sqlite3 *db, const char *path)
{
    sqlite3_stmt *stmt = NULL;
    int rc = sqlite3_prepare_v2(db, "VACUUM INTO ?1", -1, &stmt, NULL);
    if (rc == SQLITE_OK) {
        rc = sqlite3_bind_text(stmt, 1, path, -1, SQLITE_STATIC);
    }
    if (rc == SQLITE_OK) {
        rc = sqlite3_step(stmt);
    }
    sqlite3_finalize(stmt);
    return meaning(db, rc);
}

static int set_flags(sqlite3 *db)
{
    static const struct {
        int option, value;
    } flags[] = {
        {SQLITE_DBCONFIG_DEFENSIVE, 1},
        {SQLITE_DBCONFIG_TRUSTED_SCHEMA, 0},
        {SQLITE_DBCONFIG_ENABLE_LOAD_EXTENSION, 0},
        {SQLITE_DBCONFIG_ENABLE_FTS3_TOKENIZER, 0},
        {SQLITE_DBCONFIG_ENABLE_VIEW, 0},
        {SQLITE_DBCONFIG_DQS_DML, 0},
        {SQLITE_DBCONFIG_DQS_DDL, 0},
        {SQLITE_DBCONFIG_ENABLE_FKEY, 1},
    };
    int rc = SQLITE_OK;
    for (size_t i = 0; rc == SQLITE_OK && i < sizeof flags / sizeof *flags; i++) {
        int now = -1;
        rc = sqlite3_db_config(db, flags[i].option, flags[i].value, &now);
        if (rc == SQLITE_OK && now != flags[i].value) {
            rc = SQLITE_ERROR;
        }
    }
    return rc;
}

static int by_name(void *none, int an, const void *a, int bn, const void *b)
{
    (void)none;
    return text_order(a, (size_t)an, b, (size_t)bn);
}

static void set_limits(sqlite3 *db, enum db_use use)
{
    const bool maintains = use == DB_MAINTAIN || use == DB_LOOK;
    sqlite3_limit(db, SQLITE_LIMIT_LENGTH, maintains ? 100000000 : 1000000);
    sqlite3_limit(db, SQLITE_LIMIT_SQL_LENGTH, maintains ? 100000 : 20000);
    sqlite3_limit(db, SQLITE_LIMIT_EXPR_DEPTH, 50);
    sqlite3_limit(db, SQLITE_LIMIT_COMPOUND_SELECT, 4);
    sqlite3_limit(db, SQLITE_LIMIT_VDBE_OP, 25000);
    sqlite3_limit(db, SQLITE_LIMIT_ATTACHED, maintains ? 1 : 0);
    sqlite3_limit(db, SQLITE_LIMIT_WORKER_THREADS, 0);
}

static enum err set_pragmas(sqlite3 *db, enum db_use use)
{
    enum err e = db_exec(db, "PRAGMA secure_delete = ON;"
                             "PRAGMA cell_size_check = ON;"
                             "PRAGMA mmap_size = 0;"
                             "PRAGMA temp_store = MEMORY;"
                             "PRAGMA synchronous = FULL;"
                             "PRAGMA journal_size_limit = 1048576;");
    if (e == OK && use != DB_LOOK) {
        e = db_exec(db, "PRAGMA journal_mode = WAL;");
    }
    int64_t sync = 0, fk = 0;
    if (e == OK) {
        e = db_int(db, "PRAGMA synchronous", &sync);
    }
    if (e == OK) {
        e = db_int(db, "PRAGMA foreign_keys", &fk);
    }
    if (e == OK && (sync != 2 || fk != 1)) {
        e = ERR_STORE;
    }
    if (e == OK && use != DB_LOOK) {
        int64_t wal = 0;
        e = db_int(db, "SELECT journal_mode = 'wal' FROM pragma_journal_mode", &wal);
        e = e == OK && !wal ? ERR_STORE : e;
    }
    if (e == OK && use == DB_READ) {
        e = db_exec(db, "PRAGMA query_only = ON;");
    }
    return e;
}

enum err db_open(void *ctx, const char *path, enum db_use use, sqlite3 **out, const char **why)
{
    *out = NULL;
    pthread_once(&configured, configure);
    int flags = SQLITE_OPEN_NOFOLLOW | SQLITE_OPEN_EXRESCODE | SQLITE_OPEN_NOMUTEX |
                SQLITE_OPEN_PRIVATECACHE |
                (use == DB_LOOK ? SQLITE_OPEN_READONLY : SQLITE_OPEN_READWRITE);
    sqlite3 *db = NULL;
    int rc = sqlite3_open_v2(path, &db, flags, NULL);
    if (rc == SQLITE_OK) {
        rc = sqlite3_busy_timeout(db, 2000);
    }
    if (rc == SQLITE_OK) {
        rc = set_flags(db);
    }
    if (rc == SQLITE_OK) {      /* for ORDER BY alone: no index and no rule of the schema uses it */
        rc = sqlite3_create_collation_v2(db, "by_name", SQLITE_UTF8, NULL, by_name, NULL);
    }
    enum err e = meaning(db, rc);
    if (e == OK) {
        set_limits(db, use);
        e = set_pragmas(db, use);
    }
    if (e == OK) {
        *out = db;
        return OK;
    }
    *why = (rc & 0xff) == SQLITE_CANTOPEN || (rc & 0xff) == SQLITE_PERM
               ? mem_printf(ctx, "%s cannot be opened: does it exist, and may this user read and "
                                 "write it and its folder?", path)
               : mem_printf(ctx, "%s cannot be used as a database (%s)", path,
                            db ? sqlite3_errmsg(db) : "no memory");
    sqlite3_close(db);
    return e;
}

char *db_path(void *ctx, const char *dir, const char *name)
{
    char *real = realpath(dir, NULL);
    char *path = real ? mem_printf(ctx, "%s/%s", strcmp(real, "/") ? real : "", name) : NULL;
    free(real);
    return path;
}

char *db_real(void *ctx, const char *path)
{
    char *real = realpath(path, NULL);
    char *copy = mem_str(ctx, real);
    free(real);
    return copy;
}

bool db_file_make(const char *path)
{
    int fd = open(path, O_CREAT | O_EXCL | O_WRONLY | O_NOFOLLOW | O_CLOEXEC, 0600);
    if (fd < 0) {
        return false;
    }
    /* The umask may have taken bits away, never the owner's alone. */
    bool ok = fchmod(fd, 0600) == 0 && fsync(fd) == 0;
    return close(fd) == 0 && ok;
}

bool db_dir_sync(const char *path_inside)
{
    char copy[4096];
    if (strlen(path_inside) >= sizeof copy) {
        errno = ENAMETOOLONG;
        return false;
    }
    memcpy(copy, path_inside, strlen(path_inside) + 1);
    int fd = open(dirname(copy), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (fd < 0) {
        return false;
    }
    bool ok = fsync(fd) == 0;
    close(fd);
    return ok;
}
