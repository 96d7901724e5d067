/* SPDX-License-Identifier: MIT
 * Own targets: the rule in words, worked by hand. Common practice, no source; data invented. */
#include "assess/target.h"

#include <math.h>

#include "t.h"

static enum own_target_state ask(enum band_stat stat, bool lower, double target, double *v,
                                 size_t n)
{
    const struct own_target_ask a = {stat, lower, target};
    double observed = -1;
    return own_target_reached(&a, v, n, &observed);
}

static void the_middle_try_decides(void **state)
{
    (void)state;
    double met[] = {9, 8, 2}, nearly[] = {8, 7, 2}, not_yet[] = {7, 7, 2}, two[] = {8, 3};
    const struct own_target_ask a = {BAND_MIDDLE, false, 8};
    double observed = -1;
    assert_int_equal(own_target_reached(&a, met, 3, &observed), OWN_TARGET_MET);
    near_to(observed, 8, 0);
    assert_int_equal(own_target_reached(&a, nearly, 3, &observed), OWN_TARGET_NEARLY);
    near_to(observed, 7, 0);
    assert_int_equal(own_target_reached(&a, not_yet, 3, &observed), OWN_TARGET_NOT_YET);
    /* of an even number the better of the two in the middle, as for bands */
    assert_int_equal(own_target_reached(&a, two, 2, &observed), OWN_TARGET_MET);
}

static void the_units_statistic_is_used(void **state)
{
    (void)state;
    double best[] = {2, 3, 8}, mean[] = {7, 8, 9}, below[] = {7, 8, 8};
    assert_int_equal(ask(BAND_BEST, false, 8, best, 3), OWN_TARGET_MET);
    assert_int_equal(ask(BAND_MEAN, false, 8, mean, 3), OWN_TARGET_MET);
    assert_int_equal(ask(BAND_MEAN, false, 8, below, 3), OWN_TARGET_NEARLY);
}

static void a_time_to_beat_is_reached_from_above(void **state)
{
    (void)state;
    double met[] = {31000, 29000, 30000}, nearly[] = {31000, 29000, 32000}, no[] = {30001};
    assert_int_equal(ask(BAND_MIDDLE, true, 30000, met, 3), OWN_TARGET_MET);
    assert_int_equal(ask(BAND_MIDDLE, true, 30000, nearly, 3), OWN_TARGET_NEARLY);
    assert_int_equal(ask(BAND_MIDDLE, true, 30000, no, 1), OWN_TARGET_NOT_YET);
}

static void nothing_sent_says_nothing(void **state)
{
    (void)state;
    double v[] = {3, NAN}, inf[] = {INFINITY};
    assert_int_equal(ask(BAND_MIDDLE, false, 8, v, 0), OWN_TARGET_NONE);
    assert_int_equal(ask(BAND_MIDDLE, false, 8, v, 2), OWN_TARGET_NONE);
    assert_int_equal(ask(BAND_MIDDLE, false, 8, inf, 1), OWN_TARGET_NONE);
    assert_int_equal(ask(BAND_MIDDLE, false, NAN, v, 1), OWN_TARGET_NONE);
}

/* Every three scores of 0..4 against every target: a better try never lowers the state. */
static void a_better_try_never_lowers_it(void **state)
{
    (void)state;
    for (int code = 0; code < 125 * 6; code++) {
        int t = code / 125, x = code % 5, y = code / 5 % 5, z = code / 25 % 5;
        double v[] = {x, y, z}, better[] = {x + 1, y, z};
        for (int stat = BAND_MIDDLE; stat <= BAND_MEAN; stat++) {
            assert_true(ask((enum band_stat)stat, false, t, better, 3) >=
                        ask((enum band_stat)stat, false, t, v, 3));
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_middle_try_decides),
        cmocka_unit_test(the_units_statistic_is_used),
        cmocka_unit_test(a_time_to_beat_is_reached_from_above),
        cmocka_unit_test(nothing_sent_says_nothing),
        cmocka_unit_test(a_better_try_never_lowers_it),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
