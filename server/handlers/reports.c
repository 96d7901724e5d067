/* SPDX-License-Identifier: MIT
 * Drafts of report sentences. Who teaches or reads the class writes them; nobody else sees one, the
 * lead and the office neither. They are kept until the class's reports are done.
 *
 * A draft is written over what its writer saw: over anything else it is refused, so that of two who
 * write about one child the second is told. What is offered to begin with is put together on the
 * page from the facts given here, and from nothing else: an assessment is one of them only once
 * families may see it, so that no sentence, sheet or file says what was not shared. */
#include <string.h>

#include "auth/scope.h"
#include "base/clock.h"
#include "base/mem.h"
#include "handlers/handlers.h"
#include "people_internal.h"
#include "record_internal.h"
#include "second_internal.h"
#include "store/reports.h"
#include "store/results.h"
#include "store/units.h"

static enum err read_ask(struct request *rq, int64_t unit, struct report_class *k)
{
    struct unit u;
    *k = (struct report_class){.unit = {unit}, .today = clock_day(rq->now)};
    enum err e = request_query_id(rq, "class", &k->cls.v);
    if (e == OK && !k->cls.v) {
        e = request_blame(rq, "/class", "required", NULL);
    }
    return e == OK ? unit_get(rq->mem, rq->store, k->unit, &u) : e;
}

/* Facts ---------------------------------------------------------------------------------------- */

static const struct results_cue *cue_of(const struct results *r, const struct seen_row *seen)
{
    for (size_t i = 0; i < r->cue_count; i++) {
        if (r->cues[i].id == seen->cue) {
            return &r->cues[i];
        }
    }
    return NULL;
}

static void add_once(json_t **list, const char *text)
{
    size_t i;
    json_t *v;
    json_array_foreach(*list, i, v) {
        if (strcmp(json_string_value(v), text) == 0) {
            return;
        }
    }
    json_add(list, json_string(text));
}

/* Teaching points seen, or looked for and not seen: in the order of the unit's points. */
static json_t *points_json(const struct results *r, const struct results_row *row, bool seen)
{
    json_t *list = json_array();
    for (size_t c = 0; c < r->cue_count; c++) {
        for (size_t i = 0; row != NULL && i < row->seen_count; i++) {
            if (row->seen[i].seen == seen && cue_of(r, &row->seen[i]) == &r->cues[c]) {
                add_once(&list, r->cues[c].text);
            }
        }
    }
    return list;
}

/* The word of the band is in the answer only where families may see it. */
static json_t *assessment_json(const struct assessment *a, bool hidden)
{
    const bool shared = !hidden && a != NULL && a->shared_at != 0;
    const char *state = hidden      ? "second_view_open"
                        : a == NULL ? "none"
                        : shared    ? "shared"
                                    : "not_shared";
    json_t *o = json_object();
    json_put(&o, "state", json_string(state));
    json_put(&o, "word", shared ? json_string(a->word) : json_null());
    return o;
}

static json_t *facts_json(const struct results *r, const struct results_row *row, bool hidden)
{
    const struct fraction answers = row != NULL ? row->right_of_answered : (struct fraction){0};
    json_t *o = json_object();
    json_put(&o, "assessment", assessment_json(row != NULL ? row->assessment : NULL, hidden));
    json_put(&o, "seen", points_json(r, row, true));
    json_put(&o, "not_seen", points_json(r, row, false));
    json_put(&o, "questions_right", json_integer(answers.k));
    json_put(&o, "questions_answered", json_integer(answers.of));
    return o;
}

static const struct results_row *row_of(const struct results *r, struct pupil_id pupil)
{
    for (size_t i = 0; i < r->row_count; i++) {
        if (r->rows[i].pupil.id.v == pupil.v) {
            return &r->rows[i];
        }
    }
    return NULL;
}

/* Drafts --------------------------------------------------------------------------------------- */

/* What a writer says it saw: another text, another version; none where there is no draft. */
static json_t *version_json(struct request *rq, const char *text)
{
    return text != NULL && *text ? json_string(reply_change_tag(rq, text)) : json_null();
}

static json_t *draft_json(struct request *rq, const struct report *r)
{
    json_t *row = json_object();
    json_put(&row, "pupil", json_id(r->pupil.v));
    json_put(&row, "display_name", json_string(r->display_name));
    json_put(&row, "text", json_string(r->text ? r->text : ""));
    json_put(&row, "version", version_json(rq, r->text));
    json_put(&row, "written_on", json_day_or_null(r->text != NULL, r->on_day));
    json_put(&row, "written_by", r->text != NULL ? json_string(r->by_name) : json_null());
    json_put(&row, "by_you", json_boolean(r->text != NULL && r->by.v == rq->who.staff.v));
    return row;
}

static json_t *class_json(struct request *rq, const struct results *r,
                          const struct report_list *list, const struct second_blind_list *blind)
{
    json_t *o = json_object(), *unit = json_object(), *rows = json_array();
    json_t *words = json_array(), *points = json_array();
    json_put(&unit, "id", json_id(r->unit.id.v));
    json_put(&unit, "name", json_string(r->unit.name));
    for (size_t i = 0; i < r->words.n; i++) {
        json_add(&words, json_string(r->words.word[i]));
    }
    for (size_t i = 0; i < r->cue_count; i++) {
        add_once(&points, r->cues[i].text);
    }
    for (size_t i = 0; i < list->n; i++) {
        const struct pupil_id pupil = list->v[i].pupil;
        const bool hidden = second_view_hides(blind, r->unit.id, pupil);
        json_t *row = draft_json(rq, &list->v[i]);
        json_put(&row, "facts", facts_json(r, row_of(r, pupil), hidden));
        json_add(&rows, row);
    }
    json_put(&o, "unit", unit);
    json_put(&o, "band_words", words);
    json_put(&o, "points", points);
    json_put(&o, "rows", rows);
    return o;
}

