/* SPDX-License-Identifier: MIT
 * Who made an activity. Its band boundaries, what they judge and whether it is archived are theirs
 * and the PE lead's: a colleague's change would judge other people's classes. Everything else of it
 * is the school's. */
#pragma once

#include <stdbool.h>

#include "base/err.h"
#include "base/ids.h"
#include "store/activities.h"
#include "store/store.h"

struct activity_maker {
    struct staff_id id;                 /* 0: the command line; nobody but the PE lead then */
    const char *name;                   /* NULL with that */
};
/* ERR_NOT_FOUND when there is no such activity. The name on ctx. */
enum err activity_maker(void *ctx, struct store *st, struct activity_id id,
                        struct activity_maker *out) MUST_USE;

/* The same band lines and own targets at the same versions, of scores that are made the same way:
 * `b` would judge no child otherwise than `a`. */
bool activity_judges_as(const struct activity *a, const struct activity *b);

extern const struct stmt_set activity_maker_stmts;
