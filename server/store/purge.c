/* SPDX-License-Identifier: MIT
 * Deleting on schedule.
 *
 * Owns: the spans after which rows go, as SQL; the compaction that takes deleted rows out of the
 * file and the write-ahead log as well (secure_delete zeroes pages, old log frames stay until the
 * log is truncated).
 * Invariants: a row goes only when it is due and stands listed, row by row, by a plan old enough
 * (purge_plan.c says how old); so a child who is back, or what came or was acknowledged since, is
 * never among them. A child goes as one (every reference to a pupil deletes with it); audit rows
 * stay.
 * Threat: a wrong clock. Due is what the clock says is old; listed is what an earlier clock said
 * would be old within a fortnight. Both have to agree, so a clock that jumps brings forward
 * fourteen days at most.
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

/* What is due is said once, for counting, listing, forgetting and deleting. Days and instants are
 * bound as :before. */
#define OLD_CARD "coalesce(card.cancelled_at, card.expires_at) < :before"
#define OLD_MESSAGE \
    "message.id IN (SELECT message_id FROM message_acknowledgement" \
    " WHERE outcome = 'recorded_elsewhere' AND at < :before)"
#define OLD_LEAVER "pupil.left_day < :before"
#define OLD_HAND_IN "hand_in.received_at < :before"
#define OLD_ASSESSMENT "assessment.at < :before"
#define OLD_SEEN "seen.on_day < :before"
#define OLD_ANSWER "lesson_answer.on_day < :before"
#define OLD_TAKING_PART "taking_part.on_day < :before"
/* The last tick stays while the child is at the school: statements are reported at the end of a
 * key stage, years after they were seen. What was said before it does not. */
#define OLD_TICK \
    "statement_tick.on_day < :before AND EXISTS (SELECT 1" \
    " FROM statement_tick n WHERE n.pupil_id = statement_tick.pupil_id" \
    " AND n.statement_id = statement_tick.statement_id AND n.id > statement_tick.id)"
#define OLD_SECOND_VIEW "second_view.asked_day < :before"
#define OLD_FRESH_START "fresh_start.from_day < :before"
#define OLD_REPORT "report.on_day < :before"
#define OLD_STARTING \
    "starting_version.challenge_id IN (SELECT c.id FROM challenge c WHERE c.closes_at < :before" \
    " AND NOT EXISTS (SELECT 1 FROM challenge_change x WHERE x.challenge_id = c.id" \
    " AND x.closes_at >= :before))"
/* Set by mistake: cancelled in each of its classes, and nothing came. */
#define OLD_CANCELLED \
    "challenge.id IN (SELECT challenge_id FROM challenge_change WHERE cancelled_at < :before)" \
    " AND NOT EXISTS (SELECT 1 FROM hand_in h WHERE h.challenge_id = challenge.id)" \
    " AND NOT EXISTS (SELECT 1 FROM challenge_class cc LEFT JOIN challenge_change x" \
    " ON x.class_id = cc.class_id AND x.challenge_id = cc.challenge_id" \
    " WHERE cc.challenge_id = challenge.id AND coalesce(x.cancelled_at >= :before, 1))"

/* Listed by a plan of :ripe or before that waits for nobody. */
#define RIPE(kind, a, b) \
    "EXISTS (SELECT 1 FROM purge_listed l JOIN purge_plan p ON p.day = l.plan_day" \
    " WHERE l.kind = '" kind "' AND l.a = " a " AND l.b = " b \
    " AND l.plan_day <= :ripe AND p.waits = 0)"
/* What goes with a leaver is not counted a second time. */
#define ALL_OF_THEM ""
#define BUT_LEAVERS(table) \
    " AND " table ".pupil_id NOT IN (SELECT id FROM pupil WHERE left_day < :leavers" \
    " AND (:all OR " RIPE("leaver", "pupil.id", "0") "))"

/* Four statements a kind: delete what is due and ripe; count it, or with :all what is due; list
 * what is due; forget what was listed and is no longer. */
#define KIND(name, kind, table, a, b, due, others) \
    [4 * (name) + GO] = {"purge " kind, "DELETE FROM " table " WHERE " due \
        " AND " RIPE(kind, a, b) " /*scan: once a night*/"}, \
    [4 * (name) + COUNT] = {"count " kind, "SELECT count(*) FROM " table " WHERE " due \
        " AND (:all OR " RIPE(kind, a, b) ")" others " /*scan: asked by hand*/"}, \
    [4 * (name) + LIST] = {"list " kind, "INSERT INTO purge_listed (kind, a, b, plan_day)" \
        " SELECT '" kind "', " a ", " b ", :day FROM " table " WHERE " due \
        " ON CONFLICT DO NOTHING /*scan: once a night*/"}, \
    [4 * (name) + FORGET] = {"forget " kind, "DELETE FROM purge_listed WHERE kind = '" kind "'" \
        " AND (plan_day > :day OR NOT EXISTS (SELECT 1 FROM " table " WHERE " a \
        " = purge_listed.a AND " b " = purge_listed.b AND " due ")) /*scan: once a night*/"}

