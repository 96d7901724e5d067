/* SPDX-License-Identifier: MIT
 * The judgement of a unit from its strands: physical (activities and what was seen), thinking
 * (questions answered), taking part (recorded by the teacher from lessons). A missing strand
 * is never read as low: lo and hi say what it could still make of the result. */
#pragma once

#include <stdbool.h>
#include <stddef.h>

enum { STRAND_MISSING = -1, STRANDS = 3, UNIT_LINES_MAX = 8 };
enum { STRAND_PHYSICAL, STRAND_THINKING, STRAND_TAKING_PART };

enum judge_policy { JUDGE_WEAKEST, JUDGE_MAJORITY, JUDGE_ALL_OF };
enum judge_physical { JUDGE_LOWER, JUDGE_HIGHER, JUDGE_ACTIVITIES, JUDGE_CUES };

/* seen of looked for, right of answered, lessons of lessons. */
struct fraction { int k, of; };

struct judge_rule {
    int top_band;                           /* bands are 0..top_band */
    enum judge_policy policy;
    enum judge_physical physical;
    int min_activities, min_looked, min_answered, min_lessons;
    size_t lines;
    double line[UNIT_LINES_MAX];            /* share that reaches band 1, 2 .. */
    int need[UNIT_LINES_MAX][STRANDS];      /* all-of: level j+1 asks this of each; -1 none */
};
/* Majority, the lower of activities and cues; at least 1 activity, 3 cues looked for, 3 questions
 * answered, 2 lessons; shares evenly spread between 0.4 and 0.8 (a single one: 0.6); all-of: every
 * strand at the level. */
struct judge_rule judge_rule_default(int top_band);

enum judge_status { JUDGE_NOT_ENOUGH, JUDGE_PROVISIONAL, JUDGE_DETERMINED };

struct judgement {
    int activity_band, cue_band;            /* the parts of physical; -1 missing */
    int strand[STRANDS];
    enum judge_status status;
    int band, lo, hi;                       /* band -1: none */
    bool decides[STRANDS];                  /* raising it one band would raise the result */
};

/* Bands of `k` of `of` by the rule's shares. */
int judge_share_band(const struct judge_rule *r, struct fraction f);
/* Middle (the better of two middle ones) of the bands present, or STRAND_MISSING when fewer than
 * `least` are. */
int judge_activities(const int *bands, size_t n, int least);
/* cue band and activity band -> physical, by the rule. */
int judge_physical_band(const struct judge_rule *r, int activity_band, int cue_band);
/* Fraction -> strand, STRAND_MISSING below `least`. */
int judge_share_strand(const struct judge_rule *r, struct fraction f, int least);

/* strand[] in `io` given; fills status, band, lo, hi, decides. */
void judge_unit(const struct judge_rule *r, struct judgement *io);
/* The band of the unit as it can be told: judged from two strands or more, else what physical alone
 * points to. STRAND_MISSING when nothing does. */
int judge_told(const struct judgement *j);

/* Where a repeat of the activities would leave the told band: out[b], b = 0..top_band. probs[i] is
 * the chance of each band of activity i (top_band + 1 of them), the activities independent; what
 * was seen, answered and recorded stays as it is. n of 1..JUDGE_ACTIVITIES_MOST. */
enum { JUDGE_ACTIVITIES_MOST = 40 };
void judge_repeat(const struct judge_rule *r, const struct judgement *j,
                  const double *const *probs, size_t n, double *out);

/* "not_enough", "provisional", "determined". */
const char *judge_status_word(enum judge_status s);
