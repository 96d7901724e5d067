/* SPDX-License-Identifier: MIT
 * Files 03 to 07: is the gain more than luck? */
#pragma once

#include "assess/gain.h"
#include "read.h"

static void check_gain_throws(const struct row *r)
{
    struct room w = lent();
    int before[PARTS_MAX] = {0}, after[PARTS_MAX] = {0};
    struct gain_tails t;
    integers_of(cell(r, "before_counts"), '/', before);
    integers_of(cell(r, "after_counts"), '/', after);
    struct scoring s = cell_scoring(r, 1, 0);
    if (!gain_throws(&s, before, after, &w, &t)) {
        fail(r, "no answer");
        return;
    }
    same_p(r, "p_up", t.up, cell_number(r, "p_up"));
    same_p(r, "p_eq", t.eq, cell_number(r, "p_eq"));
    same_p(r, "p_lo", t.lo, cell_number(r, "p_lo"));
    same_p(r, "p_best", t.best, cell_number(r, "p_best"));
    same_word(r, "category", gain_category_word(gain_category(&s, &t, before, after)));
}

static size_t totals_of(const struct row *r, const char *name, const struct scoring *s,
                        struct outcome *out)
{
    int total[PARTS_MAX];
    int n = integers(cell(r, name), '|', total);
    for (int i = 0; i < n; i++) {
        out[i] = (struct outcome){.total = total[i], .throws = s->throws,
                                  .at_least = s->cap > 0 && total[i] == s->cap};
    }
    return (size_t)n;
}

static void check_gain_totals(const struct row *r)
{
    struct room w = lent();
    struct scoring s = cell_scoring(r, cell_int(r, "n"), cell_int(r, "cap"));
    struct outcome before[PARTS_MAX], after[PARTS_MAX];
    struct gain_range range;
    struct gain_sides sides = {.before = {before, totals_of(r, "before_totals", &s, before)},
                               .after = {after, totals_of(r, "after_totals", &s, after)}};
    if (!gain_totals(&s, &sides, &w, &range, NULL)) {
        fail(r, "no answer");
        return;
    }
    same_p(r, "p_smallest", range.smallest, cell_number(r, "p_smallest"));
    same_p(r, "p_largest", range.largest, cell_number(r, "p_largest"));
}

static void check_first_to_best(const struct row *r)
{
    struct room w = lent();
    char hold[LINE_MAX_BYTES], *part[PARTS_MAX];
    int counts[8][SCORE_ZONES_MAX] = {{0}}, throws = 0;
    double p;
    int m = split(cell(r, "attempts_counts"), ';', hold, part);
    for (int i = 0; i < m && i < 8; i++) {
        int c[PARTS_MAX];
        int n = integers_of(part[i], '/', c);
        throws = 0;
        for (int z = 0; z < n && z < SCORE_ZONES_MAX; z++) {
            counts[i][z] = c[z];
            throws += c[z];
        }
    }
    struct scoring s = cell_scoring(r, throws, 0);
    const struct gain_attempts a = {(const int (*)[SCORE_ZONES_MAX])counts, m,
                                    cell_int(r, "gain")};
    if (!gain_first_to_best(&s, &a, &w, &p)) {
        fail(r, "no answer");
        return;
    }
    same_p(r, "p", p, cell_number(r, "p"));
}

static void check_gain_counts(const struct row *r)
{
    double p = gain_counts(cell_int(r, "before"), cell_number(r, "seconds_before"),
                           cell_int(r, "after"), cell_number(r, "seconds_after"));
    same_p(r, "p_up", p, cell_number(r, "p_up"));
}

static void check_gain_measure(const struct row *r)
{
    struct gain_means g = {
        .before = cell_number(r, "mean_before"), .after = cell_number(r, "mean_after"),
        .n_before = cell_int(r, "n_before"), .n_after = cell_int(r, "n_after"),
        .s_w = cell_number(r, "s_w"), .nu = cell_number(r, "nu"),
        .s_day = cell_number(r, "s_day"),
    };
    double t, p = gain_measure(&g, &t);
    same(r, "t", t, cell_number(r, "t"));
    same_p(r, "p_up", p, cell_number(r, "p_up"));
}
