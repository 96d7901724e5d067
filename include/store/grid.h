/* SPDX-License-Identifier: MIT
 * Who's done it: a class by its challenges. Not an attendance record.
 *
 * A cell's state, first that fits: to check (any hand-in waits for a look); on paper (all that
 * count came on paper); handed in (one that counts was in time); after the date; could not; not
 * yet. What was set aside, or asked for again, counts for nothing. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/err.h"
#include "base/ids.h"
#include "store/hand_ins.h"
#include "store/store.h"

enum grid_state {
    GRID_NOT_YET, GRID_COULD_NOT, GRID_ON_PAPER, GRID_AFTER_DATE, GRID_HANDED_IN, GRID_TO_CHECK,
    GRID_STATES
};
extern const char *const grid_state_word[GRID_STATES];  /* "not_yet", "could_not", ... */

/* Tries have come in: handed in, after the date, on paper or to check. */
bool grid_state_is_in(enum grid_state s);

struct grid_challenge {
    struct challenge_id id;
    int number;
    const char *name, *unit, *kind;
    int64_t opens_at, due_at, closes_at;
    bool cancelled;             /* is there for the tries that came; nobody is waited for */
    bool lower_is_better;
    struct version_id standard;
    size_t handed_in;           /* pupils whose tries have come in */
};

struct grid_pupil {
    struct pupil_id id;
    const char *display_name;
};

/* How one child stands with one challenge. The best is that of the standard version, else of the
 * version last used: results of two versions are never mixed. Fill with grid_cell_add, oldest
 * hand-in first. */
struct grid_cell {
    bool to_check, in_time, in_late, off_paper, could_not;
    bool has_best, best_is_standard;
    int64_t best;
    struct version_id best_version;
};

struct grid_entry {             /* one hand-in, as far as a cell needs it */
    enum hand_in_state state;
    bool after_date, paper, could_not, has_best;
    int64_t best;
    struct version_id version;
};

void grid_cell_add(struct grid_cell *cell, const struct grid_entry *e,
                   const struct grid_challenge *c);
enum grid_state grid_cell_state(const struct grid_cell *cell);
/* The cell of one child's hand-ins for one challenge (of `c`: standard, lower_is_better). */
struct grid_cell grid_cell_of(const struct hand_in *v, size_t n, const struct grid_challenge *c);
/* The same, for who needs the state alone. */
enum grid_state grid_state_of(const struct hand_in *v, size_t n);

struct grid_ask {
    struct class_id cls;
    int32_t today;
    bool all;                   /* the whole school year; else open, or due in the last six weeks */
};

struct grid {
    const char *class_name;
    struct grid_challenge *challenges;      /* by due time, then number */
    size_t challenge_count;
    struct grid_pupil *pupils;              /* by name */
    size_t pupil_count;
    struct grid_cell *cells;                /* [pupil * challenge_count + challenge] */
};

/* ERR_NOT_FOUND: no such class. All of it on ctx. */
enum err grid_load(struct store *st, void *ctx, const struct grid_ask *ask,
                   struct grid *out) MUST_USE;

extern const struct stmt_set grid_stmts;
