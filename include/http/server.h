/* SPDX-License-Identifier: MIT
 * The HTTP server: event-loop threads around libmicrohttpd. Knows nothing of people or SQL: what it
 * needs of them comes in as function pointers. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/err.h"
#include "http/request.h"
#include "http/route.h"

/* Work for the writer thread, see store/writer.h for the contract of the three functions. */
struct http_write {
    enum err (*fn)(struct store *st, void *arg);
    void (*done)(void *arg, enum err result);
    void (*group_done)(void *arg);
    void *arg, *group_key;
};

struct http_hooks {
    void *ctx;
    /* Is this person allowed this? Fills rq->who. On the loop's thread. */
    enum err (*admit)(struct request *rq);
    /* Throttle keys for an address in text. Any thread. */
    struct client_keys (*client_keys)(void *ctx, const char *address);
    /* False: not taken. `rq` lives until done was called; memory may be hung from rq->mem. */
    bool (*submit_write)(void *ctx, struct request *rq, const struct http_write *w);
    bool (*submit_slow)(void *ctx, const struct request *rq, void (*fn)(void *),
                        void (*done)(void *), void *arg);
};

struct http_config {
    int listen_fd;                      /* bound, listening, non-blocking; taken over             */
    bool unix_socket;                   /* then the peer is a proxy on this machine               */
    bool per_ip_limit;                  /* one address may hold no more than a part of the slots  */
    int loops;                          /* event-loop threads, 1..HTTP_LOOPS                      */
    int max_connections;
    int deadline_s;                     /* for the headers; twice that for the whole request      */
    const char *tls_cert, *tls_key;     /* PEM text, or NULL                                      */
    const char *const *hosts;           /* Host values we answer for, NULL-terminated             */
    const char *origin_base;            /* "https://school.example"                               */
    bool secure;                        /* the public address is https                            */
    const char *proxy;                  /* peer whose X-Forwarded-For counts, or NULL             */
    const char *session_cookie, *device_cookie;
    const char *web_dir;                /* serve files from here, not from the binary; or NULL    */
    const struct route *routes;
    size_t route_count;
    struct app *app;                    /* handed through to requests                             */
    struct auth *auth;
    struct store **readers;             /* one a loop                                             */
    struct http_hooks hooks;
};

enum { HTTP_LOOPS = 16 };

struct http_server;

/* Everything pointed to by `c` must outlive the server. *why says what is wrong. */
enum err http_start(void *ctx, const struct http_config *c, struct http_server **out,
                    const char **why) MUST_USE;

/* First half of stopping: no new connection, and no new work for the hooks once this returns. What
 * was handed over goes on. Then drain the slow threads and the writer. */
void http_close(struct http_server *s);

/* Second half: sends the answers that are ready, joins the threads, frees. Nothing may be left with
 * the hooks. */
void http_stop(struct http_server *s);

/* The HTTP library's version. */
const char *http_library(void);
