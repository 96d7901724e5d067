/* SPDX-License-Identifier: MIT
 * `thrice restore`: a data folder from a backup.
 *
 * Invariants: only into a missing or empty folder; the copy is checked before anything is made and
 * brought to this program's schema; all sessions end, since some of them may have been ended after
 * the backup was taken. Without the old key no typed code can match, so all cards are cancelled
 * (a card that half works would be worse) and the trail notes from where on the new key holds.
 */
#include <stdio.h>
#include <string.h>
#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include "auth/audit.h"
#include "auth/keys.h"
#include "base/clock.h"
#include "base/file.h"
#include "base/mem.h"
#include "cmd.h"
#include "init.h"
#include "store/backup.h"
#include "store/purge.h"
#include "store/school.h"
#include "store/sessions.h"
#include "store/store.h"
#include "store/upkeep.h"

static const char help[] =
    "thrice restore FILE --data DIR [--key FILE]\n"
    "\n"
    "Makes the folder DIR (missing or empty) from a backup. All sessions end.\n"
    "  --key   the school's master.key. Without it a new key is made and every card has to be\n"
    "          issued anew.\n";

struct job {
    void *ctx;
    const char *file, *dir, *key;
    struct store *st;
    struct keys *keys;
    int64_t cards;              /* cancelled */
};

/* A key is 32 bytes; keys_load says so when it is not. */
static enum err copy_key(struct job *j, const char **why)
{
    size_t n = 0;
    const char *read_why = "";
    char *bytes = file_read(j->ctx, j->key, 4096, &n, &read_why);
    if (!bytes || n != KEY_LEN) {
        *why = bytes ? "--key: that file is not a master.key (32 bytes)"
                     : mem_printf(j->ctx, "--key: %s: %s", j->key, read_why);
        return ERR_BAD_INPUT;
    }
    int fd = open(mem_printf(j->ctx, "%s/master.key", j->dir),
                  O_CREAT | O_EXCL | O_WRONLY | O_NOFOLLOW | O_CLOEXEC, 0600);
    bool ok = fd >= 0 && write(fd, bytes, n) == (ssize_t)n && fsync(fd) == 0;
    ok = fd >= 0 && close(fd) == 0 && ok;
    explicit_bzero(bytes, n);
    *why = "cannot write master.key in the new folder; is the disk full?";
    return ok ? OK : ERR_STORE;
}

static enum err settle(struct store *st, void *arg)
{
    struct job *j = arg;
    int64_t now = clock_now();
    enum err e = sessions_end_all(st);
    if (e == OK) {
        e = upkeep_unconfirm(st);
    }
    if (e == OK && !j->key) {
        e = purge_all_cards(st, now, &j->cards);
    }
    if (e == OK && !j->key) {
        e = audit_add(st, j->keys, now, "office box", AUDIT_KEY_REPLACED, "school:1", "restore");
    }
    return e == OK ? audit_add(st, j->keys, now, "office box", "school restored", "school:1", "")
                   : e;
}

/* Is it this school's key? The trail was chained with it. */
static enum err key_fits(struct job *j, const char **why)
{
    struct audit_head head;
    *why = "the audit trail cannot be read";
    enum err e = audit_verify(j->st, j->keys, &head);
    if (e == OK && head.broken_at) {
        *why = "--key: the audit trail does not fit this key: is it the master.key of this school? "
               "No card would work with another";
        e = ERR_CONFLICT;
    }
    return e;
}

static enum err fill(struct job *j, const char **why)
{
    enum err e = j->key ? copy_key(j, why) : keys_create(j->dir, why);
    if (e == OK) {
        e = keys_load(j->dir, &j->keys, why);
    }
    if (e == OK) {
        e = store_open(j->ctx, j->dir, STORE_WRITE, &j->st, why);
    }
    if (e == OK && j->key) {
        e = key_fits(j, why);
    }
    if (e == OK) {
        *why = "the copy holds no school";
        e = school_use_zone(j->st);
    }
    if (e == OK) {
        *why = "the restored school could not be written to; is the disk full?";
        e = store_tx(j->st, "restore", settle, j);
    }
    return e;
}

/* All or nothing: a folder that could not be filled is taken away again. */
static enum err restore(struct job *j, const char **why)
{
    bool was_empty = backup_dir_is_empty(j->dir);
    enum err e = backup_restore(j->ctx, j->file, j->dir, why);
    if (e == OK) {
        e = fill(j, why);
    }
    store_close(j->st);
    keys_free(j->keys);
    if (e != OK && was_empty) {
        init_take_away(j->ctx, j->dir);
    }
    return e;
}

static int run(struct job *j)
{
    const char *why = "";
    umask(0077);
    if (restore(j, &why) != OK) {
        return cmd_fail("restore", "%s", why);
    }
    printf("%s holds the school of %s. Everybody has to sign in again.\n", j->dir, j->file);
    if (!j->key) {
        printf("There was no key: a new one was made, and %lld cards were cancelled. All cards "
               "must be issued anew: thrice cards CLASS --data %s\n", (long long)j->cards, j->dir);
    }
    return CMD_DONE;
}

int cmd_restore(int argc, char **argv)
{
    struct job j = {NULL};
    const struct cmd_option options[] = {
        {.name = "data", .value = &j.dir},
        {.name = "key", .value = &j.key},
        {.name = NULL},
    };
    int first = 0;
    int status = cmd_options(argc, argv, options, help, &first);
    if (status >= 0) {
        return status;
    }
    if (!j.dir || argc - first != 1) {
        return cmd_usage("restore", "say FILE and --data DIR (see --help)");
    }
    j.ctx = mem_root();
    j.file = argv[first];
    status = run(&j);
    talloc_free(j.ctx);
    return status;
}
