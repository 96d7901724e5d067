/* SPDX-License-Identifier: MIT
 * `thrice purge`: deletes what has been kept long enough, says how much of what, and leaves one
 * audit row. --dry-run only looks; its figures are those of a real run.
 */
#include <stdio.h>
#include <string.h>

#include "auth/audit.h"
#include "auth/keys.h"
#include "base/clock.h"
#include "base/mem.h"
#include "cmd.h"
#include "store/purge.h"
#include "store/school.h"
#include "store/store.h"

static const char help[] =
    "thrice purge [--dry-run] [--clock-is-right] --data DIR\n"
    "\n"
    "Deletes what has been kept long enough; run it once a night.\n"
    "  sessions             a day after they began\n"
    "  cards                60 days after they were cancelled or ran out\n"
    "  messages             30 days after somebody said they are in the school's own record\n"
    "  leavers              60 days after their last day: all that is held about the child\n"
    "  hand-ins             400 days after they came in\n"
    "  assessments, teaching points seen, answers in lessons, taking part, replaced ticks\n"
    "                       at the end of the school year after their own\n"
    "  copies made before an upgrade   35 days after\n"
    "Audit rows stay; they hold ids and fixed words only. Backups are files of your own: delete\n"
    "those older than 35 days.\n"
    "  --dry-run            says what would go, deletes nothing\n"
    "  --clock-is-right     go on although nothing was stored for 45 days. A clock earlier than\n"
    "                       what is stored is always refused: a wrong clock must delete nothing.\n";

struct job {
    void *ctx;
    const char *dir;
    bool dry, clock_is_right;
    struct store *st;
    struct keys *keys;
    struct purge_done done;
    const char *refused;
};

static enum err look_at_clock(struct job *j, int64_t now)
{
    enum purge_clock clock;
    enum err e = purge_clock(j->st, now, &clock);
    if (e == OK && clock == PURGE_CLOCK_BACK) {
        j->refused = "the clock is earlier than what is stored; set it right, nothing was deleted";
        e = ERR_CONFLICT;
    }
    if (e == OK && clock == PURGE_CLOCK_AHEAD && !j->clock_is_right) {
        j->refused = "nothing was stored for 45 days: is the clock right? Then say "
                     "--clock-is-right; nothing was deleted";
        e = ERR_CONFLICT;
    }
    return e;
}

static enum err purge(struct store *st, void *arg)
{
    struct job *j = arg;
    int64_t now = clock_now();
    enum err e = look_at_clock(j, now);
    if (e == OK && j->dry) {
        return purge_plan(st, now, &j->done);
    }
    if (e == OK) {
        e = purge_rows(st, now, &j->done);
    }
    return e == OK ? audit_add(st, j->keys, now, "office box", "purged", "school:1", "") : e;
}

static void print_done(const struct job *j)
{
    const struct purge_done *d = &j->done;
    const struct {
        const char *what;
        int64_t n;
    } lines[] = {
        {"sessions", d->sessions},
        {"cards", d->cards},
        {"messages", d->messages},
        {"leavers", d->leavers},
        {"hand-ins", d->hand_ins},
        {"assessments, points seen, taking part", d->decisions},
        {"copies", d->copies},
    };
    for (size_t i = 0; i < sizeof lines / sizeof *lines; i++) {
        printf("%s: %lld\n", lines[i].what, (long long)lines[i].n);
    }
}

static int rows(struct job *j)
{
    const char *why = "";
    if (cmd_open(j->ctx, j->dir, &j->st, &j->keys, &why) != OK) {
        return cmd_fail("purge", "%s", why);
    }
    enum err e = store_tx(j->st, "purge", purge, j);
    if (e != OK) {
        return cmd_fail("purge", "%s", j->refused ? j->refused : err_info(e)->title);
    }
    store_close(j->st);
    j->st = NULL;
    return -1;
}

static int run(struct job *j)
{
    const char *why = "";
    bool clean = true;
    int status = rows(j);
    if (status >= 0) {
        return status;
    }
    if (purge_copies(j->dir, clock_now(), j->dry, &j->done.copies) != OK) {
        return cmd_fail("purge", "an old copy (school-before-NNNN.db) cannot be deleted");
    }
    if (!j->dry && purge_compact(j->ctx, j->dir, &clean, &why) != OK) {
        return cmd_fail("purge", "deleted, but %s", why);
    }
    puts(j->dry ? "would be deleted:" : "deleted:");
    print_done(j);
    if (!clean) {
        puts("The server is running: traces stay in school.db-wal until it is restarted or the "
             "next purge.");
    }
    return CMD_DONE;
}

int cmd_purge(int argc, char **argv)
{
    struct job j = {NULL};
    const struct cmd_option options[] = {
        {.name = "data", .value = &j.dir},
        {.name = "dry-run", .flag = &j.dry},
        {.name = "clock-is-right", .flag = &j.clock_is_right},
        {.name = NULL},
    };
    int first = 0;
    int status = cmd_options(argc, argv, options, help, &first);
    if (status >= 0) {
        return status;
    }
    if (!j.dir || first != argc) {
        return cmd_usage("purge", "say --data DIR (see --help)");
    }
    j.ctx = mem_root();
    status = run(&j);
    store_close(j.st);
    keys_free(j.keys);
    talloc_free(j.ctx);
    return status;
}
