/* SPDX-License-Identifier: MIT
 * Statements and their ticks. The list is the school's and kept by the PE lead, and a change of
 * it leaves an audit row; a tick is the class teacher's. Words that a child was ticked against
 * stay. */
#include "auth/scope.h"
#include "base/clock.h"
#include "handlers/hand_in_view.h"
#include "handlers/handlers.h"
#include "people_internal.h"
#include "results_internal.h"
#include "store/pupils.h"
#include "store/statements.h"

enum { YEARS_AT_SCHOOL = 8 };           /* Reception to year 7: nothing was seen before that */

static void view_statement(struct buf *b, const struct statement *s)
{
    buf_str(b, "{\"id\":");
    view_id(b, s->id);
    buf_printf(b, ",\"area\":\"%s\",\"text\":", s->area);
    json_txt(b, s->text);
    buf_str(b, s->archived ? ",\"archived\":true}" : ",\"archived\":false}");
}

/* The ticks of one pupil. */
static void view_ticks(struct buf *b, const struct statement_tick_list *l, int64_t pupil)
{
    bool first = true;
    for (size_t i = 0; i < l->n; i++) {
        const struct statement_tick *t = &l->v[i];
        if (t->pupil.v != pupil) {
            continue;
        }
        buf_str(b, first ? "" : ",");
        view_id(b, t->statement);
        buf_str(b, t->met ? ":{\"met\":true,\"on\":" : ":{\"met\":false,\"on\":");
        view_day(b, t->on_day);
        buf_str(b, ",\"by\":");
        json_txt(b, t->by_name);
        buf_str(b, "}");
        first = false;
    }
}

static enum err view_class(struct request *rq, struct buf *b, struct class_id cls)
{
    struct statement_tick_list ticks;
    struct pupil_row *rows;
    size_t n;
    int32_t today = clock_day(rq->now);
    const struct pupils_query want = {.in = cls, .day = today, .now = rq->now};
    enum err e = pupils_of_class(rq->store, rq->mem, &want, &rows, &n);
    if (e == OK) {
        e = statement_ticks_of_class(rq->store, rq->mem, cls, today, &ticks);
    }
    for (size_t i = 0; e == OK && i < n; i++) {
        buf_str(b, i > 0 ? ",{\"pupil\":" : "{\"pupil\":");
        view_results_pupil(b, &rows[i]);
        buf_str(b, ",\"ticks\":{");
        view_ticks(b, &ticks, rows[i].id.v);
        buf_str(b, "}}");
    }
    return e;
}

/* With ?class= what is in use and the class's ticks; without it, for the PE lead, all of them. */
enum err h_statements_get(struct request *rq, struct reply *rp)
{
    struct statement_list list;
    int64_t cls;
    enum err e = request_query_id(rq, "class", &cls);
    if (e == OK) {
        e = statements_list(rq->store, rq->mem, cls == 0, &list);
    }
    if (e != OK) {
        return e;
    }
    struct buf *b = reply_json_buf(rq, rp, 200);
    buf_str(b, "{\"statements\":[");
    for (size_t i = 0; i < list.n; i++) {
        buf_str(b, i > 0 ? "," : "");
        view_statement(b, &list.v[i]);
    }
    buf_str(b, "],\"rows\":[");
    if (cls != 0) {
        e = view_class(rq, b, (struct class_id){cls});
    }
    buf_str(b, "]}");
    return e;
}

static enum err answer_statement(struct request *rq, struct reply *rp, int status, int64_t id)
{
    struct statement s;
    enum err e = statement_get(rq->store, rq->mem, id, &s);
    if (e == OK) {
        struct buf *b = reply_json_buf(rq, rp, status);
        buf_str(b, "{\"statement\":");
        view_statement(b, &s);
        buf_str(b, "}");
    }
    return e;
}

