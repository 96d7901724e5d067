/* SPDX-License-Identifier: MIT
 * Mending what was set, a class at a time, and what is taken after a change.
 *
 * Owns: tables challenge_change, challenge_was.
 * Invariants: what is stored in challenge_change is whole (dates and cancellation), so that
 * CLASS_CHALLENGE is all that anybody reads; a row of challenge_was is written only where somebody
 * can have done tries that the new dates would refuse or call late.
 * Threat: a teacher names a colleague's class. The statement that reads how the challenge stands
 * asks for the right on that very class once more. */
#include "store/challenge_changes.h"

#include "base/clock.h"
#include "base/mem.h"
#include "challenges_internal.h"
#include "store/query.h"

enum { STANDS, FORGET, KEEP, CHANGE, SPANS };

#define IN_CLASS \
    " JOIN membership m ON m.class_id = t.class_id AND m.pupil_id = :pupil" \
    " WHERE t.challenge_id = :challenge AND m.from_day <= :today" \
    " AND (m.to_day IS NULL OR m.to_day >= :done_day)"

static const struct stmt_def defs[] = {
    [STANDS] = {"challenge stands",
        "SELECT t.opens_at, t.due_at, t.closes_at, t.cancelled_at, t.cancelled_by"
        " FROM " CLASS_CHALLENGE " t WHERE t.class_id = :class AND t.challenge_id = :challenge"
        " AND (EXISTS (SELECT 1 FROM staff_right g WHERE g.staff_id = :staff"
        " AND g.right = 'pe_lead') OR EXISTS (SELECT 1 FROM class_right cr"
        " WHERE cr.class_id = t.class_id AND cr.staff_id = :staff AND cr.right = 'teach'"
        " AND (cr.until_day IS NULL OR cr.until_day >= :today)))"},
    [FORGET] = {"challenge was, long ago", "DELETE FROM challenge_was WHERE until_at < :before"},
    [KEEP] = {"challenge was",
        "INSERT INTO challenge_was (class_id, challenge_id, until_at, opens_at, due_at, closes_at)"
        " VALUES (:class, :challenge, :now, :opens, :due, :closes)"
        " ON CONFLICT DO NOTHING"},         /* twice in a second: nothing was done between */
    [CHANGE] = {"challenge change",
        "INSERT INTO challenge_change (class_id, challenge_id, opens_at, due_at, closes_at,"
        " cancelled_at, cancelled_by) VALUES (:class, :challenge, :opens, :due, :closes, :at, :by)"
        " ON CONFLICT DO UPDATE SET opens_at = :opens, due_at = :due, closes_at = :closes,"
        " cancelled_at = :at, cancelled_by = :by"},
    [SPANS] = {"challenge spans",
        "SELECT t.opens_at, t.due_at, t.closes_at, 0, t.cancelled_at FROM " CLASS_CHALLENGE " t"
        IN_CLASS " UNION ALL SELECT t.opens_at, t.due_at, t.closes_at, t.until_at, NULL"
        " FROM challenge_was t" IN_CLASS},
};
const struct stmt_set challenge_changes_stmts = {"challenge_changes", defs,
                                                 sizeof defs / sizeof *defs};

struct stands { struct challenge_dates dates; int64_t cancelled_at, cancelled_by; };

static struct challenge_dates read_dates(struct query *q)
{
    return (struct challenge_dates){col_int(q, 0), col_int(q, 1), col_int(q, 2)};
}

static void begin(struct query *q, struct store *st, size_t which,
                  const struct challenge_change *n)
{
    query_begin(q, st, &challenge_changes_stmts, which);
    query_int(q, ":class", n->cls.v);
    query_int(q, ":challenge", n->challenge.v);
}

static void bind_dates(struct query *q, const struct challenge_dates *d)
{
    query_int(q, ":opens", d->opens_at);
    query_int(q, ":due", d->due_at);
    query_int(q, ":closes", d->closes_at);
}

static enum err load(struct store *st, const struct challenge_change *n, struct stands *out)
{
    struct query q;
    begin(&q, st, STANDS, n);
    query_int(&q, ":staff", n->by.v);
    query_int(&q, ":today", clock_day(n->now));
    bool found = query_row(&q);
    if (found) {
        out->dates = read_dates(&q);
        out->cancelled_at = col_null(&q, 3) ? 0 : col_int(&q, 3);
        out->cancelled_by = col_null(&q, 4) ? 0 : col_int(&q, 4);
    }
    enum err e = query_end(&q);
    return e == OK && !found ? ERR_NOT_FOUND : e;
}

