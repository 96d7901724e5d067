/* SPDX-License-Identifier: MIT
 * The unit: a line for each activity, then the strands. A result at another version than standard
 * is judged only by lines of its own; results of two versions are never pooled. */
#include "store/suggest.h"

#include <string.h>

#include "base/mem.h"
#include "store/scoring.h"
#include "suggest_internal.h"

/* Activities of the hand-ins that count, each once, at its newest revision there. */
struct found {
    const struct activity *activity;
};

static bool wanted(const struct suggest_ask *ask, const struct hand_in *h)
{
    return h->state == HAND_IN_COUNTS && h->could_not == NULL && h->attempt_count > 0 &&
           (ask->activity.v == 0 || h->activity.v == ask->activity.v) &&
           (ask->challenge.v == 0 || h->challenge.v == ask->challenge.v);
}

static enum err find_activities(struct store *st, void *ctx, const struct suggest_ask *ask,
                                struct found **out, size_t *n)
{
    size_t cap = 0;
    *out = NULL;
    *n = 0;
    for (size_t i = 0; i < ask->hand_ins->n; i++) {
        const struct hand_in *h = &ask->hand_ins->v[i];
        const struct activity *a;
        size_t k = 0;
        if (!wanted(ask, h)) {
            continue;
        }
        enum err e = activity_load(st, h->revision, &a);
        if (e != OK) {
            return e;
        }
        while (k < *n && (*out)[k].activity->id.v != a->id.v) {
            k++;
        }
        if (k == *n) {
            mem_grow(ctx, *out, *n, &cap);
            (*out)[(*n)++].activity = a;
        } else if (a->number > (*out)[k].activity->number) {
            (*out)[k].activity = a;
        }
    }
    return OK;
}

static enum err fill_group(struct store *st, void *ctx, const struct suggest_ask *ask,
                           struct suggest_group *g)
{
    g->hand_ins = mem_array(ctx, const struct hand_in *, ask->hand_ins->n);
    for (size_t i = 0; i < ask->hand_ins->n; i++) {
        const struct hand_in *h = &ask->hand_ins->v[i];
        const struct activity *a;
        if (!wanted(ask, h) || h->activity.v != g->activity->id.v ||
            version_kind_of(h->version_kind) != (int)g->version->kind) {
            continue;
        }
        enum err e = activity_load(st, h->revision, &a);
        if (e != OK) {
            return e;
        }
        if (!scoring_same(a, g->activity)) {
            continue;
        }
        if (ask->unit->pooling == UNIT_POOL_LATEST) {
            g->n = 0;
            g->whole = 0;
        }
        g->hand_ins[g->n++] = h;
        for (size_t k = 0; k < h->attempt_count; k++) {
            g->whole += !h->attempts[k].part;
        }
    }
    return OK;
}

/* The version as the newest revision has it, when that is scored alike and from the same place:
 * band lines are the school's judgement, no part of what was done, so new ones hold at once. */
static enum err newest_version(struct store *st, const struct suggest_ask *ask,
                               struct suggest_group *g)
{
    const struct activity *now;
    if (ask->lines != NULL) {
        g->version = ask->lines;
        return OK;
    }
    enum err e = activity_load_current(st, g->activity->id, &now);
    if (e != OK) {
        return e;
    }
    const struct activity_version *v = activity_version_of(now, g->version->kind);
    if (v != NULL && now->reference_mm == g->activity->reference_mm &&
        scoring_same(now, g->activity)) {
        g->version = v;
    }
    return OK;
}

/* Standard first, then a version with lines of its own, then whatever was done. */
static bool better_group(const struct suggest_group *a, const struct suggest_group *b)
{
    bool lines_a = a->whole > 0 && a->version->band_line_count > 0;
    bool lines_b = b->whole > 0 && b->version->band_line_count > 0;
    if (lines_a != lines_b) {
        return lines_a;
    }
    bool standard_a = a->whole > 0 && a->version->kind == VERSION_STANDARD;
    bool standard_b = b->whole > 0 && b->version->kind == VERSION_STANDARD;
    return standard_a != standard_b ? standard_a : a->whole > b->whole;
}

static enum err line_of(struct store *st, void *ctx, const struct suggest_ask *ask,
                        const struct activity *a, struct suggest_line *out)
{
    struct suggest_group top = {.activity = a};
    for (size_t v = 0; v < a->version_count; v++) {
        struct suggest_group g = {.activity = a, .version = &a->versions[v]};
        if (ask->lines != NULL && ask->lines->kind != g.version->kind) {
            continue;
        }
        enum err e = fill_group(st, ctx, ask, &g);
        if (e == OK) {
            e = newest_version(st, ask, &g);
        }
        if (e != OK) {
            return e;
        }
        if (top.version == NULL || better_group(&g, &top)) {
            top = g;
        }
    }
    return suggest_line_of(st, ctx, ask, &top, out);
}

