/* SPDX-License-Identifier: MIT
 * `thrice demo`: a made-up school with two terms of results, and cards to try.
 *
 * Everything is drawn from a fixed seed, so two runs in the same week make the same school with the
 * same codes; only master.key and the salts of the passphrases differ, because those are never
 * drawn from a known stream. So the codes of a demo school are no secret: the folder is for trying
 * things, and nothing about a real child belongs in it.
 * One transaction makes the school; when anything fails the files made here are taken away. */
#include "cmd.h"
#include "demo_internal.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/buf.h"
#include "base/clock.h"
#include "base/mem.h"
#include "base/rand.h"
#include "base/who.h"
#include "store/classes.h"
#include "store/migrate.h"
#include "store/school.h"
#include "store/staff.h"

static const char help[] =
    "thrice demo --data DIR [--json] [--today YYYY-MM-DD]\n"
    "\n"
    "Makes an invented school in a new or empty folder: staff, four classes and a group, 112\n"
    "pupils, two terms of results, cards to try. Dates count from Monday of this week, or of the\n"
    "week of --today. Prints the ways in and writes them to DIR/demo-sign-in.json; --json prints\n"
    "that file.\n"
    "For trying things out only: its codes are the same everywhere.\n";

static const uint64_t seed = 0x7468726963650003;

#define SIGN_IN_FILE "demo-sign-in.json"

/* The folder ----------------------------------------------------------------------------------- */

/* NULL: not there, or empty. Else what to do about it. */
static const char *folder_fault(const char *dir)
{
    DIR *d = opendir(dir);
    if (!d) {
        return errno == ENOENT ? NULL : strerror(errno);
    }
    const struct dirent *entry = readdir(d);
    while (entry && (strcmp(entry->d_name, ".") == 0 || strcmp(entry->d_name, "..") == 0)) {
        entry = readdir(d);
    }
    closedir(d);
    return entry ? "the folder is not empty; name a new one" : NULL;
}

static void clear_folder(void *mem, const char *dir)
{
    static const char *const made[] = {"school.db", "school.db-wal", "school.db-shm", "master.key",
                                       SIGN_IN_FILE};
    for (size_t i = 0; i < sizeof made / sizeof *made; i++) {
        unlink(mem_printf(mem, "%s/%s", dir, made[i]));
    }
}

static bool write_file(void *mem, const char *dir, const struct buf *b)
{
    const char *path = mem_printf(mem, "%s/" SIGN_IN_FILE, dir);
    int fd = open(path, O_WRONLY | O_CREAT | O_EXCL | O_NOFOLLOW | O_CLOEXEC, 0600);
    if (fd < 0) {
        return false;
    }
    size_t done = 0;
    while (done < b->len) {
        ssize_t n = write(fd, b->data + done, b->len - done);
        if (n < 0 && errno != EINTR) {
            break;
        }
        done += n > 0 ? (size_t)n : 0;
    }
    bool ok = done == b->len && fsync(fd) == 0;
    return close(fd) == 0 && ok;
}

/* The ways in ---------------------------------------------------------------------------------- */

static void member(struct buf *b, const char *name, const char *text)
{
    buf_printf(b, "\"%s\":", name);
    json_txt(b, text);
}

static void member_id(struct buf *b, const char *name, int64_t id)
{
    buf_printf(b, "\"%s\":\"%lld\"", name, (long long)id);
}

static enum err staff_classes_of(struct demo *d, const struct demo_staff *s, struct buf *b)
{
    struct staff_class_row *rows = NULL;
    size_t n = 0;
    const struct staff_classes_want held = {.id = s->id, .today = d->monday};
    enum err e = staff_classes(d->st, d->mem, &held, &rows, &n);
    for (size_t i = 0; e == OK && i < n; i++) {
        buf_str(b, i > 0 ? ",{" : "{");
        member_id(b, "id", rows[i].class_id.v);
        buf_str(b, ",");
        member(b, "name", rows[i].class_name);
        buf_str(b, ",");
        member(b, "right", right_word(rows[i].right));
        buf_str(b, "}");
    }
    return e;
}

static enum err one_staff(struct demo *d, const struct demo_staff *s, struct buf *b)
{
    static const unsigned bits[] = {ALLOW_PE_LEAD, ALLOW_SAFEGUARDING, ALLOW_OFFICE};
    struct staff_row row;
    enum err e = staff_get(d->st, d->mem, s->id, &row);
    if (e != OK) {
        return e;
    }
    buf_str(b, "{");
    member(b, "name", s->name);
    buf_str(b, ",");
    member(b, "passphrase", s->passphrase);
    buf_str(b, ",\"rights\":[");
    bool first = true;
    for (size_t i = 0; i < 3; i++) {
        if (row.rights & bits[i]) {
            buf_str(b, first ? "" : ",");
            json_txt(b, right_word(bits[i]));
            first = false;
        }
    }
    buf_str(b, "],\"classes\":[");
    e = staff_classes_of(d, s, b);
    buf_str(b, "]}");
    return e;
}

static void one_pupil(const struct demo *d, const struct demo_pupil *p, struct buf *b)
{
    buf_str(b, "{");
    member_id(b, "id", p->id.v);
    buf_str(b, ",");
    member(b, "display_name", p->name);
    buf_str(b, ",");
    member(b, "class", d->classes[p->cls].name);
    buf_str(b, ",");
    member(b, "code", p->code);
    buf_str(b, "}");
}

