/* SPDX-License-Identifier: MIT
 * A class list that was read (base/roster_csv.h) against what the school has, and into it. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/err.h"
#include "base/ids.h"
#include "base/roster_csv.h"
#include "store/store.h"

struct roster_plan {
    struct class_id into;       /* all rows go here; .v 0: each row's own class column says */
    struct staff_id teacher;    /* gets `teach` on classes made on the way; .v 0: nobody */
    int64_t now;
};

struct roster_class {           /* what an import did to a class */
    struct class_id id;         /* .v 0: would be made */
    const char *name;
    bool made;
    size_t added;
};

struct roster_result {
    struct roster_class *classes;   /* by first row that names them */
    size_t class_count;
    size_t refused;             /* rows, whoever refused them */
};

/* Marks further rows refused: "duplicate" (a name that is in the class), "other_class" (a row of
 * another class than `into`), "class_required" (no class said and no `into`), "group" (the class
 * it names is a teaching group). Reads only. ERR_CONFLICT: `into` is a group or archived. */
enum err roster_judge(struct store *st, void *ctx, const struct roster_plan *plan,
                      struct roster *list, struct roster_result *out) MUST_USE;

/* Stores every row that is not refused, after roster_judge in the same transaction; makes classes
 * as named. Fills .id, .made and .added. */
enum err roster_store(struct store *st, const struct roster_plan *plan, const struct roster *list,
                      struct roster_result *out) MUST_USE;
