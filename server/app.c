/* SPDX-License-Identifier: MIT
 * Putting the parts together. The only file that knows http, auth and store at once.
 *
 * Order of building: the school's data are looked at, the address bound, the public origin settled,
 * then keys and slow threads, the writer, a reader a loop, and last the loops. Taking down is the
 * reverse, in the two halves that http/server.h asks for. A failure on the way takes down what
 * stands. Nothing here changes once app_start has returned.
 * Threats: plain HTTP off this machine (refused), a wrong public address (Host and Origin checks
 * are made from it), forwarding headers from anybody but the named proxy.
 */
#include "app.h"

#include <arpa/inet.h>
#include <ctype.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include <unistd.h>

#include "auth/audit.h"
#include "auth/auth.h"
#include "auth/gate.h"
#include "base/file.h"
#include "base/mem.h"
#include "http/listen.h"
#include "http/server.h"
#include "night.h"
#include "store/lock.h"
#include "store/migrate.h"
#include "store/school.h"
#include "store/store.h"
#include "store/writer.h"

enum { ORIGINS = 8, PEM_MAX = 256 * 1024, BURST_S = 3 };

struct app {
    void *ctx;                          /* for *why and what lives as long as the app */
    const struct app_options *options;
    const char *dir;                    /* real path of the data folder */
    const char *school_origin;          /* what the data say, or NULL */
    int lock;                           /* of the data folder; -1 */
    struct http_listener listener;
    const char *origins[ORIGINS + 1];   /* NULL-terminated, as browsers spell them */
    const char *hosts[ORIGINS + 1];
    struct auth *auth;
    struct writer *writer;
    struct store *readers[HTTP_LOOPS];
    struct http_config config;
    struct http_server *server;
    char *address;
    struct night night;
};

/* ---- hooks: what http asks of auth and store ------------------------------------------------- */

static struct client_keys hook_client_keys(void *ctx, const char *address)
{
    const struct app *a = ctx;
    return keys_client(a->auth->keys, address);
}

static bool hook_submit_write(void *ctx, struct request *rq, const struct http_write *w)
{
    struct app *a = ctx;
    struct writer_job *job = mem_new(rq->mem, struct writer_job);
    *job = (struct writer_job){.fn = w->fn, .done = w->done, .group_done = w->group_done,
                               .arg = w->arg, .group_key = w->group_key};
    return writer_submit(a->writer, job);
}

static bool hook_submit_slow(void *ctx, const struct request *rq, void (*fn)(void *),
                             void (*done)(void *), void *arg)
{
    struct app *a = ctx;
    return kdf_submit(a->auth->kdf, rq->stranger ? KDF_STRANGER : KDF_KNOWN, fn, done, arg);
}

/* ---- the public address ---------------------------------------------------------------------- */

static void origin_add(struct app *a, const char *scheme, const char *host)
{
    for (size_t i = 0; i < ORIGINS; i++) {
        if (!a->origins[i]) {
            a->origins[i] = mem_printf(a, "%s://%s", scheme, host);
            a->hosts[i] = mem_str(a, host);
            return;
        }
    }
}

/* "https://school.example[:port][/]" -> scheme and host, lower case, the scheme's own port left
 * out. False: not that. */
static bool origin_split(void *ctx, const char *url, const char **scheme, const char **host)
{
    *scheme = strncasecmp(url, "https://", 8) == 0 ? "https"
              : strncasecmp(url, "http://", 7) == 0 ? "http" : NULL;
    if (!*scheme) {
        return false;
    }
    char *rest = mem_str(ctx, url + strlen(*scheme) + 3);
    size_t n = strlen(rest);
    if (n && rest[n - 1] == '/') {
        rest[--n] = '\0';
    }
    for (size_t i = 0; i < n; i++) {
        rest[i] = (char)tolower((unsigned char)rest[i]);
    }
    *host = rest;
    const char *own = strcmp(*scheme, "https") == 0 ? ":443" : ":80";
    size_t m = strlen(own);
    if (n > m && strcmp(rest + n - m, own) == 0) {
        rest[n - m] = '\0';
    }
    return *rest && n < 256 && strspn(rest, "abcdefghijklmnopqrstuvwxyz0123456789.-:[]") ==
                                   strlen(rest);
}

