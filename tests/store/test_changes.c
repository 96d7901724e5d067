/* SPDX-License-Identifier: MIT
 * Two persons agree before anybody gains a way to read children's messages. Our own rule; the
 * school and its people are invented. */
#include "people.h"

#include "base/who.h"

#include "store/messages.h"
#include "store/staff.h"

static const struct class_id none = {0};

static enum change_asked ask(enum change_kind kind, struct staff_id of, struct class_id in,
                             struct staff_id by)
{
    const struct change_ask a = {kind, of, in, by, clock_now()};
    enum change_asked asked;
    assert_int_equal(change_ask(f.st, &a, &asked), OK);
    return asked;
}

/* The one that waits about somebody, of that kind. */
static struct change_row waiting(enum change_kind kind, struct staff_id of)
{
    struct change_row *rows, found = {0};
    size_t n, count = 0;
    assert_int_equal(changes_list(f.st, f.mem, clock_now(), &rows, &n), OK);
    for (size_t i = 0; i < n; i++) {
        if (rows[i].state == CHANGE_WAITING && rows[i].kind == kind && rows[i].of.v == of.v) {
            found = rows[i];
            count++;
        }
    }
    assert_int_equal(count, 1);
    return found;
}

static const char *refusal(enum change_kind kind, struct staff_id of, struct staff_id by)
{
    const struct change_row c = waiting(kind, of);
    const char *code = NULL;
    assert_int_equal(change_refusal(f.st, &c, by, &code), OK);
    return code ? code : "none";
}

static enum err accept(enum change_kind kind, struct staff_id of, struct staff_id by, bool older)
{
    const struct change_row c = waiting(kind, of);
    const struct change_decision d = {by, older, clock_now()};
    return change_accept(f.st, &c, &d);
}

static int64_t reads(struct staff_id who)
{
    const struct message_reader r = {.staff = who, .now = clock_now()};
    struct message_row *rows;
    size_t n;
    assert_int_equal(messages_list(f.st, f.mem, &r, &rows, &n), OK);
    return (int64_t)n;
}

static void later(int64_t seconds)
{
    clock_fix(clock_now() + seconds);
}

static enum err send(struct pupil_id p)
{
    struct message_id id;
    const struct message_new m = {.pupil = p, .about = "talk", .still = -1, .now = clock_now()};
    return message_raise(f.st, &m, &id);
}

/* A second office account, agreed to: then two persons are needed. `helper` holds it. */
static void second_person(void)
{
    assert_int_equal(staff_set_rights(f.st, helper, ALLOW_OFFICE), OK);
    assert_int_equal(ask(CHANGE_OFFICE, helper, none, first), CHANGE_AT_ONCE);
}

static void the_first_second_person_is_made_alone(void **state)
{
    (void)state;
    /* a third account is there: a right to teach waits, though nobody can accept it yet */
    assert_int_equal(class_right_put(f.st, elm, reader, CLASS_TEACH, NULL), OK);
    assert_int_equal(ask(CHANGE_TEACH, reader, elm, first), CHANGE_WAITS);
    struct change_person *who;
    size_t n;
    const struct change_row c = waiting(CHANGE_TEACH, reader);
    assert_int_equal(change_second_persons(f.st, f.mem, &c, &who, &n), OK);
    assert_int_equal(n, 0);
    /* one who does not hold safeguarding cannot make one, a holder can */
    assert_int_equal(ask(CHANGE_SAFEGUARDING, teacher, none, helper), CHANGE_WAITS);
    assert_int_equal(ask(CHANGE_SAFEGUARDING, helper, none, first), CHANGE_AT_ONCE);
    assert_int_equal(change_second_persons(f.st, f.mem, &c, &who, &n), OK);
    assert_int_equal(n, 1);
    assert_string_equal(who[0].name, "Helper");
    assert_int_equal(ask(CHANGE_SAFEGUARDING, other, none, first), CHANGE_WAITS);
    assert_int_equal(accept(CHANGE_TEACH, reader, helper, false), OK);
}

