/* SPDX-License-Identifier: MIT
 * `thrice roster import FILE`: a class list from the shell of the machine.
 *
 * Reads and judges exactly as the browser does, through the same code. Without --class the list's
 * own class column says where each row goes, and classes that are not there are made; a class made
 * so is taught by the oldest account, or nobody could see it. Nothing is stored while a row is
 * refused (unless --partial), and the whole import is one transaction. */
#include "cmd.h"

#include <stdio.h>
#include <string.h>

#include "auth/audit.h"
#include "auth/keys.h"
#include "base/clock.h"
#include "base/file.h"
#include "base/mem.h"
#include "base/name.h"
#include "base/roster_csv.h"
#include "base/text.h"
#include "store/classes.h"
#include "store/roster.h"
#include "store/school.h"
#include "store/staff.h"
#include "store/store.h"

static const char help[] =
    "thrice roster import FILE|- [--class NAME] [--dry-run] [--partial] --data DIR\n"
    "\n"
    "FILE is a table with headings (a name, or forename and surname; year group; class), or a\n"
    "list of names, one a line. UTF-8, UTF-16 or Windows-1252; commas, semicolons or tabs.\n"
    "Columns that are not needed are named and never stored.\n"
    "Without --class the column \"class\" says where each child goes; classes are made as named.\n"
    "--dry-run only looks. --partial stores the good rows although others are refused.\n";

struct job {
    void *mem;
    struct store *st;
    struct keys *keys;
    const char *dir, *file, *class_name;
    bool dry_run, partial;
    struct roster list;
    struct roster_plan plan;
    struct roster_result result;
    bool new_class;             /* --class names one that is not there yet */
    const char *failed;
};

/* Words ---------------------------------------------------------------------------------------- */

struct words { const char *code, *text; };

static const struct words whole_file[] = {
    {"empty", "holds no names"},
    {"too_large", "is larger than 1 MiB"},
    {"not_text", "is not text; save it as CSV in UTF-8"},
    {"too_many_rows", "has more than 2,000 rows"},
    {"no_header", "has several columns and no headings; put \"name\" above the names"},
    {"no_name_column", "has no column of names; call it \"name\", or \"forename\" and \"surname\""},
    {"quote_not_closed", "has a quotation mark that is never closed"},
    {NULL, "cannot be read"},
};

static const struct words rows_refused[] = {
    {"required", "has no name"},
    {"too_long", "has a name longer than 40 characters"},
    {"control_character", "has a character that cannot be shown"},
    {"bidi", "has a character that turns text around"},
    {"not_text", "has bytes that are no text"},
    {"formula", "begins like a spreadsheet formula"},
    {"duplicate", "names a child who is there already"},
    {"other_class", "belongs to another class"},
    {"class_required", "says no class; add a column \"class\" or use --class"},
    {"group", "names a teaching group; groups are filled from classes"},
    {NULL, "cannot be taken"},
};

static const struct words rows_odd[] = {
    {"encoding", "read as Windows-1252"},
    {"forename_surname", "forename and first letter of the surname are used"},
    {"longer_initial", "more letters of the surname, to tell two children apart"},
    {"year_group", "year group not understood, left open"},
    {"extra_cells", "more cells than headings"},
    {"column_twice", "a second column of the same kind, dropped"},
    {NULL, "odd"},
};

static const char *const uses[] = {
    [ROSTER_DROPPED] = "dropped, never stored", [ROSTER_NAME] = "the display name",
    [ROSTER_FIRST_NAME] = "the display name",
    [ROSTER_LAST_NAME] = "its first letter, behind the forename",
    [ROSTER_YEAR] = "the year group", [ROSTER_CLASS] = "the class",
};

static const char *say(const struct words *list, const char *code)
{
    while (list->code && strcmp(list->code, code) != 0) {
        list++;
    }
    return list->text;
}

static void print_columns(const struct roster *r)
{
    for (size_t i = 0; r->header && i < r->column_count; i++) {
        printf("column \"%s\": %s\n", r->columns[i].header, uses[r->columns[i].use]);
    }
}

static void print_rows(const struct job *j)
{
    const struct roster *r = &j->list;
    for (size_t i = 0; i < r->odd_count; i++) {
        const char *text = r->odd[i].text;
        printf("line %d: %s%s%s%s\n", r->odd[i].line, say(rows_odd, r->odd[i].code),
               text ? " (" : "", text ? text : "", text ? ")" : "");
    }
    for (size_t i = 0; i < r->row_count; i++) {
        const struct roster_row *row = &r->rows[i];
        if (row->refused) {
            printf("line %d: refused: %s\n", row->line, say(rows_refused, row->refused));
        } else if (j->dry_run) {
            printf("line %d: %s\n", row->line, row->name);
        }
    }
}

/* Work ----------------------------------------------------------------------------------------- */

/* The account that teaches classes made here: the oldest that is not disabled. */
static enum err find_teacher(struct job *j)
{
    struct staff_row *rows;
    size_t n;
    int64_t oldest = INT64_MAX;
    enum err e = staff_list(j->st, j->mem, &rows, &n);
    for (size_t i = 0; e == OK && i < n; i++) {
        if (!rows[i].disabled && rows[i].created_at < oldest) {
            oldest = rows[i].created_at;
            j->plan.teacher = rows[i].id;
        }
    }
    return e;
}

