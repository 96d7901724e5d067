/* SPDX-License-Identifier: MIT
 * "To check": hand-ins that count for nothing until somebody has looked at them, because the child
 * says that they are a mistake or because they surprise. One definition for every number and list.
 */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/err.h"
#include "base/ids.h"
#include "store/store.h"

struct waiting_row {
    struct class_id class_id;       /* of several: a class before a group, then by name */
    const char *class_name;
    struct pupil_id pupil;
    const char *pupil_name;
    int64_t seq;                    /* of the hand-in */
    bool mistake;                   /* the child says so; else it surprises */
};

struct waiting_ask {
    struct staff_id staff;          /* the classes this person teaches */
    bool all;                       /* every class: the PE lead */
    int32_t today;
};

extern const struct stmt_set waiting_stmts;

/* Each hand-in once, by class, name and arrival. */
enum err waiting_list(struct store *st, void *ctx, const struct waiting_ask *ask,
                      struct waiting_row **out, size_t *n) MUST_USE;
/* How many rows waiting_list gives. */
enum err waiting_count(struct store *st, const struct waiting_ask *ask, int64_t *out) MUST_USE;
/* Of one class, whoever teaches it. */
enum err waiting_in_class(struct store *st, struct class_id id, int32_t today,
                          int64_t *out) MUST_USE;
