/* SPDX-License-Identifier: MIT
 * Finding the card behind what was typed or scanned.
 *
 * Typed codes are looked up only after the throttle agreed; a mistyped code (its check letter does
 * not fit) costs nothing, and neither does a code that was right on this device before and still
 * is: that is no guess. A code whose card has ended costs what a wrong one does, on every device,
 * and is told apart only where a wrong one is told at all. A QR's key has 128 bits and needs no
 * throttle of its own. Nobody makes one up: one that is not known was on a card that has been
 * deleted since, and is answered as one that has ended.
 * Threats: guessing (the throttle), and using the throttle up to keep a class out (its window). */
#include "auth/card_find.h"

#include <string.h>

#include "auth/auth.h"
#include "auth/card_code.h"
#include "base/clock.h"

static enum err blame_code(struct request *rq, const char *pointer, enum card_code_fault fault)
{
    static const char *const codes[] = {
        [CARD_CODE_OK] = "",          [CARD_CODE_EMPTY] = "required",
        [CARD_CODE_LETTER] = "letter", [CARD_CODE_LENGTH] = "length",
        [CARD_CODE_CHECK] = "check_letter",
    };
    return request_blame(rq, pointer, codes[fault], NULL);
}

/* While a class signs in, only its own cards open. */
static enum err window_allows(struct request *rq, struct card_id card, bool *yes)
{
    int64_t classes[LIMIT_WINDOWS];
    int32_t today = clock_day(rq->now);
    int n = limit_windows(rq->auth->limiter, clock_mono_ms(), classes, LIMIT_WINDOWS);

    *yes = false;
    for (int i = 0; i < n && !*yes; i++) {
        struct class_id in = {classes[i]};
        enum err e = card_in_class(rq->store, card, in, today, yes);
        if (e) {
            return e;
        }
    }
    return OK;
}

static enum err look_up(struct request *rq, const uint8_t mac[static CARD_HASH],
                        const struct card_verdict *v, struct card_row *out)
{
    bool yes = true;
    enum err e = card_by_code(rq->store, rq->mem, mac, rq->now, out);

    if (!e && v->may == CARD_MAY_CLASS) {
        e = window_allows(rq, out->id, &yes);
    }
    return e ? e : yes ? OK : ERR_NOT_FOUND;
}

/* What helps a child who is stopped: a window for the class lets its cards in everywhere. All that
 * stops a family is its own address, for a minute or two. */
static enum err stopped(struct request *rq, const struct card_try *t, const char *pointer,
                        int retry_after_s)
{
    if (!t->family) {
        (void)request_blame(rq, pointer, "ask_teacher", NULL);
    }
    rq->retry_after_s = retry_after_s;
    return ERR_TOO_MANY;
}

static enum err find_guess(struct request *rq, const struct card_try *t, const char *pointer,
                           const uint8_t mac[static CARD_HASH], struct card_row *out)
{
    struct limiter *l = rq->auth->limiter;
    struct card_verdict v = limit_card_ask(l, t);

    if (v.may == CARD_MAY_NOT) {
        return stopped(rq, t, pointer, v.retry_after_s);
    }
    enum err e = look_up(rq, mac, &v, out);
    if (e == ERR_NOT_FOUND || e == ERR_CARD_ENDED) {
        limit_card_wrong(l, &v, t);
        return v.quiet              ? stopped(rq, t, pointer, v.retry_after_s)
               : e == ERR_NOT_FOUND ? ERR_WRONG_SIGN_IN
                                    : e;
    }
    if (!e) {
        limit_card_right(l, &v, t);
    }
    return e;
}

enum err card_find_typed(struct request *rq, const char *typed, size_t n, const char *pointer,
                         struct card_row *out)
{
    char code[CARD_FAMILY + 1];
    uint8_t mac[CARD_HASH];
    struct device device;
    enum card_code_fault fault = card_code_read(typed, n, code);

    if (fault != CARD_CODE_OK) {
        return blame_code(rq, pointer, fault);
    }
    card_code_hash(rq->auth->keys, code, mac);
    auth_device(rq->auth, rq->cookie, &device);
    struct device_of of = device_of_card(mac);
    if (device_knows(rq->auth->keys, &device, &of)) {
        enum err e = card_by_code(rq->store, rq->mem, mac, rq->now, out);
        if (e != ERR_CARD_ENDED) {
            return e == ERR_NOT_FOUND ? ERR_WRONG_SIGN_IN : e;
        }
    }
    struct card_try t = {.from = rq->client, .family = strlen(code) == CARD_FAMILY,
                         .now_ms = clock_mono_ms()};
    return find_guess(rq, &t, pointer, mac, out);
}

enum err card_find_key(struct request *rq, const char *key, size_t n, const char *pointer,
                       struct card_row *out)
{
    uint8_t hash[CARD_HASH];

    if (!card_key_hash(key, n, hash)) {
        return request_blame(rq, pointer, "not_a_key", NULL);
    }
    enum err e = card_by_key(rq->store, rq->mem, hash, rq->now, out);
    return e == ERR_NOT_FOUND ? ERR_CARD_ENDED : e;
}
