/* SPDX-License-Identifier: MIT
 * Tables give what is worked out without them: estimates, next scores and bands of counts, on drawn
 * (invented) results. The functions without tables are held to the reference vectors. */
#include <math.h>
#include <string.h>

#include "assess/distance.h"
#include "assess/next.h"
#include "t.h"

static _Alignas(16) unsigned char lent[ROOM_ENOUGH], kept[ROOM_ENOUGH];
static const double places[] = {2, 2.5, 3};

static unsigned below(unsigned n)
{
    static unsigned x = 12345;
    x = x * 1664525u + 1013904223u;
    return (x >> 8) % n;
}

static struct aim target(void)
{
    return (struct aim){
        .rect = {{-0.25, 0.25, -0.25, 0.25}, {-0.5, 0.5, -0.5, 0.5}},
        .points = {5, 2}, .zones = 2, .throws = 4, .kappa = 1, .lapse = 0.02,
    };
}

static struct aim_attempt draw(void)
{
    struct aim_attempt t = {.distance = places[below(3)], .known = below(3) > 0};
    for (int i = 0; i < 4; i++) {
        t.counts[below(3)]++;
    }
    t.total = 5 * t.counts[0] + 2 * t.counts[1];
    return t;
}

static void estimates(enum band_stat stat)
{
    struct aim a = target();
    struct room w = {lent, sizeof lent, 0}, k = {kept, sizeof kept, 0};
    struct band_rule r = band_rule_default(stat, 3);
    struct aim_tables tables;
    const struct aim_at at = {3.5, &r};
    r.lines = 3;
    memcpy(r.line, (const double[]){7, 12, 17}, 3 * sizeof(double));
    assert_true(aim_tables_make(&a, &at, (struct aim_places){places, 3}, &k, &tables));
    for (int i = 0; i < 50; i++) {
        struct aim_attempt t[4] = {draw(), draw(), draw(), draw()};
        struct aim_posterior p, q;
        struct aim_prediction plain, tabled;
        assert_true(aim_learn(&a, t, 4, &w, &p));
        assert_true(aim_learn_by(&tables, t, 4, &q));
        for (int g = 0; g < AIM_GRID; g++) {
            assert_true(fabs(p.w[g] - q.w[g]) < 1e-13);
        }
        assert_true(aim_predict(&a, &p, &at, &w, &plain));
        aim_predict_by(&tables, &q, &tabled);
        assert_true(fabs(plain.mean - tabled.mean) < 1e-11);
        assert_int_equal(plain.lo, tabled.lo);
        assert_int_equal(plain.hi, tabled.hi);
        for (size_t l = 0; l < r.lines; l++) {
            assert_true(fabs(plain.tails[l] - tabled.tails[l]) < 1e-12);
        }
        for (size_t j = 0; j < 3; j++) {
            assert_true(fabs(aim_hit(&a, &p, places[j]) - aim_hit_by(&tables, &q, j)) < 1e-12);
        }
    }
}

static void estimates_agree(void **state)
{
    (void)state;
    estimates(BAND_BEST);
    estimates(BAND_MIDDLE);
    estimates(BAND_MEAN);
}

static void strange_places_are_refused(void **state)
{
    (void)state;
    struct aim a = target();
    struct room k = {kept, sizeof kept, 0};
    struct band_rule r = band_rule_default(BAND_BEST, 3);
    struct aim_tables tables;
    const struct aim_at at = {3.5, &r};
    double many[AIM_STEPS_MAX + 1] = {0};
    assert_true(aim_tables_make(&a, &at, (struct aim_places){places, 3}, &k, &tables));
    assert_int_equal(aim_tables_place(&tables, 2.52), 1);
    assert_int_equal(aim_tables_place(&tables, 2.6), -1);
    struct aim_attempt t = draw();
    struct aim_posterior p;
    t.distance = 4;
    assert_false(aim_learn_by(&tables, &t, 1, &p));
    k.used = 0;
    const struct aim_places too_many = {many, AIM_STEPS_MAX + 1};
    assert_false(aim_tables_make(&a, &at, too_many, &k, &tables));
    struct room small = {kept, 4096, 0};
    assert_false(aim_tables_make(&a, &at, (struct aim_places){places, 3}, &small, &tables));
    assert_int_equal(small.used, 0);
}

static void next_scores_agree(void **state)
{
    (void)state;
    struct scoring s = scoring_empty(SCORE_ZONES);
    struct room w = {lent, sizeof lent, 0}, k = {kept, sizeof kept, 0};
    struct next_tables tables;
    s.throws = 4;
    scoring_add(&s, 0);
    scoring_add(&s, 2);
    scoring_add(&s, 5);
    assert_true(next_tables_make(&s, 3, &k, &tables));
    assert_int_equal(tables.n, 15);     /* 0, 2, 4..12, 14, 15, 17, 20 */
    for (int i = 0; i < 40; i++) {
        struct outcome o[3];
        int best = 0;
        for (int j = 0; j < 3; j++) {
            const struct aim_attempt perfect = {.counts = {4}, .total = 20};
            struct aim_attempt t = i == 0 ? perfect : draw();
            o[j] = (struct outcome){.known = true, .throws = 4, .total = t.total,
                                    .counts = {t.counts[2], t.counts[1], t.counts[0]}};
            best = t.total > best ? t.total : best;
        }
        struct outcomes all = {o, 3};
        struct next_ask ask = {&s, &all, 3, best};
        struct next_aim plain, tabled;
        assert_true(next_total(&ask, &w, &plain));
        assert_true(next_total_by(&tables, &ask, &w, &tabled));
        assert_int_equal(plain.next, tabled.next);
        assert_int_equal(plain.today, tabled.today);
        assert_true(fabs(plain.p_next - tabled.p_next) < 1e-13);
        assert_true(fabs(plain.p_today - tabled.p_today) < 1e-13);
    }
}

static void counts_agree(void **state)
{
    (void)state;
    struct room w = {lent, sizeof lent, 0}, k = {kept, sizeof kept, 0};
    for (int stat = BAND_MIDDLE; stat <= BAND_MEAN; stat++) {
        struct band_rule r = band_rule_default((enum band_stat)stat, 3);
        struct counts_table table;
        r.lines = 3;
        memcpy(r.line, (const double[]){0, 30, 400}, 3 * sizeof(double));
        assert_true(counts_table_make(&r, &k, &table));
        for (int i = 0; i < 40; i++) {
            int64_t x[3] = {below(800), below(60), below(60)};
            struct band_answer plain, tabled;
            assert_true(band_counts(&r, x, 3, &w, &plain));
            assert_true(band_counts_by(&r, &table, (struct tallies){x, 3}, &w, &tabled));
            double sum = 0;
            for (int b = 0; b <= 3; b++) {
                assert_true(plain.probs[b] == tabled.probs[b] && plain.probs[b] >= 0);
                sum += tabled.probs[b];
            }
            assert_true(fabs(sum - 1) < 1e-12);
            assert_int_equal(plain.label, tabled.label);
        }
        struct band_answer bare;
        assert_true(band_counts_by(&r, NULL, (struct tallies){(int64_t[]){5}, 1}, &w, &bare));
        assert_false(bare.known);
    }
    struct band_rule r = band_rule_default(BAND_BEST, 3);
    struct counts_table table;
    r.lines = 1;
    r.line[0] = 5000;
    k.used = 0;
    assert_false(counts_table_make(&r, &k, &table));
    assert_int_equal(k.used, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(estimates_agree),
        cmocka_unit_test(strange_places_are_refused),
        cmocka_unit_test(next_scores_agree),
        cmocka_unit_test(counts_agree),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
