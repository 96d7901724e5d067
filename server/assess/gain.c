/* SPDX-License-Identifier: MIT
 * The exact conditional test for throws: given all throws of both sides pooled, the points now are
 * a sum over a sample without replacement. Two zones of 0 and 1 make it Fisher's one-sided test. */
#include "assess/gain.h"

#include <math.h>
#include <string.h>

#include "assess/special.h"
#include "ways_internal.h"

enum { THROWS_MOST = 400 };
#define P_CLEAR 0.02
#define P_LIKELY 0.10
#define DISTANCE_LIKELY 0.98
#define DISTANCE_RATIO_MOST 1.75

static int total_of(const int *c, int zones)
{
    int n = 0;
    for (int z = 0; z < zones; z++) {
        n += c[z];
    }
    return n;
}

static int earned(const struct points *p, const int *c)
{
    int sum = 0;
    for (int z = 0; z < p->n; z++) {
        sum += p->p[z] * c[z];
    }
    return sum;
}

struct pooled {
    struct points pts;
    int pool[SCORE_ZONES_MAX];
    int all, now, made;         /* throws pooled, throws now, points now */
    int most;                   /* points that could be made at all */
};

static bool pool_up(const struct scoring *s, const int *before, const int *after,
                    struct pooled *p)
{
    points_of(s, &p->pts);
    int top = 0;
    for (int z = 0; z < p->pts.n; z++) {
        p->pool[z] = before[z] + after[z];
        top = p->pts.p[z] > top ? p->pts.p[z] : top;
    }
    p->all = total_of(p->pool, p->pts.n);
    p->now = total_of(after, p->pts.n);
    p->made = earned(&p->pts, after);
    p->most = p->now * top;
    return p->now > 0 && p->all > p->now && p->all <= THROWS_MOST;
}

/* One zone more: ways f[throws used][points] -> g, x of the zone's throws among those drawn. All
 * ways of 400 throws together are below 3e120, so doubles hold them. `top`: most points of the
 * zones so far. With the last zone only all throws drawn are of interest. */
static void add_zone(const struct pooled *p, int z, int top, const double *f, double *g)
{
    size_t row = (size_t)p->most + 1;
    bool last = z == p->pts.n - 1;
    memset(g, 0, ((size_t)p->now + 1) * row * sizeof *g);
    double ways = 1;
    for (int x = 0; x <= p->pool[z] && x <= p->now; x++) {
        for (int j = last ? p->now - x : 0; j + x <= p->now; j++) {
            const double *from = f + (size_t)j * row;
            double *to = g + (size_t)(j + x) * row + (size_t)(x * p->pts.p[z]);
            for (int t = 0; t <= j * top; t++) {
                to[t] += from[t] * ways;
            }
        }
        ways = ways * (p->pool[z] - x) / (x + 1);
    }
}

static void read_tails(const struct pooled *p, const double *f, struct gain_tails *out)
{
    const double *last = f + (size_t)p->now * ((size_t)p->most + 1);
    double sum = 0;
    *out = (struct gain_tails){0};
    for (int t = 0; t <= p->most; t++) {
        sum += last[t];
        out->best = last[t] > 0 ? last[t] : out->best;
        out->up += t >= p->made ? last[t] : 0;
        out->lo += t <= p->made ? last[t] : 0;
    }
    out->eq = last[p->made] / sum;
    out->best /= sum;
    out->up /= sum;
    out->lo /= sum;
}

bool gain_throws(const struct scoring *s, const int *before, const int *after, struct room *w,
                 struct gain_tails *out)
{
    struct pooled p;
    size_t mark = w->used;
    if (!pool_up(s, before, after, &p)) {
        return false;
    }
    size_t n = ((size_t)p.now + 1) * ((size_t)p.most + 1);
    double *f = ROOM_TAKE(w, double, n), *g = ROOM_TAKE(w, double, n);
    if (f == NULL || g == NULL) {
        w->used = mark;
        return false;
    }
    f[0] = 1;
    for (int z = 0, top = 0; z < p.pts.n; z++) {
        add_zone(&p, z, top, f, g);
        top = p.pts.p[z] > top ? p.pts.p[z] : top;
        double *t = f;
        f = g;
        g = t;
    }
    read_tails(&p, f, out);
    w->used = mark;
    return true;
}