static bool host_is_loopback(const char *host)
{
    size_t n = host[0] == '[' ? strcspn(host, "]") + 1 : strcspn(host, ":");
    return (n == 9 && memcmp(host, "127.0.0.1", n) == 0) ||
           (n == 9 && memcmp(host, "localhost", n) == 0) ||
           (n == 5 && memcmp(host, "[::1]", n) == 0);
}

/* No public address: this machine only, under each of its three names. */
static void origins_loopback(struct app *a, const char *scheme)
{
    static const char *const names[] = {"127.0.0.1", "localhost", "[::1]"};
    bool own_port = a->listener.port == (strcmp(scheme, "https") == 0 ? 443 : 80);
    for (size_t i = 0; i < 3; i++) {
        if (a->listener.unix_socket || own_port) {
            origin_add(a, scheme, names[i]);
        } else {
            origin_add(a, scheme, mem_printf(a, "%s:%u", names[i], a->listener.port));
        }
    }
}

static enum err settle_origin(struct app *a, const char **why)
{
    const struct app_options *o = a->options;
    const char *url = o->origin ? o->origin : a->school_origin;
    bool tls = o->tls_cert != NULL;
    const char *scheme = tls ? "https" : "http", *host = NULL;
    if (url && *url) {
        if (!origin_split(a, url, &scheme, &host)) {
            *why = "--origin: expected https://HOST[:PORT]";
            return ERR_BAD_INPUT;
        }
        if (strcmp(scheme, "http") == 0 && (tls || !host_is_loopback(host))) {
            *why = "--origin: a public address is https; plain http is for this machine only";
            return ERR_BAD_INPUT;
        }
        origin_add(a, scheme, host);
    } else if (!a->listener.loopback) {
        *why = "say the school's public address with --origin https://HOST";
        return ERR_BAD_INPUT;
    } else {
        origins_loopback(a, scheme);
    }
    /* The first of the loopback names is the one that is printed: links use it. */
    a->config.origin_base = a->origins[0];
    a->config.secure = strcmp(scheme, "https") == 0;
    a->config.hosts = a->hosts;
    return OK;
}

/* ---- steps of the start ---------------------------------------------------------------------- */

/* The data folder is there, sound enough to open, and says zone and origin. */
static enum err step_school(struct app *a, const char **why)
{
    char *real = realpath(a->options->data, NULL);
    if (!real) {
        *why = mem_printf(a->ctx, "--data %s: no such folder (thrice init makes one)",
                          a->options->data);
        return ERR_NOT_FOUND;
    }
    a->dir = mem_str(a, real);
    free(real);
    struct store *st = NULL;
    enum err e = lock_take(a->ctx, a->dir, &a->lock, why);
    if (e == OK) {
        e = migrate_existing(a->ctx, a->dir, why);
    }
    if (e == OK) {
        e = store_open(a->ctx, a->dir, STORE_READ, &st, why);
    }
    if (e != OK) {
        return e;
    }
    struct school school;
    e = school_get(st, a, &school);
    if (e == OK) {
        a->school_origin = school.origin;
        e = school_use_zone(st);
    }
    *why = e == ERR_NOT_FOUND ? "the folder holds no school yet (thrice init)"
                              : "the school's settings cannot be read (thrice check says more)";
    store_close(st);
    return e;
}

static enum err step_listen(struct app *a, const char **why)
{
    const struct app_options *o = a->options;
    enum err e = http_listen(a->ctx, o->listen, &a->listener, why);
    if (e != OK) {
        return e;
    }
    a->config.listen_fd = a->listener.fd;
    a->config.unix_socket = a->listener.unix_socket;
    a->config.per_ip_limit = !a->listener.loopback;
    if (!a->listener.loopback && !o->tls_cert) {
        *why = "an address beyond this machine needs --tls-cert and --tls-key (or listen on "
               "127.0.0.1 or unix:PATH behind a proxy)";
        return ERR_BAD_INPUT;
    }
    a->address = a->listener.unix_socket
                     ? mem_printf(a, "unix:%s", a->listener.authority)
                     : mem_printf(a, "http%s://%s", o->tls_cert ? "s" : "", a->listener.authority);
    return settle_origin(a, why);
}

/* An address as inet_ntop spells it, so that comparing text is enough. */
static const char *address_tidy(void *ctx, const char *text)
{
    unsigned char bin[16];
    char out[INET6_ADDRSTRLEN];
    int family = strchr(text, ':') ? AF_INET6 : AF_INET;
    if (inet_pton(family, text, bin) != 1 || !inet_ntop(family, bin, out, sizeof out)) {
        return NULL;
    }
    return mem_str(ctx, out);
}

