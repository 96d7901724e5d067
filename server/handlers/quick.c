/* SPDX-License-Identifier: MIT
 * POST /quick: tries from a form without script. The card's code is the whole sign-in (under the
 * same throttles, no cookie, no session); the rules are those of any other hand-in. Either the
 * hand-in is stored and the child is led to the thank-you page, or nothing is stored and the form
 * comes back with what to mend. A form sent twice within ten minutes is one hand-in.
 *
 * The form speaks the languages of web/msg: ?lang=pl, kept through the POST by a hidden field. */
#include <string.h>

#include "auth/card_find.h"
#include "base/clock.h"
#include "base/mem.h"
#include "base/rand.h"
#include "base/text.h"
#include "handlers/handlers.h"
#include "hand_in_internal.h"
#include "quick_internal.h"
#include "store/challenges.h"
#include "store/school.h"

enum { TWICE_S = 600 };

static void read_form(struct quick *q)
{
    for (int f = 0; f < QUICK_FIELDS; f++) {
        const char *value = form_get(q->rq->form, quick_names[f]);
        q->typed[f] = value ? value : "";
    }
}

static bool is_blank(const char *s)
{
    return s[strspn(s, " \t\r\n")] == '\0';
}

static bool any_wrong(const struct quick *q)
{
    bool wrong = q->wrong_all != NULL;
    for (int f = 0; f < QUICK_FIELDS; f++) {
        wrong = wrong || q->wrong[f];
    }
    return wrong;
}

static void wrong(struct quick *q, enum quick_field f, const char *key)
{
    q->wrong[f] = words_say(q->language, key);
}

/* Who ------------------------------------------------------------------------------------------ */

static const char *code_key(const char *code)
{
    if (strcmp(code, "required") == 0) {
        return "quick.code_required";
    }
    if (strcmp(code, "letter") == 0) {
        return "quick.code_letter";
    }
    if (strcmp(code, "length") == 0) {
        return "quick.code_length";
    }
    return "quick.code_check";
}

/* OK also with a fault noted; an error ends the request. */
static enum err find_card(struct quick *q, struct card_row *card)
{
    const char *typed = q->typed[QUICK_CODE];
    enum err e = card_find_typed(q->rq, typed, strlen(typed), "/code", card);
    if (e == ERR_BAD_INPUT && q->rq->blame_count > 0) {
        wrong(q, QUICK_CODE, code_key(q->rq->blames[0].code));
    } else if (e == ERR_WRONG_SIGN_IN) {
        wrong(q, QUICK_CODE, "childerror.wrong-sign-in");
    } else if (e == ERR_TOO_MANY && q->rq->blame_count > 0) {
        wrong(q, QUICK_CODE, "code.ask_teacher");
        q->status = err_info(e)->status;
    } else if (e == ERR_CARD_ENDED) {
        wrong(q, QUICK_CODE, "quick.code_ended");
    } else if (e != OK) {
        return e;
    } else if (card->holder != CARD_FOR_PUPIL) {
        wrong(q, QUICK_CODE, "quick.code_family");
    }
    q->rq->blame_count = 0;
    return OK;
}

/* What ----------------------------------------------------------------------------------------- */

static enum err only_open(struct quick *q, struct pupil_id pupil, struct challenge *out)
{
    struct challenge_list list;
    struct request *rq = q->rq;
    enum err e = challenges_open_for_pupil(rq->mem, rq->store, pupil, rq->now, &list);
    if (e != OK) {
        return e;
    }
    if (list.count == 1) {
        *out = list.rows[0];
    } else {
        wrong(q, QUICK_CHALLENGE, list.count == 0 ? "quick.none_open" : "quick.which");
    }
    return OK;
}

static enum err find_challenge(struct quick *q, struct pupil_id pupil, struct challenge *out)
{
    struct request *rq = q->rq;
    const char *typed = q->typed[QUICK_CHALLENGE];
    char *tidy = text_clean(rq->mem, typed);
    int64_t number = 0;
    enum err e = OK;
    if (is_blank(typed)) {
        e = only_open(q, pupil, out);
    } else if (!tidy || !text_int(tidy, 10, 999, &number)) {
        wrong(q, QUICK_CHALLENGE, "quick.digits");
    } else {
        e = challenge_by_number(rq->mem, rq->store,
                                &(const struct challenge_typed){pupil, (int)number, rq->now}, out);
    }
    if (e == ERR_NOT_FOUND) {
        quick_explain(q, e, NULL, 0);
        e = OK;
    }
    if (e == OK && !q->wrong[QUICK_CHALLENGE]) {
        e = activity_load(rq->store, out->revision, &q->activity);
    }
    return e;
}

static void read_tries(struct quick *q, struct hand_in_input *in, enum quick_field *field_of)
{
    int32_t distance = 0;
    if (!is_blank(q->typed[QUICK_DISTANCE]) &&
        !quick_read_distance(q->typed[QUICK_DISTANCE], &distance)) {
        wrong(q, QUICK_DISTANCE, "quick.how_far");
    }
    for (int i = 0; i < HAND_IN_ATTEMPTS; i++) {
        int f = QUICK_ATTEMPT + i;
        if (is_blank(q->typed[f])) {
            continue;
        }
        struct tried *t = &in->tried[in->tried_count];
        if (!quick_read_attempt(q->activity, q->typed[f], t)) {
            wrong(q, (enum quick_field)f, "quick.a_number");
        }
        t->distance_mm = distance;
        field_of[in->tried_count++] = (enum quick_field)f;
    }
    if (!is_blank(q->typed[QUICK_COULD_NOT])) {
        in->h.could_not = hand_in_word(hand_in_could_not_words, q->typed[QUICK_COULD_NOT]);
        if (!in->h.could_not) {
            wrong(q, QUICK_COULD_NOT, "quick.one_of");
        }
    }
    in->h.confirmed = !is_blank(q->typed[QUICK_CONFIRMED]);
}

