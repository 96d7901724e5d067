/* SPDX-License-Identifier: MIT
 * What a typed card code may do.
 *
 * Four counts stand before a look-up: the near's bucket, the site's and the wide's day, and the
 * ceiling of all. Their numbers nest (60 and 80 and 100 and 5,000), so that whoever has one link
 * cannot use up a home, one home not its neighbours, one network not the school. A code that opens
 * its card is taken back from all of them.
 *
 * Whatever they close, a class whose window is open goes on. At the near where a teacher opened one
 * there is room for a class's mistakes; elsewhere the numbers of site and wide count once more.
 * Chances of a wrongful hit, 19^8 codes: at the ceilings of all, 5,000 a day for 630 cards, one in
 * 15 years of it; by windows, 50,000 a day for the 90 cards of a class, one in 10 years of it. */
#include "limit_internal.h"

#include "base/log.h"

enum {
    CEILING_TIGHT = 500,        /* wrong codes a day: each near keeps five more */
    CEILING_CLOSED = 5000,      /* ... and then only nears that have been right today */
    CEILING_WINDOW = 50000,     /* ... and of those that a class's window let in */
    SITE_A_DAY = 80,
    WIDE_A_DAY = 100,
    ALARM = 60,                 /* wrong codes an hour: staff should know */
};

static bool has_window(const struct limiter *l, uint64_t near, int64_t now_ms)
{
    for (int i = 0; i < LIMIT_WINDOWS; i++) {
        if (l->window[i].until > now_ms && l->window[i].near == near) {
            return true;
        }
    }
    return false;
}

static bool any_window(const struct limiter *l, int64_t now_ms)
{
    for (int i = 0; i < LIMIT_WINDOWS; i++) {
        if (l->window[i].until > now_ms) {
            return true;
        }
    }
    return false;
}

void limit_window_open(struct limiter *l, uint64_t near, int64_t class_id, int64_t now_ms)
{
    pthread_mutex_lock(&l->lock);
    struct limit_window *to = &l->window[0];
    for (int i = 0; i < LIMIT_WINDOWS; i++) {
        struct limit_window *w = &l->window[i];
        if (w->near == near && w->class_id == class_id) {
            to = w;
            break;
        }
        if (w->until < to->until) {
            to = w;
        }
    }
    *to = (struct limit_window){near, class_id, now_ms + LIMIT_WINDOW_MS};
    pthread_mutex_unlock(&l->lock);
}

int limit_windows(struct limiter *l, int64_t now_ms, int64_t *classes, int max)
{
    int n = 0;

    pthread_mutex_lock(&l->lock);
    for (int i = 0; i < LIMIT_WINDOWS && n < max; i++) {
        if (l->window[i].until > now_ms) {
            classes[n++] = l->window[i].class_id;
        }
    }
    pthread_mutex_unlock(&l->lock);
    return n;
}

static void roll(struct limiter *l, int64_t now_ms)
{
    if (now_ms / LIMIT_DAY_MS != l->day) {
        l->day = now_ms / LIMIT_DAY_MS;
        l->wrong_today = 0;
        l->wrong_today_window = 0;
    }
    if (now_ms / LIMIT_HOUR_MS != l->hour) {
        l->hour = now_ms / LIMIT_HOUR_MS;
        l->wrong_hour = 0;
    }
}

/* Is there room left in the day of the try's site and wide? */
static bool day_has_room(struct limiter *l, const struct card_try *t, bool window)
{
    return limit_count(l, window ? TABLE_SITE_WINDOW : TABLE_SITE, t->from.site, t->now_ms) <
               SITE_A_DAY &&
           limit_count(l, window ? TABLE_WIDE_WINDOW : TABLE_WIDE, t->from.wide, t->now_ms) <
               WIDE_A_DAY;
}

static void day_add(struct limiter *l, const struct card_verdict *v, const struct card_try *t,
                    int more)
{
    bool window = v->counted == CARD_COUNTED_WINDOW;

    if (v->counted != CARD_UNCOUNTED) {
        limit_count_add(l, window ? TABLE_SITE_WINDOW : TABLE_SITE, t->from.site, more, t->now_ms);
        limit_count_add(l, window ? TABLE_WIDE_WINDOW : TABLE_WIDE, t->from.wide, more, t->now_ms);
    }
}

