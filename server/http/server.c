/* SPDX-License-Identifier: MIT
 * Starting and stopping the event loops.
 *
 * Stopping has two halves because libmicrohttpd aborts when a daemon with a suspended connection is
 * stopped: http_close ends the intake and waits until every loop has seen that, the owner drains
 * the slow threads and the writer (which hands every exchange back), http_stop sends what is ready.
 */
#include "http/server.h"

#include <errno.h>
#include <fcntl.h>
#include <microhttpd.h>
#include <signal.h>
#include <stdio.h>
#include <string.h>
#include <sys/epoll.h>
#include <sys/eventfd.h>
#include <time.h>
#include <unistd.h>

#include "base/clock.h"
#include "base/log.h"
#include "base/mem.h"
#include "http/exchange.h"
#include "http/loop.h"

enum { POOL_BYTES = 8192, IDLE_S = 10, EXCESS_ROOM = 64 };

static const char tls_priorities[] =
    "NORMAL:-VERS-ALL:+VERS-TLS1.3:+VERS-TLS1.2:-RSA:-CIPHER-ALL:+AES-256-GCM:+CHACHA20-POLY1305:"
    "+AES-128-GCM:-MAC-ALL:+AEAD:%SERVER_PRECEDENCE";

/* The target is vetted and decoded by us, from the raw text. */
static size_t unescape_nothing(void *cls, struct MHD_Connection *mhd, char *s)
{
    (void)cls;
    (void)mhd;
    return strlen(s);
}

/* The library prints what clients send: not into our log. */
__attribute__((format(printf, 2, 0))) static void log_nothing(void *cls, const char *fmt,
                                                              va_list ap)
{
    (void)cls;
    (void)fmt;
    (void)ap;
}

static void connection_notice(void *cls, struct MHD_Connection *mhd, void **socket_context,
                              enum MHD_ConnectionNotificationCode code)
{
    if (code == MHD_CONNECTION_NOTIFY_STARTED) {
        const union MHD_ConnectionInfo *info =
            MHD_get_connection_info(mhd, MHD_CONNECTION_INFO_CONNECTION_FD);
        *socket_context = conn_open(cls, info ? info->connect_fd : -1);
    } else if (*socket_context) {
        conn_close(*socket_context);
        *socket_context = NULL;
    }
}

static struct MHD_Daemon *daemon_start(struct loop *l, int fd)
{
    const struct http_config *c = l->server->config;
    unsigned limit = (unsigned)c->max_connections + EXCESS_ROOM;
    unsigned per_ip = c->per_ip_limit ? (unsigned)c->max_connections * 3 / 10 + 1 : 0;
    struct MHD_OptionItem tls[] = {
        {MHD_OPTION_HTTPS_MEM_CERT, 0, (void *)(uintptr_t)c->tls_cert},
        {MHD_OPTION_HTTPS_MEM_KEY, 0, (void *)(uintptr_t)c->tls_key},
        {MHD_OPTION_HTTPS_PRIORITIES, 0, (void *)(uintptr_t)tls_priorities},
        {MHD_OPTION_END, 0, NULL},
    };
    struct MHD_OptionItem *more = c->tls_cert ? tls : tls + 3;
    unsigned flags = MHD_USE_EPOLL | MHD_ALLOW_SUSPEND_RESUME | MHD_USE_ERROR_LOG;
    flags |= c->tls_cert ? MHD_USE_TLS : 0;
    return MHD_start_daemon(
        flags, 0, NULL, NULL, exchange_access, l, MHD_OPTION_EXTERNAL_LOGGER, log_nothing, NULL,
        MHD_OPTION_LISTEN_SOCKET, fd, MHD_OPTION_CONNECTION_LIMIT, limit,
        MHD_OPTION_PER_IP_CONNECTION_LIMIT, per_ip, MHD_OPTION_CONNECTION_TIMEOUT,
        (unsigned)IDLE_S, MHD_OPTION_CONNECTION_MEMORY_LIMIT, (size_t)POOL_BYTES,
        MHD_OPTION_STRICT_FOR_CLIENT, 1, MHD_OPTION_URI_LOG_CALLBACK, exchange_uri, l,
        MHD_OPTION_UNESCAPE_CALLBACK, unescape_nothing, NULL, MHD_OPTION_NOTIFY_COMPLETED,
        exchange_completed, l, MHD_OPTION_NOTIFY_CONNECTION, connection_notice, l,
        MHD_OPTION_SIGPIPE_HANDLED_BY_APP, 1, MHD_OPTION_ARRAY, more, MHD_OPTION_END);
}

