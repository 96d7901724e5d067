/* SPDX-License-Identifier: MIT
 * Token buckets and counters of a day.
 *
 * A bucket holds time, not tokens: its level is in milliseconds, grows by what has passed up to
 * burst x interval, and a token costs one interval. So there is no rounding to lose tokens by.
 * A table is 512 sets of 8 slots; a new key takes the free or longest unused slot of its set.
 * Forgetting a bucket makes it full again, so eviction can only ever be kind.
 *
 * Threats: guessing of codes and passphrases, from one address or many; and the reverse, somebody
 * using up the throttle of a school's one address to keep a class or its staff out. For the second
 * there are the sign-in window, QR codes (never throttled here), the browser that is known, and
 * that an address counts for nothing by itself while somebody there is signed in. */
#include "limit_internal.h"

#include <string.h>

#include "base/mem.h"

enum {
    COUNT_SPAN = 1 << 20,                   /* a counter is day * span + how many */
    PRESENT_MS = 20 * 60 * 1000,
};

static const struct limit_rate default_rates[LIMIT_KINDS] = {
    [LIMIT_CLIENT_RATE] = {50, 60},
    [LIMIT_DEVICE_RATE] = {50, 60},
    [LIMIT_SESSION_RATE] = {50, 60},
    [LIMIT_CARD_WRONG] = {LIMIT_HOUR_MS / 30, 60},
    [LIMIT_CARD_TIGHT] = {LIMIT_DAY_MS / 5, 5},
    [LIMIT_CARD_WINDOW] = {LIMIT_WINDOW_MS / 300, 300},
    [LIMIT_CARD_PAST] = {LIMIT_DAY_MS / 3000, 3000},
    [LIMIT_PASS_ADDRESS] = {60 * 1000, 10},
    [LIMIT_PASS_WIDE] = {30 * 1000, 30},
    [LIMIT_PASS_DEVICE] = {30 * 1000, 10},
    [LIMIT_PASS_CLIENT] = {10 * 1000, 30},
    [LIMIT_PASS_ACCOUNT] = {10 * 1000, 100},
    [LIMIT_PHRASE] = {15 * 60 * 1000 / 5, 5},
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

struct limit_slot *limit_slot_of(struct limiter *l, int table, uint64_t key, bool *fresh)
{
    struct limit_slot *set = l->table[table][(key ^ key >> 32) % LIMIT_SETS];
    struct limit_slot *oldest = &set[0];

    for (int i = 0; i < LIMIT_WAYS; i++) {
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
static struct limit_slot *bucket(struct limiter *l, enum limit_kind kind, uint64_t key,
                                 int64_t now_ms)
{
    bool fresh;
    struct limit_slot *s = limit_slot_of(l, (int)kind, key, &fresh);
    int64_t full = l->rate[kind].interval_ms * l->rate[kind].burst;
    int64_t now = now_ms > 0 ? now_ms : 1;

    if (fresh) {
        *s = (struct limit_slot){.key = key, .level = full, .at = now};
        return s;
    }
    if (now > s->at) {
        int64_t grown = now - s->at;
        s->level = grown >= full - s->level ? full : s->level + grown;
        s->at = now;
    }
    return s;
}

bool limit_bucket_take(struct limiter *l, enum limit_kind kind, uint64_t key, int64_t now_ms,
                       int *retry_after_s)
{
    struct limit_slot *s = bucket(l, kind, key, now_ms);
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

void limit_bucket_give(struct limiter *l, enum limit_kind kind, uint64_t key, int64_t now_ms)
{
    struct limit_slot *s = bucket(l, kind, key, now_ms);
    int64_t full = l->rate[kind].interval_ms * l->rate[kind].burst;

    s->level += l->rate[kind].interval_ms;
    s->level = s->level > full ? full : s->level;
}

bool limit_take(struct limiter *l, enum limit_kind kind, uint64_t key, int64_t now_ms,
                int *retry_after_s)
{
    pthread_mutex_lock(&l->lock);
    bool ok = limit_bucket_take(l, kind, key, now_ms, retry_after_s);
    pthread_mutex_unlock(&l->lock);
    return ok;
}

void limit_give(struct limiter *l, enum limit_kind kind, uint64_t key, int64_t now_ms)
{
    pthread_mutex_lock(&l->lock);
    limit_bucket_give(l, kind, key, now_ms);
    pthread_mutex_unlock(&l->lock);
}

/* Counters of a day ---------------------------------------------------------------------------- */

static int64_t today_zero(int64_t now_ms)
{
    return now_ms / LIMIT_DAY_MS * COUNT_SPAN;
}

int limit_count(struct limiter *l, enum limit_table table, uint64_t key, int64_t now_ms)
{
    bool fresh;
    const struct limit_slot *s = limit_slot_of(l, (int)table, key, &fresh);

    return fresh || s->level < today_zero(now_ms) ? 0 : (int)(s->level - today_zero(now_ms));
}

void limit_count_add(struct limiter *l, enum limit_table table, uint64_t key, int more,
                     int64_t now_ms)
{
    bool fresh;
    int64_t n = limit_count(l, table, key, now_ms) + more;
    struct limit_slot *s = limit_slot_of(l, (int)table, key, &fresh);

    *s = (struct limit_slot){.key = key, .level = today_zero(now_ms) + (n > 0 ? n : 0),
                             .at = now_ms > 0 ? now_ms : 1};
}

/* Who is where --------------------------------------------------------------------------------- */

void limit_seen(struct limiter *l, uint64_t near, int64_t now_ms)
{
    bool fresh;

    pthread_mutex_lock(&l->lock);
    struct limit_slot *s = limit_slot_of(l, TABLE_PRESENT, near, &fresh);
    *s = (struct limit_slot){.key = near, .at = now_ms > 0 ? now_ms : 1};
    pthread_mutex_unlock(&l->lock);
}

bool limit_is_there(struct limiter *l, uint64_t near, int64_t now_ms)
{
    bool fresh;

    pthread_mutex_lock(&l->lock);
    const struct limit_slot *s = limit_slot_of(l, TABLE_PRESENT, near, &fresh);
    bool there = !fresh && now_ms - s->at < PRESENT_MS;
    pthread_mutex_unlock(&l->lock);
    return there;
}
