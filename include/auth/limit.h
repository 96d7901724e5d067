/* SPDX-License-Identifier: MIT
 * Throttles that slow guessing and never lock anybody out for good. Token buckets in fixed tables
 * (4096 slots a kind, the oldest evicted), in memory only; keys are keyed hashes. Thread-safe.
 * Times are clock_mono_ms(). */
#pragma once

#include <stdbool.h>
#include <stdint.h>

struct limiter;

enum limit_kind {
    LIMIT_CLIENT_RATE,      /* requests without a session: 20/s, burst 60                 */
    LIMIT_SESSION_RATE,     /* requests of one session: the same                          */
    LIMIT_CARD_WRONG,       /* well-formed wrong card codes of a client: 60, then 30/h    */
    LIMIT_CARD_TIGHT,       /* the same while the school is under fire: 5 a day           */
    LIMIT_CARD_WINDOW,      /* a class signs in: 300 more for this client, then 15/min    */
    LIMIT_CARD_PAST,        /* beyond those: right codes of that class still open: 3000   */
    LIMIT_PASS_STRANGER,    /* a: account x unknown browser: 10, then one a minute        */
    LIMIT_PASS_DEVICE,      /* b: account x known browser: 10, then one in 30 s           */
    LIMIT_PASS_CLIENT,      /* c: client: 30, then 6 a minute                             */
    LIMIT_PHRASE,           /* two-part family card: 5 in 15 minutes a card               */
    LIMIT_KINDS
};

struct limiter *limiter_new(void *ctx);     /* freed with talloc_free (has a destructor) */
/* Rates of the first two kinds (settings); 0 keeps the default. Before threads start. */
void limiter_set_rate(struct limiter *l, int per_s, int burst);

/* Takes a token. False: none left; *retry_after_s (may be NULL) says when there will be one. */
bool limit_take(struct limiter *l, enum limit_kind kind, uint64_t key, int64_t now_ms,
                int *retry_after_s);
/* Puts one back: what was taken for a try that turned out right. */
void limit_give(struct limiter *l, enum limit_kind kind, uint64_t key, int64_t now_ms);

/* The sign-in window: for 20 minutes this client's typed codes for this class get more room. */
void limit_window_open(struct limiter *l, uint64_t client, int64_t class_id, int64_t now_ms);
/* The classes whose window is open for this client; returns how many (at most max). */
int limit_windows(struct limiter *l, uint64_t client, int64_t now_ms, int64_t *classes, int max);

/* A typed card code that is well formed and about to be looked up. The verdict carries what was
 * taken to limit_card_right; limit_card_wrong follows otherwise, unless .may is MAY_NOT. */
struct card_verdict {
    /* CLASS: only cards of a class whose window is open */
    enum { CARD_MAY_NOT, CARD_MAY_ANY, CARD_MAY_CLASS } may;
    enum limit_kind taken;
    bool quiet;             /* a wrong code answers 429, not 401 */
    int retry_after_s;
};
struct card_verdict limit_card_ask(struct limiter *l, uint64_t client, int64_t now_ms);
void limit_card_right(struct limiter *l, const struct card_verdict *v, uint64_t client,
                      int64_t now_ms);
/* Counts towards the school's ceilings: above 500 a day each client keeps five more; above 5,000
 * only clients that had a right code that day go on. Logs an alarm at 60 an hour. */
void limit_card_wrong(struct limiter *l, int64_t now_ms);
