/* SPDX-License-Identifier: MIT
 * Plans: what they list, when it may go, what holds it up.
 *
 * Invariants: what goes was listed, row by row, at least PURGE_AHEAD_DAYS before, and on
 * PURGE_USE_DAYS days since then somebody used the school; the clock is believed; a plan that lists
 * more than twice what the one before it did holds back what it listed first until the office has
 * looked. A plan lists what will be due within PURGE_AHEAD_DAYS, so nothing is kept longer for it.
 * Threat: a wrong clock. Plans and days of use of a later day than today's were written by one: the
 * next plan forgets them.
 */
#include "store/purge_plan.h"

#include "base/clock.h"
#include "store/query.h"

enum {
    NEWEST, WAITING, OLDEST, LISTED, OLDEST_LISTED, PLANNED, MAKE, SETTLE, FORGET_LATER,
    FORGET_EMPTY, ACCEPT
};

#define PLAN "SELECT day, listed, listed_before FROM purge_plan WHERE "

static const struct stmt_def defs[] = {
    [NEWEST] = {"purge plan newest", PLAN "day <= :today ORDER BY day DESC LIMIT 1"},
    [WAITING] = {"purge plan waiting",
        PLAN "day <= :today AND waits = 1"
        " AND EXISTS (SELECT 1 FROM purge_listed WHERE plan_day = day AND kind <> 'message')"
        " ORDER BY day DESC LIMIT 1"},
    [OLDEST] = {"purge plan oldest",
        PLAN "day <= :today AND waits = 0"
        " AND EXISTS (SELECT 1 FROM purge_listed WHERE plan_day = day AND kind <> 'message')"
        " ORDER BY day LIMIT 1"},
    [LISTED] = {"purge listed", "SELECT count(*) FROM purge_listed WHERE kind <> 'message'"
                                " /*scan: once a night*/"},
    [OLDEST_LISTED] = {"purge listed oldest", "SELECT min(plan_day) FROM purge_listed"},
    [PLANNED] = {"purge planned", "SELECT 1 FROM purge_plan WHERE day = :day"},
    [MAKE] = {"purge plan make", "INSERT INTO purge_plan (day, listed, listed_before, waits)"
                                 " VALUES (:day, 0, :before, 0)"},
    [SETTLE] = {"purge plan count",
        "UPDATE purge_plan SET listed = :listed,"
        " waits = listed_before IS NOT NULL AND :listed > 2 * listed_before WHERE day = :day"},
    [FORGET_LATER] = {"purge plans later", "DELETE FROM purge_plan WHERE day > :day"},
    [FORGET_EMPTY] = {"purge plans empty",
        "DELETE FROM purge_plan WHERE day < :day"
        " AND NOT EXISTS (SELECT 1 FROM purge_listed WHERE plan_day = purge_plan.day)"},
    [ACCEPT] = {"purge plan accept",
        "UPDATE purge_plan SET waits = 0 WHERE day <= :day AND waits = 1"},
};
const struct stmt_set purge_plan_stmts = {"purge_plan", defs, sizeof defs / sizeof *defs};

static enum err get_plan(struct store *st, size_t which, int32_t today, struct purge_plan *out)
{
    struct query q;
    *out = (struct purge_plan){0};
    query_begin(&q, st, &purge_plan_stmts, which);
    query_int(&q, ":today", today);
    if (query_row(&q)) {
        *out = (struct purge_plan){
            .any = true, .day = (int32_t)col_int(&q, 0), .listed = col_int(&q, 1),
            .has_before = !col_null(&q, 2), .before = col_int(&q, 2),
        };
    }
    return query_end(&q);
}

/* The newest plan whose rows may go: a fortnight old, and older than the fifth day of use counted
 * from today backwards. */
static enum err may_go(struct store *st, int32_t today, struct purge_may *out)
{
    int32_t fifth = 0;
    enum err e = upkeep_use_nth(st, today, PURGE_USE_DAYS, &fifth, &out->any);
    int32_t aged = today - PURGE_AHEAD_DAYS;
    out->listed_by = fifth - 1 < aged ? fifth - 1 : aged;
    return e;
}

