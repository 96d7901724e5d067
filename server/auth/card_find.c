/* SPDX-License-Identifier: MIT
 * Finding the card behind what was typed or scanned.
 *
 * Typed codes are looked up only after the throttle agreed; a mistyped code (its check letter does
 * not fit) costs nothing. A QR's key has 128 bits and needs no throttle of its own.
 * Threats: guessing (the throttle), and using the throttle up to keep a class out (its window). */
#include "auth/card_find.h"

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

/* While a class signs in on a crowded address, only its own cards open. */
static enum err window_allows(struct request *rq, struct card_id card, bool *yes)
{
    int64_t classes[8];
    int32_t today = clock_day(rq->now);
    int n = limit_windows(rq->auth->limiter, rq->client_key, clock_mono_ms(), classes, 8);

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

static enum err look_up(struct request *rq, const char *code, const struct card_verdict *v,
                        struct card_row *out)
{
    uint8_t mac[CARD_HASH];
    bool yes = true;

    card_code_hash(rq->auth->keys, code, mac);
    enum err e = card_by_code(rq->store, rq->mem, mac, rq->now, out);
    if (!e && v->may == CARD_MAY_CLASS) {
        e = window_allows(rq, out->id, &yes);
    }
    return e ? e : yes ? OK : ERR_NOT_FOUND;
}

enum err card_find_typed(struct request *rq, const char *typed, size_t n, const char *pointer,
                         struct card_row *out)
{
    char code[CARD_FAMILY + 1];
    struct limiter *l = rq->auth->limiter;
    enum card_code_fault fault = card_code_read(typed, n, code);

    if (fault != CARD_CODE_OK) {
        return blame_code(rq, pointer, fault);
    }
    struct card_verdict v = limit_card_ask(l, rq->client_key, clock_mono_ms());
    if (v.may == CARD_MAY_NOT) {
        rq->retry_after_s = v.retry_after_s;
        return ERR_TOO_MANY;
    }
    enum err e = look_up(rq, code, &v, out);
    if (e == ERR_NOT_FOUND) {
        limit_card_wrong(l, clock_mono_ms());
        rq->retry_after_s = v.quiet ? v.retry_after_s : 0;
        return v.quiet ? ERR_TOO_MANY : ERR_WRONG_SIGN_IN;
    }
    if (!e) {
        limit_card_right(l, &v, rq->client_key, clock_mono_ms());
    }
    return e;
}

enum err card_find_key(struct request *rq, const char *key, size_t n, const char *pointer,
                       struct card_row *out)
{
    uint8_t hash[CARD_HASH];

    if (!card_key_hash(key, n, hash)) {
        return request_blame(rq, pointer, "not_a_key", NULL);
    }
    enum err e = card_by_key(rq->store, rq->mem, hash, rq->now, out);
    return e == ERR_NOT_FOUND ? ERR_WRONG_SIGN_IN : e;
}
