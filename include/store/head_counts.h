/* SPDX-License-Identifier: MIT
 * Exact counts of the whole school by year group, for the lead inside the school: who took part
 * from home, and statements seen by a teacher. No name, no result. */
#pragma once

#include <stddef.h>
#include <stdint.h>

#include "base/err.h"
#include "store/store.h"

enum { HEAD_NO_YEAR = -1 };     /* year group not said */

struct head_row {
    int64_t statement;          /* head_statements */
    const char *text;           /* head_statements */
    int year_group;             /* 0..7 or HEAD_NO_YEAR */
    int pupils;                 /* on the roll today */
    int yes;                    /* sent at least one hand-in that counts; statement: yes */
    int not_yet;                /* statement: not yet. The rest: nothing was said */
};

struct head_rows {
    struct head_row *v;         /* on ctx; by statement, then year group, none said first */
    size_t n;
};

extern const struct stmt_set head_counts_stmts;

/* Hand-ins done on the days from..to; "could not" and what is set aside are no returns. */
enum err head_returns(struct store *st, void *ctx, int32_t from, int32_t to,
                      struct head_rows *out) MUST_USE;
/* The last word on each swimming statement in use. */
enum err head_statements(struct store *st, void *ctx, struct head_rows *out) MUST_USE;
