/* SPDX-License-Identifier: MIT
 * The one thread that writes. It takes all jobs queued (at most 512), opens one BEGIN IMMEDIATE,
 * runs each in a savepoint (rolled back alone when its fn fails), commits once, then calls `done`
 * of each. If COMMIT itself fails every job of the group is done with ERR_STORE(_FULL). */
#pragma once

#include <stdbool.h>

#include "base/err.h"
#include "store/store.h"

struct writer;

extern const struct stmt_set writer_stmts;

struct writer_job {
    enum err (*fn)(struct store *st, void *arg);    /* on the writer thread, inside a savepoint */
    void (*done)(void *arg, enum err result);       /* on the writer thread, after COMMIT       */
    void (*group_done)(void *group_key);            /* once a group per distinct non-NULL
                                                       group_key: wake that loop. It comes after
                                                       every done(): the jobs may be gone      */
    void *arg;
    void *group_key;
    struct writer_job *next;                        /* the writer's own */
};

enum err writer_start(void *ctx, const char *dir, struct writer **out, const char **why) MUST_USE;
/* False when closing or over `limit` waiting jobs: then nothing was queued. */
bool writer_submit(struct writer *w, struct writer_job *job);
/* Whether what is sent can be stored, as far as is known: false from a COMMIT that failed until one
 * succeeds. While it is false each call, but at most one a second, has the writer try a small
 * commit of its own, so that a school at rest finds out too. Any thread. */
bool writer_can_store(struct writer *w);
/* Refuses further jobs, runs what is queued, commits, joins the thread, closes the store. */
void writer_stop(struct writer *w);
