/* SPDX-License-Identifier: MIT
 * What the end of the school year would do: read, proposed, judged. Stores nothing.
 *
 * Schools do it in one of two ways, and the proposal tells them apart by the name. A class that is
 * called after its year group ("3 Alder") stays together and gets the next name; where classes
 * are called otherwise ("Beech"), the children of a year group go on to the class that has the
 * year group above, if there is just one. Whatever cannot be told is left to the office. */
#include "store/year.h"

#include <stdlib.h>
#include <string.h>

#include "base/clock.h"
#include "base/mem.h"
#include "base/name.h"
#include "base/text.h"
#include "store/classes.h"
#include "year_internal.h"

static const char *key_of(void *ctx, const char *name)
{
    const char *key = text_fold(ctx, name);
    return key ? key : "";
}

/* Reading -------------------------------------------------------------------------------------- */

struct pupils_of {
    const struct pupil_row *rows;
    size_t n;
};

static void part_add(void *ctx, struct year_class *c, int year, const struct pupils_of *all)
{
    struct year_part *part = &c->parts[c->part_count];
    *part = (struct year_part){.year = year, .to = YEAR_ASK,
                               .children = mem_array(ctx, struct pupil_row, all->n)};
    for (size_t i = 0; i < all->n; i++) {
        if (all->rows[i].year_group == year) {
            part->children[part->n++] = all->rows[i];
        }
    }
    c->part_count += part->n > 0;
}

static enum err class_load(struct store *st, void *ctx, const struct year_plan *p,
                           struct year_class *c)
{
    const struct pupils_query want = {.in = c->id, .day = p->today,
                                      .now = clock_day_start(p->today)};
    struct pupil_row *rows;
    struct pupils_of all;
    enum err e = pupils_of_class(st, ctx, &want, &rows, &all.n);
    all.rows = rows;
    for (int year = 0; e == OK && year <= YEAR_HIGHEST; year++) {
        part_add(ctx, c, year, &all);
    }
    if (e == OK) {
        part_add(ctx, c, PUPIL_NO_YEAR, &all);
    }
    return e;
}

/* Proposing ------------------------------------------------------------------------------------ */

static bool has_year(const struct year_class *c, int year)
{
    for (size_t i = 0; i < c->part_count; i++) {
        if (c->parts[i].year == year) {
            return true;
        }
    }
    return false;
}

/* The year group of a class of one, else PUPIL_NO_YEAR. */
static int only_year(const struct year_class *c)
{
    return c->part_count > 0 && (c->part_count == 1 || c->parts[1].year == PUPIL_NO_YEAR)
               ? c->parts[0].year
               : PUPIL_NO_YEAR;
}

static bool is_renamed(const struct year_class *c)
{
    return c->next_name != c->name;
}

/* The one class that the children of year group `year` of `from` could go on to; p->n: none, or
 * more than one. */
static size_t next_class(const struct year_plan *p, size_t from, int year)
{
    size_t found = p->n;
    for (size_t i = 0; i < p->n; i++) {
        if (i != from && !is_renamed(&p->classes[i]) && has_year(&p->classes[i], year + 1)) {
            if (found != p->n) {
                return p->n;
            }
            found = i;
        }
    }
    return found;
}

static void propose_part(const struct year_plan *p, size_t at, struct year_part *part)
{
    const struct year_class *c = &p->classes[at];
    bool alone = only_year(c) == part->year;
    if (part->year >= p->top) {
        part->to = YEAR_LEAVE;
    } else if (part->year == PUPIL_NO_YEAR || is_renamed(c) || has_year(c, part->year + 1)) {
        part->to = YEAR_STAY;
    } else {
        part->into = next_class(p, at, part->year);
        part->to = part->into < p->n ? YEAR_GO : alone ? YEAR_STAY : YEAR_ASK;
    }
}

static void propose(void *ctx, struct year_plan *p)
{
    for (size_t i = 0; i < p->n; i++) {
        struct year_class *c = &p->classes[i];
        int year = only_year(c);
        const char *up = year == PUPIL_NO_YEAR || year >= p->top
                             ? NULL
                             : name_year_up(ctx, c->name, year);
        c->next_name = up ? up : c->name;
    }
    for (size_t i = 0; i < p->n; i++) {
        for (size_t j = 0; j < p->classes[i].part_count; j++) {
            propose_part(p, i, &p->classes[i].parts[j]);
        }
    }
    year_judge(ctx, p);
    for (size_t i = 0; i < p->n; i++) {     /* left behind empty by leavers alone */
        struct year_class *c = &p->classes[i];
        bool all_leave = c->part_count > 0;
        for (size_t j = 0; j < c->part_count; j++) {
            all_leave = all_leave && c->parts[j].to == YEAR_LEAVE;
        }
        c->archive = all_leave && c->after == 0;
    }
}

/* Judging -------------------------------------------------------------------------------------- */

size_t year_class_at(const struct year_plan *p, int64_t class_id)
{
    size_t i = 0;
    while (i < p->n && p->classes[i].id.v != class_id) {
        i++;
    }
    return i;
}

struct year_part *year_part_of(struct year_class *c, int year)
{
    for (size_t i = 0; i < c->part_count; i++) {
        if (c->parts[i].year == year) {
            return &c->parts[i];
        }
    }
    return NULL;
}

static struct year_problem *complain(void *ctx, struct year_plan *p, size_t in, const char *code)
{
    mem_grow(ctx, p->problems, p->problem_count, &p->problem_cap);
    struct year_problem *b = &p->problems[p->problem_count++];
    *b = (struct year_problem){.in = in, .code = code};
    return b;
}

