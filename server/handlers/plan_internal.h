/* SPDX-License-Identifier: MIT
 * What the handlers of the plan share: reading a JSON object member by member, strictly, and the
 * drafts that come of it. Everything read is on rq->mem. */
#pragma once

#include <jansson.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/err.h"
#include "http/request.h"
#include "store/activities.h"
#include "store/units.h"

/* One object being read; `at` is its pointer ("" for the body). The first fault is latched in err,
 * all of them are blamed. */
struct reader {
    struct request *rq;
    const json_t *obj;
    const char *at;
    enum err err;
};

/* A reader of the body, or of an element of a list; not an object: blamed "type". */
struct reader reader_body(struct request *rq);
struct reader reader_item(struct reader *of, const char *key, const json_t *list, size_t i);
/* Takes over the fault of a reader below. */
void reader_join(struct reader *to, const struct reader *from);
void reader_blame(struct reader *r, const char *key, const char *code);
/* Blames every member whose name is not in the NULL-terminated list. */
void reader_known(struct reader *r, const char *const names[]);
/* Absent and null both leave *out alone in all of these. */
bool reader_has(const struct reader *r, const char *key);
/* Cleaned (text_clean). */
void reader_text(struct reader *r, const char *key, const char **out);
void reader_int(struct reader *r, const char *key, int *out);
void reader_optional(struct reader *r, const char *key, struct optional_int *out);
void reader_bool(struct reader *r, const char *key, bool *out);
void reader_id(struct reader *r, const char *key, int64_t *out);
void reader_day(struct reader *r, const char *key, bool *has, int32_t *out);
void reader_at(struct reader *r, const char *key, bool *has, int64_t *out);
/* *out becomes what `of` makes of the word; another word is blamed "not_a_choice". */
void reader_word(struct reader *r, const char *key, int (*of)(const char *), int *out);
/* The list, NULL when absent or faulty; more than `max` elements: blamed "too_many". */
const json_t *reader_list(struct reader *r, const char *key, size_t max);

/* The body as an activity, checked (activity_check). draft.revision is the revision that the change
 * was made from; it and copied_from may stay 0. */
struct activity_input {
    struct activity draft;
    struct activity_id copied_from;
};
enum err activity_parse(struct request *rq, struct activity_input *out) MUST_USE;
/* The same of an object below the body. */
enum err activity_parse_at(struct reader *r, struct activity_input *out) MUST_USE;

/* Name and rules of a unit; what is not there stays as it was. A name must be there. */
void unit_read_head(struct reader *r, struct unit *u);
/* A name of 1..80 characters that must be there. */
void plan_read_name(struct reader *r, const char **out);
