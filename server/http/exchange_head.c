/* SPDX-License-Identifier: MIT
 * The judgement on a request before its body: framing, host, path, person.
 *
 * Once the server is closing no route is served any more: the writer is being drained.
 *
 * Order: what the request line and headers look like (400, 431), for which host (421), whether
 * there is room (503), what it asks for (static file, route, 404, 405), who asks (the gate), then
 * what it is about to send (413, 415). Nothing is read from the body before the gate was passed.
 */
#include <arpa/inet.h>
#include <netinet/in.h>
#include <stdio.h>
#include <string.h>
#include <strings.h>
#include <sys/socket.h>

#include "base/clock.h"
#include "base/mem.h"
#include "base/rand.h"
#include "http/exchange.h"
#include "http/form.h"

static enum MHD_Result note_header(void *cls, enum MHD_ValueKind kind, const char *name,
                                   size_t name_len, const char *value, size_t value_len)
{
    (void)kind;
    struct exchange *ex = cls;
    if (value) {
        vet_header(&ex->head, name, name_len, value, value_len);
    } else {
        ex->head.fault = ERR_MALFORMED;
    }
    return MHD_YES;
}

/* Bytes from the method to the end of the header block, as they came. */
static size_t header_size(const struct exchange *ex)
{
    const union MHD_ConnectionInfo *info =
        MHD_get_connection_info(ex->mhd, MHD_CONNECTION_INFO_REQUEST_HEADER_SIZE);
    return info ? info->header_size : SIZE_MAX;
}

static enum err judge_framing(struct exchange *ex, const char *method, const char *version)
{
    struct vet_body body;
    bool bodiless = ex->method == GET;
    if (ex->target_fault != OK) {
        return ex->target_fault;
    }
    if (strcmp(version, MHD_HTTP_VERSION_1_1) != 0 && strcmp(version, MHD_HTTP_VERSION_1_0) != 0) {
        return ERR_MALFORMED;
    }
    if (!*method || strspn(method, "ABCDEFGHIJKLMNOPQRSTUVWXYZ") != strlen(method)) {
        return ERR_MALFORMED;
    }
    enum err e = vet_headers_end(&ex->head, bodiless, &body);
    if (e == OK) {
        e = vet_size(&ex->head, method, header_size(ex));
    }
    if (e == OK) {
        e = vet_host(&ex->head, ex->loop->server->config->hosts);
    }
    if (e == OK && *ex->rq.query) {
        struct form *f;
        e = form_parse(ex->rq.mem, ex->rq.query, strlen(ex->rq.query), &f);
        e = e == OK ? OK : ERR_MALFORMED;
    }
    return e;
}

/* The file or the route that is meant. */
static enum err judge_target(struct exchange *ex)
{
    struct route_match m;
    ex->asset = asset_find(ex->path);
    if (ex->asset && ex->method == GET) {
        return OK;
    }
    router_match(ex->loop->server->router, ex->method, ex->path, &m);
    ex->methods = m.methods | (ex->asset ? 1u << GET : 0);
    ex->asset = NULL;
    if (!m.route) {
        return ex->methods ? ERR_METHOD : ERR_NOT_FOUND;
    }
    ex->rq.route = m.route;
    ex->html = m.route->html;
    memcpy(ex->rq.args, m.args, sizeof m.args);
    return OK;
}

/* The peer's address in text; "unix" for a local socket, "" when it cannot be told. */
static void peer_print(const struct exchange *ex, char out[static 46])
{
    const union MHD_ConnectionInfo *info =
        MHD_get_connection_info(ex->mhd, MHD_CONNECTION_INFO_CLIENT_ADDRESS);
    const struct sockaddr *sa = info ? info->client_addr : NULL;
    *out = '\0';
    if (!sa || sa->sa_family == AF_UNIX || sa->sa_family == AF_UNSPEC) {
        snprintf(out, 46, "unix");
    } else if (sa->sa_family == AF_INET) {
        inet_ntop(AF_INET, &((const struct sockaddr_in *)(const void *)sa)->sin_addr, out, 46);
    } else if (sa->sa_family == AF_INET6) {
        const struct in6_addr *a = &((const struct sockaddr_in6 *)(const void *)sa)->sin6_addr;
        if (IN6_IS_ADDR_V4MAPPED(a)) {
            inet_ntop(AF_INET, &a->s6_addr[12], out, 46);
        } else {
            inet_ntop(AF_INET6, a, out, 46);
        }
    }
}

/* Who is at the other end, as far as throttles care. Forwarding headers count only from the one
 * peer that was named; there, whatever is not one clean address shares one bucket. */