enum { GO, COUNT, LIST, FORGET };
enum {
    CARDS, MESSAGES, LEAVERS, HAND_INS, ASSESSMENTS, SEEN, ANSWERS, TAKING_PART, OLD_TICKS,
    SECOND_VIEWS, FRESH_STARTS, REPORTS, STARTING, CANCELLED, KINDS
};
enum { SESSIONS = 4 * KINDS, SESSIONS_DUE, ALL_CARDS, LEAVER_LIST };

static const struct stmt_def defs[] = {
    KIND(CARDS, "card", "card", "card.id", "0", OLD_CARD, ALL_OF_THEM),
    KIND(MESSAGES, "message", "message", "message.id", "0", OLD_MESSAGE, ALL_OF_THEM),
    KIND(LEAVERS, "leaver", "pupil", "pupil.id", "0", OLD_LEAVER, ALL_OF_THEM),
    KIND(HAND_INS, "hand_in", "hand_in", "hand_in.seq", "0", OLD_HAND_IN, BUT_LEAVERS("hand_in")),
    KIND(ASSESSMENTS, "assessment", "assessment", "assessment.id", "0", OLD_ASSESSMENT,
         BUT_LEAVERS("assessment")),
    KIND(SEEN, "seen", "seen", "seen.id", "0", OLD_SEEN, BUT_LEAVERS("seen")),
    KIND(ANSWERS, "lesson_answer", "lesson_answer", "lesson_answer.id", "0", OLD_ANSWER,
         BUT_LEAVERS("lesson_answer")),
    KIND(TAKING_PART, "taking_part", "taking_part", "taking_part.pupil_id", "taking_part.unit_id",
         OLD_TAKING_PART, BUT_LEAVERS("taking_part")),
    KIND(OLD_TICKS, "statement_tick", "statement_tick", "statement_tick.id", "0", OLD_TICK,
         BUT_LEAVERS("statement_tick")),
    KIND(SECOND_VIEWS, "second_view", "second_view", "second_view.id", "0", OLD_SECOND_VIEW,
         BUT_LEAVERS("second_view")),
    KIND(FRESH_STARTS, "fresh_start", "fresh_start", "fresh_start.pupil_id", "0", OLD_FRESH_START,
         BUT_LEAVERS("fresh_start")),
    KIND(REPORTS, "report", "report", "report.pupil_id", "report.unit_id", OLD_REPORT,
         BUT_LEAVERS("report")),
    KIND(STARTING, "starting_version", "starting_version", "starting_version.pupil_id",
         "starting_version.challenge_id", OLD_STARTING, BUT_LEAVERS("starting_version")),
    KIND(CANCELLED, "challenge", "challenge", "challenge.id", "0", OLD_CANCELLED, ALL_OF_THEM),
    [SESSIONS] = {"purge sessions",
        "DELETE FROM session WHERE started_at < :before /*scan: once a night*/"},
    [SESSIONS_DUE] = {"due sessions",
        "SELECT count(*) FROM session WHERE started_at < :before /*scan: asked by hand*/"},
    [ALL_CARDS] = {"cancel all cards",
        "UPDATE card SET cancelled_at = :now WHERE cancelled_at IS NULL /*scan: after a restore*/"},
    [LEAVER_LIST] = {"leavers by day",
        "SELECT id, display_name, left_day FROM pupil WHERE left_day IS NOT NULL"
        " ORDER BY left_day, name_key COLLATE by_name, id /*scan: asked by hand*/"},
};
const struct stmt_set purge_stmts = {"purge", defs, sizeof defs / sizeof *defs};

struct step {
    int64_t before;
    int64_t *rows;
    bool of_others;             /* counting leaves out what goes with leavers */
};

/* What is due on a day, kind by kind; `out` is where each is counted. */
static void steps_of(int32_t today, struct purge_done *out, struct step steps[KINDS])
{
    /* The first day of last school year: what is older has had a whole year after its own. */
    const int32_t this_year = school_year_first(today), year = school_year_first(this_year - 1);
    const struct step all[KINDS] = {
        [CARDS] = {clock_day_start(today - PURGE_CARD_DAYS), &out->cards, false},
        [MESSAGES] = {clock_day_start(today - PURGE_MESSAGE_DAYS), &out->messages, false},
        [LEAVERS] = {today - PURGE_LEAVER_DAYS, &out->leavers, false},
        [HAND_INS] = {clock_day_start(today - PURGE_HAND_IN_DAYS), &out->hand_ins, true},
        [ASSESSMENTS] = {clock_day_start(year), &out->decisions, true},
        [SEEN] = {year, &out->decisions, true},
        [ANSWERS] = {year, &out->decisions, true},
        [TAKING_PART] = {year, &out->decisions, true},
        [OLD_TICKS] = {year, &out->decisions, true},
        [SECOND_VIEWS] = {year, &out->decisions, true},
        [FRESH_STARTS] = {this_year, &out->decisions, true},
        [REPORTS] = {this_year, &out->decisions, true},
        [STARTING] = {clock_day_start(today - PURGE_STARTING_DAYS), &out->decisions, true},
        [CANCELLED] = {clock_day_start(today - PURGE_CANCELLED_DAYS), &out->challenges, false},
    };
    memcpy(steps, all, sizeof all);
}

