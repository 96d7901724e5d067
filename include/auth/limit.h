/* SPDX-License-Identifier: MIT
 * Throttles that slow guessing and never lock anybody out for good. Token buckets and counters of a
 * day in fixed tables (4096 slots a kind, the oldest evicted), in memory only; keys are keyed
 * hashes. Thread-safe. Times are clock_mono_ms(). */
#pragma once

#include <stdbool.h>
#include <stdint.h>

#include "base/client.h"

struct limiter;

enum limit_kind {
    LIMIT_CLIENT_RATE,      /* requests without a session: 20/s, burst 60                 */
    LIMIT_DEVICE_RATE,      /* the same of a browser that somebody signed in on: the same */
    LIMIT_SESSION_RATE,     /* requests of one session: the same                          */
    LIMIT_CARD_WRONG,       /* well-formed wrong card codes of a near: 60, then 30/h      */
    LIMIT_CARD_TIGHT,       /* the same while the school is under fire: 5 a day           */
    LIMIT_CARD_WINDOW,      /* a class signs in: 300 more for this near, then 15/min      */
    LIMIT_CARD_PAST,        /* beyond those: right codes of an open class still open: 3000 */
    LIMIT_PASS_ADDRESS,     /* account x near, unknown browser: 10, then one a minute     */
    LIMIT_PASS_WIDE,        /* account x wide, unknown browser: 30, then two a minute     */
    LIMIT_PASS_DEVICE,      /* account x known browser: 10, then one in 30 s              */
    LIMIT_PASS_CLIENT,      /* near where nobody is signed in: 30, then 6 a minute        */
    LIMIT_PASS_ACCOUNT,     /* account, from such places together: 100, then 6 a minute   */
    LIMIT_PHRASE,           /* two-part family card: 5 in 15 minutes a card               */
    LIMIT_KINDS
};

struct limiter *limiter_new(void *ctx);     /* freed with talloc_free (has a destructor) */
/* Rates of the first three kinds (settings); 0 keeps the default. Before threads start. */
void limiter_set_rate(struct limiter *l, int per_s, int burst);

/* Takes a token. False: none left; *retry_after_s (may be NULL) says when there will be one. */
bool limit_take(struct limiter *l, enum limit_kind kind, uint64_t key, int64_t now_ms,
                int *retry_after_s);
/* Puts one back: what was taken for a try that turned out right. */
void limit_give(struct limiter *l, enum limit_kind kind, uint64_t key, int64_t now_ms);

/* Somebody who is signed in was heard from there; is_there: in the last 20 minutes. */
void limit_seen(struct limiter *l, uint64_t near, int64_t now_ms);
bool limit_is_there(struct limiter *l, uint64_t near, int64_t now_ms);

/* The sign-in window: for 20 minutes codes of this class open wherever they are typed, whatever is
 * used up or closed; at this near with the most room, for a class has one address at school. */
void limit_window_open(struct limiter *l, uint64_t near, int64_t class_id, int64_t now_ms);
/* The classes whose window is open; returns how many (at most max; LIMIT_WINDOWS is enough). */
enum { LIMIT_WINDOWS = 64 };
int limit_windows(struct limiter *l, int64_t now_ms, int64_t *classes, int max);

/* A typed card code that is well formed and about to be looked up. The verdict goes to
 * limit_card_right or limit_card_wrong, unless .may is MAY_NOT. */
struct card_try {
    struct client_keys from;
    bool family;            /* a family's code, of 51 bits: only `near` counts */
    int64_t now_ms;
};
struct card_verdict {
    /* CLASS: only cards of a class whose window is open */
    enum { CARD_MAY_NOT, CARD_MAY_ANY, CARD_MAY_CLASS } may;
    enum limit_kind taken;              /* LIMIT_KINDS: nothing */
    enum { CARD_UNCOUNTED, CARD_COUNTED, CARD_COUNTED_WINDOW } counted;
    bool quiet;             /* a wrong code answers 429, not 401 */
    int retry_after_s;
};
/* The places of a day: a site makes at most 80 wrong codes, a wide 100, so that no site uses up its
 * wide and no wide more than 100 of the ceilings of all: above 500 a day each near keeps five more;
 * above 5,000 only nears that had a right code that day go on. Beyond any of these a class whose
 * window is open goes on, by the same numbers counted apart and 50,000 in all. */
struct card_verdict limit_card_ask(struct limiter *l, const struct card_try *t);
void limit_card_right(struct limiter *l, const struct card_verdict *v, const struct card_try *t);
/* Logs an alarm at 60 an hour. */
void limit_card_wrong(struct limiter *l, const struct card_verdict *v, const struct card_try *t);
