/* SPDX-License-Identifier: MIT
 * The key-derivation pool: two rings of 16 jobs, two threads, one mutex.
 *
 * Invariants: at most KDF_THREADS hashes run at once (that bounds memory), and one less of
 * strangers; a job that was taken is always done, also while stopping. Threat: a flood of sign-ins;
 * what does not fit is refused at once and the client is told to come back. */
#include "auth/kdf.h"

#include <pthread.h>

#include "base/log.h"
#include "base/mem.h"

struct kdf_job {
    void (*fn)(void *);
    void (*done)(void *);
    void *arg;
};

struct kdf_pool {
    pthread_mutex_t lock;
    pthread_cond_t wake;
    pthread_t thread[KDF_THREADS];
    int threads;
    bool closing;
    struct kdf_ring {
        struct kdf_job job[KDF_QUEUE];
        int first, waiting;
    } ring[KDF_LANES];
    int strangers;      /* running */
};

/* The lane whose turn it is, or KDF_LANES. */
static enum kdf_lane next_lane(const struct kdf_pool *p)
{
    if (p->ring[KDF_KNOWN].waiting > 0) {
        return KDF_KNOWN;
    }
    bool may = p->ring[KDF_STRANGER].waiting > 0 && p->strangers < KDF_THREADS - 1;
    return may ? KDF_STRANGER : KDF_LANES;
}

/* KDF_LANES: stopping, and nothing left for this thread. A stranger that waits meanwhile has its
 * turn on the thread that is busy with another. */
static enum kdf_lane take_job(struct kdf_pool *p, struct kdf_job *out)
{
    enum kdf_lane lane;

    pthread_mutex_lock(&p->lock);
    while ((lane = next_lane(p)) == KDF_LANES && !p->closing) {
        pthread_cond_wait(&p->wake, &p->lock);
    }
    if (lane != KDF_LANES) {
        struct kdf_ring *r = &p->ring[lane];
        *out = r->job[r->first];
        r->first = (r->first + 1) % KDF_QUEUE;
        r->waiting--;
        p->strangers += lane == KDF_STRANGER;
    }
    pthread_mutex_unlock(&p->lock);
    return lane;
}

static void *work(void *arg)
{
    struct kdf_pool *p = arg;
    struct kdf_job job;
    enum kdf_lane lane;

    while ((lane = take_job(p, &job)) != KDF_LANES) {
        job.fn(job.arg);
        pthread_mutex_lock(&p->lock);
        p->strangers -= lane == KDF_STRANGER;
        pthread_mutex_unlock(&p->lock);
        job.done(job.arg);
    }
    return NULL;
}

enum err kdf_start(void *ctx, struct kdf_pool **out)
{
    struct kdf_pool *p = mem_new(ctx, struct kdf_pool);

    *out = NULL;
    if (pthread_mutex_init(&p->lock, NULL) != 0 || pthread_cond_init(&p->wake, NULL) != 0) {
        talloc_free(p);
        return ERR_INTERNAL;
    }
    while (p->threads < KDF_THREADS &&
           pthread_create(&p->thread[p->threads], NULL, work, p) == 0) {
        p->threads++;
    }
    if (p->threads < KDF_THREADS) {
        log_event(LOG_ERROR, "kdf_threads", "started=%d", p->threads);
        kdf_stop(p);
        return ERR_INTERNAL;
    }
    *out = p;
    return OK;
}

bool kdf_submit(struct kdf_pool *p, enum kdf_lane lane, void (*fn)(void *), void (*done)(void *),
                void *arg)
{
    struct kdf_ring *r = &p->ring[lane];

    pthread_mutex_lock(&p->lock);
    bool room = !p->closing && r->waiting < KDF_QUEUE;
    if (room) {
        r->job[(r->first + r->waiting) % KDF_QUEUE] =
            (struct kdf_job){.fn = fn, .done = done, .arg = arg};
        r->waiting++;
        pthread_cond_signal(&p->wake);
    }
    pthread_mutex_unlock(&p->lock);
    return room;
}

void kdf_stop(struct kdf_pool *p)
{
    if (!p) {
        return;
    }
    pthread_mutex_lock(&p->lock);
    p->closing = true;
    pthread_cond_broadcast(&p->wake);
    pthread_mutex_unlock(&p->lock);
    for (int i = 0; i < p->threads; i++) {
        pthread_join(p->thread[i], NULL);
    }
    pthread_cond_destroy(&p->wake);
    pthread_mutex_destroy(&p->lock);
    talloc_free(p);
}
