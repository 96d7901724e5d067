/* SPDX-License-Identifier: MIT
 * Rows of the audit trail; their MACs are made in auth/audit.c. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/err.h"
#include "store/store.h"

extern const struct stmt_set audit_stmts;

struct audit_row {
    int64_t seq, at;
    const char *actor, *action, *object, *code;
    uint8_t mac[32];
};

/* The last row's seq and mac; seq 0 and a zero mac when there is none. */
enum err audit_last(struct store *st, int64_t *seq, uint8_t mac[static 32]) MUST_USE;
enum err audit_insert(struct store *st, const struct audit_row *row) MUST_USE;
/* Calls `each` for every row in order of seq, until it returns false. */
typedef bool audit_each(void *arg, const struct audit_row *row);
enum err audit_walk(struct store *st, audit_each *each, void *arg) MUST_USE;
/* Up to `max` rows with seq < before (0: from the end), newest first, on ctx. */
enum err audit_page(struct store *st, void *ctx, int64_t before, size_t max,
                    struct audit_row **out, size_t *n) MUST_USE;
/* The last rows of that action (20 at most), newest first, on ctx. */
enum err audit_of_action(struct store *st, void *ctx, const char *action, struct audit_row **out,
                         size_t *n) MUST_USE;
