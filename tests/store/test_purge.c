/* SPDX-License-Identifier: MIT
 * What a purge takes: only what is due and was listed by a plan of a fortnight ago, after five days
 * of use, on a clock that somebody vouches for. Names are invented; the spans are those that
 * include/store/purge.h gives (our own rule). */
#include "people.h"

#include <stdio.h>
#include <string.h>

#include "base/mem.h"
#include "store/purge.h"
#include "store/purge_plan.h"

enum { HOUR_MS = 3600 * 1000 };

static struct upkeep_now moment;
static struct purge_report report;

static enum err do_run(void *arg)
{
    (void)arg;
    return purge_run(f.st, &moment, &report);
}

/* A night: three o'clock of that day, on a clock that the machine vouches for. */
static void night(int32_t on)
{
    moment.at = clock_day_at(on, 3, 0);
    moment.boot_ms += 24 * HOUR_MS;
    clock_fix(moment.at);
    assert_int_equal(in_tx(do_run, NULL), OK);
}

static void use(int32_t from, int days)
{
    for (int i = 0; i < days; i++) {
        fixture_sql(&f, mem_printf(f.mem, "INSERT INTO use_day VALUES (%d)", from + i));
    }
}

static int start(void **state)
{
    int rc = open_school(state);
    moment = (struct upkeep_now){.synchronised = true, .boot_ms = HOUR_MS};
    fixture_sql(&f, "INSERT INTO unit(id, name, created_at) VALUES (1, 'U', 1), (2, 'V', 1);"
                    "UPDATE school SET created_at = 1");
    return rc;
}

static void took_part(struct pupil_id p, int unit, int on_day)
{
    fixture_sql(&f, mem_printf(f.mem, "INSERT INTO taking_part VALUES (%lld, %d, 1, 11, %d)",
                               (long long)p.v, unit, on_day));
}

static long long count(const char *table)
{
    return fixture_int(&f, mem_printf(f.mem, "SELECT count(*) FROM %s", table));
}

static struct purge_done counted(void)
{
    struct purge_state s;
    struct purge_done d;
    assert_int_equal(purge_look(f.st, &moment, &s), OK);
    assert_int_equal(purge_count(f.st, moment.at, &s.may, &d), OK);
    return d;
}

/* A leaver with old things of their own, which go with the child and are not counted twice; one
 * who stays, with an old thing and a new one. All that is old goes on the day it always did, once
 * it has stood listed; the count by looking is that of the deed. */
static void listed_then_deleted(void **state)
{
    (void)state;
    struct pupil_id gone = pupil("Amber", rowan), stays = pupil("Bryn", rowan);
    assert_int_equal(pupil_leave(f.st, gone, day("2026-01-05"), clock_now()), OK);
    took_part(gone, 1, 19000);
    took_part(stays, 1, 19000);
    took_part(stays, 2, 20510);
    fixture_sql(&f, mem_printf(f.mem, "INSERT INTO fresh_start VALUES (%lld, 19000, 11, 19000)",
                               (long long)gone.v));
    struct purge_leaver *rows;
    size_t n;
    assert_int_equal(purge_leavers(f.st, f.mem, &rows, &n), OK);
    assert_int_equal(n, 1);
    assert_int_equal(rows[0].goes_day, day("2026-01-05") + 61);
    int32_t goes = rows[0].goes_day;

    night(goes - 15);               /* too early to list the child, not the old things */
    assert_int_equal(count("purge_listed"), 3);
    night(goes - 14);
    assert_int_equal(count("purge_listed"), 4);
    fixture_sql(&f, "UPDATE purge_plan SET waits = 0");
    use(goes - 13, 5);
    night(goes - 1);                /* the child is not due, the old things have stood for 14 days */
    assert_int_equal(report.done.leavers, 0);
    assert_int_equal(report.done.decisions, 3);
    assert_int_equal(count("pupil"), 2);
    moment.at = clock_day_at(goes, 3, 0);
    clock_fix(moment.at);
    took_part(gone, 2, 19000);      /* came since: no plan lists it, but the child goes whole */
    struct purge_done planned = counted();
    assert_int_equal(count("taking_part"), 2);      /* looked only */
    night(goes);
    assert_memory_equal(&planned, &report.done, sizeof planned);
    assert_int_equal(report.done.leavers, 1);
    assert_int_equal(count("pupil"), 1);
    assert_int_equal(count("taking_part"), 1);
    assert_int_equal(count("purge_listed"), 0);
}

