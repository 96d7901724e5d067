/* SPDX-License-Identifier: MIT
 * Migrations: whole or not at all, never twice, never another text; and what store_open refuses. */
#include "store/migrate.h"

#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/mem.h"
#include "fixture.h"
#include "store/inspect.h"
#include "store/store_internal.h"
#include "t.h"

#define HASH_A "aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa"
#define HASH_B "bbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbb"
#define FILE_OF(name, sql, hash) {name, sql, sizeof(sql) - 1, hash}

static const struct migration_file two[] = {
    FILE_OF("0001_a.sql", "CREATE TABLE a(x INTEGER PRIMARY KEY) STRICT;", HASH_A),
    FILE_OF("0002_b.sql", "CREATE TABLE b(y INTEGER REFERENCES a(x)) STRICT;", HASH_B),
};

static mode_t mode_of(const char *path)
{
    struct stat s;
    assert_int_equal(stat(path, &s), 0);
    return s.st_mode & 0777;
}

static enum err with(const struct fixture *f, const struct migration_file *files, size_t n)
{
    const char *why = NULL;
    enum err e = migrate_with(f->mem, f->dir, &(struct migration_list){files, n}, &why);
    if (e != OK) {
        assert_non_null(why);
        assert_true(strlen(why) > 10);
    }
    return e;
}

static void makes_folder_and_file(void **state)
{
    (void)state;
    struct fixture f;
    fixture_dir(&f);
    const char *why = NULL;
    assert_int_equal(rmdir(f.dir), 0);
    mode_t before = umask(0);
    assert_int_equal(migrate_up(f.mem, f.dir, &why), OK);
    umask(before);
    assert_int_equal(mode_of(f.dir), 0700);
    assert_int_equal(mode_of(fixture_path(&f, "school.db")), 0600);
    assert_int_equal(fixture_int(&f, "PRAGMA user_version"), migrate_newest());
    assert_int_equal(fixture_int(&f, "PRAGMA application_id"), STORE_APPLICATION_ID);
    assert_int_equal(fixture_int(&f, "SELECT count(*) FROM migration"), migrate_newest());
    /* Again: nothing to do, no copy made. */
    assert_int_equal(migrate_up(f.mem, f.dir, &why), OK);
    assert_int_equal(fixture_int(&f, "SELECT count(*) FROM migration"), migrate_newest());
    fixture_close(&f);
}

/* The hash that goes in is that of the file (FIPS 180-4 by sha256sum). */
static void notes_the_hash_of_each_file(void **state)
{
    (void)state;
    for (uint64_t i = 0; i < migration_file_count; i++) {
        char command[256], got[65] = {0};
        snprintf(command, sizeof command, "sha256sum migrations/%s", migration_files[i].name);
        FILE *p = popen(command, "r");
        assert_non_null(p);
        assert_int_equal(fread(got, 1, 64, p), 64);
        pclose(p);
        assert_string_equal(got, migration_files[i].sha256);
        assert_int_equal(strlen(migration_files[i].sql), migration_files[i].len);
    }
}

static void goes_up_with_a_copy(void **state)
{
    (void)state;
    struct fixture f;
    fixture_dir(&f);
    assert_int_equal(with(&f, two, 1), OK);
    fixture_sql(&f, "INSERT INTO a VALUES (7)");
    assert_int_not_equal(access(fixture_path(&f, "school-before-0002.db"), F_OK), 0);
    assert_int_equal(with(&f, two, 2), OK);
    assert_int_equal(fixture_int(&f, "SELECT x FROM a"), 7);
    assert_int_equal(fixture_int(&f, "PRAGMA user_version"), 2);
    char *copy = fixture_path(&f, "school-before-0002.db");
    assert_int_equal(mode_of(copy), 0600);
    sqlite3 *db = NULL;
    int64_t v = 0;
    assert_int_equal(sqlite3_open(copy, &db), SQLITE_OK);
    assert_int_equal(db_int(db, "SELECT x FROM a", &v), OK);
    assert_int_equal(v, 7);
    assert_int_equal(db_int(db, "PRAGMA user_version", &v), OK);
    assert_int_equal(v, 1);
    sqlite3_close(db);
    fixture_close(&f);
}

