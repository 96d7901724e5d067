/* SPDX-License-Identifier: MIT
 * Totals an attempt can make, and the checks of what was typed. Small cases by full enumeration of
 * every sequence of throws. */
#include "assess/attainable.h"

#include "t.h"

static struct scoring zones(int throws, int n, const int *points)
{
    struct scoring s = scoring_empty(SCORE_ZONES);
    s.throws = throws;
    for (int i = 0; i < n; i++) {
        assert_true(scoring_add(&s, points[i]));
    }
    return s;
}

/* Every sequence of throws, one after the other. */
static void all_sequences(const struct scoring *s, int left, int total, bool *made)
{
    if (left == 0) {
        made[total] = true;
        return;
    }
    for (int z = 0; z < s->zones; z++) {
        all_sequences(s, left - 1, total + s->points[z], made);
    }
}

static void every_sequence_gives_the_same_set(void **state)
{
    (void)state;
    static const int points[][4] = {{0, 2, 5, -1}, {0, 1, 2, 4}, {0, 2, 3, 7}, {2, 5, -1, -1},
                                    {0, 7, -1, -1}, {0, 3, 4, 11}};
    for (size_t p = 0; p < T_COUNT(points); p++) {
        for (int throws = 1; throws <= 6; throws++) {
            int n = 0;
            while (n < 4 && points[p][n] >= 0) {
                n++;
            }
            struct scoring s = zones(throws, n, points[p]);
            bool made[100] = {false};
            struct total_set set;
            all_sequences(&s, throws, 0, made);
            attainable_totals(&s, 0, &set);
            for (int t = 0; t < 100; t++) {
                assert_int_equal(attainable_has(&set, t), made[t]);
            }
        }
    }
}

static void four_slides_never_make_thirteen(void **state)
{
    (void)state;
    const int p[] = {0, 2, 5};
    struct scoring s = zones(4, 3, p);
    struct tried t = {.has_value = true, .value = 13};
    struct check_detail d;
    assert_int_equal(check_attempt(&s, &t, &d), CHECK_REJECT);
    assert_int_equal(d.code, CHECK_IMPOSSIBLE);
    assert_string_equal(check_code_word(d.code), "impossible");
    assert_int_equal(d.nearest_count, 2);
    assert_int_equal(d.nearest[0], 12);
    assert_int_equal(d.nearest[1], 14);
    t.value = 16;
    assert_int_equal(check_attempt(&s, &t, &d), CHECK_REJECT);
    assert_int_equal(d.nearest[0], 15);
    assert_int_equal(d.nearest[1], 17);
    t.value = 99;
    assert_int_equal(check_attempt(&s, &t, &d), CHECK_REJECT);
    assert_int_equal(d.nearest_count, 1);
    assert_int_equal(d.nearest[0], 20);
    t.value = -1;
    assert_int_equal(check_attempt(&s, &t, &d), CHECK_REJECT);
    assert_int_equal(d.nearest_count, 1);
    assert_int_equal(d.nearest[0], 0);
}

/* Whatever a request's integer can hold is answered, at once. */
static void the_largest_and_smallest_integers_are_answered(void **state)
{
    (void)state;
    const int p[] = {0, 2, 5};
    const struct scoring both[] = {zones(4, 3, p), {.kind = SCORE_SUCCESSES, .throws = 9}};
    static const int64_t edge[] = {INT64_MAX, INT64_MAX - 1, INT64_MIN, INT64_MIN + 1};
    static const int top[] = {20, 9};
    for (size_t k = 0; k < T_COUNT(both); k++) {
        for (size_t i = 0; i < T_COUNT(edge); i++) {
            struct tried t = {.has_value = true, .value = edge[i]};
            struct check_detail d;
            assert_int_equal(check_attempt(&both[k], &t, &d), CHECK_REJECT);
            assert_int_equal(d.code, CHECK_IMPOSSIBLE);
            assert_int_equal(d.nearest_count, 1);
            assert_int_equal(d.nearest[0], edge[i] > 0 ? top[k] : 0);
        }
    }
}

