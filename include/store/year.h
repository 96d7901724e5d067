/* SPDX-License-Identifier: MIT
 * The school year's end: children go up a year group, classes get their next name or the archive,
 * those at the top leave. First a plan that stores nothing, then the same plan done as a whole.
 *
 *   year_load   what there is, with a proposal for every part
 *   year_part_put, and the open members of a class: what the office wants instead
 *   year_judge  counts, and what stands in the way
 *   year_do     stores it; only a plan without problems
 *
 * A part is the children of one year group in one class: so a mixed-age class is moved year group
 * by year group. Teaching groups keep their name and their children, but for leavers. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/buf.h"
#include "base/err.h"
#include "base/ids.h"
#include "store/pupils.h"
#include "store/store.h"

enum { YEAR_HIGHEST = 7, YEAR_PARTS = 9 };      /* not said, Reception, 1..7 */

enum year_to {
    YEAR_ASK,                       /* not decided: the plan has a problem */
    YEAR_STAY,                      /* in the class, whatever it is called then */
    YEAR_LEAVE,                     /* the school */
    YEAR_GO,                        /* into another class */
};

struct year_part {
    int year;                       /* 0..7, PUPIL_NO_YEAR */
    struct pupil_row *children;     /* by name */
    size_t n;
    enum year_to to;
    size_t into;                    /* YEAR_GO: index of the class */
};

struct year_class {
    struct class_id id;
    const char *name;
    const char *next_name;          /* what it is called afterwards; may be the same */
    bool archive;
    struct year_part parts[YEAR_PARTS];     /* youngest first, "not said" last */
    size_t part_count;
    size_t after;                   /* children in it afterwards (year_judge) */
};

struct year_problem {
    size_t in;                      /* index of the class */
    const struct year_part *part;   /* NULL: the class itself */
    const char *code;   /* "choose", "duplicate", "taken", "not_empty", "out_of_range" */
    const char **names;             /* display names it is about, or none */
    size_t n;
};

struct year_plan {
    int top;                        /* this year group and above leave */
    int32_t today;                  /* first day in the new class, first day away */
    struct year_class *classes;     /* of kind class, not archived, by name */
    size_t n;
    const char **groups;            /* names of teaching groups: taken */
    size_t group_count;
    struct pupil_row *alone;        /* children in no class: nothing is done to them */
    size_t alone_count;
    struct year_problem *problems;
    size_t problem_count, problem_cap;
    /* children: a year group up, of these into another class; away; year group not said */
    size_t up, go, leave, unsaid;
};

extern const struct stmt_set year_stmts;

/* Everything on ctx. */
enum err year_load(struct store *st, void *ctx, int top, int64_t now, struct year_plan *out)
    MUST_USE;
/* Index of a class in the plan, or plan->n. */
size_t year_class_at(const struct year_plan *p, int64_t class_id);
/* The part of that year group, or NULL. */
struct year_part *year_part_of(struct year_class *c, int year);
/* Fills counts, `after` and problems. */
void year_judge(void *ctx, struct year_plan *p);
/* Everything that year_do would do, as bytes: same plan, same bytes. */
void year_print(const struct year_plan *p, struct buf *out);
/* In a transaction. ERR_CONFLICT when the plan has problems. */
enum err year_do(struct store *st, const struct year_plan *p, int64_t now) MUST_USE;
