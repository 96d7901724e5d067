/* SPDX-License-Identifier: MIT
 * Puts the observation grid together from the unit's activities and what was said about them.
 * An activity may have been set in several revisions: the newest one that was set gives the
 * columns, so that a reworded teaching point does not stand there twice; the older revisions'
 * columns follow only where they hold a mark, so that nothing recorded is out of sight. */
#include "store/lesson_grid.h"

#include <string.h>

#include "base/mem.h"
#include "store/activities.h"
#include "store/challenges.h"
#include "store/query.h"

struct marks {
    struct seen_list seen;
    struct lesson_answer_list answers;
    struct taking_part_list taking;
};

struct load {
    struct store *st;
    void *ctx;
    struct lesson_grid *out;
    struct marks marks;
    const struct activity **set;        /* every revision of the unit, oldest opening first */
    size_t set_count, set_cap, cue_cap, question_cap;
};

static enum err add_activity(struct load *l, struct revision_id revision)
{
    const struct activity *a;
    enum err e = activity_load(l->st, revision, &a);
    for (size_t i = 0; e == OK && i < l->set_count; i++) {
        if (l->set[i]->revision.v == revision.v) {
            return OK;
        }
    }
    if (e == OK) {
        mem_grow(l->ctx, l->set, l->set_count, &l->set_cap);
        l->set[l->set_count++] = a;
    }
    return e;
}

static enum err from_challenges(struct load *l, const struct unit_class *of)
{
    struct challenge_list all;
    enum err e = challenges_of_class(l->ctx, l->st, of->cls, 0, &all);
    for (size_t i = e == OK ? all.count : 0; e == OK && i > 0; i--) {    /* newest first there */
        if (all.rows[i - 1].unit.v == of->unit.v && !all.rows[i - 1].empty) {
            e = add_activity(l, all.rows[i - 1].revision);
        }
    }
    return e;
}

static bool has_activity(const struct load *l, struct activity_id id)
{
    for (size_t i = 0; i < l->set_count; i++) {
        if (l->set[i]->id.v == id.v) {
            return true;
        }
    }
    return false;
}

static enum err from_lessons(struct load *l)
{
    const struct unit *u = &l->out->unit;
    enum err e = OK;
    for (size_t i = 0; e == OK && i < u->lesson_count; i++) {
        for (size_t k = 0; e == OK && k < u->lessons[i].activity_count; k++) {
            const struct activity *a;
            if (has_activity(l, u->lessons[i].activities[k])) {
                continue;
            }
            e = activity_load_current(l->st, u->lessons[i].activities[k], &a);
            if (e == OK) {
                e = add_activity(l, a->revision);
            }
        }
    }
    return e;
}

static bool is_newest(const struct load *l, const struct activity *a)
{
    for (size_t i = 0; i < l->set_count; i++) {
        if (l->set[i]->id.v == a->id.v && l->set[i]->number > a->number) {
            return false;
        }
    }
    return true;
}

/* Columns of one kind, and where more of them go. */
struct side {
    struct lesson_column **v;
    size_t *n, *cap;
    bool questions;                     /* else teaching points */
};

/* The k-th words of a revision; NULL behind the last. */
static const char *words_at(const struct activity *a, bool questions, size_t k, int64_t *id)
{
    if (k >= (questions ? a->question_count : a->cue_count)) {
        return NULL;
    }
    *id = questions ? a->questions[k].id : a->cues[k].id;
    return questions ? a->questions[k].text : a->cues[k].text;
}

static bool is_marked(const struct load *l, const struct activity *a, const char *text,
                      bool questions)
{
    const struct marks *m = &l->marks;
    for (size_t i = 0; !questions && i < m->seen.n; i++) {
        if (seen_is_of(&m->seen.v[i], a->id, text)) {
            return true;
        }
    }
    for (size_t i = 0; questions && i < m->answers.n; i++) {
        if (lesson_answer_is_of(&m->answers.v[i], a->id, text)) {
            return true;
        }
    }
    return false;
}

/* Has another column the same words of the activity, now or when its newest revision is added? */
static bool is_elsewhere(const struct load *l, const struct activity *a, const char *text,
                         const struct side *to)
{
    for (size_t i = 0; i < *to->n; i++) {
        const struct lesson_column *c = &(*to->v)[i];
        if (c->activity.v == a->id.v && strcmp(c->text, text) == 0) {
            return true;
        }
    }
    for (size_t i = 0; i < l->set_count; i++) {
        const struct activity *b = l->set[i];
        const char *other;
        int64_t id;
        bool newest = b->id.v == a->id.v && is_newest(l, b);
        for (size_t k = 0; newest && (other = words_at(b, to->questions, k, &id)); k++) {
            if (strcmp(other, text) == 0) {
                return true;
            }
        }
    }
    return false;
}

