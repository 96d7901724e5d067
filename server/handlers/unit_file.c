/* SPDX-License-Identifier: MIT
 * A unit as one file that schools can share: its name and rules, its lessons, its activities whole.
 * Nothing of a child, a class, a member of staff, a date or an id is in it; lessons name activities
 * by their place in the file. Bringing one in makes all of it or nothing; an activity that the
 * school has already, word for word, is used and not made again.
 * Threat: a file from anywhere. Each activity passes the same checks as one typed by a teacher. */
#include <string.h>

#include "base/mem.h"
#include "base/text.h"
#include "handlers/activity_view.h"
#include "handlers/handlers.h"
#include "people_internal.h"
#include "plan_internal.h"

enum { FILE_KIND = 1, FILE_ACTIVITIES = 60 };

/* What an activity is, without what a server adds ---------------------------------------------- */

static bool is_added(const char *key)
{
    return strcmp(key, "id") == 0 || strcmp(key, "revision") == 0 ||
           strcmp(key, "attainable") == 0;
}

static void strip(json_t *v)
{
    const char *key;
    json_t *item;
    void *next;
    size_t i;
    json_object_foreach_safe(v, next, key, item) {
        if (is_added(key)) {
            json_object_del(v, key);
        } else {
            strip(item);
        }
    }
    json_array_foreach(v, i, item) {
        strip(item);
    }
}

static json_t *plain_json(struct request *rq, const struct activity *a)
{
    struct buf b;
    buf_init(&b, rq->mem);
    view_activity(&b, a, ACTIVITY_FOR_STAFF);
    json_t *v = json_loadb(b.data, b.len, 0, NULL);
    strip(v);
    return v;
}

/* Writing -------------------------------------------------------------------------------------- */

struct places {
    int64_t id[UNIT_LESSONS * LESSON_ACTIVITIES];
    size_t n;
};

static size_t place_of(struct places *p, int64_t id)
{
    size_t i = 0;
    while (i < p->n && p->id[i] != id) {
        i++;
    }
    if (i == p->n) {
        p->id[p->n++] = id;
    }
    return i;
}

static json_t *lessons_json(const struct unit *u, struct places *p)
{
    json_t *list = json_array();
    for (size_t i = 0; i < u->lesson_count; i++) {
        json_t *o = json_object(), *places = json_array();
        for (size_t k = 0; k < u->lessons[i].activity_count; k++) {
            json_add(&places,
                     json_integer((json_int_t)place_of(p, u->lessons[i].activities[k].v)));
        }
        json_put(&o, "name", json_string(u->lessons[i].name));
        json_put(&o, "activities", places);
        json_add(&list, o);
    }
    return list;
}

enum err h_unit_file_get(struct request *rq, struct reply *rp)
{
    struct unit u;
    struct places *p = mem_new(rq->mem, struct places);
    enum err e = unit_get(rq->mem, rq->store, (struct unit_id){rq->args[0].id}, &u);
    if (e != OK) {
        return e;
    }
    json_t *o = json_object(), *unit = json_object(), *activities = json_array();
    json_put(&unit, "name", json_string(u.name));
    json_put(&unit, "statistic", json_string(unit_statistic_word(u.statistic)));
    json_put(&unit, "policy", json_string(unit_policy_word(u.policy)));
    json_put(&unit, "pooling", json_string(unit_pooling_word(u.pooling)));
    json_put(&unit, "lessons", lessons_json(&u, p));
    for (size_t i = 0; e == OK && i < p->n; i++) {
        const struct activity *a = NULL;
        e = activity_load_current(rq->store, (struct activity_id){p->id[i]}, &a);
        if (e == OK) {
            json_add(&activities, plain_json(rq, a));
        }
    }
    json_put(&o, "thrice_unit", json_integer(FILE_KIND));
    json_put(&o, "unit", unit);
    json_put(&o, "activities", activities);
    if (e != OK) {
        json_decref(o);
        return e;
    }
    e = reply_json(rq, rp, 200, o);
    rp->disposition = "attachment; filename=\"unit.json\"";
    return e;
}

/* Reading -------------------------------------------------------------------------------------- */

struct incoming {
    struct unit unit;
    struct activity_input *activity;
    struct activity_id *known;      /* an equal one that the school has; 0: none */
    size_t count;
};

/* An equal one among the school's own that are not archived. */
static enum err find_equal(struct request *rq, const struct activity *draft,
                           const struct activity_line *lines, size_t n, struct activity_id *out)
{
    json_t *want = request_own_json(rq, plain_json(rq, draft));
    for (size_t i = 0; i < n; i++) {
        const struct activity *a = lines[i].activity;
        if (lines[i].archived || strcmp(a->name, draft->name) != 0) {
            continue;
        }
        json_t *have = request_own_json(rq, plain_json(rq, a));
        if (json_equal(want, have)) {
            *out = a->id;
            return OK;
        }
    }
    return OK;
}

static enum err read_activities(struct reader *r, struct incoming *in)
{
    struct activity_line *lines = NULL;
    size_t n = 0;
    const json_t *list = reader_list(r, "activities", FILE_ACTIVITIES);
    enum err e = activity_list(r->rq->mem, r->rq->store, &lines, &n);
    in->count = json_array_size(list);
    in->activity = mem_array(r->rq->mem, struct activity_input, in->count + 1);
    in->known = mem_array(r->rq->mem, struct activity_id, in->count + 1);
    for (size_t i = 0; e == OK && r->err == OK && i < in->count; i++) {
        struct reader item = reader_item(r, "activities", list, i);
        e = item.err == OK ? activity_parse_at(&item, &in->activity[i]) : item.err;
        if (e == OK) {
            e = find_equal(r->rq, &in->activity[i].draft, lines, n, &in->known[i]);
        }
    }
    return e == OK ? r->err : e;
}

