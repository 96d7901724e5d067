/* SPDX-License-Identifier: MIT
 * The rows of the CSV exports. Sorted by name and date, never by a value; text cells go through
 * csv_cell, numbers are bare. */
#include "handlers/export_rows.h"

#include "base/clock.h"
#include "base/mem.h"
#include "store/activities.h"
#include "store/challenges.h"
#include "store/classes.h"
#include "store/grid.h"
#include "store/hand_ins.h"
#include "store/pupils.h"
#include "store/school.h"
#include "value_words.h"

static const char *const unit_words[] = {
    [VALUE_POINTS] = "points", [VALUE_COUNT] = "count", [VALUE_MS] = "seconds", [VALUE_MM] = "cm"};

struct column {
    const struct challenge *challenge;
    const struct activity *activity;
    struct hand_in_list hand_ins;       /* by pupil id, then arrival */
};

struct sheet {
    struct store *st;
    struct buf *out;
    struct column *columns;
    size_t column_count;
};

static void text(struct buf *out, const char *s)
{
    csv_cell(out, s ? s : "");
    buf_str(out, ",");
}

static void day(struct buf *out, int32_t d)
{
    char s[11];
    clock_day_print(d, s);
    text(out, s);
}

static void year(struct buf *out, int year_group)
{
    if (year_group != PUPIL_NO_YEAR) {
        buf_int(out, year_group);
    }
    buf_str(out, ",");
}

/* pupil, year group, challenge, activity */
static void row_head(struct sheet *s, const struct pupil_row *p, const struct column *c)
{
    text(s->out, p->display_name);
    year(s->out, p->year_group);
    buf_printf(s->out, "%d,", c->challenge->number);
    text(s->out, c->activity->name);
}

static const char *state_word(const struct hand_in *h)
{
    return h->state == HAND_IN_SET_ASIDE ? hand_in_state_word[h->state]
                                         : grid_state_word[grid_state_of(h, 1)];
}

/* version, done on, state, five attempts, best, unit */
static void hand_in_row(struct sheet *s, const struct pupil_row *p, const struct column *c,
                        const struct hand_in *h)
{
    enum value_unit unit = c->activity->unit;
    row_head(s, p, c);
    text(s->out, h->version_kind);
    day(s->out, h->done_day);
    text(s->out, state_word(h));
    for (size_t i = 0; i < HAND_IN_ATTEMPTS; i++) {
        if (i < h->attempt_count) {
            value_number(s->out, unit, h->attempts[i].value);
        }
        buf_str(s->out, ",");
    }
    if (h->has_best) {
        value_number(s->out, unit, h->best);
    }
    buf_str(s->out, ",");
    csv_cell(s->out, unit_words[unit]);
    buf_str(s->out, "\r\n");
}

static void empty_row(struct sheet *s, const struct pupil_row *p, const struct column *c)
{
    row_head(s, p, c);
    buf_str(s->out, ",,");
    text(s->out, grid_state_word[GRID_NOT_YET]);
    buf_str(s->out, ",,,,,,");
    csv_cell(s->out, unit_words[c->activity->unit]);
    buf_str(s->out, "\r\n");
}

static void pupil_rows(struct sheet *s, const struct pupil_row *p)
{
    for (size_t i = 0; i < s->column_count; i++) {
        const struct column *c = &s->columns[i];
        bool any = false;
        for (size_t k = 0; k < c->hand_ins.n; k++) {
            if (c->hand_ins.v[k].pupil.v == p->id.v) {
                hand_in_row(s, p, c, &c->hand_ins.v[k]);
                any = true;
            }
        }
        if (!any && !c->challenge->cancelled) {
            empty_row(s, p, c);
        }
    }
}

/* The year's challenges, oldest first, with what came in. */
static enum err load_columns(struct sheet *s, void *ctx, const struct export_ask *ask)
{
    struct challenge_list list;
    int64_t from = clock_day_start(school_year_first(ask->today));
    enum err e = challenges_of_class(ctx, s->st, ask->cls, from, &list);
    s->columns = e == OK ? mem_array(ctx, struct column, list.count) : NULL;
    for (size_t i = 0; e == OK && i < list.count; i++) {
        struct column *c = &s->columns[s->column_count++];
        c->challenge = &list.rows[list.count - 1 - i];
        const struct hand_in_scope scope = {
            .cls = ask->cls, .challenge = c->challenge->id, .today = ask->today};
        e = activity_load(s->st, c->challenge->revision, &c->activity);
        if (e == OK) {
            e = hand_ins_of_class_challenge(s->st, ctx, &scope, &c->hand_ins);
        }
    }
    return e;
}

static enum err load_pupils(struct store *st, void *ctx, const struct export_ask *ask,
                            struct pupil_row **rows, size_t *n)
{
    const struct pupils_query want = {.in = ask->cls, .day = ask->today, .now = ask->now};
    return pupils_of_class(st, ctx, &want, rows, n);
}

enum err export_results_csv(struct store *st, const struct export_ask *ask, struct buf *out)
{
    struct sheet s = {.st = st, .out = out};
    struct pupil_row *pupils = NULL;
    size_t n = 0;
    enum err e = load_columns(&s, out->ctx, ask);
    if (e == OK) {
        e = load_pupils(st, out->ctx, ask, &pupils, &n);
    }
    if (e != OK) {
        return e;
    }
    buf_str(out, "\"pupil\",\"year group\",\"challenge\",\"activity\",\"version\",\"done on\","
                 "\"state\",\"try 1\",\"try 2\",\"try 3\",\"try 4\",\"try 5\",\"best\","
                 "\"unit\"\r\n");
    for (size_t i = 0; i < n; i++) {
        pupil_rows(&s, &pupils[i]);
    }
    return OK;
}

enum err export_roster_csv(struct store *st, const struct export_ask *ask, struct buf *out)
{
    struct class_row cls;
    struct pupil_row *pupils = NULL;
    size_t n = 0;
    enum err e = class_get(st, out->ctx, ask->cls, ask->today, &cls);
    if (e == OK) {
        e = load_pupils(st, out->ctx, ask, &pupils, &n);
    }
    if (e != OK) {
        return e;
    }
    buf_str(out, "\"display name\",\"year group\",\"class\"\r\n");
    for (size_t i = 0; i < n; i++) {
        text(out, pupils[i].display_name);
        year(out, pupils[i].year_group);
        csv_cell(out, cls.name);
        buf_str(out, "\r\n");
    }
    return OK;
}
