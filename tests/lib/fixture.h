/* SPDX-License-Identifier: MIT
 * A data folder of its own for a test, and the store in it. */
#pragma once

#include <stddef.h>

#include "store/store.h"

struct fixture {
    void *mem;              /* a talloc root, freed by fixture_close */
    char *dir;              /* an empty-named folder under $TMPDIR, removed by fixture_close */
    struct store *st;       /* writing; NULL with fixture_dir */
};

/* A new empty folder, no database. */
void fixture_dir(struct fixture *f);
/* A migrated database, open for writing. */
void fixture_open(struct fixture *f);
/* As fixture_open, with the school row (invented), Europe/London, and one member of staff, id 1. */
void fixture_school(struct fixture *f);
void fixture_close(struct fixture *f);

/* For cmocka: a school with the rows of `sql` as *state (a struct fixture), and its end. */
int fixture_setup(void **state, const char *sql);
int fixture_teardown(void **state);

/* Runs SQL on the folder's database through a connection of its own, foreign keys on; aborts the
 * test when it fails. For making rows that a test needs. */
void fixture_sql(const struct fixture *f, const char *sql);
/* First column of the first row; aborts when there is none. */
long long fixture_int(const struct fixture *f, const char *sql);
/* Runs SQL and returns SQLite's extended result code, for what must be refused. */
int fixture_sql_rc(const struct fixture *f, const char *sql);
char *fixture_path(const struct fixture *f, const char *name);