static enum err step_files(struct app *a, const char **why)
{
    const struct app_options *o = a->options;
    const char *fault = NULL;
    size_t n;
    if (o->tls_cert) {
        a->config.tls_cert = file_read(a, o->tls_cert, PEM_MAX, &n, &fault);
        a->config.tls_key = file_read(a, o->tls_key, PEM_MAX, &n, &fault);
    }
    if (fault) {
        *why = mem_printf(a->ctx, "--tls-cert, --tls-key: %s", fault);
        return ERR_BAD_INPUT;
    }
    if (o->behind_proxy && strcmp(o->behind_proxy, "unix") != 0) {
        a->config.proxy = address_tidy(a, o->behind_proxy);
        *why = "--behind-proxy: expected the proxy's numeric address, or unix";
        return a->config.proxy ? OK : ERR_BAD_INPUT;
    }
    return OK;
}

static enum err step_auth(struct app *a, const char **why)
{
    enum err e = auth_start(a->ctx, a->dir, &a->auth, why);
    if (e == OK) {
        int rate = a->options->rate;
        limiter_set_rate(a->auth->limiter, rate, rate * BURST_S);
        a->auth->origins = a->origins;
        a->auth->secure = a->config.secure;
        a->config.session_cookie = auth_session_cookie(a->auth);
        a->config.device_cookie = auth_device_cookie(a->auth);
    }
    return e;
}

static enum err step_stores(struct app *a, const char **why)
{
    enum err e = writer_start(a->ctx, a->dir, &a->writer, why);
    for (int i = 0; i < a->options->loops && e == OK; i++) {
        e = store_open(a->ctx, a->dir, STORE_READ, &a->readers[i], why);
    }
    if (e == OK) {
        e = audit_key_must_fit(a->readers[0], a->auth->keys, why);
    }
    if (e == OK) {
        a->auth->writer = a->writer;
        a->night = (struct night){.dir = a->dir, .keys = a->auth->keys, .writer = a->writer};
    }
    return e;
}

static enum err step_http(struct app *a, const char **why)
{
    const struct app_options *o = a->options;
    struct http_config *c = &a->config;
    c->loops = o->loops;
    c->max_connections = o->max_connections;
    c->deadline_s = o->deadline_s;
    c->web_dir = o->web_dir;
    c->routes = routes;
    c->route_count = route_count;
    c->app = a;
    c->auth = a->auth;
    c->readers = a->readers;
    c->hooks = (struct http_hooks){.ctx = a, .admit = gate_admit, .client_keys = hook_client_keys,
                                   .submit_write = hook_submit_write,
                                   .submit_slow = hook_submit_slow};
    a->listener.fd = -1; /* http's from here */
    return http_start(a->ctx, c, &a->server, why);
}

enum err app_start(void *ctx, const struct app_options *o, struct app **out, const char **why)
{
    typedef enum err step_fn(struct app *a, const char **why);
    static step_fn *const steps[] = {step_school, step_files, step_listen,
                                     step_auth,   step_stores, step_http};
    struct app *a = mem_new(ctx, struct app);
    a->ctx = ctx;
    a->options = o;
    a->listener.fd = a->lock = -1;
    for (size_t i = 0; i < sizeof steps / sizeof *steps; i++) {
        *why = "it did not start";
        enum err e = steps[i](a, why);
        if (e != OK) {
            app_stop(a);
            return e;
        }
    }
    *out = a;
    return OK;
}

const char *app_address(const struct app *a)
{
    return a->address;
}

int app_look(struct app *a)
{
    return night_look(&a->night);
}

void app_stop(struct app *a)
{
    if (!a) {
        return;
    }
    if (a->server) {
        http_close(a->server);
    }
    if (a->auth) {
        kdf_stop(a->auth->kdf); /* its last jobs still go to the writer */
        a->auth->kdf = NULL;
    }
    writer_stop(a->writer);
    if (a->server) {
        http_stop(a->server);
    }
    for (int i = 0; i < HTTP_LOOPS; i++) {
        if (a->readers[i]) {
            store_close(a->readers[i]);
        }
    }
    auth_stop(a->auth);
    if (a->listener.fd >= 0) {
        close(a->listener.fd);
    }
    if (a->listener.unix_path) {
        unlink(a->listener.unix_path);
    }
    if (a->lock >= 0) {
        close(a->lock);
    }
    talloc_free(a);
}
