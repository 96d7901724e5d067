/* SPDX-License-Identifier: MIT
 * libmicrohttpd's callbacks.
 *
 * Owns: the life of struct exchange. It is made when the request line is in (so that it exists for
 * requests that fail before the first handler call, too) and freed in exchange_completed, the only
 * place; everything of the request hangs from it.
 * Invariants: a whole request is answered on the handler call that follows its last byte, because
 * an answer on the very first call closes the connection; a refusal with a body still to come is
 * answered on the first call on purpose, and its socket is read on a little (loop.c, linger), else
 * the reset that follows unread input would wipe out the answer.
 */
#include "http/exchange.h"

#include <string.h>

#include "base/clock.h"
#include "base/log.h"
#include "base/mem.h"
#include "http/problem.h"
#include "http/respond.h"

enum { POOL = 4096 };
enum { BODY_DISCARD_MAX = 16 * 1024 * 1024 };

static struct exchange *exchange_new(struct loop *l, struct MHD_Connection *mhd, const char *uri)
{
    void *mem = talloc_pool(NULL, POOL);
    if (!mem) {
        mem = mem_root();
    }
    struct exchange *ex = mem_new(mem, struct exchange);
    ex->rq.mem = mem;
    ex->loop = l;
    ex->mhd = mhd;
    ex->began_ms = l->now_ms;
    size_t path_len;
    ex->target_fault = vet_target(uri, &path_len);
    ex->target_len = uri ? strlen(uri) : 0;
    bool query = ex->target_fault == OK && uri[path_len] == '?';
    ex->path = ex->target_fault == OK ? mem_strn(mem, uri, path_len) : "";
    ex->rq.query = query ? mem_str(mem, uri + path_len + 1) : "";
    ex->rq.body = "";
    const union MHD_ConnectionInfo *info =
        MHD_get_connection_info(mhd, MHD_CONNECTION_INFO_SOCKET_CONTEXT);
    ex->conn = info ? info->socket_context : NULL;
    if (ex->conn) {
        conn_state(ex->conn, CONN_HEAD);
    }
    return ex;
}

void *exchange_uri(void *cls, const char *uri, struct MHD_Connection *mhd)
{
    return exchange_new(cls, mhd, uri);
}

/* ---- answering ------------------------------------------------------------------------------- */

static enum MHD_Result queue(struct exchange *ex, unsigned status, struct MHD_Response *r)
{
    ex->phase = EX_DONE;
    if (ex->conn) {
        conn_state(ex->conn, CONN_ANSWER);
    }
    return MHD_queue_response(ex->mhd, status, r);
}

static enum MHD_Result answer_built(struct exchange *ex)
{
    struct request *rq = &ex->rq;
    const struct http_config *c = ex->loop->server->config;
    struct respond_extra x = {.close = ex->close, .retry_after_s = 0};
    if (ex->result != OK) {
        if (!*rq->request_id) {
            memcpy(rq->request_id, "0000000000000000", sizeof rq->request_id);
        }
        problem_write(rq, &ex->rp, ex->result, ex->html);
        x.retry_after_s = rq->retry_after_s;
        x.allow = ex->result == ERR_METHOD ? methods_print(rq->mem, ex->methods) : NULL;
    } else if (ex->rp.status == 429) {
        x.retry_after_s = rq->retry_after_s;    /* the plain form's own page */
    } else if (ex->asset) {
        x.cache = "no-cache";
        x.worker = strcmp(ex->asset->source, "sw.js") == 0;
    }
    struct MHD_Response *r = respond_make(c, &ex->rp, &x);
    if (!r) {
        log_event(LOG_ERROR, "answer", "id=%s what=no_response", rq->request_id);
        return MHD_NO;
    }
    enum MHD_Result done = queue(ex, (unsigned)ex->rp.status, r);
    MHD_destroy_response(r);
    return done;
}

