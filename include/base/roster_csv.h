/* SPDX-License-Identifier: MIT
 * A class list as schools keep it, read into rows of {display name, year group, class}. Pure: bytes
 * in, rows and remarks out; nothing is stored, nothing but the needed columns is kept.
 *
 * Encodings: UTF-8 (with or without mark), UTF-16 with mark, else Windows-1252 (said in `odd`).
 * Separators: comma, semicolon, tab; found from the first lines. The header is found by its words;
 * a list of one column without a header is names. Forename and surname columns give "Forename S",
 * with as many letters as it takes to tell two children apart (least data; said in `odd`). */
#pragma once

#include <stdbool.h>
#include <stddef.h>

#include "base/err.h"

enum { ROSTER_BYTES = 1 << 20, ROSTER_ROWS = 2000, ROSTER_COLUMNS = 64, ROSTER_NAME_MAX = 40 };

enum roster_use {
    ROSTER_DROPPED, ROSTER_NAME, ROSTER_FIRST_NAME, ROSTER_LAST_NAME, ROSTER_YEAR, ROSTER_CLASS
};

struct roster_column {
    const char *header;         /* as written, shortened; "column 3" when it cannot be shown */
    enum roster_use use;
};

struct roster_row {
    int line;                   /* of the file, from 1 */
    const char *name;           /* cleaned; NULL when refused before there was one */
    int year_group;             /* 0..7, -1 not said */
    const char *class_name;     /* cleaned; NULL without such a column or cell */
    const char *refused;        /* NULL: fine; else a code: required, too_long, control_character,
                                   bidi, not_text, formula, duplicate; the caller adds its own
                                   (duplicate in the class, other_class) */
    const char *pointer;        /* "/display_name", "/class" */
};

struct roster_note {
    int line;
    const char *code;           /* encoding (Windows-1252), forename_surname, longer_initial,
                                   year_group, extra_cells, column_twice */
    const char *text;           /* what was read, or NULL */
};

struct roster {
    bool header;
    char separator;
    struct roster_column *columns;
    size_t column_count;
    struct roster_row *rows;
    size_t row_count;
    struct roster_note *odd;
    size_t odd_count;
};

/* Why the whole file is refused. */
struct roster_fault {
    const char *code;           /* empty, too_large, not_text, too_many_rows, no_header,
                                   no_name_column, quote_not_closed */
    int line;                   /* 0: the file as a whole */
};

/* OK, or ERR_BAD_INPUT with *fault. Everything on ctx. */
enum err roster_parse(void *ctx, const char *bytes, size_t n, struct roster *out,
                      struct roster_fault *fault) MUST_USE;

/* "Year 3", "Y3", "3", "Reception", "R": 0..7; false: not one. */
bool roster_year(const char *s, int *out);

/* "display_name", "forename", "surname", "year_group", "class"; NULL for dropped. */
const char *roster_use_word(enum roster_use use);
