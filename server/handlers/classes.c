/* SPDX-License-Identifier: MIT
 * Classes and groups: making, naming, archiving, who can see them, who reads their messages.
 *
 * The list of who can see a class is open to everybody who can: a teacher may look at whom the
 * office let in. Names and the archive are the office's; the readers of messages also the
 * teacher's. */
#include "handlers/handlers.h"

#include "auth/scope.h"
#include "base/clock.h"
#include "base/mem.h"
#include "people_internal.h"

enum { CLASS_NAME = 40 };

static const char *kind_word(bool group)
{
    return group ? "group" : "class";
}

static json_t *class_row_json(const struct class_row *c)
{
    const char *right = class_right_word(c->right);
    json_t *o = json_object();
    json_put(&o, "id", json_id(c->id.v));
    json_put(&o, "name", json_string(c->name));
    json_put(&o, "kind", json_string(kind_word(c->group)));
    json_put(&o, "pupils", json_integer(c->pupils));
    json_put(&o, "right", right ? json_string(right) : json_null());
    json_put(&o, "messages_on", json_boolean(c->messages_on));
    return o;
}

enum err h_classes_get(struct request *rq, struct reply *rp)
{
    const unsigned see_all = ALLOW_PE_LEAD | ALLOW_OFFICE | ALLOW_SAFEGUARDING;
    const struct class_query want = {
        .staff = rq->who.staff,
        .all = (rq->who.rights & see_all) != 0,
        .today = clock_day(rq->now),
    };
    struct class_row *rows;
    size_t n;
    enum err e = classes_list(rq->store, rq->mem, &want, &rows, &n);
    if (e != OK) {
        return e;
    }
    json_t *list = json_array(), *o = json_object();
    for (size_t i = 0; i < n; i++) {
        json_add(&list, class_row_json(&rows[i]));
    }
    json_put(&o, "classes", list);
    return reply_json(rq, rp, 200, o);
}

static enum err name_conflict(struct request *rq)
{
    return request_blame(rq, "/name", "taken", NULL) == ERR_BAD_INPUT ? ERR_CONFLICT : ERR_INTERNAL;
}

/* The maker teaches the class; but an office that teaches nothing sets classes up for others, and
 * must not come to see results by it. Its messages wait for a second person, whom only those who
 * may accept changes themselves can ask. */
static enum err give_maker(struct request *rq, struct class_row *row)
{
    bool teaches = false;
    enum err e = class_teaches_any(rq->store, rq->who.staff, clock_day(rq->now), &teaches);
    if (e != OK || (!teaches && !(rq->who.rights & ALLOW_PE_LEAD))) {
        return e;
    }
    row->right = CLASS_TEACH;
    e = class_right_put(rq->store, row->id, rq->who.staff, CLASS_TEACH, NULL);
    if (e == OK && (rq->who.rights & (ALLOW_OFFICE | ALLOW_SAFEGUARDING))) {
        e = people_ask_change(rq, CHANGE_TEACH, rq->who.staff, row->id, NULL);
    }
    return e;
}

enum err h_classes_post(struct request *rq, struct reply *rp)
{
    static const char *const allowed[] = {"name", "kind", NULL};
    static const char *const kinds[] = {"class", "group", NULL};
    const char *name = NULL, *kind = kinds[0];
    json_t *k = json_object_get(rq->json, "kind");
    struct class_row row = {.right = CLASS_NONE};
    enum err e = field_known(rq, rq->json, "", allowed);
    if (e == OK) {
        e = field_name(rq, json_object_get(rq->json, "name"), "/name", CLASS_NAME, &name);
    }
    if (e == OK && k) {
        e = field_word(rq, k, "/kind", kinds, &kind);
    }
    if (e != OK) {
        return e;
    }
    row.group = kind == kinds[1];
    e = class_make(rq->store, name, row.group, rq->now, &row.id);
    if (e == ERR_CONFLICT) {
        return name_conflict(rq);
    }
    if (e == OK) {
        e = give_maker(rq, &row);
    }
    if (e == OK) {
        e = people_audit(rq, "class made", "class", row.id.v, kind);
    }
    if (e != OK) {
        return e;
    }
    row.name = name;
    json_t *o = json_object();
    json_put(&o, "class", class_row_json(&row));
    rp->location = mem_printf(rq->mem, "/api/v1/classes/%lld", (long long)row.id.v);
    return reply_json(rq, rp, 201, o);
}

/* One class ------------------------------------------------------------------------------------ */

static json_t *readers_json(const struct class_staff *rows, size_t n)
{
    json_t *list = json_array();
    for (size_t i = 0; i < n; i++) {
        json_t *o = json_object();
        json_put(&o, "id", json_id(rows[i].id.v));
        json_put(&o, "name", json_string(rows[i].name));
        json_add(&list, o);
    }
    return list;
}

