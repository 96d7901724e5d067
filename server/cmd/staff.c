/* SPDX-License-Identifier: MIT
 * `thrice staff`: accounts from the shell of the machine, for the first days and for the day when
 * nobody in the office can sign in.
 *
 * Whoever can run this can read the database anyway; the audit trail says "office box". A
 * passphrase is never an argument (other users could see it): it comes from a file or standard
 * input, or is drawn and printed once and must then be changed. The last live account that holds
 * `office` cannot be disabled.
 *
 * Where two persons have to agree (store/changes.h) this is the way without a second one: it is
 * done at once, written to audit and log, and shown to all staff for 14 days. */
#include "cmd.h"

#include <inttypes.h>
#include <stdio.h>
#include <string.h>

#include "auth/audit.h"
#include "auth/keys.h"
#include "auth/passphrase.h"
#include "base/clock.h"
#include "base/file.h"
#include "base/log.h"
#include "base/mem.h"
#include "base/name.h"
#include "base/rand.h"
#include "base/text.h"
#include "base/who.h"
#include "store/changes.h"
#include "store/classes.h"
#include "store/school.h"
#include "store/sessions.h"
#include "store/staff.h"
#include "store/store.h"

enum { CLASSES_MAX = 40, NAME_MAX_CHARS = 60 };

static const char help[] =
    "thrice staff add NAME [--rights pe_lead,safeguarding,office] [--passphrase-file FILE|-]\n"
    "                      [--class CLASS:teach|help|read ...] --data DIR\n"
    "thrice staff passphrase NAME [--passphrase-file FILE|-] --data DIR\n"
    "thrice staff list --data DIR\n"
    "thrice staff disable NAME --data DIR\n"
    "thrice staff accept NAME --data DIR\n"
    "\n"
    "accept does what waits for a second person about NAME, where none can be had: older messages\n"
    "are opened too. It is written to audit and log and shown to all staff for 14 days; so are\n"
    "add and passphrase where they let somebody read children's messages or accept changes.\n"
    "Without --passphrase-file a passphrase is drawn, printed once, and must be changed at the\n"
    "first sign-in.\n";

struct job {
    void *mem;
    struct store *st;
    struct keys *keys;
    const char *name, *name_key;
    const char *file;
    const char *rights_text;
    const char *class_text[CLASSES_MAX];
    size_t class_count;
    char passphrase[PASSPHRASE_MAX + 1];
    bool drawn;
    char hash[PASSPHRASE_HASH];
    unsigned rights;
    struct staff_id id;
    const char *failed;         /* why the transaction was given up */
    struct change_done *done;   /* what was agreed to without a second person */
    size_t done_count;
};

/* Reading what was asked ----------------------------------------------------------------------- */

static int read_name(struct job *j, const char *given)
{
    const char *fault = given ? name_fault(given, strlen(given), NAME_MAX_CHARS) : "required";

    if (fault) {
        return cmd_usage("staff", "a name of 1 to %d characters is needed (%s)", NAME_MAX_CHARS,
                         fault);
    }
    j->name = text_clean(j->mem, given);
    j->name_key = text_fold(j->mem, j->name);
    return -1;
}

static int read_rights(struct job *j)
{
    for (const char *p = j->rights_text; p && *p;) {
        size_t n = strcspn(p, ",");
        unsigned bit = right_bit(mem_strn(j->mem, p, n));
        if (!(bit & (ALLOW_PE_LEAD | ALLOW_SAFEGUARDING | ALLOW_OFFICE))) {
            return cmd_usage("staff", "rights are pe_lead, safeguarding, office, commas between");
        }
        j->rights |= bit;
        p += n;
        p += *p == ',';
    }
    return -1;
}

/* One line; its line end is not part of it. */
static int read_passphrase(struct job *j)
{
    const char *why = "";
    size_t n = 0;
    struct school s = {.name = NULL};

    if (!j->file) {
        passphrase_words(j->passphrase);
        j->drawn = true;
        return -1;
    }
    char *text = file_read(j->mem, j->file, 1024, &n, &why);
    if (!text) {
        return cmd_fail("staff", "cannot read the passphrase: %s", why);
    }
    n = strcspn(text, "\r\n");
    text[n] = '\0';
    enum err e = school_get(j->st, j->mem, &s);
    const char *code = passphrase_refusal(text, n, e ? NULL : s.name, j->name);
    if (code) {
        return cmd_fail("staff", "choose another passphrase (%s): %d to %d bytes, not one that many"
                        " people use, not the names of school or account", code, PASSPHRASE_MIN,
                        PASSPHRASE_MAX);
    }
    memcpy(j->passphrase, text, n + 1);
    explicit_bzero(text, n);
    return -1;
}

static int make_hash(struct job *j)
{
    if (passphrase_hash(j->passphrase, strlen(j->passphrase), j->hash) != OK) {
        return cmd_fail("staff", "not enough memory to hash the passphrase");
    }
    return -1;
}