enum err h_unit_reports_get(struct request *rq, struct reply *rp)
{
    struct report_class k;
    struct report_list list = {0};
    struct second_blind_list blind;
    struct results r;
    enum err e = read_ask(rq, rq->args[0].id, &k);
    if (e == OK) {
        e = reports_of_class(rq->store, rq->mem, &k, &list);
    }
    if (e == OK) {
        const struct results_ask ask = {.of = {k.unit, k.cls, k.today}, .now = rq->now};
        e = results_load(rq->store, rq->mem, &ask, &r);
    }
    if (e == OK) {
        e = second_blind_load(rq, &blind);
    }
    return e == OK ? reply_json(rq, rp, 200, class_json(rq, &r, &list, &blind)) : e;
}

/* The version that the writer saw; *out stays NULL where there was none. */
static enum err read_version(struct request *rq, const char **out)
{
    json_t *v = json_object_get(rq->json, "version");
    if (v == NULL || json_is_null(v)) {
        return OK;
    }
    *out = json_string_value(v);
    return *out != NULL ? OK : request_blame(rq, "/version", "type", NULL);
}

/* May this text go over what is there? A repeat always may: its answer was lost on the way. */
static enum err may_replace(struct request *rq, const struct report *now, const char *seen,
                            const char *text)
{
    const char *was = now->text != NULL ? now->text : "";
    const char *version = *was ? reply_change_tag(rq, was) : "";
    if (strcmp(was, text) == 0 || strcmp(version, seen != NULL ? seen : "") == 0) {
        return OK;
    }
    enum err e = request_blame(rq, "/version", "changed", NULL);
    return e == ERR_BAD_INPUT ? ERR_CONFLICT : e;
}

/* A repeat stays as it was written, and by whom. */
static enum err put_changed(struct request *rq, const struct report *r, const char *seen)
{
    struct report now;
    enum err e = report_get(rq->store, rq->mem, r->unit, r->pupil, &now);
    if (e == OK) {
        e = may_replace(rq, &now, seen, r->text);
    }
    const bool same = e == OK && strcmp(now.text != NULL ? now.text : "", r->text) == 0;
    return e == OK && !same ? report_put(rq->store, r) : e;
}

enum err h_unit_report_put(struct request *rq, struct reply *rp)
{
    static const char *const members[] = {"text", "version", NULL};
    struct report r = {
        .unit = {rq->args[0].id}, .pupil = {rq->args[1].id}, .by = rq->who.staff,
        .on_day = clock_day(rq->now),
    };
    struct prose_field prose = {0};
    const char *seen = NULL;
    enum err e = field_known(rq, rq->json, "", members);
    if (e == OK) {
        e = field_prose(rq, json_object_get(rq->json, "text"), "/text", REPORT_TEXT_MAX, &prose);
    }
    if (e == OK) {
        e = read_version(rq, &seen);
    }
    if (e == OK) {
        r.text = prose.text;
        e = put_changed(rq, &r, seen);
    }
    if (e != OK) {
        return e;
    }
    json_t *o = json_object();
    json_put(&o, "text", json_string(r.text));
    json_put(&o, "version", version_json(rq, r.text));
    json_put(&o, "signs_left_out", json_boolean(prose.lost));
    return reply_json(rq, rp, 200, o);
}

enum err h_unit_reports_done_post(struct request *rq, struct reply *rp)
{
    static const char *const members[] = {NULL};
    struct report_class k;
    int64_t gone = 0;
    enum err e = field_known(rq, rq->json, "", members);
    if (e == OK) {
        e = read_ask(rq, rq->args[0].id, &k);
    }
    if (e == OK) {
        e = reports_done(rq->store, &k, &gone);
    }
    if (e == OK) {
        e = record_note(rq, "reports done", "class", k.cls.v);
    }
    if (e != OK) {
        return e;
    }
    json_t *o = json_object();
    json_put(&o, "deleted", json_integer(gone));
    return reply_json(rq, rp, 200, o);
}

enum err h_export_reports_get(struct request *rq, struct reply *rp)
{
    struct report_class k;
    struct report_list list = {0};
    int64_t unit = 0;
    enum err e = request_query_id(rq, "unit", &unit);
    if (e == OK && !unit) {
        e = request_blame(rq, "/unit", "required", NULL);
    }
    if (e == OK) {
        e = read_ask(rq, unit, &k);
    }
    if (e == OK) {
        e = reports_of_class(rq->store, rq->mem, &k, &list);
    }
    if (e == OK) {
        e = record_note(rq, "reports exported", "class", k.cls.v);
    }
    if (e != OK) {
        return e;
    }
    struct buf *b = reply_csv(rq, rp, "reports.csv");
    buf_str(b, "\"pupil\",\"report\"\r\n");
    for (size_t i = 0; i < list.n; i++) {
        csv_cell(b, list.v[i].display_name);
        buf_str(b, ",");
        csv_cell(b, list.v[i].text ? list.v[i].text : "");
        buf_str(b, "\r\n");
    }
    return OK;
}
