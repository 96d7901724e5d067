/* SPDX-License-Identifier: MIT
 * The version with which a chosen child starts in one challenge: it is offered first, and stands
 * for a hand-in that names none. Every version stays open to every child. No reason is kept; the
 * row goes when the challenge is over (store/purge.h). */
#pragma once

#include <stddef.h>
#include <stdint.h>

#include "base/err.h"
#include "base/ids.h"
#include "store/activities.h"

struct starting_version {
    struct pupil_id pupil;
    struct challenge_id challenge;
    int challenge_number;           /* readers */
    enum version_kind kind;         /* VERSION_STANDARD: none, as for everybody */
};

struct starting_version_list {
    struct starting_version *v;     /* on ctx */
    size_t n;
};

extern const struct stmt_set starting_versions_stmts;

/* Standard takes back what was there. */
enum err starting_version_set(struct store *st, const struct starting_version *s) MUST_USE;
/* VERSION_STANDARD without a row. */
enum err starting_version_get(struct store *st, struct pupil_id p, struct challenge_id c,
                              enum version_kind *out) MUST_USE;
/* By pupil id; only rows that are there. */
enum err starting_versions_of_challenge(struct store *st, void *ctx, struct challenge_id c,
                                        struct starting_version_list *out) MUST_USE;
/* By challenge number. */
enum err starting_versions_of_pupil(struct store *st, void *ctx, struct pupil_id p,
                                    struct starting_version_list *out) MUST_USE;
/* The kind among those of `list`. */
enum version_kind starting_version_in(const struct starting_version_list *list,
                                      struct pupil_id p);