/* --class of a class that is not there: every row goes into it, and it will be made. */
static enum err use_class(struct job *j)
{
    enum err e = class_find(j->st, j->class_name, &j->plan.into);
    if (e != ERR_NOT_FOUND) {
        return e;
    }
    j->new_class = true;
    for (size_t i = 0; i < j->list.row_count; i++) {
        struct roster_row *row = &j->list.rows[i];
        if (!row->class_name) {
            row->class_name = j->class_name;
        }
    }
    return OK;
}

/* Rows that name another class than the new one of --class. */
static void refuse_others(struct job *j)
{
    void *tmp = mem_root();
    const char *want = text_fold(tmp, j->class_name);
    for (size_t i = 0; i < j->list.row_count; i++) {
        struct roster_row *row = &j->list.rows[i];
        const char *own = row->class_name ? text_fold(tmp, row->class_name) : NULL;
        if (!row->refused && own && want && strcmp(own, want) != 0) {
            row->refused = "other_class";
            row->pointer = "/class";
        }
    }
    talloc_free(tmp);
}

static enum err note(struct job *j, const char *action, const struct roster_class *c)
{
    char object[48];
    audit_object("class", c->id.v, object);
    return audit_add(j->st, j->keys, j->plan.now, "office box", action, object, "");
}

static enum err store_rows(struct job *j)
{
    enum err e = roster_store(j->st, &j->plan, &j->list, &j->result);
    for (size_t i = 0; e == OK && i < j->result.class_count; i++) {
        const struct roster_class *c = &j->result.classes[i];
        if (c->made) {
            e = note(j, "class made", c);
        }
        if (e == OK && c->added > 0) {
            e = note(j, "class list imported", c);
        }
    }
    return e;
}

static enum err import_tx(struct store *st, void *arg)
{
    struct job *j = arg;
    (void)st;
    enum err e = j->class_name ? use_class(j) : OK;
    if (e == OK && j->new_class) {
        refuse_others(j);
    }
    e = e == OK ? find_teacher(j) : e;
    e = e == OK ? roster_judge(j->st, j->mem, &j->plan, &j->list, &j->result) : e;
    if (e == ERR_CONFLICT) {
        j->failed = "that is a teaching group or an archived class; lists go into classes";
    }
    if (e != OK || j->dry_run || (j->result.refused > 0 && !j->partial)) {
        return e;
    }
    return store_rows(j);
}

static int finish(const struct job *j)
{
    size_t good = j->list.row_count - j->result.refused;
    if (j->dry_run) {
        printf("%zu of %zu rows would be added; nothing was stored\n", good, j->list.row_count);
        return CMD_DONE;
    }
    if (j->result.refused > 0 && !j->partial) {
        fflush(stdout);
        return cmd_fail("roster", "%zu of %zu rows are refused, so nothing was stored; mend the "
                        "list, or use --partial", j->result.refused, j->list.row_count);
    }
    if (good == 0) {
        fflush(stdout);
        return cmd_fail("roster", "every row is refused, so nothing was stored");
    }
    for (size_t i = 0; i < j->result.class_count; i++) {
        const struct roster_class *c = &j->result.classes[i];
        if (c->added > 0) {
            printf("%s%s: %zu added\n", c->name, c->made ? " (new)" : "", c->added);
        }
    }
    return CMD_DONE;
}

static int run(struct job *j)
{
    struct roster_fault fault = {.code = "empty"};
    const char *why = "";
    size_t n;
    char *bytes = file_read(j->mem, j->file, ROSTER_BYTES, &n, &why);
    if (!bytes) {
        return cmd_fail("roster", "%s: %s", j->file, why);
    }
    if (roster_parse(j->mem, bytes, n, &j->list, &fault) != OK) {
        return fault.line ? cmd_fail("roster", "the list %s (line %d)",
                                     say(whole_file, fault.code), fault.line)
                          : cmd_fail("roster", "the list %s", say(whole_file, fault.code));
    }
    if (cmd_open(j->mem, j->dir, &j->st, &j->keys, &why) != OK) {
        return cmd_fail("roster", "%s", why);
    }
    j->plan.now = clock_now();
    enum err e = store_tx(j->st, "roster", import_tx, j);
    if (e != OK) {
        return cmd_fail("roster", "%s", j->failed ? j->failed : err_info(e)->title);
    }
    print_columns(&j->list);
    print_rows(j);
    return finish(j);
}

int cmd_roster(int argc, char **argv)
{
    struct job *j = mem_new(NULL, struct job);
    const struct cmd_option options[] = {
        {.name = "data", .value = &j->dir},
        {.name = "class", .value = &j->class_name},
        {.name = "dry-run", .flag = &j->dry_run},
        {.name = "partial", .flag = &j->partial},
        {.name = NULL},
    };
    int first = 0;
    int status = cmd_options(argc, argv, options, help, &first);
    j->mem = j;
    if (status < 0 && (!j->dir || argc - first != 2 || strcmp(argv[first], "import") != 0)) {
        status = cmd_usage("roster", "say `import FILE` and --data DIR (see --help)");
    }
    if (status < 0 && j->class_name) {
        const char *fault = name_fault(j->class_name, strlen(j->class_name), 40);
        j->class_name = fault ? NULL : text_clean(j, j->class_name);
        status = fault ? cmd_usage("roster", "a class name has 1 to 40 characters (%s)", fault)
                       : status;
    }
    if (status < 0) {
        j->file = argv[first + 1];
        status = run(j);
    }
    if (j->st) {
        store_close(j->st);
    }
    keys_free(j->keys);
    talloc_free(j);
    return status;
}
