/* SPDX-License-Identifier: MIT
 * Small cases by counting everything there is: the arithmetic of the module against the plainest
 * statement of what it is meant to be. All data are invented and seeded. */
#include <math.h>
#include <string.h>

#include "assess/band.h"
#include "assess/band_zones.h"
#include "assess/gain.h"
#include "assess/group.h"
#include "assess/next.h"
#include "draw.h"
#include "t.h"

static _Alignas(16) unsigned char memory[ROOM_ENOUGH];

static struct room lent(void)
{
    return (struct room){.base = memory, .size = sizeof memory};
}

static struct scoring zones(int throws, const int *points, int n)
{
    struct scoring s = scoring_empty(SCORE_ZONES);
    s.throws = throws;
    for (int i = 0; i < n; i++) {
        assert_true(scoring_add(&s, points[i]));
    }
    return s;
}

/* ---- gain: which of the pooled throws are the later ones, every subset ---- */

struct counted {
    double all, up, lo, eq, best;
};

static void count_subsets(const int *throws, int n, int now, int made, struct counted *c)
{
    int most = -1;
    *c = (struct counted){0};
    for (unsigned set = 0; set < 1U << n; set++) {
        int sum = 0;
        if (__builtin_popcount(set) != now) {
            continue;
        }
        for (int i = 0; i < n; i++) {
            sum += set >> i & 1 ? throws[i] : 0;
        }
        c->all++;
        c->up += sum >= made;
        c->lo += sum <= made;
        c->eq += sum == made;
        c->best = sum > most ? 1 : c->best + (sum == most);
        most = sum > most ? sum : most;
    }
}

static void gain_against_every_subset(void **state)
{
    (void)state;
    static const int points[4] = {0, 2, 3, 7};
    draw_seed(31);
    for (int round = 0; round < 300; round++) {
        struct scoring s = zones(8, points, 4);
        int before[SCORE_ZONES_MAX] = {0}, after[SCORE_ZONES_MAX] = {0}, throws[16];
        int then = draw_int(1, 7), now = draw_int(1, 7), made = 0;
        struct counted c;
        struct gain_tails t;
        struct room w = lent();
        for (int i = 0; i < then + now; i++) {
            int z = draw_int(0, 3);
            throws[i] = points[z];
            (i < then ? before : after)[z]++;
            made += i < then ? 0 : points[z];
        }
        count_subsets(throws, then + now, now, made, &c);
        assert_true(gain_throws(&s, before, after, &w, &t));
        near_to(t.up, c.up / c.all, 1e-12);
        near_to(t.lo, c.lo / c.all, 1e-12);
        near_to(t.eq, c.eq / c.all, 1e-12);
        near_to(t.best, c.best / c.all, 1e-12);
    }
}

/* ---- totals only: over every pair of records that the totals allow ---- */

static bool record_next(int *fell, int n, int zones_n)
{
    for (int i = 0; i < n; i++) {
        if (++fell[i] < zones_n) {
            return true;
        }
        fell[i] = 0;
    }
    return false;
}

/* Throws of two attempts of two, in order; true when both totals are as told. */
static bool record_fits(const int *fell, const int *points, const int *totals)
{
    return points[fell[0]] + points[fell[1]] == totals[0] &&
           points[fell[2]] + points[fell[3]] == totals[1];
}

static void counts_of(const int *fell, int n, int *c)
{
    memset(c, 0, SCORE_ZONES_MAX * sizeof *c);
    for (int i = 0; i < n; i++) {
        c[fell[i]]++;
    }
}

static void widest_range(const struct scoring *s, const int totals[4], struct gain_range *r)
{
    int b[4] = {0};
    *r = (struct gain_range){2, -1};
    do {
        int a[4] = {0};
        if (!record_fits(b, s->points, totals)) {
            continue;
        }
        do {
            int before[SCORE_ZONES_MAX], after[SCORE_ZONES_MAX], throws[8];
            struct counted c;
            if (!record_fits(a, s->points, totals + 2)) {
                continue;
            }
            counts_of(b, 4, before);
            counts_of(a, 4, after);
            for (int i = 0; i < 8; i++) {
                throws[i] = s->points[i < 4 ? b[i] : a[i - 4]];
            }
            count_subsets(throws, 8, 4, totals[2] + totals[3], &c);
            r->smallest = fmin(r->smallest, c.up / c.all);
            r->largest = fmax(r->largest, c.up / c.all);
        } while (record_next(a, 4, s->zones));
    } while (record_next(b, 4, s->zones));
}

