/* SPDX-License-Identifier: MIT
 * Token buckets.
 *
 * A bucket holds time, not tokens: its level is in milliseconds, grows by what has passed up to
 * burst x interval, and a token costs one interval. So there is no rounding to lose tokens by.
 * A table is 512 sets of 8 slots; a new key takes the free or longest unused slot of its set.
 * Forgetting a bucket makes it full again, so eviction can only ever be kind.
 *
 * Threats: guessing of codes and passphrases, from one address or many; and the reverse, somebody
 * using up the throttle of a school's one address to keep a class out. For the second there are
 * the sign-in window, QR codes (never throttled here) and the browser that is known. */
#include "auth/limit.h"

#include <pthread.h>
#include <string.h>

#include "base/log.h"
#include "base/mem.h"

enum {
    SETS = 512,
    WAYS = 8,
    WINDOWS = 64,
    WINDOW_MS = 20 * 60 * 1000,
    DAY_MS = 24 * 3600 * 1000,
    HOUR_MS = 3600 * 1000,
    CEILING_TIGHT = 500,        /* wrong codes a day: each client keeps five more */
    CEILING_CLOSED = 5000,      /* ... and then only clients that have been right today */
    ALARM = 60,                 /* wrong codes an hour: staff should know */
    SUCCESS = LIMIT_KINDS,      /* an extra table: which clients were right today */
};

struct slot {
    uint64_t key;
    int64_t level;      /* ms; in SUCCESS: the day */
    int64_t at;         /* last use; 0: free */
};

struct rate {
    int64_t interval_ms;    /* one token in this time */
    int64_t burst;
};

static const struct rate default_rates[LIMIT_KINDS] = {
    [LIMIT_CLIENT_RATE] = {50, 60},
    [LIMIT_SESSION_RATE] = {50, 60},
    [LIMIT_CARD_WRONG] = {HOUR_MS / 30, 60},
    [LIMIT_CARD_TIGHT] = {DAY_MS / 5, 5},
    [LIMIT_CARD_WINDOW] = {WINDOW_MS / 300, 300},
    [LIMIT_CARD_PAST] = {DAY_MS / 3000, 3000},
    [LIMIT_PASS_STRANGER] = {60 * 1000, 10},
    [LIMIT_PASS_DEVICE] = {30 * 1000, 10},
    [LIMIT_PASS_CLIENT] = {10 * 1000, 30},
    [LIMIT_PHRASE] = {15 * 60 * 1000 / 5, 5},
};

struct window {
    uint64_t client;
    int64_t class_id;
    int64_t until;
};

struct limiter {
    pthread_mutex_t lock;
    struct rate rate[LIMIT_KINDS];
    struct slot table[LIMIT_KINDS + 1][SETS][WAYS];
    struct window window[WINDOWS];
    int64_t day, wrong_today;
    int64_t hour, wrong_hour;
};

static int limiter_end(struct limiter *l)
{
    pthread_mutex_destroy(&l->lock);
    return 0;
}

struct limiter *limiter_new(void *ctx)
{
    struct limiter *l = mem_new(ctx, struct limiter);

    memcpy(l->rate, default_rates, sizeof l->rate);
    pthread_mutex_init(&l->lock, NULL);
    talloc_set_destructor(l, limiter_end);
    return l;
}

void limiter_set_rate(struct limiter *l, int per_s, int burst)
{
    for (int kind = LIMIT_CLIENT_RATE; kind <= LIMIT_SESSION_RATE; kind++) {
        if (per_s > 0) {
            l->rate[kind].interval_ms = per_s < 1000 ? 1000 / per_s : 1;
        }
        if (burst > 0) {
            l->rate[kind].burst = burst;
        }
    }
}

/* The key's slot, or one that is free or longest unused (then *fresh). */
static struct slot *slot_of(struct limiter *l, int kind, uint64_t key, bool *fresh)
{
    struct slot *set = l->table[kind][(key ^ key >> 32) % SETS];
    struct slot *oldest = &set[0];

    for (int i = 0; i < WAYS; i++) {
        if (set[i].at != 0 && set[i].key == key) {
            *fresh = false;
            return &set[i];
        }
        if (set[i].at < oldest->at) {
            oldest = &set[i];
        }
    }
    *fresh = true;
    return oldest;
}

/* The bucket as it stands now. Time never runs backwards here. */
static struct slot *bucket(struct limiter *l, enum limit_kind kind, uint64_t key, int64_t now_ms)
{
    bool fresh;
    struct slot *s = slot_of(l, (int)kind, key, &fresh);
    int64_t full = l->rate[kind].interval_ms * l->rate[kind].burst;
    int64_t now = now_ms > 0 ? now_ms : 1;

    if (fresh) {
        *s = (struct slot){.key = key, .level = full, .at = now};
        return s;
    }
    if (now > s->at) {
        int64_t grown = now - s->at;
        s->level = grown >= full - s->level ? full : s->level + grown;
        s->at = now;
    }
    return s;
}

static bool take(struct limiter *l, enum limit_kind kind, uint64_t key, int64_t now_ms,
                 int *retry_after_s)
{
    struct slot *s = bucket(l, kind, key, now_ms);
    int64_t cost = l->rate[kind].interval_ms;

    if (s->level < cost) {
        if (retry_after_s) {
            *retry_after_s = (int)((cost - s->level + 999) / 1000);
        }
        return false;
    }
    s->level -= cost;
    return true;
}