static bool watch(int epoll, int fd, uint32_t tag)
{
    struct epoll_event ev = {.events = EPOLLIN, .data.u32 = tag};
    return epoll_ctl(epoll, EPOLL_CTL_ADD, fd, &ev) == 0;
}

static const char *loop_start(struct loop *l, int listen_fd)
{
    for (int i = 0; i < LINGERS; i++) {
        l->linger[i].fd = -1;
    }
    pthread_mutex_init(&l->lock, NULL);
    l->now_ms = clock_mono_ms();
    l->statics = statics_new(NULL, l->server->config);
    l->event = eventfd(0, EFD_NONBLOCK | EFD_CLOEXEC);
    l->epoll = epoll_create1(EPOLL_CLOEXEC);
    if (l->event < 0 || l->epoll < 0) {
        return strerror(errno);
    }
    l->daemon = daemon_start(l, listen_fd);
    if (!l->daemon) {
        return "the HTTP library did not start (are certificate and key PEM, and a pair?)";
    }
    const union MHD_DaemonInfo *info = MHD_get_daemon_info(l->daemon, MHD_DAEMON_INFO_EPOLL_FD);
    if (!info || !watch(l->epoll, info->epoll_fd, LOOP_TAG_DAEMON) ||
        !watch(l->epoll, l->event, LOOP_TAG_EVENT)) {
        return "epoll failed";
    }
    int failed = pthread_create(&l->thread, NULL, loop_run, l);
    if (failed) {
        return strerror(failed);
    }
    l->running = true;
    char name[16];
    snprintf(name, sizeof name, "http-%d", (int)(l - l->server->loop));
    pthread_setname_np(l->thread, name);
    return NULL;
}

static void loop_free(struct loop *l)
{
    if (l->daemon) {
        MHD_stop_daemon(l->daemon);
    }
    for (int i = 0; i < LINGERS; i++) {
        if (l->linger[i].fd >= 0) {
            close(l->linger[i].fd);
        }
    }
    talloc_free(l->statics);
    if (l->event >= 0) {
        close(l->event);
    }
    if (l->epoll >= 0) {
        close(l->epoll);
    }
    pthread_mutex_destroy(&l->lock);
}

enum err http_start(void *ctx, const struct http_config *c, struct http_server **out,
                    const char **why)
{
    if (c->tls_cert && MHD_is_feature_supported(MHD_FEATURE_TLS) != MHD_YES) {
        *why = "this build of the HTTP library has no TLS";
        return ERR_INTERNAL;
    }
    signal(SIGPIPE, SIG_IGN);
    json_object_seed(0); /* before threads race for it */
    struct http_server *s = mem_new(ctx, struct http_server);
    s->config = c;
    s->router = router_new(s, c->routes, c->route_count, why);
    if (!s->router) {
        *why = mem_str(ctx, *why);
        talloc_free(s);
        return ERR_INTERNAL;
    }
    for (int i = 0; i < c->loops; i++) {
        struct loop *l = &s->loop[i];
        l->server = s;
        l->store = c->readers ? c->readers[i] : NULL;
        int fd = i == 0 ? c->listen_fd : fcntl(c->listen_fd, F_DUPFD_CLOEXEC, 3);
        s->loop_count = i + 1;
        const char *fault = fd < 0 ? strerror(errno) : loop_start(l, fd);
        if (fault) {
            *why = mem_str(ctx, fault);
            http_close(s);
            http_stop(s);
            return ERR_INTERNAL;
        }
    }
    *out = s;
    return OK;
}

static void wake_all(struct http_server *s)
{
    for (int i = 0; i < s->loop_count; i++) {
        if (s->loop[i].running) {
            loop_wake(&s->loop[i]);
        }
    }
}

void http_close(struct http_server *s)
{
    int running = 0;
    for (int i = 0; i < s->loop_count; i++) {
        running += s->loop[i].running;
    }
    atomic_store(&s->closing, true);
    wake_all(s);
    /* A loop that has said so is past any submission it began before `closing` was set. */
    while (atomic_load(&s->quiet_loops) < running) {
        nanosleep(&(struct timespec){.tv_nsec = 1000000}, NULL);
    }
}

void http_stop(struct http_server *s)
{
    atomic_store(&s->stopping, true);
    wake_all(s);
    for (int i = 0; i < s->loop_count; i++) {
        if (s->loop[i].running) {
            pthread_join(s->loop[i].thread, NULL);
        }
    }
    for (int i = 0; i < s->loop_count; i++) {
        loop_free(&s->loop[i]);
    }
    talloc_free(s);
}

const char *http_library(void)
{
    return MHD_get_version();
}