/* Can tries have been done that would be refused, or be late, from now on? */
static bool takes_away(const struct stands *was, const struct challenge_change *n)
{
    const struct challenge_dates *a = &was->dates, *b = &n->dates;
    bool stood = !was->cancelled_at && a->opens_at <= n->now;
    return stood && (n->cancelled || b->opens_at > a->opens_at || b->due_at < a->due_at ||
                     b->closes_at < a->closes_at);
}

enum err challenge_change(struct store *st, const struct challenge_change *n)
{
    struct stands was;
    struct query q;
    enum err e = load(st, n, &was);
    if (e == OK) {
        query_begin(&q, st, &challenge_changes_stmts, FORGET);
        query_int(&q, ":before", clock_day_start(clock_day(n->now) - CHANGE_LATE_DAYS));
        e = query_run(&q);
    }
    if (e == OK && takes_away(&was, n)) {
        begin(&q, st, KEEP, n);
        bind_dates(&q, &was.dates);
        query_int(&q, ":now", n->now);
        e = query_run(&q);
    }
    if (e != OK) {
        return e;
    }
    bool still = was.cancelled_at != 0;
    begin(&q, st, CHANGE, n);
    bind_dates(&q, &n->dates);
    query_int_or_null(&q, ":at", n->cancelled, still ? was.cancelled_at : n->now);
    query_int_or_null(&q, ":by", n->cancelled, still ? was.cancelled_by : n->by.v);
    return query_run(&q);
}

/* What is taken ------------------------------------------------------------------------------- */

enum err challenge_spans(void *ctx, struct store *st, const struct challenge_spans_ask *ask,
                         struct challenge_spans *out)
{
    struct query q;
    size_t cap = 0;
    *out = (struct challenge_spans){0};
    query_begin(&q, st, &challenge_changes_stmts, SPANS);
    query_int(&q, ":pupil", ask->pupil.v);
    query_int(&q, ":challenge", ask->challenge.v);
    query_int(&q, ":today", ask->today);
    query_int(&q, ":done_day", ask->done_day);
    while (query_row(&q)) {
        out->mine = true;
        if (col_null(&q, 4)) {
            mem_grow(ctx, out->v, out->n, &cap);
            out->v[out->n++] = (struct challenge_span){read_dates(&q), col_int(&q, 3)};
        }
    }
    return query_end(&q);
}

static enum err takes(const struct challenge_span *s, const struct challenge_done *done)
{
    const int32_t now_day = clock_day(done->received_at);
    if (s->until_at) {
        const int32_t until = clock_day(s->until_at);
        bool before = done->day_said && done->day <= until &&
                      now_day <= until + CHANGE_LATE_DAYS &&
                      done->day >= clock_day(s->dates.opens_at) &&
                      done->day <= clock_day(s->dates.closes_at);
        return before ? OK : ERR_CLOSED;
    }
    if (done->received_at < s->dates.opens_at || done->day < clock_day(s->dates.opens_at)) {
        return ERR_NOT_OPEN;
    }
    bool ended = done->day > clock_day(s->dates.closes_at) ||
                 (!done->day_said && done->received_at > s->dates.closes_at);
    return ended ? ERR_CLOSED : OK;
}

/* Done on an earlier day: that day decides. Done today: the moment it came in does. */
static bool is_late(const struct challenge_span *s, const struct challenge_done *done)
{
    int32_t due = clock_day(s->dates.due_at);
    if (done->day != due) {
        return done->day > due;
    }
    return done->day == clock_day(done->received_at) && done->received_at > s->dates.due_at;
}

enum err challenge_takes(const struct challenge_spans *spans, const struct challenge_done *done,
                         bool *late)
{
    enum err why = ERR_CLOSED;
    bool taken = false;
    *late = true;
    for (size_t i = 0; i < spans->n; i++) {
        enum err e = takes(&spans->v[i], done);
        taken = taken || e == OK;
        *late = *late && (e != OK || is_late(&spans->v[i], done));
        why = e == ERR_NOT_OPEN ? e : why;
    }
    *late = *late && taken;
    return taken ? OK : why;
}