/* Writing -------------------------------------------------------------------------------------- */

static enum err note(struct job *j, const char *action, const char *code)
{
    char object[48];

    audit_object("staff", j->id.v, object);
    return audit_add(j->st, j->keys, clock_now(), "office box", action, object, code);
}

/* What would wait for a second person is done; only one kind, or all. */
static enum err agree(struct job *j, enum change_kind kind)
{
    const struct change_ask a = {.kind = kind, .of = j->id, .now = clock_now()};
    enum err e = change_machine(j->st, j->mem, &a, &j->done, &j->done_count);

    for (size_t i = 0; !e && i < j->done_count; i++) {
        if (j->done[i].kept) {
            e = note(j, "done without a second person", change_kind_word(j->done[i].kind));
        }
    }
    return e;
}

/* After the commit: ids only. */
static void log_agreed(const struct job *j)
{
    for (size_t i = 0; i < j->done_count; i++) {
        if (j->done[i].kept) {
            log_system(LOG_WARN, "without_second_person", "staff=%" PRId64 " kind=%s", j->id.v,
                       change_kind_word(j->done[i].kind));
        }
    }
}

static enum err put_class(struct job *j, const char *text)
{
    const char *colon = strrchr(text, ':');
    struct staff_class_row row = {.right = ALLOW_TEACH};
    const char *name = colon ? mem_strn(j->mem, text, (size_t)(colon - text)) : text;

    if (colon) {
        row.right = right_bit(colon + 1);
    }
    if (!(row.right & (ALLOW_TEACH | ALLOW_HELP | ALLOW_READ))) {
        j->failed = "a right on a class is teach, help or read";
        return ERR_BAD_INPUT;
    }
    enum err e = class_find(j->st, name, &row.class_id);
    if (e == ERR_NOT_FOUND) {
        j->failed = mem_printf(j->mem, "there is no class \"%s\"", name);
    }
    return e ? e : staff_class_put(j->st, j->id, &row);
}

static enum err add_tx(struct store *st, void *arg)
{
    struct job *j = arg;
    struct staff_new s = {
        .id = {rand_id()},
        .name = j->name,
        .name_key = j->name_key,
        .hash = j->hash,
        .must_change = j->drawn,
        .now = clock_now(),
    };

    j->id = s.id;
    enum err e = staff_put(st, &s);
    if (e == ERR_CONFLICT) {
        j->failed = "there is somebody of that name already";
    }
    e = e ? e : staff_set_rights(st, j->id, j->rights);
    for (size_t i = 0; !e && i < j->class_count; i++) {
        e = put_class(j, j->class_text[i]);
    }
    e = e ? e : note(j, "staff added", "");
    return e ? e : agree(j, CHANGE_KINDS);
}

static enum err find(struct job *j, struct staff_row *row)
{
    enum err e = staff_by_name(j->st, j->mem, j->name_key, row);

    if (e == ERR_NOT_FOUND) {
        j->failed = "there is nobody of that name; `thrice staff list` shows all";
    }
    j->id = row->id;
    return e;
}

static enum err passphrase_tx(struct store *st, void *arg)
{
    struct job *j = arg;
    struct staff_row row = {.disabled = false};
    struct session_id none = {0};
    enum err e = find(j, &row);

    e = e ? e : staff_set_hash(st, j->id, j->hash, j->drawn);
    e = e ? e : sessions_end_staff(st, j->id, none);
    e = e ? e : note(j, "passphrase changed", "issued");
    return e ? e : agree(j, CHANGE_RESET);
}

static enum err accept_tx(struct store *st, void *arg)
{
    struct job *j = arg;
    struct staff_row row = {.disabled = false};
    enum err e = find(j, &row);

    (void)st;
    e = e ? e : agree(j, CHANGE_KINDS);
    if (!e && j->done_count == 0) {
        j->failed = "nothing waits for a second person about that account";
        e = ERR_CONFLICT;
    }
    return e;
}

static enum err disable_tx(struct store *st, void *arg)
{
    struct job *j = arg;
    struct staff_row row = {.disabled = false};
    struct session_id none = {0};
    int64_t live = 0, office = 0;
    enum err e = find(j, &row);

    e = e ? e : staff_counts(st, &live, &office);
    if (!e && !row.disabled && (row.rights & ALLOW_OFFICE) && office <= 1) {
        j->failed = "nobody else holds the right office; give it to somebody first";
        e = ERR_CONFLICT;
    }
    e = e ? e : staff_set_disabled(st, j->id, true, clock_now());
    e = e ? e : sessions_end_staff(st, j->id, none);
    return e ? e : note(j, "staff disabled", "");
}

static int write_with(struct job *j, const char *name, tx_fn *fn)
{
    enum err e = store_tx(j->st, name, fn, j);

    if (!e) {
        log_agreed(j);
    }
    return e ? cmd_fail("staff", "%s", j->failed ? j->failed : err_info(e)->title) : -1;
}

/* Subcommands ---------------------------------------------------------------------------------- */

