/* SPDX-License-Identifier: MIT
 * The answer as a value. Nothing here touches libmicrohttpd, so tests call handlers directly. */
#pragma once

#include <jansson.h>
#include <stdbool.h>
#include <stddef.h>

#include "base/buf.h"
#include "base/err.h"

struct request;

enum { REPLY_HEADERS = 4 };

struct reply {
    int status;                         /* 200 unless said otherwise */
    const char *type;                   /* Content-Type; a literal */
    struct buf body;
    const char *etag;                   /* strong, quoted, on rq->mem; NULL = none */
    const char *location;               /* 201/303 */
    const char *set_session;            /* token text: send the session cookie */
    const char *set_device;             /* text: send the device cookie too, for 180 days */
    bool end_session;                   /* expire the session cookie */
    const char *disposition;            /* Content-Disposition or NULL */
    bool html;                          /* gets the HTML set of security headers */
};

/* 200 application/json from a buffer already filled, or from a jansson value (reference stolen;
 * compact, sorted as built). All JSON answers are `Cache-Control: no-store`, also
 * with an rp->etag: web/js/api.js keeps the tag itself. */
enum err reply_json(struct request *rq, struct reply *rp, int status, json_t *stolen) MUST_USE;
struct buf *reply_json_buf(struct request *rq, struct reply *rp, int status);
struct buf *reply_html(struct request *rq, struct reply *rp, int status);
struct buf *reply_csv(struct request *rq, struct reply *rp, const char *fixed_name);
void reply_see_other(struct reply *rp, const char *path);       /* 303 */
void reply_no_content(struct reply *rp);                        /* 204 */

/* Another text, another tag (hexadecimal, on rq->mem): to tell a change, not a secret. */
const char *reply_change_tag(struct request *rq, const char *seed);

/* Sets a strong ETag from `seed` (hashed) and says whether If-None-Match has it; then the status
 * is already 304 and the body must stay empty. */
bool reply_not_modified(struct request *rq, struct reply *rp, const char *seed);

/* An If-None-Match value names this tag (weak comparison), or is "*". NULL lists nothing. */
bool etag_listed(const char *list, const char *etag);
