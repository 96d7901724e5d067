/* SPDX-License-Identifier: MIT
 * A class list from the browser: looked at (dry_run) or stored.
 *
 * The answer tells the same thing both times, line by line, so that what was looked at is what is
 * stored. Nothing is stored while a row is refused, unless the request says partial=1. The file
 * itself is never kept. */
#include "handlers/handlers.h"

#include <string.h>

#include "base/clock.h"
#include "people_internal.h"
#include "store/roster.h"

static bool query_is_set(struct request *rq, const char *name)
{
    const char *v = request_query(rq, name);
    return v && strcmp(v, "1") == 0;
}

static enum err blame_line(struct request *rq, const char *pointer, const char *code, int line)
{
    json_t *more = line > 0 ? json_pack("{s:i}", "line", line) : NULL;
    return request_blame(rq, pointer, code, more);
}

/* Showing -------------------------------------------------------------------------------------- */

static void columns_json(const struct roster *r, json_t **columns, json_t **dropped)
{
    *columns = json_array();
    *dropped = json_array();
    for (size_t i = 0; i < r->column_count; i++) {
        const char *word = roster_use_word(r->columns[i].use);
        json_t *o = json_object();
        json_put(&o, "header", json_string(r->columns[i].header));
        json_put(&o, "used_as", word ? json_string(word) : json_null());
        json_add(columns, o);
        if (!word) {
            json_add(dropped, json_string(r->columns[i].header));
        }
    }
}

static json_t *refused_json(const struct roster *r)
{
    json_t *list = json_array();
    for (size_t i = 0; i < r->row_count; i++) {
        const struct roster_row *row = &r->rows[i];
        if (row->refused) {
            json_t *o = json_object();
            json_put(&o, "line", json_integer(row->line));
            json_put(&o, "code", json_string(row->refused));
            json_put(&o, "pointer", json_string(row->pointer));
            json_add(&list, o);
        }
    }
    return list;
}

static json_t *odd_json(const struct roster *r)
{
    json_t *list = json_array();
    for (size_t i = 0; i < r->odd_count; i++) {
        json_t *o = json_object();
        json_put(&o, "line", json_integer(r->odd[i].line));
        json_put(&o, "code", json_string(r->odd[i].code));
        if (r->odd[i].text) {
            json_put(&o, "text", json_string(r->odd[i].text));
        }
        json_add(&list, o);
    }
    return list;
}

static json_t *pupils_json(const struct roster *r)
{
    json_t *list = json_array();
    for (size_t i = 0; i < r->row_count; i++) {
        const struct roster_row *row = &r->rows[i];
        if (!row->refused) {
            json_t *o = json_object();
            json_put(&o, "line", json_integer(row->line));
            json_put(&o, "display_name", json_string(row->name));
            json_put(&o, "year_group",
                     row->year_group < 0 ? json_null() : json_integer(row->year_group));
            json_add(&list, o);
        }
    }
    return list;
}

static enum err reply_report(struct request *rq, struct reply *rp, const struct roster *r,
                             const struct roster_result *done)
{
    json_t *columns, *dropped, *o = json_object();
    size_t added = 0;
    for (size_t i = 0; done && i < done->class_count; i++) {
        added += done->classes[i].added;
    }
    columns_json(r, &columns, &dropped);
    json_put(&o, "columns", columns);
    json_put(&o, "dropped", dropped);
    json_put(&o, "rows", json_integer((json_int_t)r->row_count));
    json_put(&o, "added", json_integer((json_int_t)added));
    json_put(&o, "refused", refused_json(r));
    json_put(&o, "odd", odd_json(r));
    json_put(&o, "pupils", pupils_json(r));
    return reply_json(rq, rp, done ? 201 : 200, o);
}

/* Storing -------------------------------------------------------------------------------------- */

static enum err blame_refused(struct request *rq, const struct roster *r)
{
    enum err e = OK;
    for (size_t i = 0; i < r->row_count; i++) {
        if (r->rows[i].refused) {
            e = blame_line(rq, r->rows[i].pointer, r->rows[i].refused, r->rows[i].line);
        }
    }
    return e;
}

static enum err look(struct request *rq, const struct roster_plan *plan, struct roster *list,
                     struct roster_result *result)
{
    struct roster_fault fault = {.code = "empty"};
    enum err e = roster_parse(rq->mem, rq->body, rq->body_len, list, &fault);
    if (e == ERR_BAD_INPUT) {
        return blame_line(rq, "", fault.code, fault.line);
    }
    if (e == OK) {
        e = roster_judge(rq->store, rq->mem, plan, list, result);
    }
    if (e == ERR_CONFLICT) {        /* a group is filled from classes; the archive is closed */
        e = blame_line(rq, "", "not_a_class", 0) == ERR_BAD_INPUT ? ERR_CONFLICT : ERR_INTERNAL;
    }
    return e;
}

enum err h_class_roster_post(struct request *rq, struct reply *rp)
{
    const struct roster_plan plan = {.into = {rq->args[0].id}, .now = rq->now};
    struct roster list;
    struct roster_result result;
    enum err e = look(rq, &plan, &list, &result);
    if (e != OK) {
        return e;
    }
    if (query_is_set(rq, "dry_run")) {
        return reply_report(rq, rp, &list, NULL);
    }
    if (result.refused > 0 && !query_is_set(rq, "partial")) {
        return blame_refused(rq, &list);
    }
    e = roster_store(rq->store, &plan, &list, &result);
    if (e == OK) {
        e = people_audit(rq, "class list imported", "class", plan.into.v, "");
    }
    return e == OK ? reply_report(rq, rp, &list, &result) : e;
}
