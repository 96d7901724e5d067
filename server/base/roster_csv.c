/* SPDX-License-Identifier: MIT
 * A class list, from bytes to rows that may be stored.
 *
 * Owns: what a row may be refused for within the file itself, and how forename and surname become
 * a display name. Invariants: every record that holds something is either a row (fine or refused,
 * with its line and a code) or the header; nothing vanishes silently. Of the first of two equal
 * names the first stays, the later is refused. Cells of dropped columns are never looked at.
 * Threats: a list with far more about a child than is needed, spreadsheet formulas, look-alike
 * names, files made to cost time or memory. */
#include "base/roster_csv.h"

#include <stdlib.h>
#include <string.h>
#include <utf8proc.h>

#include "base/mem.h"
#include "base/name.h"
#include "base/text.h"
#include "roster_internal.h"

enum { CLASS_NAME_MAX = 40, HEADER_SHOWN = 60, NO_COLUMN = -1 };

struct job {
    void *ctx;
    struct roster *out;
    struct roster_table table;
    size_t odd_cap;
    int column[ROSTER_CLASS + 1];   /* by use; NO_COLUMN */
    const char **first, **last;     /* of each row, cleaned; last may be NULL */
    int *letters;                   /* of last, in the display name */
};

static void note(struct job *j, int line, const char *code, const char *text)
{
    struct roster *r = j->out;
    mem_grow(j->ctx, r->odd, r->odd_count, &j->odd_cap);
    r->odd[r->odd_count++] = (struct roster_note){.line = line, .code = code, .text = text};
}

/* Text from the file that is shown back: cleaned and short, or NULL. */
static const char *shown(void *ctx, const char *s, size_t max)
{
    return name_fault(s, strlen(s), max) == NULL ? text_clean(ctx, s) : NULL;
}

const char *roster_use_word(enum roster_use use)
{
    static const char *const words[] = {
        [ROSTER_DROPPED] = NULL, [ROSTER_NAME] = "display_name",
        [ROSTER_FIRST_NAME] = "forename", [ROSTER_LAST_NAME] = "surname",
        [ROSTER_YEAR] = "year_group", [ROSTER_CLASS] = "class",
    };
    return words[use];
}

bool roster_year(const char *s, int *out)
{
    char key[16];
    size_t n = 0;
    for (; *s; s++) {
        char c = (char)(*s >= 'A' && *s <= 'Z' ? *s - 'A' + 'a' : *s);
        if (c == ' ' || c == '.') {
            continue;
        }
        if (n + 1 == sizeof key) {
            return false;
        }
        key[n++] = c;
    }
    key[n] = '\0';
    static const char *const before[] = {"yeargroup", "year", "yr", "y"};
    const char *rest = key;
    for (size_t i = 0; i < sizeof before / sizeof *before; i++) {
        size_t len = strlen(before[i]);
        if (strncmp(key, before[i], len) == 0) {
            rest = key + len;
            break;
        }
    }
    static const char *const reception[] = {"r", "rec", "reception", "0"};
    for (size_t i = 0; i < sizeof reception / sizeof *reception; i++) {
        if (strcmp(rest, reception[i]) == 0) {
            *out = 0;
            return true;
        }
    }
    int64_t year;
    if (!text_int(rest, 1, 7, &year) || rest[1] != '\0') {
        return false;
    }
    *out = (int)year;
    return true;
}

/* Columns -------------------------------------------------------------------------------------- */

static void drop_use(struct job *j, enum roster_use use)
{
    if (j->column[use] != NO_COLUMN) {
        j->out->columns[j->column[use]].use = ROSTER_DROPPED;
        j->column[use] = NO_COLUMN;
    }
}