enum MHD_Result exchange_answer(struct exchange *ex)
{
    const struct http_config *c = ex->loop->server->config;
    if (ex->result != OK || !ex->asset) {
        return answer_built(ex);
    }
    if (c->web_dir) {
        ex->result = web_dir_read(ex->rq.mem, c->web_dir, ex->asset, &ex->rp);
        return answer_built(ex);
    }
    unsigned status;
    struct MHD_Response *r = statics_pick(ex->loop->statics, ex->asset, &ex->head, &status);
    if (!r) {
        ex->result = ERR_INTERNAL;
        return answer_built(ex);
    }
    return queue(ex, status, r);
}

/* ---- callbacks ------------------------------------------------------------------------------- */

static enum MHD_Result first_call(struct exchange *ex, const char *method, const char *version)
{
    if (ex->conn) {
        conn_state(ex->conn, CONN_BODY);
    }
    ex->result = exchange_judge(ex, method, version);
    const struct headers *h = &ex->head;
    bool body_coming = h->transfer_encoding ||
                       (h->content_length_text && strcmp(h->content_length_text, "0") != 0);
    if (ex->result != OK && (body_coming || ex->close)) {
        ex->close = true;
        if (ex->conn) {
            ex->conn->linger = true;
        }
        return exchange_answer(ex);
    }
    ex->phase = EX_BODY;
    return MHD_YES;
}

/* A piece of the body. What is over the cap (only a chunked body can be) is read and dropped: an
 * answer cannot be queued in the middle of it. */
static enum MHD_Result take(struct exchange *ex, const char *data, size_t *n)
{
    ex->body_taken += (int64_t)*n;
    if (ex->result == OK && (size_t)ex->body_taken > ex->rq.route->max) {
        ex->result = ERR_TOO_LARGE;
        ex->close = true;
    }
    if (ex->body_taken > BODY_DISCARD_MAX) {
        return MHD_NO;
    }
    if (ex->result == OK) {
        buf_bytes(&ex->body, data, *n);
    }
    *n = 0;
    return MHD_YES;
}

enum MHD_Result exchange_access(void *cls, struct MHD_Connection *mhd, const char *url,
                                const char *method, const char *version, const char *data,
                                size_t *data_size, void **con_cls)
{
    (void)url; /* already decoded: ours is the raw one */
    struct exchange *ex = *con_cls;
    if (!ex) {
        ex = *con_cls = exchange_new(cls, mhd, NULL);
    }
    switch (ex->phase) {
    case EX_FIRST:
        return first_call(ex, method, version);
    case EX_BODY:
        return *data_size ? take(ex, data, data_size) : exchange_work(ex);
    case EX_BACK:
        return exchange_work_back(ex);
    case EX_AWAY:
    case EX_DONE:
        break;
    }
    log_event(LOG_ERROR, "exchange", "what=unexpected_call phase=%d", (int)ex->phase);
    return MHD_NO;
}

void exchange_resume(struct exchange *ex)
{
    ex->phase = EX_BACK;
    if (ex->conn) {
        conn_state(ex->conn, CONN_BODY);
    }
    MHD_resume_connection(ex->mhd);
}

/* Ids and codes only: the template of the route, never the path. */
static void log_exchange(const struct exchange *ex, enum MHD_RequestTerminationCode toe)
{
    static const char letters[] = {[ROLE_NONE] = '-', [ROLE_PUPIL] = 'P', [ROLE_CARER] = 'C',
                                   [ROLE_STAFF] = 'S'};
    const struct request *rq = &ex->rq;
    int status = ex->phase == EX_DONE ? ex->rp.status : 0;
    if (ex->asset || !rq->route) {
        return;
    }
    log_event(status >= 500 ? LOG_WARN : LOG_DEBUG, "request",
              "id=%s route=%s status=%d ms=%lld role=%c end=%d", rq->request_id, rq->route->path,
              status, (long long)(clock_mono_ms() - ex->began_ms), letters[rq->who.role], (int)toe);
}

void exchange_completed(void *cls, struct MHD_Connection *mhd, void **con_cls,
                        enum MHD_RequestTerminationCode toe)
{
    (void)cls;
    (void)mhd;
    struct exchange *ex = *con_cls;
    if (!ex) {
        return;
    }
    *con_cls = NULL;
    log_exchange(ex, toe);
    if (ex->conn) {
        conn_state(ex->conn, CONN_WAIT);
    }
    talloc_free(ex->rq.mem);
}
