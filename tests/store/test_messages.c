/* SPDX-License-Identifier: MIT
 * Children's messages in a real database: when they are on, who sees them and nobody else, when
 * they are overdue. Who may see one follows the project's own access rules; names are invented. */
#include "people.h"

#include <string.h>

#include "store/messages.h"

/* Messages ------------------------------------------------------------------------------------- */

static enum err name_readers(void *arg)
{
    size_t bad = 9;
    return class_readers_put(f.st, rowan, day("2026-03-03"), arg, &bad);
}

static void readers(const struct staff_id *ids, size_t n)
{
    struct reader_set set = {ids, n};
    assert_int_equal(in_tx(name_readers, &set), OK);
}

static bool messages_on(struct pupil_id p)
{
    struct message_hours hours;
    assert_int_equal(messages_for_pupil(f.st, p, clock_now(), &hours), OK);
    return hours.on;
}

static void test_messages_switch(void **state)
{
    (void)state;
    struct pupil_id p = pupil("Amber", rowan);
    struct message_id id;
    const struct message_new m = {.pupil = p, .about = "talk", .still = -1, .now = clock_now()};
    struct class_row row;
    assert_false(messages_on(p));
    assert_int_equal(message_raise(f.st, &m, &id), ERR_CLOSED);
    const struct staff_id one[] = {teacher}, two[] = {teacher, first}, bad[] = {teacher, helper};
    readers(one, 1);
    assert_false(messages_on(p));
    readers(two, 2);
    assert_true(messages_on(p));
    struct reader_set set = {bad, 2};
    assert_int_equal(in_tx(name_readers, &set), ERR_CONFLICT);      /* help may not read */
    assert_true(messages_on(p));
    assert_int_equal(message_raise(f.st, &m, &id), OK);
    /* one of the two goes: off again, rather than a message with one reader */
    fixture_sql(&f, "UPDATE staff SET disabled_at = 1 WHERE id = 11");
    assert_false(messages_on(p));
    assert_int_equal(class_get(f.st, f.mem, rowan, day("2026-03-03"), &row), OK);
    assert_false(row.messages_on);
    fixture_sql(&f, "UPDATE staff SET disabled_at = NULL WHERE id = 11");
    int32_t over = day("2026-03-02");
    assert_int_equal(class_right_put(f.st, rowan, teacher, CLASS_TEACH, &over), OK);
    assert_false(messages_on(p));
}

static int64_t seen_by(struct staff_id staff)
{
    const struct message_reader who = {.staff = staff, .now = clock_now()};
    struct message_row *rows;
    size_t n;
    int64_t waiting;
    assert_int_equal(messages_list(f.st, f.mem, &who, &rows, &n), OK);
    assert_int_equal(messages_waiting(f.st, &who, &waiting), OK);
    int64_t open = 0;
    for (size_t i = 0; i < n; i++) {
        open += !rows[i].acknowledged;
    }
    assert_int_equal(open, waiting);
    return (int64_t)n;
}

static void test_messages_who(void **state)
{
    (void)state;
    struct pupil_id p = pupil("Amber", rowan);
    const struct staff_id two[] = {teacher, first};
    struct message_id id;
    bool may;
    readers(two, 2);
    assert_int_equal(pupil_join(f.st, p, swim, day("2026-01-05")), OK);
    assert_int_equal(class_right_put(f.st, swim, other, CLASS_TEACH, NULL), OK);
    const struct message_new m = {.pupil = p, .about = "hurt", .body_part = "leg", .still = 1,
                                  .now = clock_now()};
    assert_int_equal(message_raise(f.st, &m, &id), OK);
    assert_int_equal(seen_by(teacher), 1);
    assert_int_equal(seen_by(first), 1);
    assert_int_equal(seen_by(helper), 0);
    assert_int_equal(seen_by(reader), 0);
    assert_int_equal(seen_by(other), 0);     /* teaches another class and a group of hers */
    const struct message_reader not_hers = {.staff = other, .now = clock_now()};
    assert_int_equal(message_may_see(f.st, id, &not_hers, &may), OK);
    assert_false(may);
    struct message_row row;
    assert_int_equal(message_get(f.st, f.mem, id, &not_hers, &row), ERR_NOT_FOUND);
    const struct message_reader hers = {.staff = teacher, .now = clock_now()};
    assert_int_equal(message_get(f.st, f.mem, id, &hers, &row), OK);
    assert_string_equal(row.body_part, "leg");
    assert_int_equal(row.still, 1);
    assert_string_equal(row.class_name, "Rowan");
    assert_int_equal(message_acknowledge(f.st, id, teacher, "passed_on", clock_now()), OK);
    assert_int_equal(message_acknowledge(f.st, id, first, "acknowledged", clock_now()),
                     ERR_CONFLICT);
    assert_int_equal(message_get(f.st, f.mem, id, &hers, &row), OK);
    assert_true(row.acknowledged);
    assert_string_equal(row.ack_by, "Teacher");
    assert_int_equal(seen_by(teacher), 1);
    fixture_sql(&f, "DELETE FROM staff_right WHERE right = 'safeguarding'");
    assert_int_equal(seen_by(first), 0);            /* office and pe_lead alone */
    clock_fix(clock_now() + 31 * 86400);
    assert_int_equal(seen_by(teacher), 0);
}

static enum err raise_message(struct pupil_id p)
{
    struct message_id id;
    const struct message_new m = {.pupil = p, .about = "talk", .still = -1, .now = clock_now()};
    return message_raise(f.st, &m, &id);
}

