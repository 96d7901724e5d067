/* SPDX-License-Identifier: MIT
 * Days of use, the last purge and backup, and whether the clock may be believed.
 *
 * Threat: a wrong clock. What it writes itself proves nothing, so neither rows nor days of its own
 * making can vouch for it: only the kernel, the service that sets it, or a person. A person's word
 * holds that day and the next, which covers the night after, and for as long as wall clock and
 * running time agree since: a clock that jumps, or a machine that starts anew, is asked about.
 * What remains: a machine that is started five times with five different wrong dates, all of them
 * within a plan's fortnight, makes five days of use; a clock that is far behind stamps rows as old,
 * which then stand listed for 14 days before they go.
 */
#include "store/upkeep.h"

#include <stdlib.h>

#include "base/clock.h"
#include "base/mem.h"
#include "store/query.h"

enum {
    USED, USE_NTH, USE_SINCE, USE_TRIM, NEWEST, GET, CONFIRM, UNCONFIRM, PURGED, BACKED_UP
};

static const struct stmt_def defs[] = {
    [USED] = {"day of use", "INSERT INTO use_day (day) VALUES (:day) ON CONFLICT DO NOTHING"},
    [USE_NTH] = {"nth day of use", "SELECT day FROM use_day WHERE day <= :today"
                                   " ORDER BY day DESC LIMIT 1 OFFSET :skip"},
    [USE_SINCE] = {"days of use since",
                   "SELECT count(*) FROM use_day WHERE day > :since AND day <= :today"},
    [USE_TRIM] = {"days of use trim", "DELETE FROM use_day WHERE day <= :upto OR day > :today"},
    [NEWEST] = {"newest instant",
        "SELECT max((SELECT coalesce(max(at), 0) FROM audit),"
        " (SELECT coalesce(max(received_at), 0) FROM hand_in),"
        " (SELECT coalesce(max(seen_at), 0) FROM session),"
        " (SELECT created_at FROM school WHERE id = 1)) /*scan: once a night*/"},
    [GET] = {"upkeep", "SELECT purged_day, backup_day, confirmed_at, confirmed_boot_ms, known_at"
                       " FROM upkeep WHERE id = 1"},
    [CONFIRM] = {"clock confirmed", "UPDATE upkeep SET confirmed_at = :at,"
                                    " confirmed_boot_ms = :boot, known_at = :known WHERE id = 1"},
    [UNCONFIRM] = {"clock not confirmed",
                   "UPDATE upkeep SET confirmed_at = NULL, confirmed_boot_ms = NULL,"
                   " known_at = NULL WHERE id = 1"},
    [PURGED] = {"purged on", "UPDATE upkeep SET purged_day = :day WHERE id = 1"},
    [BACKED_UP] = {"backed up on", "UPDATE upkeep SET backup_day = :day WHERE id = 1"},
};
const struct stmt_set upkeep_stmts = {"upkeep", defs, sizeof defs / sizeof *defs};

struct upkeep_now upkeep_now(void)
{
    struct upkeep_now now = {.at = clock_now(), .boot_ms = clock_mono_ms()};
    now.synchronised = clock_synchronised(now.at);
    return now;
}

/* Days of use ---------------------------------------------------------------------------------- */

/* What this connection counted last. The server writes on one, so it is the process's. */
struct use_seen {
    int32_t day;
    int64_t boot_ms;
};

enum err upkeep_used(struct store *st, int64_t now)
{
    struct use_seen *seen = *store_slot(st, SLOT_USE);
    int32_t day = clock_day(now);
    int64_t boot_ms = clock_mono_ms();
    if (!seen) {
        *store_slot(st, SLOT_USE) = seen = mem_new(st, struct use_seen);
    } else if (day != seen->day && boot_ms < seen->boot_ms + UPKEEP_USE_PACE_MS) {
        return OK;
    }
    if (day != seen->day) {
        *seen = (struct use_seen){day, boot_ms};
    }
    struct query q;
    query_begin(&q, st, &upkeep_stmts, USED);
    query_int(&q, ":day", day);
    return query_run(&q);
}

