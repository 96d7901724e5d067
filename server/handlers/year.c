/* SPDX-License-Identifier: MIT
 * The end of the school year: shown as a plan, then done as it was shown.
 *
 * Both requests say the same wishes; the plan is worked out anew each time, and `seen` is a digest
 * of all of it. So what is done is what somebody looked at: a child who joined in between, or a
 * name that changed, makes it another plan, and nothing is stored. What was done is known from the
 * audit, which keeps the id of the request beside the digest: the same request again is answered
 * and not done again. It cannot be undone in one step, so the office says that there is a backup.
 * Threat: twice in one year. Within 180 days it is asked about once more. */
#include "handlers/handlers.h"

#include <stdio.h>
#include <string.h>

#include "auth/digest.h"
#include "base/clock.h"
#include "base/mem.h"
#include "base/pointer.h"
#include "base/text.h"
#include "people_internal.h"
#include "store/audit.h"
#include "year_internal.h"

enum { CLASS_NAME = 40, CLASSES_MAX = 200, TOP_USUAL = 6, AGAIN_DAYS = 180 };

#define MOVED_UP "year moved up"

static enum err conflict(struct request *rq, const char *pointer, const char *code)
{
    enum err blamed = request_blame(rq, pointer, code, NULL);
    return blamed == ERR_BAD_INPUT ? ERR_CONFLICT : blamed;
}

/* What the office wants --------------------------------------------------------------------- */

static enum err read_to(struct request *rq, const struct year_plan *p, json_t *v,
                        const char *pointer, struct year_part *part)
{
    const char *word = json_string_value(v);
    int64_t id = 0;
    if (!word) {
        return request_blame(rq, pointer, v ? "type" : "required", NULL);
    }
    part->to = strcmp(word, "stay") == 0 ? YEAR_STAY : strcmp(word, "leave") == 0 ? YEAR_LEAVE
                                                                              : YEAR_GO;
    if (part->to != YEAR_GO) {
        return OK;
    }
    if (!text_id(word, &id)) {
        return request_blame(rq, pointer, "choice", NULL);
    }
    part->into = year_class_at(p, id);
    return part->into < p->n ? OK : request_blame(rq, pointer, "not_found", NULL);
}

static enum err read_part(struct request *rq, const struct year_plan *p, size_t at, json_t *v,
                          const char *pointer)
{
    static const char *const allowed[] = {"year_group", "to", NULL};
    json_t *group = json_object_get(v, "year_group");
    int year = PUPIL_NO_YEAR;
    enum err e = field_known(rq, v, pointer, allowed);
    const char *where = mem_printf(rq->mem, "%s/year_group", pointer);
    if (e == OK) {
        e = group ? field_year(rq, group, where, &year)
                  : request_blame(rq, where, "required", NULL);
    }
    struct year_part *part = e == OK ? year_part_of(&p->classes[at], year) : NULL;
    if (e == OK && !part) {
        e = request_blame(rq, where, "not_found", NULL);
    }
    if (e == OK) {
        e = read_to(rq, p, json_object_get(v, "to"), mem_printf(rq->mem, "%s/to", pointer), part);
    }
    if (e == OK && part->to == YEAR_GO && part->into == at) {
        part->to = YEAR_STAY;
    }
    return e;
}

/* The members of one class but its id, which is `at`. */
static enum err read_rest(struct request *rq, const struct year_plan *p, size_t at, json_t *v,
                          const char *pointer)
{
    struct year_class *c = &p->classes[at];
    json_t *name = json_object_get(v, "name"), *archived = json_object_get(v, "archived");
    json_t *parts = json_object_get(v, "parts");
    enum err e = OK;
    if (name) {
        e = field_name(rq, name, mem_printf(rq->mem, "%s/name", pointer), CLASS_NAME,
                       &c->next_name);
    }
    if (e == OK && archived) {
        e = field_bool(rq, archived, mem_printf(rq->mem, "%s/archived", pointer), &c->archive);
    }
    const char *list = mem_printf(rq->mem, "%s/parts", pointer);
    if (e == OK && parts) {
        e = field_array(rq, parts, list, YEAR_PARTS);
    }
    for (size_t i = 0; e == OK && i < json_array_size(parts); i++) {
        e = read_part(rq, p, at, json_array_get(parts, i), pointer_item(rq->mem, list, i));
    }
    return e;
}

