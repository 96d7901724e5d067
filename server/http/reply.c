/* SPDX-License-Identifier: MIT
 * How handlers fill an answer. A value on the request's memory; what goes on the wire from it is
 * decided in respond.c.
 */
#include "http/reply.h"

#include <string.h>

#include "base/log.h"
#include "base/mem.h"
#include "http/request.h"

static struct buf *reply_start(struct request *rq, struct reply *rp, int status, const char *type)
{
    rp->status = status;
    rp->type = type;
    buf_init(&rp->body, rq->mem);
    return &rp->body;
}

struct buf *reply_json_buf(struct request *rq, struct reply *rp, int status)
{
    return reply_start(rq, rp, status, "application/json");
}

static int append(const char *p, size_t n, void *b)
{
    buf_bytes(b, p, n);
    return 0;
}

enum err reply_json(struct request *rq, struct reply *rp, int status, json_t *stolen)
{
    if (!stolen) {
        log_event(LOG_ERROR, "json", "what=no_value");
        return ERR_INTERNAL;
    }
    struct buf *b = reply_json_buf(rq, rp, status);
    int failed = json_dump_callback(stolen, append, b, JSON_COMPACT);
    json_decref(stolen);
    return failed ? ERR_INTERNAL : OK;
}

struct buf *reply_html(struct request *rq, struct reply *rp, int status)
{
    rp->html = true;
    return reply_start(rq, rp, status, "text/html; charset=utf-8");
}

struct buf *reply_csv(struct request *rq, struct reply *rp, const char *fixed_name)
{
    rp->disposition = mem_printf(rq->mem, "attachment; filename=\"%s\"", fixed_name);
    return reply_start(rq, rp, 200, "text/csv; charset=utf-8");
}

void reply_see_other(struct reply *rp, const char *path)
{
    rp->status = 303;
    rp->location = path;
}

void reply_no_content(struct reply *rp)
{
    rp->status = 204;
}

/* Two independent 64-bit FNV-1a sums: a change tag, not a secret. */
static uint64_t fnv(uint64_t h, const char *s)
{
    for (; *s; s++) {
        h = (h ^ (unsigned char)*s) * UINT64_C(0x100000001b3);
    }
    return h;
}

/* RFC 9110 13.1.2: a list of tags, compared weakly; "*" fits anything that is there. */
bool etag_listed(const char *list, const char *etag)
{
    size_t n = strlen(etag);
    while (list && *list) {
        list += strspn(list, " \t,");
        if (strncmp(list, "W/", 2) == 0) {
            list += 2;
        }
        size_t len = strcspn(list, ", \t");
        if ((len == n && memcmp(list, etag, n) == 0) || (len == 1 && *list == '*')) {
            return true;
        }
        list += len;
    }
    return false;
}

const char *reply_change_tag(struct request *rq, const char *seed)
{
    uint64_t a = fnv(UINT64_C(0xcbf29ce484222325), seed);
    uint64_t b = fnv(a ^ UINT64_C(0x9e3779b97f4a7c15), seed);
    return mem_printf(rq->mem, "%016llx%08llx", (unsigned long long)a,
                      (unsigned long long)(b >> 32));
}

bool reply_not_modified(struct request *rq, struct reply *rp, const char *seed)
{
    rp->etag = mem_printf(rq->mem, "\"%s\"", reply_change_tag(rq, seed));
    if (!etag_listed(rq->if_none_match, rp->etag)) {
        return false;
    }
    rp->status = 304;
    return true;
}