static void throws_are_added_up(void **state)
{
    (void)state;
    const int p[] = {0, 2, 5};
    struct scoring s = zones(4, 3, p);
    struct tried t = {.throws = {2, 0, 5, 2}, .throw_count = 4};
    struct check_detail d;
    assert_int_equal(check_attempt(&s, &t, &d), CHECK_OK);
    assert_int_equal(d.value, 9);
    assert_false(d.part);
    t.throw_count = 3;
    assert_int_equal(check_attempt(&s, &t, &d), CHECK_OK);
    assert_true(d.part);
    assert_int_equal(d.value, 7);
    t.throws[1] = 3;
    assert_int_equal(check_attempt(&s, &t, &d), CHECK_REJECT);
    assert_int_equal(d.code, CHECK_WRONG_POINTS);
    assert_int_equal(d.throw_index, 1);
    t = (struct tried){.throws = {2, 2}, .throw_count = 2, .has_value = true, .value = 5};
    assert_int_equal(check_attempt(&s, &t, &d), CHECK_REJECT);
    assert_int_equal(d.code, CHECK_DISAGREE);
    t = (struct tried){.throw_count = 5};
    assert_int_equal(check_attempt(&s, &t, &d), CHECK_REJECT);
    assert_int_equal(d.code, CHECK_TOO_MANY_THROWS);
    t = (struct tried){.throw_count = 0};
    assert_int_equal(check_attempt(&s, &t, &d), CHECK_REJECT);
    assert_int_equal(d.code, CHECK_NOTHING);
}

static void a_reached_cap_says_at_least(void **state)
{
    (void)state;
    struct scoring s = scoring_empty(SCORE_SUCCESSES);
    s.throws = 12;
    s.cap = 6;
    struct tried t = {.has_value = true, .value = 6};
    struct check_detail d;
    assert_int_equal(check_attempt(&s, &t, &d), CHECK_OK);
    assert_true(d.at_least);
    t.tries_used = 9;
    assert_int_equal(check_attempt(&s, &t, &d), CHECK_OK);
    assert_false(d.at_least);
    assert_false(d.part);           /* nothing was left to throw at */
    t.value = 7;
    t.tries_used = 0;
    assert_int_equal(check_attempt(&s, &t, &d), CHECK_REJECT);
    t.value = 4;
    t.tries_used = 7;
    assert_int_equal(check_attempt(&s, &t, &d), CHECK_OK);
    assert_true(d.part);
    t.tries_used = 3;
    assert_int_equal(check_attempt(&s, &t, &d), CHECK_REJECT);
    t.tries_used = 13;
    assert_int_equal(check_attempt(&s, &t, &d), CHECK_REJECT);
    assert_int_equal(d.code, CHECK_TRIES);
}

static void counts_have_a_speed_limit(void **state)
{
    (void)state;
    struct scoring s = scoring_empty(SCORE_TIMED_COUNT);
    s.seconds = 30;
    static const struct { int64_t value; enum check_result want; } cases[] = {
        {0, CHECK_OK}, {120, CHECK_OK}, {121, CHECK_ASK}, {240, CHECK_ASK}, {241, CHECK_REJECT},
        {-1, CHECK_REJECT}, {INT64_MAX, CHECK_REJECT},
    };
    struct check_detail d;
    for (size_t i = 0; i < T_COUNT(cases); i++) {
        struct tried t = {.has_value = true, .value = cases[i].value};
        assert_int_equal(check_attempt(&s, &t, &d), cases[i].want);
    }
    s.soft_high = 60;       /* the school's own limit */
    struct tried t = {.has_value = true, .value = 71};
    assert_int_equal(check_attempt(&s, &t, &d), CHECK_ASK);
    assert_int_equal(d.code, CHECK_UNUSUAL);
}