/* A child who is moved takes no message along: it was sent to the teacher of then. */
static void test_messages_of_a_moved_child(void **state)
{
    (void)state;
    struct pupil_id p = pupil("Amber", rowan);
    const struct staff_id two[] = {teacher, first}, theirs[] = {other, first};
    struct reader_set set = {theirs, 2};
    size_t bad;
    readers(two, 2);
    assert_int_equal(class_readers_put(f.st, elm, day("2026-03-03"), &set, &bad), OK);
    assert_int_equal(raise_message(p), OK);
    assert_int_equal(pupil_move(f.st, p, elm, day("2026-03-03")), OK);
    assert_int_equal(seen_by(teacher), 0);
    assert_int_equal(seen_by(other), 0);
    assert_int_equal(seen_by(first), 1);
    assert_int_equal(raise_message(p), OK);
    assert_int_equal(seen_by(other), 1);            /* what is sent from the new class */
    /* opened on the day of the move: that is not enough; the day after it is */
    assert_int_equal(change_settle(f.st, other, clock_now() + 1), OK);
    assert_int_equal(seen_by(other), 0);            /* settled anew: this one is from before too */
    clock_fix(clock_now() + 86400);
    assert_int_equal(change_settle(f.st, other, clock_now()), OK);
    assert_int_equal(seen_by(other), 2);
    /* one who joins after that is not opened by it */
    struct pupil_id late = pupil("Brin", rowan);
    assert_int_equal(raise_message(late), OK);
    clock_fix(clock_now() + 60);
    assert_int_equal(pupil_move(f.st, late, elm, day("2026-03-04")), OK);
    clock_fix(clock_now() + 3 * 86400);
    assert_int_equal(seen_by(other), 2);
    assert_int_equal(seen_by(first), 3);
}

static void test_messages_flood(void **state)
{
    (void)state;
    struct pupil_id p = pupil("Amber", rowan);
    const struct staff_id two[] = {teacher, first};
    struct message_id id;
    readers(two, 2);
    struct message_new m = {.pupil = p, .about = "talk", .still = -1, .now = clock_now()};
    for (int i = 0; i < 20; i++) {
        assert_int_equal(message_raise(f.st, &m, &id), OK);
    }
    assert_int_equal(message_raise(f.st, &m, &id), ERR_TOO_MANY);
    m.now += 86401;
    assert_int_equal(message_raise(f.st, &m, &id), OK);
}

static void test_messages_hours(void **state)
{
    (void)state;
    struct pupil_id p = pupil("Amber", rowan);
    struct message_hours h;
    assert_int_equal(messages_for_pupil(f.st, p, clock_now(), &h), OK);
    assert_false(h.school_open);
    assert_false(h.has_opens_again);        /* no term is known */
    assert_false(h.known);
    terms();
    static const struct { const char *day; int hour; bool open; const char *again; } cases[] = {
        {"2026-03-03", 10, true, NULL}, {"2026-03-03", 7, false, "2026-03-03"},
        {"2026-03-03", 16, false, "2026-03-04"}, {"2026-03-06", 18, false, "2026-03-09"},
        {"2026-02-14", 12, false, "2026-02-23"}, {"2026-03-27", 20, false, "2026-04-13"},
        {"2026-07-25", 12, false, NULL},
    };
    for (size_t i = 0; i < T_COUNT(cases); i++) {
        assert_int_equal(messages_for_pupil(f.st, p, at(cases[i].day, cases[i].hour, 0), &h), OK);
        assert_true(h.known);
        assert_int_equal(h.school_open, cases[i].open);
        assert_int_equal(h.has_opens_again, cases[i].again != NULL);
        if (cases[i].again) {
            assert_int_equal(h.opens_again_day, day(cases[i].again));
        }
    }
}

static void test_messages_overdue(void **state)
{
    (void)state;
    struct calendar c = {0};
    assert_int_equal(message_due_at(&c, at("2026-03-06", 18, 0)), at("2026-03-09", 16, 0));
    terms();
    assert_int_equal(school_calendar(f.st, f.mem, &c), OK);
    assert_int_equal(message_due_at(&c, at("2026-03-03", 10, 30)), at("2026-03-04", 10, 30));
    assert_int_equal(message_due_at(&c, at("2026-03-03", 7, 0)), at("2026-03-03", 16, 0));
    assert_int_equal(message_due_at(&c, at("2026-03-03", 19, 0)), at("2026-03-04", 16, 0));
    assert_int_equal(message_due_at(&c, at("2026-03-06", 15, 0)), at("2026-03-09", 15, 0));
    assert_int_equal(message_due_at(&c, at("2026-03-28", 12, 0)), at("2026-04-13", 16, 0));
    /* the clocks go forward on 29 March 2026 (tz database, Europe/London) and it stays 15:00 */
    const struct term t = {"T", day("2026-03-01"), day("2026-04-30")};
    assert_int_equal(school_terms_put(f.st, &t, 1), OK);
    assert_int_equal(school_calendar(f.st, f.mem, &c), OK);
    assert_int_equal(message_due_at(&c, at("2026-03-27", 15, 0)), at("2026-03-30", 15, 0));
    assert_int_equal(at("2026-03-30", 15, 0) - at("2026-03-27", 15, 0), 3 * 86400 - 3600);
}

#define T(name) cmocka_unit_test_setup_teardown(name, open_school, close_school)

int main(void)
{
    const struct CMUnitTest tests[] = {
        T(test_messages_switch), T(test_messages_who), T(test_messages_of_a_moved_child),
        T(test_messages_flood),
        T(test_messages_hours), T(test_messages_overdue),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
