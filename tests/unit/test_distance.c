/* SPDX-License-Identifier: MIT
 * Distances made fair: circular error by its tables, geometry by counting cells, learning by what
 * must hold. */
#include "assess/distance.h"

#include <math.h>
#include <string.h>

#include "assess/special.h"
#include "t.h"

static _Alignas(16) unsigned char memory[1 << 20];

static struct room lent(void)
{
    return (struct room){.base = memory, .size = sizeof memory};
}

static struct aim square(double half)
{
    return (struct aim){.rect = {{-half, half, -half, half}}, .points = {1}, .zones = 1,
                        .throws = 12, .kappa = 1, .lapse = 0};
}

/* (2 Phi(k) - 1)^2 for a square of half-side k sigma: .146631 .466065 .750624 .911070 .994608. */
static void square_by_the_normal_table(void **state)
{
    (void)state;
    static const double k[] = {0.5, 1, 1.5, 2, 3};
    static const double want[] = {.146631, .466065, .750624, .911070, .994608};
    for (size_t i = 0; i < T_COUNT(k); i++) {
        struct aim a = square(k[i] * 0.4);
        double p[2];
        aim_zone_probs(&a, 0.1, 4, p);
        near_to(p[0], want[i], 1e-6);
        near_to(p[0] + p[1], 1, 1e-15);
    }
}

/* Rayleigh: P(R <= k sigma) = 1 - exp(-k^2/2): .117503 .393469 .675348 .864665 .988891, and one
 * half at 1.17741 sigma (circular error probable). The square that stands for a circle is within
 * 0.0115 of it. */
static void a_circle_is_nearly_its_square(void **state)
{
    (void)state;
    static const double k[] = {0.5, 1, 1.17741002251547, 1.5, 2, 3};
    static const double want[] = {.117503, .393469, .5, .675348, .864665, .988891};
    double worst = 0;
    for (size_t i = 0; i < T_COUNT(k); i++) {
        struct aim a = square(aim_round(k[i] * 0.4));
        double p[2];
        aim_zone_probs(&a, 0.1, 4, p);
        near_to(1 - exp(-k[i] * k[i] / 2), want[i], 1e-6);
        worst = fmax(worst, fabs(p[0] - want[i]));
    }
    assert_true(worst <= 0.0115);
    assert_true(worst > 0.005);
}

/* Overlapping rectangles by cutting the plane into cells at all their edges. */
static void first_match_by_cells(void **state)
{
    (void)state;
    const struct aim a = {
        .rect = {{-.1, .3, .2, .6}, {-.6, .2, 0, .5}, {-.5, .5, -.5, .4}, {-1, 1, -.2, .1},
                 {0, 2, 0, 2}},
        .zones = 5, .kappa = 1.3, .lapse = 0.02,
    };
    static const double xs[] = {-9, -1, -.6, -.5, -.1, 0, .2, .3, .5, 1, 2, 9};
    static const double ys[] = {-9, -.5, -.2, 0, .1, .2, .4, .5, .6, 2, 9};
    double want[6] = {0}, got[6], s = 0.07 * 4;
    for (size_t i = 0; i + 1 < T_COUNT(xs); i++) {
        for (size_t j = 0; j + 1 < T_COUNT(ys); j++) {
            double x = (xs[i] + xs[i + 1]) / 2, y = (ys[j] + ys[j + 1]) / 2;
            int z = 0;
            while (z < 5 && !(x > a.rect[z].x1 && x < a.rect[z].x2 && y > a.rect[z].y1 &&
                              y < a.rect[z].y2)) {
                z++;
            }
            want[z] += (special_phi(xs[i + 1] / s) - special_phi(xs[i] / s)) *
                       (special_phi(ys[j + 1] / (1.3 * s)) - special_phi(ys[j] / (1.3 * s)));
        }
    }
    aim_zone_probs(&a, 0.07, 4, got);
    for (int z = 0; z < 5; z++) {
        near_to(got[z], 0.98 * want[z], 1e-12);
    }
    near_to(got[5], 1 - 0.98 * (1 - want[5]), 1e-12);
}

static void more_hits_mean_a_closer_aim(void **state)
{
    (void)state;
    struct aim a = square(0.25);
    double last = 1e9, mean, sd;
    for (int hits = 0; hits <= 12; hits += 3) {
        struct room w = lent();
        struct aim_attempt t[3];
        struct aim_posterior p;
        for (int i = 0; i < 3; i++) {
            t[i] = (struct aim_attempt){.distance = 3, .known = true, .counts = {hits, 12 - hits}};
        }
        assert_true(aim_learn(&a, t, 3, &w, &p));
        aim_moments(&p, &mean, &sd);
        assert_true(mean < last);
        assert_true(sd > 0.05 && sd < 0.6);
        last = mean;
        double sum = 0, hit = aim_hit(&a, &p, 3), far = aim_hit(&a, &p, 6);
        for (int g = 0; g < AIM_GRID; g++) {
            sum += p.w[g];
        }
        near_to(sum, 1, 1e-12);
        assert_true(hit > far);
    }
}