static void holders_taken_away_make_nobody_the_first_again(void **state)
{
    (void)state;
    second_person();
    fixture_sql(&f, "UPDATE staff SET disabled_at = 1 WHERE id = 12;"
                    "DELETE FROM staff_right WHERE staff_id = 12");
    assert_int_equal(ask(CHANGE_SAFEGUARDING, other, none, first), CHANGE_WAITS);
    fixture_sql(&f, "DELETE FROM staff_right WHERE right = 'safeguarding'");
    assert_int_equal(ask(CHANGE_SAFEGUARDING, first, none, first), CHANGE_WAITS);
    assert_string_equal(refusal(CHANGE_SAFEGUARDING, first, first), "own");
}

static void teach_reads_only_once_agreed_and_from_then_on(void **state)
{
    (void)state;
    struct pupil_id p = pupil("Amber", rowan);
    const struct staff_id two[] = {teacher, first};
    const struct reader_set set = {two, 2};
    size_t bad;
    second_person();
    assert_int_equal(class_readers_put(f.st, rowan, day("2026-03-03"), &set, &bad), OK);
    assert_int_equal(send(p), OK);
    later(60);
    assert_int_equal(class_right_put(f.st, rowan, other, CLASS_TEACH, NULL), OK);
    assert_int_equal(ask(CHANGE_TEACH, other, rowan, first), CHANGE_WAITS);
    assert_int_equal(reads(other), 0);
    assert_int_equal(send(p), OK);
    assert_int_equal(reads(other), 0);
    assert_string_equal(refusal(CHANGE_TEACH, other, first), "asked_by_you");
    assert_string_equal(refusal(CHANGE_TEACH, other, other), "own");
    assert_string_equal(refusal(CHANGE_TEACH, other, reader), "not_agreed");
    fixture_sql(&f, "UPDATE staff SET must_change = 1 WHERE id = 14");
    assert_string_equal(refusal(CHANGE_TEACH, other, helper), "not_signed_in");
    fixture_sql(&f, "UPDATE staff SET must_change = 0 WHERE id = 14");
    later(60);
    assert_int_equal(accept(CHANGE_TEACH, other, helper, false), OK);
    assert_int_equal(reads(other), 0);
    assert_int_equal(send(p), OK);
    assert_int_equal(reads(other), 1);
    /* a second person opens those from before */
    assert_int_equal(ask(CHANGE_OLDER, other, rowan, helper), CHANGE_WAITS);
    assert_int_equal(reads(other), 1);
    assert_int_equal(accept(CHANGE_OLDER, other, first, false), OK);
    assert_int_equal(reads(other), 3);
    assert_int_equal(class_right_put(f.st, rowan, other, CLASS_HELP, NULL), OK);
    assert_int_equal(class_right_put(f.st, rowan, other, CLASS_TEACH, NULL), OK);
    assert_int_equal(reads(other), 0);              /* given again: agreed to again */
}

static void a_right_made_longer_is_agreed_to_again(void **state)
{
    (void)state;
    struct pupil_id p = pupil("Amber", rowan);
    const struct staff_id two[] = {teacher, first};
    const struct reader_set set = {two, 2};
    const int32_t friday = day("2026-03-06"), far = day("2026-07-01");
    size_t bad;
    second_person();
    assert_int_equal(class_readers_put(f.st, rowan, day("2026-03-03"), &set, &bad), OK);
    assert_int_equal(class_right_put(f.st, rowan, other, CLASS_TEACH, &friday), OK);
    assert_int_equal(ask(CHANGE_TEACH, other, rowan, first), CHANGE_WAITS);
    assert_int_equal(accept(CHANGE_TEACH, other, helper, false), OK);
    assert_int_equal(send(p), OK);
    assert_int_equal(reads(other), 1);
    assert_int_equal(class_right_put(f.st, rowan, other, CLASS_TEACH, &far), OK);
    assert_int_equal(ask(CHANGE_TEACH, other, rowan, first), CHANGE_WAITS);
    const struct change_row stale = waiting(CHANGE_TEACH, other);
    assert_int_equal(reads(other), 1);              /* what was agreed goes on */
    assert_int_equal(class_right_put(f.st, rowan, other, CLASS_TEACH, NULL), OK);
    const struct change_decision d = {helper, false, clock_now()};
    assert_int_equal(change_accept(f.st, &stale, &d), ERR_CONFLICT);
    clock_fix(at("2026-03-07", 9, 0));
    assert_int_equal(reads(other), 0);
    /* cut short and made longer again: not longer than it was cut to */
    assert_int_equal(change_settle(f.st, teacher, clock_now()), OK);
    assert_int_equal(reads(teacher), 1);
    assert_int_equal(class_right_put(f.st, rowan, teacher, CLASS_TEACH, &friday), OK);
    assert_int_equal(class_right_put(f.st, rowan, teacher, CLASS_TEACH, NULL), OK);
    assert_int_equal(reads(teacher), 0);
}

