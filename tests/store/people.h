/* SPDX-License-Identifier: MIT
 * An invented school for the tests of people and of messages: classes Rowan and Elm, a group, and
 * one person of each right. Included once by each of those programs. */
#pragma once

#include "day.h"
#include "fixture.h"
#include "t.h"

#include "base/clock.h"
#include "store/changes.h"
#include "store/classes.h"
#include "store/pupils.h"
#include "store/school.h"

static struct fixture f;
static struct class_id rowan, elm, swim;
static const struct staff_id first = {1}, teacher = {11}, helper = {12}, reader = {13},
                             other = {14};

static int32_t day(const char *text)
{
    int32_t d = 0;
    assert_true(clock_day_parse(text, &d));
    return d;
}

static int64_t at(const char *text, int hour, int minute)
{
    return clock_day_at(day(text), hour, minute);
}

/* Every write goes through a transaction, as in the program. */
static enum err (*step_fn)(void *);
static void *step_arg;

static enum err run_step(struct store *st, void *arg)
{
    (void)st;
    (void)arg;
    return step_fn(step_arg);
}

__attribute__((unused)) static enum err in_tx(enum err (*fn)(void *), void *arg)
{
    step_fn = fn;
    step_arg = arg;
    return store_tx(f.st, "test", run_step, NULL);
}

static int open_school(void **state)
{
    (void)state;
    fixture_school(&f);
    clock_fix(at("2026-03-03", 10, 0));         /* a Tuesday */
    fixture_sql(&f,
        "INSERT INTO staff(id, name, name_key, passphrase_hash, created_at) VALUES"
        " (11, 'Teacher', 'teacher', '', 1), (12, 'Helper', 'helper', '', 1),"
        " (13, 'Reader', 'reader', '', 1), (14, 'Other', 'other', '', 1);");
    assert_int_equal(class_make(f.st, "Rowan", false, clock_now(), &rowan), OK);
    assert_int_equal(class_make(f.st, "Elm", false, clock_now(), &elm), OK);
    assert_int_equal(class_make(f.st, "Swimming", true, clock_now(), &swim), OK);
    assert_int_equal(class_right_put(f.st, rowan, teacher, CLASS_TEACH, NULL), OK);
    assert_int_equal(class_right_put(f.st, rowan, helper, CLASS_HELP, NULL), OK);
    assert_int_equal(class_right_put(f.st, rowan, reader, CLASS_READ, NULL), OK);
    assert_int_equal(class_right_put(f.st, elm, other, CLASS_TEACH, NULL), OK);
    assert_int_equal(change_settle(f.st, teacher, clock_now()), OK);
    assert_int_equal(change_settle(f.st, other, clock_now()), OK);
    return 0;
}

static int close_school(void **state)
{
    (void)state;
    day_reset();
    fixture_close(&f);
    return 0;
}

static struct pupil_id pupil(const char *name, struct class_id in)
{
    struct pupil_id id = {0};
    const struct pupil_new p = {.display_name = name, .year_group = 4, .in = in,
                                .from_day = day("2025-09-03"), .now = clock_now()};
    assert_int_equal(pupil_make(f.st, &p, &id), OK);
    return id;
}

/* not every test that includes this needs dates */
__attribute__((unused)) static void terms(void)
{
    const struct term t[] = {
        {"Spring", day("2026-01-05"), day("2026-03-27")},
        {"Summer", day("2026-04-13"), day("2026-07-22")},
    };
    const int32_t closed[] = {day("2026-02-16"), day("2026-02-17"), day("2026-02-18"),
                              day("2026-02-19"), day("2026-02-20")};
    assert_int_equal(school_terms_put(f.st, t, 2), OK);
    assert_int_equal(school_closed_days_put(f.st, closed, 5), OK);
}