static void nothing_thrown_is_the_prior(void **state)
{
    (void)state;
    struct room w = lent();
    struct aim a = square(0.25);
    struct aim_posterior p;
    double mean, sd, wider;
    assert_true(aim_learn(&a, NULL, 0, &w, &p));
    aim_moments(&p, &mean, &sd);
    near_to(mean, log(0.08), 1e-12);
    near_to(sd, 0.6, 1e-6);
    aim_another_day(&p, 0.10);
    aim_moments(&p, &mean, &wider);
    near_to(wider, sqrt(0.36 + 0.02), 1e-4);
    near_to(aim_closer_now(&p, &p, 0), 0.5, 1e-12);
}

/* A total of successes says exactly what its hits and misses say. */
static void totals_of_one_zone_are_counts(void **state)
{
    (void)state;
    struct room w = lent();
    struct aim a = square(0.25);
    struct aim_attempt known = {.distance = 3, .known = true, .counts = {5, 7}};
    struct aim_attempt total = {.distance = 3, .total = 5};
    struct aim_posterior p, q;
    assert_true(aim_learn(&a, &known, 1, &w, &p));
    assert_true(aim_learn(&a, &total, 1, &w, &q));
    for (int g = 0; g < AIM_GRID; g++) {
        near_to(q.w[g], p.w[g], 1e-12);
    }
}

static void estimates_stay_near_what_was_thrown(void **state)
{
    (void)state;
    const struct aim_attempt three[] = {{.distance = 2, .total = 2}, {.distance = 3, .total = 2},
                                         {.distance = 3, .total = 2}};
    const struct aim_attempt lost[] = {{.distance = 2, .total = 2}, {.distance = 0, .total = 2},
                                       {.distance = 3, .total = 2}};
    assert_true(aim_usable(three, 3, 4, 4));
    assert_true(aim_usable(three, 3, 4, 5.25));
    assert_false(aim_usable(three, 3, 4, 5.3));     /* beyond a factor of 1.75 of 3 m */
    assert_false(aim_usable(three, 2, 4, 3));       /* eight throws only */
    assert_true(aim_usable(three, 2, 5, 3));        /* ten */
    assert_false(aim_usable(lost, 3, 4, 3));
}

static void steps_go_one_at_a_time_and_never_past_a_limit(void **state)
{
    (void)state;
    static const double steps[] = {2, 2.5, 3}, easy[] = {.95, .9, .7}, hard[] = {.5, .2, .1},
                        right[] = {.8, .6, .4};
    struct aim_step_ask k = {.steps = steps, .n = 3, .current = 1, .target = .6, .dead_band = .15,
                             .throws_here = 12};
    enum aim_reason why;
    assert_int_equal(aim_next_step(&k, easy, &why), 2);
    assert_int_equal(why, AIM_UP);
    assert_int_equal(aim_next_step(&k, hard, &why), 0);
    assert_int_equal(why, AIM_DOWN);
    assert_int_equal(aim_next_step(&k, right, &why), 1);
    assert_int_equal(why, AIM_STAY);
    k.space = 2.9;
    assert_int_equal(aim_next_step(&k, easy, &why), 1);
    assert_int_equal(why, AIM_SPACE);
    k.block_up = true;
    assert_int_equal(aim_next_step(&k, easy, &why), 1);
    assert_int_equal(why, AIM_BLOCKED);
    assert_int_equal(aim_next_step(&k, hard, &why), 0);     /* closer is never blocked */
    k.current = 0;
    assert_int_equal(aim_next_step(&k, hard, &why), 0);
    k.current = 2;
    static const double all[] = {.99, .98, .97};
    assert_int_equal(aim_next_step(&k, all, &why), 2);
    assert_int_equal(why, AIM_TOP);
    k.current = 1;
    k.block_up = false;
    k.space = 0;
    k.throws_here = 4;
    assert_int_equal(aim_next_step(&k, easy, &why), 1);
    assert_int_equal(why, AIM_FEW);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(square_by_the_normal_table),
        cmocka_unit_test(a_circle_is_nearly_its_square),
        cmocka_unit_test(first_match_by_cells),
        cmocka_unit_test(more_hits_mean_a_closer_aim),
        cmocka_unit_test(nothing_thrown_is_the_prior),
        cmocka_unit_test(totals_of_one_zone_are_counts),
        cmocka_unit_test(estimates_stay_near_what_was_thrown),
        cmocka_unit_test(steps_go_one_at_a_time_and_never_past_a_limit),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
