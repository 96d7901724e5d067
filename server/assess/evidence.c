/* SPDX-License-Identifier: MIT
 * What was observed, as the set of pooled outcome vectors it allows. Throws that are known add one
 * vector; a total adds every way to make it; a reached cap adds every number of hits from it on.
 * The set is built attempt by attempt in an open-addressed table, so that its size is that of the
 * answer and not of the space. */
#include <math.h>

#include "assess/band_zones.h"
#include "assess/special.h"
#include "ways_internal.h"

/* Tried with a small table first: most evidence is a few dozen vectors. */
enum { SLOTS_FIRST = 128, SLOTS_MOST = 2 * EVIDENCE_MOST };
#define WAYS_MOST 2e6               /* of one attempt of which only the total is known */

struct slot {
    uint64_t key;               /* 0: free; else 1 + vector in base `base` */
    double orders;
};

struct pool {
    struct points pts;
    uint64_t base;
    struct slot *slots;
    size_t size, used;          /* at most half of it is used */
    bool full;
};

static bool pool_add(struct pool *p, uint64_t key, double orders)
{
    size_t at = (size_t)((key * UINT64_C(0x9E3779B97F4A7C15)) >> 32) % p->size;
    while (p->slots[at].key != 0 && p->slots[at].key != key) {
        at = (at + 1) % p->size;
    }
    if (p->slots[at].key == 0) {
        if (p->used == p->size / 2) {
            p->full = true;
            return false;
        }
        p->used++;
        p->slots[at].key = key;
    }
    p->slots[at].orders += orders;
    return true;
}

static bool fits(const struct points *pts, const struct outcome *o, const int *c)
{
    int sum = 0;
    for (int z = 0; z < pts->n; z++) {
        sum += pts->p[z] * c[z];
    }
    return o->at_least ? sum >= o->total : sum == o->total;
}

/* Every vector so far, and one way of this attempt. Keys of one attempt's way simply add. */
static bool pool_way(struct pool *to, const struct pool *from, const int *c, int throws)
{
    uint64_t add = 0;
    for (int z = from->pts.n - 1; z > 0; z--) {
        add = add * from->base + (uint64_t)c[z];
    }
    double orders = ways_orders(c, from->pts.n, throws);
    for (size_t i = 0; i < from->size; i++) {
        const struct slot *s = &from->slots[i];
        if (s->key != 0 && !pool_add(to, s->key + add, s->orders * orders)) {
            return false;
        }
    }
    return true;
}

static bool pool_attempt(struct pool *to, const struct pool *from, const struct outcome *o)
{
    int c[SCORE_ZONES_MAX];
    ways_first(c, from->pts.n, o->throws);
    do {
        if (fits(&from->pts, o, c) && !pool_way(to, from, c, o->throws)) {
            return false;
        }
    } while (ways_next(c, from->pts.n));
    return to->used > 0;
}

static void pool_scale(struct pool *p)
{
    double most = 0;
    for (size_t i = 0; i < p->size; i++) {
        most = fmax(most, p->slots[i].orders);
    }
    for (size_t i = 0; i < p->size && most > 1e100; i++) {
        p->slots[i].orders /= most;
    }
}

static bool pool_totals(struct pool *p, struct outcomes o, struct room *w)
{
    if (!pool_add(p, 1, 1)) {
        return false;
    }
    for (size_t i = 0; i < o.n; i++) {
        if (o.v[i].known) {
            continue;
        }
        size_t mark = w->used;
        struct pool next = {.pts = p->pts, .base = p->base, .size = p->size};
        next.slots = ROOM_TAKE(w, struct slot, next.size);
        if (next.slots == NULL || !pool_attempt(&next, p, &o.v[i])) {
            p->full = next.full;
            return false;
        }
        for (size_t s = 0; s < p->size; s++) {
            p->slots[s] = next.slots[s];
        }
        p->used = next.used;
        pool_scale(p);
        w->used = mark;
    }
    return true;
}

/* What is known for certain, and how much is not. */
struct sure {
    int known[SCORE_ZONES_MAX];
    int unknown;                /* throws */
};

static bool add_up(struct outcomes o, struct sure *sure, struct evidence *out)
{
    for (size_t i = 0; i < o.n; i++) {
        const struct outcome *a = &o.v[i];
        if (a->throws < 1 || a->throws > SCORE_THROWS_MAX ||
            (!a->known && ways_count(a->throws, out->zones) > WAYS_MOST)) {
            return false;
        }
        out->attempts += !a->part;
        out->throws += a->throws;
        sure->unknown += a->known ? 0 : a->throws;
        for (int z = 0; a->known && z < out->zones; z++) {
            sure->known[z] += a->counts[z];
        }
    }
    return true;
}