static enum err read_classes(struct request *rq, const struct year_plan *p, json_t *list)
{
    static const char *const allowed[] = {"class", "name", "archived", "parts", NULL};
    bool *said = mem_array(rq->mem, bool, p->n);
    enum err e = field_array(rq, list, "/classes", CLASSES_MAX);
    for (size_t i = 0; e == OK && i < json_array_size(list); i++) {
        json_t *v = json_array_get(list, i);
        const char *pointer = mem_printf(rq->mem, "/classes/%zu", i);
        const char *where = mem_printf(rq->mem, "%s/class", pointer);
        int64_t id = 0;
        e = field_known(rq, v, pointer, allowed);
        if (e == OK) {
            e = field_id(rq, json_object_get(v, "class"), where, &id);
        }
        size_t at = year_class_at(p, id);
        if (e == OK && (at == p->n || said[at])) {
            e = request_blame(rq, where, at == p->n ? "not_found" : "duplicate", NULL);
        }
        if (e == OK) {
            said[at] = true;
            e = read_rest(rq, p, at, v, pointer);
        }
    }
    return e;
}

static enum err read_top(struct request *rq, int *out)
{
    json_t *v = json_object_get(rq->json, "top_year");
    *out = TOP_USUAL;
    if (!v) {
        return OK;
    }
    if (!json_is_integer(v)) {
        return request_blame(rq, "/top_year", "type", NULL);
    }
    if (json_integer_value(v) < 0 || json_integer_value(v) > YEAR_HIGHEST) {
        return request_blame(rq, "/top_year", "out_of_range", NULL);
    }
    *out = (int)json_integer_value(v);
    return OK;
}

/* The plan that the request asks for, and its digest. */
static enum err look(struct request *rq, struct year_plan *p, char seen[static YEAR_SEEN])
{
    json_t *classes = json_object_get(rq->json, "classes");
    struct buf text;
    uint8_t hash[32];
    int top = 0;
    enum err e = read_top(rq, &top);
    if (e == OK) {
        e = year_load(rq->store, rq->mem, top, rq->now, p);
    }
    if (e == OK && classes) {
        e = read_classes(rq, p, classes);
    }
    if (e != OK) {
        return e;
    }
    year_judge(rq->mem, p);
    buf_init(&text, rq->mem);
    year_print(p, &text);
    digest32(text.data, text.len, hash);
    for (size_t i = 0; i < (YEAR_SEEN - 1) / 2; i++) {
        (void)snprintf(seen + 2 * i, 3, "%02x", hash[i]);
    }
    return OK;
}

static enum err moved_last(struct request *rq, struct audit_row **rows, size_t *n)
{
    return audit_of_action(rq->store, rq->mem, MOVED_UP, rows, n);
}

enum err h_year_plan_post(struct request *rq, struct reply *rp)
{
    static const char *const allowed[] = {"top_year", "classes", NULL};
    struct year_plan plan;
    struct audit_row *rows = NULL;
    size_t n = 0;
    char seen[YEAR_SEEN] = "";
    enum err e = field_known(rq, rq->json, "", allowed);
    if (e == OK) {
        e = look(rq, &plan, seen);
    }
    if (e == OK) {
        e = moved_last(rq, &rows, &n);
    }
    if (e != OK) {
        return e;
    }
    const struct year_shown shown = {.plan = &plan, .seen = seen, .has_last = n > 0,
                                     .last_day = n > 0 ? clock_day(rows[0].at) : 0};
    return reply_json(rq, rp, 200, year_plan_json(&shown));
}

/* Doing ---------------------------------------------------------------------------------------- */

struct move {
    char id[37];                        /* the client's UUID */
    const char *seen;
    bool again;
};

static enum err read_move(struct request *rq, struct move *m)
{
    static const char *const allowed[] = {"top_year", "classes", "id", "seen", "backed_up",
                                          "again", NULL};
    json_t *id = json_object_get(rq->json, "id"), *again = json_object_get(rq->json, "again");
    uint8_t bytes[16];
    bool backed_up = false;
    enum err e = field_known(rq, rq->json, "", allowed);
    if (e == OK && !json_is_string(id)) {
        e = request_blame(rq, "/id", id ? "type" : "required", NULL);
    }
    if (e == OK && !text_uuid(json_string_value(id), bytes)) {
        e = request_blame(rq, "/id", "not_a_uuid", NULL);
    }
    if (e == OK) {
        text_uuid_print(bytes, m->id);
        e = field_name(rq, json_object_get(rq->json, "seen"), "/seen", YEAR_SEEN - 1, &m->seen);
    }
    if (e == OK) {
        e = field_bool(rq, json_object_get(rq->json, "backed_up"), "/backed_up", &backed_up);
    }
    if (e == OK && !backed_up) {
        e = request_blame(rq, "/backed_up", "back_up_first", NULL);
    }
    return e == OK && again ? field_bool(rq, again, "/again", &m->again) : e;
}

