/* SPDX-License-Identifier: MIT
 * "I made a mistake" of the child; keep, set aside and ask again of staff. Each adds a mark; the
 * hand-in itself stays as it came. What staff do is in the trail. */
#include <string.h>

#include "auth/audit.h"
#include "auth/auth.h"
#include "base/text.h"
#include "handlers/hand_in_view.h"
#include "handlers/handlers.h"
#include "people_internal.h"
#include "store/hand_in_marks.h"

/* The body is an object whose only member may be `allowed` (NULL: none). */
static enum err check_members(struct request *rq, const char *allowed)
{
    const char *const names[] = {allowed, NULL};
    return field_known(rq, rq->json, "", names);
}

/* The child's word is kept once, also about tries that wait for a check anyway: staff see why. */
static enum err add_mistake(struct request *rq, const struct hand_in *h)
{
    struct hand_in_mark_list marks;
    const struct hand_in_mark m = {.hand_in_seq = h->seq, .mark = "mistake", .at = rq->now};
    enum err e = hand_in_marks_of(rq->store, rq->mem, h->seq, &marks);
    bool said = e == OK && marks.n > 0 && strcmp(marks.v[marks.n - 1].mark, "mistake") == 0;
    return e == OK && !said ? hand_in_mark_add(rq->store, &m) : e;
}

enum err h_hand_in_mistake_post(struct request *rq, struct reply *rp)
{
    struct hand_in h;
    enum err e = check_members(rq, NULL);
    if (e == OK) {
        e = hand_in_get(rq->store, rq->args[0].uuid, &h);
    }
    if (e == OK && h.pupil.v != rq->who.pupil.v) {
        e = ERR_NOT_FOUND;
    }
    if (e == OK && h.state == HAND_IN_SET_ASIDE) {
        e = ERR_CONFLICT;
    }
    if (e == OK) {
        e = add_mistake(rq, &h);
    }
    if (e != OK) {
        return e;
    }
    struct buf *b = reply_json_buf(rq, rp, 200);
    buf_str(b, "{\"id\":");
    char id[37];
    text_uuid_print(h.id.b, id);
    json_txt(b, id);
    buf_str(b, ",\"state\":\"to_check\"}");
    return OK;
}

static enum err note(struct request *rq, const struct hand_in *h, const char *action,
                     const char *reason)
{
    char actor[32], object[48];
    audit_actor(&rq->who, actor);
    audit_object("hand-in", h->seq, object);
    return audit_add(rq->store, rq->auth->keys, rq->now, actor, action, object,
                     reason ? reason : "");
}

static enum err mark_and_reply(struct request *rq, struct reply *rp, struct hand_in_mark *m,
                               const char *action)
{
    struct hand_in h;
    enum err e = hand_in_get(rq->store, rq->args[0].uuid, &h);
    if (e != OK) {
        return e;
    }
    bool kept = strcmp(m->mark, "keep") == 0 && h.state == HAND_IN_COUNTS;
    m->hand_in_seq = h.seq;
    m->by = rq->who.staff;
    m->at = rq->now;
    if (!kept) {
        e = hand_in_mark_add(rq->store, m);
        if (e == OK) {
            e = note(rq, &h, action, m->reason);
        }
        if (e == OK) {
            e = hand_in_by_seq(rq->store, h.seq, &h);
        }
    }
    struct hand_in_mark_list marks = {0};
    if (e == OK) {
        e = hand_in_marks_of(rq->store, rq->mem, h.seq, &marks);
    }
    if (e == OK) {
        view_hand_in(reply_json_buf(rq, rp, 200),
                     &(struct hand_in_view){.h = &h, .marks = &marks});
    }
    return e;
}

enum err h_hand_in_set_aside_post(struct request *rq, struct reply *rp)
{
    enum err e = check_members(rq, "reason");
    if (e != OK) {
        return e;
    }
    json_t *given = json_object_get(rq->json, "reason");
    if (!given) {
        return request_blame(rq, "/reason", "required", NULL);
    }
    if (!json_is_string(given)) {
        return request_blame(rq, "/reason", "type", NULL);
    }
    const char *reason = hand_in_word(hand_in_reason_words, json_string_value(given));
    if (!reason) {
        return request_blame(rq, "/reason", "not_a_choice", NULL);
    }
    struct hand_in_mark m = {.mark = "set_aside", .reason = reason};
    return mark_and_reply(rq, rp, &m, "hand-in set aside");
}

enum err h_hand_in_keep_post(struct request *rq, struct reply *rp)
{
    struct hand_in_mark m = {.mark = "keep"};
    enum err e = check_members(rq, NULL);
    return e == OK ? mark_and_reply(rq, rp, &m, "hand-in kept") : e;
}

enum err h_hand_in_ask_again_post(struct request *rq, struct reply *rp)
{
    struct hand_in_mark m = {.mark = "ask_again"};
    enum err e = check_members(rq, NULL);
    return e == OK ? mark_and_reply(rq, rp, &m, "asked again") : e;
}