static void totals_only_is_the_worst_record(void **state)
{
    (void)state;
    static const int points[] = {0, 1, 2, 3};
    static const int cases[][4] = {{2, 3, 4, 3}, {3, 3, 5, 4}, {0, 2, 3, 6}, {4, 2, 1, 3}};
    struct scoring s = zones(2, points, 4);
    for (size_t i = 0; i < T_COUNT(cases); i++) {
        struct outcome o[4];
        struct gain_range want, got;
        struct gain_tails worst;
        struct room w = lent();
        for (int k = 0; k < 4; k++) {
            o[k] = (struct outcome){.total = cases[i][k], .throws = 2};
        }
        widest_range(&s, cases[i], &want);
        struct gain_sides sides = {{o, 2}, {o + 2, 2}};
        assert_true(gain_totals(&s, &sides, &w, &got, &worst));
        near_to(got.smallest, want.smallest, 1e-12);
        near_to(got.largest, want.largest, 1e-12);
        near_to(worst.up, want.largest, 1e-12);
    }
}

/* ---- band: a repeat, every sequence, as Polya's urn ---- */

struct urn {
    const struct scoring *s;
    const struct band_rule *r;
    double a[SCORE_ZONES_MAX];
    int all;
};

static double urn_chance(const struct urn *u, const int *fell)
{
    double seen[SCORE_ZONES_MAX], sum = 0, p = 1;
    for (int z = 0; z < u->s->zones; z++) {
        seen[z] = u->a[z];
        sum += u->a[z];
    }
    for (int i = 0; i < u->all; i++) {
        p *= seen[fell[i]]++ / sum++;
    }
    return p;
}

static void urn_tails(const struct urn *u, double *tails)
{
    int fell[16] = {0}, n = u->s->throws;
    memset(tails, 0, BAND_LINES_MAX * sizeof *tails);
    do {
        double scores[8] = {0};
        for (int i = 0; i < u->all; i++) {
            scores[i / n] += u->s->points[fell[i]];
        }
        double stat = band_statistic(u->r->stat, false, scores, (size_t)u->r->m_new);
        double p = urn_chance(u, fell);
        for (size_t l = 0; l < u->r->lines; l++) {
            tails[l] += stat >= u->r->line[l] - 1e-9 ? p : 0;
        }
    } while (record_next(fell, u->all, u->s->zones));
}

static void repeat_against_every_sequence(void **state)
{
    (void)state;
    static const int sizes[][2] = {{1, 5}, {2, 4}, {4, 2}, {8, 1}, {3, 2}};    /* n, m */
    static const int points[] = {0, 2, 5};
    draw_seed(32);
    for (size_t i = 0; i < T_COUNT(sizes) * 6; i++) {
        struct scoring s = zones(sizes[i % 5][0], points, 3);
        struct band_rule r = band_rule_default((enum band_stat)(i % 3), sizes[i % 5][1]);
        struct outcome o = {.known = true};
        struct urn u = {.s = &s, .r = &r, .all = s.throws * r.m_new};
        struct room w = lent();
        struct zones_table t;
        struct evidence e;
        double want[BAND_LINES_MAX], got[BAND_LINES_MAX];
        r.lines = 4;
        for (int z = 0; z < 3; z++) {
            o.counts[z] = draw_int(0, 6);
            o.throws += o.counts[z];
            u.a[z] = r.alpha + r.weight * o.counts[z];
        }
        o.counts[0] += o.throws == 0;
        o.throws += o.throws == 0;
        u.a[0] = r.alpha + r.weight * o.counts[0];
        for (size_t l = 0; l < r.lines; l++) {
            r.line[l] = (double)l * 5 * s.throws / 4 + draw_int(0, 1);
        }
        urn_tails(&u, want);
        assert_true(zones_table_make(&s, &r, &w, &t));
        assert_true(evidence_make(&s, (struct outcomes){&o, 1}, r.alpha, &w, &e));
        assert_true(zones_tails(&t, &r, &e, &w, got));
        for (size_t l = 0; l < r.lines; l++) {
            near_to(got[l], want[l], 1e-12);
        }
    }
}

/* Only the total is known: the chance of each record that gives it, by the prior's urn, weighs it.
 * (Whole evidence is used undiscounted here, weight 1, so that this is plain conditioning: the
 * chance of the record and of the repeat together, over the chance of the total.) */
