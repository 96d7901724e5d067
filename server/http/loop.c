/* SPDX-License-Identifier: MIT
 * One event loop: a thread, a libmicrohttpd daemon in external epoll mode, an epoll set of our own
 * over the daemon's epoll descriptor and an eventfd.
 *
 * Why not the library's own threads: with internal epoll exactly k * 128 ready events are followed
 * by a wait of the full timeout (0.9.75), so 128 clients at once hang. Here MHD_run is called after
 * every wait, and MHD_get_timeout asked before each.
 * Why an eventfd: MHD_get_timeout ignores resumes that are pending. Other threads only put an
 * exchange on `ready` and write the eventfd; this thread resumes and then runs the daemon, so no
 * resume can be missed.
 * Why a reaper: the library's timeout counts idle time, and one byte every half second is never
 * idle. Every connection has a deadline for what it is doing; past it the socket is shut down.
 *
 * Invariants: `conns`, `linger` and the daemon belong to this thread. A suspended connection is
 * never left in a daemon that is stopped (it would abort): server.c drains the other threads first.
 */
#include "http/loop.h"

#include <errno.h>
#include <microhttpd.h>
#include <sys/epoll.h>
#include <sys/socket.h>
#include <unistd.h>

#include "base/clock.h"
#include "base/log.h"
#include "base/mem.h"
#include "http/exchange.h"

enum {
    TICK_MS = 250,
    EXCESS_MS = 2000,
    LINGER_MS = 3000,
    LINGER_BYTES = 16 * 1024 * 1024,
    STOP_GRACE_MS = 3000,
    EVENTS = 16,
};

/* ---- handing back ---------------------------------------------------------------------------- */

void loop_ready(struct loop *l, struct exchange *ex)
{
    pthread_mutex_lock(&l->lock);
    ex->next = l->ready;
    l->ready = ex;
    pthread_mutex_unlock(&l->lock);
}

void loop_wake(struct loop *l)
{
    uint64_t one = 1;
    ssize_t wrote = write(l->event, &one, sizeof one);
    (void)wrote; /* a full counter wakes just as well */
}

static void resume_all(struct loop *l)
{
    uint64_t n;
    ssize_t got = read(l->event, &n, sizeof n);
    (void)got;
    pthread_mutex_lock(&l->lock);
    struct exchange *ex = l->ready;
    l->ready = NULL;
    pthread_mutex_unlock(&l->lock);
    struct exchange *in_order = NULL;
    while (ex) {
        struct exchange *next = ex->next;
        ex->next = in_order;
        in_order = ex;
        ex = next;
    }
    while (in_order) {
        struct exchange *next = in_order->next; /* after the resume it may be gone */
        exchange_resume(in_order);
        in_order = next;
    }
}

/* ---- connections ----------------------------------------------------------------------------- */

struct conn *conn_open(struct loop *l, int fd)
{
    struct conn *c = mem_new(NULL, struct conn);
    int count = atomic_fetch_add(&l->server->conns, 1) + 1;
    *c = (struct conn){.loop = l, .fd = fd, .since_ms = l->now_ms, .next = l->conns};
    c->excess = count > l->server->config->max_connections;
    if (l->conns) {
        l->conns->prev = c;
    }
    l->conns = c;
    l->conn_count++;
    return c;
}

/* Keeps the socket of a connection that was refused with input still coming: closing it now would
 * reset it, and the reset would take the answer with it. */
static void linger_start(struct loop *l, int fd)
{
    for (int i = 0; i < LINGERS; i++) {
        struct lingerer *g = &l->linger[i];
        if (g->fd >= 0) {
            continue;
        }
        struct epoll_event ev = {.events = EPOLLIN | EPOLLRDHUP, .data.u32 = (uint32_t)i};
        int copy = dup(fd);
        if (copy < 0 || epoll_ctl(l->epoll, EPOLL_CTL_ADD, copy, &ev) != 0) {
            if (copy >= 0) {
                close(copy);
            }
            return;
        }
        *g = (struct lingerer){copy, l->now_ms + LINGER_MS, LINGER_BYTES};
        return;
    }
}

static void linger_end(struct lingerer *g)
{
    close(g->fd);
    g->fd = -1;
}

static void linger_read(struct lingerer *g)
{
    char sink[16384];
    for (int i = 0; i < 16; i++) {
        ssize_t got = recv(g->fd, sink, sizeof sink, MSG_DONTWAIT);
        if (got < 0 && (errno == EAGAIN || errno == EINTR)) {
            return;
        }
        g->left -= got;
        if (got <= 0 || g->left <= 0) {
            linger_end(g);
            return;
        }
    }
}