enum err purge_look(struct store *st, const struct upkeep_now *now, struct purge_state *out)
{
    const int32_t today = clock_day(now->at);
    struct purge_plan oldest;
    *out = (struct purge_state){0};
    enum err e = upkeep_get(st, now, &out->upkeep);
    if (e == OK) {
        e = get_plan(st, NEWEST, today, &out->plan);
    }
    if (e == OK) {
        e = get_plan(st, WAITING, today, &out->waits);
    }
    if (e == OK) {
        e = get_plan(st, OLDEST, today, &oldest);
    }
    if (e == OK && oldest.any) {
        out->next = true;
        out->next_day = oldest.day;
        e = upkeep_use_since(st, oldest.day, today, &out->next_use);
        out->next_use = out->next_use < PURGE_USE_DAYS ? out->next_use : PURGE_USE_DAYS;
    }
    if (e == OK && upkeep_believed(out->upkeep.clock)) {
        e = may_go(st, today, &out->may);
    }
    return e;
}

static enum err with_day(struct store *st, size_t which, int32_t day)
{
    struct query q;
    query_begin(&q, st, &purge_plan_stmts, which);
    query_int(&q, ":day", day);
    return query_run(&q);
}

static enum err one_int(struct store *st, size_t which, int64_t otherwise, int64_t *out)
{
    struct query q;
    query_begin(&q, st, &purge_plan_stmts, which);
    *out = query_row(&q) && !col_null(&q, 0) ? col_int(&q, 0) : otherwise;
    return query_end(&q);
}

enum err purge_planned(struct store *st, int32_t day, bool *out)
{
    struct query q;
    query_begin(&q, st, &purge_plan_stmts, PLANNED);
    query_int(&q, ":day", day);
    *out = query_row(&q);
    return query_end(&q);
}

static enum err write_plan(struct store *st, int32_t today, const struct purge_plan *last)
{
    struct query q;
    int64_t listed = 0;
    query_begin(&q, st, &purge_plan_stmts, MAKE);
    query_int(&q, ":day", today);
    query_int_or_null(&q, ":before", last->any, last->listed);
    enum err e = query_run(&q);
    if (e == OK) {
        e = purge_list(st, today);
    }
    if (e == OK) {
        e = one_int(st, LISTED, 0, &listed);
    }
    if (e == OK) {
        query_begin(&q, st, &purge_plan_stmts, SETTLE);
        query_int(&q, ":listed", listed);
        query_int(&q, ":day", today);
        e = query_run(&q);
    }
    return e;
}

static enum err make_plan(struct store *st, int32_t today)
{
    struct purge_plan last;
    int64_t oldest = today;
    enum err e = get_plan(st, NEWEST, today, &last);
    if (e == OK) {
        e = with_day(st, FORGET_LATER, today);
    }
    if (e == OK) {
        e = purge_forget(st, today);
    }
    if (e == OK && !(last.any && last.day == today)) {
        e = write_plan(st, today, &last);
    }
    if (e == OK) {
        e = with_day(st, FORGET_EMPTY, today);
    }
    if (e == OK) {
        e = one_int(st, OLDEST_LISTED, today, &oldest);
    }
    return e == OK ? upkeep_use_trim(st, (int32_t)oldest, today) : e;
}

enum err purge_run(struct store *st, const struct upkeep_now *now, struct purge_report *out)
{
    *out = (struct purge_report){0};
    enum err e = purge_look(st, now, &out->state);
    if (e != OK || out->state.upkeep.clock == UPKEEP_CLOCK_BEHIND) {
        return e;
    }
    e = purge_rows(st, now->at, &out->state.may, &out->done);
    if (e == OK && upkeep_believed(out->state.upkeep.clock)) {
        e = upkeep_purged(st, clock_day(now->at));
    }
    return e == OK ? make_plan(st, clock_day(now->at)) : e;
}

enum err purge_accept(struct store *st, int32_t today, int32_t day)
{
    struct purge_plan plan;
    enum err e = get_plan(st, WAITING, today, &plan);
    if (e == OK && !(plan.any && plan.day == day)) {
        return ERR_NOT_FOUND;
    }
    return e == OK ? with_day(st, ACCEPT, day) : e;
}
