/* SPDX-License-Identifier: MIT
 * "How sure" for zones and successes: full enumeration of small cases, published values of the
 * beta-binomial and Dirichlet-multinomial, and properties that must hold for every child. */
#include "assess/band_zones.h"

#include <math.h>
#include <string.h>

#include "t.h"

static _Alignas(16) unsigned char memory[ROOM_ENOUGH];

static struct room lent(void)
{
    return (struct room){.base = memory, .size = sizeof memory};
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

struct brute {
    const struct scoring *s;
    const struct band_rule *r;
    const double *a;                /* Dirichlet */
    int all;                        /* throws of the repeat */
    int fell[16];
    double tails[BAND_LINES_MAX];
};

static double sequence_chance(const struct brute *b)
{
    double seen[SCORE_ZONES_MAX], sum = 0, p = 1;
    for (int z = 0; z < b->s->zones; z++) {
        seen[z] = b->a[z];
        sum += b->a[z];
    }
    for (int i = 0; i < b->all; i++) {      /* Polya's urn */
        p *= seen[b->fell[i]] / sum;
        seen[b->fell[i]] += 1;
        sum += 1;
    }
    return p;
}

static void add_sequence(struct brute *b)
{
    double scores[8];
    for (int m = 0; m < b->r->m_new; m++) {
        scores[m] = 0;
        for (int i = 0; i < b->s->throws; i++) {
            scores[m] += b->s->points[b->fell[m * b->s->throws + i]];
        }
    }
    double stat = band_statistic(b->r->stat, false, scores, (size_t)b->r->m_new);
    double p = sequence_chance(b);
    for (size_t l = 0; l < b->r->lines; l++) {
        b->tails[l] += stat >= b->r->line[l] - 1e-9 ? p : 0;
    }
}

static void every_sequence(struct brute *b, int at)
{
    if (at == b->all) {
        add_sequence(b);
        return;
    }
    for (int z = 0; z < b->s->zones; z++) {
        b->fell[at] = z;
        every_sequence(b, at + 1);
    }
}

static void all_sequences_give_the_same_tails(void **state)
{
    (void)state;
    static const enum band_stat stats[] = {BAND_BEST, BAND_MIDDLE, BAND_MEAN};
    for (int throws = 1; throws <= 3; throws++) {
        for (size_t k = 0; k < T_COUNT(stats); k++) {
            struct room w = lent();
            struct scoring s = three_zones(throws);
            struct band_rule r = band_rule_default(stats[k], 3);
            struct outcome o = {.known = true, .counts = {1, throws - 1, 1}, .throws = throws + 1};
            struct evidence e;
            struct zones_table t;
            double tails[BAND_LINES_MAX], a[3];
            r.lines = 3;
            r.line[0] = 2;
            r.line[1] = 2 * throws;
            r.line[2] = 4 * throws;
            for (int z = 0; z < 3; z++) {
                a[z] = 1 + 0.8 * o.counts[z];
            }
            struct brute b = {.s = &s, .r = &r, .a = a, .all = 3 * throws};
            every_sequence(&b, 0);
            assert_true(zones_table_make(&s, &r, &w, &t));
            assert_true(evidence_make(&s, (struct outcomes){&o, 1}, r.alpha, &w, &e));
            assert_true(zones_tails(&t, &r, &e, &w, tails));
            for (size_t l = 0; l < r.lines; l++) {
                near_to(tails[l], b.tails[l], 1e-12);
            }
        }
    }
}

/* Beta-binomial (10; 2, 3), k = 0..10: 11 exact fractions of 1001, e.g. .065934065934; cdf(3) =
 * .454545454545 (R extraDistr, dbbinom). Hits with alpha 1: one hit and two misses seen. */
static void beta_binomial(void **state)
{
    (void)state;
    static const double pmf[] = {
        .065934065934, .109890109890, .134865134865, .143856143856, .139860139860, .125874125874,
        .104895104895, .079920079920, .053946053946, .029970029970, .010989010989,
    };
    struct scoring s = scoring_empty(SCORE_SUCCESSES);
    struct outcome o = {.known = true, .counts = {2, 1}, .throws = 3};
    s.throws = 10;
    double reach = 1;
    for (int k = 1; k <= 10; k++) {
        struct room w = lent();
        struct band_rule r = band_rule_default(BAND_BEST, 1);
        struct zones_table t;
        struct evidence e;
        double tail;
        r.weight = 1;
        r.lines = 1;
        r.line[0] = k;
        assert_true(zones_table_make(&s, &r, &w, &t));
        assert_true(evidence_make(&s, (struct outcomes){&o, 1}, r.alpha, &w, &e));
        assert_true(zones_tails(&t, &r, &e, &w, &tail));
        near_to(reach - tail, pmf[k - 1], 1e-11);
        reach = tail;
    }
    near_to(reach, pmf[10], 1e-11);
}

/* Dirichlet-multinomial (2, 1, 0; 1, 1, 1) = .1 and (3, 2, 1; 2, 3, 5) = 24/1001 (closed form):
 * as the chance of one total that only that vector gives. */
static void dirichlet_multinomial(void **state)
{
    (void)state;
    struct scoring s = scoring_empty(SCORE_ZONES);
    s.throws = 6;
    scoring_add(&s, 0);
    scoring_add(&s, 1);
    scoring_add(&s, 10);
    struct outcome o = {.known = true, .counts = {1, 2, 4}, .throws = 7};
    struct room w = lent();
    struct band_rule r = band_rule_default(BAND_BEST, 1);
    struct zones_table t;
    struct evidence e;
    double tails[2];
    r.weight = 1;
    r.lines = 2;
    r.line[0] = 12;         /* 3 misses, 2 ones, 1 ten */
    r.line[1] = 13;
    assert_true(zones_table_make(&s, &r, &w, &t));
    assert_true(evidence_make(&s, (struct outcomes){&o, 1}, 1, &w, &e));
    assert_true(zones_tails(&t, &r, &e, &w, tails));
    near_to(tails[0] - tails[1], 24.0 / 1001, 1e-13);
    s.throws = 3;
    w = lent();
    r.line[0] = 1;          /* 2 misses, 1 one, from nothing seen */
    r.line[1] = 2;
    assert_true(zones_table_make(&s, &r, &w, &t));
    assert_true(evidence_make(&s, (struct outcomes){&o, 0}, 1, &w, &e));
    assert_true(zones_tails(&t, &r, &e, &w, tails));
    near_to(tails[0] - tails[1], 0.1, 1e-13);
}

/* A total stands for every way to make it: the mixture of those ways, weighted by their orders. */
static void totals_are_the_mixture_of_their_ways(void **state)
{
    (void)state;
    static const int points[] = {0, 1, 2, 4};
    struct scoring s = scoring_empty(SCORE_ZONES);
    struct room w = lent();
    struct outcome o[] = {{.total = 3, .throws = 2}, {.total = 6, .throws = 2}};
    struct evidence e;
    for (size_t z = 0; z < T_COUNT(points); z++) {
        assert_true(scoring_add(&s, points[z]));
    }
    s.throws = 2;                           /* 3 = 1+2 only; 6 = 2+4 only */
    assert_true(evidence_make(&s, (struct outcomes){o, 2}, 1, &w, &e));
    assert_int_equal(e.n, 1);
    assert_int_equal(e.u[0], 0);
    assert_int_equal(e.u[1], 1);
    assert_int_equal(e.u[2], 2);
    assert_int_equal(e.u[3], 1);
    s.throws = 3;
    o[0] = (struct outcome){.total = 3, .throws = 3};       /* 1+1+1 or 0+1+2 */
    assert_true(evidence_make(&s, (struct outcomes){o, 1}, 1, &w, &e));
    assert_int_equal(e.n, 2);
    for (size_t i = 0; i < 2; i++) {        /* 1 order x 3! against 6 orders */
        near_to(e.weight[i], 0.5, 1e-12);
    }
    o[0].total = 11;                         /* cannot be */
    assert_false(evidence_make(&s, (struct outcomes){o, 1}, 1, &w, &e));
}

static void answer_for(const struct outcome *o, size_t n, enum band_stat stat,
                       struct band_answer *out)
{
    struct scoring s = three_zones(4);
    struct band_rule r = band_rule_default(stat, 3);
    struct room w = lent();
    struct zones_table t;
    r.lines = 3;
    r.line[0] = 7;
    r.line[1] = 12;
    r.line[2] = 17;
    assert_true(zones_table_make(&s, &r, &w, &t));
    assert_true(band_zones(&(struct zones_ask){&s, &r, &t}, (struct outcomes){o, n}, &w, out));
    assert_true(out->known);
}

/* A better throw never lowers the chance of reaching a line; chances add up to one. */
static void better_evidence_never_lowers(void **state)
{
    (void)state;
    static const enum band_stat stats[] = {BAND_BEST, BAND_MIDDLE, BAND_MEAN};
    for (size_t k = 0; k < T_COUNT(stats); k++) {
        for (int fives = 0; fives <= 3; fives++) {
            struct outcome o[2] = {
                {.known = true, .counts = {4 - fives, 0, fives}, .throws = 4},
                {.known = true, .counts = {1, 2, 1}, .throws = 4},
            };
            struct band_answer a, b;
            answer_for(o, 2, stats[k], &a);
            o[0].counts[0]--;
            o[0].counts[2]++;
            answer_for(o, 2, stats[k], &b);
            double sum = 0, above_a = 1, above_b = 1;
            for (int i = 0; i < 4; i++) {
                sum += a.probs[i];
                above_a -= a.probs[i];
                above_b -= b.probs[i];
                assert_true(above_b >= above_a - 1e-12);
            }
            near_to(sum, 1, 1e-12);
        }
    }
}

static void one_attempt_is_never_sure(void **state)
{
    (void)state;
    struct outcome o[3];
    struct band_answer a;
    for (int i = 0; i < 3; i++) {
        o[i] = (struct outcome){.known = true, .counts = {0, 0, 4}, .throws = 4, .total = 20};
    }
    struct scoring s = three_zones(4);
    struct band_rule r = band_rule_default(BAND_MIDDLE, 3);
    struct room w = lent();
    struct zones_table t;
    r.lines = 1;
    r.line[0] = 2;
    assert_true(zones_table_make(&s, &r, &w, &t));
    assert_true(band_zones(&(struct zones_ask){&s, &r, &t}, (struct outcomes){o, 1}, &w, &a));
    assert_true(a.probs[1] > 0.80);
    assert_int_equal(a.label, BAND_FAIRLY);
    assert_true(band_zones(&(struct zones_ask){&s, &r, &t}, (struct outcomes){o, 2}, &w, &a));
    assert_int_equal(a.label, BAND_FAIRLY);         /* eight throws, not ten */
    assert_true(band_zones(&(struct zones_ask){&s, &r, &t}, (struct outcomes){o, 3}, &w, &a));
    assert_int_equal(a.label, BAND_SURE);
}

static void parts_are_evidence_and_no_score(void **state)
{
    (void)state;
    struct outcome whole = {.known = true, .counts = {2, 2, 0}, .throws = 4, .total = 4};
    struct outcome both[2] = {whole, {.known = true, .counts = {0, 0, 3}, .throws = 3, .total = 15,
                                      .part = true}};
    struct band_answer a, b;
    answer_for(&whole, 1, BAND_BEST, &a);
    answer_for(both, 2, BAND_BEST, &b);
    near_to(a.observed, 4, 0);
    near_to(b.observed, 4, 0);
    assert_true(b.probs[3] > a.probs[3]);
    struct scoring s = three_zones(4);
    struct band_rule r = band_rule_default(BAND_BEST, 3);
    struct room w = lent();
    assert_false(band_zones(&(struct zones_ask){&s, &r, NULL}, (struct outcomes){both + 1, 1}, &w, &a));
}

static void over_the_budget_is_said(void **state)
{
    (void)state;
    struct room w = lent();
    struct scoring s = scoring_empty(SCORE_ZONES);
    struct band_rule r = band_rule_default(BAND_MIDDLE, 5);
    struct zones_table t;
    s.throws = 20;
    for (int p = 0; p < 6; p++) {
        scoring_add(&s, p);
    }
    r.lines = 1;
    assert_false(zones_table_make(&s, &r, &w, &t));
    struct room none = {.base = memory, .size = 64};
    s = three_zones(4);
    assert_false(zones_table_make(&s, &r, &none, &t));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(all_sequences_give_the_same_tails),
        cmocka_unit_test(beta_binomial),
        cmocka_unit_test(dirichlet_multinomial),
        cmocka_unit_test(totals_are_the_mixture_of_their_ways),
        cmocka_unit_test(better_evidence_never_lowers),
        cmocka_unit_test(one_attempt_is_never_sure),
        cmocka_unit_test(parts_are_evidence_and_no_score),
        cmocka_unit_test(over_the_budget_is_said),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