static void count_part(void *ctx, struct year_plan *p, size_t at, const struct year_part *part)
{
    bool stays = part->to != YEAR_LEAVE;
    if (part->to == YEAR_ASK) {
        complain(ctx, p, at, "choose")->part = part;
    }
    if (stays && part->year >= YEAR_HIGHEST) {
        complain(ctx, p, at, "out_of_range")->part = part;
    }
    p->leave += stays ? 0 : part->n;
    p->go += part->to == YEAR_GO ? part->n : 0;
    p->unsaid += stays && part->year == PUPIL_NO_YEAR ? part->n : 0;
    p->up += stays && part->year != PUPIL_NO_YEAR ? part->n : 0;
    if (part->to == YEAR_GO) {
        p->classes[part->into].after += part->n;
    } else if (stays) {
        p->classes[at].after += part->n;
    }
}

struct named {
    const char *key, *name;
};

static int by_key(const void *a, const void *b)
{
    return strcmp(((const struct named *)a)->key, ((const struct named *)b)->key);
}

/* Two of a name in one class afterwards. */
static void judge_names(void *ctx, struct year_plan *p, size_t at)
{
    struct named *all = mem_array(ctx, struct named, p->classes[at].after);
    const char **twice = mem_array(ctx, const char *, p->classes[at].after);
    size_t n = 0, found = 0;
    for (size_t i = 0; i < p->n; i++) {
        for (size_t j = 0; j < p->classes[i].part_count; j++) {
            const struct year_part *part = &p->classes[i].parts[j];
            bool in = part->to == YEAR_GO ? part->into == at : part->to != YEAR_LEAVE && i == at;
            for (size_t k = 0; in && k < part->n; k++) {
                const char *name = part->children[k].display_name;
                all[n++] = (struct named){key_of(ctx, name), name};
            }
        }
    }
    qsort(all, n, sizeof *all, by_key);
    for (size_t i = 1; i < n; i++) {
        if (by_key(&all[i - 1], &all[i]) == 0 && (i < 2 || by_key(&all[i - 2], &all[i]) != 0)) {
            twice[found++] = all[i].name;
        }
    }
    if (found > 0) {
        struct year_problem *b = complain(ctx, p, at, "duplicate");
        b->names = twice;
        b->n = found;
    }
}

static bool is_taken(void *ctx, const struct year_plan *p, size_t at)
{
    const char *key = key_of(ctx, p->classes[at].next_name);
    for (size_t i = 0; i < p->n; i++) {
        const struct year_class *c = &p->classes[i];
        if (i != at && !c->archive && strcmp(key_of(ctx, c->next_name), key) == 0) {
            return true;
        }
    }
    for (size_t i = 0; i < p->group_count; i++) {
        if (strcmp(key_of(ctx, p->groups[i]), key) == 0) {
            return true;
        }
    }
    return false;
}

void year_judge(void *ctx, struct year_plan *p)
{
    p->up = p->go = p->leave = p->unsaid = p->problem_count = 0;
    for (size_t i = 0; i < p->n; i++) {
        p->classes[i].after = 0;
    }
    for (size_t i = 0; i < p->n; i++) {
        for (size_t j = 0; j < p->classes[i].part_count; j++) {
            count_part(ctx, p, i, &p->classes[i].parts[j]);
        }
    }
    for (size_t i = 0; i < p->n; i++) {
        const struct year_class *c = &p->classes[i];
        if (c->archive && c->after > 0) {
            complain(ctx, p, i, "not_empty");
        }
        if (!c->archive && is_taken(ctx, p, i)) {
            complain(ctx, p, i, "taken");
        }
        judge_names(ctx, p, i);
    }
}

void year_print(const struct year_plan *p, struct buf *out)
{
    buf_printf(out, "top %d day %d\n", p->top, (int)p->today);
    for (size_t i = 0; i < p->n; i++) {
        const struct year_class *c = &p->classes[i];
        buf_printf(out, "class %lld %d %s\n", (long long)c->id.v, c->archive, c->next_name);
        for (size_t j = 0; j < c->part_count; j++) {
            const struct year_part *part = &c->parts[j];
            buf_printf(out, "year %d to %d %lld:", part->year, (int)part->to,
                       part->to == YEAR_GO ? (long long)p->classes[part->into].id.v : 0LL);
            for (size_t k = 0; k < part->n; k++) {
                buf_printf(out, " %lld", (long long)part->children[k].id.v);
            }
            buf_str(out, "\n");
        }
    }
}

/* For year_do.c, whose year_load() this is a part of. */
enum err year_plan_classes(struct store *st, void *ctx, struct year_plan *p)
{
    const struct class_query want = {.all = true, .today = p->today};
    struct class_row *rows;
    size_t n;
    enum err e = classes_list(st, ctx, &want, &rows, &n);
    p->classes = mem_array(ctx, struct year_class, n);
    p->groups = mem_array(ctx, const char *, n);
    for (size_t i = 0; e == OK && i < n; i++) {
        if (rows[i].group) {
            p->groups[p->group_count++] = rows[i].name;
            continue;
        }
        struct year_class *c = &p->classes[p->n++];
        *c = (struct year_class){.id = rows[i].id, .name = rows[i].name};
        e = class_load(st, ctx, p, c);
    }
    if (e == OK) {
        propose(ctx, p);
    }
    return e;
}
