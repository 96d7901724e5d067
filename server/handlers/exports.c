/* SPDX-License-Identifier: MIT
 * Exports over HTTP. Each is answered after its audit row is on the disk. A class is always named:
 * nobody takes the whole school in one file by leaving ?class= out.
 *
 * The copy of one child's data (pupil.json) gives each asker what that person may see: staff with
 * results get results, the office gets identity, classes and cards; messages are in neither. Of
 * what a teacher decided or saw every row that is held is in it, also what was changed or taken
 * back since. */
#include "auth/scope.h"
#include "base/clock.h"
#include "handlers/export_rows.h"
#include "handlers/handlers.h"
#include "record_internal.h"
#include "second_internal.h"
#include "store/cards.h"
#include "store/reports.h"
#include "store/starting_versions.h"

static enum err read_class(struct request *rq, struct export_ask *ask)
{
    *ask = (struct export_ask){.today = clock_day(rq->now), .now = rq->now};
    enum err e = request_query_id(rq, "class", &ask->cls.v);
    if (e == OK && ask->cls.v == 0) {
        return request_blame(rq, "/class", "required", NULL);
    }
    return e;
}

enum err h_export_results_get(struct request *rq, struct reply *rp)
{
    struct export_ask ask;
    enum err e = read_class(rq, &ask);
    if (e == OK) {
        e = record_note(rq, "results exported", "class", ask.cls.v);
    }
    return e == OK ? export_results_csv(rq->store, &ask, reply_csv(rq, rp, "results.csv")) : e;
}

enum err h_export_roster_get(struct request *rq, struct reply *rp)
{
    struct export_ask ask;
    enum err e = read_class(rq, &ask);
    if (e == OK) {
        e = record_note(rq, "roster exported", "class", ask.cls.v);
    }
    return e == OK ? export_roster_csv(rq->store, &ask, reply_csv(rq, rp, "roster.csv")) : e;
}

static enum err cards(struct request *rq, struct buf *b, struct pupil_id id)
{
    struct card_list_row *rows = NULL;
    size_t n = 0;
    enum err e = cards_of_pupil(rq->store, rq->mem, id, rq->now, &rows, &n);
    buf_str(b, ",\"cards\":[");
    for (size_t i = 0; e == OK && i < n; i++) {
        buf_str(b, i > 0 ? ",{\"id\":" : "{\"id\":");
        view_id(b, rows[i].id.v);
        buf_printf(b, ",\"for\":\"%s\",\"label\":", card_holder_word(rows[i].holder));
        json_txt(b, rows[i].label);
        buf_str(b, ",\"made_on\":");
        view_day(b, rows[i].made_day);
        buf_str(b, ",\"last_used_on\":");
        if (rows[i].last_used_day != 0) {
            view_day(b, rows[i].last_used_day);
        } else {
            buf_str(b, "null");
        }
        buf_str(b, rows[i].live ? ",\"live\":true}" : ",\"live\":false}");
    }
    buf_str(b, "]");
    return e;
}

static enum err taking_part(struct request *rq, struct buf *b, struct pupil_id id)
{
    struct taking_part_list list;
    enum err e = taking_part_of_pupil(rq->store, rq->mem, id, &list);
    buf_str(b, ",\"taking_part\":[");
    for (size_t i = 0; e == OK && i < list.n; i++) {
        buf_str(b, i > 0 ? ",{\"unit\":" : "{\"unit\":");
        view_id(b, list.v[i].unit.v);
        buf_printf(b, ",\"band\":%d,\"on\":", list.v[i].band);
        view_day(b, list.v[i].on_day);
        buf_str(b, "}");
    }
    buf_str(b, "]");
    return e;
}

static enum err starting(struct request *rq, struct buf *b, struct pupil_id id)
{
    struct starting_version_list list;
    enum err e = starting_versions_of_pupil(rq->store, rq->mem, id, &list);
    buf_str(b, ",\"starting_versions\":[");
    for (size_t i = 0; e == OK && i < list.n; i++) {
        buf_printf(b, "%s{\"challenge\":%d,\"version\":\"%s\"}", i > 0 ? "," : "",
                   list.v[i].challenge_number, version_kind_word(list.v[i].kind));
    }
    buf_str(b, "]");
    return e;
}

