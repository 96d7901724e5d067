/* SPDX-License-Identifier: MIT
 * Whether the server can do its work: asked by service managers and proxies, without a session, so
 * it says nothing but yes or no. A server that reads but cannot store must not be sent tries.
 */
#include "auth/auth.h"
#include "handlers/handlers.h"
#include "store/school.h"
#include "store/writer.h"

enum err h_healthz_get(struct request *rq, struct reply *rp)
{
    struct school school;
    enum err e = school_get(rq->store, rq->mem, &school);
    if (e != OK) {
        return e;
    }
    rp->type = "text/plain; charset=utf-8";
    bool can = writer_can_store(rq->auth->writer);
    rp->status = can ? 200 : 503;
    buf_str(&rp->body, can ? "ok\n" : "cannot store\n");
    return OK;
}