/* Storing -------------------------------------------------------------------------------------- */

/* Time-ordered (RFC 9562, version 7), as browsers make them. */
static void make_id(struct request *rq, struct uuid *id)
{
    uint64_t ms = (uint64_t)rq->now * 1000;
    rand_bytes(id->b, sizeof id->b);
    for (int i = 0; i < 6; i++) {
        id->b[i] = (uint8_t)(ms >> (40 - 8 * i));
    }
    id->b[6] = (uint8_t)((id->b[6] & 0x0f) | 0x70);
    id->b[8] = (uint8_t)((id->b[8] & 0x3f) | 0x80);
}

static enum err sent_before(struct request *rq, struct hand_in_input *in, bool *yes)
{
    struct hand_in_list list;
    *yes = false;
    hand_in_content_hash(rq, in);
    enum err e = hand_ins_of_pupil_challenge(rq->store, rq->mem, in->h.pupil, in->h.challenge,
                                             &list);
    for (size_t i = 0; e == OK && i < list.n; i++) {
        const struct hand_in *h = &list.v[i];
        *yes = *yes || (h->received_at > rq->now - TWICE_S && strcmp(h->channel, "quick") == 0 &&
                        memcmp(h->content_hash, in->h.content_hash, HAND_IN_HASH) == 0);
    }
    return e;
}

static bool is_for_the_child(enum err e)
{
    return e == ERR_BAD_INPUT || e == ERR_CONFIRM || e == ERR_NOT_OPEN || e == ERR_CLOSED ||
           e == ERR_ENOUGH_TODAY || e == ERR_NOT_FOUND;
}

static enum err store(struct quick *q, struct hand_in_input *in, const enum quick_field *field_of)
{
    bool twice = false;
    enum err e = sent_before(q->rq, in, &twice);
    if (e != OK || twice) {
        return e;
    }
    struct hand_in_about about;
    enum hand_in_outcome outcome;
    make_id(q->rq, &in->h.id);
    e = hand_in_take(q->rq, in, &about, &outcome);
    if (is_for_the_child(e)) {
        quick_explain(q, e, field_of, in->tried_count);
        if (!any_wrong(q)) {
            q->wrong_all = words_say(q->language, "quick.grown_up");
        }
        return OK;
    }
    return e;
}

static enum err take(struct quick *q, struct card_row *card)
{
    struct hand_in_input *in = mem_new(q->rq->mem, struct hand_in_input);
    enum quick_field field_of[HAND_IN_ATTEMPTS] = {0};
    struct challenge challenge = {0};
    enum err e = find_card(q, card);
    if (e != OK || any_wrong(q)) {
        return e;
    }
    e = find_challenge(q, card->pupil, &challenge);
    if (e != OK || any_wrong(q)) {
        return e;
    }
    in->h.pupil = card->pupil;
    in->h.challenge = challenge.id;
    in->h.channel = hand_in_word(hand_in_channel_words, "quick");
    read_tries(q, in, field_of);
    return any_wrong(q) ? OK : store(q, in, field_of);
}

/* In which language, and whether anybody at the school has read its words. */
static enum err speak(struct quick *q, const char *code)
{
    struct school school;
    enum err e = school_get(q->rq->store, q->rq->mem, &school);
    q->language = language_find(code);
    q->unread = e == OK && language_unread(q->language, &school);
    return e;
}

enum err h_quick_get(struct request *rq, struct reply *rp)
{
    struct quick q = {.rq = rq};
    for (int f = 0; f < QUICK_FIELDS; f++) {
        q.typed[f] = "";
    }
    enum err e = speak(&q, request_query(rq, "lang"));
    if (e == OK) {
        quick_page(&q, reply_html(rq, rp, 200));
    }
    return e;
}

enum err h_quick_thanks_get(struct request *rq, struct reply *rp)
{
    struct quick q = {.rq = rq};
    enum err e = speak(&q, request_query(rq, "lang"));
    if (e == OK) {
        quick_thanks_page(&q, reply_html(rq, rp, 200));
    }
    return e;
}

enum err h_quick_post(struct request *rq, struct reply *rp)
{
    struct quick q = {.rq = rq, .status = 422};
    struct card_row card = {0};
    read_form(&q);
    enum err e = speak(&q, form_get(rq->form, "lang"));
    if (e == OK) {
        e = take(&q, &card);
    }
    if (e != OK) {
        return e;
    }
    if (any_wrong(&q)) {
        quick_page(&q, reply_html(rq, rp, q.status));
        return OK;
    }
    bool english = q.language == &languages[0];
    reply_see_other(rp, english ? "/quick/thanks"
                                : mem_printf(rq->mem, "/quick/thanks?lang=%s", q.language->code));
    return card_used(rq->store, card.id, clock_day(rq->now));
}
