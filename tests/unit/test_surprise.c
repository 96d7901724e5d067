/* SPDX-License-Identifier: MIT
 * Surprise asks and never refuses: 71 typed for 17 is asked about, an ordinary good day is not. */
#include "assess/surprise.h"

#include "t.h"

static _Alignas(16) unsigned char memory[1 << 20];

static double tail(const struct scoring *s, const int64_t *earlier, size_t n, int64_t value)
{
    struct room w = {.base = memory, .size = sizeof memory};
    double p = surprise_tail(s, earlier, n, value, &w);
    assert_int_equal(w.used, 0);
    return p;
}

static void seventy_one_for_seventeen(void **state)
{
    (void)state;
    struct scoring s = scoring_empty(SCORE_TIMED_COUNT);
    s.seconds = 30;
    const int64_t earlier[] = {15, 18, 16};
    assert_true(surprise_asks(tail(&s, earlier, 3, 71)));
    assert_false(surprise_asks(tail(&s, earlier, 3, 17)));
    assert_false(surprise_asks(tail(&s, earlier, 3, 25)));
    assert_false(surprise_asks(tail(&s, earlier, 1, 71)));      /* one earlier try says nothing */
}

static void a_perfect_score_after_misses(void **state)
{
    (void)state;
    struct scoring s = scoring_empty(SCORE_ZONES);
    s.throws = 5;
    scoring_add(&s, 0);
    scoring_add(&s, 1);
    scoring_add(&s, 3);
    const int64_t low[] = {0, 1, 0, 2, 1, 0}, mixed[] = {7, 9};
    assert_true(surprise_asks(tail(&s, low, 6, 15)));
    assert_false(surprise_asks(tail(&s, low, 6, 4)));
    assert_false(surprise_asks(tail(&s, mixed, 2, 15)));
    double last = 1.1;
    for (int v = 0; v <= 15; v++) {
        double p = tail(&s, mixed, 2, v);
        assert_true(p <= last + 1e-12);
        last = p;
    }
    near_to(tail(&s, mixed, 2, 0), 1, 1e-12);
}

static void a_long_history_keeps_to_the_newest(void **state)
{
    (void)state;
    struct scoring s = scoring_empty(SCORE_SUCCESSES);
    int64_t many[200];
    s.throws = 12;
    for (int i = 0; i < 200; i++) {
        many[i] = i < 140 ? 0 : 11;
    }
    assert_false(surprise_asks(tail(&s, many, 200, 12)));
    assert_true(surprise_asks(tail(&s, many, 100, 12)));
}

static void measures_are_left_alone(void **state)
{
    (void)state;
    struct scoring s = scoring_empty(SCORE_MEASURE);
    const int64_t earlier[] = {1000, 1100};
    near_to(tail(&s, earlier, 2, 90000), 1, 0);
    struct room none = {.base = memory, .size = 16};
    s.kind = SCORE_SUCCESSES;
    s.throws = 12;
    near_to(surprise_tail(&s, earlier, 2, 12, &none), 1, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(seventy_one_for_seventeen),
        cmocka_unit_test(a_perfect_score_after_misses),
        cmocka_unit_test(a_long_history_keeps_to_the_newest),
        cmocka_unit_test(measures_are_left_alone),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
