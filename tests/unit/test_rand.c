/* SPDX-License-Identifier: MIT
 * base/rand: ranges, evenness (chi-square), and the reproducible stream. */
#include "base/rand.h"

#include <string.h>

#include "t.h"

static void ids_are_in_range_and_differ(void **state)
{
    (void)state;
    int64_t seen[2000];
    for (size_t i = 0; i < T_COUNT(seen); i++) {
        seen[i] = rand_id();
        assert_true(seen[i] >= INT64_C(1) << 53 && seen[i] < INT64_C(1) << 62);
        for (size_t j = 0; j < i; j++) {
            assert_true(seen[i] != seen[j]);    /* 2000 of 2^62: one in 10^12 */
        }
    }
}

static void below_stays_below(void **state)
{
    (void)state;
    assert_int_equal(rand_below(0), 0);
    assert_int_equal(rand_below(1), 0);
    for (int i = 0; i < 1000; i++) {
        assert_true(rand_below(3) < 3);
        assert_true(rand_below(UINT32_MAX) < UINT32_MAX);
    }
}

/* Pearson's chi-square with 23 degrees of freedom (the 24 card pictures). Its upper and lower 10^-6
 * points are 70.55 and 3.53 (inverse of the regularised incomplete gamma function, as in Abramowitz
 * and Stegun 26.4.19). The stream is fixed, so this never flickers. */
static void below_is_even(void **state)
{
    (void)state;
    enum { N = 24, DRAWS = 48000 };
    rand_reproducible(7);
    double count[N] = {0}, chi = 0;
    for (int i = 0; i < DRAWS; i++) {
        count[rand_below(N)]++;
    }
    for (int i = 0; i < N; i++) {
        double d = count[i] - DRAWS / N;
        chi += d * d / (DRAWS / N);
    }
    assert_true(chi < 70.55);
    assert_true(chi > 3.53);    /* too even would be no chance either */
}

static void reproducible_means_the_same_again(void **state)
{
    (void)state;
    uint8_t a[64], b[64], c[64];
    rand_reproducible(42);
    rand_bytes(a, sizeof a);
    rand_bytes(c, sizeof c);
    assert_memory_not_equal(a, c, sizeof a);
    rand_reproducible(42);
    rand_bytes(b, sizeof b);
    assert_memory_equal(a, b, sizeof a);
    rand_reproducible(43);
    rand_bytes(b, sizeof b);
    assert_memory_not_equal(a, b, sizeof a);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(ids_are_in_range_and_differ),
        cmocka_unit_test(below_stays_below),
        cmocka_unit_test(below_is_even),
        cmocka_unit_test(reproducible_means_the_same_again),
    };
    return cmocka_run_group_tests_name("rand", tests, NULL, NULL);
}
