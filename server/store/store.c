/* SPDX-License-Identifier: MIT
 * Opening and closing a store.
 *
 * Owns: the prepared statements of one connection; the process-wide count of changes.
 * Invariants: opening for writing tries every statement of the program against the schema, so a
 * wrong column stops the start and not a lesson; a statement is prepared for keeps when it is
 * first used (all of them at once cost 25 ms and 1.2 MB a connection, and most connections use a
 * third); the file is ours (application_id), its schema number is the newest embedded, and no
 * applied migration has changed since it was applied.
 *
 * The count behind ETags must never be equal for two different states, on any thread. It is one
 * number for the process, raised after each of our commits, and raised too whenever a connection
 * notices (PRAGMA data_version) that somebody else has committed, `thrice roster import` beside a
 * running server for one. A connection cannot tell its own process's writer from another process,
 * so one commit may raise it once more per connection: that costs a needless full answer, never a
 * stale one. It starts at a random point, so no count of an earlier run means anything.
 * Mutable file-scope state: that count.
 */
#include <pthread.h>
#include <stdatomic.h>
#include <string.h>

#include "base/log.h"
#include "base/mem.h"
#include "base/rand.h"
#include "store/migrate.h"
#include "store_internal.h"

static _Atomic uint64_t changes;
static pthread_once_t changes_started = PTHREAD_ONCE_INIT;

static void changes_start(void)
{
    uint64_t at;
    rand_bytes(&at, sizeof at);
    atomic_store(&changes, at);
}

void store_committed(void)
{
    atomic_fetch_add(&changes, 1);
}

void **store_slot(struct store *st, enum store_slot_id id)
{
    return &st->slots[id];
}

int64_t store_id_new(void)
{
    return rand_id();
}

uint64_t store_change_count(struct store *st)
{
    if (sqlite3_step(st->data_version) == SQLITE_ROW) {
        int64_t version = sqlite3_column_int64(st->data_version, 0);
        /* The database moved on. When the process's own count did so too, that is the reason, or
         * stands for it: the tag differs already. Else another process wrote. Counting once a
         * connection instead would change the tag of an unchanged page as often as there are
         * connections. */
        if (version != st->seen_version && atomic_load(&changes) == st->seen_changes) {
            store_committed();
        }
        st->seen_version = version;
    } else {
        store_committed();      /* unknown counts as changed */
    }
    sqlite3_reset(st->data_version);
    st->seen_changes = atomic_load(&changes);
    return st->seen_changes;
}

bool store_is_idle(struct store *st)
{
    if (st->running == 0) {
        return true;
    }
    for (size_t i = 0; i < st->set_count; i++) {
        for (size_t j = 0; j < st->sets[i].set->count; j++) {
            sqlite3_stmt *stmt = st->sets[i].stmts[j];
            if (!stmt) {
                continue;
            }
            if (sqlite3_stmt_busy(stmt)) {
                log_event(LOG_ERROR, "query", "left_open=\"%s\"", st->sets[i].set->defs[j].name);
                sqlite3_reset(stmt);
            }
            sqlite3_clear_bindings(stmt);
        }
    }
    st->running = 0;
    log_bug("a query was begun and not ended");
    return false;
}

static bool only_space(const char *s)
{
    return s[strspn(s, " \t\r\n;")] == '\0';
}

static int prepare(sqlite3 *db, const char *sql, unsigned flags, sqlite3_stmt **out)
{
    const char *rest = "";
    int rc = sqlite3_prepare_v3(db, sql, -1, flags, out, &rest);
    return rc == SQLITE_OK && (!*out || !only_space(rest)) ? SQLITE_MISUSE : rc;
}

static enum err statement_fits(void *ctx, sqlite3 *db, const struct stmt_set *set,
                               const struct stmt_def *def, const char **why)
{
    sqlite3_stmt *stmt = NULL;
    int rc = def->sql ? prepare(db, def->sql, 0, &stmt) : SQLITE_MISUSE;
    if (rc != SQLITE_OK) {
        *why = mem_printf(ctx, "statement %s / %s does not fit the database: %s", set->name,
                          def->name ? def->name : "without a name",
                          rc == SQLITE_MISUSE ? "not exactly one statement" : sqlite3_errmsg(db));
    }
    sqlite3_finalize(stmt);
    return rc == SQLITE_OK ? OK : ERR_STORE;
}

