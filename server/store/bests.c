/* SPDX-License-Identifier: MIT
 * Sorting hand-ins into lines. Comparable means: the same activity, the same kind of version, and
 * revisions that are scored alike (scoring_same). What waits for a check or was set aside is on no
 * line, and neither is a hand-in without a try. */
#include "store/bests.h"

#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "store/scoring.h"

static int by_day(const void *a, const void *b)
{
    const struct hand_in *x = *(const struct hand_in *const *)a;
    const struct hand_in *y = *(const struct hand_in *const *)b;
    if (x->done_day != y->done_day) {
        return x->done_day < y->done_day ? -1 : 1;
    }
    return x->seq < y->seq ? -1 : x->seq > y->seq;
}

static int by_name(const void *a, const void *b)
{
    const struct best_line *x = a, *y = b;
    int names = strcmp(x->activity->name, y->activity->name);
    if (names != 0) {
        return names;
    }
    if (x->version->kind != y->version->kind) {
        return x->version->kind < y->version->kind ? -1 : 1;
    }
    return x->activity->revision.v < y->activity->revision.v ? -1 : 1;
}

static bool is_on_a_line(const struct hand_in *h)
{
    return h->state == HAND_IN_COUNTS && h->attempt_count > 0;
}

static bool fits(const struct best_line *line, const struct activity *a, enum version_kind k)
{
    return line->activity->id.v == a->id.v && line->version->kind == k &&
           scoring_same(line->activity, a);
}

static enum err add_to(struct best_lines *lines, void *ctx, const struct hand_in *h,
                       const struct activity *a)
{
    const struct activity_version *v = activity_version(a, h->version);
    if (!v) {
        return ERR_INTERNAL;
    }
    struct best_line *line = NULL;
    for (size_t i = 0; i < lines->n && !line; i++) {
        line = fits(&lines->v[i], a, v->kind) ? &lines->v[i] : NULL;
    }
    if (!line) {
        line = &lines->v[lines->n++];
        *line = (struct best_line){.activity = a, .version = v};
    }
    if (a->number > line->activity->number) {
        line->activity = a;
        line->version = v;
    }
    size_t cap = talloc_array_length(line->hand_ins);
    mem_grow(ctx, line->hand_ins, line->n, &cap);
    line->hand_ins[line->n++] = h;
    return OK;
}

enum err best_lines_of(struct store *st, void *ctx, const struct hand_in_list *all,
                       struct best_lines *out)
{
    *out = (struct best_lines){.v = mem_array(ctx, struct best_line, all->n)};
    for (size_t i = 0; i < all->n; i++) {
        if (!is_on_a_line(&all->v[i])) {
            continue;
        }
        const struct activity *a = NULL;
        enum err e = activity_load(st, all->v[i].revision, &a);
        if (e == OK) {
            e = add_to(out, ctx, &all->v[i], a);
        }
        if (e != OK) {
            return e;
        }
    }
    for (size_t i = 0; i < out->n; i++) {
        qsort(out->v[i].hand_ins, out->v[i].n, sizeof *out->v[i].hand_ins, by_day);
    }
    if (out->n > 1) {
        qsort(out->v, out->n, sizeof *out->v, by_name);
    }
    return OK;
}

enum err best_line_for(struct store *st, void *ctx, const struct best_line_ask *ask,
                       struct best_line *out)
{
    *out = (struct best_line){.activity = ask->activity, .version = ask->version};
    out->hand_ins = mem_array(ctx, const struct hand_in *, ask->all->n);
    const char *kind = version_kind_word(ask->version->kind);
    for (size_t i = 0; i < ask->all->n; i++) {
        const struct hand_in *h = &ask->all->v[i];
        if (!is_on_a_line(h) || h->seq >= ask->before_seq || h->done_day < ask->from_day ||
            h->activity.v != ask->activity->id.v || strcmp(h->version_kind, kind) != 0) {
            continue;
        }
        const struct activity *a = NULL;
        enum err e = activity_load(st, h->revision, &a);
        if (e != OK) {
            return e;
        }
        if (scoring_same(a, ask->activity)) {
            out->hand_ins[out->n++] = h;
        }
    }
    if (out->n > 1) {
        qsort(out->hand_ins, out->n, sizeof *out->hand_ins, by_day);
    }
    return OK;
}