/* Drafts are shown to those who may write them. */
static enum err reports(struct request *rq, struct buf *b, struct pupil_id id)
{
    struct report_list list;
    if ((rights_on_pupil(rq, id.v) & (ALLOW_TEACH | ALLOW_READ)) == 0) {
        return OK;
    }
    enum err e = reports_of_pupil(rq->store, rq->mem, id, &list);
    buf_str(b, ",\"report_drafts\":[");
    for (size_t i = 0; e == OK && i < list.n; i++) {
        buf_str(b, i > 0 ? ",{\"unit\":" : "{\"unit\":");
        json_txt(b, list.v[i].unit_name);
        buf_str(b, ",\"text\":");
        json_txt(b, list.v[i].text);
        buf_str(b, ",\"written_on\":");
        view_day(b, list.v[i].on_day);
        buf_str(b, "}");
    }
    buf_str(b, "]");
    return e;
}

static void band_or_null(struct buf *b, const char *name, int band)
{
    if (band >= 0) {
        buf_printf(b, ",\"%s\":%d", name, band);
    } else {
        buf_printf(b, ",\"%s\":null", name);
    }
}

static void day_or_null(struct buf *b, const char *name, bool known, int32_t day)
{
    buf_printf(b, ",\"%s\":", name);
    if (known) {
        view_day(b, day);
    } else {
        buf_str(b, "null");
    }
}

/* Colleagues' second views; those of a unit in which the asker still owes one are kept back, and
 * the copy says so. */
static enum err second_views(struct request *rq, struct buf *b, struct pupil_id id)
{
    struct second_view_list list;
    struct second_blind_list blind;
    bool first = true;
    enum err e = second_views_of_pupil(rq->store, rq->mem, id, &list);
    if (e == OK) {
        e = second_blind_load(rq, &blind);
    }
    buf_str(b, ",\"second_views\":[");
    for (size_t i = 0; e == OK && i < list.n; i++) {
        const struct second_view *v = &list.v[i];
        if (second_view_hides(&blind, v->unit, v->pupil)) {
            continue;
        }
        buf_str(b, first ? "{\"unit\":" : ",{\"unit\":");
        first = false;
        json_txt(b, v->unit_name);
        buf_str(b, ",\"asked_on\":");
        view_day(b, v->asked_day);
        band_or_null(b, "band", v->band);
        day_or_null(b, "given_on", v->band >= 0, v->given_day);
        band_or_null(b, "first", v->first_band);
        band_or_null(b, "agreed", v->agreed_band);
        day_or_null(b, "agreed_on", v->agreed_band >= 0, v->agreed_day);
        buf_str(b, "}");
    }
    buf_str(b, "]");
    return e == OK ? second_view_member(rq, b, id) : e;
}

static enum err results(struct request *rq, struct buf *b, struct pupil_id id)
{
    struct hand_in_list all;
    struct assessment_list ever;
    enum err e = hand_ins_of_pupil(rq->store, rq->mem, id, 0, &all);
    if (e == OK) {
        e = record_hand_ins(rq, b, &all);
    }
    if (e == OK) {
        e = assessments_ever_of_pupil(rq->store, rq->mem, id, &ever);
    }
    if (e == OK) {
        e = second_view_filter(rq, &ever);
    }
    if (e == OK) {
        record_assessments(b, &ever);
        e = record_lessons(rq, b, id, true);
    }
    if (e == OK) {
        e = taking_part(rq, b, id);
    }
    if (e == OK) {
        e = starting(rq, b, id);
    }
    if (e == OK) {
        e = reports(rq, b, id);
    }
    return e == OK ? second_views(rq, b, id) : e;
}

enum err h_export_pupil_get(struct request *rq, struct reply *rp)
{
    struct pupil_id id = {0};
    enum err e = request_query_id(rq, "pupil", &id.v);
    if (e != OK) {
        return e;
    }
    unsigned rights = rights_on_pupil(rq, id.v);
    struct buf *b = reply_json_buf(rq, rp, 200);
    rp->disposition = "attachment; filename=\"pupil.json\"";
    buf_str(b, "{");
    e = record_pupil(rq, b, id);
    if (e == OK && (rights & ALLOW_OFFICE) != 0) {
        e = cards(rq, b, id);
    }
    if (e == OK && (rights & (ALLOW_TEACH | ALLOW_PE_LEAD)) != 0) {
        e = results(rq, b, id);
    }
    buf_str(b, "}");
    return e == OK ? record_note(rq, "data copied", "pupil", id.v) : e;
}
