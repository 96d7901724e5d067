/* SPDX-License-Identifier: MIT
 * The end of the school year in a real database: whole or not at all. Names are invented. */
#include "people.h"

#include <string.h>

#include "base/mem.h"
#include "store/year.h"

static struct year_plan plan;

static enum err do_plan(void *arg)
{
    (void)arg;
    return year_do(f.st, &plan, clock_now());
}

static void load(int top)
{
    assert_int_equal(year_load(f.st, f.mem, top, clock_now(), &plan), OK);
}

static struct year_class *class_of(struct class_id id)
{
    size_t i = year_class_at(&plan, id.v);
    assert_true(i < plan.n);
    return &plan.classes[i];
}

static int64_t in_class(struct class_id id)
{
    struct class_row row;
    assert_int_equal(class_get(f.st, f.mem, id, clock_day(clock_now()), &row), OK);
    return row.pupils;
}

/* Rowan: Year 4; Elm: Year 4 and one of Year 6; nobody but Year 6 leaves. */
static void people(void)
{
    pupil("Amber", rowan);
    pupil("Bryn", rowan);
    pupil("Coral", elm);
    struct pupil_id old = pupil("Dusty", elm);
    assert_int_equal(pupil_year_put(f.st, old, 6), OK);
}

static void test_spans(void **state)
{
    (void)state;
    people();
    load(6);
    assert_int_equal(plan.n, 2);
    assert_int_equal(plan.group_count, 1);
    assert_int_equal(plan.problem_count, 1);        /* Elm's Year 4: stay, or where? */
    year_part_of(class_of(elm), 4)->to = YEAR_GO;
    year_part_of(class_of(elm), 4)->into = year_class_at(&plan, rowan.v);
    class_of(elm)->archive = true;
    class_of(rowan)->next_name = "Elm";             /* the name is free by then */
    year_judge(f.mem, &plan);
    assert_int_equal(plan.problem_count, 0);
    assert_int_equal(in_tx(do_plan, NULL), OK);
    assert_int_equal(in_class(rowan), 3);
    assert_int_equal(in_class(elm), 0);
    assert_int_equal(fixture_int(&f, "SELECT count(*) FROM pupil WHERE year_group = 5"), 3);
    /* the old span ends the day before the new one begins; a leaver's year group stays */
    assert_int_equal(fixture_int(&f, "SELECT count(*) FROM membership WHERE to_day = 20514"), 2);
    assert_int_equal(day("2026-03-02"), 20514);
    assert_int_equal(fixture_int(&f, "SELECT year_group FROM pupil WHERE left_day = 20515"), 6);
    struct class_id found;
    assert_int_equal(class_find(f.st, "elm", &found), OK);
    assert_int_equal(found.v, rowan.v);
}

static void test_names_change_places(void **state)
{
    (void)state;
    people();
    load(6);
    year_part_of(class_of(elm), 4)->to = YEAR_STAY;
    class_of(elm)->next_name = "Rowan";
    class_of(rowan)->next_name = "Elm";
    year_judge(f.mem, &plan);
    assert_int_equal(plan.problem_count, 0);
    assert_int_equal(in_tx(do_plan, NULL), OK);
    struct class_id found;
    assert_int_equal(class_find(f.st, "Rowan", &found), OK);
    assert_int_equal(found.v, elm.v);
    class_of(elm)->next_name = "Swimming";          /* a group's name is taken too */
    year_judge(f.mem, &plan);
    assert_int_equal(plan.problem_count, 1);
    assert_string_equal(plan.problems[0].code, "taken");
}

/* A failure at the very last child takes back the names, the leavers and the year groups. */
static void test_whole_or_nothing(void **state)
{
    (void)state;
    people();
    load(6);
    year_part_of(class_of(elm), 4)->to = YEAR_STAY;
    class_of(elm)->next_name = "Elder";
    year_judge(f.mem, &plan);
    assert_int_equal(plan.problem_count, 0);
    struct year_part *last = &plan.classes[plan.n - 1].parts[plan.classes[plan.n - 1].part_count - 1];
    int64_t real = last->children[last->n - 1].id.v;
    last->children[last->n - 1].id.v = 987654321;   /* nobody */
    const char *sum = "SELECT (SELECT sum(year_group) FROM pupil) * 1000"
                      " + (SELECT count(*) FROM pupil WHERE left_day IS NOT NULL) * 100"
                      " + (SELECT count(*) FROM class WHERE name_key = 'elm')";
    int64_t before = fixture_int(&f, sum);
    assert_int_equal(in_tx(do_plan, NULL), ERR_NOT_FOUND);
    assert_int_equal(fixture_int(&f, sum), before);
    last->children[last->n - 1].id.v = real;
    assert_int_equal(in_tx(do_plan, NULL), OK);
    assert_true(fixture_int(&f, sum) != before);
}

static void test_problems_stop(void **state)
{
    (void)state;
    people();
    load(6);
    assert_true(plan.problem_count > 0);
    assert_int_equal(in_tx(do_plan, NULL), ERR_CONFLICT);
    assert_int_equal(fixture_int(&f, "SELECT count(*) FROM pupil WHERE left_day IS NOT NULL"), 0);
}

/* Who is in no class is told and left alone; who has left is neither. */
static void test_alone(void **state)
{
    (void)state;
    people();
    struct pupil_id stray = pupil("Eerie", elm), gone = pupil("Flint", rowan);
    fixture_sql(&f, "UPDATE membership SET to_day = 20000, from_day = 19990 WHERE pupil_id ="
                    " (SELECT id FROM pupil WHERE display_name = 'Eerie')");
    assert_int_equal(pupil_leave(f.st, gone, day("2026-02-01"), clock_now()), OK);
    load(6);
    assert_int_equal(plan.alone_count, 1);
    assert_int_equal(plan.alone[0].id.v, stray.v);
    assert_string_equal(plan.alone[0].display_name, "Eerie");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(test_spans, open_school, close_school),
        cmocka_unit_test_setup_teardown(test_names_change_places, open_school, close_school),
        cmocka_unit_test_setup_teardown(test_whole_or_nothing, open_school, close_school),
        cmocka_unit_test_setup_teardown(test_problems_stop, open_school, close_school),
        cmocka_unit_test_setup_teardown(test_alone, open_school, close_school),
    };
    return cmocka_run_group_tests_name("year", tests, NULL, NULL);
}
