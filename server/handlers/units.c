/* SPDX-License-Identifier: MIT
 * Units of work. What a change does not name stays as it was; lessons, when named, are replaced
 * whole. */
#include "handlers/activity_view.h"
#include "handlers/handlers.h"
#include "plan_internal.h"

#include <string.h>

#include "base/mem.h"
#include "base/text.h"

static void read_lesson_activities(struct reader *r, struct unit_lesson *l)
{
    const json_t *list = reader_list(r, "activities", LESSON_ACTIVITIES);
    l->activity_count = json_array_size(list);
    l->activities = mem_array(r->rq->mem, struct activity_id, l->activity_count);
    for (size_t i = 0; i < l->activity_count; i++) {
        const char *s = json_string_value(json_array_get(list, i));
        bool archived;
        const char *key = mem_printf(r->rq->mem, "activities/%zu", i);
        if (!s || !text_id(s, &l->activities[i].v)) {
            reader_blame(r, key, "not_an_id");
        } else if (activity_is_archived(r->rq->store, l->activities[i], &archived) != OK) {
            reader_blame(r, key, "not_found");
        }
    }
}

void plan_read_name(struct reader *r, const char **out)
{
    reader_text(r, "name", out);
    size_t n = *out ? strlen(*out) : 0;
    if (r->err == OK && n == 0) {
        reader_blame(r, "name", "required");
    } else if (r->err == OK && !text_ok(*out, n, 1, 80)) {
        reader_blame(r, "name", text_ok(*out, n, 0, n) ? "too_long" : "not_text");
    }
}

static void read_lessons(struct reader *r, struct unit *u)
{
    static const char *const names[] = {"id", "name", "activities", NULL};
    if (!reader_has(r, "lessons")) {
        return;
    }
    const json_t *list = reader_list(r, "lessons", UNIT_LESSONS);
    u->lesson_count = json_array_size(list);
    u->lessons = mem_array(r->rq->mem, struct unit_lesson, u->lesson_count);
    for (size_t i = 0; i < u->lesson_count; i++) {
        struct reader item = reader_item(r, "lessons", list, i);
        reader_known(&item, names);
        plan_read_name(&item, &u->lessons[i].name);
        read_lesson_activities(&item, &u->lessons[i]);
        reader_join(r, &item);
    }
}

void unit_read_head(struct reader *r, struct unit *u)
{
    int statistic = (int)u->statistic, policy = (int)u->policy, pooling = (int)u->pooling;
    plan_read_name(r, &u->name);
    reader_word(r, "statistic", unit_statistic_of, &statistic);
    reader_word(r, "policy", unit_policy_of, &policy);
    reader_word(r, "pooling", unit_pooling_of, &pooling);
    u->statistic = (enum unit_statistic)statistic;
    u->policy = (enum unit_policy)policy;
    u->pooling = (enum unit_pooling)pooling;
}

static enum err read_unit(struct request *rq, struct unit *u)
{
    static const char *const names[] = {"id", "name", "statistic", "policy", "pooling", "lessons",
                                        "archived", NULL};
    struct reader r = reader_body(rq);
    reader_known(&r, names);
    unit_read_head(&r, u);
    reader_bool(&r, "archived", &u->archived);
    read_lessons(&r, u);
    return r.err;
}

static enum err answer(struct request *rq, struct reply *rp, int status, struct unit_id id)
{
    struct unit u;
    enum err e = unit_get(rq->mem, rq->store, id, &u);
    if (e == OK) {
        struct buf *b = reply_json_buf(rq, rp, status);
        buf_str(b, "{\"unit\":");
        view_unit(b, &u);
        buf_str(b, "}");
    }
    return e;
}

enum err h_units_get(struct request *rq, struct reply *rp)
{
    struct unit *units = NULL;
    size_t n = 0;
    enum err e = units_list(rq->mem, rq->store, &units, &n);
    if (e != OK) {
        return e;
    }
    struct buf *b = reply_json_buf(rq, rp, 200);
    buf_str(b, "{\"units\":[");
    for (size_t i = 0; i < n; i++) {
        buf_str(b, i > 0 ? "," : "");
        view_unit(b, &units[i]);
    }
    buf_str(b, "]}");
    return OK;
}

enum err h_units_post(struct request *rq, struct reply *rp)
{
    struct unit draft = {.statistic = UNIT_MIDDLE, .policy = UNIT_MAJORITY,
                         .pooling = UNIT_POOL_ALL};
    struct unit_id id = {0};
    enum err e = read_unit(rq, &draft);
    if (e == OK && draft.archived) {
        e = request_blame(rq, "/archived", "not_a_choice", NULL);
    }
    if (e == OK) {
        e = unit_create(rq->store, &draft, rq->now, &id);
    }
    return e == OK ? answer(rq, rp, 201, id) : e;
}

enum err h_unit_put(struct request *rq, struct reply *rp)
{
    struct unit_id id = {rq->args[0].id};
    struct unit draft;
    enum err e = unit_get(rq->mem, rq->store, id, &draft);
    if (e == OK) {
        e = read_unit(rq, &draft);
    }
    if (e == OK) {
        e = unit_update(rq->store, id, &draft, rq->now);
    }
    return e == OK ? answer(rq, rp, 200, id) : e;
}
