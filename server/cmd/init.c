/* SPDX-License-Identifier: MIT
 * `thrice init`: a data folder with one school in it.
 *
 * Owns: the order of first things. The master key is drawn before anything else is stored; the
 * school's row, its band words, the first account and the starter activities go in together.
 * Invariants: a folder that holds anything is refused, so no school is ever overwritten; what was
 * made is taken away again when a later step fails; a passphrase is never an argument (other users
 * of the machine could see it).
 */
#include "init.h"

#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "auth/audit.h"
#include "auth/keys.h"
#include "base/clock.h"
#include "base/file.h"
#include "base/mem.h"
#include "base/name.h"
#include "base/text.h"
#include "base/who.h"
#include "cmd.h"
#include "store/backup.h"
#include "store/changes.h"
#include "store/migrate.h"
#include "store/school.h"
#include "store/staff.h"

enum { SCHOOL_NAME_MAX = 80, STAFF_NAME_MAX = 60 };

static const char zone[] = "Europe/London";

static const char help[] =
    "thrice init --data DIR --school NAME --staff NAME [--passphrase-file FILE|-] [--origin URL]\n"
    "\n"
    "Makes the folder DIR with a new school in it: its key, its database, a first account that\n"
    "holds every right, six starter activities. DIR must be missing or empty.\n"
    "  --passphrase-file  the first account's passphrase, one line; without it one is drawn,\n"
    "                     printed once, and must be changed at the first sign-in\n"
    "  --origin           the school's public address, https://HOST: what links and QR codes say\n"
    "\n"
    "Keep a copy of DIR/master.key apart from the backups: without it every card has to be issued\n"
    "anew after a restore.\n";

struct making {
    const struct init_ask *ask;
    struct init_done *done;
    void *ctx;
    struct store *st;
    struct keys *keys;
    const char *school, *staff, *staff_key;
    char hash[PASSPHRASE_HASH];
    int64_t now;
};

/* What was asked ------------------------------------------------------------------------------- */

bool init_origin_ok(const char *url)
{
    static const char *const local[] = {"http://127.0.0.1", "http://localhost", "http://[::1]"};
    const char *rest = NULL;
    if (strncmp(url, "https://", 8) == 0) {
        size_t n = strspn(url + 8, "abcdefghijklmnopqrstuvwxyz0123456789.-");
        rest = n > 0 && n < 254 && url[8] != '.' && url[8] != '-' ? url + 8 + n : NULL;
    }
    for (size_t i = 0; i < sizeof local / sizeof *local; i++) {
        size_t n = strlen(local[i]);
        rest = strncmp(url, local[i], n) == 0 ? url + n : rest;
    }
    int64_t port;
    return rest && (*rest == '\0' || (*rest == ':' && text_int(rest + 1, 1, 65535, &port)));
}

static enum err check(struct making *m, const char **why)
{
    const struct init_ask *a = m->ask;
    if (name_fault(a->school, strlen(a->school), SCHOOL_NAME_MAX)) {
        *why = "--school: a name of 1 to 80 characters is needed";
        return ERR_BAD_INPUT;
    }
    if (name_fault(a->staff, strlen(a->staff), STAFF_NAME_MAX)) {
        *why = "--staff: a name of 1 to 60 characters is needed";
        return ERR_BAD_INPUT;
    }
    if (a->origin && !init_origin_ok(a->origin)) {
        *why = "--origin: expected https://HOST[:PORT] in small letters (plain http is for this "
               "machine only)";
        return ERR_BAD_INPUT;
    }
    m->school = text_clean(m->ctx, a->school);
    m->staff = text_clean(m->ctx, a->staff);
    m->staff_key = text_fold(m->ctx, m->staff);
    const char *code = a->passphrase ? passphrase_refusal(a->passphrase, strlen(a->passphrase),
                                                          m->school, m->staff)
                                     : NULL;
    if (code) {
        *why = mem_printf(m->ctx, "choose another passphrase (%s): %d to %d bytes, not one that "
                                  "many people use, not the name of the school or the account",
                          code, PASSPHRASE_MIN, PASSPHRASE_MAX);
        return ERR_BAD_INPUT;
    }
    if (!backup_dir_is_empty(a->dir)) {
        *why = mem_printf(m->ctx, "%s is not an empty folder; a school needs one of its own",
                          a->dir);
        return ERR_CONFLICT;
    }
    return OK;
}

static enum err hash(struct making *m, const char **why)
{
    const char *text = m->ask->passphrase;
    if (!text) {
        passphrase_words(m->done->drawn);
        text = m->done->drawn;
    }
    *why = "not enough memory to hash the passphrase";
    return passphrase_hash(text, strlen(text), m->hash);
}

/* What goes in --------------------------------------------------------------------------------- */

static enum err put_school(struct making *m)
{
    static const struct band_words words = {
        .n = 3, .word = {"working towards the aim", "met the aim", "beyond the aim"}};
    const struct school s = {
        .name = m->school,
        .time_zone = zone,
        .origin = m->ask->origin,
        .away_phone = "",
        .safeguarding_contact = "",
        .created_at = m->now,
    };
    enum err e = school_make(m->st, &s);
    return e == OK ? school_band_words_put(m->st, &words) : e;
}

