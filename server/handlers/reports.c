/* SPDX-License-Identifier: MIT
 * Drafts of report sentences. Who teaches or reads the class writes them; nobody else sees one, the
 * lead and the office neither. They are kept until the class's reports are done. What is offered to
 * begin with is put together on the page, from what was decided and seen and from nothing else. */
#include "auth/scope.h"
#include "base/clock.h"
#include "base/mem.h"
#include "handlers/handlers.h"
#include "people_internal.h"
#include "record_internal.h"
#include "store/reports.h"
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

enum err h_unit_reports_get(struct request *rq, struct reply *rp)
{
    struct report_class k;
    struct report_list list = {0};
    enum err e = read_ask(rq, rq->args[0].id, &k);
    if (e == OK) {
        e = reports_of_class(rq->store, rq->mem, &k, &list);
    }
    if (e != OK) {
        return e;
    }
    json_t *rows = json_array(), *o = json_object();
    for (size_t i = 0; i < list.n; i++) {
        const struct report *r = &list.v[i];
        json_t *row = json_object();
        json_put(&row, "pupil", json_id(r->pupil.v));
        json_put(&row, "display_name", json_string(r->display_name));
        json_put(&row, "text", json_string(r->text ? r->text : ""));
        json_put(&row, "written_on", json_day_or_null(r->text != NULL, r->on_day));
        json_add(&rows, row);
    }
    json_put(&o, "rows", rows);
    return reply_json(rq, rp, 200, o);
}

enum err h_unit_report_put(struct request *rq, struct reply *rp)
{
    static const char *const members[] = {"text", NULL};
    struct report r = {
        .unit = {rq->args[0].id}, .pupil = {rq->args[1].id}, .by = rq->who.staff,
        .on_day = clock_day(rq->now),
    };
    enum err e = field_known(rq, rq->json, "", members);
    if (e == OK) {
        e = field_line(rq, json_object_get(rq->json, "text"), "/text", REPORT_TEXT_MAX, &r.text);
    }
    if (e == OK) {
        e = report_put(rq->store, &r);
    }
    if (e == OK) {
        reply_no_content(rp);
    }
    return e;
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