/* Listed is not enough: who is back before the day, and what is no longer due, stays. */
static void what_is_no_longer_due_stays(void **state)
{
    (void)state;
    struct pupil_id back = pupil("Amber", rowan), again = pupil("Bryn", rowan);
    const int32_t left = day("2026-01-05");
    assert_int_equal(pupil_leave(f.st, back, left, clock_now()), OK);
    assert_int_equal(pupil_leave(f.st, again, left, clock_now()), OK);
    night(left + 60);
    assert_int_equal(count("purge_listed"), 2);
    use(left + 61, 6);
    fixture_sql(&f, mem_printf(f.mem, "UPDATE pupil SET left_day = NULL WHERE id = %lld",
                               (long long)back.v));
    fixture_sql(&f, mem_printf(f.mem, "UPDATE pupil SET left_day = %d WHERE id = %lld", left + 62,
                               (long long)again.v));
    night(left + 74);
    assert_int_equal(count("pupil"), 2);
    assert_int_equal(count("purge_listed"), 0);
    fixture_sql(&f, mem_printf(f.mem, "UPDATE pupil SET left_day = %d", left));
    night(left + 75);               /* old again, but no plan has listed them since */
    assert_int_equal(count("pupil"), 2);
}

/* What turns up already old (restored, or stamped by a clock that was behind) waits its fortnight;
 * and what was said to be in the school's own record after the plan was made is not of that plan. */
static void what_came_after_the_plan_stays(void **state)
{
    (void)state;
    struct pupil_id p = pupil("Amber", rowan);
    const int32_t made = day("2026-03-03");
    fixture_sql(&f, mem_printf(f.mem, "INSERT INTO message (id, pupil_id, about, raised_at)"
                                     " VALUES (90, %lld, 'talk', 1)",
                               (long long)p.v));
    took_part(p, 1, 19000);
    night(made);
    use(made + 1, 5);
    took_part(p, 2, 19000);
    fixture_sql(&f, "INSERT INTO message_acknowledgement VALUES (90, 11, 1, 'recorded_elsewhere')");
    night(made + 14);
    assert_int_equal(report.done.decisions, 1);
    assert_int_equal(report.done.messages, 0);
    assert_int_equal(count("message"), 1);
    assert_int_equal(count("taking_part"), 1);
}

static void old_thing(void)
{
    took_part(pupil("Amber", rowan), 1, 19000);
}

/* Four days of use are not five; thirteen days are not fourteen; days before the plan are none. */
static void fortnight_and_five_days(void **state)
{
    (void)state;
    const int32_t made = day("2026-03-03");
    old_thing();
    use(made - 5, 6);               /* up to the day of the plan itself */
    night(made);
    use(made + 1, 4);
    night(made + 14);
    assert_int_equal(report.state.next_use, 4);
    assert_int_equal(count("taking_part"), 1);
    use(made + 14, 1);
    night(made + 15);
    assert_int_equal(count("taking_part"), 0);

    took_part((struct pupil_id){fixture_int(&f, "SELECT id FROM pupil")}, 1, 19000);
    night(made + 16);
    fixture_sql(&f, "UPDATE purge_plan SET waits = 0");
    use(made + 17, 5);
    night(made + 29);
    assert_int_equal(count("taking_part"), 1);
    night(made + 30);
    assert_int_equal(count("taking_part"), 0);
}

/* Two years ahead: one sign-in, one day of use. Nothing goes on that clock; back at the right
 * date, what it listed is forgotten. */
static void a_clock_two_years_ahead(void **state)
{
    (void)state;
    struct pupil_id p = pupil("Amber", rowan);
    took_part(p, 1, day("2026-02-20"));     /* due in September 2027 */
    const int32_t now = day("2026-03-03"), ahead = now + 730;
    for (int i = -20; i <= 0; i++) {
        night(now + i);
    }
    use(now - 20, 20);
    use(ahead, 1);
    night(ahead);
    assert_int_equal(count("taking_part"), 1);
    assert_int_equal(count("purge_listed"), 1);
    night(ahead);
    assert_int_equal(count("taking_part"), 1);
    night(now + 1);
    assert_int_equal(count("purge_listed"), 0);
    assert_int_equal(fixture_int(&f, "SELECT max(day) FROM purge_plan"), now + 1);
    assert_int_equal(fixture_int(&f, "SELECT count(*) FROM use_day WHERE day > 20515"), 0);
}

