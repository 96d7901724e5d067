/* SPDX-License-Identifier: MIT
 * The exact predictive for zones and successes.
 *
 * For a vector v of where all throws of the repeat fall, R(v) counts the orders in which at least
 * k of m attempts reach the line; it comes from a walk over attempts that keeps (how many reached,
 * where the throws fell). R(v) over all orders of v is a share that depends on no child, so it is
 * tabled once; a child's part is a product of rising factorials over the zones. */
#include "assess/band_zones.h"

#include <math.h>
#include <string.h>

#include "ways_internal.h"

enum { THROWS_MOST = 150, STATES_MOST = 2000000 };
#define STEPS_MOST 2e8

struct walk {
    struct points pts;
    int n, m;                   /* throws an attempt, attempts */
    size_t base, states;
    size_t ways;                /* of one attempt */
    size_t *offset;
    int *earned;
    double *orders;
};

static bool walk_open(const struct scoring *s, const struct band_rule *r, struct room *w,
                      struct walk *k)
{
    points_of(s, &k->pts);
    k->n = s->throws;
    k->m = r->m_new;
    if (k->n < 1 || k->m < 1 || k->n > THROWS_MOST || k->m > THROWS_MOST ||
        k->n * k->m > THROWS_MOST || k->pts.n < 1) {
        return false;
    }
    double ways = ways_count(k->n, k->pts.n);
    double states = pow(k->n * k->m + 1, k->pts.n - 1);
    if (states > STATES_MOST || ways * states * k->m * k->m / 2 > STEPS_MOST) {
        return false;
    }
    k->base = (size_t)(k->n * k->m + 1);
    k->states = (size_t)states;
    k->ways = (size_t)ways;
    k->offset = ROOM_TAKE(w, size_t, k->ways);
    k->earned = ROOM_TAKE(w, int, k->ways);
    k->orders = ROOM_TAKE(w, double, k->ways);
    return k->offset != NULL && k->earned != NULL && k->orders != NULL;
}

static size_t state_of(const struct walk *k, const int *c)
{
    size_t at = 0;
    for (int z = k->pts.n - 1; z > 0; z--) {
        at = at * k->base + (size_t)c[z];
    }
    return at;
}

static void walk_fill(struct walk *k)
{
    int c[SCORE_ZONES_MAX];
    size_t i = 0;
    ways_first(c, k->pts.n, k->n);
    do {
        k->offset[i] = state_of(k, c);
        k->earned[i] = points_earned(&k->pts, c);
        k->orders[i] = ways_orders(c, k->pts.n, k->n);
        i++;
    } while (ways_next(c, k->pts.n));
}

/* One attempt more: from layer j to j, or to j + step(way). */
static void walk_layer(const struct walk *k, const double *from, double *to, const size_t *jump)
{
    for (size_t at = 0; at < k->states; at++) {
        if (from[at] == 0) {
            continue;
        }
        for (size_t i = 0; i < k->ways; i++) {      /* no digit of the sum passes n*m */
            to[jump[i] * k->states + at + k->offset[i]] += from[at] * k->orders[i];
        }
    }
}

/* Layers 0..layers-1 after all attempts, in `a`. jump[i]: how many layers way i climbs. */
static double *walk_run(const struct walk *k, size_t layers, const size_t *jump, struct room *w)
{
    double *a = ROOM_TAKE(w, double, layers * k->states);
    double *b = ROOM_TAKE(w, double, layers * k->states);
    size_t most = 0;
    if (a == NULL || b == NULL) {
        return NULL;
    }
    for (size_t i = 0; i < k->ways; i++) {
        most = jump[i] > most ? jump[i] : most;
    }
    a[0] = 1;
    for (int step = 0; step < k->m; step++) {
        memset(b, 0, layers * k->states * sizeof *b);
        for (size_t j = 0; j <= (size_t)step * most; j++) {
            walk_layer(k, a + j * k->states, b + j * k->states, jump);
        }
        double *t = a;
        a = b;
        b = t;
    }
    return a;
}

/* reach[state] = orders in which the line is reached */
static bool reach_line(const struct walk *k, const struct band_rule *r, double line,
                       struct room *w, double *reach)
{
    bool mean = r->stat == BAND_MEAN;
    size_t most = 1, least = (size_t)band_kth(r->stat, k->m);
    size_t *jump = ROOM_TAKE(w, size_t, k->ways);
    if (jump == NULL) {
        return false;
    }
    for (size_t i = 0; i < k->ways; i++) {
        jump[i] = mean ? (size_t)k->earned[i] : (size_t)(k->earned[i] >= line);
        most = jump[i] > most ? jump[i] : most;
    }
    if (mean) {
        double need = fmin(ceil(k->m * line - 1e-9), (double)k->m * (double)most + 1);
        least = need > 0 ? (size_t)need : 0;
    }
    size_t layers = (size_t)k->m * most + 1;
    double *a = walk_run(k, layers, jump, w);
    if (a == NULL) {
        return false;
    }
    for (size_t at = 0; at < k->states; at++) {
        reach[at] = 0;
        for (size_t j = least; j < layers; j++) {
            reach[at] += a[j * k->states + at];
        }
    }
    return true;
}

/* The mean without a cap needs no walk: the total decides. */
static bool reach_total(const struct points *pts, const int *c, int m, double line)
{
    return points_earned(pts, c) >= m * line - 1e-9;
}

struct making {
    const struct walk *walk;
    const struct band_rule *rule;
    const struct zones_table *table;
    double *share;
};

