/* SPDX-License-Identifier: MIT
 * Test data folders. The school, its people and results are invented. */
#include "fixture.h"

#include <ftw.h>
#include <sqlite3.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "base/clock.h"
#include "base/log.h"
#include "base/mem.h"
#include "store/migrate.h"

static void must(int ok, const char *what)
{
    if (!ok) {
        fprintf(stderr, "# fixture: %s\n", what);
        abort();
    }
}

void fixture_dir(struct fixture *f)
{
    const char *tmp = getenv("TMPDIR");
    log_least(LOG_WARN);
    f->mem = mem_root();
    f->st = NULL;
    f->dir = mem_printf(f->mem, "%s/thrice-test-XXXXXX", tmp && *tmp ? tmp : "/tmp");
    must(mkdtemp(f->dir) != NULL, "mkdtemp");
}

void fixture_open(struct fixture *f)
{
    const char *why = "";
    fixture_dir(f);
    enum err e = migrate_up(f->mem, f->dir, &why);
    must(e == OK, why);
    e = store_open(f->mem, f->dir, STORE_WRITE, &f->st, &why);
    must(e == OK, why);
}

void fixture_school(struct fixture *f)
{
    fixture_open(f);
    must(clock_set_zone("Europe/London"), "zone data (package tzdata)");
    fixture_sql(f, "INSERT INTO school(id, name, time_zone, created_at) "
                   "VALUES (1, 'Larkfold Primary', 'Europe/London', 1788000000);"
                   "INSERT INTO staff(id, name, name_key, passphrase_hash, created_at) "
                   "VALUES (1, 'R. Amberley', 'r. amberley', '', 1788000000);"
                   "INSERT INTO staff_right (staff_id, right) VALUES (1, 'office'), "
                   "(1, 'pe_lead'), (1, 'safeguarding');"
                   "UPDATE staff_right SET agreed_at = 1788000000, opened_at = 1788000000;");
}

static int remove_one(const char *path, const struct stat *s, int type, struct FTW *at)
{
    (void)s;
    (void)type;
    (void)at;
    return remove(path);
}

void fixture_close(struct fixture *f)
{
    store_close(f->st);
    nftw(f->dir, remove_one, 16, FTW_DEPTH | FTW_PHYS);
    talloc_free(f->mem);
    *f = (struct fixture){0};
}

char *fixture_path(const struct fixture *f, const char *name)
{
    return mem_printf(f->mem, "%s/%s", f->dir, name);
}

static sqlite3 *open_db(const struct fixture *f)
{
    sqlite3 *db = NULL;
    must(sqlite3_open_v2(fixture_path(f, "school.db"), &db, SQLITE_OPEN_READWRITE, NULL) ==
             SQLITE_OK, "open");
    sqlite3_extended_result_codes(db, 1);
    sqlite3_busy_timeout(db, 2000);
    must(sqlite3_exec(db, "PRAGMA foreign_keys = ON", NULL, NULL, NULL) == SQLITE_OK, "pragma");
    return db;
}

int fixture_sql_rc(const struct fixture *f, const char *sql)
{
    sqlite3 *db = open_db(f);
    int rc = sqlite3_exec(db, sql, NULL, NULL, NULL);
    sqlite3_close(db);
    return rc;
}

void fixture_sql(const struct fixture *f, const char *sql)
{
    sqlite3 *db = open_db(f);
    char *message = NULL;
    int rc = sqlite3_exec(db, sql, NULL, NULL, &message);
    must(rc == SQLITE_OK, message ? message : sql);
    sqlite3_close(db);
}

long long fixture_int(const struct fixture *f, const char *sql)
{
    sqlite3 *db = open_db(f);
    sqlite3_stmt *stmt = NULL;
    must(sqlite3_prepare_v2(db, sql, -1, &stmt, NULL) == SQLITE_OK, sqlite3_errmsg(db));
    must(sqlite3_step(stmt) == SQLITE_ROW, sql);
    long long v = sqlite3_column_int64(stmt, 0);
    sqlite3_finalize(stmt);
    sqlite3_close(db);
    return v;
}

int fixture_setup(void **state, const char *sql)
{
    struct fixture *f = calloc(1, sizeof *f);
    if (f == NULL) {
        abort();
    }
    fixture_school(f);
    fixture_sql(f, sql);
    *state = f;
    return 0;
}

int fixture_teardown(void **state)
{
    fixture_close(*state);
    free(*state);
    return 0;
}
