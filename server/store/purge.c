/* SPDX-License-Identifier: MIT
 * Deleting on schedule.
 *
 * Owns: the spans after which rows go, as SQL; the compaction that takes deleted rows out of the
 * file and the write-ahead log as well (secure_delete zeroes pages, old log frames stay until the
 * log is truncated).
 * Invariants: a child goes as one (every reference to a pupil deletes with it); audit rows stay.
 * Threat: a wrong clock. One that is earlier than something stored is refused; one far ahead of
 * everything stored is asked about by the command.
 */
#include "store/purge.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/clock.h"
#include "store/query.h"
#include "store/school.h"
#include "store_internal.h"

enum { NEWEST, SESSIONS, CARDS, MESSAGES, LEAVERS, HAND_INS, ASSESSMENTS, SEEN, ANSWERS,
       TAKING_PART, OLD_TICKS, SECOND_VIEWS, FRESH_STARTS, ALL_CARDS };

static const struct stmt_def defs[] = {
    [NEWEST] = {"newest instant",
        "SELECT max((SELECT coalesce(max(at), 0) FROM audit),"
        " (SELECT coalesce(max(received_at), 0) FROM hand_in),"
        " (SELECT coalesce(max(seen_at), 0) FROM session),"
        " (SELECT created_at FROM school WHERE id = 1)) /*scan: once a night*/"},
    [SESSIONS] = {"purge sessions",
        "DELETE FROM session WHERE started_at < :before /*scan: once a night*/"},
    [CARDS] = {"purge cards",
        "DELETE FROM card WHERE coalesce(cancelled_at, expires_at) < :before"
        " /*scan: once a night*/"},
    [MESSAGES] = {"purge messages",
        "DELETE FROM message WHERE id IN (SELECT message_id FROM message_acknowledgement"
        " WHERE outcome = 'recorded_elsewhere' AND at < :before) /*scan: once a night*/"},
    [LEAVERS] = {"purge leavers",
        "DELETE FROM pupil WHERE left_day < :before /*scan: once a night*/"},
    [HAND_INS] = {"purge hand-ins",
        "DELETE FROM hand_in WHERE received_at < :before /*scan: once a night*/"},
    [ASSESSMENTS] = {"purge assessments",
        "DELETE FROM assessment WHERE at < :before /*scan: once a night*/"},
    [SEEN] = {"purge seen", "DELETE FROM seen WHERE on_day < :before /*scan: once a night*/"},
    [ANSWERS] = {"purge lesson answers",
        "DELETE FROM lesson_answer WHERE on_day < :before /*scan: once a night*/"},
    [TAKING_PART] = {"purge taking part",
        "DELETE FROM taking_part WHERE on_day < :before /*scan: once a night*/"},
    /* The last tick stays while the child is at the school: statements are reported at the end of
     * a key stage, years after they were seen. What was said before it does not. */
    [OLD_TICKS] = {"purge old ticks",
        "DELETE FROM statement_tick WHERE on_day < :before AND EXISTS (SELECT 1"
        " FROM statement_tick n WHERE n.pupil_id = statement_tick.pupil_id"
        " AND n.statement_id = statement_tick.statement_id AND n.id > statement_tick.id)"
        " /*scan: once a night*/"},
    [SECOND_VIEWS] = {"purge second views",
        "DELETE FROM second_view WHERE asked_day < :before /*scan: once a night*/"},
    [FRESH_STARTS] = {"purge fresh starts",
        "DELETE FROM fresh_start WHERE from_day < :before /*scan: once a night*/"},
    [ALL_CARDS] = {"cancel all cards",
        "UPDATE card SET cancelled_at = :now WHERE cancelled_at IS NULL /*scan: after a restore*/"},
};
const struct stmt_set purge_stmts = {"purge", defs, sizeof defs / sizeof *defs};

static enum err run(struct store *st, size_t which, const char *name, int64_t v, int64_t *rows)
{
    struct query q;
    query_begin(&q, st, &purge_stmts, which);
    query_int(&q, name, v);
    enum err e = query_run(&q);
    if (e == OK) {
        *rows += sqlite3_changes64(st->db);
    }
    return e;
}

