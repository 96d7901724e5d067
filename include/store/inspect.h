/* SPDX-License-Identifier: MIT
 * Looking at a database for `thrice check` and for backups: is it whole, is it ours? Read only. */
#pragma once

#include <stddef.h>

#include "base/err.h"

enum { INSPECT_FINDINGS = 16 };

struct inspect {
    size_t count;                           /* 0: sound */
    const char *finding[INSPECT_FINDINGS];  /* plain sentences, on ctx; never a name or a value */
};

/* Of <dir>/school.db or, when `path` is a file, of that file: application id, schema number, every
 * table, index and trigger as the migrations make them, integrity_check, foreign_key_check.
 * OK whenever it could be looked at, also with findings. */
enum err inspect_database(void *ctx, const char *path, struct inspect *out) MUST_USE;
