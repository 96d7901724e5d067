/* SPDX-License-Identifier: MIT
 * Landing points are normal around the aim, as wide as angle times distance. One number a child
 * (ln sigma) on a fixed grid: no sampling, the same answer every time. */
#include "assess/distance.h"

#include <math.h>

#include "assess/special.h"
#include "distance_internal.h"

enum { THROWS_LEAST = 10 };
#define GRID_STEP 0.05
#define GRID_HALF 4.2
#define RATIO_MOST 1.75

double aim_grid_point(int g)
{
    return log(0.08) - GRID_HALF + GRID_STEP * g;
}

double aim_ln_prior(int g)
{
    double off = aim_grid_point(g) - log(0.08);
    return -off * off / (2 * 0.6 * 0.6);
}

double aim_round(double radius)
{
    return radius * sqrt(3.14159265358979323846) / 2;
}

static double inside(const struct aim_rect *r, double s, double kappa)
{
    if (r->x1 >= r->x2 || r->y1 >= r->y2) {
        return 0;
    }
    return (special_phi(r->x2 / s) - special_phi(r->x1 / s)) *
           (special_phi(r->y2 / (kappa * s)) - special_phi(r->y1 / (kappa * s)));
}

static struct aim_rect meet(struct aim_rect a, const struct aim_rect *b)
{
    return (struct aim_rect){fmax(a.x1, b->x1), fmin(a.x2, b->x2), fmax(a.y1, b->y1),
                             fmin(a.y2, b->y2)};
}

/* Rectangle z without all earlier ones: inclusion and exclusion over which of them it meets. */
static double first_match(const struct aim *a, int z, double s)
{
    double p = 0;
    for (unsigned set = 0; set < 1U << z; set++) {
        struct aim_rect r = a->rect[z];
        double sign = 1;
        for (int i = 0; i < z; i++) {
            if (set >> i & 1) {
                r = meet(r, &a->rect[i]);
                sign = -sign;
            }
        }
        p += sign * inside(&r, s, a->kappa);
    }
    return p > 0 ? p : 0;
}

void aim_zone_probs(const struct aim *a, double sigma, double distance, double *out)
{
    double miss = 1;
    for (int z = 0; z < a->zones; z++) {
        out[z] = (1 - a->lapse) * first_match(a, z, sigma * distance);
        miss -= out[z];
    }
    out[a->zones] = miss > 0 ? miss : 0;
}

int aim_top_points(const struct aim *a)
{
    int top = 0;
    for (int z = 0; z < a->zones; z++) {
        top = a->points[z] > top ? a->points[z] : top;
    }
    return top;
}

double *aim_total_pmf(const struct aim *a, int throws, const double *p, double *pmf,
                      double *spare)
{
    int top = aim_top_points(a);
    pmf[0] = 1;
    for (int t = 1; t <= throws * top; t++) {
        pmf[t] = 0;
    }
    for (int i = 0; i < throws; i++) {
        for (int t = 0; t <= throws * top; t++) {
            spare[t] = 0;
        }
        for (int t = 0; t <= i * top; t++) {
            for (int z = 0; z <= a->zones; z++) {
                spare[t + (z < a->zones ? a->points[z] : 0)] += pmf[t] * p[z];
            }
        }
        double *swap = pmf;
        pmf = spare;
        spare = swap;
    }
    return pmf;
}

static double ln_likelihood(const struct aim *a, const struct aim_attempt *t, double sigma,
                            double *buf[2])
{
    double p[AIM_ZONES_MAX + 1], sum = 0;
    aim_zone_probs(a, sigma, t->distance, p);
    if (!t->known) {
        double *pmf = aim_total_pmf(a, a->throws, p, buf[0], buf[1]);
        bool there = t->total >= 0 && t->total <= a->throws * aim_top_points(a);
        return log(fmax(there ? pmf[t->total] : 0, 1e-300));
    }
    for (int z = 0; z <= a->zones; z++) {
        sum += t->counts[z] > 0 ? t->counts[z] * log(fmax(p[z], 1e-300)) : 0;
    }
    return sum;
}

