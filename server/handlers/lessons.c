/* SPDX-License-Identifier: MIT
 * What was seen and heard in lessons: teaching points, questions, taking part. Many marks at once
 * are stored all or not at all. Ids in bodies are checked against the person's rights one by one;
 * what may not be seen is not there. Null takes back what was said before. */
#include "auth/scope.h"
#include "base/clock.h"
#include "base/mem.h"
#include "base/text.h"
#include "handlers/handlers.h"
#include "people_internal.h"
#include "store/observations.h"

enum { MARKS_AT_ONCE = 200, AGO_MOST_S = 35 * 86400 };

static struct unit_id unit_of(const struct request *rq)
{
    return (struct unit_id){rq->args[0].id};
}

/* Members of `obj`, which is at the pointer `at`. ---------------------------------------------- */

static enum err read_id(struct request *rq, json_t *obj, const char *at, const char *name,
                        int64_t *out)
{
    json_t *v = json_object_get(obj, name);
    if (json_is_string(v) && text_id(json_string_value(v), out)) {
        return OK;
    }
    const char *code = v == NULL ? "required" : json_is_string(v) ? "not_an_id" : "type";
    return request_blame(rq, mem_printf(rq->mem, "%s/%s", at, name), code, NULL);
}

/* true, false, or null for taken back */
static enum err read_said(struct request *rq, json_t *v, const char *at, bool *yes, bool *back)
{
    if (!json_is_boolean(v) && !json_is_null(v)) {
        return request_blame(rq, at, v == NULL ? "required" : "type", NULL);
    }
    *yes = json_is_true(v);
    *back = json_is_null(v);
    return OK;
}

static enum err may_on_pupil(struct request *rq, struct pupil_id pupil, unsigned rights)
{
    return (rights_on_pupil(rq, pupil.v) & rights) != 0 ? OK : ERR_NOT_FOUND;
}

/* Teaching points ------------------------------------------------------------------------------ */

/* The id that tells a repeat, and how long ago the mark was made: by the device's own measure, so
 * that a wrong clock on it does no harm. */
static enum err read_when(struct request *rq, json_t *obj, const char *at, struct seen_row *row)
{
    json_t *id = json_object_get(obj, "id"), *ago = json_object_get(obj, "ago_s");
    row->said_at = rq->now;
    if (id) {
        row->has_mark = json_is_string(id) && text_uuid(json_string_value(id), row->mark.b);
        if (!row->has_mark) {
            return request_blame(rq, mem_printf(rq->mem, "%s/id", at), "not_a_uuid", NULL);
        }
    }
    if (ago && !json_is_integer(ago)) {
        return request_blame(rq, mem_printf(rq->mem, "%s/ago_s", at), "type", NULL);
    }
    if (json_integer_value(ago) < 0 || json_integer_value(ago) > AGO_MOST_S) {
        return request_blame(rq, mem_printf(rq->mem, "%s/ago_s", at), "out_of_range", NULL);
    }
    row->said_at -= json_integer_value(ago);
    row->on_day = clock_day(row->said_at);
    return OK;
}

static enum err read_mark(struct request *rq, json_t *obj, const char *at, struct seen_row *row)
{
    static const char *const members[] = {"id", "ago_s", "pupil", "cue", "seen", NULL};
    *row = (struct seen_row){.unit = unit_of(rq), .by = rq->who.staff};
    enum err e = field_known(rq, obj, at, members);
    if (e == OK) {
        e = read_id(rq, obj, at, "pupil", &row->pupil.v);
    }
    if (e == OK) {
        e = read_id(rq, obj, at, "cue", &row->cue);
    }
    if (e == OK) {
        e = read_said(rq, json_object_get(obj, "seen"), mem_printf(rq->mem, "%s/seen", at),
                      &row->seen, &row->taken_back);
    }
    return e == OK ? read_when(rq, obj, at, row) : e;
}