static bool table_line(const struct making *make, size_t line, struct room *w)
{
    const struct walk *k = make->walk;
    const struct band_rule *r = make->rule;
    const struct zones_table *t = make->table;
    double *share = make->share + line * t->ways;
    bool plain = r->stat == BAND_MEAN && k->pts.cap == 0;
    size_t mark = w->used, i = 0;
    double *reach = plain ? NULL : ROOM_TAKE(w, double, k->states);
    int c[SCORE_ZONES_MAX];
    if (!plain && (reach == NULL || !reach_line(k, r, r->line[line], w, reach))) {
        return false;
    }
    ways_first(c, k->pts.n, t->throws);
    do {
        share[i++] = plain ? reach_total(&k->pts, c, k->m, r->line[line])
                           : reach[state_of(k, c)] / ways_orders(c, k->pts.n, t->throws);
    } while (ways_next(c, k->pts.n));
    w->used = mark;
    return true;
}

static bool table_room(struct room *w, struct zones_table *t, uint8_t **v, double **share)
{
    *v = ROOM_TAKE(w, uint8_t, t->ways * (size_t)t->zones);
    *share = ROOM_TAKE(w, double, t->ways * t->lines);
    t->v = *v;
    t->share = *share;
    return *v != NULL && *share != NULL;
}

bool zones_table_make(const struct scoring *s, const struct band_rule *r, struct room *w,
                      struct zones_table *out)
{
    struct walk k;
    struct points pts;
    uint8_t *v;
    double *share;
    int c[SCORE_ZONES_MAX];
    points_of(s, &pts);
    *out = (struct zones_table){.zones = pts.n, .throws = s->throws * r->m_new, .lines = r->lines};
    if (s->throws < 1 || r->m_new < 1 || s->throws > THROWS_MOST || r->m_new > THROWS_MOST ||
        out->throws > THROWS_MOST || pts.n < 1 || ways_count(out->throws, pts.n) > STATES_MOST) {
        return false;
    }
    out->ways = (size_t)ways_count(out->throws, pts.n);
    if (!table_room(w, out, &v, &share)) {
        return false;
    }
    size_t mark = w->used, i = 0;
    if (!walk_open(s, r, w, &k)) {
        return false;
    }
    walk_fill(&k);
    ways_first(c, pts.n, out->throws);
    do {
        for (int z = 0; z < pts.n; z++) {
            v[i++] = (uint8_t)c[z];
        }
    } while (ways_next(c, pts.n));
    const struct making make = {&k, r, out, share};
    for (size_t line = 0; line < r->lines; line++) {
        if (!table_line(&make, line, w)) {
            return false;
        }
    }
    w->used = mark;
    return true;
}

/* g[k] = a (a+1) .. (a+k-1) / k! */
static void rising(double a, int n, double *g)
{
    g[0] = 1;
    for (int k = 1; k <= n; k++) {
        g[k] = g[k - 1] * (a + k - 1) / k;
    }
}

/* One vector of evidence: adds its part to the tails. */
static void tails_of(const struct zones_table *t, const double *g, double weight, double *tails)
{
    size_t row = (size_t)t->throws + 1;
    for (size_t i = 0; i < t->ways; i++) {
        double p = weight;
        for (int z = 0; z < t->zones; z++) {
            p *= g[(size_t)z * row + t->v[i * (size_t)t->zones + (size_t)z]];
        }
        for (size_t line = 0; line < t->lines; line++) {
            tails[line] += p * t->share[line * t->ways + i];
        }
    }
}

bool zones_tails(const struct zones_table *t, const struct band_rule *r, const struct evidence *e,
                 struct room *w, double *tails)
{
    size_t mark = w->used, row = (size_t)t->throws + 1;
    double *g = ROOM_TAKE(w, double, (size_t)t->zones * row);
    double *all = ROOM_TAKE(w, double, row);
    if (g == NULL || all == NULL) {
        return false;
    }
    for (size_t line = 0; line < t->lines; line++) {
        tails[line] = 0;
    }
    for (size_t i = 0; i < e->n; i++) {
        double sum = 0;
        for (int z = 0; z < t->zones; z++) {
            double a = r->alpha + r->weight * e->u[i * (size_t)t->zones + (size_t)z];
            rising(a, t->throws, g + (size_t)z * row);
            sum += a;
        }
        rising(sum, t->throws, all);
        tails_of(t, g, e->weight[i] / all[t->throws], tails);
    }
    w->used = mark;
    return true;
}

static size_t whole_scores(const struct scoring *s, struct outcomes o, double *scores)
{
    struct points pts;
    size_t m = 0;
    points_of(s, &pts);
    for (size_t i = 0; i < o.n; i++) {
        const struct outcome *a = &o.v[i];
        if (!a->part) {
            scores[m++] = a->known ? points_earned(&pts, a->counts) : a->total;
        }
    }
    return m;
}

bool band_zones(const struct zones_ask *ask, struct outcomes o, struct room *w,
                struct band_answer *out)
{
    const struct band_rule *r = ask->rule;
    size_t mark = w->used;
    double tails[BAND_LINES_MAX];
    struct evidence e;
    double *scores = ROOM_TAKE(w, double, o.n);
    *out = (struct band_answer){.likelier = -1};
    size_t whole = scores == NULL ? 0 : whole_scores(ask->scoring, o, scores);
    if (whole == 0) {
        w->used = mark;
        return false;
    }
    out->observed = band_statistic(r->stat, false, scores, whole);
    out->band = band_of(r, false, out->observed);
    if (ask->table != NULL && evidence_make(ask->scoring, o, r->alpha, w, &e) &&
        zones_tails(ask->table, r, &e, w, tails)) {
        band_conclude(r, tails, e.attempts, e.throws, out);
    }
    w->used = mark;
    return true;
}
