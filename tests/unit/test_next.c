/* SPDX-License-Identifier: MIT
 * The next challenge: always attainable, one step, within what activity and home allow. */
#include "assess/next.h"

#include "assess/band_zones.h"
#include "t.h"

static _Alignas(16) unsigned char memory[1 << 20];

static struct scoring slides(void)
{
    struct scoring s = scoring_empty(SCORE_ZONES);
    s.throws = 4;
    scoring_add(&s, 0);
    scoring_add(&s, 2);
    scoring_add(&s, 5);
    s.distances = 3;
    s.distances_mm[0] = 2000;
    s.distances_mm[1] = 3000;
    s.distances_mm[2] = 4000;
    return s;
}

static void the_next_score_can_be_made(void **state)
{
    (void)state;
    struct scoring s = slides();
    int64_t next;
    assert_true(next_value(&s, 12, &next));
    assert_int_equal(next, 14);
    assert_true(next_value(&s, 17, &next));
    assert_int_equal(next, 20);
    assert_false(next_value(&s, 20, &next));
    struct scoring c = scoring_empty(SCORE_TIMED_COUNT);
    c.seconds = 30;
    assert_true(next_value(&c, 31, &next));
    assert_int_equal(next, 32);
    assert_false(next_value(&c, 240, &next));
    struct scoring m = scoring_empty(SCORE_MEASURE);
    m.resolution = 100;
    assert_true(next_value(&m, 8200, &next));
    assert_int_equal(next, 8300);
    m.lower_is_better = true;
    assert_true(next_value(&m, 8200, &next));
    assert_int_equal(next, 8100);
    assert_false(next_value(&m, 100, &next));
}

static enum next_kind kind_of(const struct next_from *f, struct next *n)
{
    struct scoring s = slides();
    next_challenge(&s, f, n);
    return n->kind;
}

static void one_step_closer_or_further(void **state)
{
    (void)state;
    struct next n;
    struct next_from f = {.has_best = true, .best = 12, .distance_mm = 3000, .scored = 11,
                          .throws = 12};
    assert_int_equal(kind_of(&f, &n), NEXT_FURTHER);
    assert_int_equal(n.distance_mm, 4000);
    f.scored = 7;
    assert_int_equal(kind_of(&f, &n), NEXT_SAME);
    f.scored = 3;
    assert_int_equal(kind_of(&f, &n), NEXT_CLOSER);
    assert_int_equal(n.distance_mm, 2000);
    f.distance_mm = 2000;
    assert_int_equal(kind_of(&f, &n), NEXT_SAME);       /* nothing closer */
    f.distance_mm = 4000;
    f.scored = 12;
    assert_int_equal(kind_of(&f, &n), NEXT_SCORE);      /* never farther than the activity */
    assert_int_equal(n.value, 14);
    f.best = 20;
    assert_int_equal(kind_of(&f, &n), NEXT_AGAIN);
}

static void further_only_when_it_may_be(void **state)
{
    (void)state;
    struct next n;
    struct next_from f = {.has_best = true, .best = 12, .distance_mm = 3000, .scored = 12,
                          .throws = 12, .space_mm = 3500};
    assert_int_equal(kind_of(&f, &n), NEXT_SAME);
    f.space_mm = 4000;
    assert_int_equal(kind_of(&f, &n), NEXT_FURTHER);
    f.hold = true;
    assert_int_equal(kind_of(&f, &n), NEXT_SAME);
    f.hold = false;
    f.scored = f.throws = 4;
    assert_int_equal(kind_of(&f, &n), NEXT_SAME);       /* too few to say */
    f.throws = 0;
    assert_int_equal(kind_of(&f, &n), NEXT_SCORE);
    f.has_best = false;
    assert_int_equal(kind_of(&f, &n), NEXT_NONE);
}

static void todays_target_can_be_made(void **state)
{
    (void)state;
    struct scoring s = slides();
    struct total_set set;
    attainable_totals(&s, 0, &set);
    for (int a = 0; a <= 20; a++) {
        struct room w = {.base = memory, .size = sizeof memory};
        struct outcome o[2] = {{.total = a, .throws = 4}, {.total = 9, .throws = 4}};
        struct next_aim n;
        const struct outcomes both = {o, 2};
        const struct next_ask k = {&s, &both, 3, a > 9 ? a : 9};
        if (!attainable_has(&set, a)) {
            continue;
        }
        assert_true(next_total(&k, &w, &n));
        assert_true(attainable_has(&set, n.today));
        assert_true(n.next < 0 || (attainable_has(&set, n.next) && n.next > k.best));
        assert_true(n.next < 0 || n.today <= n.next);
        assert_true(n.p_today >= n.p_next - 1e-12);
    }
}

/* Who threw from beyond the activity's farthest step or the home's space is asked closer, however
 * well it went; with no step that the space allows nothing is asked. */
static void beyond_a_limit_is_asked_closer(void **state)
{
    (void)state;
    struct scoring s = slides();
    static const struct { int32_t here, space; enum next_kind kind; int32_t to; } rows[] = {
        {4000, 3500, NEXT_CLOSER, 3000}, {3000, 2500, NEXT_CLOSER, 2000},
        {6000, 0, NEXT_CLOSER, 4000}, {4000, 1500, NEXT_NONE, 0}, {3000, 3000, NEXT_SAME, 3000},
    };
    for (size_t i = 0; i < T_COUNT(rows); i++) {
        for (int scored = 0; scored <= 12; scored += 6) {
            struct next_from f = {.has_best = true, .best = 9, .distance_mm = rows[i].here,
                                  .space_mm = rows[i].space, .scored = scored, .throws = 12};
            struct next n;
            next_challenge(&s, &f, &n);
            if (rows[i].kind != NEXT_SAME) {
                assert_int_equal(n.kind, rows[i].kind);
                assert_int_equal(n.distance_mm, rows[i].to);
            }
            assert_true(n.distance_mm <= rows[i].here);
        }
    }
}

/* No step past the largest integer. */
static void the_largest_integers_have_no_next(void **state)
{
    (void)state;
    struct scoring m = scoring_empty(SCORE_MEASURE), c = scoring_empty(SCORE_TIMED_COUNT);
    int64_t next;
    m.resolution = 10;
    assert_false(next_value(&m, INT64_MAX - 3, &next));
    m.lower_is_better = true;
    assert_false(next_value(&m, INT64_MIN + 3, &next));
    c.hard_high = INT64_MAX;
    assert_false(next_value(&c, INT64_MAX, &next));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_next_score_can_be_made),
        cmocka_unit_test(one_step_closer_or_further),
        cmocka_unit_test(further_only_when_it_may_be),
        cmocka_unit_test(beyond_a_limit_is_asked_closer),
        cmocka_unit_test(the_largest_integers_have_no_next),
        cmocka_unit_test(todays_target_can_be_made),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
