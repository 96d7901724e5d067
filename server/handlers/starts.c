/* SPDX-License-Identifier: MIT
 * Which version chosen children start with in a challenge. One class at a time; all that is sent is
 * stored or nothing. A reason is neither asked nor kept. */
#include <string.h>

#include "auth/scope.h"
#include "base/clock.h"
#include "base/mem.h"
#include "base/text.h"
#include "handlers/hand_in_view.h"
#include "handlers/handlers.h"
#include "people_internal.h"
#include "store/cards.h"
#include "store/challenges.h"
#include "store/starting_versions.h"

enum { STARTS_AT_ONCE = 100 };

/* ERR_NOT_FOUND also when the class does not have the challenge. */
static enum err load(struct request *rq, struct class_id cls, struct challenge *c,
                     const struct activity **a)
{
    enum err e = challenge_get(rq->mem, rq->store, (struct challenge_id){rq->args[0].id}, c);
    if (e == OK && !challenge_has_class(c, cls)) {
        return ERR_NOT_FOUND;
    }
    return e == OK ? activity_load(rq->store, c->revision, a) : e;
}

/* Reading ------------------------------------------------------------------------------------ */

static void view_kinds(struct buf *b, const struct activity *a)
{
    buf_str(b, "{\"versions\":[");
    for (size_t i = 0; i < a->version_count; i++) {
        buf_printf(b, "%s\"%s\"", i > 0 ? "," : "", version_kind_word(a->versions[i].kind));
    }
    buf_str(b, "]");
}

enum err h_challenge_starts_get(struct request *rq, struct reply *rp)
{
    struct challenge c;
    const struct activity *a = NULL;
    struct starting_version_list list = {0};
    struct card_pupil *pupils = NULL;
    struct class_id cls = {0};
    size_t n = 0;
    enum err e = request_query_id(rq, "class", &cls.v);
    if (e == OK && !cls.v) {
        e = request_blame(rq, "/class", "required", NULL);
    }
    e = e == OK ? load(rq, cls, &c, &a) : e;
    e = e == OK ? starting_versions_of_challenge(rq->store, rq->mem, c.id, &list) : e;
    e = e == OK ? card_pupils_of_class(rq->store, rq->mem, cls, rq->now, &pupils, &n) : e;
    if (e != OK) {
        return e;
    }
    struct buf *b = reply_json_buf(rq, rp, 200);
    view_kinds(b, a);
    buf_str(b, ",\"rows\":[");
    for (size_t i = 0; i < n; i++) {
        buf_str(b, i > 0 ? ",{\"id\":" : "{\"id\":");
        view_id(b, pupils[i].pupil.v);
        buf_str(b, ",\"display_name\":");
        json_txt(b, pupils[i].display_name);
        buf_printf(b, ",\"version\":\"%s\"}",
                   version_kind_word(starting_version_in(&list, pupils[i].pupil)));
    }
    buf_str(b, "]}");
    return OK;
}

/* Setting ------------------------------------------------------------------------------------ */

/* The child is in the named class, which the scope has asked about. */
static bool is_there(const struct card_pupil *p, size_t n, int64_t id)
{
    for (size_t i = 0; i < n; i++) {
        if (p[i].pupil.v == id) {
            return true;
        }
    }
    return false;
}

static enum err read_kind(struct request *rq, const struct activity *a, json_t *v, const char *at,
                          enum version_kind *out)
{
    const char *word = json_string_value(v);
    for (size_t i = 0; word && i < a->version_count; i++) {
        if (strcmp(word, version_kind_word(a->versions[i].kind)) == 0) {
            *out = a->versions[i].kind;
            return OK;
        }
    }
    return request_blame(rq, at, v == NULL ? "required" : word ? "not_a_choice" : "type", NULL);
}

struct starts {
    struct challenge c;
    const struct activity *a;
    struct card_pupil *pupils;
    size_t pupil_count;
    struct starting_version v[STARTS_AT_ONCE];
    size_t n;
};

static enum err read_start(struct request *rq, struct starts *s, json_t *obj, const char *at)
{
    static const char *const members[] = {"pupil", "version", NULL};
    struct starting_version *v = &s->v[s->n];
    const char *pupil = mem_printf(rq->mem, "%s/pupil", at);
    *v = (struct starting_version){.challenge = s->c.id};
    enum err e = field_known(rq, obj, at, members);
    if (e == OK) {
        e = field_id(rq, json_object_get(obj, "pupil"), pupil, &v->pupil.v);
    }
    if (e == OK && !is_there(s->pupils, s->pupil_count, v->pupil.v)) {
        e = request_blame(rq, pupil, "not_found", NULL);
    }
    for (size_t i = 0; e == OK && i < s->n; i++) {
        if (s->v[i].pupil.v == v->pupil.v) {
            e = request_blame(rq, pupil, "twice", NULL);
        }
    }
    if (e == OK) {
        e = read_kind(rq, s->a, json_object_get(obj, "version"),
                      mem_printf(rq->mem, "%s/version", at), &v->kind);
    }
    s->n += e == OK;
    return e;
}

static enum err read_starts(struct request *rq, struct starts *s)
{
    static const char *const members[] = {"starts", NULL};
    json_t *list = json_object_get(rq->json, "starts"), *v;
    size_t i;
    enum err e = field_known(rq, rq->json, "", members);
    if (e == OK) {
        e = field_array(rq, list, "/starts", STARTS_AT_ONCE);
    }
    json_array_foreach(list, i, v) {
        if (e == OK) {
            e = read_start(rq, s, v, mem_printf(rq->mem, "/starts/%zu", i));
        }
    }
    return e;
}

enum err h_challenge_starts_put(struct request *rq, struct reply *rp)
{
    struct starts *s = mem_new(rq->mem, struct starts);
    struct class_id cls = {0};
    enum err e = request_query_id(rq, "class", &cls.v);
    if (e == OK && !cls.v) {
        e = request_blame(rq, "/class", "required", NULL);
    }
    e = e == OK ? load(rq, cls, &s->c, &s->a) : e;
    if (e == OK) {
        e = card_pupils_of_class(rq->store, rq->mem, cls, rq->now, &s->pupils, &s->pupil_count);
    }
    e = e == OK ? read_starts(rq, s) : e;
    for (size_t i = 0; e == OK && i < s->n; i++) {
        e = starting_version_set(rq->store, &s->v[i]);
    }
    if (e == OK) {
        reply_no_content(rp);
    }
    return e;
}
