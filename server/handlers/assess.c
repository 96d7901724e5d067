/* SPDX-License-Identifier: MIT
 * Unit end: evidence, what it points to, the teacher's decision. Thrice suggests and never decides:
 * accepting many at once takes only what results_bulk_ok allows and never a child who has an
 * assessment; every decision keeps the suggestion as it was shown. Ids in bodies are checked
 * against the person's rights here, one by one; what may not be seen is not there. */
#include <string.h>

#include "auth/scope.h"
#include "base/clock.h"
#include "base/mem.h"
#include "base/text.h"
#include "handlers/hand_in_view.h"
#include "handlers/handlers.h"
#include "handlers/suggestion.h"
#include "people_internal.h"
#include "second_internal.h"
#include "store/results.h"

enum { PUPILS_AT_ONCE = 120, CLASSES_AT_ONCE = 8 };

/* Bodies --------------------------------------------------------------------------------------- */

static bool known_members(struct request *rq, const char *const *names)
{
    return field_known(rq, rq->json, "", names) == OK;
}

static enum err read_id(struct request *rq, const char *name, int64_t *out)
{
    json_t *v = json_object_get(rq->json, name);
    const char *at = mem_printf(rq->mem, "/%s", name);
    if (v == NULL) {
        return request_blame(rq, at, "required", NULL);
    }
    if (!json_is_string(v)) {
        return request_blame(rq, at, "type", NULL);
    }
    return text_id(json_string_value(v), out) ? OK : request_blame(rq, at, "not_an_id", NULL);
}

/* "pupils": ids without repeats. */
static enum err read_pupils(struct request *rq, int64_t *out, size_t *n)
{
    json_t *list = json_object_get(rq->json, "pupils"), *v;
    size_t i;
    *n = 0;
    if (!json_is_array(list)) {
        return request_blame(rq, "/pupils", list == NULL ? "required" : "type", NULL);
    }
    if (json_array_size(list) > PUPILS_AT_ONCE) {
        return request_blame(rq, "/pupils", "too_many", NULL);
    }
    json_array_foreach(list, i, v) {
        const char *at = mem_printf(rq->mem, "/pupils/%zu", i);
        if (!json_is_string(v) || !text_id(json_string_value(v), &out[*n])) {
            return request_blame(rq, at, "not_an_id", NULL);
        }
        for (size_t k = 0; k < *n; k++) {
            if (out[k] == out[*n]) {
                return request_blame(rq, at, "twice", NULL);
            }
        }
        (*n)++;
    }
    return OK;
}

static enum err read_reason(struct request *rq, const char **out)
{
    json_t *v = json_object_get(rq->json, "reason");
    if (v == NULL) {
        return OK;
    }
    for (size_t i = 0; json_is_string(v) && assessment_reason_words[i] != NULL; i++) {
        if (strcmp(json_string_value(v), assessment_reason_words[i]) == 0) {
            *out = assessment_reason_words[i];
            return OK;
        }
    }
    return request_blame(rq, "/reason", json_is_string(v) ? "not_a_choice" : "type", NULL);
}

static enum err read_bool(struct request *rq, const char *name, bool *out)
{
    json_t *v = json_object_get(rq->json, name);
    const char *at = mem_printf(rq->mem, "/%s", name);
    if (v == NULL) {
        return OK;
    }
    if (!json_is_boolean(v)) {
        return request_blame(rq, at, "type", NULL);
    }
    *out = json_is_true(v);
    return OK;
}

static enum err may_on_pupil(struct request *rq, int64_t pupil, unsigned rights)
{
    return (rights_on_pupil(rq, pupil) & rights) != 0 ? OK : ERR_NOT_FOUND;
}

static struct unit_id unit_of(const struct request *rq)
{
    return (struct unit_id){rq->args[0].id};
}

/* Decisions ------------------------------------------------------------------------------------ */

/* What is suggested for a pupil now, through the class in which it does the unit. */
static enum err suggested_now(struct request *rq, const struct assessment *a, struct results *r,
                              const struct results_row **row)
{
    struct pupil_id pupil = a->pupil;
    int32_t today = clock_day(rq->now);
    struct class_id cls;
    enum err e = results_class_of(rq->store, a->unit, pupil, today, &cls);
    *row = NULL;
    if (e != OK || cls.v == 0) {
        return e;
    }
    const struct results_ask ask = {
        .of = {a->unit, cls, today}, .now = rq->now, .only = pupil,
    };
    e = results_load(rq->store, rq->mem, &ask, r);
    if (e == OK && r->row_count == 1) {
        *row = &r->rows[0];
    }
    return e;
}