/* What fails in the middle leaves the old version, whole. */
static void a_broken_one_changes_nothing(void **state)
{
    (void)state;
    static const char *const broken[] = {
        "CREATE TABLE b(y INTEGER) STRICT; INSERT INTO b VALUES (1); SELECT nothing FROM b;",
        "CREATE TABLE b(y INTEGER) STRICT; THIS IS NOT SQL;",
        "CREATE TABLE b(y INTEGER REFERENCES a(x)) STRICT; INSERT INTO b VALUES (99);",
        "DROP TABLE a; PRAGMA user_version = 9; CREATE TABLE b(y INTEGER CHECK (y > 0)); "
        "INSERT INTO b VALUES (0);",
    };
    for (size_t i = 0; i < T_COUNT(broken); i++) {
        struct fixture f;
        fixture_dir(&f);
        struct migration_file files[2] = {two[0], {"0002_b.sql", broken[i], strlen(broken[i]), HASH_B}};
        assert_int_equal(with(&f, files, 1), OK);
        fixture_sql(&f, "INSERT INTO a VALUES (7)");
        assert_int_not_equal(with(&f, files, 2), OK);
        assert_int_equal(fixture_int(&f, "PRAGMA user_version"), 1);
        assert_int_equal(fixture_int(&f, "SELECT count(*) FROM sqlite_schema WHERE name = 'b'"), 0);
        assert_int_equal(fixture_int(&f, "SELECT x FROM a"), 7);
        assert_int_equal(with(&f, two, 2), OK);     /* and the mended one goes in */
        assert_int_equal(fixture_int(&f, "PRAGMA user_version"), 2);
        fixture_close(&f);
    }
}

static void refuses_what_does_not_fit(void **state)
{
    (void)state;
    struct fixture f;
    fixture_dir(&f);
    assert_int_equal(with(&f, two, 2), OK);
    assert_int_not_equal(with(&f, two, 1), OK);                     /* newer than the program */
    struct migration_file other[2] = {two[0], two[1]};
    other[0].sha256 = HASH_B;
    assert_int_not_equal(with(&f, other, 2), OK);                   /* reads differently now */
    struct migration_file gap[2] = {two[0], two[1]};
    gap[1].name = "0003_b.sql";
    assert_int_not_equal(with(&f, gap, 2), OK);
    gap[1].name = "b.sql";
    assert_int_not_equal(with(&f, gap, 2), OK);
    assert_int_equal(with(&f, two, 2), OK);
    fixture_close(&f);

    fixture_dir(&f);                                                /* somebody else's database */
    assert_true(db_file_make(fixture_path(&f, "school.db")));
    fixture_sql(&f, "CREATE TABLE theirs(x)");
    assert_int_not_equal(with(&f, two, 2), OK);
    assert_int_equal(fixture_int(&f, "SELECT count(*) FROM sqlite_schema"), 1);
    fixture_close(&f);

    fixture_dir(&f);                                                /* not a database */
    FILE *file = fopen(fixture_path(&f, "school.db"), "w");
    assert_non_null(file);
    fputs("these are only words, and more than a hundred bytes of them, so that the header of a "
          "database is missing for certain", file);
    fclose(file);
    assert_int_not_equal(with(&f, two, 2), OK);
    fixture_close(&f);

    fixture_dir(&f);                                                /* a link in place of the file */
    assert_int_equal(symlink("/etc/hostname", fixture_path(&f, "school.db")), 0);
    assert_int_not_equal(with(&f, two, 2), OK);
    fixture_close(&f);
}

static enum err open_store(const struct fixture *f, const char **why)
{
    struct store *st = NULL;
    *why = NULL;
    enum err e = store_open(f->mem, f->dir, STORE_WRITE, &st, why);
    store_close(st);
    return e;
}

static void a_store_refuses_other_schemas(void **state)
{
    (void)state;
    struct fixture f;
    const char *why;
    fixture_dir(&f);
    assert_int_not_equal(open_store(&f, &why), OK);                 /* nothing there */
    assert_non_null(strstr(why, "school.db"));
    assert_int_equal(with(&f, two, 2), OK);
    assert_int_not_equal(open_store(&f, &why), OK);                 /* our id, other text */
    fixture_close(&f);

    fixture_open(&f);
    assert_int_equal(open_store(&f, &why), OK);
    char pragma[60];
    snprintf(pragma, sizeof pragma, "PRAGMA user_version = %d", migrate_newest() + 1);
    fixture_sql(&f, pragma);
    assert_int_not_equal(open_store(&f, &why), OK);
    assert_non_null(strstr(why, "newer"));
    snprintf(pragma, sizeof pragma, "PRAGMA user_version = %d", migrate_newest() - 1);
    fixture_sql(&f, pragma);
    assert_int_not_equal(open_store(&f, &why), OK);
    snprintf(pragma, sizeof pragma, "PRAGMA user_version = %d", migrate_newest());
    fixture_sql(&f, pragma);
    assert_int_equal(open_store(&f, &why), OK);
    fixture_sql(&f, "PRAGMA application_id = 1");
    assert_int_not_equal(open_store(&f, &why), OK);
    assert_non_null(strstr(why, "not made by thrice"));
    assert_int_equal(store_open(f.mem, "/nowhere/at/all", STORE_READ, &(struct store *){NULL}, &why),
                     ERR_NOT_FOUND);
    fixture_close(&f);
}