void aim_normalise(double *w)
{
    double most = -INFINITY, sum = 0;
    for (int g = 0; g < AIM_GRID; g++) {
        most = fmax(most, w[g]);
    }
    for (int g = 0; g < AIM_GRID; g++) {
        w[g] = exp(w[g] - most);
        sum += w[g];
    }
    for (int g = 0; g < AIM_GRID; g++) {
        w[g] /= sum;
    }
}

bool aim_two_buffers(const struct aim *a, int attempts, struct room *w, double *buf[2])
{
    size_t n = (size_t)(attempts * a->throws * aim_top_points(a)) + 1;
    buf[0] = ROOM_TAKE(w, double, n);
    buf[1] = ROOM_TAKE(w, double, n);
    return buf[0] != NULL && buf[1] != NULL;
}

bool aim_learn(const struct aim *a, const struct aim_attempt *t, size_t n, struct room *w,
               struct aim_posterior *out)
{
    double *buf[2];
    size_t mark = w->used;
    if (!aim_two_buffers(a, 1, w, buf)) {
        w->used = mark;
        return false;
    }
    for (int g = 0; g < AIM_GRID; g++) {
        double x = aim_grid_point(g);
        out->w[g] = aim_ln_prior(g);
        for (size_t i = 0; i < n; i++) {
            out->w[g] += ln_likelihood(a, &t[i], exp(x), buf);
        }
    }
    aim_normalise(out->w);
    w->used = mark;
    return true;
}

void aim_moments(const struct aim_posterior *p, double *mean, double *sd)
{
    double m = 0, v = 0;
    for (int g = 0; g < AIM_GRID; g++) {
        m += p->w[g] * aim_grid_point(g);
    }
    for (int g = 0; g < AIM_GRID; g++) {
        double off = aim_grid_point(g) - m;
        v += p->w[g] * off * off;
    }
    *mean = m;
    *sd = sqrt(v);
}

void aim_another_day(struct aim_posterior *p, double tau_day)
{
    struct aim_posterior to = {{0}};
    double sd = sqrt(2) * tau_day, total = 0;
    int half = (int)ceil(5 * sd / GRID_STEP);
    if (!(sd > 0)) {
        return;
    }
    for (int k = -half; k <= half; k++) {
        total += exp(-(k * GRID_STEP) * (k * GRID_STEP) / (2 * sd * sd));
    }
    for (int k = -half; k <= half; k++) {
        double share = exp(-(k * GRID_STEP) * (k * GRID_STEP) / (2 * sd * sd)) / total;
        int low = k < 0 ? -k : 0, high = k > 0 ? AIM_GRID - k : AIM_GRID;
        low = low < AIM_GRID ? low : AIM_GRID;
        high = high > 0 ? high : 0;
        for (int g = low; g < high; g++) {
            to.w[g + k] += p->w[g] * share;
        }
        for (int g = 0; g < low; g++) {         /* what falls off the grid stays at its edge */
            to.w[0] += p->w[g] * share;
        }
        for (int g = high; g < AIM_GRID; g++) {
            to.w[AIM_GRID - 1] += p->w[g] * share;
        }
    }
    *p = to;
}

/* P(at least k of m), each with chance p */
static double k_of_m(int m, int k, double p)
{
    return k <= 0 ? 1 : special_binom_sf(k - 1, m, p);
}

static double tail_from(const double *pmf, int most, double line)
{
    double sum = 0;
    for (int t = most; t >= 0 && t >= line; t--) {
        sum += pmf[t];
    }
    return sum > 1 ? 1 : sum;
}

