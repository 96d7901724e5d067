/* SPDX-License-Identifier: MIT
 * The personal best: the rules on every short history, and what luck alone gives. */
#include "assess/best.h"

#include "assess/attainable.h"
#include "t.h"

static void a_lower_time_is_a_better_mark(void **state)
{
    (void)state;
    const struct mark before = {0, best_sign(12500, true)};
    const struct mark now = {0, best_sign(12400, true)};
    assert_int_equal(best_status(&before, 1, now, SAME_STEP_MM), BEST_NEW);
    assert_int_equal(best_status(&now, 1, before, SAME_STEP_MM), BEST_NOT_THIS_TIME);
    assert_int_equal(best_sign(best_sign(7, true), true), 7);
}

/* All histories of three marks on a small grid. */
static void statuses_agree_with_the_order_on_every_history(void **state)
{
    (void)state;
    enum { PLACES = 3, SCORES = 3, MARKS = PLACES * SCORES };
    struct mark all[MARKS];
    for (int i = 0; i < MARKS; i++) {
        all[i] = (struct mark){3000 + 1000 * (i / SCORES), i % SCORES};
    }
    for (int c = 0; c < MARKS * MARKS * MARKS * MARKS; c++) {
        struct mark h[3] = {all[c % MARKS], all[c / MARKS % MARKS], all[c / MARKS / MARKS % MARKS]};
        struct mark now = all[c / MARKS / MARKS / MARKS];
        bool beaten_here = false, reached_here = false, beyond = false, seen_here = false;
        for (int i = 0; i < 3; i++) {
            bool here = h[i].distance_mm == now.distance_mm;
            seen_here |= here;
            beaten_here |= here && h[i].score > now.score;
            reached_here |= here && h[i].score == now.score;
            beyond |= h[i].distance_mm > now.distance_mm && h[i].score >= now.score;
        }
        enum best_status s = best_status(h, 3, now, SAME_STEP_MM);
        if (beaten_here || beyond) {
            assert_int_equal(s, BEST_NOT_THIS_TIME);
        } else if (reached_here) {
            assert_int_equal(s, BEST_EQUAL);
        } else if (seen_here) {
            assert_int_equal(s, BEST_NEW);
        } else {
            assert_true(s == BEST_NEW_FARTHER || s == BEST_FIRST_AT_DISTANCE);
        }
    }
}

static void a_hand_in_shows_its_gladdest_try(void **state)
{
    (void)state;
    const struct mark earlier[] = {{3000, 10}};
    const struct mark now[] = {{3000, 7}, {3000, 11}, {3000, 12}, {2000, 20}};
    enum best_status s;
    size_t at;
    assert_true(best_of_hand_in((struct marks){earlier, 1}, (struct marks){now, 4}, &s, &at));
    assert_int_equal(s, BEST_NEW);
    assert_int_equal(at, 2);
    assert_true(best_of_hand_in((struct marks){earlier, 0}, (struct marks){now, 3}, &s, &at));
    assert_int_equal(s, BEST_FIRST);
    assert_int_equal(at, 2);
    assert_false(best_of_hand_in((struct marks){earlier, 1}, (struct marks){now, 0}, &s, &at));
}

static void bests_are_kept_by_step(void **state)
{
    (void)state;
    const struct mark marks[] = {{3000, 10}, {2500, 14}, {3200, 12}, {3500, 2}, {2500, 9}};
    struct mark out[8];
    assert_int_equal(best_by_step(marks, T_COUNT(marks), out, 8), 3);
    assert_int_equal(out[0].distance_mm, 2500);
    assert_int_equal(out[0].score, 14);
    assert_int_equal(out[1].distance_mm, 3000);
    assert_int_equal(out[1].score, 12);
    assert_int_equal(out[2].score, 2);
    struct mark top;
    size_t at;
    assert_true(best_of(marks, T_COUNT(marks), &top, &at));
    assert_int_equal(at, 1);
    assert_false(best_of(marks, 0, &top, &at));
}

/* Without any change and without ties the previous best falls H_N - 1 times in N attempts: the
 * theory of records (A. Renyi 1962): 0.8333 for 3, 1.0833 for 4. Over every order of N marks. */
static void orders(int *x, int n, int k, long *beaten, long *count)
{
    if (k == n) {
        struct mark m[5];
        struct best_story story;
        for (int i = 0; i < n; i++) {
            m[i] = (struct mark){0, x[i]};
        }
        best_tell(m, (size_t)n, &story);
        *beaten += story.beaten;
        *count += 1;
        return;
    }
    for (int i = k; i < n; i++) {
        int t = x[k];
        x[k] = x[i];
        x[i] = t;
        orders(x, n, k + 1, beaten, count);
        x[i] = x[k];
        x[k] = t;
    }
}

static void luck_alone_gives_the_records_of_renyi(void **state)
{
    (void)state;
    static const struct { int n; double want; } cases[] = {
        {2, 1 / 2.0}, {3, 1 / 2.0 + 1 / 3.0}, {4, 13 / 12.0}, {5, 13 / 12.0 + 1 / 5.0},
    };
    for (size_t i = 0; i < T_COUNT(cases); i++) {
        int x[5] = {1, 2, 3, 4, 5};
        long beaten = 0, count = 0;
        orders(x, cases[i].n, 0, &beaten, &count);
        near_to((double)beaten / (double)count, cases[i].want, 1e-12);
    }
}

static void the_story_of_a_line(void **state)
{
    (void)state;
    const struct mark m[] = {{0, 5}, {0, 5}, {0, 7}, {0, 6}, {0, 9}};
    struct best_story s;
    best_tell(m, T_COUNT(m), &s);
    assert_int_equal(s.first, 5);
    assert_int_equal(s.best, 9);
    assert_int_equal(s.gain, 4);
    assert_int_equal(s.beaten, 2);
    assert_int_equal(s.equalled, 1);
    assert_int_equal(s.last_new, 4);
    best_tell(m, 0, &s);
    assert_int_equal(s.beaten, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_lower_time_is_a_better_mark),
        cmocka_unit_test(statuses_agree_with_the_order_on_every_history),
        cmocka_unit_test(a_hand_in_shows_its_gladdest_try),
        cmocka_unit_test(bests_are_kept_by_step),
        cmocka_unit_test(luck_alone_gives_the_records_of_renyi),
        cmocka_unit_test(the_story_of_a_line),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