static void an_account_let_in_by_one_reads_and_accepts_nothing(void **state)
{
    (void)state;
    struct pupil_id p = pupil("Amber", rowan);
    const struct staff_id two[] = {teacher, first};
    const struct reader_set set = {two, 2};
    struct staff_row row;
    struct message_hours hours;
    size_t bad;
    second_person();
    assert_int_equal(class_readers_put(f.st, rowan, day("2026-03-03"), &set, &bad), OK);
    assert_int_equal(send(p), OK);
    assert_int_equal(ask(CHANGE_RESET, reader, none, first), CHANGE_NOT_NEEDED);   /* reads none */
    assert_int_equal(ask(CHANGE_RESET, teacher, none, first), CHANGE_WAITS);
    assert_int_equal(reads(teacher), 0);
    assert_int_equal(messages_for_pupil(f.st, p, clock_now(), &hours), OK);
    assert_false(hours.on);             /* one reader is left: none is better than one */
    assert_int_equal(ask(CHANGE_RESET, helper, none, first), CHANGE_WAITS);
    assert_string_equal(refusal(CHANGE_RESET, teacher, helper), "not_agreed");
    assert_int_equal(ask(CHANGE_RESET, first, none, first), CHANGE_WAITS);
    assert_int_equal(staff_get(f.st, f.mem, first, &row), OK);
    assert_false(row.reads_all);
    assert_int_equal(reads(first), 0);
    fixture_sql(&f, "UPDATE staff SET unagreed_at = NULL WHERE id IN (1, 12)");
    assert_int_equal(accept(CHANGE_RESET, teacher, helper, false), OK);
    assert_int_equal(reads(teacher), 1);
    assert_int_equal(ask(CHANGE_ENABLED, teacher, none, first), CHANGE_WAITS);
    assert_int_equal(reads(teacher), 0);
}

static void an_accomplice_is_no_second_person(void **state)
{
    (void)state;
    second_person();
    /* first makes an office account of its own, and with it asks or accepts */
    assert_int_equal(staff_set_rights(f.st, reader, ALLOW_OFFICE), OK);
    assert_int_equal(ask(CHANGE_OFFICE, reader, none, first), CHANGE_WAITS);
    assert_int_equal(ask(CHANGE_SAFEGUARDING, other, none, first), CHANGE_WAITS);
    assert_string_equal(refusal(CHANGE_SAFEGUARDING, other, reader), "not_agreed");
    assert_int_equal(ask(CHANGE_SAFEGUARDING, teacher, none, reader), CHANGE_WAITS);
    assert_string_equal(refusal(CHANGE_SAFEGUARDING, teacher, first), "asker");
    /* asked by somebody who counts, it is theirs from then on */
    assert_int_equal(ask(CHANGE_SAFEGUARDING, teacher, none, helper), CHANGE_WAITS);
    assert_string_equal(refusal(CHANGE_SAFEGUARDING, teacher, first), "none");
    assert_int_equal(accept(CHANGE_OFFICE, reader, helper, false), OK);
    assert_string_equal(refusal(CHANGE_SAFEGUARDING, other, reader), "none");
    assert_int_equal(fixture_sql_rc(&f, "INSERT INTO pending_change (id, kind, staff_id, asked_by,"
                                        " asked_at, outcome, decided_by, decided_at) VALUES"
                                        " (5, 'office', 11, 1, 1, 'accepted', 1, 2)"), 275);
}

