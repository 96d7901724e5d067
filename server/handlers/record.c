/* SPDX-License-Identifier: MIT
 * All of one child's attempts, assessments and what was seen in lessons, for staff who may see
 * results. Reading it leaves an audit row, committed before the answer goes out. */
#include "auth/audit.h"
#include "auth/auth.h"
#include "auth/scope.h"
#include "base/clock.h"
#include "base/mem.h"
#include "handlers/handlers.h"
#include "handlers/suggestion.h"
#include "record_internal.h"
#include "second_internal.h"
#include "store/fresh_start.h"

enum err record_note(struct request *rq, const char *action, const char *kind, int64_t id)
{
    char actor[32], object[48];
    audit_actor(&rq->who, actor);
    audit_object(kind, id, object);
    return audit_add(rq->store, rq->auth->keys, rq->now, actor, action, object, "");
}

static void memberships(struct buf *b, const struct membership *m, size_t n)
{
    buf_str(b, ",\"classes\":[");
    for (size_t i = 0; i < n; i++) {
        buf_str(b, i > 0 ? ",{\"id\":" : "{\"id\":");
        view_id(b, m[i].id.v);
        buf_str(b, ",\"name\":");
        json_txt(b, m[i].name);
        buf_str(b, m[i].group ? ",\"kind\":\"group\",\"from\":" : ",\"kind\":\"class\",\"from\":");
        view_day(b, m[i].from_day);
        buf_str(b, ",\"to\":");
        if (m[i].has_to) {
            view_day(b, m[i].to_day);
        } else {
            buf_str(b, "null");
        }
        buf_str(b, "}");
    }
    buf_str(b, "]");
}

enum err record_pupil(struct request *rq, struct buf *b, struct pupil_id id)
{
    struct pupil_row row;
    struct membership *in = NULL;
    size_t n = 0;
    enum err e = pupil_get(rq->store, rq->mem, id, &row);
    if (e == OK) {
        e = pupil_memberships(rq->store, rq->mem, id, &in, &n);
    }
    int32_t fresh = 0;
    if (e == OK && (rights_on_pupil(rq, id.v) & (ALLOW_TEACH | ALLOW_READ | ALLOW_PE_LEAD)) != 0) {
        e = fresh_start_get(rq->store, id, &fresh);
    }
    if (e != OK) {
        return e;
    }
    buf_str(b, "\"pupil\":{\"id\":");
    view_id(b, id.v);
    buf_str(b, ",\"display_name\":");
    json_txt(b, row.display_name);
    buf_str(b, ",\"year_group\":");
    if (row.year_group == PUPIL_NO_YEAR) {
        buf_str(b, "null");
    } else {
        buf_int(b, row.year_group);
    }
    buf_printf(b, ",\"picture\":%d,\"left\":%s", row.picture, row.left ? "true" : "false");
    memberships(b, in, n);
    buf_printf(b, ",\"family_view\":\"%s\",\"fresh_start\":", family_view_word(row.family_view));
    if (fresh != 0) {
        view_day(b, fresh);
    } else {
        buf_str(b, "null");
    }
    buf_str(b, "}");
    return OK;
}

enum err record_hand_ins(struct request *rq, struct buf *b, const struct hand_in_list *all)
{
    buf_str(b, ",\"hand_ins\":[");
    for (size_t i = 0; i < all->n; i++) {
        struct hand_in_mark_list marks;
        enum err e = hand_in_marks_of(rq->store, rq->mem, all->v[i].seq, &marks);
        if (e != OK) {
            return e;
        }
        buf_str(b, i > 0 ? "," : "");
        view_hand_in(b, &(struct hand_in_view){.h = &all->v[i], .marks = &marks});
    }
    buf_str(b, "]");
    return OK;
}

void record_assessments(struct buf *b, const struct assessment_list *list)
{
    buf_str(b, ",\"assessments\":[");
    for (size_t i = 0; i < list->n; i++) {
        buf_str(b, i > 0 ? "," : "");
        view_assessment(b, &list->v[i]);
    }
    buf_str(b, "]");
}

/* Yes, no, or taken back. */
static const char *said(bool yes, bool taken_back)
{
    return taken_back ? "null" : yes ? "true" : "false";
}