void conn_close(struct conn *c)
{
    struct loop *l = c->loop;
    if (c->linger) {
        linger_start(l, c->fd);
    }
    if (c->prev) {
        c->prev->next = c->next;
    } else {
        l->conns = c->next;
    }
    if (c->next) {
        c->next->prev = c->prev;
    }
    l->conn_count--;
    atomic_fetch_sub(&l->server->conns, 1);
    talloc_free(c);
}

/* The clock of a request starts with its connection, or, on one kept alive, with its request line;
 * it is not set back by progress. Waiting for the next request and sending have clocks of their
 * own. */
void conn_state(struct conn *c, enum conn_state state)
{
    bool next_request = c->served && state == CONN_HEAD;
    if (state == CONN_WAIT || state == CONN_ANSWER || next_request || c->state == CONN_AWAY) {
        c->since_ms = c->loop->now_ms;
    }
    c->served = c->served || state == CONN_ANSWER;
    c->state = state;
}

static bool conn_is_late(const struct conn *c, int64_t now_ms, int64_t deadline_ms)
{
    int64_t age = now_ms - c->since_ms;
    switch (c->state) {
    case CONN_WAIT:
        return age > (c->excess ? EXCESS_MS : deadline_ms);
    case CONN_HEAD:
        return age > deadline_ms;
    case CONN_BODY:
        return age > 2 * deadline_ms;
    case CONN_ANSWER:
        return age > 4 * deadline_ms;
    case CONN_AWAY:
        break;
    }
    return false;
}

static void reap(struct loop *l)
{
    int64_t deadline_ms = (int64_t)l->server->config->deadline_s * 1000;
    l->reaped_ms = l->now_ms;
    for (struct conn *c = l->conns; c; c = c->next) {
        if (conn_is_late(c, l->now_ms, deadline_ms)) {
            shutdown(c->fd, SHUT_RDWR);
        }
    }
    for (int i = 0; i < LINGERS; i++) {
        if (l->linger[i].fd >= 0 && l->now_ms > l->linger[i].until_ms) {
            linger_end(&l->linger[i]);
        }
    }
}

static bool anything_open(const struct loop *l)
{
    bool open = l->conn_count > 0;
    for (int i = 0; i < LINGERS; i++) {
        open = open || l->linger[i].fd >= 0;
    }
    return open;
}

/* ---- the loop -------------------------------------------------------------------------------- */

/* Milliseconds to wait; -1: until something happens. */
static int wait_ms(const struct loop *l)
{
    MHD_UNSIGNED_LONG_LONG mhd_ms;
    int ms = -1;
    if (anything_open(l) || atomic_load(&l->server->stopping)) {
        ms = TICK_MS;
    }
    if (MHD_get_timeout(l->daemon, &mhd_ms) == MHD_YES && (ms < 0 || mhd_ms < (unsigned)ms)) {
        ms = (int)(mhd_ms > TICK_MS ? TICK_MS : mhd_ms);
    }
    return ms;
}

static void stop_accepting(struct loop *l)
{
    int fd = MHD_quiesce_daemon(l->daemon);
    if (fd >= 0) {
        close(fd);
    }
    l->quiet = true;
    atomic_fetch_add(&l->server->quiet_loops, 1);
}

/* Nothing under way any more, or it has had long enough. */
static bool may_stop(struct loop *l)
{
    if (!atomic_load(&l->server->stopping)) {
        return false;
    }
    if (l->stop_by_ms == 0) {
        l->stop_by_ms = l->now_ms + STOP_GRACE_MS;
    }
    bool busy = false;
    for (const struct conn *c = l->conns; c; c = c->next) {
        busy = busy || c->state != CONN_WAIT;
        if (c->state == CONN_AWAY) {
            return false;
        }
    }
    return !busy || l->now_ms > l->stop_by_ms;
}

void *loop_run(void *arg)
{
    struct loop *l = arg;
    struct epoll_event events[EVENTS];
    while (!may_stop(l)) {
        int n = epoll_wait(l->epoll, events, EVENTS, wait_ms(l));
        if (n < 0 && errno != EINTR) {
            log_event(LOG_ERROR, "loop", "what=epoll_wait errno=%d", errno);
            break;
        }
        l->now_ms = clock_mono_ms();
        if (atomic_load(&l->server->closing) && !l->quiet) {
            stop_accepting(l);
        }
        for (int i = 0; i < n; i++) {
            uint32_t tag = events[i].data.u32;
            if (tag == LOOP_TAG_EVENT) {
                resume_all(l);
            } else if (tag < LINGERS && l->linger[tag].fd >= 0) {
                linger_read(&l->linger[tag]);
            }
        }
        MHD_run(l->daemon);
        if (l->now_ms - l->reaped_ms >= TICK_MS) {
            reap(l);
        }
    }
    return NULL;
}
