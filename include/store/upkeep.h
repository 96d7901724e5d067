/* SPDX-License-Identifier: MIT
 * What is done for the data, and what it has to go by: days on which the school was used, whether
 * the clock may be believed, when purge and backup last ran. */
#pragma once

#include <stdbool.h>
#include <stdint.h>

#include "base/err.h"
#include "store/store.h"

enum {
    UPKEEP_CLOCK_BACK_S = 3600,     /* earlier than something stored by more than that: behind */
    UPKEEP_DRIFT_S = 600,           /* clock and running time may differ since a confirmation */
    UPKEEP_USE_PACE_MS = 12 * 3600 * 1000,  /* running time between two days of use */
};

/* The moment, and what is known of it. upkeep_now() reads all but `confirmed` from the machine;
 * tests fill it by hand, and nothing else decides what is believed. */
struct upkeep_now {
    int64_t at;
    int64_t boot_ms;            /* clock_mono_ms() */
    bool synchronised;          /* clock_synchronised() */
    bool confirmed;             /* somebody on the box has said that today's date is right */
};
struct upkeep_now upkeep_now(void);

/* In a writing transaction, whenever somebody signs in or sends tries. Of a running server no two
 * days count within twelve hours of the machine's running time, so a clock that jumps makes one
 * day of use, not five. */
enum err upkeep_used(struct store *st, int64_t now) MUST_USE;
/* The latest `n`th day of use up to `today` (n from 1); *found false: fewer. */
enum err upkeep_use_nth(struct store *st, int32_t today, int n, int32_t *out, bool *found) MUST_USE;
/* Days of use after `since`, up to `today`. */
enum err upkeep_use_since(struct store *st, int32_t since, int32_t today, int *out) MUST_USE;
/* Forgets those that no plan needs: up to `upto`, and those after `today`, which a wrong clock
 * wrote. */
enum err upkeep_use_trim(struct store *st, int32_t upto, int32_t today) MUST_USE;

enum upkeep_clock {
    UPKEEP_CLOCK_SYNCHRONISED,  /* by the kernel or by the service that sets it */
    UPKEEP_CLOCK_CONFIRMED,     /* by the office yesterday or today, or the clock has run evenly
                                   with the machine since; or on the box for this run */
    UPKEEP_CLOCK_UNSURE,        /* nobody says that it is right */
    UPKEEP_CLOCK_BEHIND,        /* something is stored with a later time */
};
static inline bool upkeep_believed(enum upkeep_clock c)
{
    return c == UPKEEP_CLOCK_SYNCHRONISED || c == UPKEEP_CLOCK_CONFIRMED;
}

struct upkeep {
    bool purged, backed_up;     /* ever */
    int32_t purged_day, backup_day;
    enum upkeep_clock clock;
};
enum err upkeep_get(struct store *st, const struct upkeep_now *now, struct upkeep *out) MUST_USE;

/* In a transaction. The office says that the clock shows the right date. */
enum err upkeep_confirm(struct store *st, const struct upkeep_now *now) MUST_USE;
/* What was confirmed on another machine, or before a restore, says nothing here. */
enum err upkeep_unconfirm(struct store *st) MUST_USE;
enum err upkeep_purged(struct store *st, int32_t day) MUST_USE;
enum err upkeep_backed_up(struct store *st, int32_t day) MUST_USE;

extern const struct stmt_set upkeep_stmts;
