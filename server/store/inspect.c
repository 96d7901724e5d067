/* SPDX-License-Identifier: MIT
 * Is a database whole, and is it ours?
 *
 * Owns: the comparison of a file's schema with the one the embedded migrations make (built in
 * memory), so that a table, trigger or column added, dropped or changed by hand shows.
 * Invariant: nothing is written; findings are fixed sentences with counts and names of the schema,
 * never a value out of a row.
 */
#include "store/inspect.h"

#include <string.h>
#include <sys/stat.h>

#include "base/mem.h"
#include "store/migrate.h"
#include "store_internal.h"

struct look {
    void *ctx;
    sqlite3 *db;
    struct inspect *out;
};

static void find(struct look *l, const char *sentence)
{
    if (l->out->count < INSPECT_FINDINGS) {
        l->out->finding[l->out->count++] = sentence;
    }
}

static const char *text_at(sqlite3_stmt *row, int i)
{
    const char *s = (const char *)sqlite3_column_text(row, i);
    return s ? s : "";
}

static const char schema_sql[] = "SELECT type || ' ' || name, coalesce(sql, '') FROM sqlite_schema "
                                 "WHERE name NOT LIKE 'sqlite!_%' ESCAPE '!' ORDER BY 1";

/* Walks both lists in order of type and name. */
static enum err schema_walk(struct look *l, sqlite3_stmt *is, sqlite3_stmt *should)
{
    int a = sqlite3_step(is), b = sqlite3_step(should);
    while (a == SQLITE_ROW || b == SQLITE_ROW) {
        int order = a != SQLITE_ROW   ? 1
                    : b != SQLITE_ROW ? -1
                                      : strcmp(text_at(is, 0), text_at(should, 0));
        if (order < 0) {
            find(l, mem_printf(l->ctx, "the database has a %s that thrice did not make",
                               text_at(is, 0)));
        } else if (order > 0) {
            find(l, mem_printf(l->ctx, "the %s is missing", text_at(should, 0)));
        } else if (strcmp(text_at(is, 1), text_at(should, 1)) != 0) {
            find(l, mem_printf(l->ctx, "the %s is not as thrice makes it", text_at(is, 0)));
        }
        a = order <= 0 ? sqlite3_step(is) : a;
        b = order >= 0 ? sqlite3_step(should) : b;
    }
    enum err e = a == SQLITE_DONE ? OK : store_err(l->db, a, "schema");
    return e == OK && b != SQLITE_DONE ? ERR_STORE : e;
}

static enum err schema_look(struct look *l, int version)
{
    sqlite3 *model = NULL;
    const char *why = "";
    enum err e = migrate_in_memory(l->ctx, version, &model, &why);
    if (e != OK) {
        return e;
    }
    sqlite3_stmt *is = NULL, *should = NULL;
    int rc = sqlite3_prepare_v2(l->db, schema_sql, -1, &is, NULL);
    if (rc == SQLITE_OK) {
        rc = sqlite3_prepare_v2(model, schema_sql, -1, &should, NULL);
    }
    e = rc == SQLITE_OK ? schema_walk(l, is, should) : store_err(l->db, rc, "schema");
    sqlite3_finalize(is);
    sqlite3_finalize(should);
    sqlite3_close(model);
    return e;
}

static enum err pages_look(struct look *l)
{
    int64_t bad = 0, lost = 0;
    enum err e = db_int(l->db, "SELECT count(*) FROM pragma_integrity_check "
                               "WHERE integrity_check <> 'ok'", &bad);
    if (e == OK) {
        e = db_int(l->db, "SELECT count(*) FROM pragma_foreign_key_check", &lost);
    }
    if (e != OK) {
        find(l, "the database is damaged: restore the last backup");
        return OK;
    }
    if (bad) {
        find(l, mem_printf(l->ctx, "the database is damaged (%lld findings of integrity_check): "
                                   "restore the last backup", (long long)bad));
    }
    if (lost) {
        find(l, mem_printf(l->ctx, "%lld references lead nowhere (foreign_key_check)",
                           (long long)lost));
    }
    return OK;
}

static enum err look(struct look *l)
{
    int64_t id = 0, version = 0;
    enum err e = db_int(l->db, "PRAGMA application_id", &id);
    if (e == OK) {
        e = db_int(l->db, "PRAGMA user_version", &version);
    }
    if (e != OK) {
        find(l, "the file cannot be read as a database");
        return OK;
    }
    if (id != STORE_APPLICATION_ID) {
        find(l, "the file was not made by thrice (application_id)");
        return OK;
    }
    if (version < 1 || version > migrate_newest()) {
        find(l, mem_printf(l->ctx, "schema %lld is not one that this thrice knows (1 to %d)",
                           (long long)version, migrate_newest()));
        return OK;
    }
    const char *why = "";
    if (migrate_hashes_fit(l->ctx, l->db, &why) != OK) {
        find(l, why);
    }
    e = schema_look(l, (int)version);
    return e == OK ? pages_look(l) : e;
}

enum err inspect_database(void *ctx, const char *path, struct inspect *out)
{
    *out = (struct inspect){0};
    struct look l = {ctx, NULL, out};
    struct stat s;
    const char *why = "";
    bool is_dir = stat(path, &s) == 0 && S_ISDIR(s.st_mode);
    char *full = is_dir ? db_path(ctx, path, STORE_FILE) : db_real(ctx, path);
    if (!full) {
        find(&l, "there is no such file");
        return OK;
    }
    enum err e = db_open(ctx, full, is_dir ? DB_READ : DB_LOOK, &l.db, &why);
    if (e != OK) {
        find(&l, why);
        return OK;
    }
    e = look(&l);
    sqlite3_close(l.db);
    return e;
}
