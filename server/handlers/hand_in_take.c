/* SPDX-License-Identifier: MIT
 * Taking a hand-in, in one write: known already? may this child send to this challenge? was it done
 * while it was open? not too often? possible? Only then is it stored, whole.
 *
 * A repeat is answered before any other rule, so that a client whose answer was lost gets it again
 * even when the challenge has closed since. */
#include <stdlib.h>

#include "auth/digest.h"
#include "base/buf.h"
#include "base/clock.h"
#include "base/mem.h"
#include "hand_in_internal.h"
#include "store/challenge_changes.h"
#include "store/school.h"
#include "store/upkeep.h"

enum { DAYS_BACK = CHANGE_LATE_DAYS, A_DAY = 10 };

static void hash_attempt(struct buf *b, const struct tried *t)
{
    buf_str(b, t->has_value ? "v" : "-");
    buf_int(b, t->has_value ? t->value : 0);
    for (int i = 0; i < t->throw_count; i++) {
        buf_printf(b, ",%d", t->throws[i]);
    }
    buf_printf(b, " d%ld u%d;", (long)t->distance_mm, t->tries_used);
}

static void hash_said(struct buf *b, const struct hand_in *h)
{
    for (size_t i = 0; i < h->cue_count; i++) {
        buf_printf(b, "c%lld ", (long long)h->cues[i]);
    }
    for (size_t i = 0; i < h->answer_count; i++) {
        buf_printf(b, "q%lld=%lld ", (long long)h->answers[i].question,
                   (long long)h->answers[i].choice);
    }
    buf_printf(b, "t%lld k%lld", (long long)h->target, (long long)h->kit);
    const char *const words[] = {h->felt, h->place, h->counted_by, h->could_not};
    for (size_t i = 0; i < sizeof words / sizeof *words; i++) {
        buf_printf(b, " %s", words[i] ? words[i] : "-");
    }
}

static int by_id(const void *a, const void *b)
{
    int64_t x = *(const int64_t *)a, y = *(const int64_t *)b;
    return x < y ? -1 : x > y;
}

static int by_question(const void *a, const void *b)
{
    return by_id(&((const struct hand_in_answer *)a)->question,
                 &((const struct hand_in_answer *)b)->question);
}

/* Cues and answers are sets: however they were sent, they are stored and compared in this order. */
static void put_in_order(struct hand_in *h)
{
    qsort(h->cues, h->cue_count, sizeof *h->cues, by_id);
    qsort(h->answers, h->answer_count, sizeof *h->answers, by_question);
}

void hand_in_content_hash(struct request *rq, struct hand_in_input *in)
{
    struct hand_in *h = &in->h;
    struct hand_in ordered = *h;
    put_in_order(&ordered);
    struct buf b;
    buf_init(&b, rq->mem);
    buf_printf(&b, "1 %lld %lld on%d ", (long long)h->challenge.v, (long long)h->version.v,
               in->has_done_on ? (int)in->done_on : 0);
    for (size_t i = 0; i < in->tried_count; i++) {
        hash_attempt(&b, &in->tried[i]);
    }
    hash_said(&b, &ordered);
    digest32(b.data, b.len, h->content_hash);
}

/* Days and times ------------------------------------------------------------------------------- */

static bool by_staff(const struct hand_in *h)
{
    return h->entered_by.v != 0;
}

static enum err check_not_ahead(struct request *rq, const struct hand_in_input *in, int32_t today)
{
    return in->has_done_on && in->done_on > today
               ? request_blame(rq, "/done_on", "in_future", NULL)
               : OK;
}

static enum err check_not_old(struct request *rq, const struct hand_in_input *in, int32_t today)
{
    return in->has_done_on && in->done_on < today - DAYS_BACK && !by_staff(&in->h)
               ? request_blame(rq, "/done_on", "too_old", NULL)
               : OK;
}

/* The steps ------------------------------------------------------------------------------------ */