/* Any card, while nothing is used up. */
static bool ask_any(struct limiter *l, const struct card_try *t, struct card_verdict *v)
{
    bool tight = l->wrong_today >= CEILING_TIGHT && !t->family;
    bool closed = l->wrong_today >= CEILING_CLOSED &&
                  limit_count(l, TABLE_RIGHT, t->from.near, t->now_ms) == 0;

    if (!t->family && (closed || !day_has_room(l, t, false))) {
        return false;
    }
    v->may = CARD_MAY_ANY;
    v->taken = tight ? LIMIT_CARD_TIGHT : LIMIT_CARD_WRONG;
    v->counted = t->family ? CARD_UNCOUNTED : CARD_COUNTED;
    return limit_bucket_take(l, v->taken, t->from.near, t->now_ms, &v->retry_after_s);
}

/* A class signs in at this near. */
static bool ask_here(struct limiter *l, const struct card_try *t, struct card_verdict *v)
{
    v->may = CARD_MAY_CLASS;
    v->counted = CARD_UNCOUNTED;
    v->taken = LIMIT_CARD_WINDOW;
    if (limit_bucket_take(l, v->taken, t->from.near, t->now_ms, &v->retry_after_s)) {
        return true;
    }
    /* Somebody else on this address has used the window up. Right codes of an open class still
     * open; a guess among 19^8 codes for 90 cards, 3,000 times, is a chance of two in 100,000. */
    v->taken = LIMIT_CARD_PAST;
    v->quiet = true;
    return limit_bucket_take(l, v->taken, t->from.near, t->now_ms, NULL);
}

/* A class signs in somewhere else, or from many homes. */
static bool ask_elsewhere(struct limiter *l, const struct card_try *t, struct card_verdict *v)
{
    if (!any_window(l, t->now_ms) || l->wrong_today_window >= CEILING_WINDOW ||
        !day_has_room(l, t, true)) {
        return false;
    }
    *v = (struct card_verdict){.may = CARD_MAY_CLASS, .taken = LIMIT_KINDS,
                               .counted = CARD_COUNTED_WINDOW};
    return true;
}

static struct card_verdict card_ask(struct limiter *l, const struct card_try *t)
{
    struct card_verdict v = {.retry_after_s = LIMIT_HOUR_MS / 1000};

    if (!ask_any(l, t, &v) && !(has_window(l, t->from.near, t->now_ms) && ask_here(l, t, &v)) &&
        !ask_elsewhere(l, t, &v)) {
        v.may = CARD_MAY_NOT;
    } else {
        day_add(l, &v, t, 1);
    }
    return v;
}

struct card_verdict limit_card_ask(struct limiter *l, const struct card_try *t)
{
    pthread_mutex_lock(&l->lock);
    roll(l, t->now_ms);
    struct card_verdict v = card_ask(l, t);
    pthread_mutex_unlock(&l->lock);
    return v;
}

void limit_card_right(struct limiter *l, const struct card_verdict *v, const struct card_try *t)
{
    pthread_mutex_lock(&l->lock);
    roll(l, t->now_ms);
    if (v->taken != LIMIT_KINDS) {
        limit_bucket_give(l, v->taken, t->from.near, t->now_ms);
    }
    day_add(l, v, t, -1);
    if (limit_count(l, TABLE_RIGHT, t->from.near, t->now_ms) == 0) {
        limit_count_add(l, TABLE_RIGHT, t->from.near, 1, t->now_ms);
    }
    pthread_mutex_unlock(&l->lock);
}

void limit_card_wrong(struct limiter *l, const struct card_verdict *v, const struct card_try *t)
{
    pthread_mutex_lock(&l->lock);
    roll(l, t->now_ms);
    l->wrong_today += v->counted == CARD_COUNTED;
    l->wrong_today_window += v->counted == CARD_COUNTED_WINDOW;
    l->wrong_hour++;
    bool alarm = l->wrong_hour == ALARM;
    int64_t today = l->wrong_today;
    pthread_mutex_unlock(&l->lock);
    if (alarm) {
        log_event(LOG_WARN, "many_wrong_card_codes", "this_hour=%d today=%lld", ALARM,
                  (long long)today);
    }
}
