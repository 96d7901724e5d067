/* SPDX-License-Identifier: MIT
 * Class lists into the school.
 *
 * Owns no table: it works through classes.h and pupils.h. Names of a class are loaded once and
 * looked up sorted, so that 2,000 rows cost 2,000 look-ups and not 2,000 walks over the class.
 * Pictures are dealt so that a class spreads over all of them. */
#include "store/roster.h"

#include <stdlib.h>
#include <string.h>

#include "base/clock.h"
#include "base/mem.h"
#include "base/text.h"
#include "store/classes.h"
#include "store/pupils.h"

/* A class that rows go to, with the folded names it has. */
struct target {
    const char *key;            /* folded class name */
    const char **names;
    size_t name_count;
    bool group;
};

struct judging {
    struct store *st;
    void *ctx, *tmp;
    const struct roster_plan *plan;
    struct roster_result *out;
    struct target *targets;     /* beside out->classes */
    size_t target_cap, class_cap;
    int32_t today;
};

static int by_text(const void *a, const void *b)
{
    return strcmp(*(const char *const *)a, *(const char *const *)b);
}

static enum err load_names(struct judging *j, struct class_id id, struct target *t)
{
    const struct pupils_query want = {.in = id, .day = j->today, .now = j->plan->now};
    struct pupil_row *rows;
    size_t n;
    enum err e = pupils_of_class(j->st, j->tmp, &want, &rows, &n);
    if (e != OK) {
        return e;
    }
    t->names = mem_array(j->tmp, const char *, n);
    for (size_t i = 0; i < n; i++) {
        char *key = text_fold(j->tmp, rows[i].display_name);
        t->names[i] = key ? key : "";
    }
    t->name_count = n;
    qsort(t->names, n, sizeof *t->names, by_text);
    return OK;
}

static bool has_name(const struct target *t, const char *key)
{
    return t->name_count > 0 && bsearch(&key, t->names, t->name_count, sizeof key, by_text) != NULL;
}

/* Adds a class to the result; .v 0 in *id for one that is to be made. */
static enum err target_add(struct judging *j, struct class_id id, const char *name, bool group)
{
    struct roster_result *out = j->out;
    size_t n = out->class_count, m = n;
    mem_grow(j->ctx, out->classes, n, &j->class_cap);
    mem_grow(j->tmp, j->targets, m, &j->target_cap);
    out->classes[n] = (struct roster_class){.id = id, .name = name};
    const char *key = text_fold(j->tmp, name);
    j->targets[n] = (struct target){.key = key ? key : "", .group = group};
    out->class_count++;
    return id.v && !group ? load_names(j, id, &j->targets[n]) : OK;
}

/* The class a row names; made part of the result when it is new. */
static enum err target_of(struct judging *j, const char *class_name, size_t *index)
{
    const char *key = text_fold(j->tmp, class_name);
    for (size_t i = 0; i < j->out->class_count; i++) {
        if (strcmp(j->targets[i].key, key ? key : "") == 0) {
            *index = i;
            return OK;
        }
    }
    struct class_id id = {0};
    struct class_row row = {.name = class_name};
    enum err e = class_find(j->st, class_name, &id);
    if (e == OK) {
        e = class_get(j->st, j->ctx, id, j->today, &row);
    } else if (e == ERR_NOT_FOUND) {
        e = OK;
    }
    *index = j->out->class_count;
    return e == OK ? target_add(j, id, row.name, row.group) : e;
}

static void refuse(struct roster_row *row, const char *code, const char *pointer)
{
    row->refused = code;
    row->pointer = pointer;
}

static enum err judge_row(struct judging *j, struct roster_row *row)
{
    size_t at = 0;
    enum err e = OK;
    if (row->class_name && j->plan->into.v) {
        const char *key = text_fold(j->tmp, row->class_name);
        if (!key || strcmp(key, j->targets[0].key) != 0) {
            refuse(row, "other_class", "/class");
            return OK;
        }
    } else if (!j->plan->into.v && !row->class_name) {
        refuse(row, "class_required", "/class");
        return OK;
    } else if (!j->plan->into.v) {
        e = target_of(j, row->class_name, &at);
    }
    if (e != OK) {
        return e;
    }
    const char *key = text_fold(j->tmp, row->name);
    if (j->targets[at].group) {
        refuse(row, "group", "/class");
    } else if (has_name(&j->targets[at], key ? key : "")) {
        refuse(row, "duplicate", "/display_name");
    }
    return OK;
}

static enum err judge_into(struct judging *j)
{
    struct class_row row;
    enum err e = class_get(j->st, j->ctx, j->plan->into, j->today, &row);
    if (e == OK && (row.group || row.archived)) {
        e = ERR_CONFLICT;
    }
    return e == OK ? target_add(j, row.id, row.name, row.group) : e;
}

enum err roster_judge(struct store *st, void *ctx, const struct roster_plan *plan,
                      struct roster *list, struct roster_result *out)
{
    struct judging j = {.st = st, .ctx = ctx, .tmp = mem_root(), .plan = plan, .out = out,
                        .today = clock_day(plan->now)};
    *out = (struct roster_result){0};
    enum err e = plan->into.v ? judge_into(&j) : OK;
    for (size_t i = 0; e == OK && i < list->row_count; i++) {
        struct roster_row *row = &list->rows[i];
        if (!row->refused) {
            e = judge_row(&j, row);
        }
        out->refused += row->refused != NULL;
    }
    talloc_free(j.tmp);
    return e;
}

/* Storing -------------------------------------------------------------------------------------- */

static enum err make_class(struct store *st, const struct roster_plan *plan, struct roster_class *c)
{
    enum err e = class_make(st, c->name, false, plan->now, &c->id);
    c->made = e == OK;
    if (e == OK && plan->teacher.v) {
        e = class_right_put(st, c->id, plan->teacher, CLASS_TEACH, NULL);
    }
    return e;
}

/* Is this row of that class? Rows without a class column belong to the one there is. */
static bool row_in(void *tmp, const struct roster_row *row, const char *key)
{
    if (row->refused || !row->class_name) {
        return !row->refused;
    }
    const char *own = text_fold(tmp, row->class_name);
    return own && strcmp(own, key) == 0;
}

static enum err store_class(struct store *st, const struct roster_plan *plan,
                            const struct roster *list, struct roster_class *c)
{
    void *tmp = mem_root();
    const char *key = text_fold(tmp, c->name);
    int32_t today = clock_day(plan->now);
    struct pupil_pictures pictures = {{0}};
    enum err e = OK;
    for (size_t i = 0; e == OK && i < list->row_count; i++) {
        const struct roster_row *row = &list->rows[i];
        if (!row_in(tmp, row, key ? key : "")) {
            continue;
        }
        if (c->id.v == 0) {         /* made only when a row goes into it */
            e = make_class(st, plan, c);
        }
        if (e == OK && c->added == 0) {
            e = pupil_pictures(st, c->id, today, &pictures);
        }
        struct pupil_id id;
        const struct pupil_new p = {.display_name = row->name, .year_group = row->year_group,
                                    .in = c->id, .from_day = today, .now = plan->now};
        if (e == OK) {
            e = pupil_add(st, &p, pupil_picture_next(&pictures), &id);
        }
        c->added += e == OK;
    }
    talloc_free(tmp);
    return e;
}

enum err roster_store(struct store *st, const struct roster_plan *plan, const struct roster *list,
                      struct roster_result *out)
{
    enum err e = OK;
    for (size_t i = 0; e == OK && i < out->class_count; i++) {
        e = store_class(st, plan, list, &out->classes[i]);
    }
    return e;
}
