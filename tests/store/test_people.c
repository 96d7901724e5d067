/* SPDX-License-Identifier: MIT
 * School, classes, pupils and class lists in a real database. Names and dates are invented. */
#include "people.h"

#include <stdio.h>
#include <string.h>

#include "base/mem.h"
#include "base/roster_csv.h"
#include "store/roster.h"

static size_t pupils_on(struct class_id in, const char *on, struct pupil_row **rows)
{
    size_t n;
    const struct pupils_query want = {.in = in, .day = day(on), .now = clock_now()};
    assert_int_equal(pupils_of_class(f.st, f.mem, &want, rows, &n), OK);
    return n;
}

/* School --------------------------------------------------------------------------------------- */

static void test_school_days(void **state)
{
    (void)state;
    struct calendar c;
    int32_t next, end;
    bool yes, found;
    assert_int_equal(school_day(f.st, day("2026-03-03"), &yes), OK);
    assert_false(yes);                          /* no term is known yet */
    assert_int_equal(school_next_day(f.st, day("2026-03-03"), &next, &found), OK);
    assert_false(found);
    terms();
    assert_int_equal(school_calendar(f.st, f.mem, &c), OK);
    assert_true(calendar_school_day(&c, day("2026-01-05")));
    assert_true(calendar_school_day(&c, day("2026-03-27")));
    assert_false(calendar_school_day(&c, day("2026-03-28")));   /* Saturday */
    assert_false(calendar_school_day(&c, day("2026-03-30")));   /* Easter holiday */
    assert_false(calendar_school_day(&c, day("2026-02-18")));   /* closed */
    assert_true(calendar_next_school_day(&c, day("2026-02-13"), &next));
    assert_int_equal(next, day("2026-02-23"));
    assert_true(calendar_next_school_day(&c, day("2026-03-27"), &next));
    assert_int_equal(next, day("2026-04-13"));
    assert_false(calendar_next_school_day(&c, day("2026-07-22"), &next));
    assert_true(calendar_term_end(&c, day("2026-03-03"), &end));
    assert_int_equal(end, day("2026-03-27"));
    assert_true(calendar_term_end(&c, day("2026-04-01"), &end));
    assert_int_equal(end, day("2026-07-22"));
    assert_false(calendar_term_end(&c, day("2026-08-01"), &end));
    assert_int_equal(school_year_first(day("2026-03-03")), day("2025-09-01"));
    assert_int_equal(school_year_first(day("2025-09-01")), day("2025-09-01"));
    assert_int_equal(school_year_last(day("2026-08-31")), day("2026-08-31"));
    assert_int_equal(school_year_last(day("2026-09-01")), day("2027-08-31"));
}

static enum err overlapping(void *arg)
{
    (void)arg;
    const struct term t[] = {{"A", 100, 200}, {"B", 200, 300}};
    return school_terms_put(f.st, t, 2);
}

static enum err one_bad_day(void *arg)
{
    (void)arg;
    const int32_t twice[] = {5, 6, 5};
    return school_closed_days_put(f.st, twice, 3);
}

static void test_school_lists(void **state)
{
    (void)state;
    terms();
    assert_int_equal(in_tx(overlapping, NULL), ERR_CONFLICT);
    assert_int_equal(fixture_int(&f, "SELECT count(*) FROM term"), 2);
    assert_int_equal(in_tx(one_bad_day, NULL), ERR_CONFLICT);
    assert_int_equal(fixture_int(&f, "SELECT count(*) FROM closed_day"), 5);
    const struct band_words w = {3, {"working towards", "met", "beyond"}};
    struct band_words got;
    size_t used;
    assert_int_equal(school_band_words_put(f.st, &w), OK);
    assert_int_equal(school_band_words(f.st, f.mem, &got), OK);
    assert_int_equal(got.n, 3);
    assert_string_equal(got.word[2], "beyond");
    assert_int_equal(school_bands_in_use(f.st, &used), OK);
    assert_int_equal(used, 0);
    struct pupil_id p = pupil("Amber", rowan);
    char sql[200];
    snprintf(sql, sizeof sql, "INSERT INTO unit(id, name, created_at) VALUES (1, 'U', 1);"
             "INSERT INTO taking_part VALUES (%lld, 1, 2, 1, 1)", (long long)p.v);
    fixture_sql(&f, sql);
    assert_int_equal(school_bands_in_use(f.st, &used), OK);
    assert_int_equal(used, 3);
}