static void totals_are_conditioning(void **state)
{
    (void)state;
    static const int points[] = {0, 2, 5};
    struct scoring s = zones(3, points, 3);
    for (int total = 0; total <= 15; total++) {
        struct band_rule r = band_rule_default(BAND_BEST, 1), joint = r;
        struct outcome o = {.total = total, .throws = 3};
        struct room w = lent();
        struct zones_table t;
        struct evidence e;
        double tail, both = 0, alone = 0;
        int fell[6] = {0};
        struct urn u = {.s = &s, .r = &joint, .a = {1, 1, 1}, .all = 6};
        r.weight = 1;
        r.lines = 1;
        r.line[0] = 7;
        do {
            int first = 0, second = 0;
            for (int i = 0; i < 3; i++) {
                first += points[fell[i]];
                second += points[fell[i + 3]];
            }
            double p = first == total ? urn_chance(&u, fell) : 0;
            alone += p;
            both += second >= 7 ? p : 0;
        } while (record_next(fell, 6, 3));
        if (alone <= 0) {       /* 1, 3, 8, 11, 13 and 14 cannot be made */
            assert_false(evidence_make(&s, (struct outcomes){&o, 1}, 1, &w, &e));
            continue;
        }
        assert_true(zones_table_make(&s, &r, &w, &t));
        assert_true(evidence_make(&s, (struct outcomes){&o, 1}, 1, &w, &e));
        assert_true(zones_tails(&t, &r, &e, &w, &tail));
        near_to(tail, both / alone, 1e-12);
    }
}

/* ---- first to best: every order of the throws ---- */

struct orders {
    const int *throws;
    int n, m, gain;
    long hit, all;
};

static void every_order(struct orders *o, int *order, int k)
{
    int total = o->n * o->m;
    if (k == total) {
        int sum[4] = {0}, best = 0;
        for (int i = 0; i < total; i++) {
            sum[i / o->n] += order[i];
        }
        for (int i = 0; i < o->m; i++) {
            best = sum[i] > best ? sum[i] : best;
        }
        o->hit += best - sum[0] >= o->gain;
        o->all++;
        return;
    }
    for (int i = k; i < total; i++) {
        int held = order[k];
        order[k] = order[i];
        order[i] = held;
        every_order(o, order, k + 1);
        order[i] = order[k];
        order[k] = held;
    }
}

static void first_to_best_against_every_order(void **state)
{
    (void)state;
    static const int points[] = {0, 2, 5}, sizes[][2] = {{1, 4}, {2, 2}, {2, 3}, {3, 2}, {2, 4}};
    draw_seed(33);
    for (size_t i = 0; i < T_COUNT(sizes) * 4; i++) {
        int n = sizes[i % 5][0], m = sizes[i % 5][1], order[8], counts[4][SCORE_ZONES_MAX] = {{0}};
        struct scoring s = zones(n, points, 3);
        if (n * m == 8 && i >= 5) {
            continue;       /* 40320 orders once */
        }
        for (int k = 0; k < n * m; k++) {
            int z = draw_int(0, 2);
            order[k] = points[z];
            counts[k / n][z]++;
        }
        for (int gain = 1; gain <= 5 * n; gain++) {
            struct orders o = {.n = n, .m = m, .gain = gain};
            struct room w = lent();
            double p;
            const struct gain_attempts a = {(const int (*)[SCORE_ZONES_MAX])counts, m, gain};
            every_order(&o, order, 0);
            assert_true(gain_first_to_best(&s, &a, &w, &p));
            near_to(p, (double)o.hit / (double)o.all, 1e-12);
        }
    }
}

/* ---- counts: the repeat as a sum over every vector of counts ---- */

/* P(x_1 .. x_m) when lambda ~ Gamma(a, rate): one count after the other, each negative binomial. */
static double next_count(double a, double rate, int x)
{
    double p = pow(rate / (rate + 1), a);
    for (int i = 0; i < x; i++) {
        p *= (a + i) / (i + 1) / (rate + 1);
    }
    return p;
}

static double counts_below(const struct band_rule *r, double a, double rate)
{
    enum { MOST = 60 };
    int x[3] = {0}, m = r->m_new;
    double sum = 0;
    do {
        double scores[3], p = 1, made = a;
        for (int i = 0; i < m; i++) {
            p *= next_count(made, rate + i, x[i]);
            made += x[i];
            scores[i] = x[i];
        }
        double stat = band_statistic(r->stat, false, scores, (size_t)m);
        sum += stat < r->line[0] - 1e-9 ? p : 0;
    } while (record_next(x, m, MOST));
    return sum;
}

