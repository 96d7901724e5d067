/* SPDX-License-Identifier: MIT
 * The way from bytes to a jansson value.
 *
 * Invariants: depth is bounded before jansson sees the text (its own limit is 2048, and freeing
 * recurses); numbers are whatever JSON allows, and handlers demand integers where they want them.
 * Threats: deep nesting, duplicate keys (one reader sees the first, another the last), NUL in
 * strings, floods of values.
 */
#include "http/json_body.h"

#include <jansson.h>
#include <stdbool.h>
#include <string.h>

#include "base/mem.h"
#include "base/pointer.h"

enum { LARGE_BODY = 64 * 1024 };

struct caps {
    size_t values, string;
};

/* Deepest nesting of brackets outside strings is within the cap. */
static bool depth_ok(const char *s, size_t n, int most)
{
    int depth = 0;
    bool in_string = false;
    for (size_t i = 0; i < n; i++) {
        char c = s[i];
        if (in_string) {
            i += c == '\\';
            in_string = c != '"';
        } else if (c == '"') {
            in_string = true;
        } else if (c == '{' || c == '[') {
            depth++;
        } else if (c == '}' || c == ']') {
            depth--;
        }
        if (depth > most) {
            return false;
        }
    }
    return true;
}

/* A step of the way to a value, for the pointer of a blame. */
struct step {
    const struct step *up;
    const char *key; /* NULL: an index */
    size_t index;
};

static const char *step_pointer(void *ctx, const struct step *s)
{
    if (!s) {
        return "";
    }
    const char *up = step_pointer(ctx, s->up);
    return s->key ? pointer_member(ctx, up, s->key) : pointer_item(ctx, up, s->index);
}

static enum err walk(struct request *rq, json_t *j, struct caps *left, const struct step *at)
{
    if (left->values-- == 0) {
        left->values = 0;
        return request_blame(rq, "", "too_many_values", NULL);
    }
    if (json_is_string(j)) {
        return json_string_length(j) <= left->string
                   ? OK
                   : request_blame(rq, step_pointer(rq->mem, at), "too_long", NULL);
    }
    const char *key;
    json_t *value;
    json_object_foreach(j, key, value) {
        if (strlen(key) > left->string) {
            return request_blame(rq, "", "unknown", NULL);
        }
        enum err e = walk(rq, value, left, &(struct step){at, key, 0});
        if (e != OK) {
            return e;
        }
    }
    for (size_t i = 0; i < json_array_size(j); i++) {
        enum err e = walk(rq, json_array_get(j, i), left, &(struct step){at, NULL, i});
        if (e != OK) {
            return e;
        }
    }
    return OK;
}

enum err json_body_parse(struct request *rq, size_t max, size_t text_max)
{
    if (!depth_ok(rq->body, rq->body_len, max >= LARGE_BODY ? JSON_DEPTH : JSON_DEPTH_USUAL)) {
        (void)request_blame(rq, "", "too_deep", NULL);
        return ERR_MALFORMED;
    }
    json_error_t why;
    json_t *j = json_loadb(rq->body, rq->body_len, JSON_REJECT_DUPLICATES, &why);
    if (!j) {
        bool twice = json_error_code(&why) == json_error_duplicate_key;
        (void)request_blame(rq, "", twice ? "duplicate_key" : "not_json", NULL);
        return ERR_MALFORMED;
    }
    rq->json = request_own_json(rq, j);
    if (!json_is_object(j)) {
        return request_blame(rq, "", "type", NULL);
    }
    struct caps left = {256, 256};
    if (max >= LARGE_BODY) {
        left = (struct caps){4000 * (max / LARGE_BODY), 2000};
    }
    if (text_max > 0) {
        left.string = text_max;
    }
    return walk(rq, j, &left, NULL);
}
