/* SPDX-License-Identifier: MIT
 * Exports as CSV (RFC 4180, UTF-8), for the server and the command line. Text cells are disarmed
 * (csv_cell): a name that looks like a formula stays text. */
#pragma once

#include <stdint.h>

#include "base/buf.h"
#include "base/err.h"
#include "base/ids.h"
#include "store/store.h"

struct export_ask {
    struct class_id cls;
    int32_t today;              /* pupils in the class on this day */
    int64_t now;
};

/* Every pupil's hand-ins for the class's challenges of this school year, by pupil, then due time; a
 * row with state not_yet where there is none. Values in everyday units. */
enum err export_results_csv(struct store *st, const struct export_ask *ask,
                            struct buf *out) MUST_USE;
/* Display name, year group, class. */
enum err export_roster_csv(struct store *st, const struct export_ask *ask,
                           struct buf *out) MUST_USE;