static void test_school_row(void **state)
{
    (void)state;
    struct school s;
    assert_int_equal(school_get(f.st, f.mem, &s), OK);
    assert_false(s.dpia_done);
    assert_null(s.origin);
    s.dpia_done = true;
    s.dpia_done_day = 20000;
    s.away_phone = "Ring the office after the holidays.";
    assert_int_equal(school_put(f.st, &s), OK);
    assert_int_equal(school_make(f.st, &s), ERR_CONFLICT);
    assert_int_equal(school_get(f.st, f.mem, &s), OK);
    assert_int_equal(s.dpia_done_day, 20000);
    assert_string_equal(s.away_phone, "Ring the office after the holidays.");
    assert_int_equal(school_use_zone(f.st), OK);
}

/* Classes -------------------------------------------------------------------------------------- */

static void test_class_names(void **state)
{
    (void)state;
    struct class_id id;
    assert_int_equal(class_make(f.st, "ROWAN", false, 1, &id), ERR_CONFLICT);
    assert_int_equal(class_find(f.st, " rowan ", &id), OK);
    assert_int_equal(id.v, rowan.v);
    assert_int_equal(class_rename(f.st, elm, "Rowan"), ERR_CONFLICT);
    assert_int_equal(class_archive(f.st, rowan, 5), OK);
    assert_int_equal(class_find(f.st, "Rowan", &id), ERR_NOT_FOUND);
    assert_int_equal(class_make(f.st, "Rowan", false, 1, &id), OK);
    assert_int_equal(class_archive(f.st, rowan, 0), ERR_CONFLICT);
    assert_int_equal(class_find(f.st, "\xff", &id), ERR_NOT_FOUND);
}

static size_t own_classes(struct staff_id staff, const char *on, bool all)
{
    struct class_row *rows;
    size_t n;
    const struct class_query want = {.staff = staff, .all = all, .today = day(on)};
    assert_int_equal(classes_list(f.st, f.mem, &want, &rows, &n), OK);
    return n;
}

static void test_rights_end(void **state)
{
    (void)state;
    enum class_right r;
    int32_t until = day("2026-03-05");
    bool teaches;
    assert_int_equal(class_right_put(f.st, elm, helper, CLASS_HELP, &until), OK);
    assert_int_equal(own_classes(helper, "2026-03-05", false), 2);
    assert_int_equal(own_classes(helper, "2026-03-06", false), 1);
    assert_int_equal(own_classes(helper, "2026-03-06", true), 3);
    assert_int_equal(class_right_of(f.st, elm, helper, day("2026-03-06"), &r), OK);
    assert_int_equal(r, CLASS_NONE);
    assert_int_equal(class_teaches_any(f.st, helper, day("2026-03-05"), &teaches), OK);
    assert_false(teaches);
    assert_int_equal(class_teaches_any(f.st, teacher, day("2026-03-05"), &teaches), OK);
    assert_true(teaches);
    assert_int_equal(class_right_put(f.st, rowan, teacher, CLASS_NONE, NULL), OK);
    assert_int_equal(own_classes(teacher, "2026-03-05", false), 0);
    struct class_staff *rows;
    size_t n;
    assert_int_equal(class_staff_list(f.st, f.mem, elm, day("2026-03-05"), &rows, &n), OK);
    assert_int_equal(n, 2);
    assert_string_equal(rows[0].name, "Helper");
    assert_true(rows[0].has_until);
}

/* Pupils --------------------------------------------------------------------------------------- */