static enum err reply_done(struct request *rq, struct reply *rp, int status, int64_t at)
{
    json_t *o = json_object();
    json_put(&o, "on", json_day(clock_day(at)));
    return reply_json(rq, rp, status, o);
}

/* The row of this id among those done before, or NULL. */
static const struct audit_row *done_before(const struct move *m, const struct audit_row *rows,
                                           size_t n)
{
    for (size_t i = 0; i < n; i++) {
        if (strncmp(rows[i].code, m->id, strlen(m->id)) == 0) {
            return &rows[i];
        }
    }
    return NULL;
}

/* A problem of the plan at its place in the request; at the list when the request does not say
 * that class. */
static enum err blame_problem(struct request *rq, const struct year_plan *p,
                              const struct year_problem *b)
{
    json_t *list = json_object_get(rq->json, "classes");
    const char *member = strcmp(b->code, "taken") == 0       ? "/name"
                         : strcmp(b->code, "not_empty") == 0 ? "/archived"
                         : b->part                           ? "/parts"
                                                             : "";
    for (size_t i = 0; i < json_array_size(list); i++) {
        const char *id = json_string_value(json_object_get(json_array_get(list, i), "class"));
        int64_t v = 0;
        if (id && text_id(id, &v) && v == p->classes[b->in].id.v) {
            return request_blame(rq, mem_printf(rq->mem, "/classes/%zu%s", i, member), b->code,
                                 NULL);
        }
    }
    return request_blame(rq, "/classes", b->code, NULL);
}

static enum err may_do(struct request *rq, const struct move *m, const struct year_plan *p,
                       const char *seen, int64_t last_at)
{
    if (strcmp(m->seen, seen) != 0) {
        return conflict(rq, "/seen", "plan_changed");
    }
    enum err e = OK;
    for (size_t i = 0; i < p->problem_count; i++) {
        e = blame_problem(rq, p, &p->problems[i]);
    }
    if (e == OK && !m->again && last_at > rq->now - AGAIN_DAYS * INT64_C(86400)) {
        e = conflict(rq, "/again", "moved_already");
    }
    return e;
}

/* One row for each class whose name or state changes and each child who goes elsewhere; the year
 * groups of all are told by the first row. */
static enum err note(struct request *rq, const struct year_plan *p, const struct move *m)
{
    enum err e = people_audit(rq, MOVED_UP, "school", 1,
                              mem_printf(rq->mem, "%s %s", m->id, m->seen));
    for (size_t i = 0; e == OK && i < p->n; i++) {
        const struct year_class *c = &p->classes[i];
        if (c->archive || strcmp(c->name, c->next_name) != 0) {
            e = people_audit(rq, c->archive ? "class archived" : "class renamed", "class", c->id.v,
                             "");
        }
        for (size_t j = 0; e == OK && j < c->part_count; j++) {
            const struct year_part *part = &c->parts[j];
            const char *what = part->to == YEAR_LEAVE ? "pupil left" : "pupil moved";
            bool told = part->to == YEAR_LEAVE || part->to == YEAR_GO;
            for (size_t k = 0; e == OK && told && k < part->n; k++) {
                e = people_audit(rq, what, "pupil", part->children[k].id.v, "");
            }
        }
    }
    return e;
}

enum err h_year_move_post(struct request *rq, struct reply *rp)
{
    struct move m = {.again = false};
    struct year_plan plan;
    struct audit_row *rows = NULL;
    size_t n = 0;
    char seen[YEAR_SEEN] = "";
    enum err e = read_move(rq, &m);
    if (e == OK) {
        e = moved_last(rq, &rows, &n);
    }
    const struct audit_row *before = e == OK ? done_before(&m, rows, n) : NULL;
    if (before) {
        bool same = strcmp(before->code + strlen(m.id) + 1, m.seen) == 0;
        return same ? reply_done(rq, rp, 200, before->at) : ERR_DIFFERENT;
    }
    if (e == OK) {
        e = look(rq, &plan, seen);
    }
    if (e == OK) {
        e = may_do(rq, &m, &plan, seen, n > 0 ? rows[0].at : 0);
    }
    if (e == OK) {
        e = year_do(rq->store, &plan, rq->now);
    }
    if (e == OK) {
        e = note(rq, &plan, &m);
    }
    return e == OK ? reply_done(rq, rp, 201, rq->now) : e;
}