/* In the model's order; `change` is the sign of the mean difference. */
static enum gain_category categorise(const struct gain_tails *t, int change)
{
    if (t->best > P_LIKELY) {
        return GAIN_SILENT;
    }
    if (t->up <= P_LIKELY) {
        return t->up <= P_CLEAR ? GAIN_CLEAR : GAIN_LIKELY;
    }
    if (t->lo <= P_CLEAR) {
        return GAIN_LOWER;
    }
    return change > 0 ? GAIN_UP_LUCK : change < 0 ? GAIN_DOWN_LUCK : GAIN_SAME;
}

static int sign_of(int64_t now, int64_t then)
{
    return (now > then) - (now < then);
}

enum gain_category gain_category(const struct scoring *s, const struct gain_tails *t,
                                 const int *before, const int *after)
{
    struct points p;
    points_of(s, &p);
    int64_t now = (int64_t)earned(&p, after) * total_of(before, p.n);
    int64_t then = (int64_t)earned(&p, before) * total_of(after, p.n);
    return categorise(t, sign_of(now, then));
}

bool gain_totals(const struct scoring *s, const struct gain_sides *sides, struct room *w,
                 struct gain_range *out, struct gain_tails *worst)
{
    struct evidence before, after;
    size_t mark = w->used;
    bool ok = evidence_make(s, sides->before, 1, w, &before) &&
              evidence_make(s, sides->after, 1, w, &after);
    ok = ok && before.n * after.n <= GAIN_PAIRS_MOST;
    *out = (struct gain_range){2, -1};
    for (size_t i = 0; ok && i < before.n; i++) {
        for (size_t k = 0; ok && k < after.n; k++) {
            struct gain_tails t = {0};
            ok = gain_throws(s, before.u + i * (size_t)before.zones,
                             after.u + k * (size_t)after.zones, w, &t);
            out->smallest = fmin(out->smallest, t.up);
            if (t.up > out->largest) {
                out->largest = t.up;
                *(worst != NULL ? worst : &t) = t;
            }
        }
    }
    w->used = mark;
    return ok;
}

/* Points and throws of one side. */
static void side_of(const struct scoring *s, const struct outcomes *o, int64_t *points,
                    int64_t *throws)
{
    struct points p;
    points_of(s, &p);
    *points = *throws = 0;
    for (size_t i = 0; i < o->n; i++) {
        *points += o->v[i].known ? earned(&p, o->v[i].counts) : o->v[i].total;
        *throws += o->v[i].throws;
    }
}

enum gain_category gain_totals_category(const struct scoring *s, const struct gain_sides *sides,
                                        const struct gain_judged *j, bool *crosses)
{
    int64_t then, now, throws_then, throws_now;
    side_of(s, &sides->before, &then, &throws_then);
    side_of(s, &sides->after, &now, &throws_now);
    int change = sign_of(now * throws_then, then * throws_now);
    enum gain_category careful = categorise(&j->worst, change);
    struct gain_tails other = j->worst;
    other.up = j->range.smallest;
    other.lo = 1 - j->range.smallest;       /* at least so much: its own P(= now) comes on top */
    enum gain_category bold = categorise(&other, change);
    if (careful == GAIN_LOWER && bold != GAIN_LOWER) {
        careful = GAIN_DOWN_LUCK;           /* "lower" has to hold for every pair as well */
        *crosses = false;
        return careful;
    }
    *crosses = careful != bold && bold != GAIN_LOWER;
    return careful;
}

struct first {
    int pool[SCORE_ZONES_MAX];      /* all throws */
    int rest[SCORE_ZONES_MAX];      /* without the first attempt */
    double share;                   /* of orders of the rest in which one attempt gains enough */
};

/* The first attempt having fallen as c1: what is left, and how often that gains enough. */
static bool first_part(const struct scoring *s, const struct gain_attempts *a, const int *c1,
                       struct room *w, struct first *f)
{
    struct zones_table t;
    struct points p;
    struct band_rule r = band_rule_default(BAND_BEST, a->m - 1);
    size_t mark = w->used;
    points_of(s, &p);
    r.lines = 1;
    r.line[0] = points_earned(&p, c1) + a->gain;
    if (!zones_table_make(s, &r, w, &t)) {
        w->used = mark;
        return false;
    }
    for (int z = 0; z < p.n; z++) {
        f->rest[z] = f->pool[z] - c1[z];
    }
    f->share = 0;
    for (size_t i = 0; i < t.ways; i++) {
        bool same = true;
        for (int z = 0; z < p.n; z++) {
            same = same && t.v[i * (size_t)p.n + (size_t)z] == f->rest[z];
        }
        if (same) {
            f->share = t.share[i];
        }
    }
    w->used = mark;
    return true;
}