static void test_pictures_spread(void **state)
{
    (void)state;
    for (int i = 0; i < 3 * PUPIL_PICTURES; i++) {
        char name[20];
        snprintf(name, sizeof name, "Child %02d", i);
        pupil(name, rowan);
        int64_t most = fixture_int(&f, "SELECT max(n) FROM (SELECT count(*) AS n FROM pupil"
                                       " GROUP BY picture)");
        assert_int_equal(most, i / PUPIL_PICTURES + 1);
    }
    assert_int_equal(fixture_int(&f, "SELECT count(DISTINCT picture) FROM pupil"), PUPIL_PICTURES);
}

static void test_names_in_class(void **state)
{
    (void)state;
    struct pupil_id id;
    struct pupil_row *rows;
    pupil("Zoë", rowan);
    pupil("Amber", rowan);
    pupil("bo", rowan);
    const struct pupil_new again = {.display_name = "ZOE\xcc\x88", .in = rowan,
                                    .from_day = day("2026-03-03"), .year_group = PUPIL_NO_YEAR};
    assert_int_equal(pupil_make(f.st, &again, &id), ERR_CONFLICT);
    pupil("Zoë", elm);
    assert_int_equal(pupils_on(rowan, "2026-03-03", &rows), 3);
    assert_string_equal(rows[0].display_name, "Amber");
    assert_string_equal(rows[1].display_name, "bo");
    assert_string_equal(rows[2].display_name, "Zoë");
    assert_int_equal(pupils_on(rowan, "2025-09-02", &rows), 0);
}

static void test_naughty_names(void **state)
{
    (void)state;
    static const char *const names[] = {    /* common practice, no source */
        "'; DROP TABLE pupil;--", "<script>alert(1)</script>", "%s%n", "../../etc/passwd", "NULL",
        "Robert\"", "\xf0\x9f\x91\xa9\xe2\x80\x8d\xf0\x9f\x9a\x80",
        "\xd7\xa9\xd7\x9c\xd7\x95\xd7\x9d",
        "{{7*7}}", "1e400", "O'Neil",
    };
    for (size_t i = 0; i < T_COUNT(names); i++) {
        struct pupil_row row;
        struct pupil_id id = pupil(names[i], rowan);
        assert_int_equal(pupil_get(f.st, f.mem, id, &row), OK);
        assert_string_equal(row.display_name, names[i]);
    }
}

static void test_move(void **state)
{
    (void)state;
    struct pupil_row *rows;
    struct home_class home;
    struct membership *m;
    size_t n;
    struct pupil_id p = pupil("Amber", rowan);
    assert_int_equal(pupil_join(f.st, p, swim, day("2026-01-05")), OK);
    assert_int_equal(pupil_join(f.st, p, swim, day("2026-02-05")), ERR_CONFLICT);
    assert_int_equal(pupil_move(f.st, p, rowan, day("2026-03-03")), ERR_CONFLICT);
    assert_int_equal(pupil_move(f.st, p, elm, day("2026-03-03")), OK);
    assert_int_equal(pupils_on(rowan, "2026-03-02", &rows), 1);
    assert_int_equal(pupils_on(rowan, "2026-03-03", &rows), 0);
    assert_int_equal(pupils_on(elm, "2026-03-02", &rows), 0);
    assert_int_equal(pupils_on(elm, "2026-03-03", &rows), 1);
    assert_int_equal(pupils_on(swim, "2026-03-03", &rows), 1);      /* groups stay */
    assert_int_equal(pupil_home_class(f.st, f.mem, p, day("2026-03-03"), &home), OK);
    assert_string_equal(home.name, "Elm");
    /* back on the same day: the day in Elm never was */
    assert_int_equal(pupil_move(f.st, p, rowan, day("2026-03-03")), OK);
    assert_int_equal(pupils_on(elm, "2026-03-03", &rows), 0);
    assert_int_equal(pupils_on(rowan, "2026-03-03", &rows), 1);
    assert_int_equal(pupil_memberships(f.st, f.mem, p, &m, &n), OK);
    assert_int_equal(n, 3);
    assert_int_equal(fixture_int(&f, "SELECT count(*) FROM membership m JOIN class c ON"
        " c.id = m.class_id WHERE c.kind = 'class' AND m.to_day IS NULL"), 1);
}

