/* SPDX-License-Identifier: MIT
 * The school's activities: list, read, make, copy, change (a new revision), archive.
 *
 * The library is the school's: every member of staff reads it; who teaches a class or leads PE
 * changes it, but its band boundaries, what they judge and its archive are of who made it and of
 * the PE lead. A change never reaches a challenge that is set already. */
#include "auth/scope.h"
#include "handlers/activity_view.h"
#include "handlers/hand_in_view.h"
#include "handlers/handlers.h"
#include "plan_internal.h"
#include "store/activity_maker.h"

static enum err answer(struct request *rq, struct reply *rp, int status, const struct activity *a)
{
    struct buf *b = reply_json_buf(rq, rp, status);
    buf_str(b, "{\"activity\":");
    view_activity(b, a, ACTIVITY_FOR_STAFF);
    buf_str(b, "}");
    return OK;
}

static void view_maker(struct buf *b, const char *name, bool own)
{
    buf_str(b, ",\"made_by\":");
    if (name) {
        json_txt(b, name);
    } else {
        buf_str(b, "null");
    }
    buf_printf(b, ",\"own\":%s", own ? "true" : "false");
}

static void row(struct request *rq, struct buf *b, const struct activity_line *l)
{
    const struct activity *a = l->activity;
    buf_str(b, "{\"id\":");
    view_id(b, a->id.v);
    buf_str(b, ",\"revision\":");
    view_id(b, a->revision.v);
    buf_str(b, ",\"name\":");
    json_txt(b, a->name);
    buf_str(b, ",\"strand\":");
    json_txt(b, strand_word(a->strand));
    buf_str(b, ",\"kind\":");
    json_txt(b, activity_kind_word(a->kind));
    buf_str(b, ",\"unit\":");
    json_txt(b, value_unit_word(a->unit));
    buf_str(b, ",\"attempts\":");
    buf_int(b, a->attempts);
    buf_str(b, ",\"summary\":");
    json_txt(b, a->summary);
    buf_str(b, ",\"versions\":[");
    for (size_t i = 0; i < a->version_count; i++) {
        buf_str(b, i > 0 ? ",{\"id\":" : "{\"id\":");
        view_id(b, a->versions[i].id.v);
        buf_str(b, ",\"kind\":");
        json_txt(b, version_kind_word(a->versions[i].kind));
        buf_str(b, "}");
    }
    buf_printf(b, "],\"archived\":%s,\"used\":", l->archived ? "true" : "false");
    buf_int(b, l->used);
    view_maker(b, l->made_by, activity_is_own(rq, l->maker));
    buf_str(b, "}");
}

enum err h_activities_get(struct request *rq, struct reply *rp)
{
    struct activity_line *lines = NULL;
    size_t n = 0;
    enum err e = activity_list(rq->mem, rq->store, &lines, &n);
    if (e != OK) {
        return e;
    }
    struct buf *b = reply_json_buf(rq, rp, 200);
    buf_str(b, "{\"activities\":[");
    for (size_t i = 0; i < n; i++) {
        buf_str(b, i > 0 ? "," : "");
        row(rq, b, &lines[i]);
    }
    buf_str(b, "]}");
    return OK;
}

enum err h_activity_get(struct request *rq, struct reply *rp)
{
    const struct activity *a = NULL;
    struct activity_maker maker;
    const struct activity_id id = {rq->args[0].id};
    enum err e = activity_load_current(rq->store, id, &a);
    if (e == OK) {
        e = activity_maker(rq->mem, rq->store, id, &maker);
    }
    if (e == OK) {
        struct buf *b = reply_json_buf(rq, rp, 200);
        buf_str(b, "{\"activity\":");
        view_activity(b, a, ACTIVITY_FOR_STAFF);
        view_maker(b, maker.name, activity_is_own(rq, maker.id));
        buf_str(b, "}");
    }
    return e;
}

enum err h_activities_post(struct request *rq, struct reply *rp)
{
    struct activity_input in;
    const struct activity *a = NULL;
    enum err e = activity_parse(rq, &in);
    if (e == OK && in.copied_from.v) {
        bool archived;
        e = activity_is_archived(rq->store, in.copied_from, &archived);
        if (e == ERR_NOT_FOUND) {
            e = request_blame(rq, "/copied_from", "not_found", NULL);
        }
    }
    if (e == OK) {
        struct activity_by by = {.staff = rq->who.staff, .now = rq->now};
        e = activity_create(rq->store, &in.draft, in.copied_from, by, &a);
    }
    return e == OK ? answer(rq, rp, 201, a) : e;
}

static enum err check_own(struct request *rq, struct activity_id id)
{
    struct activity_maker maker;
    enum err e = activity_maker(rq->mem, rq->store, id, &maker);
    return e == OK && !activity_is_own(rq, maker.id)
               ? request_blame(rq, "/versions", "made_by_another", NULL)
               : e;
}

enum err h_activity_put(struct request *rq, struct reply *rp)
{
    struct activity_id id = {rq->args[0].id};
    struct activity_input in;
    const struct activity *a = NULL;
    enum err e = activity_load_current(rq->store, id, &a);     /* not there: 404 before 422 */
    if (e == OK) {
        e = activity_parse(rq, &in);
    }
    if (e == OK && !activity_judges_as(a, &in.draft)) {
        e = check_own(rq, id);
    }
    if (e == OK) {
        struct activity_by by = {.staff = rq->who.staff, .now = rq->now};
        in.draft.id = id;
        e = activity_revise(rq->store, &in.draft, by, &a);
    }
    return e == OK ? answer(rq, rp, 200, a) : e;
}

enum err h_activity_delete(struct request *rq, struct reply *rp)
{
    enum err e = activity_archive(rq->store, (struct activity_id){rq->args[0].id}, rq->now);
    if (e == OK) {
        reply_no_content(rp);
    }
    return e;
}
