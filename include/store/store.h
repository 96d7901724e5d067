/* SPDX-License-Identifier: MIT
 * One connection to the school's database and the prepared statements of the program.
 * A store belongs to one thread. Statements are named by (set, index); each store file exports
 * its `const struct stmt_set`, and sets.c lists all sets, so a wrong column stops the start. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/err.h"

struct store;

struct stmt_def {
    const char *name;   /* for logs, e.g. "grid cells" */
    const char *sql;    /* one statement; a full scan says why in a SQL comment, "scan: reason" */
};

struct stmt_set {
    const char *name;
    const struct stmt_def *defs;
    size_t count;
};

enum store_mode { STORE_READ, STORE_WRITE };

/* Opens <dir>/school.db with the hardening of the project (NOFOLLOW, WAL, synchronous FULL,
 * DEFENSIVE, trusted_schema off, limits). STORE_READ sets query_only; STORE_WRITE tries every
 * statement of the program first.
 * Refuses another application_id or a schema newer or older than this program
 * (*why says what to do, on ctx). */
enum err store_open(void *ctx, const char *dir, enum store_mode mode, struct store **out,
                    const char **why) MUST_USE;
void store_close(struct store *st);

/* The id of a new object: rand_id(), never 0. */
int64_t store_id_new(void);

/* A running count that every committed change to the school raises: what ETags are made of. Cheap
 * (PRAGMA data_version is not enough across restarts and connections: see store.c). */
uint64_t store_change_count(struct store *st);

/* Runs fn inside BEGIN IMMEDIATE .. COMMIT; any result but OK rolls back. For the command line
 * and tests; the server's requests go through the writer. Never nested. */
typedef enum err tx_fn(struct store *st, void *arg);
enum err store_tx(struct store *st, const char *name, tx_fn *fn, void *arg) MUST_USE;

/* A place for what a store file keeps about this connection (NULL at first). What it points to
 * hangs from `st`, which is a talloc context, and so goes with store_close. */
enum store_slot_id { SLOT_ACTIVITIES, SLOT_BAND_TABLES, SLOT_MEMO, SLOT_USE, STORE_SLOTS };
void **store_slot(struct store *st, enum store_slot_id id);

/* All statement sets, NULL-terminated (tests walk it for query plans). */
extern const struct stmt_set *const store_sets[];
