/* SPDX-License-Identifier: MIT
 * What the schema itself refuses, whoever asks: changed hand-ins and audit rows, values outside
 * their domain, references that lead nowhere; and that erasing a child takes all of the child. */
#include <sqlite3.h>
#include <stdio.h>

#include "fixture.h"
#include "t.h"

/* One class, one child, one challenge, one hand-in of three attempts. Invented. */
static const char world[] =
    "INSERT INTO class VALUES (10, 'Oak', 'oak', 'class', 1788000000, NULL);"
    "INSERT INTO pupil VALUES (20, 'Wren', 'wren', 3, 4, 'open', NULL, 1788000000, NULL);"
    "INSERT INTO membership VALUES (20, 10, 20700, NULL);"
    "INSERT INTO card VALUES (30, 20, 'pupil', 'home', randomblob(32), randomblob(32), 20700, 1, "
    "NULL, NULL, NULL);"
    "INSERT INTO session VALUES (31, randomblob(32), 'pupil', NULL, 1788000000, 1788000000, "
    "1788000000);"
    "INSERT INTO session_card VALUES (31, 30);"
    "INSERT INTO unit(id, name, created_at) VALUES (40, 'Aiming', 1788000000);"
    "INSERT INTO activity VALUES (41, NULL, 1788000000, NULL);"
    "INSERT INTO revision(id, activity_id, number, name, strand, kind, unit, attempts, throws, "
    "summary, set_up, scoring, created_at) VALUES (42, 41, 1, 'Slide at zones', 'target', 'zones', "
    "'points', 3, 4, '', '', '', 1788000000);"
    "INSERT INTO version VALUES (43, 42, 'standard', '');"
    "INSERT INTO cue VALUES (44, 42, 1, 'eyes on one spot');"
    "INSERT INTO question VALUES (45, 42, 1, 'Which is further?');"
    "INSERT INTO choice VALUES (46, 45, 1, 'Four steps', 1);"
    "INSERT INTO challenge VALUES (50, 42, 40, 10, 1788000000, 1788600000, 1789000000, 1788000000, 1);"
    "INSERT INTO challenge_class VALUES (10, 50);"
    "INSERT INTO hand_in(seq, id, pupil_id, challenge_id, version_id, channel, received_at, "
    "done_day, after_date, best, confirmed, surprising, content_hash) "
    "VALUES (60, randomblob(16), 20, 50, 43, 'web', 1788100000, 20696, 0, 9, 0, 0, randomblob(32));"
    "INSERT INTO attempt VALUES (60, 1, 9, '[2,5,0,2]', 3000, NULL, 0), "
    "(60, 2, 4, NULL, 3000, NULL, 0), (60, 3, 7, NULL, NULL, NULL, 0);"
    "INSERT INTO hand_in_cue VALUES (60, 44);"
    "INSERT INTO hand_in_answer VALUES (60, 45, 46);"
    "INSERT INTO hand_in_mark VALUES (61, 60, 'mistake', NULL, NULL, 1788100100);"
    "INSERT INTO seen VALUES (62, 20, 40, 44, 1, 20697, 1, 1788220000, NULL);"
    "INSERT INTO taking_part VALUES (20, 40, 1, 1, 20697);"
    "INSERT INTO lesson_answer VALUES (66, 20, 40, 45, 1, 20697, 1);"
    "INSERT INTO statement_tick VALUES (67, 20, 1, 0, 20697, 1);"
    "INSERT INTO assessment VALUES (63, 40, 20, 1, 0, NULL, 1, 'fairly', '{}', 1, 1788200000, NULL);"
    "INSERT INTO message (id, pupil_id, about, body_part, still, raised_at)"
    " VALUES (64, 20, 'hurt', 'arm', 0, 1788100200);"
    "INSERT INTO message_acknowledgement VALUES (64, 1, 1788100300, 'passed_on');"
    "INSERT INTO audit VALUES (1, 1788000000, 'staff:1', 'card made', 'pupil:20', '', zeroblob(32));";

static int open_world(void **state)
{
    static struct fixture f;
    fixture_school(&f);
    fixture_sql(&f, world);
    *state = &f;
    return 0;
}

static int close_world(void **state)
{
    fixture_close(*state);
    return 0;
}

static void hand_ins_and_audit_stay(void **state)
{
    static const char *const refused[] = {
        "UPDATE hand_in SET best = 12",
        "UPDATE hand_in SET pupil_id = pupil_id",
        "UPDATE attempt SET value = 12 WHERE n = 2",
        "UPDATE audit SET actor = 'staff:2'",
        "DELETE FROM audit",
        "INSERT OR REPLACE INTO audit VALUES (1, 1, 'x', 'x', 'x', '', zeroblob(32))",
    };
    for (size_t i = 0; i < T_COUNT(refused) - 1; i++) {
        int rc = fixture_sql_rc(*state, refused[i]);
        if (rc != SQLITE_CONSTRAINT_TRIGGER) {
            fail_msg("%s: %d", refused[i], rc);
        }
    }
    assert_int_equal(fixture_int(*state, "SELECT count(*) FROM hand_in WHERE best = 9"), 1);
    assert_int_equal(fixture_int(*state, "SELECT count(*) FROM audit WHERE actor = 'staff:1'"), 1);
    /* REPLACE fires delete triggers only with recursive_triggers on; the program has no such
     * statement, and the chain of MACs shows it (auth/audit.c). */
    int rc = fixture_sql_rc(*state, "PRAGMA recursive_triggers = ON; "
                                    "INSERT OR REPLACE INTO audit VALUES (1, 1, 'x', 'x', 'x', '', "
                                    "zeroblob(32))");
    assert_int_equal(rc, SQLITE_CONSTRAINT_TRIGGER);
}