enum err purge_clock(struct store *st, int64_t now, enum purge_clock *out)
{
    struct query q;
    int64_t newest = 0;
    query_begin(&q, st, &purge_stmts, NEWEST);
    if (query_row(&q)) {
        newest = col_int(&q, 0);
    }
    enum err e = query_end(&q);
    *out = now < newest - PURGE_CLOCK_BACK_S ? PURGE_CLOCK_BACK
           : now > newest + PURGE_CLOCK_AHEAD_DAYS * INT64_C(86400) ? PURGE_CLOCK_AHEAD
                                                                   : PURGE_CLOCK_FITS;
    return e;
}

enum err purge_rows(struct store *st, int64_t now, struct purge_done *out)
{
    const int32_t today = clock_day(now);
    /* The first day of last school year: what is older has had a whole year after its own. */
    const int32_t year = school_year_first(school_year_first(today) - 1);
    *out = (struct purge_done){0};
    struct {
        size_t which;
        int64_t before;
        int64_t *rows;
    } steps[] = {
        {SESSIONS, now - PURGE_SESSION_S, &out->sessions},
        {CARDS, clock_day_start(today - PURGE_CARD_DAYS), &out->cards},
        {MESSAGES, clock_day_start(today - PURGE_MESSAGE_DAYS), &out->messages},
        {LEAVERS, today - PURGE_LEAVER_DAYS, &out->leavers},
        {HAND_INS, clock_day_start(today - PURGE_HAND_IN_DAYS), &out->hand_ins},
        {ASSESSMENTS, clock_day_start(year), &out->decisions},
        {SEEN, year, &out->decisions},
        {ANSWERS, year, &out->decisions},
        {TAKING_PART, year, &out->decisions},
        {OLD_TICKS, year, &out->decisions},
        {SECOND_VIEWS, year, &out->decisions},
        {FRESH_STARTS, school_year_first(today), &out->decisions},
    };
    enum err e = OK;
    for (size_t i = 0; e == OK && i < sizeof steps / sizeof *steps; i++) {
        e = run(st, steps[i].which, ":before", steps[i].before, steps[i].rows);
    }
    return e;
}

enum err purge_all_cards(struct store *st, int64_t now, int64_t *cancelled)
{
    *cancelled = 0;
    return run(st, ALL_CARDS, ":now", now, cancelled);
}

static bool is_copy(const char *name)
{
    size_t n = strlen(name);
    return n == strlen("school-before-0000.db") && strncmp(name, "school-before-", 14) == 0 &&
           strspn(name + 14, "0123456789") == 4 && strcmp(name + 18, ".db") == 0;
}

enum err purge_copies(const char *dir, int64_t now, bool dry, int64_t *out)
{
    *out = 0;
    DIR *d = opendir(dir);
    if (!d) {
        return ERR_STORE;
    }
    enum err e = OK;
    const struct dirent *entry;
    while ((entry = readdir(d)) != NULL) {
        struct stat s;
        if (!is_copy(entry->d_name) ||
            fstatat(dirfd(d), entry->d_name, &s, AT_SYMLINK_NOFOLLOW) != 0 ||
            s.st_mtime > now - PURGE_COPY_DAYS * INT64_C(86400)) {
            continue;
        }
        if (!dry && unlinkat(dirfd(d), entry->d_name, 0) != 0) {
            e = ERR_STORE;
        } else {
            *out += 1;
        }
    }
    closedir(d);
    return e;
}

enum err purge_compact(void *ctx, const char *dir, bool *clean, const char **why)
{
    *clean = false;
    *why = "the data folder is not there";
    char *path = db_path(ctx, dir, STORE_FILE);
    if (!path) {
        return ERR_NOT_FOUND;
    }
    sqlite3 *db = NULL;
    enum err e = db_open(ctx, path, DB_MAINTAIN, &db, why);
    if (e != OK) {
        return e;
    }
    *why = "the database could not be rewritten; is the disk full?";
    e = db_exec(db, "VACUUM");
    int64_t busy = 1;
    if (e == OK) {
        e = db_int(db, "PRAGMA wal_checkpoint(TRUNCATE)", &busy);
    }
    *clean = e == OK && busy == 0;
    sqlite3_close(db);
    return e;
}