static void print_passphrase(const struct job *j)
{
    if (j->drawn) {
        printf("passphrase for %s: %s\n(shown once; it must be changed at the first sign-in)\n",
               j->name, j->passphrase);
    }
}

static int with_passphrase(struct job *j, const char *name, tx_fn *fn)
{
    int status = read_passphrase(j);

    status = status >= 0 ? status : make_hash(j);
    status = status >= 0 ? status : write_with(j, name, fn);
    if (status < 0) {
        print_passphrase(j);
    }
    explicit_bzero(j->passphrase, sizeof j->passphrase);
    return status < 0 ? CMD_DONE : status;
}

static int run_add(struct job *j)
{
    int status = read_rights(j);

    return status >= 0 ? status : with_passphrase(j, "staff add", add_tx);
}

static int run_passphrase(struct job *j)
{
    return with_passphrase(j, "staff passphrase", passphrase_tx);
}

static int run_disable(struct job *j)
{
    int status = write_with(j, "staff disable", disable_tx);

    return status < 0 ? CMD_DONE : status;
}

static int run_accept(struct job *j)
{
    int status = write_with(j, "staff accept", accept_tx);

    for (size_t i = 0; status < 0 && i < j->done_count; i++) {
        printf("done for %s: %s\n", j->name, change_kind_word(j->done[i].kind));
    }
    return status < 0 ? CMD_DONE : status;
}

static void print_one(struct job *j, const struct staff_row *s)
{
    static const unsigned wide[] = {ALLOW_PE_LEAD, ALLOW_SAFEGUARDING, ALLOW_OFFICE};
    const struct staff_classes_want held = {.id = s->id, .today = clock_day(clock_now())};
    struct staff_class_row *c;
    size_t n = 0;

    printf("%s%s%s%s", s->name, s->disabled ? " (disabled)" : "",
           s->must_change ? " (must change the passphrase)" : "",
           s->sure ? "" : " (waits for a second person)");
    for (size_t i = 0; i < sizeof wide / sizeof *wide; i++) {
        if (s->rights & wide[i]) {
            printf(" %s", right_word(wide[i]));
        }
    }
    if (staff_classes(j->st, j->mem, &held, &c, &n) == OK) {
        for (size_t i = 0; i < n; i++) {
            printf(" %s:%s%s", c[i].class_name, right_word(c[i].right),
                   c[i].right == ALLOW_TEACH && !c[i].reads && !s->reads_all ? " (no messages)"
                                                                            : "");
        }
    }
    printf("\n");
}

static int run_list(struct job *j)
{
    struct staff_row *rows;
    size_t n;

    if (staff_list(j->st, j->mem, &rows, &n) != OK) {
        return cmd_fail("staff", "cannot read the staff; run `thrice check`");
    }
    for (size_t i = 0; i < n; i++) {
        print_one(j, &rows[i]);
    }
    return CMD_DONE;
}

static const struct {
    const char *word;
    bool needs_name;
    int (*run)(struct job *);
} subcommands[] = {
    {"add", true, run_add},
    {"passphrase", true, run_passphrase},
    {"list", false, run_list},
    {"disable", true, run_disable},
    {"accept", true, run_accept},
};
enum { SUBCOMMANDS = sizeof subcommands / sizeof *subcommands };

static int open_and_run(struct job *j, const char *dir, int which)
{
    const char *why = "";

    if (cmd_open(j->mem, dir, &j->st, &j->keys, &why) != OK) {
        return cmd_fail("staff", "%s", why);
    }
    return subcommands[which].run(j);
}

int cmd_staff(int argc, char **argv)
{
    struct job *j = mem_new(NULL, struct job);
    const char *dir = NULL;
    const struct cmd_option options[] = {
        {.name = "data", .value = &dir},
        {.name = "rights", .value = &j->rights_text},
        {.name = "passphrase-file", .value = &j->file},
        {.name = "class", .list = j->class_text, .list_n = &j->class_count,
         .list_max = CLASSES_MAX},
        {.name = NULL},
    };
    int first = 0, which = 0;
    int status = cmd_options(argc, argv, options, help, &first);

    j->mem = j;
    while (status < 0 && which < SUBCOMMANDS &&
           (first >= argc || strcmp(subcommands[which].word, argv[first]) != 0)) {
        which++;
    }
    if (status < 0 && (which == SUBCOMMANDS || !dir ||
                       argc - first != (subcommands[which].needs_name ? 2 : 1))) {
        status = cmd_usage("staff", "say add, passphrase, list, disable or accept, a name, and"
                           " --data DIR (see --help)");
    }
    if (status < 0 && subcommands[which].needs_name) {
        status = read_name(j, argv[first + 1]);
    }
    if (status < 0) {
        status = open_and_run(j, dir, which);
    }
    if (j->st) {
        store_close(j->st);
    }
    keys_free(j->keys);
    explicit_bzero(j->passphrase, sizeof j->passphrase);
    talloc_free(j);
    return status;
}