static json_t *staff_json(const struct class_staff *rows, size_t n)
{
    json_t *list = json_array();
    for (size_t i = 0; i < n; i++) {
        json_t *o = json_object();
        json_put(&o, "id", json_id(rows[i].id.v));
        json_put(&o, "name", json_string(rows[i].name));
        json_put(&o, "right", json_string(class_right_word(rows[i].right)));
        json_put(&o, "until", json_day_or_null(rows[i].has_until, rows[i].until_day));
        json_add(&list, o);
    }
    return list;
}

enum err h_class_get(struct request *rq, struct reply *rp)
{
    struct class_id id = {rq->args[0].id};
    int32_t today = clock_day(rq->now);
    struct class_row row;
    struct class_staff *readers, *staff;
    size_t reader_count, staff_count;
    enum err e = class_get(rq->store, rq->mem, id, today, &row);
    if (e == OK) {
        e = class_readers(rq->store, rq->mem, id, today, &readers, &reader_count);
    }
    if (e == OK) {
        e = class_staff_list(rq->store, rq->mem, id, today, &staff, &staff_count);
    }
    if (e != OK) {
        return e;
    }
    json_t *c = json_object(), *o = json_object();
    json_put(&c, "id", json_id(row.id.v));
    json_put(&c, "name", json_string(row.name));
    json_put(&c, "kind", json_string(kind_word(row.group)));
    json_put(&c, "messages_on", json_boolean(row.messages_on));
    json_put(&c, "readers", readers_json(readers, reader_count));
    json_put(&o, "class", c);
    json_put(&o, "staff", staff_json(staff, staff_count));
    return reply_json(rq, rp, 200, o);
}

static enum err put_name(struct request *rq, struct class_id id, json_t *v)
{
    const char *name = NULL;
    enum err e = field_name(rq, v, "/name", CLASS_NAME, &name);
    if (e == OK) {
        e = class_rename(rq->store, id, name);
    }
    if (e == ERR_CONFLICT) {
        return name_conflict(rq);
    }
    return e == OK ? people_audit(rq, "class renamed", "class", id.v, "") : e;
}

static enum err put_archived(struct request *rq, struct class_id id, json_t *v)
{
    bool archived = false;
    enum err e = field_bool(rq, v, "/archived", &archived);
    if (e == OK) {
        e = class_archive(rq->store, id, archived ? rq->now : 0);
    }
    if (e == ERR_CONFLICT) {
        return name_conflict(rq);
    }
    const char *action = archived ? "class archived" : "class taken back";
    return e == OK ? people_audit(rq, action, "class", id.v, "") : e;
}

static enum err put_readers(struct request *rq, struct class_id id, json_t *v)
{
    struct staff_id ids[CLASS_READERS];
    struct reader_set set = {.ids = ids};
    size_t bad = 0;
    enum err e = field_array(rq, v, "/readers", CLASS_READERS);
    for (size_t i = 0; e == OK && i < json_array_size(v); i++) {
        const char *at = mem_printf(rq->mem, "/readers/%zu", i);
        e = field_id(rq, json_array_get(v, i), at, &ids[i].v);
        for (size_t j = 0; e == OK && j < i; j++) {
            if (ids[j].v == ids[i].v) {
                e = request_blame(rq, at, "duplicate", NULL);
            }
        }
        set.n = i + 1;
    }
    if (e == OK) {
        e = class_readers_put(rq->store, id, clock_day(rq->now), &set, &bad);
    }
    if (e == ERR_CONFLICT) {
        return request_blame(rq, mem_printf(rq->mem, "/readers/%zu", bad), "may_not_read", NULL);
    }
    const char *code = set.n >= 2 ? "on" : "off";
    return e == OK ? people_audit(rq, "readers named", "class", id.v, code) : e;
}

enum err h_class_put(struct request *rq, struct reply *rp)
{
    static const char *const allowed[] = {"name", "archived", "readers", NULL};
    struct class_id id = {rq->args[0].id};
    json_t *name = json_object_get(rq->json, "name");
    json_t *archived = json_object_get(rq->json, "archived");
    json_t *readers = json_object_get(rq->json, "readers");
    enum err e = field_known(rq, rq->json, "", allowed);
    if (e == OK && (name || archived) && !(rq->who.rights & ALLOW_OFFICE)) {
        e = request_blame(rq, name ? "/name" : "/archived", "not_allowed", NULL);
    }
    if (e == OK && name) {
        e = put_name(rq, id, name);
    }
    if (e == OK && archived) {
        e = put_archived(rq, id, archived);
    }
    if (e == OK && readers) {
        e = put_readers(rq, id, readers);
    }
    return e == OK ? h_class_get(rq, rp) : e;
}