enum err h_statements_post(struct request *rq, struct reply *rp)
{
    static const char *const members[] = {"area", "text", NULL};
    const char *area, *text;
    int64_t id = 0;
    enum err e = field_known(rq, rq->json, "", members);
    if (e == OK) {
        e = field_word(rq, json_object_get(rq->json, "area"), "/area", statement_area_words,
                       &area);
    }
    if (e == OK) {
        e = field_name(rq, json_object_get(rq->json, "text"), "/text", STATEMENT_TEXT, &text);
    }
    if (e == OK) {
        e = statement_add(rq->store, area, text, &id);
        e = e == ERR_CONFLICT ? request_blame(rq, "/text", "forty_statements", NULL) : e;
    }
    if (e == OK) {
        e = people_audit(rq, "statement added", "statement", id, "");
    }
    return e == OK ? answer_statement(rq, rp, 201, id) : e;
}

static enum err put_text(struct request *rq, int64_t id, json_t *v)
{
    const char *text;
    enum err e = field_name(rq, v, "/text", STATEMENT_TEXT, &text);
    if (e == OK) {
        e = statement_reword(rq->store, id, text);
        e = e == ERR_CONFLICT ? request_blame(rq, "/text", "ticked", NULL) : e;
    }
    return e == OK ? people_audit(rq, "statement reworded", "statement", id, "") : e;
}

static enum err put_archived(struct request *rq, int64_t id, json_t *v)
{
    bool archived;
    enum err e = field_bool(rq, v, "/archived", &archived);
    if (e == OK) {
        e = statement_archive(rq->store, id, archived ? rq->now : 0);
        e = e == ERR_CONFLICT ? request_blame(rq, "/archived", "forty_statements", NULL) : e;
    }
    if (e == OK) {
        e = people_audit(rq, archived ? "statement archived" : "statement brought back",
                         "statement", id, "");
    }
    return e;
}

enum err h_statement_put(struct request *rq, struct reply *rp)
{
    static const char *const members[] = {"text", "archived", NULL};
    struct statement s;
    int64_t id = rq->args[0].id;
    json_t *text = json_object_get(rq->json, "text");
    json_t *archived = json_object_get(rq->json, "archived");
    enum err e = statement_get(rq->store, rq->mem, id, &s);
    if (e == OK) {
        e = field_known(rq, rq->json, "", members);
    }
    if (e == OK && text != NULL) {
        e = put_text(rq, id, text);
    }
    if (e == OK && archived != NULL) {
        e = put_archived(rq, id, archived);
    }
    return e == OK ? answer_statement(rq, rp, 200, id) : e;
}

static enum err read_on(struct request *rq, int32_t *day)
{
    json_t *v = json_object_get(rq->json, "on");
    int32_t today = clock_day(rq->now);
    *day = today;
    if (v == NULL) {
        return OK;
    }
    const char *code = NULL;
    if (!json_is_string(v) || !clock_day_parse(json_string_value(v), day)) {
        code = json_is_string(v) ? "not_a_day" : "type";
    } else if (*day > today) {
        code = "in_future";
    } else if (*day < today - 366 * YEARS_AT_SCHOOL) {
        code = "too_old";
    }
    return code == NULL ? OK : request_blame(rq, "/on", code, NULL);
}

enum err h_pupil_statement_put(struct request *rq, struct reply *rp)
{
    static const char *const members[] = {"met", "on", NULL};
    struct statement_tick t = {
        .pupil = {rq->args[0].id}, .statement = rq->args[1].id, .by = rq->who.staff,
    };
    json_t *met = json_object_get(rq->json, "met");
    enum err e = field_known(rq, rq->json, "", members);
    if (e == OK && !json_is_boolean(met) && !json_is_null(met)) {
        e = request_blame(rq, "/met", met == NULL ? "required" : "type", NULL);
    }
    if (e == OK) {
        e = read_on(rq, &t.on_day);
    }
    if (e == OK) {
        t.met = json_is_true(met);
        t.taken_back = json_is_null(met);
        e = statement_tick_add(rq->store, &t);
    }
    if (e == OK) {
        reply_no_content(rp);
    }
    return e;
}
