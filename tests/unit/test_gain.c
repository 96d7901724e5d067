/* SPDX-License-Identifier: MIT
 * Gains: Fisher's published examples, and every allocation of the throws for small cases. */
#include "assess/gain.h"

#include <math.h>
#include <string.h>

#include "t.h"

static _Alignas(16) unsigned char memory[ROOM_ENOUGH];

static struct room lent(void)
{
    return (struct room){.base = memory, .size = sizeof memory};
}

static struct scoring hits(int throws)
{
    struct scoring s = scoring_empty(SCORE_SUCCESSES);
    s.throws = throws;
    return s;
}

/* R. A. Fisher, The Design of Experiments (1935), the lady tasting tea: of 8 cups 4 were chosen;
 * 4 right 1/70, 3 right or better 17/70. */
static void lady_tasting_tea(void **state)
{
    (void)state;
    struct room w = lent();
    struct scoring s = hits(4);
    struct gain_tails t;
    const int before[SCORE_ZONES_MAX] = {4, 0}, after[SCORE_ZONES_MAX] = {0, 4};
    assert_true(gain_throws(&s, before, after, &w, &t));
    near_to(t.up, 1 / 70.0, 1e-14);
    near_to(t.best, 1 / 70.0, 1e-14);
    const int b3[SCORE_ZONES_MAX] = {3, 1}, a3[SCORE_ZONES_MAX] = {1, 3};
    assert_true(gain_throws(&s, b3, a3, &w, &t));
    near_to(t.up, 17 / 70.0, 1e-14);
    near_to(t.eq, 16 / 70.0, 1e-14);
}

/* Convictions of twins (Fisher 1962, as in R's fisher.test help): 2 of 17 against 10 of 13;
 * one-sided p .000465180943. */
static void convictions_of_twins(void **state)
{
    (void)state;
    struct room w = lent();
    struct scoring s = hits(17);
    struct gain_tails t;
    const int before[SCORE_ZONES_MAX] = {3, 10}, after[SCORE_ZONES_MAX] = {15, 2};
    assert_true(gain_throws(&s, before, after, &w, &t));
    near_to(t.lo, 0.000465180943, 1e-12);
    assert_int_equal(gain_category(&s, &t, before, after), GAIN_LOWER);
}

static struct scoring three_zones(int throws)
{
    struct scoring s = scoring_empty(SCORE_ZONES);
    s.throws = throws;
    scoring_add(&s, 0);
    scoring_add(&s, 2);
    scoring_add(&s, 5);
    return s;
}

/* Which of the pooled throws are the later ones: every subset. */
static void every_subset_gives_the_same_tails(void **state)
{
    (void)state;
    static const int before[][SCORE_ZONES_MAX] = {{2, 1, 1}, {4, 0, 0}, {1, 2, 1}, {0, 1, 3}};
    static const int after[][SCORE_ZONES_MAX] = {{1, 1, 2}, {0, 0, 4}, {2, 2, 2}, {3, 1, 0}};
    static const int points[] = {0, 2, 5};
    for (size_t c = 0; c < T_COUNT(before); c++) {
        struct room w = lent();
        struct scoring s = three_zones(4);
        struct gain_tails t;
        int throws[16], n = 0, now = 0, made = 0;
        for (int z = 0; z < 3; z++) {
            for (int i = 0; i < before[c][z] + after[c][z]; i++) {
                throws[n++] = points[z];
            }
            now += after[c][z];
            made += after[c][z] * points[z];
        }
        double all = 0, up = 0, lo = 0;
        for (unsigned set = 0; set < 1U << n; set++) {
            int sum = 0;
            if (__builtin_popcount(set) != now) {
                continue;
            }
            for (int i = 0; i < n; i++) {
                sum += set >> i & 1 ? throws[i] : 0;
            }
            all++;
            up += sum >= made;
            lo += sum <= made;
        }
        assert_true(gain_throws(&s, before[c], after[c], &w, &t));
        near_to(t.up, up / all, 1e-13);
        near_to(t.lo, lo / all, 1e-13);
    }
}

static int points_of_two(const int *throws, const int *order, int from)
{
    return throws[order[from]] + throws[order[from + 1]];
}

/* Every order of six throws in three attempts of two. */
static void permute(int *order, int k, const int *throws, int gain, long *hit, long *all)
{
    if (k == 6) {
        int first = points_of_two(throws, order, 0), best = first;
        for (int a = 2; a < 6; a += 2) {
            int t = points_of_two(throws, order, a);
            best = t > best ? t : best;
        }
        *hit += best - first >= gain;
        *all += 1;
        return;
    }
    for (int i = k; i < 6; i++) {
        int t = order[k];
        order[k] = order[i];
        order[i] = t;
        permute(order, k + 1, throws, gain, hit, all);
        order[i] = order[k];
        order[k] = t;
    }
}