static void read_places(struct reader *r, struct incoming *in, struct unit_lesson *l)
{
    const json_t *list = reader_list(r, "activities", LESSON_ACTIVITIES);
    l->activity_count = json_array_size(list);
    l->activities = mem_array(r->rq->mem, struct activity_id, l->activity_count + 1);
    for (size_t i = 0; i < l->activity_count; i++) {
        const json_t *v = json_array_get(list, i);
        const json_int_t at = json_is_integer(v) ? json_integer_value(v) : -1;
        if (at < 0 || (size_t)at >= in->count) {
            reader_blame(r, mem_printf(r->rq->mem, "activities/%zu", i),
                         json_is_integer(v) ? "out_of_range" : "type");
        }
        l->activities[i].v = at;        /* a place until the activities are made */
    }
}

static void read_unit(struct reader *r, struct incoming *in)
{
    static const char *const names[] = {"name", "statistic", "policy", "pooling", "lessons", NULL};
    static const char *const of_lesson[] = {"name", "activities", NULL};
    struct unit *u = &in->unit;
    reader_known(r, names);
    unit_read_head(r, u);
    const json_t *list = reader_list(r, "lessons", UNIT_LESSONS);
    u->lesson_count = json_array_size(list);
    u->lessons = mem_array(r->rq->mem, struct unit_lesson, u->lesson_count + 1);
    for (size_t i = 0; i < u->lesson_count; i++) {
        struct reader item = reader_item(r, "lessons", list, i);
        reader_known(&item, of_lesson);
        plan_read_name(&item, &u->lessons[i].name);
        read_places(&item, in, &u->lessons[i]);
        reader_join(r, &item);
    }
}

static enum err read_file(struct request *rq, struct incoming *in)
{
    static const char *const names[] = {"thrice_unit", "unit", "activities", NULL};
    struct reader r = reader_body(rq);
    int kind = 0;
    *in = (struct incoming){.unit = {.statistic = UNIT_MIDDLE, .policy = UNIT_MAJORITY,
                                     .pooling = UNIT_POOL_ALL}};
    reader_known(&r, names);
    reader_int(&r, "thrice_unit", &kind);
    if (r.err == OK && kind != FILE_KIND) {
        reader_blame(&r, "thrice_unit",
                     reader_has(&r, "thrice_unit") ? "not_a_choice" : "required");
    }
    enum err e = r.err == OK ? read_activities(&r, in) : r.err;
    if (e != OK) {
        return e;
    }
    struct reader unit = {.rq = rq, .obj = json_object_get(rq->json, "unit"), .at = "/unit"};
    if (!json_is_object(unit.obj)) {
        return request_blame(rq, "/unit", unit.obj ? "type" : "required", NULL);
    }
    read_unit(&unit, in);
    return unit.err;
}

/* Making --------------------------------------------------------------------------------------- */

static enum err make(struct request *rq, struct incoming *in, struct unit_id *out)
{
    struct activity_by by = {.staff = rq->who.staff, .now = rq->now};
    enum err e = OK;
    for (size_t i = 0; e == OK && i < in->count; i++) {
        const struct activity *made = NULL;
        if (in->known[i].v != 0) {
            continue;
        }
        e = activity_create(rq->store, &in->activity[i].draft, (struct activity_id){0}, by, &made);
        if (e == OK) {
            in->known[i] = made->id;
        }
    }
    for (size_t i = 0; i < in->unit.lesson_count; i++) {
        struct unit_lesson *l = &in->unit.lessons[i];
        for (size_t k = 0; k < l->activity_count; k++) {
            l->activities[k] = in->known[l->activities[k].v];
        }
    }
    return e == OK ? unit_create(rq->store, &in->unit, rq->now, out) : e;
}

static json_t *activities_json(const struct incoming *in)
{
    json_t *list = json_array();
    for (size_t i = 0; i < in->count; i++) {
        json_t *o = json_object();
        json_put(&o, "name", json_string(in->activity[i].draft.name));
        json_put(&o, "known", json_boolean(in->known[i].v != 0));
        json_add(&list, o);
    }
    return list;
}

enum err h_unit_file_post(struct request *rq, struct reply *rp)
{
    struct incoming in;
    struct unit_id made = {0};
    const char *dry = request_query(rq, "dry_run");
    const bool look = dry && strcmp(dry, "1") == 0;
    enum err e = read_file(rq, &in);
    if (e != OK) {
        return e;
    }
    json_t *o = json_object();
    json_put(&o, "name", json_string(in.unit.name));
    json_put(&o, "lessons", json_integer((json_int_t)in.unit.lesson_count));
    json_put(&o, "activities", activities_json(&in));
    if (!look) {
        e = make(rq, &in, &made);
    }
    if (e != OK) {
        json_decref(o);
        return e;
    }
    json_put(&o, "unit", look ? json_null() : json_id(made.v));
    return reply_json(rq, rp, look ? 200 : 201, o);
}
