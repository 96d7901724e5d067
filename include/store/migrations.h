/* SPDX-License-Identifier: MIT
 * The numbered SQL files of migrations/, embedded by server/embed.sh. */
#pragma once

#include <stddef.h>
#include <stdint.h>

struct migration_file {
    const char *name;       /* "0001_school.sql" */
    const char *sql;        /* NUL-terminated */
    uint64_t len;
    const char *sha256;     /* of the file, 64 hex digits: a migration once applied never changes */
};
extern const struct migration_file migration_files[];
extern const uint64_t migration_file_count;
