/* SPDX-License-Identifier: MIT
 * Least data, held in place: every table and column of the schema stands in tests/data/schema.txt,
 * which is written by hand. A new column about a person fails here until somebody has said in that
 * file what it is for. */
#include <sqlite3.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "fixture.h"
#include "t.h"

enum { LINES_MAX = 600 };

struct lines {
    char *line[LINES_MAX];
    size_t n;
};

static int by_text(const void *a, const void *b)
{
    return strcmp(*(char *const *)a, *(char *const *)b);
}

static void read_list(void *mem, struct lines *out)
{
    FILE *f = fopen("tests/data/schema.txt", "r");
    if (!f) {
        fail_msg("tests/data/schema.txt: run from the top folder of the repository");
        return;
    }
    char row[256];
    while (fgets(row, sizeof row, f)) {
        row[strcspn(row, " \t\r\n#")] = '\0';
        if (*row) {
            assert_true(out->n < LINES_MAX);
            out->line[out->n++] = mem_str(mem, row);
        }
    }
    fclose(f);
    qsort(out->line, out->n, sizeof *out->line, by_text);
}

static void read_schema(const struct fixture *f, struct lines *out)
{
    sqlite3 *db = NULL;
    sqlite3_stmt *rows = NULL;
    assert_int_equal(sqlite3_open(fixture_path(f, "school.db"), &db), SQLITE_OK);
    assert_int_equal(sqlite3_prepare_v2(
                         db, "SELECT t.name || '.' || c.name FROM pragma_table_list t, "
                             "pragma_table_xinfo(t.name) c WHERE t.schema = 'main' "
                             "AND t.name NOT LIKE 'sqlite!_%' ESCAPE '!'", -1, &rows, NULL),
                     SQLITE_OK);
    while (sqlite3_step(rows) == SQLITE_ROW) {
        assert_true(out->n < LINES_MAX);
        out->line[out->n++] = mem_str(f->mem, (const char *)sqlite3_column_text(rows, 0));
    }
    sqlite3_finalize(rows);
    sqlite3_close(db);
    qsort(out->line, out->n, sizeof *out->line, by_text);
}

static void holds_what_is_listed_and_no_more(void **state)
{
    (void)state;
    struct fixture f;
    fixture_open(&f);
    static struct lines listed, there;
    read_list(f.mem, &listed);
    read_schema(&f, &there);
    size_t i = 0, j = 0, wrong = 0;
    while (i < listed.n || j < there.n) {
        int order = i == listed.n ? 1 : j == there.n ? -1 : strcmp(listed.line[i], there.line[j]);
        if (order < 0) {
            print_error("listed but not there: %s\n", listed.line[i]);
        } else if (order > 0) {
            print_error("there but not listed: %s\n", there.line[j]);
        }
        wrong += order != 0;
        i += order <= 0;
        j += order >= 0;
    }
    assert_true(there.n > 150);
    fixture_close(&f);
    assert_int_equal(wrong, 0);
}

/* Words of what is not held: a birth date, an address, a likeness, a need. */
static void holds_nothing_that_invites_more(void **state)
{
    (void)state;
    struct fixture f;
    fixture_open(&f);
    assert_int_equal(fixture_int(&f,
        "SELECT count(*) FROM pragma_table_list t, pragma_table_xinfo(t.name) c "
        "WHERE t.schema = 'main' AND (c.name LIKE '%birth%' OR c.name LIKE '%email%' "
        "OR c.name LIKE '%e_mail%' OR c.name LIKE '%postcode%' OR c.name LIKE '%photo%' "
        "OR c.name LIKE '%gender%' OR c.name LIKE '%sex' OR c.name LIKE '%ethnic%' "
        "OR c.name LIKE '%note%' OR c.name LIKE '%comment%' OR c.name LIKE 'ip' "
        "OR c.name LIKE '%ip!_addr%' ESCAPE '!' OR c.name LIKE '%user!_agent%' ESCAPE '!' "
        "OR c.name LIKE '%medical%' OR c.name LIKE '%surname%' OR c.name LIKE '%weight%' "
        "OR c.name LIKE '%height%' OR c.name LIKE '%rank%')"), 0);
    fixture_close(&f);
}

/* STRICT keeps a text out of a number's column. */
static void every_table_is_strict(void **state)
{
    (void)state;
    struct fixture f;
    fixture_open(&f);
    assert_int_equal(fixture_int(&f, "SELECT count(*) FROM pragma_table_list WHERE schema = 'main' "
                                     "AND type = 'table' AND NOT strict "
                                     "AND name NOT LIKE 'sqlite!_%' ESCAPE '!'"), 0);
    fixture_close(&f);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(holds_what_is_listed_and_no_more),
        cmocka_unit_test(holds_nothing_that_invites_more),
        cmocka_unit_test(every_table_is_strict),
    };
    return cmocka_run_group_tests_name("schema", tests, NULL, NULL);
}
