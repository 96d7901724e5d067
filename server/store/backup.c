/* SPDX-License-Identifier: MIT
 * Backup and restore.
 *
 * Owns: the order of steps that makes a copy trustworthy: VACUUM INTO a nameless part file (a
 * consistent snapshot while the server writes, without rows deleted long ago), fsync, open and
 * check the copy, rename without replacing, fsync of the folder.
 * Invariants: a file with the asked name is a checked backup or was there before; part files are
 * 0600 from their first byte and removed on failure; restore writes only into an empty folder.
 * Threats: another user of the machine reading the copy; a crafted file given to restore (its
 * schema must be, statement for statement, what the migrations make).
 */
#include "store/backup.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <libgen.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/mem.h"
#include "base/rand.h"
#include "store/inspect.h"
#include "store/migrate.h"
#include "store_internal.h"

struct job {
    void *ctx;
    const char **why;
};

static enum err refuse(struct job *j, enum err e, const char *what, const char *path)
{
    *j->why = mem_printf(j->ctx, "%s: %s", path, what);
    return e;
}

static bool file_sync(const char *path)
{
    int fd = open(path, O_RDONLY | O_CLOEXEC | O_NOFOLLOW);
    if (fd < 0) {
        return false;
    }
    bool ok = fsync(fd) == 0;
    return close(fd) == 0 && ok;
}

enum err backup_verify(void *ctx, const char *file, const char **why)
{
    struct inspect seen;
    enum err e = inspect_database(ctx, file, &seen);
    if (e != OK) {
        *why = mem_printf(ctx, "%s cannot be checked", file);
        return e;
    }
    if (seen.count) {
        *why = mem_printf(ctx, "%s is not a sound copy of a school: %s", file, seen.finding[0]);
        return ERR_STORE;
    }
    return OK;
}

/* Copies what `from` is open on into a new file `path`; gone again when it fails. */
static enum err copy_to(struct job *j, sqlite3 *from, const char *path)
{
    if (!db_file_make(path)) {
        return refuse(j, ERR_STORE, strerror(errno), path);
    }
    enum err e = db_copy_into(from, path);
    if (e != OK) {
        refuse(j, e, e == ERR_STORE_FULL ? "no room for the copy" : "the copy failed", path);
    } else if (!file_sync(path)) {
        e = refuse(j, ERR_STORE, strerror(errno), path);
    }
    if (e != OK) {
        unlink(path);
    }
    return e;
}

static enum err give_name(struct job *j, const char *part, const char *path)
{
    if (renameat2(AT_FDCWD, part, AT_FDCWD, path, RENAME_NOREPLACE) == 0) {
        return db_dir_sync(path) ? OK : refuse(j, ERR_STORE, strerror(errno), path);
    }
    /* File systems without RENAME_NOREPLACE: a hard link refuses an existing name too. */
    if (errno == EINVAL && link(part, path) == 0) {
        unlink(part);
        return db_dir_sync(path) ? OK : refuse(j, ERR_STORE, strerror(errno), path);
    }
    return errno == EEXIST
               ? refuse(j, ERR_CONFLICT, "is there already; give the copy a new name", path)
               : refuse(j, ERR_STORE, strerror(errno), path);
}

static enum err write_checked(struct job *j, sqlite3 *db, const char *path)
{
    char *part = mem_printf(j->ctx, "%s.%lld.part", path, (long long)rand_id());
    enum err e = copy_to(j, db, part);
    if (e != OK) {
        return e;
    }
    e = backup_verify(j->ctx, part, j->why);
    if (e == OK) {
        e = give_name(j, part, path);
    }
    if (e != OK) {
        unlink(part);
    }
    return e;
}

/* The absolute, link-free name of a file that need not exist. */
static char *target_path(void *ctx, const char *file)
{
    char *dir = dirname(mem_str(ctx, file));
    char *name = basename(mem_str(ctx, file));
    if (!strcmp(name, "/") || !strcmp(name, ".") || !strcmp(name, "..")) {
        return NULL;
    }
    return db_path(ctx, dir, name);
}

enum err backup_write(void *ctx, const char *dir, const char *file, const char **why)
{
    struct job j = {ctx, why};
    char *from = db_path(ctx, dir, STORE_FILE);
    char *path = target_path(ctx, file);
    struct stat s;
    if (!from) {
        return refuse(&j, ERR_NOT_FOUND, "there is no such folder", dir);
    }
    if (!path) {
        return refuse(&j, ERR_NOT_FOUND, "the folder for the copy is not there", file);
    }
    if (lstat(path, &s) == 0) {
        return refuse(&j, ERR_CONFLICT, "is there already; give the copy a new name", path);
    }
    sqlite3 *db = NULL;
    enum err e = db_open(ctx, from, DB_MAINTAIN, &db, why);
    if (e == OK) {
        e = write_checked(&j, db, path);
    }
    sqlite3_close(db);
    return e;
}

bool backup_dir_is_empty(const char *dir)
{
    DIR *d = opendir(dir);
    if (!d) {
        return errno == ENOENT;
    }
    bool empty = true;
    const struct dirent *entry;
    while (empty && (entry = readdir(d)) != NULL) {
        empty = !strcmp(entry->d_name, ".") || !strcmp(entry->d_name, "..");
    }
    closedir(d);
    return empty;
}

static enum err restore_into(struct job *j, sqlite3 *from, const char *dir)
{
    if (mkdir(dir, 0700) != 0 && errno != EEXIST) {
        return refuse(j, ERR_STORE, strerror(errno), dir);
    }
    char *path = db_path(j->ctx, dir, STORE_FILE);
    if (!path) {
        return refuse(j, ERR_STORE, strerror(errno), dir);
    }
    enum err e = copy_to(j, from, path);
    if (e == OK && !db_dir_sync(path)) {
        e = refuse(j, ERR_STORE, strerror(errno), dir);
    }
    return e == OK ? migrate_up(j->ctx, dir, j->why) : e;
}

enum err backup_restore(void *ctx, const char *file, const char *dir, const char **why)
{
    struct job j = {ctx, why};
    if (!backup_dir_is_empty(dir)) {
        return refuse(&j, ERR_CONFLICT, "the folder is not empty; restore into a new one", dir);
    }
    enum err e = backup_verify(ctx, file, why);
    char *path = db_real(ctx, file);
    if (e != OK || !path) {
        return e != OK ? e : refuse(&j, ERR_NOT_FOUND, "there is no such file", file);
    }
    sqlite3 *from = NULL;
    e = db_open(ctx, path, DB_LOOK, &from, why);
    if (e == OK) {
        e = restore_into(&j, from, dir);
    }
    sqlite3_close(from);
    return e;
}
