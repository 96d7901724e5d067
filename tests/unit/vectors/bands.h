/* SPDX-License-Identifier: MIT
 * Files 08 to 10: bands and how sure. */
#pragma once

#include "read.h"

static enum band_stat stat_of(const struct row *r)
{
    const char *s = cell(r, "stat");
    return strcmp(s, "best") == 0 ? BAND_BEST : strcmp(s, "mean") == 0 ? BAND_MEAN : BAND_MIDDLE;
}

static struct band_rule rule_of(const struct row *r, const char *lines)
{
    struct band_rule b = band_rule_default(stat_of(r), cell_int(r, "m_new"));
    double line[PARTS_MAX];
    int n = numbers(cell(r, lines), '|', line);
    for (int i = 0; i < n && i < BAND_LINES_MAX; i++) {
        b.line[i] = line[i];
    }
    b.lines = (size_t)n;
    return b;
}

static void check_answer(const struct row *r, const struct band_rule *b,
                         const struct band_answer *a)
{
    same(r, "observed", a->observed, cell_number(r, "observed"));
    same_int(r, "observed_band", a->band);
    same_list(r, "band_probs", a->probs, (int)b->lines + 1);
    same_word(r, "label", band_label_word(a->label));
}

static void check_band_zones(const struct row *r)
{
    struct room w = lent();
    struct scoring s = cell_scoring(r, cell_int(r, "n"), cell_int(r, "cap"));
    struct band_rule b = rule_of(r, "thresholds");
    struct outcome o[PARTS_MAX];
    struct zones_table t;
    struct band_answer a;
    char span[32];
    int n = cell_outcomes(r, &s, o);
    b.alpha = cell_number(r, "alpha");
    b.weight = cell_number(r, "weight");
    if (!zones_table_make(&s, &b, &w, &t) ||
        !band_zones(&(struct zones_ask){&s, &b, &t}, (struct outcomes){o, (size_t)n}, &w, &a) || !a.known) {
        fail(r, "no answer");
        return;
    }
    check_answer(r, &b, &a);
    snprintf(span, sizeof span, "%d-%d", a.span_low, a.span_high);
    same_word(r, "span80", span);
}

static void check_band_counts(const struct row *r)
{
    struct room w = lent();
    struct band_rule b = rule_of(r, "thresholds");
    struct band_answer a;
    int counts[PARTS_MAX];
    int64_t wide[PARTS_MAX];
    int n = integers(cell(r, "counts"), '|', counts);
    for (int i = 0; i < n; i++) {
        wide[i] = counts[i];
    }
    b.weight = cell_number(r, "weight");
    if (!band_counts(&b, wide, (size_t)n, &w, &a) || !a.known) {
        fail(r, "no answer");
        return;
    }
    check_answer(r, &b, &a);
}

static void check_band_measure(const struct row *r)
{
    struct band_rule b = rule_of(r, "thresholds_easiest_first");
    const char *scale = cell(r, "scale");
    struct band_spread sp = {
        .scale = strcmp(scale, "log") == 0 ? BAND_LOG
                 : strcmp(scale, "raw") == 0 ? BAND_RAW : BAND_SQRT,
        .lower_is_better = strcmp(cell(r, "better"), "lower") == 0,
        .resolution = cell_number(r, "resolution"), .s_w = cell_number(r, "s_w"),
        .nu = cell_number(r, "nu"), .rho = cell_number(r, "rho"),
    };
    struct band_answer a;
    double values[PARTS_MAX];
    int n = numbers(cell(r, "values"), '|', values);
    if (!band_measure(&b, &sp, values, (size_t)n, &a) || !a.known) {
        fail(r, "no answer");
        return;
    }
    same_list(r, "band_probs_lowest_first", a.probs, (int)b.lines + 1);
}