static void keep_suggestion(struct request *rq, const struct results *r,
                            const struct results_row *row, struct assessment *a)
{
    struct buf b;
    a->suggested_band = -1;
    if (row == NULL) {
        return;
    }
    const struct suggestion *s = &row->suggestion;
    buf_init(&b, rq->mem);
    view_suggestion(&b, s, &r->words);
    a->suggestion = b.data;
    a->suggested_band = s->band;
    a->suggested_label = s->band >= 0 && s->answer.known ? band_label_word(s->answer.label) : NULL;
}

enum err assessment_record(struct request *rq, struct assessment *a)
{
    struct results r;
    const struct results_row *row;
    enum err e = suggested_now(rq, a, &r, &row);
    if (e == OK) {
        keep_suggestion(rq, &r, row, a);
        e = assessment_add(rq->store, a);
    }
    return e == OK ? assessment_get(rq->store, rq->mem, a->unit, a->pupil, a) : e;
}

enum err h_unit_assessment_put(struct request *rq, struct reply *rp)
{
    static const char *const members[] = {"band", "reason", "shared", NULL};
    struct assessment a = {
        .unit = unit_of(rq), .pupil = {rq->args[1].id}, .by = rq->who.staff, .at = rq->now,
    };
    bool shared = false;
    enum err e = may_on_pupil(rq, a.pupil.v, ALLOW_TEACH | ALLOW_PE_LEAD);
    if (e == OK) {
        e = second_view_refuse(rq, a.unit, a.pupil, "");
    }
    if (e == OK && !known_members(rq, members)) {
        e = ERR_BAD_INPUT;
    }
    if (e == OK) {
        e = field_band(rq, json_object_get(rq->json, "band"), "/band", &a.band);
    }
    if (e == OK) {
        e = read_reason(rq, &a.reason);
    }
    if (e == OK) {
        e = read_bool(rq, "shared", &shared);
    }
    if (e == OK) {
        a.shared_at = shared ? rq->now : 0;
        e = assessment_record(rq, &a);
    }
    if (e == OK) {
        view_assessment(reply_json_buf(rq, rp, 200), &a);
    }
    return e;
}

/* Classes already worked out for this request: pupils of one class come together. */
struct worked_out {
    struct second_blind_list blind;
    struct class_id cls[CLASSES_AT_ONCE];
    struct results results[CLASSES_AT_ONCE];
    size_t n;
};

/* The pupil's row, NULL when it is in no class; *r is the class it is of. */
static enum err row_of(struct request *rq, struct worked_out *w, struct pupil_id pupil,
                       const struct results **r, const struct results_row **row)
{
    int32_t today = clock_day(rq->now);
    struct class_id cls;
    size_t i = 0;
    enum err e = results_class_of(rq->store, unit_of(rq), pupil, today, &cls);
    *row = NULL;
    if (e != OK || cls.v == 0) {
        return e;
    }
    while (i < w->n && w->cls[i].v != cls.v) {
        i++;
    }
    if (i == CLASSES_AT_ONCE) {
        return request_blame(rq, "/pupils", "too_many", NULL);
    }
    if (i == w->n) {
        const struct results_ask ask = {.of = {unit_of(rq), cls, today}, .now = rq->now};
        e = results_load(rq->store, rq->mem, &ask, &w->results[i]);
        w->cls[w->n++] = cls;
    }
    *r = &w->results[i];
    for (size_t k = 0; e == OK && k < (*r)->row_count; k++) {
        *row = (*r)->rows[k].pupil.id.v == pupil.v ? &(*r)->rows[k] : *row;
    }
    return e;
}

/* One pupil of many: NULL in *code when accepted, else why not. */
static enum err accept_one(struct request *rq, struct worked_out *w, struct pupil_id pupil,
                           const char **code)
{
    const struct results *r = NULL;
    const struct results_row *row;
    if (second_view_hides(&w->blind, unit_of(rq), pupil)) {
        *code = "second_view_open";
        return OK;
    }
    enum err e = row_of(rq, w, pupil, &r, &row);
    *code = "no_suggestion";
    if (e != OK || row == NULL) {
        return e;
    }
    if (row->assessment != NULL) {
        *code = "decided";
        return OK;
    }
    if (!results_bulk_ok(row, code)) {
        return OK;
    }
    struct assessment a = {
        .unit = unit_of(rq), .pupil = pupil, .band = row->suggestion.band, .in_bulk = true,
        .by = rq->who.staff, .at = rq->now,
    };
    keep_suggestion(rq, r, row, &a);
    return assessment_add(rq->store, &a);
}

