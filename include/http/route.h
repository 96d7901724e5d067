/* SPDX-License-Identifier: MIT
 * The shape of the routing table (server/routes.c). Deny by default: .allow 0 lets nobody in. */
#pragma once

#include <stdbool.h>
#include <stddef.h>

#include "base/err.h"
#include "http/reply.h"
#include "http/request.h"

enum method { GET = 1, POST, PUT, DELETE };

enum body_kind {
    BODY_NONE,      /* any body is refused */
    BODY_JSON,      /* application/json: one object, no duplicate keys, capped depth and count */
    BODY_FORM,      /* application/x-www-form-urlencoded */
    BODY_CSV,       /* text/csv, any bytes; the handler decodes */
};

/* `read` runs on a loop thread with a query_only store. `write` runs on the writer thread. */
enum work { READS = 1, WRITES };

typedef enum err handler_fn(struct request *rq, struct reply *rp);
typedef bool scope_fn(struct request *rq);      /* is args[] this person's to touch? */

struct route {
    enum method method;
    const char *path;           /* "/api/v1/classes/:class/grid"; :x types in router.c's table   */
    unsigned allow;             /* ALLOW_* mask                                                  */
    scope_fn *scope;            /* NULL only where the path has no argument or the work is own   */
    enum work work;
    enum body_kind body;
    size_t max;                 /* body cap in bytes; 0 with BODY_NONE; default 16384 for JSON   */
    size_t text_max;            /* bytes of one JSON string; 0: as json_body.h says              */
    bool no_session;            /* sign-in and /quick: no cookie or CSRF token is asked          */
    bool issued_ok;             /* open to staff before an issued passphrase is changed          */
    bool html;                  /* errors answer as a small HTML page, not JSON                  */
    handler_fn *parse;          /* loop thread, may be NULL                                      */
    handler_fn *slow;           /* KDF thread, only when parse set rq->slow                      */
    handler_fn *fn;
    const char *doc;            /* one line for the printed table                                */
};

extern const struct route routes[];
extern const size_t route_count;
