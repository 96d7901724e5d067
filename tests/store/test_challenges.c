/* SPDX-License-Identifier: MIT
 * Challenges and units on a real database: numbers, times, whose they are. All data is invented. */
#include "base/clock.h"
#include "base/mem.h"
#include "fixture.h"
#include "store/activities.h"
#include "store/challenges.h"
#include "store/classes.h"
#include "store/pupils.h"
#include "store/school.h"
#include "store/starters.h"
#include "store/units.h"
#include "t.h"

static const int64_t now = 1790000000;      /* 2026-09-21 */

#define must(call) assert_int_equal((call), OK)

struct world {
    struct fixture f;
    struct activity_id activity;
    struct class_id a, b;
    struct pupil_id in_a;
    int32_t today;
};

static void world_open(struct world *w)
{
    fixture_school(&w->f);
    struct activity_id ids[STARTER_COUNT];
    w->today = clock_day(now);
    must(starters_install(w->f.st, now, ids));
    w->activity = ids[0];
    must(class_make(w->f.st, "Wren", false, now, &w->a));
    must(class_make(w->f.st, "Heron", false, now, &w->b));
    struct pupil_new p = {.display_name = "Oluchi", .year_group = 3, .in = w->a,
                          .from_day = w->today - 10, .now = now};
    must(pupil_make(w->f.st, &p, &w->in_a));
    static const struct term terms[] = {{"Autumn term", 20698, 20801}};     /* 2026-09-02 .. 12-14 */
    must(school_terms_put(w->f.st, terms, 1));
}

static struct challenge_id set(struct world *w, struct class_id cls, int32_t opens, int days)
{
    struct unit_id unit;
    struct challenge_id id = {0};
    must(unit_default(w->f.st, opens, now, &unit));
    struct challenge_new n = {
        .activity = w->activity, .unit = unit, .classes = &cls, .class_count = 1,
        .opens_at = clock_day_start(opens), .due_at = clock_day_end(opens + days),
        .closes_at = clock_day_end(opens + days), .now = now,
    };
    must(challenge_create(w->f.st, &n, &id));
    return id;
}

static void numbers_are_free_in_school_and_class(void **state)
{
    (void)state;
    struct world w;
    world_open(&w);
    unsigned char seen[1000] = {0};
    for (int i = 0; i < 100; i++) {
        struct challenge c;
        struct challenge_id id = set(&w, i % 2 ? w.a : w.b, w.today, 5);
        must(challenge_get(w.f.mem, w.f.st, id, &c));
        assert_in_range(c.number, i < 90 ? 10 : 100, i < 90 ? 99 : 999);   /* short ones first */
        assert_int_equal(seen[c.number], 0);
        seen[c.number] = 1;
    }
    fixture_close(&w.f);
}

static void a_number_rests_400_days_but_never_comes_back_to_its_class(void **state)
{
    (void)state;
    struct world w;
    world_open(&w);
    for (int i = 0; i < 90; i++) {
        set(&w, w.a, w.today - 450, 5);
    }
    struct challenge c;
    must(challenge_get(w.f.mem, w.f.st, set(&w, w.b, w.today, 5), &c));
    assert_true(c.number < 100);        /* the other class: rested */
    must(challenge_get(w.f.mem, w.f.st, set(&w, w.a, w.today, 5), &c));
    assert_true(c.number >= 100);       /* the same class: its old sheets still lie about */
    fixture_close(&w.f);
}

static void a_pupil_sees_own_challenges_only(void **state)
{
    (void)state;
    struct world w;
    world_open(&w);
    struct challenge_id mine = set(&w, w.a, w.today - 2, 5);
    struct challenge_id later = set(&w, w.a, w.today + 1, 5);
    struct challenge_id other = set(&w, w.b, w.today - 2, 5);
    struct challenge_id before = set(&w, w.a, w.today - 30, 5);     /* over before she came */
    struct challenge_list open;
    struct challenge c;
    must(challenges_open_for_pupil(w.f.mem, w.f.st, w.in_a, now, &open));
    assert_int_equal(open.count, 1);
    assert_int_equal(open.rows[0].id.v, mine.v);
    assert_int_equal(open.rows[0].class_count, 1);
    assert_string_equal(open.rows[0].classes[0].name, "Wren");
    must(challenge_of_pupil(w.f.mem, w.f.st, w.in_a, later, &c));
    assert_int_equal(challenge_of_pupil(w.f.mem, w.f.st, w.in_a, other, &c), ERR_NOT_FOUND);
    assert_int_equal(challenge_of_pupil(w.f.mem, w.f.st, w.in_a, before, &c), ERR_NOT_FOUND);

    must(challenge_get(w.f.mem, w.f.st, mine, &c));
    struct challenge_typed typed = {w.in_a, c.number, now};
    must(challenge_by_number(w.f.mem, w.f.st, &typed, &c));
    assert_int_equal(c.id.v, mine.v);
    must(challenge_get(w.f.mem, w.f.st, other, &c));
    typed.number = c.number;
    assert_int_equal(challenge_by_number(w.f.mem, w.f.st, &typed, &c), ERR_NOT_FOUND);

    must(pupil_move(w.f.st, w.in_a, w.b, w.today + 1));
    must(challenges_open_for_pupil(w.f.mem, w.f.st, w.in_a, now + 86400, &open));
    assert_int_equal(open.count, 1);
    assert_int_equal(open.rows[0].id.v, other.v);
    must(challenge_of_pupil(w.f.mem, w.f.st, w.in_a, mine, &c));    /* was in it while it was open */
    fixture_close(&w.f);
}

