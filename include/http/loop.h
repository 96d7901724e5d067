/* SPDX-License-Identifier: MIT
 * The event loops' own structures. Inside server/http only. */
#pragma once

#include <pthread.h>
#include <stdatomic.h>
#include <stdbool.h>
#include <stdint.h>

#include "http/router.h"
#include "http/server.h"
#include "http/statics.h"

struct MHD_Daemon;
struct exchange;

/* Also the tags in a loop's epoll set: a lingering socket's place, the daemon, the eventfd. */
enum { LINGERS = 32, LOOP_TAG_DAEMON = LINGERS, LOOP_TAG_EVENT };

/* Where a connection stands: what it may take how long over. */
enum conn_state {
    CONN_WAIT,      /* no request line yet              */
    CONN_HEAD,      /* request line seen                */
    CONN_BODY,      /* headers seen                     */
    CONN_AWAY,      /* suspended: ours to finish        */
    CONN_ANSWER,    /* the answer is on its way         */
};

struct conn {
    struct conn *prev, *next;
    struct loop *loop;
    int fd;
    enum conn_state state;
    int64_t since_ms;
    bool excess;        /* beyond max_connections: is told so and closed */
    bool linger;        /* closed with unread input: read on a little, so the answer arrives */
    bool served;        /* has had an answer: kept alive */
    bool keyed;         /* `client` is known */
    struct client_keys client;
};

/* A socket whose answer is out and whose sender has not stopped sending. */
struct lingerer {
    int fd;             /* -1: free */
    int64_t until_ms;
    int64_t left;
};

struct loop {
    struct http_server *server;
    struct MHD_Daemon *daemon;
    struct statics *statics;
    struct store *store;
    int epoll, event;
    pthread_t thread;
    bool running;
    /* This loop's thread only */
    int64_t now_ms, reaped_ms;
    struct conn *conns;
    size_t conn_count;
    struct lingerer linger[LINGERS];
    bool quiet;                 /* has stopped accepting */
    int64_t stop_by_ms;
    /* Shared with the writer and the slow threads */
    pthread_mutex_t lock;
    struct exchange *ready;     /* finished elsewhere, to be resumed here */
};

struct http_server {
    const struct http_config *config;
    struct router *router;
    atomic_int conns;
    atomic_bool closing, stopping;
    atomic_int quiet_loops;
    int loop_count;
    struct loop loop[HTTP_LOOPS];
};

/* Hands an exchange back to its loop. Any thread. Wake the loop afterwards. */
void loop_ready(struct loop *l, struct exchange *ex);
void loop_wake(struct loop *l);

/* MHD's connection notices. */
struct conn *conn_open(struct loop *l, int fd);
void conn_close(struct conn *c);
void conn_state(struct conn *c, enum conn_state state);

void *loop_run(void *loop);
