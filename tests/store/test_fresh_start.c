/* SPDX-License-Identifier: MIT
 * A fresh start: which day holds, for whom, and that it is gone with the child. Invented rows. */
#include "people.h"

#include "store/fresh_start.h"

static struct fresh_start_set set;

static enum err do_set(void *arg)
{
    (void)arg;
    return fresh_start_set(f.st, &set);
}

static enum err do_clear(void *arg)
{
    return fresh_start_clear(f.st, *(struct pupil_id *)arg);
}

static int32_t held(struct pupil_id id)
{
    int32_t from = -1;
    assert_int_equal(fresh_start_get(f.st, id, &from), OK);
    return from;
}

static void give(struct pupil_id id, const char *from)
{
    set = (struct fresh_start_set){id, day(from), day("2026-03-03"), teacher};
    assert_int_equal(in_tx(do_set, NULL), OK);
}

static void one_day_a_pupil_set_changed_and_taken_back(void **state)
{
    (void)state;
    struct pupil_id ami = pupil("Ami", rowan), ben = pupil("Ben", rowan);
    int32_t from = 0;
    assert_int_equal(held(ami), 0);
    give(ami, "2026-02-02");
    give(ami, "2026-03-01");
    assert_int_equal(held(ami), day("2026-03-01"));
    assert_int_equal(held(ben), 0);
    assert_int_equal(fresh_start_from(f.st, ami, day("2025-09-01"), &from), OK);
    assert_int_equal(from, day("2026-03-01"));
    assert_int_equal(fresh_start_from(f.st, ami, day("2026-03-02"), &from), OK);
    assert_int_equal(from, day("2026-03-02"));
    assert_int_equal(in_tx(do_clear, &ami), OK);
    assert_int_equal(held(ami), 0);
    assert_int_equal(in_tx(do_clear, &ami), OK);
    set.pupil.v = 999;
    assert_int_equal(in_tx(do_set, NULL), ERR_CONFLICT);
}

static void a_class_is_read_at_once(void **state)
{
    (void)state;
    struct pupil_id ami = pupil("Ami", rowan), ben = pupil("Ben", rowan), cat = pupil("Cat", elm);
    struct fresh_start_list list;
    give(ami, "2026-02-02");
    give(cat, "2026-02-03");
    const struct fresh_start_ask ask = {rowan, day("2026-03-03")};
    assert_int_equal(fresh_start_of_class(f.st, f.mem, &ask, &list), OK);
    assert_int_equal(list.n, 1);
    assert_int_equal(fresh_start_in(&list, ami), day("2026-02-02"));
    assert_int_equal(fresh_start_in(&list, ben), 0);
    assert_int_equal(fresh_start_in(&list, cat), 0);
}

static void what_was_done_before_is_left_out(void **state)
{
    (void)state;
    struct hand_in v[] = {{.seq = 1, .done_day = 10}, {.seq = 2, .done_day = 11},
                          {.seq = 3, .done_day = 9}, {.seq = 4, .done_day = 12}};
    const struct hand_in_list all = {v, 4};
    const struct hand_in_list since = fresh_start_since(f.mem, &all, 11);
    assert_int_equal(since.n, 2);
    assert_int_equal(since.v[0].seq, 2);
    assert_int_equal(since.v[1].seq, 4);
    assert_int_equal(fresh_start_since(f.mem, &all, 0).n, 4);
}

static void it_goes_with_the_child(void **state)
{
    (void)state;
    struct pupil_id ami = pupil("Ami", rowan);
    give(ami, "2026-02-02");
    fixture_sql(&f, "DELETE FROM membership; DELETE FROM pupil");
    assert_int_equal(held(ami), 0);
    assert_int_equal(fixture_int(&f, "SELECT count(*) FROM fresh_start"), 0);
}

#define test(t) cmocka_unit_test_setup_teardown(t, open_school, close_school)

int main(void)
{
    const struct CMUnitTest tests[] = {
        test(one_day_a_pupil_set_changed_and_taken_back),
        test(a_class_is_read_at_once),
        test(what_was_done_before_is_left_out),
        test(it_goes_with_the_child),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
