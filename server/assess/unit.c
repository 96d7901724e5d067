/* SPDX-License-Identifier: MIT
 * The unit's policies. All three are monotone in every strand, so reading what is missing as the
 * lowest and as the highest band gives exact bounds of what it can still make of the result. */
#include "assess/unit.h"

#include <math.h>

struct judge_rule judge_rule_default(int top_band)
{
    struct judge_rule r = {
        .top_band = top_band, .policy = JUDGE_MAJORITY, .physical = JUDGE_LOWER,
        .min_activities = 1, .min_looked = 3, .min_answered = 3, .min_lessons = 2,
        .lines = (size_t)(top_band < UNIT_LINES_MAX ? top_band : UNIT_LINES_MAX),
    };
    for (size_t i = 0; i < r.lines; i++) {
        r.line[i] = r.lines == 1 ? 0.6 : 0.4 + 0.4 * (double)i / (double)(r.lines - 1);
        for (int s = 0; s < STRANDS; s++) {
            r.need[i][s] = (int)i + 1;
        }
    }
    return r;
}

int judge_share_band(const struct judge_rule *r, struct fraction f)
{
    int band = 0;
    if (f.of <= 0) {
        return STRAND_MISSING;
    }
    for (size_t i = 0; i < r->lines; i++) {
        band += f.k >= ceil(r->line[i] * f.of - 1e-9);
    }
    return band;
}

int judge_share_strand(const struct judge_rule *r, struct fraction f, int least)
{
    return f.of < least ? STRAND_MISSING : judge_share_band(r, f);
}

int judge_activities(const int *bands, size_t n, int least)
{
    int present = 0;
    for (size_t i = 0; i < n; i++) {
        present += bands[i] >= 0;
    }
    if (present == 0 || present < least) {
        return STRAND_MISSING;
    }
    int k = (present + 1) / 2;
    for (size_t i = 0; i < n; i++) {
        int ahead = 0, level = 0;
        for (size_t j = 0; j < n && bands[i] >= 0; j++) {
            ahead += bands[j] > bands[i];
            level += bands[j] == bands[i];
        }
        if (ahead < k && k <= ahead + level) {
            return bands[i];
        }
    }
    return STRAND_MISSING;
}

int judge_physical_band(const struct judge_rule *r, int activity_band, int cue_band)
{
    if (activity_band < 0 || cue_band < 0) {
        return activity_band < 0 ? cue_band : activity_band;
    }
    switch (r->physical) {
    case JUDGE_ACTIVITIES:
        return activity_band;
    case JUDGE_CUES:
        return cue_band;
    case JUDGE_HIGHER:
        return activity_band > cue_band ? activity_band : cue_band;
    case JUDGE_LOWER:
        break;
    }
    return activity_band < cue_band ? activity_band : cue_band;
}

static int lowest(const int *strand)
{
    int low = STRAND_MISSING;
    for (int i = 0; i < STRANDS; i++) {
        if (strand[i] >= 0 && (low < 0 || strand[i] < low)) {
            low = strand[i];
        }
    }
    return low;
}

static int present(const int *strand)
{
    int n = 0;
    for (int i = 0; i < STRANDS; i++) {
        n += strand[i] >= 0;
    }
    return n;
}

static int all_of(const struct judge_rule *r, const int *strand)
{
    int level = 0;
    for (size_t j = 0; j < r->lines && (int)j < r->top_band; j++) {
        for (int i = 0; i < STRANDS; i++) {
            if (strand[i] >= 0 && strand[i] < r->need[j][i]) {
                return level;
            }
        }
        level = (int)j + 1;
    }
    return level;
}

/* On the strands that are there. */
static int policy(const struct judge_rule *r, const int *strand)
{
    if (present(strand) == 0) {
        return STRAND_MISSING;
    }
    if (r->policy == JUDGE_ALL_OF) {
        return all_of(r, strand);
    }
    if (r->policy == JUDGE_MAJORITY && present(strand) == STRANDS) {
        return judge_activities(strand, STRANDS, STRANDS);  /* second of three */
    }
    return lowest(strand);
}

static int with_missing_as(const struct judge_rule *r, const int *strand, int band)
{
    int full[STRANDS];
    for (int i = 0; i < STRANDS; i++) {
        full[i] = strand[i] >= 0 ? strand[i] : band;
    }
    return policy(r, full);
}

void judge_unit(const struct judge_rule *r, struct judgement *io)
{
    int n = present(io->strand);
    io->lo = with_missing_as(r, io->strand, 0);
    io->hi = with_missing_as(r, io->strand, r->top_band);
    io->band = STRAND_MISSING;
    io->status = JUDGE_NOT_ENOUGH;
    if (n > 0 && io->lo == io->hi) {
        io->status = JUDGE_DETERMINED;
        io->band = io->lo;
    } else if (n >= 2) {
        io->status = JUDGE_PROVISIONAL;
        io->band = policy(r, io->strand);
    }
    for (int i = 0; i < STRANDS; i++) {
        int raised[STRANDS] = {io->strand[0], io->strand[1], io->strand[2]};
        raised[i]++;
        int then = io->status == JUDGE_DETERMINED ? with_missing_as(r, raised, 0)
                                                  : policy(r, raised);
        io->decides[i] = io->band >= 0 && io->strand[i] >= 0 &&
                         io->strand[i] < r->top_band && then > io->band;
    }
}

const char *judge_status_word(enum judge_status s)
{
    static const char *const words[] = {
        [JUDGE_NOT_ENOUGH] = "not_enough", [JUDGE_PROVISIONAL] = "provisional",
        [JUDGE_DETERMINED] = "determined",
    };
    return words[s];
}