/* A column missing from the schema stops the opening, not a lesson. */
static void a_missing_column_stops_the_start(void **state)
{
    (void)state;
    struct fixture f;
    const char *why;
    fixture_open(&f);
    store_close(f.st);
    f.st = NULL;
    fixture_sql(&f, "ALTER TABLE school RENAME COLUMN away_phone TO phone");
    assert_int_not_equal(open_store(&f, &why), OK);
    assert_non_null(strstr(why, "away_phone"));
    fixture_close(&f);
}

/* A school from before two persons had to agree: who read messages goes on reading, and from then
 * on a second person is needed where there are two who may accept. */
static void rights_from_before_are_agreed_to(void **state)
{
    (void)state;
    struct fixture f;
    size_t before = 0;
    fixture_dir(&f);
    while (!strstr(migration_files[before].name, "two_persons")) {
        before++;
    }
    assert_int_equal(with(&f, migration_files, before), OK);
    fixture_sql(&f,
        "INSERT INTO school(id, name, time_zone, created_at) VALUES (1, 'L', 'Europe/London', 1);"
        "INSERT INTO staff(id, name, name_key, passphrase_hash, created_at) VALUES"
        " (1, 'A', 'a', '', 1), (2, 'B', 'b', '', 1), (3, 'C', 'c', '', 1);"
        "INSERT INTO staff_right(staff_id, right) VALUES (1, 'safeguarding'), (2, 'office'),"
        " (3, 'pe_lead');"
        "INSERT INTO class(id, name, name_key, kind, created_at) VALUES (7, 'K', 'k', 'class', 1);"
        "INSERT INTO class_right(class_id, staff_id, right, until_day) VALUES (7, 2, 'teach', 90),"
        " (7, 3, 'help', NULL);");
    assert_int_equal(with(&f, migration_files, (size_t)migration_file_count), OK);
    assert_int_equal(fixture_int(&f, "SELECT count(*) FROM staff_right WHERE agreed_at IS NOT NULL"
                                     " AND opened_at = agreed_at"), 2);
    assert_int_equal(fixture_int(&f, "SELECT count(*) FROM class_right WHERE agreed_at IS NOT NULL"
                                     " AND agreed_until_day = 90 AND staff_id = 2"), 1);
    assert_int_equal(fixture_int(&f, "SELECT count(*) FROM class_right WHERE agreed_at IS NULL"), 1);
    assert_int_equal(fixture_int(&f, "SELECT two_persons_at IS NOT NULL FROM school"), 1);
    assert_int_equal(fixture_int(&f, "SELECT count(*) FROM staff WHERE unagreed_at IS NULL"), 3);
    fixture_close(&f);
}

static size_t findings(const struct fixture *f)
{
    struct inspect seen;
    assert_int_equal(inspect_database(f->mem, f->dir, &seen), OK);
    return seen.count;
}

static void inspection_finds_tampering(void **state)
{
    (void)state;
    static const char *const harm[] = {
        "DROP TRIGGER audit_kept",
        "CREATE TRIGGER t AFTER INSERT ON hand_in BEGIN SELECT 1; END",
        "DROP INDEX hand_in_pupil",
        "CREATE TABLE extra(x)",
        "ALTER TABLE school ADD COLUMN motto TEXT",
        "PRAGMA application_id = 1",
        "PRAGMA user_version = 0",
        "UPDATE migration SET sha256 = 'x'",
        "PRAGMA foreign_keys = OFF;"
        " INSERT INTO class_right (class_id, staff_id, right, until_day) VALUES (1, 2, 'teach', NULL)",
    };
    for (size_t i = 0; i < T_COUNT(harm); i++) {
        struct fixture f;
        fixture_open(&f);
        assert_int_equal(findings(&f), 0);
        fixture_sql(&f, harm[i]);
        if (findings(&f) == 0) {
            fail_msg("not found: %s", harm[i]);
        }
        fixture_close(&f);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(makes_folder_and_file),
        cmocka_unit_test(notes_the_hash_of_each_file),
        cmocka_unit_test(goes_up_with_a_copy),
        cmocka_unit_test(a_broken_one_changes_nothing),
        cmocka_unit_test(refuses_what_does_not_fit),
        cmocka_unit_test(a_store_refuses_other_schemas),
        cmocka_unit_test(a_missing_column_stops_the_start),
        cmocka_unit_test(inspection_finds_tampering),
        cmocka_unit_test(rights_from_before_are_agreed_to),
    };
    return cmocka_run_group_tests_name("migrate", tests, NULL, NULL);
}
