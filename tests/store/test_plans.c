/* SPDX-License-Identifier: MIT
 * How SQLite would run every statement of the program. A full scan fails unless its SQL names the
 * reason in a comment that begins with "scan:". */
#include <sqlite3.h>
#include <string.h>

#include "base/mem.h"
#include "fixture.h"
#include "store/store.h"
#include "t.h"

/* A scan of a table or index. Not one: a subquery's own rows, a constant row, json_each's. */
static bool is_full_scan(const char *detail)
{
    if (strncmp(detail, "SCAN ", 5) != 0 || strstr(detail, "VIRTUAL TABLE")) {
        return false;
    }
    const char *what = detail + 5;
    return strncmp(what, "CONSTANT ROW", 12) != 0 && strncmp(what, "(subquery", 9) != 0 &&
           strncmp(what, "SUBQUERY", 8) != 0;
}

/* Names of common table expressions are given like tables; what they scan has rows of its own. */
static bool is_named_subquery(const char *detail, const char *sql, void *mem)
{
    char name[64];
    size_t n = strcspn(detail + 5, " ");
    if (n >= sizeof name) {
        return false;
    }
    memcpy(name, detail + 5, n);
    name[n] = '\0';
    return strstr(sql, mem_printf(mem, "%s AS (", name)) != NULL ||
           strstr(sql, mem_printf(mem, "%s AS MATERIALIZED (", name)) != NULL;
}

static size_t look(sqlite3 *db, void *mem, const char *set, const struct stmt_def *def)
{
    sqlite3_stmt *plan = NULL;
    const char *sql = mem_printf(mem, "EXPLAIN QUERY PLAN %s", def->sql);
    if (sqlite3_prepare_v2(db, sql, -1, &plan, NULL) != SQLITE_OK) {
        print_error("%s / %s: %s\n", set, def->name, sqlite3_errmsg(db));
        return 1;
    }
    size_t wrong = 0;
    while (sqlite3_step(plan) == SQLITE_ROW) {
        const char *detail = (const char *)sqlite3_column_text(plan, 3);
        if (!is_full_scan(detail) || is_named_subquery(detail, def->sql, mem)) {
            continue;
        }
        if (!strstr(def->sql, "/*scan:")) {
            print_error("%s / %s: %s\n", set, def->name, detail);
            wrong++;
        }
    }
    sqlite3_finalize(plan);
    return wrong;
}

/* Plans depend on the name of a collation, not on what it says. */
static int any_order(void *none, int an, const void *a, int bn, const void *b)
{
    (void)none;
    int order = memcmp(a, b, (size_t)(an < bn ? an : bn));
    return order ? order : an - bn;
}

static sqlite3 *open_plain(const struct fixture *f)
{
    sqlite3 *db = NULL;
    assert_int_equal(sqlite3_open(fixture_path(f, "school.db"), &db), SQLITE_OK);
    assert_int_equal(sqlite3_create_collation(db, "by_name", SQLITE_UTF8, NULL, any_order),
                     SQLITE_OK);
    return db;
}

static void no_statement_scans_unsaid(void **state)
{
    (void)state;
    struct fixture f;
    fixture_open(&f);
    sqlite3 *db = open_plain(&f);
    size_t wrong = 0, seen = 0;
    for (size_t i = 0; store_sets[i]; i++) {
        for (size_t j = 0; j < store_sets[i]->count; j++, seen++) {
            wrong += look(db, f.mem, store_sets[i]->name, &store_sets[i]->defs[j]);
        }
    }
    sqlite3_close(db);
    fixture_close(&f);
    assert_true(seen > 50);
    assert_int_equal(wrong, 0);
}

/* The test itself: a scan is seen, a search is not one. */
static void tells_a_scan_from_a_search(void **state)
{
    (void)state;
    struct fixture f;
    fixture_open(&f);
    sqlite3 *db = open_plain(&f);
    static const struct stmt_def good[] = {
        {"search", "SELECT name FROM staff WHERE id = :id"},
        {"said", "SELECT name FROM staff /*scan: at most 60 rows*/"},
        {"each", "SELECT value FROM json_each(:ids)"},
        {"named", "WITH few AS (SELECT name FROM staff WHERE id = :id) SELECT name FROM few"},
    };
    static const struct stmt_def bad[] = {
        {"scan", "SELECT name FROM staff"},
        {"unindexed", "SELECT id FROM pupil WHERE picture = :p"},
        {"hidden", "WITH few AS (SELECT name FROM staff) SELECT name FROM few"},
        {"broken", "SELECT nothing FROM staff"},
    };
    for (size_t i = 0; i < T_COUNT(good); i++) {
        assert_int_equal(look(db, f.mem, "good", &good[i]), 0);
    }
    for (size_t i = 0; i < T_COUNT(bad); i++) {
        assert_true(look(db, f.mem, "expected", &bad[i]) > 0);
    }
    sqlite3_close(db);
    fixture_close(&f);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(no_statement_scans_unsaid),
        cmocka_unit_test(tells_a_scan_from_a_search),
    };
    return cmocka_run_group_tests_name("plans", tests, NULL, NULL);
}
