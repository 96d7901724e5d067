/* SPDX-License-Identifier: MIT
 * Reading the small JSON bodies of people and school: each reader blames the field at `pointer`
 * and returns ERR_BAD_INPUT, or sets *out. */
#pragma once

#include <jansson.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "auth/audit.h"
#include "base/err.h"
#include "http/request.h"
#include "store/changes.h"
#include "store/classes.h"
#include "store/pupils.h"
#include "store/staff.h"

struct prose_field {
    const char *text;
    bool lost;
};

/* Members of `obj` (an object at `pointer`, "" for the body) are all of `allowed`, which ends with
 * NULL. */
enum err field_known(struct request *rq, json_t *obj, const char *pointer,
                     const char *const *allowed) MUST_USE;
/* A name of 1..max characters, cleaned, on rq->mem. */
enum err field_name(struct request *rq, json_t *v, const char *pointer, size_t max,
                    const char **out) MUST_USE;
/* The same, or empty. */
enum err field_line(struct request *rq, json_t *v, const char *pointer, size_t max,
                    const char **out) MUST_USE;
/* Prose of at most max characters, mended (text_prose) and on rq->mem; may be empty. lost: signs
 * were left out of it. */
enum err field_prose(struct request *rq, json_t *v, const char *pointer, size_t max,
                     struct prose_field *out) MUST_USE;
enum err field_bool(struct request *rq, json_t *v, const char *pointer, bool *out) MUST_USE;
enum err field_id(struct request *rq, json_t *v, const char *pointer, int64_t *out) MUST_USE;
enum err field_day(struct request *rq, json_t *v, const char *pointer, int32_t *out) MUST_USE;
/* One of the school's bands, 0 the lowest. */
enum err field_band(struct request *rq, json_t *v, const char *pointer, int *out) MUST_USE;
/* null or 0..7 */
enum err field_year(struct request *rq, json_t *v, const char *pointer, int *out) MUST_USE;
/* An array of at most `max` values. */
enum err field_array(struct request *rq, json_t *v, const char *pointer, size_t max) MUST_USE;
/* One of a fixed list (NULL-terminated): the list's own literal. */
enum err field_word(struct request *rq, json_t *v, const char *pointer,
                    const char *const *words, const char **out) MUST_USE;

/* JSON values for answers. */
json_t *json_id(int64_t id);
json_t *json_day(int32_t day);
json_t *json_day_or_null(bool present, int32_t day);
/* Adds `v` (stolen) to `obj`; a NULL anywhere ends in reply_json()'s ERR_INTERNAL. */
void json_put(json_t **obj, const char *key, json_t *v);
void json_add(json_t **array, json_t *v);

/* audit_add for this request's person. */
enum err people_audit(struct request *rq, const char *action, const char *kind, int64_t id,
                      const char *code) MUST_USE;

/* Asks a second person, as this request's person, for what was just done about `of`; an audit row
 * where one is asked. `in` .v 0: no class. *out may be NULL. */
enum err people_ask_change(struct request *rq, enum change_kind kind, struct staff_id of,
                           struct class_id in, enum change_asked *out) MUST_USE;
/* The JSON of a change as this person sees it. */
json_t *change_json(const struct change_row *c);
/* StaffSession's "changes" (to be shown on top of this person's pages) and "to_accept". */
enum err changes_for_session(struct request *rq, const struct who *who, json_t *to) MUST_USE;

/* {"id","name"}, {"id","display_name",...} as openapi.json's Pupil. */
enum err pupil_json(struct request *rq, struct pupil_id id, json_t **out) MUST_USE;
