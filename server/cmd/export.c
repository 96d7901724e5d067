/* SPDX-License-Identifier: MIT
 * `thrice export`: what the server exports over HTTP, from the shell of the machine, on standard
 * output. The audit trail says "office box"; its row is on the disk before the first byte goes out.
 * A class or a child is always named: nobody takes the whole school by leaving something out.
 */
#include <stdio.h>
#include <string.h>

#include "auth/audit.h"
#include "auth/auth.h"
#include "auth/keys.h"
#include "base/clock.h"
#include "base/mem.h"
#include "base/text.h"
#include "cmd.h"
#include "handlers/export_rows.h"
#include "handlers/handlers.h"
#include "store/classes.h"
#include "store/pupils.h"
#include "store/school.h"
#include "store/store.h"

static const char help[] =
    "thrice export results --class NAME --data DIR            hand-ins of this school year, CSV\n"
    "thrice export roster --class NAME --data DIR             the class list, CSV\n"
    "thrice export pupil NAME|ID [--class NAME] --data DIR    one child's data, JSON\n"
    "\n"
    "Writes to standard output. The file holds names and results: keep it no longer than needed.\n"
    "Messages to staff are in none of these.\n";

struct job {
    void *ctx;
    struct store *st;
    struct keys *keys;
    const char *dir, *class_name, *who;
    struct class_id cls;
    int64_t now;
    struct buf out;
    const char *failed;
    enum err (*fill)(struct job *j);
};

static enum err note(struct job *j, const char *action, const char *kind, int64_t id)
{
    char object[48];
    audit_object(kind, id, object);
    return audit_add(j->st, j->keys, j->now, "office box", action, object, "");
}

static enum err find_class(struct job *j)
{
    enum err e = class_find(j->st, j->class_name, &j->cls);
    if (e == ERR_NOT_FOUND) {
        j->failed = mem_printf(j->ctx, "there is no class \"%s\"", j->class_name);
    }
    return e;
}

static enum err fill_results(struct job *j)
{
    enum err e = find_class(j);
    const struct export_ask ask = {j->cls, clock_day(j->now), j->now};
    if (e == OK) {
        e = note(j, "results exported", "class", j->cls.v);
    }
    return e == OK ? export_results_csv(j->st, &ask, &j->out) : e;
}

static enum err fill_roster(struct job *j)
{
    enum err e = find_class(j);
    const struct export_ask ask = {j->cls, clock_day(j->now), j->now};
    if (e == OK) {
        e = note(j, "roster exported", "class", j->cls.v);
    }
    return e == OK ? export_roster_csv(j->st, &ask, &j->out) : e;
}

/* By id, or by name within a class. */
static enum err find_pupil(struct job *j, struct pupil_id *out)
{
    struct pupil_row *rows = NULL;
    size_t n = 0, hits = 0;
    if (!j->class_name) {
        j->failed = "say the child's id, or its name and --class NAME";
        return text_id(j->who, &out->v) ? OK : ERR_BAD_INPUT;
    }
    enum err e = find_class(j);
    const struct pupils_query want = {.in = j->cls, .day = clock_day(j->now), .now = j->now};
    if (e == OK) {
        e = pupils_of_class(j->st, j->ctx, &want, &rows, &n);
    }
    const char *cleaned = text_clean(j->ctx, j->who);
    const char *key = text_fold(j->ctx, cleaned);
    for (size_t i = 0; e == OK && key && i < n; i++) {
        if (strcmp(text_fold(j->ctx, rows[i].display_name), key) == 0) {
            *out = rows[i].id;
            hits++;
        }
    }
    if (e == OK && hits != 1) {
        j->failed = hits ? "two children of the class have that name; say the id"
                         : "there is no child of that name in the class";
        return ERR_NOT_FOUND;
    }
    return e;
}

/* The handler's own copy, as for somebody who holds office and pe_lead; it writes its audit row. */
static enum err fill_pupil(struct job *j)
{
    struct pupil_id id = {0};
    enum err e = find_pupil(j, &id);
    if (e != OK) {
        return e;
    }
    struct auth auth = {.keys = j->keys};
    struct request rq = {
        .mem = j->ctx,
        .query = mem_printf(j->ctx, "pupil=%lld", (long long)id.v),
        .body = "",
        .who = {.role = ROLE_STAFF, .rights = ALLOW_OFFICE | ALLOW_PE_LEAD},
        .now = j->now,
        .store = j->st,
        .auth = &auth,
    };
    struct reply rp = {.status = 200};
    e = h_export_pupil_get(&rq, &rp);
    j->failed = e == ERR_NOT_FOUND ? "there is no child with that id" : j->failed;
    j->out = rp.body;
    return e;
}

static enum err fill(struct store *st, void *arg)
{
    struct job *j = arg;
    (void)st;
    return j->fill(j);
}

static int run(struct job *j)
{
    const char *why = "";
    if (cmd_open(j->ctx, j->dir, &j->st, &j->keys, &why) != OK) {
        return cmd_fail("export", "%s", why);
    }
    j->now = clock_now();
    buf_init(&j->out, j->ctx);
    enum err e = store_tx(j->st, "export", fill, j);
    if (e != OK) {
        return cmd_fail("export", "%s", j->failed ? j->failed : err_info(e)->title);
    }
    if (fwrite(j->out.data, 1, j->out.len, stdout) != j->out.len || fflush(stdout) != 0) {
        return cmd_fail("export", "standard output could not be written to");
    }
    return CMD_DONE;
}

/* What is asked for; false: nothing that is known, or an argument too many or too few. */
static bool choose(struct job *j, int n, char **arg)
{
    if (n == 1 && j->class_name && strcmp(arg[0], "results") == 0) {
        j->fill = fill_results;
    } else if (n == 1 && j->class_name && strcmp(arg[0], "roster") == 0) {
        j->fill = fill_roster;
    } else if (n == 2 && strcmp(arg[0], "pupil") == 0) {
        j->fill = fill_pupil;
        j->who = arg[1];
    }
    return j->fill != NULL;
}

int cmd_export(int argc, char **argv)
{
    struct job j = {NULL};
    const struct cmd_option options[] = {
        {.name = "data", .value = &j.dir},
        {.name = "class", .value = &j.class_name},
        {.name = NULL},
    };
    int first = 0;
    int status = cmd_options(argc, argv, options, help, &first);
    if (status >= 0) {
        return status;
    }
    if (!j.dir || !choose(&j, argc - first, argv + first)) {
        return cmd_usage("export", "say results, roster or pupil, a class or a child, and --data "
                                   "DIR (see --help)");
    }
    j.ctx = mem_root();
    status = run(&j);
    store_close(j.st);
    keys_free(j.keys);
    talloc_free(j.ctx);
    return status;
}
