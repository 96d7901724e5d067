/* SPDX-License-Identifier: MIT
 * "Tell my teacher".
 *
 * A child sends a message of fixed choices and gets the same short answer whatever was in it; it is
 * never shown to the child again, so nobody looking over a shoulder sees it. Nothing about raising
 * one goes into the audit or the log. Reading the list is audited before it is answered, hence a
 * GET on the writer. Rows go to staff who teach the child's class and to safeguarding, as two
 * persons agreed (handlers/changes.c); to all others a message is not there (404), and audit rows
 * about messages are left out of what the office reads. */
#include "handlers/handlers.h"

#include "base/clock.h"
#include "people_internal.h"
#include "store/messages.h"

static struct message_reader reader_of(const struct request *rq)
{
    return (struct message_reader){
        .staff = rq->who.staff,
        .now = rq->now,
    };
}

/* Raising -------------------------------------------------------------------------------------- */

static enum err read_hurt(struct request *rq, struct message_new *m)
{
    static const char *const places[] = {"head", "arm", "leg", "tummy", "elsewhere", NULL};
    json_t *where = json_object_get(rq->json, "where");
    json_t *still = json_object_get(rq->json, "still");
    bool hurt = m->about[0] == 'h', is_still = false;
    enum err e = OK;
    if (!hurt && (where || still)) {
        return request_blame(rq, where ? "/where" : "/still", "only_hurt", NULL);
    }
    if (where) {
        e = field_word(rq, where, "/where", places, &m->body_part);
    }
    if (e == OK && still) {
        e = field_bool(rq, still, "/still", &is_still);
        m->still = is_still;
    }
    return e;
}

enum err h_messages_post(struct request *rq, struct reply *rp)
{
    static const char *const allowed[] = {"about", "where", "still", NULL};
    static const char *const abouts[] = {"hurt", "unsafe", "talk", NULL};
    struct message_new m = {.pupil = rq->who.pupil, .still = -1, .now = rq->now};
    struct message_id id;
    enum err e = field_known(rq, rq->json, "", allowed);
    if (e == OK) {
        e = field_word(rq, json_object_get(rq->json, "about"), "/about", abouts, &m.about);
    }
    if (e == OK) {
        e = read_hurt(rq, &m);
    }
    if (e == OK) {
        e = message_raise(rq->store, &m, &id);
    }
    if (e == ERR_CLOSED) {
        e = request_blame(rq, "", "off", NULL) == ERR_BAD_INPUT ? ERR_CONFLICT : ERR_INTERNAL;
    } else if (e == ERR_TOO_MANY) {
        rq->retry_after_s = 3600;
    }
    return e == OK ? reply_json(rq, rp, 201, json_object()) : e;
}

/* Reading -------------------------------------------------------------------------------------- */

/* Staff see the day and the part of it, not the clock. */
static const char *part_of_day(int64_t at)
{
    int32_t day = clock_day(at);
    if (at < clock_day_at(day, 6, 0) || at >= clock_day_at(day, 21, 0)) {
        return "night";
    }
    if (at < clock_day_at(day, 12, 0)) {
        return "morning";
    }
    return at < clock_day_at(day, 17, 0) ? "afternoon" : "evening";
}

static json_t *acknowledged_json(const struct message_row *m)
{
    if (!m->acknowledged) {
        return json_null();
    }
    json_t *o = json_object();
    json_put(&o, "by", json_string(m->ack_by ? m->ack_by : ""));
    json_put(&o, "on", json_day(clock_day(m->ack_at)));
    json_put(&o, "outcome", json_string(m->ack_outcome));
    return o;
}

static json_t *named_json(int64_t id, const char *key, const char *name)
{
    json_t *o = json_object();
    json_put(&o, "id", json_id(id));
    json_put(&o, key, json_string(name));
    return o;
}

static json_t *message_json(const struct message_row *m)
{
    json_t *o = json_object();
    json_put(&o, "id", json_id(m->id.v));
    json_put(&o, "pupil", named_json(m->pupil.v, "display_name", m->pupil_name));
    json_put(&o, "class",
             m->class_id.v ? named_json(m->class_id.v, "name", m->class_name) : json_null());
    json_put(&o, "about", json_string(m->about));
    json_put(&o, "where", m->body_part ? json_string(m->body_part) : json_null());
    json_put(&o, "still", m->still < 0 ? json_null() : json_boolean(m->still));
    json_put(&o, "raised_on", json_day(clock_day(m->raised_at)));
    json_put(&o, "part_of_day", json_string(part_of_day(m->raised_at)));
    json_put(&o, "overdue", json_boolean(m->overdue));
    json_put(&o, "acknowledged", acknowledged_json(m));
    return o;
}

/* What is closed to this person, so that an empty list is not taken for "nobody wrote". */
static json_t *limit_json(const struct message_limit *l)
{
    json_t *o = json_object();
    json_put(&o, "class",
             l->class_id.v ? named_json(l->class_id.v, "name", l->class_name) : json_null());
    json_put(&o, "since", json_day_or_null(l->reads, clock_day(l->since)));
    return o;
}

enum err h_messages_get(struct request *rq, struct reply *rp)
{
    const struct message_reader who = reader_of(rq);
    bool all = (rq->who.rights & ALLOW_SAFEGUARDING) != 0;
    struct message_row *rows;
    struct message_limit *limits;
    size_t n, limit_count;
    enum err e = messages_list(rq->store, rq->mem, &who, &rows, &n);
    if (e == OK) {
        e = messages_limits(rq->store, rq->mem, &who, &limits, &limit_count);
    }
    if (e == OK) {
        e = people_audit(rq, "messages read", "school", 1, all ? "all" : "own_classes");
    }
    if (e != OK) {
        return e;
    }
    json_t *list = json_array(), *closed = json_array(), *o = json_object();
    for (size_t i = 0; i < n; i++) {
        json_add(&list, message_json(&rows[i]));
    }
    for (size_t i = 0; i < limit_count; i++) {
        json_add(&closed, limit_json(&limits[i]));
    }
    json_put(&o, "messages", list);
    json_put(&o, "limits", closed);
    return reply_json(rq, rp, 200, o);
}

enum err h_message_acknowledgement_post(struct request *rq, struct reply *rp)
{
    static const char *const allowed[] = {"outcome", NULL};
    static const char *const outcomes[] = {"acknowledged", "passed_on", "recorded_elsewhere", NULL};
    const struct message_reader who = reader_of(rq);
    struct message_id id = {rq->args[0].id};
    const char *outcome = NULL;
    struct message_row row;
    enum err e = message_get(rq->store, rq->mem, id, &who, &row);
    if (e == OK) {
        e = field_known(rq, rq->json, "", allowed);
    }
    if (e == OK) {
        e = field_word(rq, json_object_get(rq->json, "outcome"), "/outcome", outcomes, &outcome);
    }
    if (e == OK) {
        e = message_acknowledge(rq->store, id, rq->who.staff, outcome, rq->now);
    }
    if (e == OK) {
        e = people_audit(rq, "message acknowledged", "message", id.v, outcome);
    }
    if (e == OK) {
        e = message_get(rq->store, rq->mem, id, &who, &row);
    }
    return e == OK ? reply_json(rq, rp, 200, message_json(&row)) : e;
}