static void test_leave_and_return(void **state)
{
    (void)state;
    struct pupil_row *rows, row;
    struct home_class home;
    char sql[400];
    struct pupil_id p = pupil("Amber", rowan);
    snprintf(sql, sizeof sql,
        "INSERT INTO card(id, pupil_id, holder, label, code_mac, key_hash, made_day) VALUES"
        " (7, %lld, 'pupil', 'home', randomblob(32), randomblob(32), 1);"
        "INSERT INTO session(id, token_hash, role, started_at, seen_at, proved_at) VALUES"
        " (8, randomblob(32), 'pupil', 1, 1, 1); INSERT INTO session_card VALUES (8, 7)",
        (long long)p.v);
    fixture_sql(&f, sql);
    assert_int_equal(pupils_on(rowan, "2026-03-03", &rows), 1);
    assert_int_equal(rows[0].pupil_cards, 1);
    assert_int_equal(pupil_leave(f.st, p, day("2026-03-03"), clock_now()), OK);
    assert_int_equal(pupil_leave(f.st, p, day("2026-03-04"), clock_now()), ERR_CONFLICT);
    assert_int_equal(pupils_on(rowan, "2026-03-03", &rows), 0);
    assert_int_equal(fixture_int(&f, "SELECT count(*) FROM session"), 0);
    assert_int_equal(fixture_int(&f, "SELECT count(*) FROM card WHERE cancelled_at IS NULL"), 0);
    assert_int_equal(pupil_home_class(f.st, f.mem, p, day("2026-03-03"), &home), OK);
    assert_int_equal(home.id.v, 0);
    const struct pupils_query gone = {.in = rowan, .day = day("2026-03-10"), .leavers = true};
    size_t n;
    assert_int_equal(pupils_of_class(f.st, f.mem, &gone, &rows, &n), OK);
    assert_int_equal(n, 1);
    assert_true(rows[0].left);
    assert_int_equal(pupil_return(f.st, p, day("2026-03-10")), OK);
    assert_int_equal(pupil_return(f.st, p, day("2026-03-10")), ERR_CONFLICT);
    assert_int_equal(pupils_on(rowan, "2026-03-10", &rows), 1);
    assert_int_equal(pupils_on(rowan, "2026-03-05", &rows), 0);
    assert_int_equal(pupil_get(f.st, f.mem, p, &row), OK);
    assert_false(row.left);
    /* gone and back on one day, also on the first day of all */
    assert_int_equal(pupil_leave(f.st, p, day("2026-03-10"), clock_now()), OK);
    assert_int_equal(pupil_return(f.st, p, day("2026-03-10")), OK);
    assert_int_equal(pupils_on(rowan, "2026-03-10", &rows), 1);
}

static void test_family_view(void **state)
{
    (void)state;
    struct pupil_row row;
    struct pupil_id p = pupil("Amber", rowan);
    char sql[400];
    snprintf(sql, sizeof sql,
        "INSERT INTO card(id, pupil_id, holder, label, code_mac, key_hash, made_day) VALUES"
        " (7, %lld, 'family', 'card_1', randomblob(32), randomblob(32), 1);"
        "INSERT INTO session(id, token_hash, role, started_at, seen_at, proved_at) VALUES"
        " (8, randomblob(32), 'carer', 1, 1, 1); INSERT INTO session_card VALUES (8, 7)",
        (long long)p.v);
    fixture_sql(&f, sql);
    assert_int_equal(pupil_family_view_put(f.st, p, FAMILY_TWO_PART, "hash"), OK);
    assert_int_equal(fixture_int(&f, "SELECT count(*) FROM session_card"), 0);
    assert_int_equal(pupil_get(f.st, f.mem, p, &row), OK);
    assert_int_equal(row.family_view, FAMILY_TWO_PART);
    assert_int_equal(pupil_family_view_put(f.st, p, FAMILY_OPEN, "hash"), OK);
    assert_int_equal(fixture_int(&f, "SELECT family_phrase_hash IS NULL FROM pupil"), 1);
}

/* Class lists ---------------------------------------------------------------------------------- */