static bool base_of(int unknown, int zones, uint64_t *base)
{
    uint64_t most = 1;
    *base = (uint64_t)unknown + 1;
    for (int z = 1; z < zones; z++) {
        if (__builtin_mul_overflow(most, *base, &most)) {
            return false;
        }
    }
    return most < UINT64_MAX;
}

/* known + slot's vector -> u; its weight as a logarithm */
static double unfold(const struct pool *p, const struct slot *s, const struct sure *sure, int *u)
{
    uint64_t key = s->key - 1;
    int rest = sure->unknown;
    for (int z = 1; z < p->pts.n; z++) {
        int c = (int)(key % p->base);
        key /= p->base;
        rest -= c;
        u[z] = sure->known[z] + c;
    }
    u[0] = sure->known[0] + rest;
    return log(s->orders);
}

static double ln_rise(double a, int n)
{
    return special_ln_gamma(a + n) - special_ln_gamma(a);
}

static void even_out(double *weight, size_t n)
{
    double most = -INFINITY, sum = 0;
    for (size_t i = 0; i < n; i++) {
        most = fmax(most, weight[i]);
    }
    for (size_t i = 0; i < n; i++) {
        weight[i] = exp(weight[i] - most);
        sum += weight[i];
    }
    for (size_t i = 0; i < n; i++) {
        weight[i] /= sum;
    }
}

static bool write_out(const struct pool *p, const struct sure *sure, double alpha,
                      struct evidence *out, struct room *w)
{
    int *u = ROOM_TAKE(w, int, p->used * (size_t)p->pts.n);
    double *weight = ROOM_TAKE(w, double, p->used);
    if (u == NULL || weight == NULL) {
        return false;
    }
    size_t n = 0;
    for (size_t i = 0; i < p->size; i++) {
        if (p->slots[i].key == 0) {
            continue;
        }
        int *at = u + n * (size_t)p->pts.n;
        weight[n] = unfold(p, &p->slots[i], sure, at);
        for (int z = 0; z < p->pts.n; z++) {
            weight[n] += ln_rise(alpha, at[z]);
        }
        n++;
    }
    even_out(weight, n);
    out->n = n;
    out->u = u;
    out->weight = weight;
    return true;
}

/* Every throw known: one vector, and no table to look it up in. */
static bool write_known(const struct sure *sure, struct evidence *out, struct room *w)
{
    int *u = ROOM_TAKE(w, int, (size_t)out->zones);
    double *weight = ROOM_TAKE(w, double, 1);
    if (u == NULL || weight == NULL) {
        return false;
    }
    for (int z = 0; z < out->zones; z++) {
        u[z] = sure->known[z];
    }
    weight[0] = 1;
    out->n = 1;
    out->u = u;
    out->weight = weight;
    return true;
}

bool evidence_make(const struct scoring *s, struct outcomes o, double alpha, struct room *w,
                   struct evidence *out)
{
    struct pool p = {0};
    struct sure sure = {0};
    points_of(s, &p.pts);
    *out = (struct evidence){.zones = p.pts.n};
    if (p.pts.n < 1 || !add_up(o, &sure, out) || !base_of(sure.unknown, p.pts.n, &p.base)) {
        return false;
    }
    if (sure.unknown == 0) {
        return write_known(&sure, out, w);
    }
    bool done = false;
    size_t mark = w->used;
    p.full = true;
    for (size_t size = SLOTS_FIRST; !done && p.full && size <= SLOTS_MOST; size *= 8) {
        w->used = mark;
        p.full = false;
        p.used = 0;
        p.size = size;
        p.slots = ROOM_TAKE(w, struct slot, size);
        done = p.slots != NULL && pool_totals(&p, o, w);
    }
    return done && write_out(&p, &sure, alpha, out, w);
}

bool outcome_of(const struct scoring *s, const struct tried *t, bool part, struct outcome *out)
{
    struct points pts;
    points_of(s, &pts);
    int used = t->tries_used > 0 ? t->tries_used : s->throws;
    *out = (struct outcome){
        .total = (int)t->value, .part = part,
        .throws = t->throw_count > 0 ? t->throw_count : used,
    };
    for (int i = 0; i < t->throw_count; i++) {
        int z = 0;
        while (z < pts.n && pts.p[z] != t->throws[i]) {
            z++;
        }
        if (z == pts.n) {
            return false;
        }
        out->counts[z]++;
    }
    out->known = t->throw_count > 0;
    if (!out->known && s->kind == SCORE_SUCCESSES) {
        out->at_least = s->cap > 0 && t->value == s->cap && t->tries_used == 0;
        out->known = !out->at_least && t->value <= used;
        out->counts[0] = used - out->total;
        out->counts[1] = out->total;
    }
    return true;
}