/* The first column of a use counts; another one is dropped and said. */
static void take_columns(struct job *j, const struct roster_record *head)
{
    struct roster *r = j->out;
    r->column_count = head->count < ROSTER_COLUMNS ? head->count : ROSTER_COLUMNS;
    r->columns = mem_array(j->ctx, struct roster_column, r->column_count);
    for (size_t i = 0; i < r->column_count; i++) {
        const char *cell = roster_cell(&j->table, head, i);
        const char *header = shown(j->ctx, cell, HEADER_SHOWN);
        enum roster_use use = roster_header_use(cell);
        if (!header) {
            header = mem_printf(j->ctx, "column %zu", i + 1);
        }
        if (use != ROSTER_DROPPED && j->column[use] != NO_COLUMN) {
            note(j, head->line, "column_twice", header);
            use = ROSTER_DROPPED;
        }
        r->columns[i] = (struct roster_column){.header = header, .use = use};
        if (use != ROSTER_DROPPED) {
            j->column[use] = (int)i;
        }
    }
    if (j->column[ROSTER_NAME] != NO_COLUMN) {
        drop_use(j, ROSTER_FIRST_NAME);
        drop_use(j, ROSTER_LAST_NAME);
    }
}

static enum err whole(struct roster_fault *fault, const char *code, int line)
{
    *fault = (struct roster_fault){.code = code, .line = line};
    return ERR_BAD_INPUT;
}

static enum err find_columns(struct job *j, struct roster_fault *fault)
{
    const struct roster_record *head = &j->table.records[0];
    bool any = false, names = false;
    for (size_t i = 0; i < head->count && i < ROSTER_COLUMNS; i++) {
        enum roster_use use = roster_header_use(roster_cell(&j->table, head, i));
        any = any || use != ROSTER_DROPPED;
        names = names || use == ROSTER_NAME || use == ROSTER_FIRST_NAME;
    }
    if (head->count == 1 && !names) {       /* "Reg" may be a child */
        j->out->columns = mem_new(j->ctx, struct roster_column);
        j->out->columns[0] = (struct roster_column){.header = "column 1", .use = ROSTER_NAME};
        j->out->column_count = 1;
        j->column[ROSTER_NAME] = 0;
        return OK;
    }
    if (!any) {
        return whole(fault, "no_header", head->line);
    }
    if (!names) {
        return whole(fault, "no_name_column", head->line);
    }
    j->out->header = true;
    take_columns(j, head);
    if (j->column[ROSTER_LAST_NAME] != NO_COLUMN) {
        note(j, head->line, "forename_surname", NULL);
    }
    return OK;
}

/* Rows ----------------------------------------------------------------------------------------- */

static void refuse(struct roster_row *row, const char *code, const char *pointer)
{
    if (!row->refused) {
        row->refused = code;
        row->pointer = pointer;
    }
}

static const char *cell_of(const struct job *j, const struct roster_record *rec,
                           enum roster_use use)
{
    return j->column[use] == NO_COLUMN ? "" : roster_cell(&j->table, rec, (size_t)j->column[use]);
}

static const char *clean_name(struct job *j, struct roster_row *row, const char *cell)
{
    const char *fault = name_fault(cell, strlen(cell), ROSTER_NAME_MAX);
    if (fault) {
        refuse(row, fault, "/display_name");
        return NULL;
    }
    const char *clean = text_clean(j->ctx, cell);
    if (clean && strchr("=+-@", *clean)) {
        refuse(row, "formula", "/display_name");
    }
    return clean;
}

static void read_name(struct job *j, const struct roster_record *rec, size_t i)
{
    struct roster_row *row = &j->out->rows[i];
    if (j->column[ROSTER_NAME] != NO_COLUMN) {
        row->name = clean_name(j, row, cell_of(j, rec, ROSTER_NAME));
        return;
    }
    j->first[i] = row->name = clean_name(j, row, cell_of(j, rec, ROSTER_FIRST_NAME));
    const char *last = cell_of(j, rec, ROSTER_LAST_NAME);
    const char *fault = name_fault(last, strlen(last), ROSTER_NAME_MAX * 4);
    if (!fault) {
        j->last[i] = text_clean(j->ctx, last);
        j->letters[i] = 1;
    } else if (strcmp(fault, "required") != 0) {
        refuse(row, fault, "/display_name");
    }
}