static enum err count_gone(struct query *q, int64_t *rows)
{
    struct store *st = q->st;
    enum err e = query_run(q);
    if (e == OK) {
        *rows += sqlite3_changes64(st->db);
    }
    return e;
}

/* A session is no longer good for anything after hours, whatever the clock says: who is signed out
 * by a wrong clock signs in again, and nothing of a child is lost. So sessions need no plan. */
static enum err drop_sessions(struct store *st, int64_t now, int64_t *rows)
{
    struct query q;
    query_begin(&q, st, &purge_stmts, SESSIONS);
    query_int(&q, ":before", now - PURGE_SESSION_S);
    return count_gone(&q, rows);
}

enum err purge_rows(struct store *st, int64_t now, const struct purge_may *may,
                    struct purge_done *out)
{
    struct step steps[KINDS];
    *out = (struct purge_done){0};
    steps_of(clock_day(now), out, steps);
    enum err e = drop_sessions(st, now, &out->sessions);
    for (size_t i = 0; may->any && e == OK && i < KINDS; i++) {
        struct query q;
        query_begin(&q, st, &purge_stmts, 4 * i + GO);
        query_int(&q, ":before", steps[i].before);
        query_int(&q, ":ripe", may->listed_by);
        e = count_gone(&q, steps[i].rows);
    }
    return e;
}

enum err purge_count(struct store *st, int64_t now, const struct purge_may *may,
                     struct purge_done *out)
{
    struct step steps[KINDS];
    struct query q;
    *out = (struct purge_done){0};
    steps_of(clock_day(now), out, steps);
    query_begin(&q, st, &purge_stmts, SESSIONS_DUE);
    query_int(&q, ":before", now - PURGE_SESSION_S);
    out->sessions = query_row(&q) ? col_int(&q, 0) : 0;
    enum err e = query_end(&q);
    for (size_t i = 0; (!may || may->any) && e == OK && i < KINDS; i++) {
        query_begin(&q, st, &purge_stmts, 4 * i + COUNT);
        query_int(&q, ":before", steps[i].before);
        query_int(&q, ":all", !may);
        query_int(&q, ":ripe", may ? may->listed_by : 0);
        if (steps[i].of_others) {
            query_int(&q, ":leavers", steps[LEAVERS].before);
        }
        if (query_row(&q)) {
            *steps[i].rows += col_int(&q, 0);
        }
        e = query_end(&q);
    }
    return e;
}

static enum err each_kind(struct store *st, size_t which, int32_t day, int32_t due_day)
{
    struct step steps[KINDS];
    struct purge_done none;
    enum err e = OK;
    steps_of(due_day, &none, steps);
    for (size_t i = 0; e == OK && i < KINDS; i++) {
        struct query q;
        query_begin(&q, st, &purge_stmts, 4 * i + which);
        query_int(&q, ":before", steps[i].before);
        query_int(&q, ":day", day);
        e = query_run(&q);
    }
    return e;
}

enum err purge_forget(struct store *st, int32_t today)
{
    return each_kind(st, FORGET, today, today + PURGE_AHEAD_DAYS);
}

enum err purge_list(struct store *st, int32_t today)
{
    return each_kind(st, LIST, today, today + PURGE_AHEAD_DAYS);
}

int32_t purge_leaver_goes(int32_t left_day)
{
    return left_day + PURGE_LEAVER_DAYS + 1;
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
            .goes_day = purge_leaver_goes(left),
        };
    }
    return query_end(&q);
}

enum err purge_all_cards(struct store *st, int64_t now, int64_t *cancelled)
{
    struct query q;
    *cancelled = 0;
    query_begin(&q, st, &purge_stmts, ALL_CARDS);
    query_int(&q, ":now", now);
    return count_gone(&q, cancelled);
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

enum err purge_compact(void *ctx, const char *dir, bool rewrite, bool *clean, const char **why)
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
    e = rewrite ? db_exec(db, "VACUUM") : OK;
    int64_t busy = 1;
    if (e == OK) {
        e = db_int(db, "PRAGMA wal_checkpoint(TRUNCATE)", &busy);
    }
    *clean = e == OK && busy == 0;
    sqlite3_close(db);
    return e;
}