static void first_to_best_chooses_the_best_too(void **state)
{
    (void)state;
    static const int counts[3][SCORE_ZONES_MAX] = {{1, 1, 0}, {1, 0, 1}, {0, 1, 1}};
    static const int throws[] = {0, 0, 2, 2, 5, 5};
    for (int gain = 0; gain <= 10; gain++) {
        struct room w = lent();
        struct scoring s = three_zones(2);
        int order[6] = {0, 1, 2, 3, 4, 5};
        long hit = 0, all = 0;
        double p;
        permute(order, 0, throws, gain, &hit, &all);
        assert_true(gain_first_to_best(&s, &(struct gain_attempts){counts, 3, gain}, &w, &p));
        near_to(p, (double)hit / (double)all, 1e-12);
    }
}

static void a_perfect_start_is_silent(void **state)
{
    (void)state;
    struct room w = lent();
    struct scoring s = three_zones(4);
    struct gain_tails t;
    const int perfect[SCORE_ZONES_MAX] = {0, 0, 12}, none[SCORE_ZONES_MAX] = {0, 0, 0};
    assert_true(gain_throws(&s, perfect, perfect, &w, &t));
    assert_int_equal(gain_category(&s, &t, perfect, perfect), GAIN_SILENT);
    assert_false(gain_throws(&s, perfect, none, &w, &t));
    assert_false(gain_throws(&s, none, perfect, &w, &t));
}

/* Even if nothing changed the tails of all outcomes keep their promise: P(p_up <= a) <= a. */
static void false_alarms_keep_within_their_share(void **state)
{
    (void)state;
    struct scoring s = three_zones(4);
    static const int pool[] = {6, 6, 4};
    double alarms[2] = {0, 0}, all = 0;
    for (int a = 0; a <= pool[0]; a++) {
        for (int b = 0; b <= pool[1]; b++) {
            int c = 8 - a - b;
            if (c < 0 || c > pool[2]) {
                continue;
            }
            struct room w = lent();
            struct gain_tails t;
            const int after[SCORE_ZONES_MAX] = {a, b, c};
            const int before[SCORE_ZONES_MAX] = {pool[0] - a, pool[1] - b, pool[2] - c};
            double ways = 1;
            for (int z = 0; z < 3; z++) {
                for (int i = 0; i < after[z]; i++) {
                    ways = ways * (pool[z] - i) / (i + 1);
                }
            }
            assert_true(gain_throws(&s, before, after, &w, &t));
            all += ways;
            alarms[0] += t.up <= 0.02 ? ways : 0;
            alarms[1] += t.up <= 0.10 ? ways : 0;
        }
    }
    assert_true(alarms[0] / all <= 0.02);
    assert_true(alarms[1] / all <= 0.10);
    assert_true(alarms[1] > 0);
}

static void measures_need_the_class(void **state)
{
    (void)state;
    struct gain_means g = {.before = 1.0, .after = 1.5, .n_before = 3, .n_after = 3, .s_w = 0.1,
                           .nu = 19, .s_day = 0.05};
    assert_int_equal(gain_measure_category(&g), GAIN_SILENT);
    g.nu = 20;
    assert_int_equal(gain_measure_category(&g), GAIN_CLEAR);
    g.after = 0.5;
    assert_int_equal(gain_measure_category(&g), GAIN_LOWER);
    g.after = 1.01;
    assert_int_equal(gain_measure_category(&g), GAIN_UP_LUCK);
    assert_int_equal(gain_distance_category(0.999, 1.2), GAIN_LIKELY);
    assert_int_equal(gain_distance_category(0.999, 1.8), GAIN_SILENT);
    assert_int_equal(gain_distance_category(0.999, 1 / 1.8), GAIN_SILENT);
    assert_int_equal(gain_distance_category(0.9, 1), GAIN_UP_LUCK);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(lady_tasting_tea),
        cmocka_unit_test(convictions_of_twins),
        cmocka_unit_test(every_subset_gives_the_same_tails),
        cmocka_unit_test(first_to_best_chooses_the_best_too),
        cmocka_unit_test(a_perfect_start_is_silent),
        cmocka_unit_test(false_alarms_keep_within_their_share),
        cmocka_unit_test(measures_need_the_class),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