static void give(struct limiter *l, enum limit_kind kind, uint64_t key, int64_t now_ms)
{
    struct slot *s = bucket(l, kind, key, now_ms);
    int64_t full = l->rate[kind].interval_ms * l->rate[kind].burst;

    s->level += l->rate[kind].interval_ms;
    s->level = s->level > full ? full : s->level;
}

bool limit_take(struct limiter *l, enum limit_kind kind, uint64_t key, int64_t now_ms,
                int *retry_after_s)
{
    pthread_mutex_lock(&l->lock);
    bool ok = take(l, kind, key, now_ms, retry_after_s);
    pthread_mutex_unlock(&l->lock);
    return ok;
}

void limit_give(struct limiter *l, enum limit_kind kind, uint64_t key, int64_t now_ms)
{
    pthread_mutex_lock(&l->lock);
    give(l, kind, key, now_ms);
    pthread_mutex_unlock(&l->lock);
}

static bool has_window(const struct limiter *l, uint64_t client, int64_t now_ms)
{
    for (int i = 0; i < WINDOWS; i++) {
        if (l->window[i].until > now_ms && l->window[i].client == client) {
            return true;
        }
    }
    return false;
}

void limit_window_open(struct limiter *l, uint64_t client, int64_t class_id, int64_t now_ms)
{
    pthread_mutex_lock(&l->lock);
    struct window *to = &l->window[0];
    for (int i = 0; i < WINDOWS; i++) {
        struct window *w = &l->window[i];
        if (w->client == client && w->class_id == class_id) {
            to = w;
            break;
        }
        if (w->until < to->until) {
            to = w;
        }
    }
    *to = (struct window){.client = client, .class_id = class_id, .until = now_ms + WINDOW_MS};
    pthread_mutex_unlock(&l->lock);
}

int limit_windows(struct limiter *l, uint64_t client, int64_t now_ms, int64_t *classes, int max)
{
    int n = 0;

    pthread_mutex_lock(&l->lock);
    for (int i = 0; i < WINDOWS && n < max; i++) {
        const struct window *w = &l->window[i];
        if (w->until > now_ms && w->client == client) {
            classes[n++] = w->class_id;
        }
    }
    pthread_mutex_unlock(&l->lock);
    return n;
}

static void roll(struct limiter *l, int64_t now_ms)
{
    if (now_ms / DAY_MS != l->day) {
        l->day = now_ms / DAY_MS;
        l->wrong_today = 0;
    }
    if (now_ms / HOUR_MS != l->hour) {
        l->hour = now_ms / HOUR_MS;
        l->wrong_hour = 0;
    }
}

static bool right_today(struct limiter *l, uint64_t client)
{
    bool fresh;
    const struct slot *s = slot_of(l, SUCCESS, client, &fresh);
    return !fresh && s->level == l->day;
}

static struct card_verdict card_ask(struct limiter *l, uint64_t client, int64_t now_ms)
{
    struct card_verdict v = {.may = CARD_MAY_ANY, .retry_after_s = HOUR_MS / 1000};
    bool closed = l->wrong_today >= CEILING_CLOSED && !right_today(l, client);

    v.taken = l->wrong_today >= CEILING_TIGHT ? LIMIT_CARD_TIGHT : LIMIT_CARD_WRONG;
    if (!closed && take(l, v.taken, client, now_ms, &v.retry_after_s)) {
        return v;
    }
    if (!has_window(l, client, now_ms)) {
        v.may = CARD_MAY_NOT;
        return v;
    }
    v.may = CARD_MAY_CLASS;
    v.taken = LIMIT_CARD_WINDOW;
    if (take(l, v.taken, client, now_ms, &v.retry_after_s)) {
        return v;
    }
    /* Somebody else on this address has used the window up. Right codes of that class still open;
     * a guess among 19^8 codes for 90 cards, 3,000 times, is a chance of two in 100,000. */
    v.taken = LIMIT_CARD_PAST;
    v.quiet = true;
    if (!take(l, v.taken, client, now_ms, NULL)) {
        v.may = CARD_MAY_NOT;
    }
    return v;
}

struct card_verdict limit_card_ask(struct limiter *l, uint64_t client, int64_t now_ms)
{
    pthread_mutex_lock(&l->lock);
    roll(l, now_ms);
    struct card_verdict v = card_ask(l, client, now_ms);
    pthread_mutex_unlock(&l->lock);
    return v;
}

void limit_card_right(struct limiter *l, const struct card_verdict *v, uint64_t client,
                      int64_t now_ms)
{
    bool fresh;

    pthread_mutex_lock(&l->lock);
    roll(l, now_ms);
    give(l, v->taken, client, now_ms);
    struct slot *s = slot_of(l, SUCCESS, client, &fresh);
    *s = (struct slot){.key = client, .level = l->day, .at = now_ms > 0 ? now_ms : 1};
    pthread_mutex_unlock(&l->lock);
}

void limit_card_wrong(struct limiter *l, int64_t now_ms)
{
    pthread_mutex_lock(&l->lock);
    roll(l, now_ms);
    l->wrong_today++;
    l->wrong_hour++;
    bool alarm = l->wrong_hour == ALARM;
    int64_t today = l->wrong_today;
    pthread_mutex_unlock(&l->lock);
    if (alarm) {
        log_event(LOG_WARN, "many_wrong_card_codes", "this_hour=%d today=%lld", ALARM,
                  (long long)today);
    }
}
