/* SPDX-License-Identifier: MIT
 * What handlers ask of a request. Knows nothing of libmicrohttpd, so tests fill a struct request by
 * hand and call handlers.
 */
#include "http/request.h"

#include <string.h>

#include "base/mem.h"
#include "base/text.h"
#include "http/form.h"

enum err request_blame(struct request *rq, const char *pointer, const char *code, json_t *more)
{
    if (more) {
        request_own_json(rq, more);
    }
    if (rq->blame_count < REQUEST_BLAMES) {
        rq->blames[rq->blame_count++] = (struct blame){pointer, code, more};
    }
    return ERR_BAD_INPUT;
}

const char *request_query(struct request *rq, const char *name)
{
    struct form *f;
    if (!rq->query || !*rq->query || form_parse(rq->mem, rq->query, strlen(rq->query), &f) != OK) {
        return NULL; /* a query that cannot be read was refused before */
    }
    return form_get(f, name);
}

enum err request_query_id(struct request *rq, const char *name, int64_t *out)
{
    *out = 0;
    const char *value = request_query(rq, name);
    if (!value || text_id(value, out)) {
        return OK;
    }
    return request_blame(rq, mem_printf(rq->mem, "/%s", name), "type", NULL);
}

struct json_holder {
    json_t *j;
};

static int json_holder_free(struct json_holder *h)
{
    json_decref(h->j);
    return 0;
}

json_t *request_own_json(struct request *rq, json_t *j)
{
    struct json_holder *h = mem_new(rq->mem, struct json_holder);
    h->j = j;
    talloc_set_destructor(h, json_holder_free);
    return j;
}
