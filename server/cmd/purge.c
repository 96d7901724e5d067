/* SPDX-License-Identifier: MIT
 * `thrice purge`: deletes what has been kept long enough and has stood in a plan for 14 days, says
 * how much of what, makes the day's plan, and leaves one audit row. --dry-run only looks; its
 * figures are those of a real run. `thrice serve` does the same once a night.
 */
#include <stdio.h>
#include <string.h>

#include "auth/keys.h"
#include "base/clock.h"
#include "base/mem.h"
#include "cmd.h"
#include "night.h"
#include "store/purge.h"
#include "store/purge_plan.h"
#include "store/school.h"
#include "store/store.h"

static const char help[] =
    "thrice purge [--dry-run] [--confirm-date YYYY-MM-DD] --data DIR\n"
    "\n"
    "Deletes what has been kept long enough; thrice serve does it once a night.\n"
    "  sessions             a day after they began\n"
    "  cards                60 days after they were cancelled or ran out\n"
    "  messages             30 days after somebody said they are in the school's own record\n"
    "  leavers              60 days after their last day: all that is held about the child\n"
    "  hand-ins             400 days after they came in\n"
    "  assessments, teaching points seen, answers in lessons, taking part, replaced ticks,\n"
    "  moderation           at the end of the school year after their own\n"
    "  drafts of reports, fresh starts\n"
    "                       at the end of their own school year\n"
    "  versions suggested for some\n"
    "                       35 days after the challenge closed\n"
    "  cancelled challenges that nobody sent tries to\n"
    "                       35 days after they were cancelled\n"
    "  copies made before an upgrade   35 days after\n"
    "Each run also makes the day's plan of what will be due within 14 days. Nothing goes (but\n"
    "sessions and copies) that a plan did not list at least 14 days before, with five days since\n"
    "on which somebody used the school. A plan that lists more than twice what the last one did\n"
    "waits for the office (School page).\n"
    "Nothing goes either, but sessions, unless the clock is synchronised, or the office has\n"
    "confirmed the date on the School page: a wrong clock must delete nothing.\n"
    "Audit rows stay; they hold ids and fixed words only. Backups are files of your own: delete\n"
    "those older than 35 days.\n"
    "  --dry-run            says what would go, changes nothing\n"
    "  --confirm-date DAY   on a machine without a network clock: today's date, as you know it.\n"
    "                       Any other than the clock's is refused.\n";

struct job {
    void *ctx;
    const char *dir, *confirm;
    bool dry;
    struct store *st;
    struct keys *keys;
    struct night_purge purge;
    struct purge_state after;
};

/* The date on the command line is the clock's, or nothing happens. */
static int confirm(struct job *j)
{
    char today[11];
    int32_t said = 0;
    if (!j->confirm) {
        return -1;
    }
    if (!clock_day_parse(j->confirm, &said)) {
        return cmd_usage("purge", "--confirm-date: expected YYYY-MM-DD");
    }
    clock_day_print(clock_day(j->purge.now.at), today);
    if (strcmp(today, j->confirm) != 0) {
        return cmd_fail("purge", "this machine's clock says %s, not %s; set it right, nothing was "
                        "deleted", today, j->confirm);
    }
    j->purge.now.confirmed = true;
    return -1;
}

static enum err look_only(struct store *st, void *arg)
{
    struct night_purge *p = arg;
    enum err e = purge_look(st, &p->now, &p->report.state);
    return e == OK ? purge_count(st, p->now.at, &p->report.state.may, &p->report.done) : e;
}

static int rows(struct job *j)
{
    const char *why = "";
    if (cmd_open(j->ctx, j->dir, &j->st, &j->keys, &why) != OK) {
        return cmd_fail("purge", "%s", why);
    }
    j->purge.keys = j->keys;
    j->purge.by_hand = true;
    j->purge.now = upkeep_now();
    int status = confirm(j);
    if (status >= 0) {
        return status;
    }
    enum err e = store_tx(j->st, "purge", j->dry ? look_only : night_purge, &j->purge);
    if (e == OK) {
        e = purge_look(j->st, &j->purge.now, &j->after);
    }
    if (e != OK) {
        return cmd_fail("purge", "%s", err_info(e)->title);
    }
    store_close(j->st);
    j->st = NULL;
    return -1;
}

static int refuse(const struct job *j)
{
    char today[11];
    clock_day_print(clock_day(j->purge.now.at), today);
    return j->purge.report.state.upkeep.clock == UPKEEP_CLOCK_BEHIND
        ? cmd_fail("purge", "the clock is earlier than what is stored; nothing was deleted. Set it "
                   "right; if today is %s, say --confirm-date %s", today, today)
        : cmd_fail("purge", "nobody says that this machine's clock is right; nothing was deleted. "
                   "If today is %s, say --confirm-date %s, or let the office confirm it on the "
                   "School page", today, today);
}

static void print_done(const struct purge_done *d)
{
    const struct {
        const char *what;
        int64_t n;
    } lines[] = {
        {"sessions", d->sessions},
        {"cards", d->cards},
        {"messages", d->messages},
        {"leavers", d->leavers},
        {"hand-ins", d->hand_ins},
        {"assessments, teaching points seen, drafts of reports and the like", d->decisions},
        {"cancelled challenges", d->challenges},
        {"copies", d->copies},
    };
    for (size_t i = 0; i < sizeof lines / sizeof *lines; i++) {
        printf("%s: %lld\n", lines[i].what, (long long)lines[i].n);
    }
}

void cmd_purge_waits(const struct purge_state *s, const char *mark)
{
    char day[11], from[11];
    if (s->waits.any) {
        clock_day_print(s->waits.day, day);
        printf("%sthe plan of %s lists %lld, more than twice what the one before it did (%lld): it "
               "waits for the office (School page)\n", mark, day, (long long)s->waits.listed,
               (long long)s->waits.before);
    }
    if (s->next) {
        clock_day_print(s->next_day, day);
        clock_day_print(s->next_day + PURGE_AHEAD_DAYS, from);
        printf("%slisted on %s: may go from %s on, after %d days of use (so far %d)\n", mark, day,
               from, PURGE_USE_DAYS, s->next_use);
    }
}

static int run(struct job *j)
{
    const char *why = "";
    bool clean = true;
    int status = rows(j);
    if (status >= 0) {
        return status;
    }
    struct purge_report *r = &j->purge.report;
    if (!upkeep_believed(r->state.upkeep.clock)) {
        return refuse(j);
    }
    if (purge_copies(j->dir, j->purge.now.at, j->dry, &r->done.copies) != OK) {
        return cmd_fail("purge", "an old copy (school-before-NNNN.db) cannot be deleted");
    }
    if (!j->dry && purge_compact(j->ctx, j->dir, true, &clean, &why) != OK) {
        return cmd_fail("purge", "deleted, but %s", why);
    }
    puts(j->dry ? "would be deleted:" : "deleted:");
    print_done(&r->done);
    cmd_purge_waits(&j->after, "waits: ");
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
        {.name = "confirm-date", .value = &j.confirm},
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
