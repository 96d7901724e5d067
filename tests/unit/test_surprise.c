/* SPDX-License-Identifier: MIT
 * Surprise asks and never refuses: 71 typed for 17 is asked about, an ordinary good day is not. */
#include "assess/surprise.h"

#include <math.h>

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
    s.throws = 4;
    scoring_add(&s, 0);
    scoring_add(&s, 2);
    scoring_add(&s, 5);
    const int64_t low[] = {0, 2, 0, 4, 2, 0}, mixed[] = {9, 11};
    assert_true(surprise_asks(tail(&s, low, 6, 20)));
    assert_false(surprise_asks(tail(&s, low, 6, 5)));
    assert_false(surprise_asks(tail(&s, mixed, 2, 20)));
    double last = 1.1;
    for (int v = 0; v <= 20; v++) {
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

/* The value comes from the closed form of the predictive for one new try: with m = 1 and the
 * middle or the best the same, T' on the scale is Student's t about the mean with variance
 * s_w^2 (1/n + 2 rho^2 + 1). Table value (Student's t, 30 df, upper 0.0005: 3.646, from memory). */
static void a_measure_borrows_how_much_tries_vary(void **state)
{
    (void)state;
    const int64_t earlier[] = {10000, 10000};
    struct band_spread sp = {BAND_LOG, false, 1, 0.2, 30, 0.5};
    double reach = 0.2 * sqrt(0.5 + 2 * 0.25 + 1);
    near_to(surprise_measure(&sp, earlier, 2, llround(10000 * exp(3.646 * reach))), 0.0005, 5e-6);
    assert_true(surprise_asks(surprise_measure(&sp, earlier, 2, 30000)));
    assert_false(surprise_asks(surprise_measure(&sp, earlier, 2, 13000)));
    near_to(surprise_measure(&sp, earlier, 1, 30000), 1, 0);
    sp.lower_is_better = true;
    assert_true(surprise_asks(surprise_measure(&sp, earlier, 2, 3333)));
    assert_false(surprise_asks(surprise_measure(&sp, earlier, 2, 30000)));
    sp.nu = 19;                         /* too little is known of the class */
    near_to(surprise_measure(&sp, earlier, 2, 1), 1, 0);
}

static void without_room_nothing_surprises(void **state)
{
    (void)state;
    struct scoring s = scoring_empty(SCORE_SUCCESSES);
    const int64_t earlier[] = {0, 0};
    struct room none = {.base = memory, .size = 16};
    s.throws = 12;
    near_to(surprise_tail(&s, earlier, 2, 12, &none), 1, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(seventy_one_for_seventeen),
        cmocka_unit_test(a_perfect_score_after_misses),
        cmocka_unit_test(a_long_history_keeps_to_the_newest),
        cmocka_unit_test(a_measure_borrows_how_much_tries_vary),
        cmocka_unit_test(without_room_nothing_surprises),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