static void counts_against_every_vector(void **state)
{
    (void)state;
    const int64_t counts[] = {3, 5};
    for (int m = 1; m <= 3; m++) {
        for (int stat = 0; stat < 3; stat++) {
            for (int line = 1; line <= 7; line += 3) {
                struct band_rule r = band_rule_default((enum band_stat)stat, m);
                struct band_answer a;
                struct room w = lent();
                r.lines = 1;
                r.line[0] = line;
                assert_true(band_counts(&r, counts, 2, &w, &a));
                near_to(a.probs[0], counts_below(&r, 0.5 + 0.8 * 8, 1.6), 1e-9);
            }
        }
    }
}

/* ---- what leaves a class: can a hidden small cell be worked out from the sums? ---- */

/* Hidden cells may be changed along cycles of rows and columns without changing any sum. A cell is
 * fixed exactly when no such cycle through it keeps all cells at 0 or more (flows in a network: the
 * residual graph; Ahuja, Magnanti and Orlin 1993, from memory). */
struct board {
    const int *count;
    const bool *hidden;
    int rows, columns;
};

/* Raising `cell` by one: is there a way back from its column to its row, lowering and raising? */
static bool cycle_through(const struct board *b, int cell, bool raise)
{
    bool row[8] = {false}, column[8] = {false}, more = true;
    column[cell % b->columns] = true;
    while (more) {
        more = false;
        for (int i = 0; i < b->rows * b->columns; i++) {
            int r = i / b->columns, c = i % b->columns;
            if (i == cell || !b->hidden[i]) {
                continue;
            }
            bool can_lower = b->count[i] > 0;
            if (column[c] && !row[r] && (raise ? can_lower : true)) {
                more = row[r] = true;
            }
            if (row[r] && !column[c] && (raise ? true : can_lower)) {
                more = column[c] = true;
            }
        }
    }
    return row[cell / b->columns];
}

static bool recoverable(const struct board *b, int cell)
{
    return !cycle_through(b, cell, true) &&
           (b->count[cell] == 0 || !cycle_through(b, cell, false));
}

/* Invented: rows 2 and 3 and column 1 together gave the 3 of the first row back. */
static void several_sums_together_give_nothing_back(void **state)
{
    (void)state;
    static const int count[] = {19, 3, 2, 2, 7, 4, 0, 0, 7, 3, 0, 0, 7, 7, 4, 1, 12, 9, 4, 3};
    bool hidden[20];
    leave_hide(&(struct leave_table){count, 5, 4}, hidden);
    for (int i = 0; i < 20; i++) {
        if (count[i] > 0 && count[i] < 5) {
            assert_false(recoverable(&(struct board){count, hidden, 5, 4}, i));
        }
    }
}

static void hidden_cells_cannot_be_worked_out(void **state)
{
    (void)state;
    int small = 0, open = 0, alone = 0;
    draw_seed(34);
    for (int round = 0; round < 4000; round++) {
        int count[24], rows = draw_int(2, 6), columns = draw_int(2, 4);
        bool hidden[24], primary[24];
        for (int r = 0; r < rows; r++) {        /* classes of 10 or more (smaller: nothing leaves) */
            int left = draw_int(10, 30);
            for (int c = 0; c < columns; c++) {
                count[r * columns + c] = 0;
            }
            while (left-- > 0) {
                count[r * columns + draw_int(0, draw_int(1, columns) - 1)]++;
            }
        }
        leave_hide(&(struct leave_table){count, rows, columns}, hidden);
        for (int i = 0; i < rows * columns; i++) {
            primary[i] = count[i] > 0 && count[i] < 5;
        }
        for (int i = 0; i < rows * columns; i++) {
            if (primary[i]) {
                small++;
                open += recoverable(&(struct board){count, hidden, rows, columns}, i);
                alone += recoverable(&(struct board){count, primary, rows, columns}, i);
            }
        }
    }
    printf("# %d small cells: %d can be worked out, %d were nothing but they hidden\n", small, open,
           alone);
    assert_true(small > 1000 && alone > small / 10);     /* the check can see one */
    assert_int_equal(open, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(gain_against_every_subset),
        cmocka_unit_test(totals_only_is_the_worst_record),
        cmocka_unit_test(repeat_against_every_sequence),
        cmocka_unit_test(totals_are_conditioning),
        cmocka_unit_test(first_to_best_against_every_order),
        cmocka_unit_test(counts_against_every_vector),
        cmocka_unit_test(several_sums_together_give_nothing_back),
        cmocka_unit_test(hidden_cells_cannot_be_worked_out),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
