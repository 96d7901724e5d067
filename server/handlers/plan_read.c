/* SPDX-License-Identifier: MIT
 * Reading a JSON object member by member. Strict: another type, a word that is no choice, a member
 * that is not known is blamed by its pointer and nothing is guessed. The names of members read here
 * are literals of the program, so only unknown ones need escaping in a pointer. */
#include "plan_internal.h"

#include <limits.h>
#include <string.h>

#include "base/clock.h"
#include "base/mem.h"
#include "base/pointer.h"
#include "base/text.h"

static void blame_at(struct reader *r, const char *pointer, const char *code)
{
    enum err e = request_blame(r->rq, pointer, code, NULL);
    if (r->err == OK) {
        r->err = e;
    }
}

void reader_blame(struct reader *r, const char *key, const char *code)
{
    blame_at(r, mem_printf(r->rq->mem, "%s/%s", r->at, key), code);
}

struct reader reader_body(struct request *rq)
{
    return (struct reader){.rq = rq, .obj = rq->json, .at = ""};
}

struct reader reader_item(struct reader *of, const char *key, const json_t *list, size_t i)
{
    struct reader r = {.rq = of->rq, .obj = json_array_get(list, i),
                       .at = mem_printf(of->rq->mem, "%s/%s/%zu", of->at, key, i)};
    if (!json_is_object(r.obj)) {
        blame_at(&r, r.at, "type");
    }
    return r;
}

void reader_join(struct reader *to, const struct reader *from)
{
    if (to->err == OK) {
        to->err = from->err;
    }
}

void reader_known(struct reader *r, const char *const names[])
{
    if (!json_is_object(r->obj)) {
        return;
    }
    /* jansson's iterator does not change the object, but is not declared so. */
    json_t *obj = json_incref((json_t *)(uintptr_t)r->obj);
    const char *key;
    json_t *value;
    json_object_foreach(obj, key, value) {
        size_t i = 0;
        while (names[i] && strcmp(names[i], key) != 0) {
            i++;
        }
        if (!names[i]) {
            blame_at(r, pointer_member(r->rq->mem, r->at, key), "unknown");
        }
    }
    json_decref(obj);
}

static const json_t *member(const struct reader *r, const char *key)
{
    const json_t *v = json_object_get(r->obj, key);
    return json_is_null(v) ? NULL : v;
}

bool reader_has(const struct reader *r, const char *key)
{
    return member(r, key) != NULL;
}

/* The text of a member; NULL when absent or blamed. */
static const char *text_of(struct reader *r, const char *key)
{
    const json_t *v = member(r, key);
    if (v && !json_is_string(v)) {
        reader_blame(r, key, "type");
        return NULL;
    }
    return v ? json_string_value(v) : NULL;
}

void reader_text(struct reader *r, const char *key, const char **out)
{
    const char *s = text_of(r, key);
    if (!s) {
        return;
    }
    const char *clean = text_clean(r->rq->mem, s);
    if (clean) {
        *out = clean;
    } else {
        reader_blame(r, key, "not_text");
    }
}

void reader_optional(struct reader *r, const char *key, struct optional_int *out)
{
    const json_t *v = member(r, key);
    if (v && !json_is_integer(v)) {
        reader_blame(r, key, "type");
    } else if (v && (json_integer_value(v) > INT_MAX || json_integer_value(v) < -INT_MAX)) {
        reader_blame(r, key, "out_of_range");
    } else if (v) {
        *out = (struct optional_int){true, json_integer_value(v)};
    }
}

void reader_int(struct reader *r, const char *key, int *out)
{
    struct optional_int v = {0};
    reader_optional(r, key, &v);
    if (v.set) {
        *out = (int)v.v;
    }
}

void reader_bool(struct reader *r, const char *key, bool *out)
{
    const json_t *v = member(r, key);
    if (v && !json_is_boolean(v)) {
        reader_blame(r, key, "type");
    } else if (v) {
        *out = json_is_true(v);
    }
}

void reader_id(struct reader *r, const char *key, int64_t *out)
{
    const char *s = text_of(r, key);
    if (s && !text_id(s, out)) {
        reader_blame(r, key, "not_an_id");
    }
}

void reader_day(struct reader *r, const char *key, bool *has, int32_t *out)
{
    const char *s = text_of(r, key);
    if (s) {
        *has = clock_day_parse(s, out);
        if (!*has) {
            reader_blame(r, key, "not_a_day");
        }
    }
}

void reader_at(struct reader *r, const char *key, bool *has, int64_t *out)
{
    const char *s = text_of(r, key);
    if (s) {
        *has = clock_at_parse(s, out);
        if (!*has) {
            reader_blame(r, key, "not_a_time");
        }
    }
}

void reader_word(struct reader *r, const char *key, int (*of)(const char *), int *out)
{
    const char *s = text_of(r, key);
    if (!s) {
        return;
    }
    int found = of(s);
    if (found < 0) {
        reader_blame(r, key, "not_a_choice");
    } else {
        *out = found;
    }
}

const json_t *reader_list(struct reader *r, const char *key, size_t max)
{
    const json_t *v = member(r, key);
    if (v && !json_is_array(v)) {
        reader_blame(r, key, "type");
        return NULL;
    }
    if (v && json_array_size(v) > max) {
        reader_blame(r, key, "too_many");
        return NULL;
    }
    return v;
}
