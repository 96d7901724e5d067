/* SPDX-License-Identifier: MIT
 * Readers of JSON fields and writers of JSON values that the handlers of people and school share.
 *
 * A reader looks at one value: its type first ("type"), then its content, and says where it was
 * wrong by the pointer it is given. Values come out cleaned and on the request's memory. Writers
 * carry a failed allocation along as NULL, so a handler looks once, at the end. */
#include "people_internal.h"

#include <string.h>

#include "auth/auth.h"
#include "auth/scope.h"
#include "base/clock.h"
#include "base/mem.h"
#include "base/name.h"
#include "base/pointer.h"
#include "base/text.h"
#include "store/fresh_start.h"
#include "store/purge.h"
#include "store/school.h"

enum err field_known(struct request *rq, json_t *obj, const char *pointer,
                     const char *const *allowed)
{
    if (!json_is_object(obj)) {
        return request_blame(rq, pointer, "type", NULL);
    }
    const char *key;
    json_t *v;
    enum err e = OK;
    json_object_foreach(obj, key, v) {
        bool known = false;
        for (size_t i = 0; allowed[i] && !known; i++) {
            known = strcmp(key, allowed[i]) == 0;
        }
        if (!known) {
            e = request_blame(rq, pointer_member(rq->mem, pointer, key), "unknown", NULL);
        }
    }
    return e;
}

static enum err no_string(struct request *rq, json_t *v, const char *pointer)
{
    return request_blame(rq, pointer, v ? "type" : "required", NULL);
}

enum err field_name(struct request *rq, json_t *v, const char *pointer, size_t max,
                    const char **out)
{
    if (!json_is_string(v)) {
        return no_string(rq, v, pointer);
    }
    const char *fault = name_fault(json_string_value(v), json_string_length(v), max);
    if (fault) {
        return request_blame(rq, pointer, fault, NULL);
    }
    *out = text_clean(rq->mem, json_string_value(v));
    return *out ? OK : request_blame(rq, pointer, "not_text", NULL);
}

enum err field_line(struct request *rq, json_t *v, const char *pointer, size_t max,
                    const char **out)
{
    if (!json_is_string(v)) {
        return no_string(rq, v, pointer);
    }
    if (strspn(json_string_value(v), " ") == json_string_length(v)) {
        *out = "";
        return OK;
    }
    return field_name(rq, v, pointer, max, out);
}

enum err field_prose(struct request *rq, json_t *v, const char *pointer, size_t max,
                     struct prose_field *out)
{
    if (!json_is_string(v)) {
        return no_string(rq, v, pointer);
    }
    out->text = text_prose(rq->mem, json_string_value(v), &out->lost);
    if (!out->text) {
        return request_blame(rq, pointer, "not_text", NULL);
    }
    return text_length(out->text) > max ? request_blame(rq, pointer, "too_long", NULL) : OK;
}

enum err field_bool(struct request *rq, json_t *v, const char *pointer, bool *out)
{
    if (!json_is_boolean(v)) {
        return no_string(rq, v, pointer);
    }
    *out = json_is_true(v);
    return OK;
}

enum err field_id(struct request *rq, json_t *v, const char *pointer, int64_t *out)
{
    if (!json_is_string(v)) {
        return no_string(rq, v, pointer);
    }
    return text_id(json_string_value(v), out) ? OK : request_blame(rq, pointer, "id", NULL);
}

enum err field_day(struct request *rq, json_t *v, const char *pointer, int32_t *out)
{
    if (!json_is_string(v)) {
        return no_string(rq, v, pointer);
    }
    return clock_day_parse(json_string_value(v), out) ? OK
                                                      : request_blame(rq, pointer, "day", NULL);
}

enum err field_band(struct request *rq, json_t *v, const char *pointer, int *out)
{
    struct band_words words;
    enum err e = school_band_words(rq->store, rq->mem, &words);
    if (e != OK) {
        return e;
    }
    if (!json_is_integer(v)) {
        return request_blame(rq, pointer, v == NULL ? "required" : "type", NULL);
    }
    if (json_integer_value(v) < 0 || json_integer_value(v) >= (json_int_t)words.n) {
        return request_blame(rq, pointer, "out_of_range", NULL);
    }
    *out = (int)json_integer_value(v);
    return OK;
}