struct import {
    const char *csv;
    struct roster_plan plan;
    bool partial;
    struct roster list;
    struct roster_result result;
};

static enum err import_fn(void *arg)
{
    struct import *i = arg;
    struct roster_fault fault;
    enum err e = roster_parse(f.mem, i->csv, strlen(i->csv), &i->list, &fault);
    if (e == OK) {
        e = roster_judge(f.st, f.mem, &i->plan, &i->list, &i->result);
    }
    if (e == OK && (i->result.refused == 0 || i->partial)) {
        e = roster_store(f.st, &i->plan, &i->list, &i->result);
    }
    return e;
}

static void test_roster_into_class(void **state)
{
    (void)state;
    struct pupil_row *rows;
    pupil("Caz", rowan);
    struct import i = {.csv = "name,year,class\nAmber,4,rowan\nBo,4,\ncaz,4,Rowan\nDee,4,Elm\n",
                       .plan = {.into = rowan, .now = clock_now()}};
    assert_int_equal(in_tx(import_fn, &i), OK);
    assert_int_equal(i.result.refused, 2);
    assert_string_equal(i.list.rows[2].refused, "duplicate");
    assert_string_equal(i.list.rows[3].refused, "other_class");
    assert_int_equal(pupils_on(rowan, "2026-03-03", &rows), 1);     /* nothing was stored */
    i.partial = true;
    assert_int_equal(in_tx(import_fn, &i), OK);
    assert_int_equal(pupils_on(rowan, "2026-03-03", &rows), 3);
    assert_int_equal(i.result.classes[0].added, 2);
    assert_int_equal(rows[0].year_group, 4);
    i.plan.into = swim;
    assert_int_equal(in_tx(import_fn, &i), ERR_CONFLICT);
}

static void test_roster_makes_classes(void **state)
{
    (void)state;
    struct class_id oak;
    enum class_right right;
    struct pupil_row *rows;
    struct import i = {.csv = "pupil;form\nAmber;Oak\nBo;oak\nCaz;Rowan\nDee;Swimming\nEve;\n",
                       .plan = {.teacher = first, .now = clock_now()}, .partial = true};
    assert_int_equal(in_tx(import_fn, &i), OK);
    assert_int_equal(i.result.refused, 2);
    assert_string_equal(i.list.rows[3].refused, "group");
    assert_string_equal(i.list.rows[4].refused, "class_required");
    assert_int_equal(class_find(f.st, "Oak", &oak), OK);
    assert_int_equal(pupils_on(oak, "2026-03-03", &rows), 2);
    assert_int_equal(pupils_on(rowan, "2026-03-03", &rows), 1);
    assert_int_equal(class_right_of(f.st, oak, first, day("2026-03-03"), &right), OK);
    assert_int_equal(right, CLASS_TEACH);
    assert_int_equal(class_right_of(f.st, rowan, first, day("2026-03-03"), &right), OK);
    assert_int_equal(right, CLASS_NONE);
    /* the same list again: every row is there already */
    assert_int_equal(in_tx(import_fn, &i), OK);
    assert_int_equal(i.result.refused, 5);
    assert_int_equal(fixture_int(&f, "SELECT count(*) FROM pupil"), 3);
}

static void test_roster_large(void **state)
{
    (void)state;
    char *csv = mem_array(f.mem, char, 40000), *p = csv;
    for (int n = 0; n < ROSTER_ROWS; n++) {
        p += sprintf(p, "Child %d\n", n);
    }
    struct import i = {.csv = csv, .plan = {.into = rowan, .now = clock_now()}};
    int64_t before = clock_mono_ms();
    assert_int_equal(in_tx(import_fn, &i), OK);
    assert_true(clock_mono_ms() - before < 10000);
    assert_int_equal(fixture_int(&f, "SELECT count(*) FROM pupil"), ROSTER_ROWS);
    assert_true(fixture_int(&f, "SELECT max(n) - min(n) FROM (SELECT count(*) AS n FROM pupil"
                                " GROUP BY picture)") <= 1);
}

/* First page ----------------------------------------------------------------------------------- */