enum err store_statements_fit(void *ctx, struct store *st, const char **why)
{
    enum err e = OK;
    for (size_t i = 0; e == OK && i < st->set_count; i++) {
        const struct stmt_set *set = st->sets[i].set;
        for (size_t j = 0; e == OK && j < set->count; j++) {
            e = statement_fits(ctx, st->db, set, &set->defs[j], why);
        }
    }
    return e;
}

void *store_statement(struct store *st, const struct stmt_set *set, size_t index)
{
    size_t i = 0;
    while (i < st->set_count && st->sets[i].set != set) {
        i++;
    }
    if (i == st->set_count || index >= set->count) {
        log_bug("statement of no listed set");
        return NULL;
    }
    sqlite3_stmt **stmt = &st->sets[i].stmts[index];
    if (!*stmt) {
        int rc = prepare(st->db, set->defs[index].sql, SQLITE_PREPARE_PERSISTENT, stmt);
        if (rc != SQLITE_OK) {
            (void)store_err(st->db, rc, set->defs[index].name);
        }
    }
    return *stmt;
}

static enum err places_make(struct store *st)
{
    size_t n = 0;
    while (store_sets[n]) {
        n++;
    }
    st->sets = mem_array(st, struct store_set, n);
    for (; st->set_count < n; st->set_count++) {
        const struct stmt_set *set = store_sets[st->set_count];
        st->sets[st->set_count] =
            (struct store_set){set, mem_array(st, sqlite3_stmt *, set->count)};
    }
    return store_err(st->db, prepare(st->db, "PRAGMA data_version", SQLITE_PREPARE_PERSISTENT,
                                     &st->data_version), "data_version");
}

/* Is it ours, and of today's schema? */
static enum err vet(void *ctx, sqlite3 *db, const char **why)
{
    int64_t id = 0, version = 0;
    enum err e = db_int(db, "PRAGMA application_id", &id);
    if (e == OK) {
        e = db_int(db, "PRAGMA user_version", &version);
    }
    if (e != OK) {
        *why = "the database cannot be read";
        return e;
    }
    if (id != STORE_APPLICATION_ID) {
        *why = STORE_FILE " in this folder was not made by thrice";
        return ERR_STORE;
    }
    if (version > migrate_newest()) {
        *why = mem_printf(ctx, "this school was last used by a newer thrice (schema %d, this one "
                               "knows %d): install that version", (int)version, migrate_newest());
        return ERR_STORE;
    }
    if (version < migrate_newest()) {
        *why = mem_printf(ctx, "this school has schema %d, this thrice needs %d: start it once "
                               "with thrice serve, which brings it up to date", (int)version,
                          migrate_newest());
        return ERR_STORE;
    }
    return OK;
}

enum err store_open_quick(void *ctx, const char *dir, enum store_mode mode, struct store **out,
                          const char **why)
{
    *out = NULL;
    pthread_once(&changes_started, changes_start);
    char *path = db_path(ctx, dir, STORE_FILE);
    if (!path) {
        *why = mem_printf(ctx, "there is no folder %s: run thrice init first", dir);
        return ERR_NOT_FOUND;
    }
    struct store *st = mem_new(NULL, struct store);     /* its thread's own, not ctx's */
    st->mode = mode;
    enum err e = db_open(ctx, path, mode == STORE_WRITE ? DB_WRITE : DB_READ, &st->db, why);
    if (e == OK) {
        e = vet(ctx, st->db, why);
    }
    if (e == OK) {
        e = migrate_hashes_fit(ctx, st->db, why);
    }
    if (e == OK) {
        *why = "the database cannot be read";
        e = places_make(st);
    }
    if (e != OK) {
        store_close(st);
        return e;
    }
    *out = st;
    return OK;
}

enum err store_open(void *ctx, const char *dir, enum store_mode mode, struct store **out,
                    const char **why)
{
    enum err e = store_open_quick(ctx, dir, mode, out, why);
    if (e == OK && mode == STORE_WRITE) {
        e = store_statements_fit(ctx, *out, why);
    }
    if (e != OK) {
        store_close(*out);
        *out = NULL;
    }
    return e;
}

void store_close(struct store *st)
{
    if (!st) {
        return;
    }
    for (size_t i = 0; i < st->set_count; i++) {
        for (size_t j = 0; j < st->sets[i].set->count; j++) {
            sqlite3_finalize(st->sets[i].stmts[j]);
        }
    }
    sqlite3_finalize(st->data_version);
    if (sqlite3_close(st->db) != SQLITE_OK) {
        log_bug("store closed with statements at work");
    }
    talloc_free(st);
}
