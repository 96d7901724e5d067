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
#include "base/mem.h"
#include "store/query.h"
#include "store/school.h"
#include "store_internal.h"

enum {
    NEWEST, SESSIONS, CARDS, MESSAGES, LEAVERS, HAND_INS, ASSESSMENTS, SEEN, ANSWERS, TAKING_PART,
    OLD_TICKS, SECOND_VIEWS, FRESH_STARTS, STARTING, REPORTS, ALL_CARDS, LEAVER_LIST,
    SESSIONS_DUE, CARDS_DUE, MESSAGES_DUE, LEAVERS_DUE, HAND_INS_DUE, ASSESSMENTS_DUE, SEEN_DUE,
    ANSWERS_DUE, TAKING_PART_DUE, OLD_TICKS_DUE, SECOND_VIEWS_DUE, FRESH_STARTS_DUE, STARTING_DUE,
    REPORTS_DUE
};

/* What is due is said once, for counting and for deleting. */
#define OLD_SESSION "session WHERE started_at < :before"
#define OLD_CARD "card WHERE coalesce(cancelled_at, expires_at) < :before"
#define OLD_MESSAGE \
    "message WHERE id IN (SELECT message_id FROM message_acknowledgement" \
    " WHERE outcome = 'recorded_elsewhere' AND at < :before)"
#define OLD_LEAVER "pupil WHERE left_day < :before"
#define OLD_HAND_IN "hand_in WHERE received_at < :before"
#define OLD_ASSESSMENT "assessment WHERE at < :before"
#define OLD_SEEN "seen WHERE on_day < :before"
#define OLD_ANSWER "lesson_answer WHERE on_day < :before"
#define OLD_TAKING_PART "taking_part WHERE on_day < :before"
/* The last tick stays while the child is at the school: statements are reported at the end of a
 * key stage, years after they were seen. What was said before it does not. */
#define OLD_TICK \
    "statement_tick WHERE on_day < :before AND EXISTS (SELECT 1" \
    " FROM statement_tick n WHERE n.pupil_id = statement_tick.pupil_id" \
    " AND n.statement_id = statement_tick.statement_id AND n.id > statement_tick.id)"
#define OLD_SECOND_VIEW "second_view WHERE asked_day < :before"
#define OLD_FRESH_START "fresh_start WHERE from_day < :before"
#define OLD_STARTING \
    "starting_version WHERE challenge_id IN (SELECT id FROM challenge WHERE closes_at < :before)"

#define OLD_REPORT "report WHERE on_day < :before"

#define GO(what) "DELETE FROM " what " /*scan: once a night*/"
#define DUE(what) "SELECT count(*) FROM " what " /*scan: asked by hand*/"
/* What goes with a leaver is not counted a second time. */
#define DUE_OF_OTHERS(what) \
    "SELECT count(*) FROM " what \
    " AND pupil_id NOT IN (SELECT id FROM pupil WHERE left_day < :leavers)" \
    " /*scan: asked by hand*/"