static void measures_are_rounded_and_slips_are_noticed(void **state)
{
    (void)state;
    struct scoring s = scoring_empty(SCORE_MEASURE);
    s.resolution = 10;
    s.soft_low = 500;
    s.soft_high = 3000;
    s.hard_high = 400000;
    struct tried t = {.has_value = true, .value = 1234};
    struct check_detail d;
    assert_int_equal(check_attempt(&s, &t, &d), CHECK_OK);
    assert_int_equal(d.value, 1230);
    t.value = 1235;
    assert_int_equal(check_attempt(&s, &t, &d), CHECK_OK);
    assert_int_equal(d.value, 1240);
    t.value = 120000;       /* typed in another unit */
    assert_int_equal(check_attempt(&s, &t, &d), CHECK_ASK);
    assert_true(d.has_meant);
    assert_int_equal(d.meant, 1200);
    t.value = 12;
    assert_int_equal(check_attempt(&s, &t, &d), CHECK_ASK);
    assert_int_equal(d.meant, 1200);
    static const int64_t impossible[] = {0, -5, 400001, INT64_MIN, INT64_MAX};
    for (size_t i = 0; i < T_COUNT(impossible); i++) {
        t.value = impossible[i];
        assert_int_equal(check_attempt(&s, &t, &d), CHECK_REJECT);
    }
    /* rounded to the resolution a try stays within the limits: 1996 is nearer to 2000 */
    s.resolution = 10;
    s.hard_low = 1006;
    s.hard_high = 1996;
    static const int64_t edges[][2] = {{1996, 1990}, {1994, 1990}, {1006, 1010}, {1010, 1010}};
    for (size_t i = 0; i < T_COUNT(edges); i++) {
        t.value = edges[i][0];
        assert_int_not_equal(check_attempt(&s, &t, &d), CHECK_REJECT);
        assert_int_equal(d.value, edges[i][1]);
    }
    t = (struct tried){.has_value = true, .value = 600, .throw_count = 1};
    assert_int_equal(check_attempt(&s, &t, &d), CHECK_REJECT);
    assert_int_equal(d.code, CHECK_NOT_OF_THIS_KIND);
}

static void distances_off_the_steps_are_asked_about(void **state)
{
    (void)state;
    const int p[] = {0, 1};
    struct scoring s = zones(3, 2, p);
    static const struct { int32_t mm; enum check_result want; int32_t stored; } cases[] = {
        {0, CHECK_OK, 0}, {3000, CHECK_OK, 3000}, {3250, CHECK_OK, 3250},
        {3500, CHECK_ASK, 3500}, {499, CHECK_REJECT, 0}, {30001, CHECK_REJECT, 0},
        {-3000, CHECK_REJECT, 0},
    };
    struct check_detail d;
    s.distances = 2;
    s.distances_mm[0] = 3000;
    s.distances_mm[1] = 4000;
    for (size_t i = 0; i < T_COUNT(cases); i++) {
        struct tried t = {.has_value = true, .value = 2, .distance_mm = cases[i].mm};
        assert_int_equal(check_attempt(&s, &t, &d), cases[i].want);
        assert_int_equal(d.distance_mm, cases[i].stored);
    }
    s.distances = 1;        /* the only one is meant when none is said */
    struct tried t = {.has_value = true, .value = 2};
    assert_int_equal(check_attempt(&s, &t, &d), CHECK_OK);
    assert_int_equal(d.distance_mm, 3000);
}

static void what_is_too_large_has_no_totals(void **state)
{
    (void)state;
    struct scoring s = scoring_empty(SCORE_ZONES);
    struct total_set set;
    for (int i = 0; i < SCORE_ZONES_MAX; i++) {
        assert_true(scoring_add(&s, i * 3));
    }
    assert_false(scoring_add(&s, 100));
    assert_true(scoring_add(&s, 3));        /* there already */
    s.throws = SCORE_THROWS_MAX + 1;
    attainable_totals(&s, 0, &set);
    assert_int_equal(set.most, -1);
    s.throws = SCORE_THROWS_MAX;            /* 200 x 21 passes the largest total */
    attainable_totals(&s, 0, &set);
    assert_int_equal(set.most, -1);
    assert_int_equal(attainable_list(&set, NULL, 0), 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_sequence_gives_the_same_set),
        cmocka_unit_test(four_slides_never_make_thirteen),
        cmocka_unit_test(the_largest_and_smallest_integers_are_answered),
        cmocka_unit_test(throws_are_added_up),
        cmocka_unit_test(a_reached_cap_says_at_least),
        cmocka_unit_test(counts_have_a_speed_limit),
        cmocka_unit_test(measures_are_rounded_and_slips_are_noticed),
        cmocka_unit_test(distances_off_the_steps_are_asked_about),
        cmocka_unit_test(what_is_too_large_has_no_totals),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
