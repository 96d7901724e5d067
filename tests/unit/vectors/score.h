/* SPDX-License-Identifier: MIT
 * Files 01 and 02: attainable totals, the personal best. */
#pragma once

#include "assess/best.h"
#include "read.h"

static void check_attainable(const struct row *r)
{
    struct scoring s = cell_scoring(r, cell_int(r, "n"), cell_int(r, "cap"));
    struct total_set set;
    int list[SCORE_TOTAL_MAX + 1];
    double got[SCORE_TOTAL_MAX + 1];
    attainable_totals(&s, 0, &set);
    size_t n = attainable_list(&set, list, SCORE_TOTAL_MAX + 1);
    for (size_t i = 0; i < n; i++) {
        got[i] = list[i];
    }
    same_list(r, "attainable", got, (int)n);
    same_int(r, "how_many", (int)n);
}

/* Stored values are integers: thousandths stand for what the tables give as decimals. */
static struct mark mark_of(double distance, double score)
{
    return (struct mark){.distance_mm = (int32_t)lround(distance * 1000),
                         .score = lround(score * 1000)};
}

static void check_best(const struct row *r)
{
    char hold[LINE_MAX_BYTES], *part[PARTS_MAX];
    struct mark earlier[PARTS_MAX];
    int n = split(cell(r, "history_distance@score_signed_higher_better"), ';', hold, part);
    for (int i = 0; i < n; i++) {
        earlier[i] = mark_of(atof(part[i]), atof(strchr(part[i], '@') + 1));
    }
    struct mark now = mark_of(cell_number(r, "new_distance"), cell_number(r, "new_score"));
    static const char *const words[] = {
        [BEST_FIRST] = "FIRST", [BEST_NEW] = "NEW_BEST", [BEST_EQUAL] = "EQUAL_BEST",
        [BEST_NEW_FARTHER] = "NEW_BEST_FARTHER", [BEST_FIRST_AT_DISTANCE] = "FIRST_AT_DISTANCE",
        [BEST_NOT_THIS_TIME] = "NOT_THIS_TIME",
    };
    int tol_mm = (int)lround(cell_number(r, "tol_m") * 1000);
    same_word(r, "status", words[best_status(earlier, (size_t)n, now, tol_mm)]);
}