static const struct stmt_def defs[] = {
    [NEWEST] = {"newest instant",
        "SELECT max((SELECT coalesce(max(at), 0) FROM audit),"
        " (SELECT coalesce(max(received_at), 0) FROM hand_in),"
        " (SELECT coalesce(max(seen_at), 0) FROM session),"
        " (SELECT created_at FROM school WHERE id = 1)) /*scan: once a night*/"},
    [SESSIONS] = {"purge sessions", GO(OLD_SESSION)},
    [CARDS] = {"purge cards", GO(OLD_CARD)},
    [MESSAGES] = {"purge messages", GO(OLD_MESSAGE)},
    [LEAVERS] = {"purge leavers", GO(OLD_LEAVER)},
    [HAND_INS] = {"purge hand-ins", GO(OLD_HAND_IN)},
    [ASSESSMENTS] = {"purge assessments", GO(OLD_ASSESSMENT)},
    [SEEN] = {"purge seen", GO(OLD_SEEN)},
    [ANSWERS] = {"purge lesson answers", GO(OLD_ANSWER)},
    [TAKING_PART] = {"purge taking part", GO(OLD_TAKING_PART)},
    [OLD_TICKS] = {"purge old ticks", GO(OLD_TICK)},
    [SECOND_VIEWS] = {"purge second views", GO(OLD_SECOND_VIEW)},
    [FRESH_STARTS] = {"purge fresh starts", GO(OLD_FRESH_START)},
    [REPORTS] = {"purge reports", GO(OLD_REPORT)},
    [STARTING] = {"purge starting versions", GO(OLD_STARTING)},
    [ALL_CARDS] = {"cancel all cards",
        "UPDATE card SET cancelled_at = :now WHERE cancelled_at IS NULL /*scan: after a restore*/"},
    [LEAVER_LIST] = {"leavers by day",
        "SELECT id, display_name, left_day FROM pupil WHERE left_day IS NOT NULL"
        " ORDER BY left_day, name_key COLLATE by_name, id /*scan: asked by hand*/"},
    [SESSIONS_DUE] = {"due sessions", DUE(OLD_SESSION)},
    [CARDS_DUE] = {"due cards", DUE(OLD_CARD)},
    [MESSAGES_DUE] = {"due messages", DUE(OLD_MESSAGE)},
    [LEAVERS_DUE] = {"due leavers", DUE(OLD_LEAVER)},
    [HAND_INS_DUE] = {"due hand-ins", DUE_OF_OTHERS(OLD_HAND_IN)},
    [ASSESSMENTS_DUE] = {"due assessments", DUE_OF_OTHERS(OLD_ASSESSMENT)},
    [SEEN_DUE] = {"due seen", DUE_OF_OTHERS(OLD_SEEN)},
    [ANSWERS_DUE] = {"due lesson answers", DUE_OF_OTHERS(OLD_ANSWER)},
    [TAKING_PART_DUE] = {"due taking part", DUE_OF_OTHERS(OLD_TAKING_PART)},
    [OLD_TICKS_DUE] = {"due old ticks", DUE_OF_OTHERS(OLD_TICK)},
    [SECOND_VIEWS_DUE] = {"due second views", DUE_OF_OTHERS(OLD_SECOND_VIEW)},
    [FRESH_STARTS_DUE] = {"due fresh starts", DUE_OF_OTHERS(OLD_FRESH_START)},
    [REPORTS_DUE] = {"due reports", DUE_OF_OTHERS(OLD_REPORT)},
    [STARTING_DUE] = {"due starting versions", DUE_OF_OTHERS(OLD_STARTING)},
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

struct step {
    size_t gone, due;           /* statements */
    bool of_others;             /* the counting one leaves out what goes with leavers */
    int64_t before;
    int64_t *rows;
};
enum { STEPS = 14 };

static void steps_of(int64_t now, struct purge_done *out, struct step steps[STEPS])
{
    const int32_t today = clock_day(now);
    /* The first day of last school year: what is older has had a whole year after its own. */
    const int32_t year = school_year_first(school_year_first(today) - 1);
    const struct step all[STEPS] = {
        {SESSIONS, SESSIONS_DUE, false, now - PURGE_SESSION_S, &out->sessions},
        {CARDS, CARDS_DUE, false, clock_day_start(today - PURGE_CARD_DAYS), &out->cards},
        {MESSAGES, MESSAGES_DUE, false, clock_day_start(today - PURGE_MESSAGE_DAYS),
         &out->messages},
        {LEAVERS, LEAVERS_DUE, false, today - PURGE_LEAVER_DAYS, &out->leavers},
        {HAND_INS, HAND_INS_DUE, true, clock_day_start(today - PURGE_HAND_IN_DAYS),
         &out->hand_ins},
        {ASSESSMENTS, ASSESSMENTS_DUE, true, clock_day_start(year), &out->decisions},
        {SEEN, SEEN_DUE, true, year, &out->decisions},
        {ANSWERS, ANSWERS_DUE, true, year, &out->decisions},
        {TAKING_PART, TAKING_PART_DUE, true, year, &out->decisions},
        {OLD_TICKS, OLD_TICKS_DUE, true, year, &out->decisions},
        {SECOND_VIEWS, SECOND_VIEWS_DUE, true, year, &out->decisions},
        {FRESH_STARTS, FRESH_STARTS_DUE, true, school_year_first(today), &out->decisions},
        {REPORTS, REPORTS_DUE, true, school_year_first(today), &out->decisions},
        {STARTING, STARTING_DUE, true, clock_day_start(today - PURGE_STARTING_DAYS),
         &out->decisions},
    };
    *out = (struct purge_done){0};
    memcpy(steps, all, sizeof all);
}

enum err purge_rows(struct store *st, int64_t now, struct purge_done *out)
{
    struct step steps[STEPS];
    enum err e = OK;
    steps_of(now, out, steps);
    for (size_t i = 0; e == OK && i < STEPS; i++) {
        e = run(st, steps[i].gone, ":before", steps[i].before, steps[i].rows);
    }
    return e;
}

enum err purge_plan(struct store *st, int64_t now, struct purge_done *out)
{
    struct step steps[STEPS];
    enum err e = OK;
    steps_of(now, out, steps);
    for (size_t i = 0; e == OK && i < STEPS; i++) {
        struct query q;
        query_begin(&q, st, &purge_stmts, steps[i].due);
        query_int(&q, ":before", steps[i].before);
        if (steps[i].of_others) {
            query_int(&q, ":leavers", clock_day(now) - PURGE_LEAVER_DAYS);
        }
        if (query_row(&q)) {
            *steps[i].rows += col_int(&q, 0);
        }
        e = query_end(&q);
    }
    return e;
}

enum err purge_leavers(struct store *st, void *ctx, struct purge_leaver **out, size_t *n)
{
    struct query q;
    size_t cap = 0;
    *out = NULL;
    *n = 0;
    query_begin(&q, st, &purge_stmts, LEAVER_LIST);
    while (query_row(&q)) {
        mem_grow(ctx, *out, *n, &cap);
        int32_t left = (int32_t)col_int(&q, 2);
        (*out)[(*n)++] = (struct purge_leaver){
            .id = {col_int(&q, 0)},
            .display_name = col_text(&q, 1, ctx),
            .left_day = left,
            .goes_day = left + PURGE_LEAVER_DAYS + 1,
        };
    }
    return query_end(&q);
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