static bool fits_in(const int *c, const int *pool, int zones)
{
    for (int z = 0; z < zones; z++) {
        if (c[z] > pool[z]) {
            return false;
        }
    }
    return true;
}

static double ln_ways(const int *c, int zones)
{
    double ln = special_ln_gamma(total_of(c, zones) + 1);
    for (int z = 0; z < zones; z++) {
        ln -= special_ln_gamma(c[z] + 1);
    }
    return ln;
}

bool gain_first_to_best(const struct scoring *s, const struct gain_attempts *a, struct room *w,
                        double *p)
{
    struct points pts;
    struct first f = {.pool = {0}};
    int c1[SCORE_ZONES_MAX];
    points_of(s, &pts);
    *p = 1;
    if (a->gain <= 0) {
        return true;
    }
    if (a->m < 2) {
        return false;
    }
    for (int i = 0; i < a->m; i++) {
        for (int z = 0; z < pts.n; z++) {
            f.pool[z] += a->counts[i][z];
        }
    }
    *p = 0;
    double all = ln_ways(f.pool, pts.n);
    ways_first(c1, pts.n, s->throws);
    do {
        if (!fits_in(c1, f.pool, pts.n)) {
            continue;
        }
        if (!first_part(s, a, c1, w, &f)) {
            return false;
        }
        *p += f.share * exp(ln_ways(c1, pts.n) + ln_ways(f.rest, pts.n) - all);
    } while (ways_next(c1, pts.n));
    return true;
}

double gain_counts(int64_t before, double seconds_before, int64_t after, double seconds_after)
{
    return special_binom_sf((double)after - 1, (double)before + (double)after,
                            seconds_after / (seconds_after + seconds_before));
}

enum gain_category gain_counts_category(const struct gain_counted *c)
{
    double all = (double)c->before + (double)c->after;
    double share = c->seconds_after / (c->seconds_after + c->seconds_before);
    struct gain_tails t = {
        .up = gain_counts(c->before, c->seconds_before, c->after, c->seconds_after),
        .lo = gain_counts(c->after, c->seconds_after, c->before, c->seconds_before),
        .best = pow(share, all),
    };
    double change = (double)c->after * c->seconds_before - (double)c->before * c->seconds_after;
    return categorise(&t, (change > 0) - (change < 0));
}

double gain_measure(const struct gain_means *g, double *t)
{
    double inverse = 1.0 / g->n_before + 1.0 / g->n_after;
    double width = sqrt(g->s_w * g->s_w * inverse + 2 * g->s_day * g->s_day);
    if (!(width > 0)) {
        *t = 0;         /* no spread is known: nothing can be said */
        return 0.5;
    }
    *t = (g->after - g->before) / width;
    return special_t_sf(*t, g->nu_change > 0 ? fmin(g->nu, g->nu_change) : g->nu);
}

enum gain_category gain_measure_category(const struct gain_means *g)
{
    double t;
    if (!(g->nu >= BAND_NU_LEAST) || !(g->s_w > 0) || g->n_before < 1 || g->n_after < 1) {
        return GAIN_SILENT;
    }
    double p = gain_measure(g, &t);
    const struct gain_tails tails = {.up = p, .lo = 1 - p};
    return categorise(&tails, (t > 0) - (t < 0));
}

enum gain_category gain_distance_category(double p_smaller, double distance_ratio)
{
    double ratio = distance_ratio < 1 ? 1 / distance_ratio : distance_ratio;
    if (!(ratio <= DISTANCE_RATIO_MOST)) {
        return GAIN_SILENT;
    }
    if (p_smaller >= DISTANCE_LIKELY) {
        return GAIN_LIKELY;
    }
    return p_smaller > 0.5 ? GAIN_UP_LUCK : p_smaller < 0.5 ? GAIN_DOWN_LUCK : GAIN_SAME;
}

const char *gain_category_word(enum gain_category c)
{
    static const char *const words[] = {
        [GAIN_SILENT] = "silent", [GAIN_CLEAR] = "clear", [GAIN_LIKELY] = "likely",
        [GAIN_UP_LUCK] = "up_luck", [GAIN_SAME] = "same", [GAIN_DOWN_LUCK] = "down_luck",
        [GAIN_LOWER] = "lower",
    };
    return words[c];
}
