/* SPDX-License-Identifier: MIT
 * Bringing a data folder's database to the schema of this program. */
#pragma once

#include <stddef.h>

#include "base/err.h"
#include "store/migrations.h"

/* Makes <dir> (mode 0700) and school.db (0600) where they are missing, then applies the migrations
 * not yet applied, each in a transaction of its own that also notes its hash and number. Before an
 * existing database is changed it is copied to <dir>/school-before-NNNN.db (0600).
 * Refused, with *why (on ctx) saying what to do: another program's file, a newer schema, an applied
 * migration whose text has changed since, references that lead nowhere after a migration. */
enum err migrate_up(void *ctx, const char *dir, const char **why) MUST_USE;

/* As migrate_up for a folder that must hold a school already (ERR_NOT_FOUND): for the start. */
enum err migrate_existing(void *ctx, const char *dir, const char **why) MUST_USE;

/* The same with a list of one's own (tests). Numbers are the first four digits of the names and
 * count from 1 without a gap. */
struct migration_list {
    const struct migration_file *files;
    size_t count;
};
enum err migrate_with(void *ctx, const char *dir, const struct migration_list *list,
                      const char **why) MUST_USE;

/* The newest embedded number: what PRAGMA user_version holds in a current database. */
int migrate_newest(void);
