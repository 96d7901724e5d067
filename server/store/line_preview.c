/* SPDX-License-Identifier: MIT
 * The preview of band lines. The hand-ins of the latest unit's challenges at the activity are read
 * once; every pupil is then asked about as at the unit's end, with the lines to try in place of the
 * stored ones (struct suggest_ask.lines). */
#include "store/line_preview.h"

#include <stdlib.h>

#include "base/mem.h"
#include "store/scoring.h"

/* Hand-ins gathered over a unit's challenges. */
struct gathered {
    struct store *st;
    void *ctx;
    const struct line_preview_ask *ask;
    struct hand_in *v;
    size_t n, cap;
};

static bool has_tries(const struct hand_in *h)
{
    return h->state == HAND_IN_COUNTS && h->could_not == NULL && h->attempt_count > 0;
}

static size_t count_tries(const struct hand_in_list *l, int32_t *last_day)
{
    size_t n = 0;
    for (size_t i = 0; i < l->n; i++) {
        if (has_tries(&l->v[i])) {
            n++;
            *last_day = l->v[i].done_day > *last_day ? l->v[i].done_day : *last_day;
        }
    }
    return n;
}

static int by_pupil(const void *a, const void *b)
{
    const struct hand_in *x = a, *y = b;
    if (x->pupil.v != y->pupil.v) {
        return x->pupil.v < y->pupil.v ? -1 : 1;
    }
    return x->seq < y->seq ? -1 : x->seq > y->seq;
}

/* May the lines judge what was set with this challenge? */
static enum err fits(struct store *st, const struct line_preview_ask *ask,
                     const struct challenge *c, bool *out)
{
    const struct activity *then;
    enum err e = activity_load(st, c->revision, &then);
    *out = e == OK && then->reference_mm == ask->activity->reference_mm &&
           scoring_same(then, ask->activity);
    return e;
}

/* One challenge of the activity: its hand-ins when they are of the unit that is looked at. */
static enum err gather(struct gathered *g, const struct challenge *c, struct line_preview *out)
{
    const struct hand_in_scope scope = {
        .cls = g->ask->cls, .challenge = c->id, .today = g->ask->today,
    };
    struct hand_in_list l;
    bool comparable;
    enum err e = fits(g->st, g->ask, c, &comparable);
    if (e == OK) {
        e = hand_ins_of_class_challenge(g->st, g->ctx, &scope, &l);
    }
    int32_t day = out->last_day;
    if (e != OK || count_tries(&l, &day) == 0) {
        return e;
    }
    if (!comparable) {
        out->changed = true;
        return OK;
    }
    out->last_day = day;
    if (!out->found) {
        out->found = true;
        out->challenge = *c;
        e = unit_get(g->ctx, g->st, c->unit, &out->unit);
    }
    for (size_t i = 0; i < l.n; i++) {
        mem_grow(g->ctx, g->v, g->n, &g->cap);
        g->v[g->n++] = l.v[i];
    }
    return e;
}

static enum err gather_all(struct gathered *g, struct line_preview *out)
{
    const struct line_preview_ask *ask = g->ask;
    struct challenge_list all;
    enum err e = challenges_of_class(g->ctx, g->st, ask->cls, 0, &all);
    for (size_t i = 0; e == OK && i < all.count; i++) {     /* newest first */
        const struct challenge *c = &all.rows[i];
        if (c->activity.v == ask->activity->id.v &&
            (!out->found || c->unit.v == out->unit.id.v)) {
            e = gather(g, c, out);
        }
    }
    if (g->n > 1) {
        qsort(g->v, g->n, sizeof *g->v, by_pupil);
    }
    return e;
}

static void note_score(struct line_preview *out, double value)
{
    size_t i = out->score_count;
    while (i > 0 && out->scores[i - 1].value > value) {
        i--;
    }
    if (i > 0 && !(out->scores[i - 1].value < value)) {
        out->scores[i - 1].count++;
        return;
    }
    for (size_t k = out->score_count; k > i; k--) {
        out->scores[k] = out->scores[k - 1];
    }
    out->scores[i] = (struct line_score){value, 1};
    out->score_count++;
}

static void note(struct line_preview *out, const struct suggestion *s)
{
    const struct suggest_line *l = s->line_count > 0 ? &s->lines[0] : NULL;
    if (l == NULL || l->silent != SUGGEST_SAID) {
        bool away = l != NULL && l->silent == SUGGEST_UNKNOWN_TARGET;
        out->elsewhere += away;
        out->other_version += !away;
        return;
    }
    out->placed++;
    out->band[l->answer.band]++;
    if (l->answer.known) {
        out->label[l->answer.label]++;
    } else {
        out->unknown++;
    }
    note_score(out, l->answer.observed);
}

enum err line_preview(struct store *st, void *ctx, const struct line_preview_ask *ask,
                      struct line_preview *out)
{
    struct gathered g = {.st = st, .ctx = ctx, .ask = ask};
    *out = (struct line_preview){0};
    enum err e = gather_all(&g, out);
    if (e != OK || !out->found) {
        return e;
    }
    const struct hand_in_list all = {g.v, g.n};
    struct unit unit = out->unit;
    unit.statistic = ask->has_statistic ? ask->statistic : unit.statistic;
    out->scores = mem_array(ctx, struct line_score, g.n);
    for (size_t i = 0; e == OK && i < g.n;) {
        size_t from = i;
        int32_t day = 0;
        while (i < g.n && g.v[i].pupil.v == g.v[from].pupil.v) {
            i++;
        }
        const struct hand_in_list own = {&g.v[from], i - from};
        const struct suggest_ask s = {
            .unit = &unit, .bands = ask->bands, .hand_ins = &own, .class_hand_ins = &all,
            .taking_part = STRAND_MISSING, .activity = ask->activity->id, .lines = ask->lines,
        };
        struct suggestion said;
        if (count_tries(&own, &day) == 0) {
            continue;
        }
        if (ask->blind != NULL && second_view_hides(ask->blind, unit.id, g.v[from].pupil)) {
            out->kept++;
            continue;
        }
        out->pupils++;
        e = suggest(st, ctx, &s, &said);
        if (e == OK) {
            note(out, &said);
        }
    }
    return e;
}
