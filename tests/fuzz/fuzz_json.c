/* SPDX-License-Identifier: MIT
 * JSON bodies: what is taken is an object within its caps, and the same when it is written and read
 * again; what is refused is blamed, at a place that is there (RFC 6901). */
#include <jansson.h>
#include <string.h>

#include "base/mem.h"
#include "http/json_body.h"
#include "take.h"
#include "utf8.h"

struct seen {
    size_t values, string;      /* how many, and the cap of a text */
};

static void check_value(const json_t *j, int depth, struct seen *s)
{
    const char *key;
    json_t *v;
    s->values++;
    if (json_is_string(j)) {
        const char *text = json_string_value(j);
        MUST(json_string_length(j) <= s->string && strlen(text) == json_string_length(j));
        MUST(utf8_well_formed(text, strlen(text)));
    }
    MUST(depth < JSON_DEPTH || json_is_string(j) || !(json_is_object(j) || json_is_array(j)));
    json_object_foreach((json_t *)(uintptr_t)j, key, v) {
        MUST(strlen(key) <= s->string && utf8_well_formed(key, strlen(key)));
        check_value(v, depth + 1, s);
    }
    for (size_t i = 0; i < json_array_size(j); i++) {
        check_value(json_array_get(j, i), depth + 1, s);
    }
}

struct caps {
    size_t max, text;           /* as json_body_parse takes them */
};

static enum err parse(struct request *rq, const char *text, size_t n, struct caps caps)
{
    *rq = (struct request){.mem = rq->mem, .body = text, .body_len = n};
    return json_body_parse(rq, caps.max, caps.text);
}

/* The object again, then with its first member twice. */
static void check_again(struct request *rq, struct caps caps)
{
    const json_t *was = rq->json;
    char *text = json_dumps(was, JSON_COMPACT);
    void *first = json_object_iter(rq->json);
    MUST(text != NULL);
    MUST(parse(rq, text, strlen(text), caps) == OK && json_equal(rq->json, was));
    if (first != NULL) {
        json_t *key = json_string(json_object_iter_key(first));
        char *name = json_dumps(key, JSON_ENCODE_ANY);
        const char *twice = mem_printf(rq->mem, "{%s:0,%s", name, text + 1);
        MUST(parse(rq, twice, strlen(twice), caps) == ERR_MALFORMED);
        MUST(strcmp(rq->blames[0].code, "duplicate_key") == 0);
        free(name);
        json_decref(key);
    }
    free(text);
}

/* The value at a pointer; NULL: not there, or no pointer. */
static const json_t *value_at(void *mem, const json_t *j, const char *p)
{
    while (j != NULL && *p == '/') {
        char *name = mem_array(mem, char, strlen(p) + 1), *to = name;
        for (p++; *p != '\0' && *p != '/'; p++) {
            MUST(*p != '~' || p[1] == '0' || p[1] == '1');
            *to++ = (char)(*p != '~' ? *p : *++p == '0' ? '~' : '/');
        }
        j = json_is_array(j) ? json_array_get(j, strtoul(name, NULL, 10))
                             : json_object_get(j, name);
    }
    return *p == '\0' ? j : NULL;
}

static void check_blame(const struct request *rq, enum err e, size_t string)
{
    static const char *const malformed[] = {"too_deep", "not_json", "duplicate_key"};
    static const char *const bad[] = {"type", "too_long", "too_many_values", "unknown"};
    const struct blame *b = &rq->blames[0];
    bool known = false;
    MUST(rq->blame_count == 1 && (e == ERR_MALFORMED || e == ERR_BAD_INPUT));
    for (size_t i = 0; i < (e == ERR_MALFORMED ? 3 : 4); i++) {
        known = known || strcmp(b->code, e == ERR_MALFORMED ? malformed[i] : bad[i]) == 0;
    }
    MUST(known && utf8_well_formed(b->pointer, strlen(b->pointer)));
    if (strcmp(b->code, "too_long") == 0) {
        const json_t *at = value_at(rq->mem, rq->json, b->pointer);
        MUST(json_is_string(at) && json_string_length(at) > string);
    } else {
        MUST(*b->pointer == '\0');
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct request rq = {.mem = mem_root()};
    struct bytes b = {data, size};
    const unsigned how = take(&b);
    const bool large = how % 2, texts = how % 4 >= 2;
    const struct caps caps = {large ? 64 * 1024 : 4096, texts ? 4096 : 0};
    struct seen s = {.string = texts ? caps.text : large ? 2000 : 256};
    enum err e = parse(&rq, (const char *)b.p, b.left, caps);
    if (e == OK) {
        MUST(rq.blame_count == 0 && json_is_object(rq.json));
        check_value(rq.json, 0, &s);
        MUST(s.values <= (large ? 4000 : 256));
        check_again(&rq, caps);
    } else {
        check_blame(&rq, e, s.string);
    }
    talloc_free(rq.mem);
    return 0;
}