/* A clock that jumps brings forward what stands listed for the fortnight, and no more. */
static void a_jump_brings_forward_a_fortnight(void **state)
{
    (void)state;
    struct pupil_id soon = pupil("Amber", rowan), later = pupil("Bryn", rowan);
    const int32_t now = day("2026-03-03");
    assert_int_equal(pupil_leave(f.st, soon, now - 60 + 13, clock_now()), OK);
    assert_int_equal(pupil_leave(f.st, later, now - 60 + 14, clock_now()), OK);
    night(now);
    use(now + 1, 5);
    assert_int_equal(count("purge_listed"), 1);
    night(now + 400);
    assert_int_equal(count("pupil"), 1);
    assert_int_equal(fixture_int(&f, "SELECT id FROM pupil"), later.v);
}

static enum err do_confirm(void *arg)
{
    (void)arg;
    return upkeep_confirm(f.st, &moment);
}

static enum upkeep_clock clock_word_at(int32_t on, int hour, int64_t ran_ms)
{
    struct upkeep u;
    const struct upkeep_now when = {.at = clock_day_at(on, hour, 0), .boot_ms = ran_ms};
    assert_int_equal(upkeep_get(f.st, &when, &u), OK);
    return u.clock;
}

/* Nobody vouches for the clock: the plan is made and nothing goes. The office's word holds that
 * day and the next, and while the clock runs evenly with the machine. */
static void unsure_and_confirmed(void **state)
{
    (void)state;
    const int32_t made = day("2026-03-03");
    old_thing();
    moment.synchronised = false;
    night(made);
    assert_int_equal(count("purge_plan"), 1);
    use(made + 1, 5);
    night(made + 14);
    assert_int_equal(report.state.upkeep.clock, UPKEEP_CLOCK_UNSURE);
    assert_false(report.state.upkeep.purged);
    assert_int_equal(count("taking_part"), 1);
    moment.at = clock_day_at(made + 14, 10, 0);
    assert_int_equal(in_tx(do_confirm, NULL), OK);
    const int64_t then = moment.boot_ms;
    const int32_t said = made + 14;
    assert_int_equal(clock_word_at(said, 23, 0), UPKEEP_CLOCK_CONFIRMED);
    assert_int_equal(clock_word_at(said + 1, 3, 0), UPKEEP_CLOCK_CONFIRMED);      /* started anew */
    assert_int_equal(clock_word_at(said + 2, 3, 0), UPKEEP_CLOCK_UNSURE);
    assert_int_equal(clock_word_at(said + 9, 10, then + 9 * 24 * HOUR_MS), UPKEEP_CLOCK_CONFIRMED);
    assert_int_equal(clock_word_at(said + 9, 11, then + 9 * 24 * HOUR_MS), UPKEEP_CLOCK_UNSURE);
    assert_int_equal(clock_word_at(said - 1, 10, then), UPKEEP_CLOCK_UNSURE);
    night(said + 1);
    assert_int_equal(count("taking_part"), 0);
    struct upkeep u;
    assert_int_equal(upkeep_get(f.st, &moment, &u), OK);
    assert_true(u.purged && u.purged_day == said + 1 && !u.backed_up);
}

/* Earlier than what is stored: neither plan nor purge, also where the machine vouches for it, until
 * a person has looked; the same rows are not asked about twice. */
static void a_clock_behind(void **state)
{
    (void)state;
    const int32_t on = day("2026-03-03");
    old_thing();
    fixture_sql(&f, mem_printf(f.mem, "UPDATE school SET created_at = %lld",
                               (long long)clock_day_at(on, 4, 1)));
    night(on);
    assert_int_equal(report.state.upkeep.clock, UPKEEP_CLOCK_BEHIND);
    assert_int_equal(count("purge_plan"), 0);
    fixture_sql(&f, mem_printf(f.mem, "UPDATE school SET created_at = %lld",
                               (long long)clock_day_at(on + 700, 4, 0)));
    assert_int_equal(in_tx(do_confirm, NULL), OK);
    night(on + 30);
    assert_int_equal(report.state.upkeep.clock, UPKEEP_CLOCK_SYNCHRONISED);
    assert_int_equal(count("purge_plan"), 1);
    fixture_sql(&f, "UPDATE school SET created_at = created_at + 1");
    night(on + 31);
    assert_int_equal(report.state.upkeep.clock, UPKEEP_CLOCK_BEHIND);
}

