/* SPDX-License-Identifier: MIT
 * `thrice check`: is this data folder sound? Serves nothing, changes nothing.
 *
 * Each finding is a line that says what to mend; what the school still has to do (amber on its
 * own page) is printed too, but is no fault. Exit 0 only without a finding.
 */
#include <inttypes.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "auth/audit.h"
#include "auth/keys.h"
#include "base/clock.h"
#include "base/mem.h"
#include "cmd.h"
#include "init.h"
#include "store/inspect.h"
#include "store/lock.h"
#include "store/purge_plan.h"
#include "store/school.h"
#include "store/staff.h"
#include "store/store.h"

static const char help[] =
    "thrice check --data DIR\n"
    "\n"
    "Looks at schema, integrity, permissions, key, settings and audit trail. Exit status 0 only\n"
    "when all is sound. Lines that begin with \"to do\" are the school's own list, not faults. It\n"
    "also says when the last purge and backup ran, and what the purge waits for.\n";

enum { BACKUP_OLD_DAYS = 7 };

struct job {
    void *ctx;
    const char *dir;
    int faults;
};

static void fault(struct job *j, const char *fmt, ...) __attribute__((format(printf, 2, 3)));
static void fault(struct job *j, const char *fmt, ...)
{
    va_list ap;
    va_start(ap, fmt);
    fputs("fault: ", stdout);
    vprintf(fmt, ap);
    fputc('\n', stdout);
    va_end(ap);
    j->faults++;
}

/* Ours alone, and nobody else's to read. */
static void look_at_file(struct job *j, const char *name, bool must, mode_t mend)
{
    char *path = *name ? mem_printf(j->ctx, "%s/%s", j->dir, name) : mem_str(j->ctx, j->dir);
    struct stat s;
    if (lstat(path, &s) != 0) {
        if (must) {
            fault(j, "%s is missing", path);
        }
        return;
    }
    if (S_ISLNK(s.st_mode) && *name) {
        fault(j, "%s is a link; put the file itself there", path);
        return;
    }
    if (stat(path, &s) == 0 && (s.st_mode & 077) != 0) {
        fault(j, "others may use %s; mend it with chmod %o", path, (unsigned)mend);
    }
    if (s.st_uid != geteuid() && geteuid() != 0) {
        fault(j, "%s belongs to another user (%u); mend it with chown", path, (unsigned)s.st_uid);
    }
}

static void look_at_files(struct job *j)
{
    look_at_file(j, "", true, 0700);
    look_at_file(j, "school.db", true, 0600);
    look_at_file(j, "school.db-wal", false, 0600);
    look_at_file(j, "school.db-shm", false, 0600);
    look_at_file(j, "master.key", false, 0600);
    look_at_file(j, LOCK_FILE, false, 0600);
}

static void look_at_database(struct job *j)
{
    struct inspect seen;
    if (inspect_database(j->ctx, j->dir, &seen) != OK) {
        fault(j, "the database could not be looked at");
        return;
    }
    for (size_t i = 0; i < seen.count; i++) {
        fault(j, "%s", seen.finding[i]);
    }
}

static void to_do(struct job *j, struct store *st, const struct school *s)
{
    struct calendar c;
    int64_t live = 0, office = 0;
    if (!s->dpia_done) {
        puts("to do: the data protection impact assessment (School page)");
    }
    if (!s->safeguarding_contact[0]) {
        puts("to do: how the designated safeguarding lead is reached (School page)");
    }
    if (school_calendar(st, j->ctx, &c) == OK && c.term_count == 0) {
        puts("to do: term dates (School page)");
    }
    if (staff_counts(st, &live, &office) != OK) {
        fault(j, "the accounts cannot be read");
    } else if (office == 0) {
        fault(j, "no live account holds the right office; give it with thrice staff add");
    } else if (live < 2) {
        puts("to do: a second account");
    }
}

static void say_day(const char *what, bool ever, int32_t day)
{
    char text[11];
    clock_day_print(day, text);
    printf("last %s: %s\n", what, ever ? text : "never");
}

static void clock_to_do(const struct upkeep *u, int32_t today)
{
    char text[11];
    clock_day_print(today, text);
    if (u->clock == UPKEEP_CLOCK_UNSURE) {
        printf("to do: nobody says that this machine's clock is right, so the purge deletes "
               "nothing: the office confirms on the School page that today is %s\n", text);
    } else if (u->clock == UPKEEP_CLOCK_BEHIND) {
        printf("to do: something is stored with a later time than the clock's (%s), so the purge "
               "deletes nothing: set the clock right, then the office confirms the date on the "
               "School page\n", text);
    }
}

