/* SPDX-License-Identifier: MIT
 * Backups: readable by their owner alone, whole also while the school is being written to, never
 * over another file, refused when one byte is wrong; and restored into an empty folder only. */
#include "store/backup.h"

#include <fcntl.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/mem.h"
#include "fixture.h"
#include "store/store_internal.h"
#include "store/writer.h"
#include "t.h"

static char *copy_in(const struct fixture *to, const char *name)
{
    return mem_printf(to->mem, "%s/%s", to->dir, name);
}

static void copies_and_restores(void **state)
{
    (void)state;
    struct fixture f, out, back;
    fixture_school(&f);
    fixture_dir(&out);
    fixture_dir(&back);
    char *file = copy_in(&out, "monday.backup");
    const char *why = "";
    mode_t before = umask(0);
    assert_int_equal(backup_write(f.mem, f.dir, file, &why), OK);
    umask(before);
    struct stat s;
    assert_int_equal(stat(file, &s), 0);
    assert_int_equal(s.st_mode & 0777, 0600);
    assert_int_equal(backup_verify(f.mem, file, &why), OK);
    /* Nothing but the copy is left behind. */
    assert_int_equal(unlink(copy_in(&out, "other")), -1);
    assert_int_equal(backup_write(f.mem, f.dir, file, &why), ERR_CONFLICT);
    assert_non_null(strstr(why, "there already"));

    assert_int_equal(backup_restore(f.mem, file, back.dir, &why), OK);
    assert_int_equal(fixture_int(&back, "SELECT count(*) FROM staff WHERE name = 'R. Amberley'"), 1);
    assert_int_equal(stat(fixture_path(&back, "school.db"), &s), 0);
    assert_int_equal(s.st_mode & 0777, 0600);
    assert_int_equal(backup_restore(f.mem, file, back.dir, &why), ERR_CONFLICT);
    struct store *st = NULL;
    assert_int_equal(store_open(f.mem, back.dir, STORE_READ, &st, &why), OK);
    store_close(st);

    assert_int_equal(unlink(file), 0);
    assert_true(backup_dir_is_empty(out.dir));
    assert_int_equal(rmdir(out.dir), 0);
    assert_true(backup_dir_is_empty(out.dir));
    fixture_close(&f);
    fixture_close(&back);
    fixture_close(&out);
}

static void refuses_what_is_no_backup(void **state)
{
    (void)state;
    struct fixture f, out;
    fixture_school(&f);
    fixture_dir(&out);
    const char *why = "";
    assert_int_equal(backup_write(f.mem, "/nowhere/at/all", copy_in(&out, "a"), &why), ERR_NOT_FOUND);
    assert_int_equal(backup_write(f.mem, f.dir, "/nowhere/at/all/a", &why), ERR_NOT_FOUND);
    assert_int_not_equal(backup_verify(f.mem, copy_in(&out, "a"), &why), OK);
    assert_int_not_equal(backup_verify(f.mem, "/etc/hostname", &why), OK);
    char *link_to = copy_in(&out, "link");
    assert_int_equal(symlink(fixture_path(&f, "school.db"), link_to), 0);
    assert_int_equal(backup_verify(f.mem, link_to, &why), OK);      /* read through, yes */
    assert_int_equal(backup_write(f.mem, f.dir, link_to, &why), ERR_CONFLICT);  /* written, no */
    assert_int_equal(unlink(link_to), 0);

    /* A file that is a database, even with our number, but not our schema. */
    sqlite3 *db = NULL;
    char *other = copy_in(&out, "other");
    assert_int_equal(sqlite3_open(other, &db), SQLITE_OK);
    assert_int_equal(sqlite3_exec(db, "PRAGMA application_id = 1414025795; PRAGMA user_version = 1; "
                                      "CREATE TABLE school(x)", NULL, NULL, NULL), SQLITE_OK);
    sqlite3_close(db);
    assert_int_not_equal(backup_verify(f.mem, other, &why), OK);
    struct fixture back;
    fixture_dir(&back);
    assert_int_not_equal(backup_restore(f.mem, other, back.dir, &why), OK);
    assert_true(backup_dir_is_empty(back.dir));
    fixture_close(&back);
    fixture_close(&out);
    fixture_close(&f);
}