static enum err do_accept(void *arg)
{
    return purge_accept(f.st, clock_day(moment.at), *(int32_t *)arg);
}

/* More than twice the plan before waits for the office; exactly twice does not; the first plan has
 * none before it. What earlier plans listed goes on meanwhile. */
static void more_than_twice_waits(void **state)
{
    (void)state;
    struct pupil_id p[6];
    static const char *const names[] = {"Amber", "Bryn", "Corin", "Dara", "Edda", "Finn"};
    const int32_t made = day("2026-03-03");
    for (int i = 0; i < 6; i++) {
        p[i] = pupil(names[i], rowan);
    }
    took_part(p[0], 1, 19000);
    night(made);
    took_part(p[1], 1, 19000);
    night(made + 1);                /* two after one */
    took_part(p[2], 1, 19000);
    took_part(p[3], 1, 19000);
    took_part(p[4], 1, 19000);
    night(made + 2);                /* five after two */
    struct purge_state s;
    assert_int_equal(purge_look(f.st, &moment, &s), OK);
    assert_true(s.waits.any && s.waits.has_before);
    assert_int_equal(s.waits.day, made + 2);
    assert_int_equal(s.waits.listed, 5);
    assert_int_equal(s.waits.before, 2);
    took_part(p[5], 1, 19000);
    night(made + 3);                /* six after five: it does not wait, that of before still does */
    use(made + 4, 5);
    night(made + 30);
    assert_int_equal(report.done.decisions, 3);
    assert_int_equal(count("taking_part"), 3);
    int32_t wrong = made + 3, right = made + 2;
    assert_int_equal(in_tx(do_accept, &wrong), ERR_NOT_FOUND);
    assert_int_equal(in_tx(do_accept, &right), OK);
    assert_int_equal(in_tx(do_accept, &right), ERR_NOT_FOUND);
    night(made + 31);
    assert_int_equal(count("taking_part"), 0);
}

static enum err do_use(void *arg)
{
    return upkeep_used(f.st, *(int64_t *)arg);
}

/* A clock that jumps from day to day within one run of the server makes one day of use. */
static void a_jump_is_one_day_of_use(void **state)
{
    (void)state;
    for (int i = 0; i < 9; i++) {
        int64_t when = clock_day_at(day("2026-03-03") + 7 * i, 9, 0);
        assert_int_equal(in_tx(do_use, &when), OK);
        assert_int_equal(in_tx(do_use, &when), OK);
    }
    assert_int_equal(count("use_day"), 1);
    assert_int_equal(fixture_int(&f, "SELECT day FROM use_day"), day("2026-03-03"));
}

/* A second run of the same day lists nothing new: the plan of a day is what was shown. */
static void one_plan_a_day(void **state)
{
    (void)state;
    night(day("2026-03-03"));
    old_thing();
    night(day("2026-03-03"));
    assert_int_equal(count("purge_plan"), 1);
    assert_int_equal(count("purge_listed"), 0);
    night(day("2026-03-04"));
    assert_int_equal(count("purge_listed"), 1);
    assert_int_equal(fixture_int(&f, "SELECT plan_day FROM purge_listed"), day("2026-03-04"));
}

int main(void)
{
#define TEST(fn) cmocka_unit_test_setup_teardown(fn, start, close_school)
    const struct CMUnitTest tests[] = {
        TEST(listed_then_deleted),
        TEST(what_is_no_longer_due_stays),
        TEST(what_came_after_the_plan_stays),
        TEST(fortnight_and_five_days),
        TEST(a_clock_two_years_ahead),
        TEST(a_jump_brings_forward_a_fortnight),
        TEST(unsure_and_confirmed),
        TEST(a_clock_behind),
        TEST(more_than_twice_waits),
        TEST(a_jump_is_one_day_of_use),
        TEST(one_plan_a_day),
    };
    return cmocka_run_group_tests_name("purge", tests, NULL, NULL);
}
