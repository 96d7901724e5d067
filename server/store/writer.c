/* SPDX-License-Identifier: MIT
 * The one thread that writes.
 *
 * Owns: the writing store, the queue of jobs, the only transactions of a running server.
 * Invariants: done() of a job is called once, after the COMMIT that holds its work, or with the
 * error when there was none; a job that fails leaves nothing behind and does not touch its
 * neighbours (a savepoint each); when SQLite gives up the transaction, every job of the group is
 * told so. A job, and all it points to, belongs to the submitter again from its done() on, so
 * what group_done() needs is noted before.
 * Threats: a job that forgets a running query would hold a snapshot and block checkpoints: it is
 * reset, and fails; a disk that fills: 507 for the group, and the next group is tried afresh; a
 * group of refusals alone commits on a full disk too, having nothing to write: it proves nothing.
 * Lock: `lock` guards head, tail, waiting and closing, and is held for no call out of this file.
 */
#include "store/writer.h"

#include <pthread.h>
#include <signal.h>
#include <stdatomic.h>
#include <stdlib.h>

#include "base/clock.h"
#include "base/log.h"
#include "base/mem.h"
#include "store/query.h"
#include "store_internal.h"

enum { GROUP_MAX = 512, WAITING_MAX = 8192, KEYS_MAX = 64, PROBE_EVERY_MS = 1000 };
enum { PROBE };

static const struct stmt_def defs[] = {
    [PROBE] = {"storing probe", "UPDATE storing_probe SET tries = tries + 1 WHERE id = 1"},
};
const struct stmt_set writer_stmts = {"writer", defs, sizeof defs / sizeof *defs};

struct writer {
    pthread_t thread;
    pthread_mutex_t lock;
    pthread_cond_t work;
    struct writer_job *head, *tail;
    size_t waiting;
    bool closing;
    struct store *st;       /* the thread's alone once it runs */
    atomic_bool failing;    /* the last group that had something to write was not committed */
    atomic_bool probing;    /* `probe` is queued or runs */
    _Atomic int64_t probed_ms;
    struct writer_job probe;
};

struct group {
    struct writer_job *jobs[GROUP_MAX];
    enum err results[GROUP_MAX];
    size_t count;
    bool wrote;             /* a job that went well changed a row */
};

struct group_key {
    void (*fn)(void *key);
    void *key;
};

bool writer_submit(struct writer *w, struct writer_job *job)
{
    job->next = NULL;
    pthread_mutex_lock(&w->lock);
    bool taken = !w->closing && w->waiting < WAITING_MAX;
    if (taken) {
        if (w->tail) {
            w->tail->next = job;
        } else {
            w->head = job;
        }
        w->tail = job;
        w->waiting++;
        pthread_cond_signal(&w->work);
    }
    pthread_mutex_unlock(&w->lock);
    return taken;
}

/* Waits for jobs and takes them; false when closing and none is left. */
static bool group_take(struct writer *w, struct group *g)
{
    g->count = 0;
    pthread_mutex_lock(&w->lock);
    while (!w->head && !w->closing) {
        pthread_cond_wait(&w->work, &w->lock);
    }
    while (w->head && g->count < GROUP_MAX) {
        g->jobs[g->count++] = w->head;
        w->head = w->head->next;
        w->waiting--;
    }
    if (!w->head) {
        w->tail = NULL;
    }
    pthread_mutex_unlock(&w->lock);
    return g->count > 0;
}

/* Runs one job in its savepoint. What is returned is about the transaction; the job's own result
 * goes to the group's. */
static enum err job_run(struct store *st, struct group *g, size_t i)
{
    enum err *result = &g->results[i];
    enum err tx = tx_do(st, TX_SAVE);
    if (tx != OK) {
        return tx;
    }
    const int64_t changes = sqlite3_total_changes64(st->db);
    *result = g->jobs[i]->fn(st, g->jobs[i]->arg);
    if (!store_is_idle(st) && *result == OK) {
        *result = ERR_INTERNAL;
    }
    if (!tx_is_open(st)) {
        return *result == ERR_STORE_FULL ? ERR_STORE_FULL : ERR_STORE;
    }
    if (*result != OK) {
        tx = tx_do(st, TX_BACK);
    } else if (sqlite3_total_changes64(st->db) != changes) {
        g->wrote = true;
    }
    return tx == OK ? tx_do(st, TX_RELEASE) : tx;
}

