/* SPDX-License-Identifier: MIT
 * Files 11 to 15: distance-fair results and what to try next. */
#pragma once

#include "assess/distance.h"
#include "assess/next.h"
#include "bands.h"
#include "read.h"

static void read_rects(const char *s, struct aim *a)
{
    char hold[LINE_MAX_BYTES], *part[PARTS_MAX];
    a->zones = split(s, ';', hold, part);
    for (int i = 0; i < a->zones && i < AIM_ZONES_MAX; i++) {
        char own[LINE_MAX_BYTES], *edge[PARTS_MAX];
        if (split(part[i], '/', own, edge) == 4) {
            a->rect[i] = (struct aim_rect){atof(edge[0]), atof(edge[1]), atof(edge[2]),
                                           atof(edge[3])};
        }
    }
}

static void check_zone_probs(const struct row *r)
{
    struct aim a = {.kappa = cell_number(r, "kappa"), .lapse = cell_number(r, "lapse")};
    double got[AIM_ZONES_MAX + 1];
    read_rects(cell(r, "rects_x1/x2/y1/y2_by_priority"), &a);
    aim_zone_probs(&a, cell_number(r, "sigma_rad"), cell_number(r, "distance"), got);
    same_list(r, "probs_then_miss", got, a.zones + 1);
}

static struct aim cell_aim(const struct row *r)
{
    struct aim a = {.throws = cell_int(r, "n"), .kappa = cell_number(r, "kappa"), .lapse = 0.02};
    int points[PARTS_MAX];
    int n = integers(cell(r, "zone_points"), '|', points);
    read_rects(cell(r, "rects"), &a);
    for (int i = 0; i < n && i < AIM_ZONES_MAX; i++) {
        a.points[i] = points[i];
    }
    return a;
}

/* "4@c:1/3/1;3@t:9" */
static size_t cell_throws(const struct row *r, const char *name, struct aim_attempt *out)
{
    char hold[LINE_MAX_BYTES], *part[PARTS_MAX];
    int n = split(cell(r, name), ';', hold, part);
    for (int i = 0; i < n; i++) {
        const char *what = strchr(part[i], '@') + 1;
        int c[PARTS_MAX];
        out[i] = (struct aim_attempt){.distance = atof(part[i]), .known = what[0] == 'c'};
        if (!out[i].known) {
            out[i].total = atoi(what + 2);
            continue;
        }
        int z = integers_of(what + 2, '/', c);
        memcpy(out[i].counts, c, sizeof(int) * (size_t)(z <= AIM_ZONES_MAX ? z : AIM_ZONES_MAX + 1));
    }
    return (size_t)n;
}

static void check_distance_fair(const struct row *r)
{
    struct room w = lent();
    struct aim a = cell_aim(r);
    struct aim_attempt t[PARTS_MAX];
    struct aim_posterior p;
    struct aim_prediction q;
    double mean, sd, probs[BAND_LINES_MAX + 1], line[PARTS_MAX];
    size_t n = cell_throws(r, "attempts_distance@counts(rects..miss)_or_total", t);
    struct band_rule b = band_rule_default(stat_of(r), cell_int(r, "m"));
    b.lines = (size_t)numbers(cell(r, "thresholds"), '|', line);
    memcpy(b.line, line, b.lines * sizeof *line);
    if (!aim_learn(&a, t, n, &w, &p)) {
        fail(r, "no room");
        return;
    }
    aim_moments(&p, &mean, &sd);
    same(r, "post_mean", mean, cell_number(r, "post_mean_log_sigma"));
    same(r, "post_sd", sd, cell_number(r, "post_sd_log_sigma"));
    aim_another_day(&p, 0.10);
    if (!aim_predict(&a, &p, &(struct aim_at){cell_number(r, "d_ref"), &b}, &w, &q)) {
        fail(r, "no room");
        return;
    }
    same(r, "pred_mean", q.mean, cell_number(r, "pred_mean_one_attempt"));
    same_int(r, "pred_lo10", q.lo);
    same_int(r, "pred_hi90", q.hi);
    for (size_t i = 0; i <= b.lines; i++) {
        probs[i] = (i == 0 ? 1 : q.tails[i - 1]) - (i < b.lines ? q.tails[i] : 0);
    }
    same_list(r, "band_probs", probs, (int)b.lines + 1);
}

static void check_next_distance(const struct row *r)
{
    struct room w = lent();
    struct aim a = cell_aim(r);
    struct aim_attempt t[PARTS_MAX];
    struct aim_posterior p;
    double steps[PARTS_MAX], hits[PARTS_MAX];
    enum aim_reason why;
    size_t n = cell_throws(r, "attempts", t);
    struct aim_step_ask k = {
        .steps = steps, .n = numbers(cell(r, "steps"), '|', steps),
        .current = cell_int(r, "current_index"), .target = cell_number(r, "target"),
        .dead_band = cell_number(r, "dead_band"),
        .space = *cell(r, "space_limit") != '\0' ? cell_number(r, "space_limit") : 0,
        .throws_here = cell_int(r, "throws_at_current"), .block_up = cell_int(r, "block_up") != 0,
    };
    if (!aim_learn(&a, t, n, &w, &p)) {
        fail(r, "no room");
        return;
    }
    aim_another_day(&p, 0.10);
    for (int i = 0; i < k.n; i++) {
        hits[i] = aim_hit(&a, &p, steps[i]);
    }
    same_list(r, "hit_probs", hits, k.n);
    same_int(r, "next_index", aim_next_step(&k, hits, &why));
    same_word(r, "reason", aim_reason_word(why));
}

static void check_across(const struct row *r)
{
    struct room w = lent();
    struct aim a = cell_aim(r);
    struct aim_attempt before[PARTS_MAX], after[PARTS_MAX];
    struct aim_posterior p, q;
    size_t n = cell_throws(r, "before", before), m = cell_throws(r, "after", after);
    if (!aim_learn(&a, before, n, &w, &p) || !aim_learn(&a, after, m, &w, &q)) {
        fail(r, "no room");
        return;
    }
    same_p(r, "p", aim_closer_now(&p, &q, 0.10), cell_number(r, "p_spread_smaller_now"));
}

static void check_next_score(const struct row *r)
{
    struct room w = lent();
    struct scoring s = cell_scoring(r, cell_int(r, "n"), cell_int(r, "cap"));
    struct outcome o[PARTS_MAX];
    struct next_aim a;
    const struct outcomes all = {o, (size_t)cell_outcomes(r, &s, o)};
    const struct next_ask k = {&s, &all, cell_int(r, "m"), cell_int(r, "best")};
    if (!next_total(&k, &w, &a)) {
        fail(r, "no answer");
        return;
    }
    if (*cell(r, "next_total") == '\0') {
        if (a.next != -1) {
            fail(r, "a next total above the maximum");
        }
    } else {
        same_int(r, "next_total", a.next);
        same_p(r, "p_reach_next", a.p_next, cell_number(r, "p_reach_next"));
    }
    same_int(r, "today_target", a.today);
    same_p(r, "p_reach_target", a.p_today, cell_number(r, "p_reach_target"));
}