enum err h_unit_assessments_post(struct request *rq, struct reply *rp)
{
    static const char *const members[] = {"pupils", NULL};
    int64_t pupils[PUPILS_AT_ONCE];
    size_t n, accepted = 0, refused = 0;
    struct buf no;
    struct worked_out *w = mem_new(rq->mem, struct worked_out);
    enum err e = known_members(rq, members) ? read_pupils(rq, pupils, &n) : ERR_BAD_INPUT;
    for (size_t i = 0; e == OK && i < n; i++) {
        e = may_on_pupil(rq, pupils[i], ALLOW_TEACH | ALLOW_PE_LEAD);
    }
    if (e == OK) {
        e = second_blind_load(rq, &w->blind);
    }
    if (e != OK) {
        return e;
    }
    buf_init(&no, rq->mem);
    struct buf *b = reply_json_buf(rq, rp, 200);
    buf_str(b, "{\"accepted\":[");
    for (size_t i = 0; e == OK && i < n; i++) {
        const char *code;
        e = accept_one(rq, w, (struct pupil_id){pupils[i]}, &code);
        if (e == OK && code == NULL) {
            buf_str(b, accepted++ > 0 ? "," : "");
            view_id(b, pupils[i]);
        } else if (e == OK) {
            buf_str(&no, refused++ > 0 ? ",{\"pupil\":" : "{\"pupil\":");
            view_id(&no, pupils[i]);
            buf_printf(&no, ",\"code\":\"%s\"}", code);
        }
    }
    buf_str(b, "],\"refused\":[");
    buf_bytes(b, no.data != NULL ? no.data : "", no.len);
    buf_str(b, "]}");
    return e;
}

/* Those named, each of the class today. */
static enum err named_to_share(struct request *rq, struct class_id cls, int64_t **out, size_t *n)
{
    *out = mem_array(rq->mem, int64_t, PUPILS_AT_ONCE);
    enum err e = read_pupils(rq, *out, n);
    for (size_t i = 0; e == OK && i < *n; i++) {
        bool in = false;
        e = pupil_in_class(rq->store, (struct pupil_id){(*out)[i]}, cls, clock_day(rq->now), &in);
        e = e == OK && !in ? ERR_NOT_FOUND : e;
    }
    return e;
}

/* Whose assessments are shared: those named, or everybody in the class today. */
static enum err pupils_to_share(struct request *rq, struct class_id cls, int64_t **out, size_t *n)
{
    int32_t today = clock_day(rq->now);
    struct pupil_row *rows;
    size_t count;
    if (json_object_get(rq->json, "pupils") != NULL) {
        return named_to_share(rq, cls, out, n);
    }
    const struct pupils_query want = {.in = cls, .day = today, .now = rq->now};
    enum err e = pupils_of_class(rq->store, rq->mem, &want, &rows, &count);
    *out = mem_array(rq->mem, int64_t, e == OK ? count : 0);
    for (*n = 0; e == OK && *n < count; (*n)++) {
        (*out)[*n] = rows[*n].id.v;
    }
    return e;
}

enum err h_unit_share_post(struct request *rq, struct reply *rp)
{
    static const char *const members[] = {"class", "pupils", NULL};
    int64_t *pupils = NULL;
    struct second_blind_list blind = {0};
    struct class_id cls;
    size_t n = 0;
    int shared = 0, left = 0;
    enum err e = known_members(rq, members) ? read_id(rq, "class", &cls.v) : ERR_BAD_INPUT;
    if (e == OK && (rights_on_class(rq, cls.v) & (ALLOW_TEACH | ALLOW_PE_LEAD)) == 0) {
        e = ERR_NOT_FOUND;
    }
    if (e == OK) {
        e = pupils_to_share(rq, cls, &pupils, &n);
    }
    if (e == OK) {
        e = second_blind_load(rq, &blind);
    }
    for (size_t i = 0; e == OK && i < n; i++) {
        bool changed = false;
        if (second_view_hides(&blind, unit_of(rq), (struct pupil_id){pupils[i]})) {
            left++;
            continue;           /* not this person's to share before the second view is given */
        }
        e = assessment_share(rq->store, unit_of(rq), (struct pupil_id){pupils[i]}, rq->now,
                             &changed);
        shared += changed;
    }
    if (e == OK && shared > 0) {        /* who let it out stands nowhere else */
        e = people_audit(rq, "assessments shared", "class", cls.v, "");
    }
    if (e == OK) {
        buf_printf(reply_json_buf(rq, rp, 200), "{\"shared\":%d,\"left\":%d}", shared, left);
    }
    return e;
}