static void flip(const char *file, off_t at)
{
    int fd = open(file, O_RDWR);
    unsigned char c;
    assert_true(fd >= 0 && pread(fd, &c, 1, at) == 1);
    c ^= 0xff;
    assert_true(pwrite(fd, &c, 1, at) == 1);
    close(fd);
}

/* Damage to structure is found (a changed letter inside a text is not: a plain copy has no seal). */
static void finds_damage(void **state)
{
    (void)state;
    struct fixture f, out;
    fixture_school(&f);
    fixture_dir(&out);
    char *file = copy_in(&out, "a");
    const char *why = "";
    assert_int_equal(backup_write(f.mem, f.dir, file, &why), OK);
    struct stat s;
    assert_int_equal(stat(file, &s), 0);
    static const off_t header[] = {0, 15, 16, 68, 60};
    for (size_t i = 0; i < T_COUNT(header); i++) {
        flip(file, header[i]);
        if (backup_verify(f.mem, file, &why) == OK) {
            fail_msg("byte %ld", (long)header[i]);
        }
        flip(file, header[i]);
        assert_int_equal(backup_verify(f.mem, file, &why), OK);
    }
    for (off_t page = 4096; page < s.st_size; page += 4096) {
        flip(file, page);           /* the kind of the page */
        if (backup_verify(f.mem, file, &why) == OK) {
            fail_msg("page at %ld", (long)page);
        }
        flip(file, page);
    }
    assert_int_equal(truncate(file, s.st_size - 4096), 0);
    assert_int_not_equal(backup_verify(f.mem, file, &why), OK);
    fixture_close(&out);
    fixture_close(&f);
}

struct pair {
    struct writer_job job;
    int day;
    bool done;
};

/* Two rows in one job: a copy that holds one of them is torn. */
static enum err insert_pair(struct store *st, void *arg)
{
    const struct pair *p = arg;
    char sql[96];
    snprintf(sql, sizeof sql, "INSERT INTO closed_day VALUES (%d), (%d)", p->day, -p->day);
    return db_exec(st->db, sql);
}

static void pair_done(void *arg, enum err result)
{
    struct pair *p = arg;
    p->done = result == OK;
}

static void is_whole_while_the_writer_works(void **state)
{
    (void)state;
    struct fixture f, out;
    fixture_school(&f);
    fixture_dir(&out);
    store_close(f.st);
    f.st = NULL;
    struct writer *w = NULL;
    const char *why = "";
    assert_int_equal(writer_start(f.mem, f.dir, &w, &why), OK);
    enum { PAIRS = 3000, COPIES = 3 };
    struct pair *pairs = mem_array(f.mem, struct pair, PAIRS);
    for (int i = 0; i < PAIRS; i++) {
        pairs[i].day = 1 + i;
        pairs[i].job = (struct writer_job){.fn = insert_pair, .done = pair_done, .arg = &pairs[i]};
    }
    int sent = 0;
    for (int c = 0; c < COPIES; c++) {
        for (; sent < PAIRS / COPIES * (c + 1); sent++) {
            assert_true(writer_submit(w, &pairs[sent].job));
        }
        char *file = copy_in(&out, mem_printf(f.mem, "copy%d", c));
        assert_int_equal(backup_write(f.mem, f.dir, file, &why), OK);
    }
    writer_stop(w);
    for (int i = 0; i < PAIRS; i++) {
        assert_true(pairs[i].done);
    }
    for (int c = 0; c < COPIES; c++) {
        sqlite3 *db = NULL;
        int64_t torn = -1;
        assert_int_equal(sqlite3_open(copy_in(&out, mem_printf(f.mem, "copy%d", c)), &db), SQLITE_OK);
        assert_int_equal(db_int(db, "SELECT count(*) FROM closed_day a WHERE NOT EXISTS "
                                    "(SELECT 1 FROM closed_day b WHERE b.day = -a.day)", &torn), OK);
        assert_int_equal(torn, 0);
        sqlite3_close(db);
    }
    assert_int_equal(fixture_int(&f, "SELECT count(*) FROM closed_day"), 2 * PAIRS);
    fixture_close(&out);
    fixture_close(&f);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(copies_and_restores),
        cmocka_unit_test(refuses_what_is_no_backup),
        cmocka_unit_test(finds_damage),
        cmocka_unit_test(is_whole_while_the_writer_works),
    };
    return cmocka_run_group_tests_name("backup", tests, NULL, NULL);
}