static bool said_before(const struct seen_row *rows, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        if (rows[i].pupil.v == rows[n].pupil.v && rows[i].cue == rows[n].cue) {
            return true;
        }
    }
    return false;
}

static enum err read_marks(struct request *rq, struct seen_row *rows, size_t *n)
{
    static const char *const members[] = {"marks", NULL};
    json_t *list = json_object_get(rq->json, "marks"), *v;
    size_t i;
    enum err e = field_known(rq, rq->json, "", members);
    *n = 0;
    if (e != OK) {
        return e;
    }
    if (!json_is_array(list) || json_array_size(list) == 0) {
        return request_blame(rq, "/marks", json_is_array(list) ? "empty" : "type", NULL);
    }
    if (json_array_size(list) > MARKS_AT_ONCE) {
        return request_blame(rq, "/marks", "too_many", NULL);
    }
    json_array_foreach(list, i, v) {
        const char *at = mem_printf(rq->mem, "/marks/%zu", i);
        e = read_mark(rq, v, at, &rows[i]);
        if (e != OK) {
            return e;
        }
        if (said_before(rows, i)) {
            return request_blame(rq, at, "twice", NULL);
        }
    }
    *n = json_array_size(list);
    return OK;
}

enum err h_unit_seen_post(struct request *rq, struct reply *rp)
{
    struct seen_row *rows = mem_array(rq->mem, struct seen_row, MARKS_AT_ONCE);
    bool many = json_object_get(rq->json, "marks") != NULL;
    size_t n = 1;
    enum err e = many ? read_marks(rq, rows, &n) : read_mark(rq, rq->json, "", &rows[0]);
    for (size_t i = 0; e == OK && i < n; i++) {
        e = may_on_pupil(rq, rows[i].pupil, ALLOW_TEACH | ALLOW_HELP);
    }
    for (size_t i = 0; e == OK && i < n; i++) {
        e = seen_add(rq->store, &rows[i]);
    }
    if (e == OK) {
        reply_no_content(rp);
    }
    return e;
}

/* Questions ------------------------------------------------------------------------------------ */

enum err h_unit_answers_post(struct request *rq, struct reply *rp)
{
    static const char *const members[] = {"pupil", "question", "right", NULL};
    struct lesson_answer a = {
        .unit = unit_of(rq), .on_day = clock_day(rq->now), .by = rq->who.staff,
    };
    enum err e = field_known(rq, rq->json, "", members);
    if (e == OK) {
        e = read_id(rq, rq->json, "", "pupil", &a.pupil.v);
    }
    if (e == OK) {
        e = read_id(rq, rq->json, "", "question", &a.question);
    }
    if (e == OK) {
        e = read_said(rq, json_object_get(rq->json, "right"), "/right", &a.right, &a.taken_back);
    }
    if (e == OK) {
        e = may_on_pupil(rq, a.pupil, ALLOW_TEACH | ALLOW_HELP);
    }
    if (e == OK) {
        e = lesson_answer_add(rq->store, &a);
    }
    if (e == OK) {
        reply_no_content(rp);
    }
    return e;
}

/* Taking part ---------------------------------------------------------------------------------- */

enum err h_unit_taking_part_put(struct request *rq, struct reply *rp)
{
    static const char *const members[] = {"band", NULL};
    struct taking_part t = {
        .unit = unit_of(rq), .pupil = {rq->args[1].id}, .by = rq->who.staff,
        .on_day = clock_day(rq->now),
    };
    enum err e = may_on_pupil(rq, t.pupil, ALLOW_TEACH);
    if (e == OK) {
        e = field_known(rq, rq->json, "", members);
    }
    if (e == OK && json_is_null(json_object_get(rq->json, "band"))) {
        e = taking_part_take_back(rq->store, t.unit, t.pupil);
    } else if (e == OK) {
        e = field_band(rq, json_object_get(rq->json, "band"), "/band", &t.band);
        e = e == OK ? taking_part_put(rq->store, &t) : e;
    }
    if (e == OK) {
        reply_no_content(rp);
    }
    return e;
}