static void read_class(struct job *j, const struct roster_record *rec, struct roster_row *row)
{
    const char *cell = cell_of(j, rec, ROSTER_CLASS);
    const char *fault = name_fault(cell, strlen(cell), CLASS_NAME_MAX);
    if (!fault) {
        row->class_name = text_clean(j->ctx, cell);
    } else if (strcmp(fault, "required") != 0) {
        refuse(row, fault, "/class");
    }
}

static void read_row(struct job *j, const struct roster_record *rec, size_t i)
{
    struct roster_row *row = &j->out->rows[i];
    *row = (struct roster_row){.line = rec->line, .year_group = -1};
    read_name(j, rec, i);
    read_class(j, rec, row);
    const char *year = cell_of(j, rec, ROSTER_YEAR);
    if (*year && !roster_year(year, &row->year_group)) {
        row->year_group = -1;
        note(j, rec->line, "year_group", shown(j->ctx, year, ROSTER_NAME_MAX));
    }
    if (rec->count > j->out->column_count) {
        note(j, rec->line, "extra_cells", NULL);
    }
}

/* "Forename S" --------------------------------------------------------------------------------- */

/* The first `letters` characters of s (each with its combining marks); all of it when fewer. */
static size_t prefix(const char *s, int letters)
{
    size_t n = strlen(s), at = 0;
    while (at < n) {
        utf8proc_int32_t cp;
        utf8proc_ssize_t step = utf8proc_iterate((const utf8proc_uint8_t *)s + at,
                                                 (utf8proc_ssize_t)(n - at), &cp);
        utf8proc_category_t c = utf8proc_category(cp);
        bool mark = c >= UTF8PROC_CATEGORY_MN && c <= UTF8PROC_CATEGORY_ME;
        if (step <= 0 || (!mark && letters-- == 0)) {
            break;
        }
        at += (size_t)step;
    }
    return at;
}

struct keyed {
    const char *key;        /* folded class and display name */
    const char *who;        /* folded class, forename and whole surname */
    size_t row;
};

static int by_key(const void *a, const void *b)
{
    const struct keyed *x = a, *y = b;
    int order = strcmp(x->key, y->key);
    return order ? order : (x->row > y->row) - (x->row < y->row);
}

/* Fold of class and name; U+001F cannot be in either. */
static const char *fold_pair(void *mem, const char *class_name, const char *name)
{
    const char *fold = text_fold(mem, name), *in = class_name ? text_fold(mem, class_name) : "";
    return mem_printf(mem, "%s\x1f%s", in ? in : "", fold ? fold : name);
}

/* Rows that still have a name and no refusal, sorted by key; later rows behind earlier ones. */
static size_t sort_rows(struct job *j, void *mem, struct keyed *k, bool whole_names)
{
    size_t n = 0;
    for (size_t i = 0; i < j->out->row_count; i++) {
        const struct roster_row *row = &j->out->rows[i];
        if (row->refused || !row->name) {
            continue;
        }
        k[n] = (struct keyed){.key = fold_pair(mem, row->class_name, row->name), .row = i};
        if (whole_names) {
            k[n].who = fold_pair(mem, j->first[i], j->last[i] ? j->last[i] : "");
        }
        n++;
    }
    qsort(k, n, sizeof *k, by_key);
    return n;
}

static void write_name(struct job *j, size_t i)
{
    if (!j->last[i] || !j->first[i]) {
        return;
    }
    size_t n = prefix(j->last[i], j->letters[i]);
    char *joined = mem_printf(j->ctx, "%s %.*s", j->first[i], (int)n, j->last[i]);
    const char *fault = name_fault(joined, strlen(joined), ROSTER_NAME_MAX);
    if (fault) {
        refuse(&j->out->rows[i], fault, "/display_name");
    }
    j->out->rows[i].name = text_clean(j->ctx, joined);
}