static void sort_lines(struct suggest_line *v, size_t n)
{
    for (size_t i = 1; i < n; i++) {
        struct suggest_line l = v[i];
        size_t j = i;
        for (; j > 0 && strcmp(v[j - 1].activity->name, l.activity->name) > 0; j--) {
            v[j] = v[j - 1];
        }
        v[j] = l;
    }
}

static enum judge_policy policy_of(enum unit_policy p)
{
    return p == UNIT_WEAKEST ? JUDGE_WEAKEST : p == UNIT_ALL_OF ? JUDGE_ALL_OF : JUDGE_MAJORITY;
}

static void judge(const struct suggest_ask *ask, struct suggestion *out)
{
    int *bands = mem_array(out->lines, int, out->line_count);
    out->rule = judge_rule_default(out->top_band);
    out->rule.policy = policy_of(ask->unit->policy);
    for (size_t i = 0; i < out->line_count; i++) {
        const struct suggest_line *l = &out->lines[i];
        bands[i] = l->silent == SUGGEST_SAID ? l->answer.band : STRAND_MISSING;
    }
    struct judgement *j = &out->judged;
    j->activity_band = judge_activities(bands, out->line_count, out->rule.min_activities);
    j->cue_band = judge_share_strand(&out->rule, ask->seen, out->rule.min_looked);
    j->strand[STRAND_PHYSICAL] = judge_physical_band(&out->rule, j->activity_band, j->cue_band);
    j->strand[STRAND_THINKING] =
        judge_share_strand(&out->rule, ask->right, out->rule.min_answered);
    j->strand[STRAND_TAKING_PART] = ask->taking_part;
    judge_unit(&out->rule, j);
    out->band = j->activity_band < 0 ? STRAND_MISSING : judge_told(j);
}

/* Tails of the told band on a repeat, for the same conclusion as a single activity's. */
static void conclude(struct suggestion *out)
{
    const double *probs[JUDGE_ACTIVITIES_MOST];
    double full[JUDGE_ACTIVITIES_MOST][BAND_LINES_MAX + 1], told[UNIT_LINES_MAX + 1];
    double tails[BAND_LINES_MAX] = {0};
    int attempts = 0, throws = -1;
    size_t n = 0;
    for (size_t i = 0; i < out->line_count && n < JUDGE_ACTIVITIES_MOST; i++) {
        const struct suggest_line *l = &out->lines[i];
        if (l->silent != SUGGEST_SAID) {
            continue;
        }
        if (!l->answer.known) {
            return;
        }
        memset(full[n], 0, sizeof full[n]);
        memcpy(full[n], l->answer.probs, (l->version->band_line_count + 1) * sizeof(double));
        probs[n] = full[n];
        n++;
        attempts += (int)l->attempts;
        throws = l->throws < 0 ? throws : (throws < 0 ? 0 : throws) + l->throws;
    }
    judge_repeat(&out->rule, &out->judged, probs, n, told);
    for (int b = out->top_band; b > 0; b--) {
        tails[b - 1] = told[b] + (b < out->top_band ? tails[b] : 0);
    }
    struct band_rule r = band_rule_default(out->stat, 1);
    r.lines = (size_t)out->top_band;
    out->answer.band = out->band;
    band_conclude(&r, tails, attempts, throws, &out->answer);
}

/* Of the reasons for silence the one that says most. */
static enum suggest_silent silence_of(const struct suggestion *s)
{
    enum suggest_silent why = SUGGEST_NO_ATTEMPTS;
    for (size_t i = 0; i < s->line_count; i++) {
        if (s->lines[i].silent > why) {
            why = s->lines[i].silent;
        }
    }
    return why;
}

enum err suggest(struct store *st, void *ctx, const struct suggest_ask *ask,
                 struct suggestion *out)
{
    struct found *found;
    size_t n;
    *out = (struct suggestion){
        .stat = ask->unit->statistic == UNIT_BEST ? BAND_BEST
                : ask->unit->statistic == UNIT_MEAN ? BAND_MEAN : BAND_MIDDLE,
        .top_band = ask->bands > 0 ? (int)ask->bands - 1 : 0,
        .seen = ask->seen, .right = ask->right, .taking_part = ask->taking_part,
        .answer = {.likelier = -1},
    };
    enum err e = find_activities(st, ctx, ask, &found, &n);
    out->lines = mem_array(ctx, struct suggest_line, n);
    for (size_t i = 0; e == OK && i < n; i++) {
        e = line_of(st, ctx, ask, found[i].activity, &out->lines[i]);
        out->line_count += e == OK;
    }
    if (e != OK) {
        return e;
    }
    for (size_t i = 0; i < ask->hand_ins->n; i++) {
        const struct hand_in *h = &ask->hand_ins->v[i];
        out->waiting += h->state == HAND_IN_TO_CHECK &&
                        (ask->activity.v == 0 || h->activity.v == ask->activity.v);
    }
    sort_lines(out->lines, out->line_count);
    judge(ask, out);
    if (out->band < 0) {
        out->silent = silence_of(out);
        return OK;
    }
    conclude(out);
    if (out->line_count == 1) {
        out->answer.observed = out->lines[0].answer.observed;
    }
    return OK;
}
