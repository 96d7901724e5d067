/* SPDX-License-Identifier: MIT
 * A whole request on its way through the threads.
 *
 *   loop      parse the body, route.parse
 *   slow      route.slow, if parse asked for it          (suspended meanwhile)
 *   writer    route.fn in a savepoint, then the commit    (suspended meanwhile)
 *   loop      route.fn of a read; the answer
 *
 * Invariants: a connection is suspended before its job is published, because the job may be done
 * before the publishing call returns; after it was handed back (loop_ready) no other thread touches
 * the exchange. A client that leaves while suspended is not noticed and its work still commits:
 * that is why hand-ins carry the client's own id. The writer may run `fn` a second time when a
 * whole group has to be run again, so everything it fills is reset at its start.
 */
#include <string.h>

#include "base/log.h"
#include "base/mem.h"
#include "http/exchange.h"
#include "http/form.h"
#include "http/json_body.h"

static enum err parse_body(struct exchange *ex)
{
    struct request *rq = &ex->rq;
    if (ex->body.data) {
        rq->body = ex->body.data;
        rq->body_len = ex->body.len;
    }
    if (rq->route->body == BODY_JSON) {
        return json_body_parse(rq, rq->route->max, rq->route->text_max);
    }
    if (rq->route->body == BODY_FORM) {
        return form_parse(rq->mem, rq->body, rq->body_len, &rq->form);
    }
    return OK;
}

static enum err run_fn(struct exchange *ex, struct store *st)
{
    struct request *rq = &ex->rq;
    rq->store = st;
    ex->rp = (struct reply){.status = 200};
    buf_init(&ex->rp.body, rq->mem);
    enum err e = rq->route->fn(rq, &ex->rp);
    rq->store = NULL;
    return e;
}

/* ---- on the writer --------------------------------------------------------------------------- */

static enum err write_fn(struct store *st, void *arg)
{
    struct exchange *ex = arg;
    ex->rq.blame_count = 0;
    return run_fn(ex, st);
}

static void write_done(void *arg, enum err result)
{
    struct exchange *ex = arg;
    ex->result = result;
    loop_ready(ex->loop, ex);
}

static void write_group_done(void *arg)
{
    loop_wake(arg);
}

static bool submit_write(struct exchange *ex)
{
    const struct http_hooks *hooks = &ex->loop->server->config->hooks;
    struct http_write w = {.fn = write_fn, .done = write_done, .group_done = write_group_done,
                           .arg = ex, .group_key = ex->loop};
    return hooks->submit_write(hooks->ctx, &ex->rq, &w);
}

/* ---- on a slow thread ------------------------------------------------------------------------ */

static void slow_fn(void *arg)
{
    struct exchange *ex = arg;
    ex->rq.store = NULL;
    ex->rp = (struct reply){.status = 200};
    ex->result = ex->rq.route->slow(&ex->rq, &ex->rp);
}

static void slow_done(void *arg)
{
    struct exchange *ex = arg;
    struct loop *l = ex->loop;
    if (ex->result == OK && ex->rq.route->work == WRITES) {
        if (submit_write(ex)) {
            return;
        }
        ex->result = ERR_BUSY;
    }
    loop_ready(l, ex);
    loop_wake(l);
}

/* ---- on the loop ----------------------------------------------------------------------------- */

static enum MHD_Result go_away(struct exchange *ex, bool slow)
{
    const struct http_server *s = ex->loop->server;
    struct loop *l = ex->loop;
    if (atomic_load(&s->closing)) {
        ex->result = ERR_BUSY;
        ex->close = true;
        return exchange_answer(ex);
    }
    ex->phase = EX_AWAY;
    if (ex->conn) {
        conn_state(ex->conn, CONN_AWAY);
    }
    MHD_suspend_connection(ex->mhd);
    const struct http_hooks *to = &s->config->hooks;
    bool taken = slow ? to->submit_slow(to->ctx, &ex->rq, slow_fn, slow_done, ex)
                      : submit_write(ex);
    if (!taken) {
        ex->result = ERR_BUSY;
        loop_ready(l, ex);
        loop_wake(l);
    }
    return MHD_YES;
}

enum MHD_Result exchange_work(struct exchange *ex)
{
    struct request *rq = &ex->rq;
    if (ex->result != OK || ex->asset) {
        return exchange_answer(ex);
    }
    rq->store = ex->loop->store;
    ex->result = parse_body(ex);
    if (ex->result == OK && rq->route->parse) {
        ex->result = rq->route->parse(rq, &ex->rp);
    }
    if (ex->result != OK) {
        return exchange_answer(ex);
    }
    bool slow = rq->slow && rq->route->slow;
    if (slow || rq->route->work == WRITES) {
        return go_away(ex, slow);
    }
    ex->result = run_fn(ex, ex->loop->store);
    return exchange_answer(ex);
}

enum MHD_Result exchange_work_back(struct exchange *ex)
{
    if (ex->result == OK && ex->rq.route->work == READS) {
        ex->result = run_fn(ex, ex->loop->store);
    }
    return exchange_answer(ex);
}
