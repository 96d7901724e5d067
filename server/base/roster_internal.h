/* SPDX-License-Identifier: MIT
 * Between the files of the class list reader. */
#pragma once

#include <stdbool.h>
#include <stddef.h>

#include "base/roster_csv.h"

struct roster_text {
    const char *text;       /* UTF-8 without a mark, NUL-terminated, no NUL inside */
    size_t len;
    bool windows;           /* it was neither UTF-8 nor UTF-16 */
};
/* Bytes in one of the encodings to text on ctx. False: not text (NUL inside, broken UTF-16). */
bool roster_decode(void *ctx, const char *bytes, size_t n, struct roster_text *out);

/* Records that hold something, as cells. Cells beyond ROSTER_COLUMNS are counted, not kept. */
struct roster_record {
    int line;
    size_t first;           /* in cells[] */
    size_t count;           /* cells as written, may be more than ROSTER_COLUMNS */
};
struct roster_table {
    struct roster_record *records;
    size_t record_count;
    const char **cells;
    size_t cell_count;
    int open_quote_line;    /* 0: none */
    bool full;              /* stopped at `most` records */
};
/* Reads at most `most` records. '\0' as separator: a record is one cell. */
enum err roster_table_read(void *ctx, const struct roster_text *in, char separator, size_t most,
                           struct roster_table *out) MUST_USE;
/* Cell i of a record, "" beyond its end. */
const char *roster_cell(const struct roster_table *t, const struct roster_record *r, size_t i);

/* Finds the separator from the first lines. */
enum err roster_separator(void *ctx, const struct roster_text *in, char *out) MUST_USE;
enum roster_use roster_header_use(const char *cell);