static void add_columns(struct load *l, const struct activity *a, const struct side *to)
{
    bool newest = is_newest(l, a);
    const char *text;
    int64_t id;
    for (size_t k = 0; (text = words_at(a, to->questions, k, &id)) != NULL; k++) {
        if (newest || (is_marked(l, a, text, to->questions) && !is_elsewhere(l, a, text, to))) {
            mem_grow(l->ctx, *to->v, *to->n, to->cap);
            (*to->v)[(*to->n)++] = (struct lesson_column){id, text, a->id, a->name};
        }
    }
}

/* A mark made in an older revision stands in the column of the same words. */
static void move_marks(struct load *l)
{
    const struct lesson_grid *g = l->out;
    for (size_t i = 0; i < l->marks.seen.n; i++) {
        struct seen_row *row = &l->marks.seen.v[i];
        size_t k = 0;
        while (k < g->cue_count && !seen_is_of(row, g->cues[k].activity, g->cues[k].text)) {
            k++;
        }
        row->cue = k < g->cue_count ? g->cues[k].id : row->cue;
    }
    for (size_t i = 0; i < l->marks.answers.n; i++) {
        struct lesson_answer *row = &l->marks.answers.v[i];
        size_t k = 0;
        while (k < g->question_count &&
               !lesson_answer_is_of(row, g->questions[k].activity, g->questions[k].text)) {
            k++;
        }
        row->question = k < g->question_count ? g->questions[k].id : row->question;
    }
}

static enum err load_marks(struct load *l, const struct unit_class *of)
{
    enum err e = seen_of_class(l->st, l->ctx, of, &l->marks.seen);
    if (e == OK) {
        e = lesson_answers_of_class(l->st, l->ctx, of, &l->marks.answers);
    }
    return e == OK ? taking_part_of_class(l->st, l->ctx, of, &l->marks.taking) : e;
}

/* Slices the lists, which come by pupil. */
static void fill_row(const struct marks *m, struct lesson_row *row)
{
    int64_t id = row->pupil.id.v;
    row->taking_part = -1;
    for (size_t i = 0; i < m->seen.n; i++) {
        if (m->seen.v[i].pupil.v == id) {
            row->seen = row->seen_count == 0 ? &m->seen.v[i] : row->seen;
            row->seen_count++;
        }
    }
    for (size_t i = 0; i < m->answers.n; i++) {
        if (m->answers.v[i].pupil.v == id) {
            row->answers = row->answer_count == 0 ? &m->answers.v[i] : row->answers;
            row->answer_count++;
        }
    }
    for (size_t i = 0; i < m->taking.n; i++) {
        row->taking_part = m->taking.v[i].pupil.v == id ? m->taking.v[i].band : row->taking_part;
    }
}

static enum err load_rows(struct load *l, const struct unit_class *of, int64_t now)
{
    const struct pupils_query want = {.in = of->cls, .day = of->today, .now = now};
    struct pupil_row *pupils;
    size_t n;
    enum err e = pupils_of_class(l->st, l->ctx, &want, &pupils, &n);
    if (e != OK) {
        return e;
    }
    l->out->rows = mem_array(l->ctx, struct lesson_row, n);
    l->out->row_count = n;
    for (size_t i = 0; i < n; i++) {
        l->out->rows[i] = (struct lesson_row){.pupil = pupils[i]};
        fill_row(&l->marks, &l->out->rows[i]);
    }
    return OK;
}

enum err lesson_grid_load(struct store *st, void *ctx, const struct unit_class *of, int64_t now,
                          struct lesson_grid *out)
{
    struct load l = {.st = st, .ctx = ctx, .out = out};
    const struct side cues = {&out->cues, &out->cue_count, &l.cue_cap, false};
    const struct side questions = {&out->questions, &out->question_count, &l.question_cap, true};
    *out = (struct lesson_grid){0};
    enum err e = unit_get(ctx, st, of->unit, &out->unit);
    if (e == OK) {
        e = from_challenges(&l, of);
    }
    if (e == OK) {
        e = from_lessons(&l);
    }
    if (e == OK) {
        e = load_marks(&l, of);
    }
    for (size_t i = 0; e == OK && i < l.set_count; i++) {
        add_columns(&l, l.set[i], &cues);
        add_columns(&l, l.set[i], &questions);
    }
    move_marks(&l);
    return e == OK ? load_rows(&l, of, now) : e;
}