static enum err put_staff(struct making *m)
{
    m->done->staff.v = store_id_new();
    const struct staff_new s = {
        .id = m->done->staff,
        .name = m->staff,
        .name_key = m->staff_key,
        .hash = m->hash,
        .must_change = m->ask->passphrase == NULL,
        .now = m->now,
    };
    enum err e = staff_put(m->st, &s);
    if (e == OK) {
        e = staff_set_rights(m->st, s.id, ALLOW_PE_LEAD | ALLOW_SAFEGUARDING | ALLOW_OFFICE);
    }
    return e == OK ? change_settle(m->st, s.id, m->now) : e;
}

static enum err put_all(struct store *st, void *arg)
{
    struct making *m = arg;
    char object[48];
    enum err e = put_school(m);
    if (e == OK) {
        e = put_staff(m);
    }
    if (e == OK) {
        e = starters_install(st, m->now, m->done->starters);
    }
    audit_object("staff", m->done->staff.v, object);
    return e == OK ? audit_add(st, m->keys, m->now, "office box", "school made", object, "") : e;
}

/* Steps ---------------------------------------------------------------------------------------- */

static enum err make(struct making *m, const char **why)
{
    const char *dir = m->ask->dir;
    enum err e = migrate_up(m->ctx, dir, why);
    if (e == OK) {
        e = keys_create(dir, why);
    }
    if (e == OK) {
        e = keys_load(dir, &m->keys, why);
    }
    if (e == OK) {
        e = store_open(m->ctx, dir, STORE_WRITE, &m->st, why);
    }
    if (e == OK && !clock_set_zone(zone)) {
        *why = "this machine has no time zone data; install the package tzdata";
        e = ERR_STORE;
    }
    if (e == OK) {
        *why = "the school could not be stored; is the disk full?";
        e = store_tx(m->st, "init", put_all, m);
    }
    store_close(m->st);
    keys_free(m->keys);
    return e;
}

void init_take_away(void *ctx, const char *dir)
{
    static const char *const made[] = {"school.db", "school.db-wal", "school.db-shm", "master.key"};
    for (size_t i = 0; i < sizeof made / sizeof *made; i++) {
        (void)unlink(mem_printf(ctx, "%s/%s", dir, made[i]));
    }
    (void)rmdir(dir);
}

enum err init_school(void *ctx, const struct init_ask *ask, struct init_done *out,
                     const char **why)
{
    *out = (struct init_done){.drawn = ""};
    struct making m = {.ask = ask, .done = out, .ctx = ctx, .now = clock_now()};
    enum err e = check(&m, why);
    if (e == OK) {
        e = hash(&m, why);
    }
    if (e != OK) {
        return e;
    }
    e = make(&m, why);
    if (e != OK) {
        init_take_away(ctx, ask->dir);
    }
    return e;
}

/* The command ---------------------------------------------------------------------------------- */

/* The first line of the file. */
static int read_passphrase(void *ctx, const char *file, const char **out)
{
    const char *why = "";
    size_t n = 0;
    if (!file) {
        return -1;
    }
    char *text = file_read(ctx, file, 1024, &n, &why);
    if (!text) {
        return cmd_fail("init", "cannot read the passphrase from %s: %s", file, why);
    }
    text[strcspn(text, "\r\n")] = '\0';
    *out = text;
    return -1;
}

static int run(void *ctx, struct init_ask *ask, const char *file)
{
    struct init_done done;
    const char *why = "";
    int status = read_passphrase(ctx, file, &ask->passphrase);
    if (status >= 0) {
        return status;
    }
    umask(0077);
    enum err e = init_school(ctx, ask, &done, &why);
    if (ask->passphrase) {
        explicit_bzero((void *)(uintptr_t)ask->passphrase, strlen(ask->passphrase));
    }
    if (e != OK) {
        return cmd_fail("init", "%s", why);
    }
    printf("%s holds a new school.\n", ask->dir);
    if (done.drawn[0]) {
        printf("passphrase for %s: %s\n(shown once; it must be changed at the first sign-in)\n",
               ask->staff, done.drawn);
        explicit_bzero(done.drawn, sizeof done.drawn);
    }
    printf("Keep a copy of %s/master.key apart from the backups.\n"
           "Next: thrice serve --data %s\n", ask->dir, ask->dir);
    if (fflush(stdout) != 0) {
        return cmd_fail("init", "the school was made but nothing could be printed");
    }
    return CMD_DONE;
}

int cmd_init(int argc, char **argv)
{
    struct init_ask ask = {NULL};
    const char *file = NULL;
    const struct cmd_option options[] = {
        {.name = "data", .value = &ask.dir},
        {.name = "school", .value = &ask.school},
        {.name = "staff", .value = &ask.staff},
        {.name = "passphrase-file", .value = &file},
        {.name = "origin", .value = &ask.origin},
        {.name = NULL},
    };
    int first = 0;
    int status = cmd_options(argc, argv, options, help, &first);
    if (status >= 0) {
        return status;
    }
    if (!ask.dir || !ask.school || !ask.staff || first != argc) {
        return cmd_usage("init", "say --data DIR, --school NAME and --staff NAME (see --help)");
    }
    void *ctx = mem_root();
    status = run(ctx, &ask, file);
    talloc_free(ctx);
    return status;
}
