/* SPDX-License-Identifier: MIT
 * Nothing that is no number leaves the module, and no lent memory is kept: every function that
 * answers in doubles, at the edges of what it may be handed (no attempts, one, all equal, no
 * degrees of freedom, the smallest and largest values a record or an activity can hold). */
#include <math.h>
#include <string.h>

#include "assess/band.h"
#include "assess/band_zones.h"
#include "assess/distance.h"
#include "assess/gain.h"
#include "assess/group.h"
#include "assess/next.h"
#include "assess/special.h"
#include "assess/spread.h"
#include "assess/surprise.h"
#include "assess/unit.h"
#include "draw.h"
#include "t.h"

static _Alignas(16) unsigned char memory[ROOM_ENOUGH];

static struct room lent(void)
{
    return (struct room){.base = memory, .size = sizeof memory};
}

static void is_chance(double p)
{
    assert_true(p >= 0 && p <= 1 + 1e-9);       /* a NaN is neither */
}

static void is_answer(const struct band_answer *a, size_t lines)
{
    assert_true(isfinite(a->observed));
    assert_true(a->band >= 0 && a->band <= (int)lines);
    for (size_t i = 0; a->known && i <= lines; i++) {
        is_chance(a->probs[i]);
    }
}

static const double wide[] = {0, 1e-300, 1e-12, 0.5, 1, 2, 77, 1e6, 1e12, 1e150};

static void distribution_functions(void **state)
{
    (void)state;
    for (size_t i = 0; i < T_COUNT(wide); i++) {
        for (int sign = -1; sign <= 1; sign += 2) {
            double x = sign * wide[i];
            is_chance(special_phi(x));
            is_chance(special_t_sf(x, 0.5));
            is_chance(special_t_sf(x, 20));
            is_chance(special_t_sf(x, 5000));
            is_chance(special_f_cdf(x, 1, 1));
            is_chance(special_f_cdf(x, 200, 300));
            is_chance(special_ibeta(x, 0.5, 400));
            is_chance(special_binom_sf(x, 30, 0.3));
            is_chance(special_nbinom_sf(x, 0.5, 0.9));
        }
        is_chance(special_binom_sf(3, 7, fmin(1, wide[i])));
        is_chance(special_nbinom_sf(3, 7, fmin(1, wide[i])));
        assert_true(isfinite(special_ln_gamma(wide[i] + 1e-300)));
    }
    for (int d = 1; d < 400; d += 57) {
        assert_true(isfinite(special_f_quantile(0.975, d, 1)));
        assert_true(isfinite(special_f_quantile(0.975, 1, d)));
        assert_true(isfinite(special_f_quantile(0, d, d)));
    }
}

/* All values that an attempt can have: see check_attempt. Counts go up to 8 a second. */
static void counts(void **state)
{
    (void)state;
    static const int64_t c[] = {0, 1, 7, 300, 28800, 1000000, INT64_MAX};
    static const double lines[] = {-1e18, 0, 0.5, 1, 299.5, 3000, 3001, 1e18};
    for (int stat = 0; stat < 3; stat++) {
        for (size_t i = 0; i < T_COUNT(c); i++) {
            for (size_t l = 0; l < T_COUNT(lines); l++) {
                const int64_t own[] = {c[i], c[i], c[T_COUNT(c) - 1 - i]};
                for (size_t n = 1; n <= 3; n++) {
                    struct band_rule r = band_rule_default((enum band_stat)stat, 1 + (int)n % 3);
                    struct band_answer a;
                    struct room w = lent();
                    r.lines = 1;
                    r.line[0] = lines[l];
                    assert_true(band_counts(&r, own, n, &w, &a));
                    is_answer(&a, 1);
                    assert_int_equal(w.used, 0);
                }
            }
            is_chance(gain_counts(c[i], 30, c[T_COUNT(c) - 1 - i], 60));
            is_chance(gain_counts(c[i], 1, c[i], 3600));
        }
    }
    struct scoring s = scoring_empty(SCORE_TIMED_COUNT);
    s.seconds = 3600;
    for (size_t i = 0; i < T_COUNT(c); i++) {
        struct room w = lent();
        const int64_t own[] = {c[i], 0, c[i]};
        is_chance(surprise_tail(&s, own, 3, c[T_COUNT(c) - 1 - i], &w));
        is_chance(surprise_tail(&s, own, 0, c[i], &w));
    }
}

