/* SPDX-License-Identifier: MIT
 * The unit's policies on every combination of strands; a repeat by enumeration. */
#include "assess/unit.h"

#include <string.h>

#include "t.h"

enum { TOP = 3 };

static int judged(enum judge_policy policy, int a, int b, int c, struct judgement *out)
{
    struct judge_rule r = judge_rule_default(TOP);
    r.policy = policy;
    *out = (struct judgement){.strand = {a, b, c}};
    judge_unit(&r, out);
    return out->band;
}

/* 3 policies x 5^3 strands: whatever comes in later, the result stays within lo..hi, and both ends
 * are reached. */
static void bounds_hold_whatever_comes_in(void **state)
{
    (void)state;
    for (int policy = 0; policy < 3; policy++) {
        for (int i = 0; i < 125; i++) {
            int s[3] = {i % 5 - 1, i / 5 % 5 - 1, i / 25 - 1};
            struct judgement j, full;
            judged((enum judge_policy)policy, s[0], s[1], s[2], &j);
            int lo = TOP + 1, hi = -1;
            for (int f = 0; f < 64; f++) {
                int fill[3] = {f % 4, f / 4 % 4, f / 16};
                judged((enum judge_policy)policy, s[0] < 0 ? fill[0] : s[0],
                       s[1] < 0 ? fill[1] : s[1], s[2] < 0 ? fill[2] : s[2], &full);
                assert_int_equal(full.status, JUDGE_DETERMINED);
                lo = full.band < lo ? full.band : lo;
                hi = full.band > hi ? full.band : hi;
            }
            assert_int_equal(j.lo, lo);
            assert_int_equal(j.hi, hi);
            if (j.band >= 0) {
                assert_true(j.lo <= j.band && j.band <= j.hi);
            }
        }
    }
}

static void raising_a_strand_never_lowers(void **state)
{
    (void)state;
    for (int policy = 0; policy < 3; policy++) {
        for (int i = 0; i < 64; i++) {
            int s[3] = {i % 4, i / 4 % 4, i / 16};
            struct judgement j, more;
            int band = judged((enum judge_policy)policy, s[0], s[1], s[2], &j);
            for (int k = 0; k < 3; k++) {
                int up[3] = {s[0] + (k == 0), s[1] + (k == 1), s[2] + (k == 2)};
                if (up[k] > TOP) {
                    continue;
                }
                int then = judged((enum judge_policy)policy, up[0], up[1], up[2], &more);
                assert_true(then >= band);
                assert_int_equal(j.decides[k], then > band);
            }
        }
    }
}

static void missing_is_never_low(void **state)
{
    (void)state;
    struct judgement j;
    judged(JUDGE_MAJORITY, 2, STRAND_MISSING, STRAND_MISSING, &j);
    assert_int_equal(j.status, JUDGE_NOT_ENOUGH);
    assert_int_equal(j.band, STRAND_MISSING);
    assert_int_equal(judge_told(&j), 2);
    judged(JUDGE_MAJORITY, 2, 2, STRAND_MISSING, &j);
    assert_int_equal(j.status, JUDGE_DETERMINED);
    assert_int_equal(j.band, 2);
    judged(JUDGE_WEAKEST, 2, 3, STRAND_MISSING, &j);
    assert_int_equal(j.status, JUDGE_PROVISIONAL);
    assert_int_equal(j.band, 2);
    const int none[] = {STRAND_MISSING, STRAND_MISSING};
    assert_int_equal(judge_activities(none, 2, 1), STRAND_MISSING);
    const int some[] = {0, STRAND_MISSING, 3, 2, 2};
    assert_int_equal(judge_activities(some, 5, 1), 2);
    assert_int_equal(judge_activities(some, 5, 5), STRAND_MISSING);
}

static void fractions_have_exact_lines(void **state)
{
    (void)state;
    struct judge_rule r = judge_rule_default(3);        /* 0.4, 0.6, 0.8 */
    static const struct { int k, of, band; } rows[] = {
        {2, 5, 1}, {1, 5, 0}, {3, 5, 2}, {4, 5, 3}, {6, 10, 2}, {5, 10, 1}, {0, 0, -1}, {7, 9, 2},
    };
    for (size_t i = 0; i < T_COUNT(rows); i++) {
        const struct fraction f = {rows[i].k, rows[i].of};
        assert_int_equal(judge_share_band(&r, f), rows[i].band);
    }
    assert_int_equal(judge_share_strand(&r, (struct fraction){2, 2}, 3), STRAND_MISSING);
}

/* Three activities: every combination of their bands. */
static void a_repeat_is_every_combination(void **state)
{
    (void)state;
    static const double a[] = {0.1, 0.4, 0.3, 0.2}, b[] = {0.25, 0.25, 0.25, 0.25},
                        c[] = {0, 0.6, 0.4, 0};
    const double *probs[] = {a, b, c};
    for (int thinking = -1; thinking <= TOP; thinking++) {
        struct judge_rule r = judge_rule_default(TOP);
        struct judgement j = {.activity_band = 1, .cue_band = 2, .strand = {1, thinking, -1}};
        double want[TOP + 1] = {0}, got[TOP + 1];
        for (int i = 0; i < 64; i++) {
            const int bands[] = {i % 4, i / 4 % 4, i / 16};
            struct judgement then = j;
            then.activity_band = judge_activities(bands, 3, 1);
            then.strand[STRAND_PHYSICAL] = judge_physical_band(&r, then.activity_band, 2);
            judge_unit(&r, &then);
            want[judge_told(&then)] += a[bands[0]] * b[bands[1]] * c[bands[2]];
        }
        judge_repeat(&r, &j, probs, 3, got);
        for (int i = 0; i <= TOP; i++) {
            near_to(got[i], want[i], 1e-12);
        }
    }
}

static void one_activity_alone_repeats_as_it_is(void **state)
{
    (void)state;
    static const double a[] = {0.1, 0.7, 0.2, 0};
    const double *probs[] = {a};
    struct judge_rule r = judge_rule_default(TOP);
    struct judgement j = {.activity_band = 1, .cue_band = -1, .strand = {1, -1, -1}};
    double got[TOP + 1];
    judge_repeat(&r, &j, probs, 1, got);
    for (int i = 0; i <= TOP; i++) {
        near_to(got[i], a[i], 1e-15);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(bounds_hold_whatever_comes_in),
        cmocka_unit_test(raising_a_strand_never_lowers),
        cmocka_unit_test(missing_is_never_low),
        cmocka_unit_test(fractions_have_exact_lines),
        cmocka_unit_test(a_repeat_is_every_combination),
        cmocka_unit_test(one_activity_alone_repeats_as_it_is),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
