/* SPDX-License-Identifier: MIT
 * Strict members of a small JSON body. */
#include "sign_in_internal.h"

#include <inttypes.h>
#include <string.h>

#include "base/clock.h"
#include "base/mem.h"
#include "base/pointer.h"

static bool is_listed(const char *key, const char *const *names)
{
    for (; *names; names++) {
        if (strcmp(*names, key) == 0) {
            return true;
        }
    }
    return false;
}

enum err body_only(struct request *rq, const char *const *names)
{
    const char *key;
    json_t *value;
    enum err e = OK;

    json_object_foreach(rq->json, key, value) {
        if (!is_listed(key, names)) {
            e = request_blame(rq, pointer_member(rq->mem, "", key), "unknown", NULL);
        }
    }
    return e;
}

enum err body_text(struct request *rq, const char *pointer, bool required, const char **out,
                   size_t *n)
{
    const json_t *v = json_object_get(rq->json, pointer + 1);

    *out = NULL;
    *n = 0;
    if (!v || json_is_null(v)) {
        return required ? request_blame(rq, pointer, "required", NULL) : OK;
    }
    if (!json_is_string(v)) {
        return request_blame(rq, pointer, "not_text", NULL);
    }
    *out = json_string_value(v);
    *n = json_string_length(v);
    return *n == 0 && required ? request_blame(rq, pointer, "required", NULL) : OK;
}

enum err body_flag(struct request *rq, const char *pointer, bool *out)
{
    const json_t *v = json_object_get(rq->json, pointer + 1);

    *out = json_is_true(v);
    if (v && !json_is_boolean(v)) {
        return request_blame(rq, pointer, "not_true_or_false", NULL);
    }
    return OK;
}

json_t *id_json(int64_t id)
{
    return json_sprintf("%" PRId64, id);
}

json_t *day_json(int32_t day)
{
    char text[11];

    clock_day_print(day, text);
    return json_string(text);
}