static void measures(void **state)
{
    (void)state;
    static const double s_w[] = {0, 1e-300, 1e-9, 0.1, 5, 1e9}, nu[] = {0, 19, 20, 1000, 1e6};
    static const double x[] = {1, 2, 1e6, 9.2e18}, lines[] = {-9.2e18, 0, 0.4, 1, 1e6, 9.2e18};
    struct band_answer a;
    for (int c = 0; c < 3 * 3 * 2 * 2 * 6 * 5 * 4 * 6; c++) {
        int k = c;
        struct band_spread sp = {.resolution = 1};
        sp.scale = (enum band_scale)(k % 3);
        struct band_rule r = band_rule_default((enum band_stat)(k / 3 % 3), 1 + k / 9 % 2 * 2);
        sp.lower_is_better = k / 18 % 2;
        k /= 36;
        sp.s_w = s_w[k % 6];
        sp.nu = nu[k / 6 % 5];
        sp.rho = k % 7 == 0 ? 0 : 1.5;
        const double own[] = {x[k / 30 % 4], x[k / 30 % 4], x[k % 4]};
        r.lines = 1;
        r.line[0] = lines[k / 120 % 6];
        for (size_t n = 1; n <= 3; n++) {
            assert_true(band_measure(&r, &sp, own, n, &a));
            is_answer(&a, 1);
        }
        struct gain_means g = {own[0], own[2], 1, 3, sp.s_w, sp.nu, sp.s_w * sp.rho,
                                k % 11};
        double t;
        is_chance(gain_measure(&g, &t));
        assert_true(isfinite(t) || sp.s_w < 1e-200);
        assert_non_null(gain_category_word(gain_measure_category(&g)));
    }
}

static void spreads(void **state)
{
    (void)state;
    static const double y[] = {3, 3, 3}, z[] = {-1e100, 1e100};
    struct band_spread sp = {.scale = BAND_RAW};
    struct spread_sum s = {0};
    spread_close(&s, &sp);
    assert_true(sp.s_w == 0 && sp.nu == 0 && sp.rho == 0.5);
    spread_add(&s, y, 0);
    spread_add(&s, y, 1);
    for (int i = 0; i < 20; i++) {
        spread_add(&s, y, 3);
        spread_pair(&s, 3, 3, 3, 3);
        spread_pair(&s, 3, 0, 3, 3);
    }
    spread_close(&s, &sp);
    assert_true(sp.s_w == 0 && sp.rho == 0.5);
    spread_add(&s, z, 2);
    spread_pair(&s, -1e100, 1, 1e100, 1);
    spread_close(&s, &sp);
    assert_true(isfinite(sp.s_w) && sp.rho >= 0.3 && sp.rho <= 1.5);
    assert_true(isfinite(spread_scale(BAND_LOG, true, 1e-300)));
    assert_true(isfinite(spread_scale(BAND_SQRT, false, 0)));
}