static enum err look_up(struct request *rq, const struct hand_in *h, struct hand_in_about *about)
{
    enum err e = challenge_get(rq->mem, rq->store, h->challenge, &about->challenge);
    if (e == OK) {
        e = activity_load(rq->store, about->challenge.revision, &about->activity);
    }
    return e;
}

static enum err load_history(struct request *rq, const struct hand_in *h,
                             struct hand_in_about *about)
{
    const struct hand_in_scope scope = {.pupil = h->pupil,
                                        .activity = about->activity->id,
                                        .from_day = school_year_first(clock_day(rq->now))};
    return hand_ins_of_pupil_activity(rq->store, rq->mem, &scope, &about->history);
}

/* Whose it is first, then the day: a child of another class learns nothing about dates. */
static enum err find_spans(struct request *rq, const struct hand_in *h,
                           struct challenge_spans *out)
{
    int32_t today = clock_day(rq->now);
    const struct challenge_spans_ask ask = {
        .pupil = h->pupil, .challenge = h->challenge, .today = today,
        .done_day = h->done_day < today ? h->done_day : today,
    };
    enum err e = challenge_spans(rq->mem, rq->store, &ask, out);
    return e == OK && !out->mine ? ERR_NOT_FOUND : e;
}

static enum err not_too_often(struct request *rq, const struct hand_in *h)
{
    int64_t sent = 0;
    enum err e = hand_ins_count_since(rq->store, h->pupil, h->challenge,
                                      clock_day_start(clock_day(rq->now)), &sent);
    return e == OK && sent >= A_DAY ? ERR_ENOUGH_TODAY : e;
}

static enum err take_again(struct request *rq, struct hand_in_input *in, int64_t seq,
                           struct hand_in_about *about)
{
    enum err e = hand_in_by_seq(rq->store, seq, &in->h);
    if (e == OK) {
        e = look_up(rq, &in->h, about);
    }
    return e == OK ? load_history(rq, &in->h, about) : e;
}

static enum err admit(struct request *rq, struct hand_in_input *in, struct hand_in_about *about)
{
    int32_t today = clock_day(rq->now);
    struct challenge_spans spans;
    in->h.done_day = in->has_done_on ? in->done_on : today;
    in->h.received_at = rq->now;
    enum err e = look_up(rq, &in->h, about);
    if (e == OK) {
        e = find_spans(rq, &in->h, &spans);
    }
    if (e == OK) {
        e = check_not_ahead(rq, in, today);
    }
    if (e == OK) {
        const struct challenge_done done = {in->h.done_day, in->has_done_on, rq->now};
        e = challenge_takes(&spans, &done, &in->h.after_date);
    }
    if (e == OK) {
        e = check_not_old(rq, in, today);
    }
    if (e == OK) {
        e = not_too_often(rq, &in->h);
    }
    if (e == OK) {
        in->h.activity = about->activity->id;
        in->h.revision = about->activity->revision;
        in->h.unit = about->challenge.unit;
        in->h.lower_is_better = about->activity->lower_is_better;
        e = load_history(rq, &in->h, about);
    }
    return e;
}

enum err hand_in_take(struct request *rq, struct hand_in_input *in, struct hand_in_about *about,
                      enum hand_in_outcome *outcome)
{
    *about = (struct hand_in_about){0};
    *outcome = HAND_IN_REPEAT;
    hand_in_content_hash(rq, in);
    int64_t seq = 0;
    enum err e = hand_in_known(rq->store, &in->h, &seq);
    if (e != OK || seq != 0) {
        return e != OK ? e : take_again(rq, in, seq, about);
    }
    e = admit(rq, in, about);
    if (e == OK) {
        e = hand_in_check(rq, in, about);
    }
    if (e == OK) {
        put_in_order(&in->h);
        e = hand_in_store(rq->store, &in->h, outcome);
    }
    if (e == OK) {
        e = upkeep_used(rq->store, rq->now);
    }
    in->h.state = in->h.surprising ? HAND_IN_TO_CHECK : HAND_IN_COUNTS;
    return e;
}
