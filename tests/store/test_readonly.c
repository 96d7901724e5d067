/* SPDX-License-Identifier: MIT
 * Connections with the settings that SQLite's "Defense Against The Dark Arts" page recommends for
 * files one does not trust, and those of server/store/db.c, read back; and a reader that cannot write, whatever is
 * prepared on it. */
#include "fixture.h"
#include "store/query.h"
#include "store/store_internal.h"
#include "t.h"

static struct store *open_as(const struct fixture *f, enum store_mode mode)
{
    struct store *st = NULL;
    const char *why = "";
    if (store_open(f->mem, f->dir, mode, &st, &why) != OK) {
        fail_msg("%s", why);
    }
    return st;
}

static int64_t ask(struct store *st, const char *sql)
{
    int64_t v = -1;
    assert_int_equal(db_int(st->db, sql, &v), OK);
    return v;
}

static void every_setting_reads_back(void **state)
{
    (void)state;
    struct fixture f;
    fixture_open(&f);
    struct store *r = open_as(&f, STORE_READ);
    struct store *both[] = {r, f.st};
    static const struct {
        const char *sql;
        int64_t want;
    } settings[] = {
        {"PRAGMA synchronous", 2},      {"PRAGMA foreign_keys", 1}, {"PRAGMA secure_delete", 1},
        {"PRAGMA cell_size_check", 1},  {"PRAGMA temp_store", 2},   {"PRAGMA trusted_schema", 0},
        {"PRAGMA busy_timeout", 2000},  {"PRAGMA journal_size_limit", 1048576},
        {"SELECT journal_mode = 'wal' FROM pragma_journal_mode", 1},
        {"PRAGMA application_id", STORE_APPLICATION_ID},
        {"PRAGMA mmap_size", 0},
    };
    static const struct {
        int option, want;
    } flags[] = {
        {SQLITE_DBCONFIG_DEFENSIVE, 1},          {SQLITE_DBCONFIG_TRUSTED_SCHEMA, 0},
        {SQLITE_DBCONFIG_ENABLE_LOAD_EXTENSION, 0}, {SQLITE_DBCONFIG_DQS_DML, 0},
        {SQLITE_DBCONFIG_DQS_DDL, 0},            {SQLITE_DBCONFIG_ENABLE_FTS3_TOKENIZER, 0},
        {SQLITE_DBCONFIG_ENABLE_FKEY, 1},        {SQLITE_DBCONFIG_ENABLE_TRIGGER, 1},
    };
    static const struct {
        int limit, want;
    } limits[] = {
        {SQLITE_LIMIT_LENGTH, 1000000}, {SQLITE_LIMIT_SQL_LENGTH, 20000},
        {SQLITE_LIMIT_EXPR_DEPTH, 50},  {SQLITE_LIMIT_COMPOUND_SELECT, 4},
        {SQLITE_LIMIT_VDBE_OP, 25000},  {SQLITE_LIMIT_ATTACHED, 0},
    };
    for (size_t k = 0; k < T_COUNT(both); k++) {
        for (size_t i = 0; i < T_COUNT(settings); i++) {
            if (ask(both[k], settings[i].sql) != settings[i].want) {
                fail_msg("%s", settings[i].sql);
            }
        }
        for (size_t i = 0; i < T_COUNT(flags); i++) {
            int now = -1;
            assert_int_equal(sqlite3_db_config(both[k]->db, flags[i].option, -1, &now), SQLITE_OK);
            assert_int_equal(now, flags[i].want);
        }
        for (size_t i = 0; i < T_COUNT(limits); i++) {
            assert_int_equal(sqlite3_limit(both[k]->db, limits[i].limit, -1), limits[i].want);
        }
    }
    assert_int_equal(ask(r, "PRAGMA query_only"), 1);
    assert_int_equal(ask(f.st, "PRAGMA query_only"), 0);
    store_close(r);
    fixture_close(&f);
}

/* Every statement of the program that is not read-only, run on a reader with nothing bound: none
 * may get as far as a change. */
static void a_reader_changes_nothing(void **state)
{
    (void)state;
    struct fixture f;
    fixture_school(&f);
    struct store *r = open_as(&f, STORE_READ);
    size_t writes = 0;
    for (size_t i = 0; i < r->set_count; i++) {
        for (size_t j = 0; j < r->sets[i].set->count; j++) {
            sqlite3_stmt *stmt = store_statement(r, r->sets[i].set, j);
            if (sqlite3_stmt_readonly(stmt)) {
                continue;
            }
            writes++;
            int rc = sqlite3_step(stmt);
            if ((rc & 0xff) != SQLITE_READONLY) {
                fail_msg("%s / %s: %d", r->sets[i].set->name, r->sets[i].set->defs[j].name, rc);
            }
            sqlite3_reset(stmt);
        }
    }
    assert_true(writes > 20);
    assert_int_equal(sqlite3_total_changes(r->db), 0);
    assert_int_equal(sqlite3_exec(r->db, "UPDATE school SET name = 'x'", NULL, NULL, NULL),
                     SQLITE_READONLY);
    assert_int_not_equal(sqlite3_exec(r->db, "ATTACH ':memory:' AS a", NULL, NULL, NULL), SQLITE_OK);
    assert_int_not_equal(sqlite3_exec(r->db, "SELECT load_extension('x')", NULL, NULL, NULL),
                         SQLITE_OK);
    assert_int_not_equal(sqlite3_exec(r->db, "SELECT \"no such column\"", NULL, NULL, NULL),
                         SQLITE_OK);
    store_close(r);
    fixture_close(&f);
}

static enum err one_closed_day(struct store *st, void *arg)
{
    (void)arg;
    return db_exec(st->db, "INSERT INTO closed_day VALUES (20000)");
}

static enum err then_fails(struct store *st, void *arg)
{
    (void)arg;
    assert_int_equal(db_exec(st->db, "INSERT INTO closed_day VALUES (20001)"), OK);
    return ERR_BAD_INPUT;
}

/* Readers and the change count: equal while nothing changes, other after each commit, also after
 * one made by another process (here: a connection that is no store). */
static void the_change_count_follows_commits(void **state)
{
    (void)state;
    struct fixture f;
    fixture_school(&f);
    struct store *a = open_as(&f, STORE_READ), *b = open_as(&f, STORE_READ);
    store_change_count(a);
    store_change_count(b);
    uint64_t before = store_change_count(a);
    assert_true(store_change_count(a) == before);
    assert_true(store_change_count(b) == before);

    assert_int_equal(store_tx(f.st, "test", one_closed_day, NULL), OK);
    uint64_t own = store_change_count(a);
    assert_true(own != before);
    store_change_count(b);
    assert_true(store_change_count(a) == store_change_count(b));

    own = store_change_count(a);
    fixture_sql(&f, "INSERT INTO closed_day VALUES (20002)");
    assert_true(store_change_count(b) != own);
    assert_true(store_change_count(a) != own);

    own = store_change_count(a);
    own = store_change_count(b);
    assert_int_equal(store_tx(f.st, "test", then_fails, NULL), ERR_BAD_INPUT);
    assert_true(store_change_count(a) == own);
    assert_int_equal(fixture_int(&f, "SELECT count(*) FROM closed_day"), 2);
    store_close(a);
    store_close(b);
    fixture_close(&f);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_setting_reads_back),
        cmocka_unit_test(a_reader_changes_nothing),
        cmocka_unit_test(the_change_count_follows_commits),
    };
    return cmocka_run_group_tests_name("readonly", tests, NULL, NULL);
}