static void zones(void **state)
{
    (void)state;
    static const int shapes[][4] = {{1, 0, 1, -1}, {5, 0, 4095 / 5, -1}, {30, 0, 1, 100},
                                    {3, 4, -1, -1}, {40, 0, 1, -1}};
    for (size_t k = 0; k < T_COUNT(shapes); k++) {
        for (int fill = 0; fill < 3; fill++) {
            struct scoring s = scoring_empty(SCORE_ZONES);
            struct outcome o[3] = {{.known = fill > 0}, {.part = true, .known = true}, {0}};
            s.throws = shapes[k][0];
            for (int i = 1; i < 4 && shapes[k][i] >= 0; i++) {
                scoring_add(&s, shapes[k][i]);
            }
            for (int i = 0; i < 3; i++) {
                int z = fill == 2 ? s.zones - 1 : 0;
                o[i].throws = i == 1 ? 1 : s.throws;
                o[i].counts[z] = o[i].throws;
                o[i].total = o[i].throws * s.points[z];
            }
            for (int stat = 0; stat < 3; stat++) {
                static const double lines[] = {-9e18, 0, 3.5, 4095, 9e18};
                struct band_rule r = band_rule_default((enum band_stat)stat, 2);
                struct room w = lent();
                struct zones_table t;
                struct band_answer a;
                r.lines = T_COUNT(lines);
                memcpy(r.line, lines, sizeof lines);
                bool made = zones_table_make(&s, &r, &w, &t);
                const struct zones_ask ask = {&s, &r, made ? &t : NULL};
                for (size_t n = 0; n <= 3; n++) {
                    if (band_zones(&ask, (struct outcomes){o, n}, &w, &a)) {
                        is_answer(&a, r.lines);
                    }
                }
            }
            struct room w = lent();
            struct gain_tails g;
            if (gain_throws(&s, o[0].counts, o[2].counts, &w, &g)) {
                is_chance(g.up);
                is_chance(g.lo);
                is_chance(g.eq);
                is_chance(g.best);
            }
            struct gain_range range;
            struct gain_sides sides = {{o, 1}, {o + 2, 1}};
            if (gain_totals(&s, &sides, &w, &range, &g)) {
                is_chance(range.smallest);
                is_chance(range.largest);
            }
        }
    }
}

static void next_scores(void **state)
{
    (void)state;
    for (int n = 0; n <= 2; n++) {
        struct scoring s = scoring_empty(SCORE_SUCCESSES);
        const struct outcome o[] = {{.known = true, .counts = {0, 6}, .throws = 6},
                                    {.total = 0, .throws = 6}};
        const struct outcomes all = {o, (size_t)n};
        struct room w = lent();
        struct next_aim a;
        s.throws = 6;
        for (int best = 0; best <= 6; best++) {
            assert_true(next_total(&(struct next_ask){&s, &all, 3, best}, &w, &a));
            is_chance(a.p_next);
            is_chance(a.p_today);
            assert_true(a.next == (best < 6 ? best + 1 : -1));
            assert_true(a.today >= 0 && a.today <= (best < 6 ? best + 1 : 6));
        }
    }
}

static void aims(void **state)
{
    (void)state;
    struct aim a = {.rect = {{-.25, .25, -.25, .25}, {-.5, .5, -.5, .5}, {.5, -.5, 0, 0}},
                    .points = {5, 2, 4}, .zones = 3, .throws = 4, .kappa = 1, .lapse = 0.02};
    static const double far[] = {0, 1e-9, 0.5, 4, 30, 1e9};
    for (size_t i = 0; i < T_COUNT(far); i++) {
        for (int lapse = 0; lapse <= 2; lapse++) {
            struct aim_attempt t[] = {{.distance = far[i], .known = true, .counts = {4, 0, 4}},
                                      {.distance = far[i], .total = 17}};
            struct band_rule r = band_rule_default((enum band_stat)lapse, 3);
            struct aim_posterior p;
            struct aim_prediction out;
            struct room w = lent();
            double m, sd, zone[AIM_ZONES_MAX + 1];
            a.lapse = lapse / 2.0;
            r.lines = 2;
            r.line[0] = -1e18;
            r.line[1] = 1e18;
            assert_true(aim_learn(&a, t, i % 3, &w, &p));
            aim_another_day(&p, lapse);
            aim_moments(&p, &m, &sd);
            assert_true(isfinite(m) && isfinite(sd));
            is_chance(aim_hit(&a, &p, far[i]));
            is_chance(aim_closer_now(&p, &p, 0.1));
            assert_true(aim_predict(&a, &p, &(struct aim_at){far[i], &r}, &w, &out));
            is_chance(out.tails[0]);
            is_chance(out.tails[1]);
            assert_true(out.mean >= 0 && out.mean <= 20 + 1e-9 && out.lo <= out.hi && out.hi <= 20);
            aim_zone_probs(&a, 1e-6, far[i], zone);
            for (int z = 0; z <= a.zones; z++) {
                is_chance(zone[z]);
            }
            (void)aim_usable(t, 2, 5, far[i]);
        }
    }
}