/* When purge and backup last ran, and what the purge waits for: notes, never a fault. */
static void look_at_upkeep(struct job *j, struct store *st)
{
    const struct upkeep_now now = upkeep_now();
    const int32_t today = clock_day(now.at);
    struct purge_state s;
    if (purge_look(st, &now, &s) != OK) {
        fault(j, "what the purge waits for cannot be read");
        return;
    }
    say_day("purge", s.upkeep.purged, s.upkeep.purged_day);
    say_day("backup", s.upkeep.backed_up, s.upkeep.backup_day);
    if (!s.upkeep.backed_up || today - s.upkeep.backup_day > BACKUP_OLD_DAYS) {
        puts("to do: a backup (thrice backup FILE)");
    }
    clock_to_do(&s.upkeep, today);
    cmd_purge_waits(&s, s.waits.any ? "to do: " : "note: ");
}

static void look_at_school(struct job *j, struct store *st)
{
    struct school s;
    struct band_words words;
    if (school_get(st, j->ctx, &s) != OK) {
        fault(j, "the folder holds no school; start with thrice init in an empty one");
        return;
    }
    if (!clock_zone_known(s.time_zone)) {
        fault(j, "this machine does not know the time zone %s; install the package tzdata",
              s.time_zone);
    }
    if (s.origin && !init_origin_ok(s.origin)) {
        fault(j, "the public address is not of the form https://HOST[:PORT]");
    }
    if (school_band_words(st, j->ctx, &words) != OK || words.n < 2) {
        fault(j, "the words of the attainment bands are missing (School page)");
    }
    to_do(j, st, &s);
    if (clock_zone_known(s.time_zone) && school_use_zone(st) == OK) {
        look_at_upkeep(j, st);
    }
}

static void look_at_trail(struct job *j, struct store *st, const struct keys *k)
{
    struct audit_head head;
    if (audit_verify(st, k, &head) != OK) {
        fault(j, "the audit trail cannot be read");
    } else if (head.broken_at && !head.fitting) {
        fault(j, "master.key is another school's: no row of the audit trail fits it");
    } else if (head.broken_at) {
        fault(j, "the audit trail does not fit from row %" PRId64 " on: it was changed outside "
                 "thrice", head.broken_at);
    } else {
        printf("audit trail: %" PRId64 " rows, last %" PRId64 ", %s\n", head.rows, head.seq,
               head.mac);
        if (head.before_key) {
            printf("audit trail: rows up to %" PRId64 " were written under an earlier key and "
                   "cannot be proven\n", head.before_key);
        }
    }
}

static void look_inside(struct job *j)
{
    struct store *st = NULL;
    struct keys *keys = NULL;
    const char *why = "";
    if (store_open(j->ctx, j->dir, STORE_READ, &st, &why) != OK) {
        fault(j, "%s", why);
        return;
    }
    look_at_school(j, st);
    if (keys_load(j->dir, &keys, &why) != OK) {
        fault(j, "%s", why);
    } else {
        look_at_trail(j, st, keys);
    }
    keys_free(keys);
    store_close(st);
}

int cmd_check(int argc, char **argv)
{
    struct job j = {NULL};
    const struct cmd_option options[] = {{.name = "data", .value = &j.dir}, {.name = NULL}};
    int first = 0;
    int status = cmd_options(argc, argv, options, help, &first);
    if (status >= 0) {
        return status;
    }
    if (!j.dir || first != argc) {
        return cmd_usage("check", "say --data DIR (see --help)");
    }
    struct stat s;
    if (stat(j.dir, &s) != 0 || !S_ISDIR(s.st_mode)) {
        return cmd_fail("check", "%s is no folder; start with thrice init", j.dir);
    }
    j.ctx = mem_root();
    look_at_files(&j);
    look_at_database(&j);
    if (j.faults == 0) {
        look_inside(&j);
    }
    talloc_free(j.ctx);
    if (j.faults) {
        fflush(stdout);
        return cmd_fail("check", "%d fault%s; see above", j.faults, j.faults == 1 ? "" : "s");
    }
    puts("sound");
    return CMD_DONE;
}
