/* SPDX-License-Identifier: MIT
 * Sending tries: by the child, or by staff on the child's behalf. Both run on the writer; what they
 * answer has been committed. A repeat is answered from the stored row by the same code. */
#include "auth/scope.h"
#include "handlers/hand_in_view.h"
#include "handlers/handlers.h"
#include "hand_in_internal.h"

static void reply_plain(struct buf *b, const struct hand_in *h)
{
    view_hand_in_members(b, &(struct hand_in_view){.h = h, .hide_best = true});
    buf_str(b, ",\"own_best\":{\"status\":null,\"value\":null,\"distance_mm\":null,"
               "\"before\":null},\"bests\":[],"
               "\"next\":{\"kind\":\"none\",\"value\":null,\"distance_mm\":null}}");
}

static enum err reply_stored(struct request *rq, struct reply *rp, const struct hand_in *h,
                             const struct hand_in_about *about, bool is_new)
{
    struct outlook o;
    const struct outlook_ask ask = {
        .activity = about->activity, .h = h, .history = &about->history};
    enum err e = outlook_of(rq, &ask, &o);
    if (e != OK) {
        return e;
    }
    struct buf *b = reply_json_buf(rq, rp, is_new ? 201 : 200);
    buf_str(b, "{");
    view_hand_in_members(b, &(struct hand_in_view){.h = h});
    buf_str(b, ",");
    view_own_best(b, &o);
    buf_str(b, ",");
    view_bests(b, &o);
    buf_str(b, ",");
    view_next(b, &o.next);
    buf_str(b, "}");
    return OK;
}

enum err h_hand_in_post(struct request *rq, struct reply *rp)
{
    struct hand_in_input *in = rq->input;
    in->h.pupil = rq->who.pupil;
    in->h.channel = hand_in_word(hand_in_channel_words, "web");
    struct hand_in_about about;
    enum hand_in_outcome outcome;
    enum err e = hand_in_take(rq, in, &about, &outcome);
    return e == OK ? reply_stored(rq, rp, &in->h, &about, outcome == HAND_IN_NEW) : e;
}

enum err h_challenge_hand_in_post(struct request *rq, struct reply *rp)
{
    struct hand_in_input *in = rq->input;
    unsigned rights = rights_on_pupil(rq, in->h.pupil.v);
    if ((rights & (ALLOW_TEACH | ALLOW_HELP)) == 0) {
        return ERR_NOT_FOUND;
    }
    in->h.entered_by = rq->who.staff;
    struct hand_in_about about;
    enum hand_in_outcome outcome;
    enum err e = hand_in_take(rq, in, &about, &outcome);
    if (e == OK && (rights & ALLOW_TEACH) == 0) {
        struct buf *b = reply_json_buf(rq, rp, outcome == HAND_IN_NEW ? 201 : 200);
        buf_str(b, "{");
        reply_plain(b, &in->h);
        return OK;
    }
    return e == OK ? reply_stored(rq, rp, &in->h, &about, outcome == HAND_IN_NEW) : e;
}