static void an_archived_activity_is_not_set(void **state)
{
    (void)state;
    struct world w;
    world_open(&w);
    must(activity_archive(w.f.st, w.activity, now));
    struct unit_id unit;
    struct challenge_id id;
    must(unit_default(w.f.st, w.today, now, &unit));
    struct challenge_new n = {.activity = w.activity, .unit = unit, .classes = &w.a,
                              .class_count = 1, .opens_at = now, .due_at = now + 10,
                              .closes_at = now + 10, .now = now};
    assert_int_equal(challenge_create(w.f.st, &n, &id), ERR_CONFLICT);
    n.activity.v = 7;
    assert_int_equal(challenge_create(w.f.st, &n, &id), ERR_NOT_FOUND);
    fixture_close(&w.f);
}

static void closing_is_the_end_of_term_else_four_weeks(void **state)
{
    (void)state;
    struct world w;
    world_open(&w);
    int64_t at = 0;
    must(challenge_default_close(w.f.st, 20750, &at));
    assert_int_equal(at, clock_day_end(20801));
    must(challenge_default_close(w.f.st, 20810, &at));
    assert_int_equal(at, clock_day_end(20838));
    fixture_close(&w.f);
}

static void a_term_has_one_unit_a_year(void **state)
{
    (void)state;
    struct world w;
    world_open(&w);
    struct unit_id one, two, outside, next_year;
    must(unit_default(w.f.st, 20700, now, &one));
    must(unit_default(w.f.st, 20790, now + 86400 * 30, &two));
    assert_int_equal(one.v, two.v);
    must(unit_default(w.f.st, 20810, now, &outside));
    assert_int_not_equal(outside.v, one.v);
    struct unit u;
    must(unit_get(w.f.mem, w.f.st, outside, &u));
    assert_string_equal(u.name, "This term");
    must(unit_get(w.f.mem, w.f.st, one, &u));
    assert_string_equal(u.name, "Autumn term");
    static const struct term terms[] = {{"Autumn term", 20698, 20801},
                                        {"Autumn term", 21062, 21165}};     /* 2027 */
    must(school_terms_put(w.f.st, terms, 2));
    must(unit_default(w.f.st, 21070, clock_day_start(21070), &next_year));
    assert_int_not_equal(next_year.v, one.v);
    fixture_close(&w.f);
}

static void a_unit_keeps_its_lessons(void **state)
{
    (void)state;
    struct world w;
    world_open(&w);
    struct unit_lesson lessons[] = {{.name = "One", .activities = &w.activity, .activity_count = 1},
                                    {.name = "Two"}};
    struct unit u = {.name = "Aiming", .statistic = UNIT_BEST, .policy = UNIT_WEAKEST,
                     .pooling = UNIT_POOL_LATEST, .lessons = lessons, .lesson_count = 2};
    struct unit_id id;
    must(unit_create(w.f.st, &u, now, &id));
    struct unit got;
    must(unit_get(w.f.mem, w.f.st, id, &got));
    assert_int_equal(got.statistic, UNIT_BEST);
    assert_int_equal(got.policy, UNIT_WEAKEST);
    assert_int_equal(got.pooling, UNIT_POOL_LATEST);
    assert_int_equal(got.lesson_count, 2);
    assert_int_equal(got.lessons[0].activities[0].v, w.activity.v);
    u.lesson_count = 1;
    u.archived = true;
    must(unit_update(w.f.st, id, &u, now));
    must(unit_get(w.f.mem, w.f.st, id, &got));
    assert_int_equal(got.lesson_count, 1);
    assert_true(got.archived);
    struct unit *list = NULL;
    size_t n = 0;
    must(units_list(w.f.mem, w.f.st, &list, &n));
    assert_int_equal(n, 0);
    fixture_close(&w.f);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(numbers_are_free_in_school_and_class),
        cmocka_unit_test(a_number_rests_400_days_but_never_comes_back_to_its_class),
        cmocka_unit_test(a_pupil_sees_own_challenges_only),
        cmocka_unit_test(an_archived_activity_is_not_set),
        cmocka_unit_test(closing_is_the_end_of_term_else_four_weeks),
        cmocka_unit_test(a_term_has_one_unit_a_year),
        cmocka_unit_test(a_unit_keeps_its_lessons),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
