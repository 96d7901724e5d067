/* SPDX-License-Identifier: MIT
 * Statements: what a teacher ticks from seeing it (swimming, end of key stage, dance), yes or not
 * yet, when and by whom; never set for home. Ticks are only ever added; the last one of (pupil,
 * statement) holds, and one that takes back leaves the statement as if nothing had been said. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/err.h"
#include "base/ids.h"
#include "store/store.h"

enum { STATEMENTS_MOST = 40, STATEMENT_TEXT = 200 };    /* in use at once; code points */

/* swimming end_of_key_stage dance other; NULL-ended. A struct statement holds one of these. */
extern const char *const statement_area_words[];

struct statement {
    int64_t id;
    const char *area;
    const char *text;
    bool archived;
};

struct statement_list {
    struct statement *v;            /* on ctx; by area, then position */
    size_t n;
};

enum err statements_list(struct store *st, void *ctx, bool archived_too,
                         struct statement_list *out) MUST_USE;
enum err statement_get(struct store *st, void *ctx, int64_t id, struct statement *out) MUST_USE;
/* Behind the others of its area. ERR_CONFLICT: there are STATEMENTS_MOST in use. */
enum err statement_add(struct store *st, const char *area, const char *text,
                       int64_t *id) MUST_USE;
/* A child was ticked against these words: they cannot become others. */
enum err statement_is_ticked(struct store *st, int64_t id, bool *out) MUST_USE;
/* New words. ERR_CONFLICT: it is ticked, as above. */
enum err statement_reword(struct store *st, int64_t id, const char *text) MUST_USE;
/* `at` 0 brings it back. ERR_CONFLICT: there are STATEMENTS_MOST in use. */
enum err statement_archive(struct store *st, int64_t id, int64_t at) MUST_USE;

struct statement_tick {
    struct pupil_id pupil;
    int64_t statement;
    const char *text;               /* readers of one pupil */
    bool met;                       /* false: not yet */
    bool taken_back;                /* nothing that was said before holds, nor `met` */
    int32_t on_day;
    struct staff_id by;
    const char *by_name;            /* readers */
};

struct statement_tick_list {
    struct statement_tick *v;       /* on ctx */
    size_t n;
};

/* ERR_NOT_FOUND: no such statement, or it is archived (taking back is still possible then). */
enum err statement_tick_add(struct store *st, const struct statement_tick *t) MUST_USE;
/* Those that hold of statements in use, of the pupils in the class on the day; by pupil id. */
enum err statement_ticks_of_class(struct store *st, void *ctx, struct class_id cls, int32_t today,
                                  struct statement_tick_list *out) MUST_USE;
/* Those that hold, archived statements too, by day. */
enum err statement_ticks_of_pupil(struct store *st, void *ctx, struct pupil_id p,
                                  struct statement_tick_list *out) MUST_USE;
/* Every row that is held of the pupil, also what no longer holds and what takes back, in the order
 * in which it was said: for the copy of a child's data. */
enum err statement_ticks_ever_of_pupil(struct store *st, void *ctx, struct pupil_id p,
                                       struct statement_tick_list *out) MUST_USE;

extern const struct stmt_set statements_stmts;