enum err field_year(struct request *rq, json_t *v, const char *pointer, int *out)
{
    if (json_is_null(v)) {
        *out = PUPIL_NO_YEAR;
        return OK;
    }
    if (!json_is_integer(v)) {
        return request_blame(rq, pointer, "type", NULL);
    }
    json_int_t year = json_integer_value(v);
    if (year < 0 || year > 7) {
        return request_blame(rq, pointer, "year_group", NULL);
    }
    *out = (int)year;
    return OK;
}

enum err field_array(struct request *rq, json_t *v, const char *pointer, size_t max)
{
    if (!json_is_array(v)) {
        return no_string(rq, v, pointer);
    }
    return json_array_size(v) <= max ? OK : request_blame(rq, pointer, "too_many", NULL);
}

enum err field_word(struct request *rq, json_t *v, const char *pointer,
                    const char *const *words, const char **out)
{
    if (!json_is_string(v)) {
        return no_string(rq, v, pointer);
    }
    for (size_t i = 0; words[i]; i++) {
        if (strcmp(json_string_value(v), words[i]) == 0) {
            *out = words[i];
            return OK;
        }
    }
    return request_blame(rq, pointer, "choice", NULL);
}

/* Answers -------------------------------------------------------------------------------------- */

json_t *json_id(int64_t id)
{
    char text[24];
    int n = snprintf(text, sizeof text, "%lld", (long long)id);
    return json_stringn(text, (size_t)n);
}

json_t *json_day(int32_t day)
{
    char text[11];
    clock_day_print(day, text);
    return json_string(text);
}

json_t *json_day_or_null(bool present, int32_t day)
{
    return present ? json_day(day) : json_null();
}

void json_put(json_t **obj, const char *key, json_t *v)
{
    if (!*obj) {
        json_decref(v);
    } else if (json_object_set_new(*obj, key, v) != 0) {    /* also when v is NULL */
        json_decref(*obj);
        *obj = NULL;
    }
}

void json_add(json_t **array, json_t *v)
{
    if (!*array) {
        json_decref(v);
    } else if (json_array_append_new(*array, v) != 0) {
        json_decref(*array);
        *array = NULL;
    }
}

enum err people_audit(struct request *rq, const char *action, const char *kind, int64_t id,
                      const char *code)
{
    char actor[32], object[48];
    audit_actor(&rq->who, actor);
    audit_object(kind, id, object);
    return audit_add(rq->store, rq->auth->keys, rq->now, actor, action, object, code);
}

static json_t *membership_json(const struct membership *m)
{
    json_t *o = json_object();
    json_put(&o, "id", json_id(m->id.v));
    json_put(&o, "name", json_string(m->name));
    json_put(&o, "kind", json_string(m->group ? "group" : "class"));
    json_put(&o, "from", json_day(m->from_day));
    json_put(&o, "to", json_day_or_null(m->has_to, m->to_day));
    return o;
}

enum err pupil_json(struct request *rq, struct pupil_id id, json_t **out)
{
    struct pupil_row p;
    struct membership *rows;
    size_t n;
    enum err e = pupil_get(rq->store, rq->mem, id, &p);
    if (e == OK) {
        e = pupil_memberships(rq->store, rq->mem, id, &rows, &n);
    }
    if (e != OK) {
        return e;
    }
    int32_t fresh = 0;
    if ((rights_on_pupil(rq, id.v) & (ALLOW_TEACH | ALLOW_READ | ALLOW_PE_LEAD)) != 0) {
        e = fresh_start_get(rq->store, id, &fresh);
    }
    if (e != OK) {
        return e;
    }
    json_t *classes = json_array();
    for (size_t i = 0; i < n; i++) {
        json_add(&classes, membership_json(&rows[i]));
    }
    json_t *o = json_object();
    json_put(&o, "id", json_id(p.id.v));
    json_put(&o, "display_name", json_string(p.display_name));
    json_put(&o, "year_group",
             p.year_group == PUPIL_NO_YEAR ? json_null() : json_integer(p.year_group));
    json_put(&o, "picture", json_integer(p.picture));
    json_put(&o, "left", json_boolean(p.left));
    json_put(&o, "classes", classes);
    json_put(&o, "family_view", json_string(family_view_word(p.family_view)));
    json_put(&o, "fresh_start", json_day_or_null(fresh != 0, fresh));
    json_put(&o, "leaver_goes_on",
             json_day_or_null((rq->who.rights & ALLOW_OFFICE) != 0,
                              purge_leaver_goes(p.left ? p.left_day : clock_day(rq->now))));
    *out = o;
    return o ? OK : ERR_INTERNAL;
}
