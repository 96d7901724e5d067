/* SPDX-License-Identifier: MIT
 * Copies of the whole school: one consistent file, proven readable before it gets its name. */
#pragma once

#include <stdbool.h>

#include "base/err.h"

/* Copies <dir>/school.db to `file` (0600), also while a server is at work. The copy is written
 * under another name, synced, opened again and checked (pages, references, schema), then renamed.
 * An existing `file` is never replaced: ERR_CONFLICT. *why (on ctx) says what to mend. */
enum err backup_write(void *ctx, const char *dir, const char *file, const char **why) MUST_USE;

/* Opens a copy and checks it as above; nothing is written. */
enum err backup_verify(void *ctx, const char *file, const char **why) MUST_USE;

/* Verifies `file`, then makes <dir>/school.db from it and brings it to this program's schema.
 * `dir` must be missing or empty: ERR_CONFLICT. Keys and sessions are the caller's to see to. */
enum err backup_restore(void *ctx, const char *file, const char *dir, const char **why) MUST_USE;

/* True when `dir` does not exist or holds nothing. */
bool backup_dir_is_empty(const char *dir);
