/* SPDX-License-Identifier: MIT
 * The stored plans of the purge, and what they let go today. */
#pragma once

#include <stdbool.h>
#include <stdint.h>

#include "base/err.h"
#include "store/purge.h"
#include "store/store.h"
#include "store/upkeep.h"

enum { PURGE_USE_DAYS = 5 };        /* days of use after a plan before what it listed may go */

struct purge_plan {
    bool any;
    int32_t day;                    /* made on */
    int64_t listed;                 /* rows that stood listed then; messages are not counted, as
                                       not everybody who sees this figure may know of them */
    bool has_before;
    int64_t before;                 /* the same of the plan before it */
};

struct purge_state {
    struct upkeep upkeep;
    struct purge_plan plan;         /* the newest */
    struct purge_plan waits;        /* the newest that lists more than twice what the one before it
                                       did, and that the office has not accepted */
    bool next;                      /* something is listed that waits for days alone: */
    int32_t next_day;               /* the plan that listed the oldest of it */
    int next_use;                   /* days of use since, up to PURGE_USE_DAYS */
    struct purge_may may;           /* what may go: nothing while the clock cannot be believed */
};
enum err purge_look(struct store *st, const struct upkeep_now *now, struct purge_state *out)
    MUST_USE;

struct purge_report {
    struct purge_state state;       /* as it was found */
    struct purge_done done;
};
/* In a transaction, the whole of a purge: deletes what may go and makes the plan of the day, if
 * there is none yet. A clock that is behind does neither; one that is unsure makes the plan. */
enum err purge_run(struct store *st, const struct upkeep_now *now, struct purge_report *out)
    MUST_USE;
/* Is there a plan of that day? */
enum err purge_planned(struct store *st, int32_t day, bool *out) MUST_USE;
/* In a transaction. The office has seen the plan of `day` and lets it, and those before it, go on.
 * ERR_NOT_FOUND when it is not the newest that waits. */
enum err purge_accept(struct store *st, int32_t today, int32_t day) MUST_USE;

extern const struct stmt_set purge_plan_stmts;