static void one_family(const struct demo *d, const struct demo_family *f, struct buf *b)
{
    buf_str(b, "{");
    member_id(b, "pupil_id", d->pupils[f->pupil].id.v);
    buf_str(b, ",");
    member(b, "pupil", d->pupils[f->pupil].name);
    buf_str(b, ",");
    member(b, "code", f->code);
    buf_str(b, "}");
}

static enum err ways_in(struct demo *d, struct buf *b)
{
    enum err e = OK;
    buf_str(b, "{");
    member(b, "school", demo_school_name);
    buf_str(b, ",\"staff\":[");
    for (int i = 0; e == OK && i < DEMO_STAFF; i++) {
        buf_str(b, i > 0 ? "," : "");
        e = one_staff(d, &d->staff[i], b);
    }
    buf_str(b, "],\"pupils\":[");
    for (int i = 0; i < DEMO_PUPILS; i++) {
        buf_str(b, i > 0 ? "," : "");
        one_pupil(d, &d->pupils[i], b);
    }
    buf_str(b, "],\"carers\":[");
    for (int i = 0; i < DEMO_FAMILIES; i++) {
        buf_str(b, i > 0 ? "," : "");
        one_family(d, &d->families[i], b);
    }
    buf_str(b, "]}\n");
    return e;
}

static void summary(const struct demo *d, const char *dir)
{
    printf("%s is ready; everything in it is invented.\n"
           "  serve it   thrice serve --data %s   (then http://127.0.0.1:8080)\n"
           "  staff      %s, %s\n"
           "  pupil      %s of %s, card %s\n"
           "  family     card %s (%s), and the same carer's %s (%s)\n"
           "  all        %s/" SIGN_IN_FILE "\n",
           demo_school_name, dir, d->staff[0].name, d->staff[0].passphrase, d->pupils[8].name,
           d->classes[d->pupils[8].cls].name, d->pupils[8].code, d->families[0].code,
           d->pupils[d->families[0].pupil].name, d->families[1].code,
           d->pupils[d->families[1].pupil].name, dir);
}

/* Making it ------------------------------------------------------------------------------------ */

static enum err build(struct store *st, void *arg)
{
    static enum err (*const steps[])(struct demo *) = {demo_people, demo_plan, demo_tries,
                                                       demo_after};
    struct demo *d = arg;
    enum err e = OK;
    (void)st;
    for (size_t i = 0; e == OK && i < sizeof steps / sizeof *steps; i++) {
        e = steps[i](d);
    }
    return e;
}

/* Empty folder to empty school. What is secret is drawn before the stream becomes reproducible. */
static enum err lay(struct demo *d, const char *dir, const char **why)
{
    enum err e = migrate_up(d->mem, dir, why);
    if (e == OK) {
        e = keys_create(dir, why);
    }
    if (e == OK) {
        e = keys_load(dir, &d->keys, why);
    }
    if (e == OK) {
        rand_reproducible(seed);
        clock_fix(d->now);
        e = store_open(d->mem, dir, STORE_WRITE, &d->st, why);
    }
    return e;
}

static int make(struct demo *d, const char *dir, bool json)
{
    const char *why = "the school could not be made";
    struct buf b;
    enum err e = lay(d, dir, &why);
    buf_init(&b, d->mem);
    if (e == OK) {
        e = store_tx(d->st, "demo", build, d);
        why = err_info(e)->title;
    }
    if (e == OK) {
        e = ways_in(d, &b);
        why = err_info(e)->title;
    }
    if (e == OK && !write_file(d->mem, dir, &b)) {
        e = ERR_STORE;
        why = SIGN_IN_FILE " could not be written";
    }
    if (e != OK) {
        store_close(d->st);
        d->st = NULL;
        clear_folder(d->mem, dir);
        return cmd_fail("demo", "%s", why);
    }
    if (json) {
        fwrite(b.data, 1, b.len, stdout);
    } else {
        summary(d, dir);
    }
    return fflush(stdout) == 0 ? CMD_DONE
                               : cmd_fail("demo", "standard output: %s", strerror(errno));
}

int cmd_demo(int argc, char **argv)
{
    const char *dir = NULL, *today = NULL;
    bool json = false;
    const struct cmd_option options[] = {
        {.name = "data", .value = &dir}, {.name = "today", .value = &today},
        {.name = "json", .flag = &json}, {0},
    };
    int first = 0, status = cmd_options(argc, argv, options, help, &first);
    if (status >= 0) {
        return status;
    }
    if (!dir || first < argc) {
        return cmd_usage("demo", "%s", dir ? "too many words" : "--data DIR is missing");
    }
    int32_t day = 0;
    if (!clock_set_zone("Europe/London")) {
        return cmd_fail("demo", "the zone data of the system is missing; install tzdata");
    }
    if (today && !clock_day_parse(today, &day)) {
        return cmd_usage("demo", "--today needs a day like 2026-03-02");
    }
    const char *fault = folder_fault(dir);
    if (fault) {
        return cmd_fail("demo", "%s: %s", dir, fault);
    }
    struct demo *d = mem_new(NULL, struct demo);
    d->mem = d;
    day = today ? day : clock_day(clock_now());
    d->monday = day - (clock_weekday(day) - 1);
    d->now = clock_day_start(d->monday);
    const int32_t year = school_year_first(day);
    d->families_at = clock_day_start(year > d->monday ? year : d->monday);
    status = make(d, dir, json);
    store_close(d->st);
    keys_free(d->keys);
    talloc_free(d);
    return status;
}
