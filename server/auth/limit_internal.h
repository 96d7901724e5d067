/* SPDX-License-Identifier: MIT
 * Shared by limit.c (buckets, counters) and limit_card.c (what a typed code may do). Whoever calls
 * these holds the lock. */
#pragma once

#include <pthread.h>

#include "auth/limit.h"

enum {
    LIMIT_SETS = 512,
    LIMIT_WAYS = 8,
    LIMIT_DAY_MS = 24 * 3600 * 1000,
    LIMIT_HOUR_MS = 3600 * 1000,
    LIMIT_WINDOW_MS = 20 * 60 * 1000,
};

/* Tables beside those of the buckets. */
enum limit_table {
    TABLE_PRESENT = LIMIT_KINDS,    /* where signed-in people are */
    TABLE_RIGHT,                    /* nears with right codes today */
    TABLE_SITE,                     /* wrong codes today, by site and wide */
    TABLE_WIDE,
    TABLE_SITE_WINDOW,              /* the same, let in by a class's window */
    TABLE_WIDE_WINDOW,
    LIMIT_TABLES
};

struct limit_slot {
    uint64_t key;
    int64_t level;      /* buckets: ms; counters: the day and how many */
    int64_t at;         /* last use; 0: free */
};

struct limit_rate {
    int64_t interval_ms;    /* one token in this time */
    int64_t burst;
};

struct limit_window {
    uint64_t near;
    int64_t class_id;
    int64_t until;
};

struct limiter {
    pthread_mutex_t lock;
    struct limit_rate rate[LIMIT_KINDS];
    struct limit_slot table[LIMIT_TABLES][LIMIT_SETS][LIMIT_WAYS];
    struct limit_window window[LIMIT_WINDOWS];
    int64_t day, wrong_today, wrong_today_window;
    int64_t hour, wrong_hour;
};

/* The key's slot, or one that is free or longest unused (then *fresh). */
struct limit_slot *limit_slot_of(struct limiter *l, int table, uint64_t key, bool *fresh);
bool limit_bucket_take(struct limiter *l, enum limit_kind kind, uint64_t key, int64_t now_ms,
                       int *retry_after_s);
void limit_bucket_give(struct limiter *l, enum limit_kind kind, uint64_t key, int64_t now_ms);

/* Counters of a day (LIMIT_DAY_MS of the clock): they begin at 0 each day. */
int limit_count(struct limiter *l, enum limit_table table, uint64_t key, int64_t now_ms);
/* Adds 1, or -1, never below 0. */
void limit_count_add(struct limiter *l, enum limit_table table, uint64_t key, int more,
                     int64_t now_ms);
