/* SPDX-License-Identifier: MIT
 * What a served school has done for it once a night: the purge. */
#pragma once

#include <stdatomic.h>
#include <stdbool.h>
#include <stdint.h>

#include "auth/keys.h"
#include "base/err.h"
#include "store/purge_plan.h"
#include "store/store.h"
#include "store/writer.h"

/* A purge with its audit row, for store_tx and the writer: `arg` is a struct night_purge. */
struct night_purge {
    const struct keys *keys;
    bool by_hand;                   /* then the row is left also when nothing went */
    struct upkeep_now now;
    struct purge_report report;
};
enum err night_purge(struct store *st, void *arg) MUST_USE;

/* The night's work of a server; the caller's to place, zeroed, and to keep until the writer has
 * stopped. Used by one thread, the one that waits for signals. */
struct night {
    const char *dir;                /* the data folder; outlives this */
    const struct keys *keys;
    struct writer *writer;
    int64_t began_at, began_ms;     /* set at the first call */
    int32_t tried_day;
    _Atomic int state;              /* night.c */
    enum err result;                /* the writer's, once it is done */
    bool planned;                   /* the day's plan was there: nothing was done */
    struct night_purge purge;
    struct writer_job job;
};
/* Does what is due: once a day after three at night by the school's clock, or, where the machine
 * was off then, a quarter of an hour after the server's start. Rows go on the writer's thread, for
 * which it never waits. The answer is how many seconds to wait until the next call. */
int night_look(struct night *n);
