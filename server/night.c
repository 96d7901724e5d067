/* SPDX-License-Identifier: MIT
 * The night's work of a running server, done by the thread that waits for signals.
 *
 * Invariants: no loop and no reader does any of it; rows go in one job of the writer, as every
 * write does; what must stay outside a transaction (old copies, the log) is done by this thread on
 * a connection of its own. A day is tried once; the stored plan tells that it was, also after a
 * restart or after `thrice purge` by hand.
 * The database is written anew only in the quiet hours, because that holds up who sends meanwhile;
 * by day the log is emptied alone, which is enough for the traces.
 */
#include "night.h"

#include "auth/audit.h"
#include "base/clock.h"
#include "base/log.h"
#include "base/mem.h"
#include "store/purge.h"

enum { IDLE, AT_WORK, DONE };
enum { NIGHT_HOUR = 3, QUIET_TILL_HOUR = 5, AFTER_START_MS = 15 * 60 * 1000, LOOK_S = 10 };

static int64_t gone(const struct purge_done *d)
{
    return d->cards + d->messages + d->leavers + d->hand_ins + d->decisions + d->challenges;
}

enum err night_purge(struct store *st, void *arg)
{
    struct night_purge *p = arg;
    enum err e = purge_run(st, &p->now, &p->report);
    bool ran = upkeep_believed(p->report.state.upkeep.clock);
    if (e != OK || !ran || !(p->by_hand || gone(&p->report.done) > 0)) {
        return e;
    }
    return audit_add(st, p->keys, p->now.at, p->by_hand ? "office box" : "server", "purged",
                     "school:1", "");
}

static enum err work(struct store *st, void *arg)
{
    struct night *n = arg;
    n->purge = (struct night_purge){.keys = n->keys, .now = upkeep_now()};
    enum err e = purge_planned(st, clock_day(n->purge.now.at), &n->planned);
    return e == OK && !n->planned ? night_purge(st, &n->purge) : e;
}

static void worked(void *arg, enum err result)
{
    struct night *n = arg;
    n->result = result;
    atomic_store(&n->state, DONE);
}

static bool quiet(int64_t now)
{
    int32_t today = clock_day(now);
    return now >= clock_day_at(today, NIGHT_HOUR, 0) &&
           now < clock_day_at(today, QUIET_TILL_HOUR, 0);
}

/* After the rows: copies, and the bytes that are left of what went. */
static void finish(struct night *n)
{
    const struct purge_report *r = &n->purge.report;
    int64_t copies = 0;
    bool clean = true;
    const char *why = "";
    if (n->result != OK || n->planned) {
        log_event(n->result == OK ? LOG_INFO : LOG_ERROR, "purge", "planned=%d result=%d",
                  n->planned, (int)n->result);
        return;
    }
    if (upkeep_believed(r->state.upkeep.clock) &&
        purge_copies(n->dir, n->purge.now.at, false, &copies) != OK) {
        log_event(LOG_WARN, "purge", "copies=failed");
    }
    void *ctx = mem_root();
    if (gone(&r->done) > 0 &&
        purge_compact(ctx, n->dir, quiet(clock_now()), &clean, &why) != OK) {
        log_event(LOG_WARN, "purge", "compact=failed");
    }
    talloc_free(ctx);
    log_event(LOG_INFO, "purge", "clock=%d sessions=%lld rows=%lld copies=%lld log_empty=%d",
              (int)r->state.upkeep.clock, (long long)r->done.sessions, (long long)gone(&r->done),
              (long long)copies, clean);
}

static void begin(struct night *n, int32_t today)
{
    n->job = (struct writer_job){.fn = work, .done = worked, .arg = n};
    n->planned = false;
    atomic_store(&n->state, AT_WORK);
    if (writer_submit(n->writer, &n->job)) {
        n->tried_day = today;
    } else {
        atomic_store(&n->state, IDLE);
    }
}

int night_look(struct night *n)
{
    int64_t now = clock_now(), ran_ms = clock_mono_ms();
    if (!n->began_at) {
        n->began_at = now;
        n->began_ms = ran_ms;
    }
    int state = atomic_load(&n->state);
    if (state == DONE) {
        atomic_store(&n->state, IDLE);
        finish(n);
        state = IDLE;
    }
    int32_t today = clock_day(now);
    int64_t night = clock_day_at(today, NIGHT_HOUR, 0);
    bool missed = n->began_at >= night;     /* the server started after it */
    if (state == IDLE && now >= night && today != n->tried_day &&
        (!missed || ran_ms - n->began_ms >= AFTER_START_MS)) {
        begin(n, today);
        return 1;
    }
    int64_t left = night - now;
    return state == AT_WORK ? 1 : left > 0 && left < LOOK_S ? (int)left : LOOK_S;
}