static void domains_are_the_schemas_own(void **state)
{
    static const struct {
        const char *sql;
        int rc;
    } refused[] = {
        {"INSERT INTO pupil VALUES (21, '', '', 3, 4, 'open', NULL, 1, NULL)", SQLITE_CONSTRAINT_CHECK},
        {"INSERT INTO pupil VALUES (21, 'A', 'a', 8, 4, 'open', NULL, 1, NULL)", SQLITE_CONSTRAINT_CHECK},
        {"INSERT INTO pupil VALUES (21, 'A', 'a', 3, 24, 'open', NULL, 1, NULL)", SQLITE_CONSTRAINT_CHECK},
        {"INSERT INTO pupil VALUES (21, 'A', 'a', 'three', 4, 'open', NULL, 1, NULL)", SQLITE_CONSTRAINT_DATATYPE},
        {"INSERT INTO class VALUES (11, 'Oak', 'oak', 'class', 1, NULL)", SQLITE_CONSTRAINT_UNIQUE},
        {"INSERT INTO class_right (class_id, staff_id, right, until_day) VALUES (10, 99, 'teach', NULL)", SQLITE_CONSTRAINT_FOREIGNKEY},
        {"INSERT INTO class_right (class_id, staff_id, right, until_day) VALUES (10, 1, 'own', NULL)", SQLITE_CONSTRAINT_CHECK},
        {"INSERT INTO attempt VALUES (60, 6, 1, NULL, NULL, NULL, 0)", SQLITE_CONSTRAINT_CHECK},
        {"INSERT INTO attempt VALUES (60, 1, 1, NULL, NULL, NULL, 0)", SQLITE_CONSTRAINT_PRIMARYKEY},
        {"INSERT INTO attempt VALUES (60, 4, 1, '[1,', NULL, NULL, 0)", SQLITE_CONSTRAINT_CHECK},
        {"INSERT INTO hand_in_mark VALUES (65, 60, 'set_aside', NULL, 1, 1)", SQLITE_CONSTRAINT_CHECK},
        {"INSERT INTO hand_in_mark VALUES (65, 60, 'keep', NULL, NULL, 1)", SQLITE_CONSTRAINT_CHECK},
        {"INSERT INTO message (id, pupil_id, about, body_part, still, raised_at)"
         " VALUES (65, 20, 'talk', 'arm', NULL, 1)", SQLITE_CONSTRAINT_CHECK},
        {"INSERT INTO challenge VALUES (51, 42, 40, 11, 5, 4, 9, 1, 1)", SQLITE_CONSTRAINT_CHECK},
        {"INSERT INTO term VALUES (1, 'Autumn', 20800, 20700)", SQLITE_CONSTRAINT_CHECK},
        {"INSERT INTO school(id, name, time_zone, created_at) VALUES (2, 'x', 'UTC', 1)", SQLITE_CONSTRAINT_CHECK},
        {"INSERT INTO staff(id, name, name_key, passphrase_hash, created_at) VALUES (2, 'R', 'r. amberley', '', 1)", SQLITE_CONSTRAINT_UNIQUE},
        {"DELETE FROM version WHERE id = 43", SQLITE_CONSTRAINT_FOREIGNKEY},
        {"DELETE FROM staff WHERE id = 1", SQLITE_CONSTRAINT_FOREIGNKEY},
    };
    for (size_t i = 0; i < T_COUNT(refused); i++) {
        int rc = fixture_sql_rc(*state, refused[i].sql);
        if (rc != refused[i].rc) {
            fail_msg("%s: %d, not %d", refused[i].sql, rc, refused[i].rc);
        }
    }
}

/* Erasure is one DELETE: whatever names the child goes with the child, and nothing else does. */
static void erasing_a_child_takes_all_of_it(void **state)
{
    fixture_sql(*state, "DELETE FROM pupil WHERE id = 20");
    static const char *const gone[] = {
        "membership", "card", "session_card", "hand_in", "attempt", "hand_in_cue", "hand_in_answer",
        "hand_in_mark", "seen", "taking_part", "assessment", "message", "message_acknowledgement",
        "lesson_answer", "statement_tick",
    };
    for (size_t i = 0; i < T_COUNT(gone); i++) {
        char sql[64];
        snprintf(sql, sizeof sql, "SELECT count(*) FROM %s", gone[i]);
        if (fixture_int(*state, sql) != 0) {
            fail_msg("%s keeps rows of an erased child", gone[i]);
        }
    }
    assert_int_equal(fixture_int(*state, "SELECT count(*) FROM challenge"), 1);
    assert_int_equal(fixture_int(*state, "SELECT count(*) FROM audit"), 1);
    /* No table names a pupil without deleting by it (audit rows hold an opaque id). */
    assert_int_equal(fixture_int(*state,
        "SELECT count(*) FROM pragma_table_list t, pragma_foreign_key_list(t.name) k "
        "WHERE t.schema = 'main' AND k.\"table\" = 'pupil' AND k.on_delete <> 'CASCADE'"), 0);
    assert_int_equal(fixture_int(*state,
        "SELECT count(*) FROM pragma_table_list t, pragma_table_xinfo(t.name) c "
        "WHERE t.schema = 'main' AND c.name = 'pupil_id' AND NOT EXISTS (SELECT 1 FROM "
        "pragma_foreign_key_list(t.name) k WHERE k.\"from\" = 'pupil_id' AND k.\"table\" = 'pupil')"),
        0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(hand_ins_and_audit_stay, open_world, close_world),
        cmocka_unit_test_setup_teardown(domains_are_the_schemas_own, open_world, close_world),
        cmocka_unit_test_setup_teardown(erasing_a_child_takes_all_of_it, open_world, close_world),
    };
    return cmocka_run_group_tests_name("triggers", tests, NULL, NULL);
}