static void set_client(struct exchange *ex)
{
    const struct http_config *c = ex->loop->server->config;
    struct conn *conn = ex->conn;
    if (conn && conn->keyed) {
        ex->rq.client = conn->client;
        return;
    }
    char peer[46], forwarded[46] = "";
    peer_print(ex, peer);
    bool proxied = c->unix_socket || (c->proxy && strcmp(peer, c->proxy) == 0);
    if (proxied) {
        (void)vet_forwarded(&ex->head, forwarded);
    }
    ex->rq.client = c->hooks.client_keys(c->hooks.ctx, proxied ? forwarded : peer);
    if (conn && !proxied) {
        conn->keyed = true;
        conn->client = ex->rq.client;
    }
}

/* Copies: the request may be on another thread while libmicrohttpd holds the originals. */
static void fill_request(struct exchange *ex)
{
    const struct http_config *c = ex->loop->server->config;
    const struct headers *h = &ex->head;
    struct request *rq = &ex->rq;
    rq->if_none_match = mem_str(rq->mem, h->if_none_match);
    rq->cookie = mem_str(rq->mem, h->cookie);
    rq->origin = mem_str(rq->mem, h->origin);
    rq->referer = mem_str(rq->mem, h->referer);
    rq->sec_fetch_site = mem_str(rq->mem, h->sec_fetch_site);
    rq->sec_fetch_mode = mem_str(rq->mem, h->sec_fetch_mode);
    rq->sec_fetch_dest = mem_str(rq->mem, h->sec_fetch_dest);
    rq->csrf = mem_str(rq->mem, h->csrf);
    rq->origin_base = c->origin_base;
    rq->now = clock_now();
    rq->app = c->app;
    rq->auth = c->auth;
    rq->store = ex->loop->store;
    set_client(ex);
}

static bool csv_type(const char *value)
{
    static const char csv[] = "text/csv";
    return value && strncasecmp(value, csv, sizeof csv - 1) == 0 &&
           (value[sizeof csv - 1] == '\0' || strchr("; \t", value[sizeof csv - 1]));
}

static enum err judge_body(const struct exchange *ex)
{
    const struct route *r = ex->rq.route;
    const char *type = ex->head.content_type;
    struct vet_body body;
    enum err e = vet_headers_end(&ex->head, ex->method == GET, &body);
    if (e != OK) {
        return e;
    }
    bool type_ok = true;
    switch (r->body) {
    case BODY_NONE:
        return body.any ? ERR_MALFORMED : OK;
    case BODY_JSON:
        type_ok = vet_content_type(type, "application/json");
        break;
    case BODY_FORM:
        type_ok = vet_content_type(type, "application/x-www-form-urlencoded");
        break;
    case BODY_CSV:
        type_ok = csv_type(type);
        break;
    }
    if (!type_ok) {
        return ERR_MEDIA_TYPE;
    }
    return body.length > (int64_t)r->max ? ERR_TOO_LARGE : OK;
}

static void set_request_id(struct request *rq)
{
    static const char digits[] = "0123456789abcdef";
    unsigned char r[8];
    rand_bytes(r, sizeof r);
    for (size_t i = 0; i < sizeof r; i++) {
        rq->request_id[2 * i] = digits[r[i] >> 4];
        rq->request_id[2 * i + 1] = digits[r[i] & 15];
    }
    rq->request_id[16] = '\0';
}

enum err exchange_judge(struct exchange *ex, const char *method, const char *version)
{
    const struct http_config *c = ex->loop->server->config;
    ex->method = method_read(method);
    ex->html = ex->method == GET && strncmp(ex->path, "/api/", 5) != 0;
    vet_line(&ex->head, method, ex->target_len, version);
    MHD_get_connection_values_n(ex->mhd, MHD_HEADER_KIND, note_header, ex);
    enum err e = judge_framing(ex, method, version);
    bool excess = ex->conn && ex->conn->excess;
    bool closing = atomic_load(&ex->loop->server->closing);
    /* A proxy may keep its side open for the next client: one request a connection there. */
    ex->close = e != OK || excess || closing || c->unix_socket || c->proxy;
    if (e == OK) {
        e = excess ? ERR_BUSY : judge_target(ex);
    }
    if (e == OK && ex->asset) {
        return OK;
    }
    if (e == OK && closing) {
        e = ERR_BUSY;
    }
    set_request_id(&ex->rq);
    if (e != OK) {
        return e;
    }
    fill_request(ex);
    e = c->hooks.admit(&ex->rq);
    if (e == OK) {
        e = judge_body(ex);
    }
    buf_init(&ex->body, ex->rq.mem);
    return e;
}
