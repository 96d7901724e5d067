/* SPDX-License-Identifier: MIT
 * File 16: the judgement of a unit. */
#pragma once

#include "assess/unit.h"
#include "read.h"

static struct fraction fraction_of(const struct row *r, const char *name)
{
    char hold[LINE_MAX_BYTES], *part[PARTS_MAX];
    int n = split(cell(r, name), '/', hold, part);
    return n == 2 ? (struct fraction){atoi(part[0]), atoi(part[1])} : (struct fraction){0, 0};
}

static void read_needs(const struct row *r, struct judge_rule *j)
{
    char hold[LINE_MAX_BYTES], *level[PARTS_MAX];
    int n = split(cell(r, "allof_requirements_phys/think/part"), ';', hold, level);
    for (int i = 0; i < n && i < UNIT_LINES_MAX; i++) {
        int need[PARTS_MAX];
        integers(level[i], '/', need);
        memcpy(j->need[i], need, sizeof j->need[i]);
    }
}

static struct judge_rule judge_rule_of(const struct row *r)
{
    struct judge_rule j = judge_rule_default(cell_int(r, "top_band"));
    const char *policy = cell(r, "policy"), *physical = cell(r, "physical_rule");
    double line[PARTS_MAX];
    j.policy = strcmp(policy, "weakest") == 0 ? JUDGE_WEAKEST
               : strcmp(policy, "majority") == 0 ? JUDGE_MAJORITY : JUDGE_ALL_OF;
    j.physical = strcmp(physical, "lower") == 0 ? JUDGE_LOWER
                 : strcmp(physical, "higher") == 0 ? JUDGE_HIGHER
                 : strcmp(physical, "cues") == 0 ? JUDGE_CUES : JUDGE_ACTIVITIES;
    j.min_activities = cell_int(r, "min_activities");
    j.min_answered = cell_int(r, "min_answered");
    j.min_lessons = cell_int(r, "min_set");
    j.lines = (size_t)numbers(cell(r, "fraction_thresholds"), '|', line);
    memcpy(j.line, line, j.lines * sizeof *line);
    read_needs(r, &j);
    return j;
}

static void check_unit(const struct row *r)
{
    struct judge_rule j = judge_rule_of(r);
    struct judgement g = {0};
    int bands[PARTS_MAX];
    int n = integers(cell(r, "activity_bands_-1_missing"), '|', bands);
    g.activity_band = judge_activities(bands, (size_t)n, j.min_activities);
    g.cue_band = judge_share_strand(&j, fraction_of(r, "cues_seen/looked"), j.min_looked);
    g.strand[STRAND_PHYSICAL] = judge_physical_band(&j, g.activity_band, g.cue_band);
    g.strand[STRAND_THINKING] =
        judge_share_strand(&j, fraction_of(r, "right/answered"), j.min_answered);
    g.strand[STRAND_TAKING_PART] =
        judge_share_strand(&j, fraction_of(r, "handed_in/set"), j.min_lessons);
    judge_unit(&j, &g);
    same_int(r, "activity_band", g.activity_band);
    same_int(r, "cue_band", g.cue_band);
    same_int(r, "physical", g.strand[STRAND_PHYSICAL]);
    same_int(r, "thinking", g.strand[STRAND_THINKING]);
    same_int(r, "taking_part", g.strand[STRAND_TAKING_PART]);
    same_word(r, "status", judge_status_word(g.status));
    same_int(r, "band", g.band);
    same_int(r, "lo", g.lo);
    same_int(r, "hi", g.hi);
}