void aim_tails_at(const struct aim *a, const struct band_rule *r, const struct aim_pmfs *at,
                  double *tails)
{
    int most = a->throws * aim_top_points(a);
    for (size_t i = 0; i < r->lines; i++) {
        double p = r->stat == BAND_MEAN
                       ? tail_from(at->sum, most * r->m_new, r->m_new * r->line[i] - 1e-9)
                       : k_of_m(r->m_new, band_kth(r->stat, r->m_new),
                                tail_from(at->pmf, most, r->line[i]));
        tails[i] = p;
    }
}

static void read_range(const double *mix, int most, struct aim_prediction *out)
{
    double cdf = 0;
    out->lo = out->hi = -1;
    for (int t = 0; t <= most; t++) {
        cdf += mix[t];
        out->mean += t * mix[t];
        out->lo = out->lo < 0 && cdf >= 0.10 ? t : out->lo;
        out->hi = out->hi < 0 && cdf >= 0.90 ? t : out->hi;
    }
}

bool aim_predict(const struct aim *a, const struct aim_posterior *p, const struct aim_at *at,
                 struct room *w, struct aim_prediction *out)
{
    const struct band_rule *r = at->rule;
    double *buf[4], zone[AIM_ZONES_MAX + 1];
    size_t mark = w->used;
    int most = a->throws * aim_top_points(a);
    double *mix = ROOM_TAKE(w, double, (size_t)most + 1);
    *out = (struct aim_prediction){0};
    if (mix == NULL || !aim_two_buffers(a, 1, w, buf) ||
        !aim_two_buffers(a, r->m_new, w, buf + 2)) {
        w->used = mark;
        return false;
    }
    for (int g = 0; g < AIM_GRID; g++) {
        aim_zone_probs(a, exp(aim_grid_point(g)), at->distance, zone);
        struct aim_pmfs here = {0};
        double tails[BAND_LINES_MAX];
        here.pmf = aim_total_pmf(a, a->throws, zone, buf[0], buf[1]);
        if (r->stat == BAND_MEAN) {
            here.sum = aim_total_pmf(a, a->throws * r->m_new, zone, buf[2], buf[3]);
        }
        for (int t = 0; t <= most; t++) {
            mix[t] += p->w[g] * here.pmf[t];
        }
        aim_tails_at(a, r, &here, tails);
        for (size_t i = 0; i < r->lines; i++) {
            out->tails[i] += p->w[g] * tails[i];
        }
    }
    read_range(mix, most, out);
    w->used = mark;
    return true;
}

double aim_hit(const struct aim *a, const struct aim_posterior *p, double distance)
{
    double zone[AIM_ZONES_MAX + 1], sum = 0;
    for (int g = 0; g < AIM_GRID; g++) {
        aim_zone_probs(a, exp(aim_grid_point(g)), distance, zone);
        for (int z = 0; z < a->zones; z++) {
            sum += a->points[z] > 0 ? p->w[g] * zone[z] : 0;
        }
    }
    return sum;
}

double aim_closer_now(const struct aim_posterior *before, const struct aim_posterior *now,
                      double tau_day)
{
    struct aim_posterior then = *before;
    double below = 0, p = 0;
    aim_another_day(&then, tau_day);
    for (int g = 0; g < AIM_GRID; g++) {
        p += then.w[g] * (below + 0.5 * now->w[g]);
        below += now->w[g];
    }
    return p;
}

bool aim_usable(const struct aim_attempt *t, size_t n, int throws, double reference)
{
    double nearest = INFINITY;
    int made = 0;
    for (size_t i = 0; i < n; i++) {
        if (!(t[i].distance > 0)) {
            return false;
        }
        double ratio = fmax(t[i].distance / reference, reference / t[i].distance);
        nearest = fmin(nearest, ratio);
        int own = 0;
        for (int z = 0; t[i].known && z <= AIM_ZONES_MAX; z++) {
            own += t[i].counts[z];
        }
        made += t[i].known ? own : throws;
    }
    return made >= THROWS_LEAST && nearest <= RATIO_MOST;
}