static void hand_in(int seq, struct pupil_id p, const char *could_not, int surprising)
{
    char sql[500];
    snprintf(sql, sizeof sql,
        "INSERT INTO hand_in(seq, id, pupil_id, challenge_id, version_id, channel, received_at,"
        " done_day, after_date, could_not, confirmed, surprising, content_hash) VALUES"
        " (%d, randomblob(16), %lld, 6, 4, 'web', 1, 1, 0, %s, 0, %d, zeroblob(32))",
        seq, (long long)p.v, could_not, surprising);
    fixture_sql(&f, sql);
}

static void test_digest(void **state)
{
    (void)state;
    struct class_digest d;
    struct school_steps s;
    char sql[900];
    assert_int_equal(school_steps(f.st, &s), OK);
    assert_false(s.class_list || s.cards || s.activity_set || s.tried);
    struct pupil_id a = pupil("Amber", rowan), b = pupil("Bo", rowan), c = pupil("Caz", rowan);
    pupil("Dee", elm);
    snprintf(sql, sizeof sql,
        "INSERT INTO unit(id, name, created_at) VALUES (1, 'U', 1);"
        "INSERT INTO activity(id, created_at) VALUES (2, 1);"
        "INSERT INTO revision(id, activity_id, number, name, strand, kind, unit, attempts, seconds,"
        " summary, set_up, scoring, created_at)"
        " VALUES (3, 2, 1, 'Skips', 'skipping', 'timed_count', 'count', 3, 30, '', '', '', 1);"
        "INSERT INTO version(id, revision_id, kind, how) VALUES (4, 3, 'standard', '');"
        "INSERT INTO challenge(id, revision_id, unit_id, number, opens_at, due_at, closes_at,"
        " created_at) VALUES (6, 3, 1, 10, %lld, %lld, %lld, 1);"
        "INSERT INTO challenge_class VALUES (%lld, 6)",
        (long long)clock_now() - 100, (long long)clock_now() + 100, (long long)clock_now() + 200,
        (long long)rowan.v);
    fixture_sql(&f, sql);
    hand_in(1, a, "NULL", 0);
    hand_in(2, a, "NULL", 0);
    hand_in(3, b, "'no_kit'", 0);
    hand_in(4, c, "NULL", 1);
    assert_int_equal(class_digest(f.st, rowan, clock_now(), &d), OK);
    assert_int_equal(d.open, 1);
    assert_int_equal(d.expected, 3);
    assert_int_equal(d.handed_in, 2);       /* Amber once, Caz; Bo could not */
    assert_int_equal(d.to_check, 1);
    fixture_sql(&f, "INSERT INTO hand_in_mark(id, hand_in_seq, mark, reason, by_staff, at) VALUES"
        " (1, 1, 'set_aside', 'wrong_child', 1, 1), (2, 2, 'mistake', NULL, NULL, 1),"
        " (3, 4, 'keep', NULL, 1, 1)");
    assert_int_equal(class_digest(f.st, rowan, clock_now(), &d), OK);
    assert_int_equal(d.handed_in, 2);
    assert_int_equal(d.to_check, 1);        /* Amber's second; Caz's was kept */
    assert_int_equal(class_digest(f.st, elm, clock_now(), &d), OK);
    assert_int_equal(d.open + d.expected + d.to_check, 0);
    assert_int_equal(class_digest(f.st, rowan, clock_now() + 300, &d), OK);
    assert_int_equal(d.open + d.expected + d.handed_in, 0);
    assert_int_equal(school_steps(f.st, &s), OK);
    assert_true(s.class_list && s.activity_set && s.tried);
    assert_false(s.cards);
}

#define T(name) cmocka_unit_test_setup_teardown(name, open_school, close_school)

int main(void)
{
    const struct CMUnitTest tests[] = {
        T(test_school_days), T(test_school_lists), T(test_school_row), T(test_class_names),
        T(test_rights_end), T(test_pictures_spread), T(test_names_in_class),
        T(test_naughty_names), T(test_move), T(test_leave_and_return), T(test_family_view),
        T(test_roster_into_class), T(test_roster_makes_classes), T(test_roster_large),
        T(test_digest),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
