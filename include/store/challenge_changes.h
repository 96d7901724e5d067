/* SPDX-License-Identifier: MIT
 * What was set can be mended: other dates for a class, cancelled for a class, and set again. Each
 * change is one class's; the other classes of the challenge go on as they were.
 *
 * Later dates simply apply. Cancelled, closed or due earlier, or opened later, the challenge keeps
 * for CHANGE_LATE_DAYS how it stood, because a child who was offline did what the page said then:
 * tries of a day up to the change are taken and judged by that. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/err.h"
#include "base/ids.h"
#include "store/store.h"

enum { CHANGE_LATE_DAYS = 35 };     /* as long as a device keeps tries that wait */

struct challenge_dates { int64_t opens_at, due_at, closes_at; };

struct challenge_change {
    struct challenge_id challenge;
    struct class_id cls;
    struct challenge_dates dates;       /* in order */
    bool cancelled;
    struct staff_id by;                 /* teaches the class on now's day, or leads PE */
    int64_t now;
};
/* Once cancelled, who did it first and when stay. ERR_NOT_FOUND: the challenge is not set to the
 * class, or the class is not theirs to change. */
enum err challenge_change(struct store *st, const struct challenge_change *n) MUST_USE;

/* A span in which tries are taken: how it stands, or how it stood until `until_at`. */
struct challenge_span {
    struct challenge_dates dates;
    int64_t until_at;                   /* 0: it stands */
};
struct challenge_spans {
    struct challenge_span *v;
    size_t n;
    bool mine;                          /* set to a class the pupil was in, be it cancelled */
};
struct challenge_spans_ask {
    struct pupil_id pupil;
    struct challenge_id challenge;
    int32_t done_day, today;            /* in the class on a day from one to the other */
};
enum err challenge_spans(void *ctx, struct store *st, const struct challenge_spans_ask *ask,
                         struct challenge_spans *out) MUST_USE;

/* Tries that are done on a day, and when they came. */
struct challenge_done {
    int32_t day;
    bool day_said;                      /* not worked out from when they came */
    int64_t received_at;
};
/* OK, ERR_NOT_OPEN or ERR_CLOSED. *late: after the date by every span that takes them. */
enum err challenge_takes(const struct challenge_spans *spans, const struct challenge_done *done,
                         bool *late) MUST_USE;

extern const struct stmt_set challenge_changes_stmts;