static void is_icc(double x)
{
    assert_true(isfinite(x) && x <= 1 + 1e-9);
}

/* Also where all are equal and a double cannot hold the value exactly. */
static void groups(void **state)
{
    (void)state;
    draw_seed(51);
    for (int round = 0; round < 4000; round++) {
        size_t n = (size_t)draw_int(2, 6), k = (size_t)draw_int(2, 4), count[6], total = 0;
        double x[24], scale = exp(draw_double(-30, 30)), all = scale * draw_double(0.1, 10);
        int shape = draw_int(0, 3);
        for (size_t i = 0; i < n * k; i++) {
            x[i] = shape == 0 ? all : shape == 1 ? all + scale * (double)(i / k)
                 : shape == 2 ? all + scale * (double)(i % k) : scale * draw_int(-3, 3);
        }
        struct icc_balanced b;
        struct icc_unbalanced u;
        struct five_numbers f;
        assert_true(group_icc_balanced(x, n, k, &b));
        is_icc(b.icc1);
        is_icc(b.icc3);
        is_icc(b.icc1k);
        is_icc(b.icc3k);
        assert_true(isfinite(b.lower) && isfinite(b.upper) && isfinite(b.typical_error));
        assert_true((shape != 0 && shape != 2) || !b.judged);
        for (size_t i = 0; i < n; i++) {
            count[i] = (size_t)draw_int(0, (int)k);
            total += count[i];
        }
        if (group_icc_unbalanced(x, count, n, &u)) {
            is_icc(u.icc1);
            is_icc(u.icc1k);
            assert_true(isfinite(u.typical_error) && u.k0 >= 1 - 1e-9 && u.df >= 1);
            assert_true(shape != 0 || !u.judged);
        }
        assert_true(group_five_numbers(x, n * k, &f));
        assert_true(f.min <= f.q1 && f.q1 <= f.median && f.median <= f.q3 && f.q3 <= f.max);
        assert_true(isfinite(f.mean));
    }
}

static void kappas(void **state)
{
    (void)state;
    draw_seed(52);
    for (int round = 0; round < 20000; round++) {
        struct kappa_table t = {.k = draw_int(1, 4), .weights = (enum kappa_weights)draw_int(0, 3)};
        struct kappa k;
        for (int i = 0; i < t.k; i++) {
            for (int j = 0; j < t.k; j++) {
                t.n[i][j] = draw_int(0, 2) > 0 ? 0 : draw_int(0, 1000000);
                t.w[i][j] = i == j ? 1 : draw_double(0, 1);
            }
        }
        if (group_kappa(&t, &k)) {
            is_chance(k.observed);
            is_chance(k.expected);
            assert_true(!k.defined || (isfinite(k.kappa) && k.kappa <= 1 + 1e-9));
            assert_true(!k.defined || (isfinite(k.ase) && k.ase >= 0));
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(distribution_functions), cmocka_unit_test(counts),
        cmocka_unit_test(measures), cmocka_unit_test(spreads), cmocka_unit_test(zones),
        cmocka_unit_test(next_scores), cmocka_unit_test(aims), cmocka_unit_test(groups),
        cmocka_unit_test(kappas),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