enum err upkeep_use_nth(struct store *st, int32_t today, int n, int32_t *out, bool *found)
{
    struct query q;
    query_begin(&q, st, &upkeep_stmts, USE_NTH);
    query_int(&q, ":today", today);
    query_int(&q, ":skip", n - 1);
    *found = query_row(&q);
    *out = *found ? (int32_t)col_int(&q, 0) : 0;
    return query_end(&q);
}

enum err upkeep_use_since(struct store *st, int32_t since, int32_t today, int *out)
{
    struct query q;
    query_begin(&q, st, &upkeep_stmts, USE_SINCE);
    query_int(&q, ":since", since);
    query_int(&q, ":today", today);
    *out = query_row(&q) ? (int)col_int(&q, 0) : 0;
    return query_end(&q);
}

enum err upkeep_use_trim(struct store *st, int32_t upto, int32_t today)
{
    struct query q;
    query_begin(&q, st, &upkeep_stmts, USE_TRIM);
    query_int(&q, ":upto", upto);
    query_int(&q, ":today", today);
    return query_run(&q);
}

/* The clock ------------------------------------------------------------------------------------ */

struct said {
    bool any;
    int64_t at, boot_ms, known_at;
};

static bool still_said(const struct said *s, const struct upkeep_now *now)
{
    if (!s->any) {
        return false;
    }
    int32_t days = clock_day(now->at) - clock_day(s->at);
    int64_t ran_s = (now->boot_ms - s->boot_ms) / 1000;
    return days == 0 || days == 1 ||
           (ran_s >= 0 && llabs(now->at - s->at - ran_s) <= UPKEEP_DRIFT_S);
}

static enum err newest(struct store *st, int64_t *out)
{
    struct query q;
    query_begin(&q, st, &upkeep_stmts, NEWEST);
    *out = query_row(&q) ? col_int(&q, 0) : 0;
    return query_end(&q);
}

enum err upkeep_get(struct store *st, const struct upkeep_now *now, struct upkeep *out)
{
    struct query q;
    struct said said = {0};
    int64_t last = 0;
    *out = (struct upkeep){0};
    query_begin(&q, st, &upkeep_stmts, GET);
    if (query_row(&q)) {
        out->purged = !col_null(&q, 0);
        out->purged_day = (int32_t)col_int(&q, 0);
        out->backed_up = !col_null(&q, 1);
        out->backup_day = (int32_t)col_int(&q, 1);
        said = (struct said){!col_null(&q, 2), col_int(&q, 2), col_int(&q, 3), col_int(&q, 4)};
    }
    enum err e = query_end(&q);
    if (e == OK) {
        e = newest(st, &last);
    }
    /* What was stored later than now when the clock was last confirmed is a mistake that somebody
     * has looked at: it is not asked about again. */
    bool behind = last > now->at + UPKEEP_CLOCK_BACK_S && !(said.any && last <= said.known_at);
    out->clock = now->confirmed || still_said(&said, now) ? UPKEEP_CLOCK_CONFIRMED
                 : behind                                 ? UPKEEP_CLOCK_BEHIND
                 : now->synchronised                      ? UPKEEP_CLOCK_SYNCHRONISED
                                                          : UPKEEP_CLOCK_UNSURE;
    return e;
}

enum err upkeep_confirm(struct store *st, const struct upkeep_now *now)
{
    int64_t last = 0;
    enum err e = newest(st, &last);
    if (e != OK) {
        return e;
    }
    struct query q;
    query_begin(&q, st, &upkeep_stmts, CONFIRM);
    query_int(&q, ":at", now->at);
    query_int(&q, ":boot", now->boot_ms);
    query_int(&q, ":known", last);
    return query_run(&q);
}

enum err upkeep_unconfirm(struct store *st)
{
    struct query q;
    query_begin(&q, st, &upkeep_stmts, UNCONFIRM);
    return query_run(&q);
}

static enum err note_day(struct store *st, size_t which, int32_t day)
{
    struct query q;
    query_begin(&q, st, &upkeep_stmts, which);
    query_int(&q, ":day", day);
    return query_run(&q);
}

enum err upkeep_purged(struct store *st, int32_t day)
{
    return note_day(st, PURGED, day);
}

enum err upkeep_backed_up(struct store *st, int32_t day)
{
    return note_day(st, BACKED_UP, day);
}