static enum err view_seen(struct request *rq, struct buf *b, struct pupil_id id, bool ever)
{
    struct seen_list list;
    struct unit unit = {0};
    enum err e = ever ? seen_ever_of_pupil(rq->store, rq->mem, id, &list)
                      : seen_of_pupil(rq->store, rq->mem, id, &list);
    buf_str(b, ",\"seen\":[");
    for (size_t i = 0; e == OK && i < list.n; i++) {
        const struct seen_row *row = &list.v[i];
        if (unit.id.v != row->unit.v) {
            e = unit_get(rq->mem, rq->store, row->unit, &unit);
        }
        buf_str(b, i > 0 ? ",{\"unit\":" : "{\"unit\":");
        json_txt(b, unit.name);
        buf_str(b, ",\"cue\":");
        json_txt(b, row->cue_text);
        buf_printf(b, ",\"seen\":%s,\"on\":", said(row->seen, row->taken_back));
        view_day(b, row->on_day);
        buf_str(b, "}");
    }
    buf_str(b, "]");
    return e;
}

static enum err view_answers(struct request *rq, struct buf *b, struct pupil_id id, bool ever)
{
    struct lesson_answer_list list;
    struct unit unit = {0};
    enum err e = ever ? lesson_answers_ever_of_pupil(rq->store, rq->mem, id, &list)
                      : lesson_answers_of_pupil(rq->store, rq->mem, id, &list);
    buf_str(b, ",\"lesson_answers\":[");
    for (size_t i = 0; e == OK && i < list.n; i++) {
        const struct lesson_answer *a = &list.v[i];
        if (unit.id.v != a->unit.v) {
            e = unit_get(rq->mem, rq->store, a->unit, &unit);
        }
        buf_str(b, i > 0 ? ",{\"unit\":" : "{\"unit\":");
        json_txt(b, unit.name);
        buf_str(b, ",\"question\":");
        json_txt(b, a->question_text);
        buf_printf(b, ",\"right\":%s,\"on\":", said(a->right, a->taken_back));
        view_day(b, a->on_day);
        buf_str(b, "}");
    }
    buf_str(b, "]");
    return e;
}

static enum err view_statements(struct request *rq, struct buf *b, struct pupil_id id, bool ever)
{
    struct statement_tick_list list;
    enum err e = ever ? statement_ticks_ever_of_pupil(rq->store, rq->mem, id, &list)
                      : statement_ticks_of_pupil(rq->store, rq->mem, id, &list);
    buf_str(b, ",\"statements\":[");
    for (size_t i = 0; e == OK && i < list.n; i++) {
        const struct statement_tick *t = &list.v[i];
        buf_str(b, i > 0 ? ",{\"text\":" : "{\"text\":");
        json_txt(b, t->text);
        buf_printf(b, ",\"met\":%s,\"on\":", said(t->met, t->taken_back));
        view_day(b, t->on_day);
        buf_str(b, ",\"by\":");
        json_txt(b, t->by_name);
        buf_str(b, "}");
    }
    buf_str(b, "]");
    return e;
}

enum err record_lessons(struct request *rq, struct buf *b, struct pupil_id id, bool ever)
{
    enum err e = view_seen(rq, b, id, ever);
    if (e == OK) {
        e = view_answers(rq, b, id, ever);
    }
    return e == OK ? view_statements(rq, b, id, ever) : e;
}

static enum err lines(struct request *rq, struct buf *b, struct pupil_id id,
                      const struct hand_in_list *all)
{
    struct best_lines found;
    int32_t fresh;
    enum err e = fresh_start_get(rq->store, id, &fresh);
    if (e != OK) {
        return e;
    }
    const struct hand_in_list since = fresh_start_since(rq->mem, all, fresh);
    e = best_lines_of(rq->store, rq->mem, &since, &found);
    buf_str(b, ",\"lines\":[");
    for (size_t i = 0; e == OK && i < found.n; i++) {
        buf_str(b, i > 0 ? "," : "");
        view_line(b, &found.v[i], NULL);
    }
    buf_str(b, "]");
    return e;
}

enum err h_pupil_record_get(struct request *rq, struct reply *rp)
{
    const struct pupil_id id = {rq->args[0].id};
    struct hand_in_list all;
    struct assessment_list decided;
    enum err e = hand_ins_of_pupil(rq->store, rq->mem, id, 0, &all);
    if (e == OK) {
        e = assessments_of_pupil(rq->store, rq->mem, id, false, &decided);
    }
    if (e == OK) {
        e = second_view_filter(rq, &decided);
    }
    if (e == OK) {
        e = record_note(rq, "record read", "pupil", id.v);
    }
    if (e != OK) {
        return e;
    }
    struct buf *b = reply_json_buf(rq, rp, 200);
    buf_str(b, "{");
    e = record_pupil(rq, b, id);
    if (e == OK) {
        e = lines(rq, b, id, &all);
    }
    if (e == OK) {
        e = record_hand_ins(rq, b, &all);
    }
    if (e == OK) {
        record_assessments(b, &decided);
        e = record_lessons(rq, b, id, false);
    }
    if (e == OK) {
        e = second_view_member(rq, b, id);
    }
    buf_str(b, "}");
    return e;
}