static void what_nobody_accepts_lapses(void **state)
{
    (void)state;
    second_person();
    assert_int_equal(ask(CHANGE_SAFEGUARDING, other, none, first), CHANGE_WAITS);
    const struct change_row c = waiting(CHANGE_SAFEGUARDING, other);
    const struct change_decision d = {helper, false, 0};
    later(7 * 86400 - 1);
    assert_string_equal(refusal(CHANGE_SAFEGUARDING, other, helper), "none");
    later(1);
    struct change_row now;
    const char *code = NULL;
    assert_int_equal(change_get(f.st, f.mem, c.id, clock_now(), &now), OK);
    assert_int_equal(now.state, CHANGE_LAPSED);
    assert_int_equal(change_refusal(f.st, &now, helper, &code), OK);
    assert_string_equal(code, "over");
    const struct change_decision late = {d.by, false, clock_now()};
    assert_int_equal(change_accept(f.st, &c, &late), ERR_CONFLICT);
    assert_int_equal(ask(CHANGE_SAFEGUARDING, other, none, first), CHANGE_WAITS);
    assert_int_equal(accept(CHANGE_SAFEGUARDING, other, helper, true), OK);
    later(8 * 86400);
    struct change_row *rows;
    size_t n;
    assert_int_equal(changes_list(f.st, f.mem, clock_now(), &rows, &n), OK);
    assert_int_equal(n, 1);                         /* the lapsed one was shown 14 days */
    assert_int_equal(rows[0].state, CHANGE_ACCEPTED);
}

static void the_machine_leaves_a_trace(void **state)
{
    (void)state;
    const struct change_ask a = {.kind = CHANGE_KINDS, .of = other, .now = clock_now()};
    struct change_done *done;
    struct change_row *rows;
    size_t n;
    second_person();
    assert_int_equal(ask(CHANGE_SAFEGUARDING, other, none, first), CHANGE_WAITS);
    assert_int_equal(change_machine(f.st, f.mem, &a, &done, &n), OK);
    assert_int_equal(n, 1);
    assert_true(done[0].kept);
    assert_int_equal(changes_list(f.st, f.mem, clock_now(), &rows, &n), OK);
    assert_int_equal(n, 1);
    assert_int_equal(rows[0].state, CHANGE_BY_MACHINE);
    assert_int_equal(change_machine(f.st, f.mem, &a, &done, &n), OK);
    assert_int_equal(n, 0);
    const struct change_ask reset = {.kind = CHANGE_RESET, .of = other, .now = clock_now()};
    assert_int_equal(change_machine(f.st, f.mem, &reset, &done, &n), OK);
    assert_int_equal(n, 1);
    struct staff_row row;
    assert_int_equal(staff_get(f.st, f.mem, other, &row), OK);
    assert_true(row.sure && row.reads_all);
}

static void a_right_taken_away_waits_no_more(void **state)
{
    (void)state;
    second_person();
    assert_int_equal(class_right_put(f.st, rowan, other, CLASS_TEACH, NULL), OK);
    assert_int_equal(ask(CHANGE_TEACH, other, rowan, first), CHANGE_WAITS);
    assert_int_equal(class_right_put(f.st, rowan, other, CLASS_NONE, NULL), OK);
    assert_int_equal(changes_tidy(f.st, other, first, clock_now()), OK);
    struct change_row *rows;
    size_t n;
    assert_int_equal(changes_list(f.st, f.mem, clock_now(), &rows, &n), OK);
    assert_int_equal(n, 1);
    assert_int_equal(rows[0].state, CHANGE_WITHDRAWN);
}

#define T(name) cmocka_unit_test_setup_teardown(name, open_school, close_school)

int main(void)
{
    const struct CMUnitTest tests[] = {
        T(the_first_second_person_is_made_alone),
        T(holders_taken_away_make_nobody_the_first_again),
        T(teach_reads_only_once_agreed_and_from_then_on),
        T(a_right_made_longer_is_agreed_to_again),
        T(an_account_let_in_by_one_reads_and_accepts_nothing),
        T(an_accomplice_is_no_second_person), T(what_nobody_accepts_lapses),
        T(the_machine_leaves_a_trace), T(a_right_taken_away_waits_no_more),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