/* One more letter for each row of the run k[from..to) whose people differ; true if any got one. */
static bool lengthen(struct job *j, const struct keyed *k, size_t from, size_t to)
{
    bool differ = false, grew = false;
    for (size_t i = from + 1; i < to; i++) {
        differ = differ || strcmp(k[i].who, k[from].who) != 0;
    }
    for (size_t i = from; differ && i < to; i++) {
        size_t row = k[i].row;
        if (j->last[row] && j->last[row][prefix(j->last[row], j->letters[row])] != '\0') {
            j->letters[row]++;
            write_name(j, row);
            grew = true;
        }
    }
    return grew;
}

static bool lengthen_all(struct job *j, struct keyed *k)
{
    void *mem = mem_root();
    size_t n = sort_rows(j, mem, k, true);
    bool grew = false;
    for (size_t from = 0, to; from < n; from = to) {
        for (to = from + 1; to < n && strcmp(k[to].key, k[from].key) == 0; to++) {
        }
        grew = (to - from > 1 && lengthen(j, k, from, to)) || grew;
    }
    talloc_free(mem);
    return grew;
}

static void join_names(struct job *j, struct keyed *k)
{
    for (size_t i = 0; i < j->out->row_count; i++) {
        write_name(j, i);
    }
    for (int round = 0; round < ROSTER_NAME_MAX && lengthen_all(j, k); round++) {
    }
    for (size_t i = 0; i < j->out->row_count; i++) {
        if (j->letters[i] > 1) {
            note(j, j->out->rows[i].line, "longer_initial", j->out->rows[i].name);
        }
    }
}

static void refuse_duplicates(struct job *j, struct keyed *k)
{
    void *mem = mem_root();
    size_t n = sort_rows(j, mem, k, false);
    for (size_t i = 1; i < n; i++) {
        if (strcmp(k[i].key, k[i - 1].key) == 0) {
            refuse(&j->out->rows[k[i].row], "duplicate", "/display_name");
        }
    }
    talloc_free(mem);
}

/* The whole ------------------------------------------------------------------------------------ */

static void read_rows(struct job *j)
{
    struct roster *r = j->out;
    size_t skip = r->header ? 1 : 0;
    r->row_count = j->table.record_count - skip;
    r->rows = mem_array(j->ctx, struct roster_row, r->row_count);
    j->first = mem_array(j->ctx, const char *, r->row_count);
    j->last = mem_array(j->ctx, const char *, r->row_count);
    j->letters = mem_array(j->ctx, int, r->row_count);
    for (size_t i = 0; i < r->row_count; i++) {
        read_row(j, &j->table.records[i + skip], i);
    }
    struct keyed *k = mem_array(j->ctx, struct keyed, r->row_count);
    if (j->column[ROSTER_NAME] == NO_COLUMN) {
        join_names(j, k);
    }
    refuse_duplicates(j, k);
}

enum err roster_parse(void *ctx, const char *bytes, size_t n, struct roster *out,
                      struct roster_fault *fault)
{
    *out = (struct roster){0};
    struct job j = {.ctx = ctx, .out = out};
    for (size_t i = 0; i < sizeof j.column / sizeof *j.column; i++) {
        j.column[i] = NO_COLUMN;
    }
    if (n > ROSTER_BYTES) {
        return whole(fault, "too_large", 0);
    }
    struct roster_text text;
    if (!roster_decode(ctx, bytes, n, &text)) {
        return whole(fault, "not_text", 0);
    }
    enum err e = roster_separator(ctx, &text, &out->separator);
    if (e == OK) {
        e = roster_table_read(ctx, &text, out->separator, ROSTER_ROWS + 1, &j.table);
    }
    if (e != OK) {
        return e;
    }
    if (j.table.open_quote_line) {
        return whole(fault, "quote_not_closed", j.table.open_quote_line);
    }
    if (j.table.record_count == 0) {
        return whole(fault, "empty", 0);
    }
    if (text.windows) {
        note(&j, 1, "encoding", NULL);
    }
    e = find_columns(&j, fault);
    if (e != OK) {
        return e;
    }
    if (j.table.full || j.table.record_count - (out->header ? 1 : 0) > ROSTER_ROWS) {
        return whole(fault, "too_many_rows", 0);
    }
    read_rows(&j);
    return out->row_count > 0 ? OK : whole(fault, "empty", 0);
}