static enum err group_commit(struct store *st, struct group *g)
{
    enum err tx = tx_do(st, TX_BEGIN);
    if (tx != OK) {
        return tx;
    }
    st->in_tx = "writer";
    g->wrote = false;
    for (size_t i = 0; tx == OK && i < g->count; i++) {
        tx = job_run(st, g, i);
    }
    st->in_tx = NULL;
    if (tx == OK) {
        tx = tx_do(st, TX_COMMIT);
    }
    if (tx != OK && tx_is_open(st)) {
        enum err back = tx_do(st, TX_ROLLBACK);
        if (back != OK) {
            log_event(LOG_ERROR, "writer", "rollback=failed");
        }
    }
    return tx;
}

static size_t keys_note(const struct group *g, struct group_key *keys)
{
    size_t n = 0;
    for (size_t i = 0; i < g->count; i++) {
        const struct writer_job *job = g->jobs[i];
        size_t k = 0;
        while (k < n && keys[k].key != job->group_key) {
            k++;
        }
        if (k < n || !job->group_key || !job->group_done) {
            continue;
        }
        if (n == KEYS_MAX) {
            log_bug("more loops than the writer can wake");
            continue;
        }
        keys[n++] = (struct group_key){job->group_done, job->group_key};
    }
    return n;
}

static void group_run(struct writer *w, struct group *g)
{
    enum err tx = group_commit(w->st, g);
    if (tx != OK || g->wrote) {
        atomic_store(&w->failing, tx != OK);
    }
    if (tx == OK) {
        store_committed();
    } else {
        log_event(LOG_ERROR, "writer", "group=%zu committed=0 result=%d", g->count, (int)tx);
    }
    struct group_key keys[KEYS_MAX];
    size_t key_count = keys_note(g, keys);
    for (size_t i = 0; i < g->count; i++) {
        struct writer_job *job = g->jobs[i];
        job->done(job->arg, tx == OK ? g->results[i] : tx);
    }
    for (size_t k = 0; k < key_count; k++) {
        keys[k].fn(keys[k].key);
    }
}

static enum err probe_run(struct store *st, void *arg)
{
    (void)arg;
    struct query q;
    query_begin(&q, st, &writer_stmts, PROBE);
    return query_run(&q);
}

static void probe_done(void *arg, enum err result)
{
    struct writer *w = arg;
    (void)result; /* group_run has noted whether it was committed */
    atomic_store(&w->probing, false);
}

bool writer_can_store(struct writer *w)
{
    if (!atomic_load(&w->failing)) {
        return true;
    }
    int64_t now = clock_mono_ms();
    if (now - atomic_load(&w->probed_ms) >= PROBE_EVERY_MS &&
        !atomic_exchange(&w->probing, true)) {
        atomic_store(&w->probed_ms, now);
        w->probe = (struct writer_job){.fn = probe_run, .done = probe_done, .arg = w};
        if (!writer_submit(w, &w->probe)) {
            atomic_store(&w->probing, false);
        }
    }
    return false;
}

static void *writer_main(void *arg)
{
    struct writer *w = arg;
    struct group *g = mem_new(NULL, struct group);
    /* Here rather than in writer_start, so that the server listens meanwhile. A statement that does
     * not fit is a broken build or a schema changed by hand: nothing may be served on it. */
    const char *why = "";
    if (store_statements_fit(g, w->st, &why) != OK) {
        log_event(LOG_ERROR, "start", "why=\"%s\"", why);
        abort();
    }
    while (group_take(w, g)) {
        group_run(w, g);
    }
    talloc_free(g);
    return NULL;
}

enum err writer_start(void *ctx, const char *dir, struct writer **out, const char **why)
{
    *out = NULL;
    struct writer *w = mem_new(NULL, struct writer);
    enum err e = store_open_quick(ctx, dir, STORE_WRITE, &w->st, why);
    if (e != OK) {
        talloc_free(w);
        return e;
    }
    pthread_mutex_init(&w->lock, NULL);
    pthread_cond_init(&w->work, NULL);
    /* Signals are for the main thread: the writer inherits a full mask. */
    sigset_t all, before;
    sigfillset(&all);
    pthread_sigmask(SIG_SETMASK, &all, &before);
    int rc = pthread_create(&w->thread, NULL, writer_main, w);
    pthread_sigmask(SIG_SETMASK, &before, NULL);
    if (rc != 0) {
        *why = "no thread for the writer";
        store_close(w->st);
        talloc_free(w);
        return ERR_INTERNAL;
    }
    *out = w;
    return OK;
}

void writer_stop(struct writer *w)
{
    if (!w) {
        return;
    }
    pthread_mutex_lock(&w->lock);
    w->closing = true;
    pthread_cond_signal(&w->work);
    pthread_mutex_unlock(&w->lock);
    pthread_join(w->thread, NULL);
    store_close(w->st);
    pthread_cond_destroy(&w->work);
    pthread_mutex_destroy(&w->lock);
    talloc_free(w);
}
