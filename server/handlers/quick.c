/* SPDX-License-Identifier: MIT
 * POST /quick: tries from a form without script. The card's code is the whole sign-in (under the
 * same throttles, no cookie, no session); the rules are those of any other hand-in. Either the
 * hand-in is stored and the child is led to the thank-you page, or nothing is stored and the form
 * comes back with what to mend. A form sent twice within ten minutes is one hand-in. */
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

/* Who ------------------------------------------------------------------------------------------ */

static const char *code_sentence(const char *code)
{
    if (strcmp(code, "required") == 0) {
        return "Write the letters from your card.";
    }
    if (strcmp(code, "letter") == 0) {
        return "One of those letters is not on any card.";
    }
    if (strcmp(code, "length") == 0) {
        return "There are nine letters. Some are missing, or too many.";
    }
    return "One letter is wrong. Look at your card again.";
}

/* OK also with a fault noted; an error ends the request. */
static enum err find_card(struct quick *q, struct card_row *card)
{
    const char *typed = q->typed[QUICK_CODE];
    enum err e = card_find_typed(q->rq, typed, strlen(typed), "/code", card);
    if (e == ERR_BAD_INPUT && q->rq->blame_count > 0) {
        q->wrong[QUICK_CODE] = code_sentence(q->rq->blames[0].code);
    } else if (e == ERR_WRONG_SIGN_IN) {
        q->wrong[QUICK_CODE] = "No card has those letters. Look at each letter again.";
    } else if (e != OK) {
        return e;
    } else if (card->holder != CARD_FOR_PUPIL) {
        q->wrong[QUICK_CODE] = "That is a family card. Use the child's card.";
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
        q->wrong[QUICK_CHALLENGE] = list.count == 0
                                        ? "Nothing is open for you just now."
                                        : "You have more than one challenge. Write its number.";
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
        q->wrong[QUICK_CHALLENGE] = "The number has two or three digits. Look at your sheet.";
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
        q->wrong[QUICK_DISTANCE] = "Write the distance in metres. Like this: 3 or 2.5";
    }
    for (int i = 0; i < HAND_IN_ATTEMPTS; i++) {
        int f = QUICK_ATTEMPT + i;
        if (is_blank(q->typed[f])) {
            continue;
        }
        struct tried *t = &in->tried[in->tried_count];
        if (!quick_read_attempt(q->activity, q->typed[f], t)) {
            q->wrong[f] = "Write a number, or the points of each throw.";
        }
        t->distance_mm = distance;
        field_of[in->tried_count++] = (enum quick_field)f;
    }
    if (!is_blank(q->typed[QUICK_COULD_NOT])) {
        in->h.could_not = hand_in_word(hand_in_could_not_words, q->typed[QUICK_COULD_NOT]);
        q->wrong[QUICK_COULD_NOT] = in->h.could_not ? NULL : "Choose one of the list.";
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
            q->wrong_all = "Something is not right. Ask a grown-up to look.";
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

enum err h_quick_post(struct request *rq, struct reply *rp)
{
    struct quick q = {.rq = rq};
    struct card_row card = {0};
    read_form(&q);
    enum err e = take(&q, &card);
    if (e != OK) {
        return e;
    }
    if (any_wrong(&q)) {
        quick_page(&q, reply_html(rq, rp, 422));
        return OK;
    }
    reply_see_other(rp, "/quick/thanks");
    return card_used(rq->store, card.id, clock_day(rq->now));
}
