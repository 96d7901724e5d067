/* SPDX-License-Identifier: MIT
 * Whether the server can do its work: asked by service managers and proxies, without a session, so
 * it says nothing but yes.
 */
#include "handlers/handlers.h"
#include "store/school.h"

enum err h_healthz_get(struct request *rq, struct reply *rp)
{
    struct school school;
    enum err e = school_get(rq->store, rq->mem, &school);
    if (e != OK) {
        return e;
    }
    rp->type = "text/plain; charset=utf-8";
    buf_str(&rp->body, "ok\n");
    return OK;
}
