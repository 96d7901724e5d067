/* SPDX-License-Identifier: MIT
 * The estimate by tables: at every point of the grid the logarithms of what a throw or an attempt
 * can be, for each place thrown from, and what would come at the reference. */
#include <math.h>

#include "assess/distance.h"
#include "distance_internal.h"

#define SAME_PLACE 0.05
#define LEAST 1e-300

/* One point of the grid at one place: the chances, and the pmf of an attempt in either buffer. */
struct point {
    double zone[AIM_ZONES_MAX + 1];
    const double *pmf;
};

static void point_at(const struct aim *a, int g, double distance, double *buf[2],
                     struct point *out)
{
    aim_zone_probs(a, exp(aim_grid_point(g)), distance, out->zone);
    out->pmf = aim_total_pmf(a, a->throws, out->zone, buf[0], buf[1]);
}

static bool place_make(const struct aim_tables *t, double *buf[2], struct room *w,
                       struct aim_place *out)
{
    const struct aim *a = &t->aim;
    size_t zones = (size_t)a->zones + 1, totals = (size_t)t->most + 1;
    double *ln_zone = ROOM_TAKE(w, double, AIM_GRID * zones);
    double *ln_total = ROOM_TAKE(w, double, AIM_GRID * totals);
    double *hit = ROOM_TAKE(w, double, AIM_GRID);
    if (ln_zone == NULL || ln_total == NULL || hit == NULL) {
        return false;
    }
    for (int g = 0; g < AIM_GRID; g++) {
        struct point p;
        point_at(a, g, out->distance, buf, &p);
        for (size_t z = 0; z < zones; z++) {
            ln_zone[(size_t)g * zones + z] = log(fmax(p.zone[z], LEAST));
            hit[g] += z < zones - 1 && a->points[z] > 0 ? p.zone[z] : 0;
        }
        for (size_t i = 0; i < totals; i++) {
            ln_total[(size_t)g * totals + i] = log(fmax(p.pmf[i], LEAST));
        }
    }
    out->ln_zone = ln_zone;
    out->ln_total = ln_total;
    out->hit = hit;
    return true;
}

static bool reference_make(struct aim_tables *t, const struct aim_at *at, double *buf[4],
                           struct room *w)
{
    const struct aim *a = &t->aim;
    const struct band_rule *r = at->rule;
    size_t totals = (size_t)t->most + 1;
    double *pmf = ROOM_TAKE(w, double, AIM_GRID * totals);
    double *tails = ROOM_TAKE(w, double, AIM_GRID * t->lines);
    if (pmf == NULL || tails == NULL) {
        return false;
    }
    for (int g = 0; g < AIM_GRID; g++) {
        struct point p;
        point_at(a, g, at->distance, buf, &p);
        struct aim_pmfs both = {.pmf = p.pmf};
        if (r->stat == BAND_MEAN) {
            both.sum = aim_total_pmf(a, a->throws * r->m_new, p.zone, buf[2], buf[3]);
        }
        for (size_t i = 0; i < totals; i++) {
            pmf[(size_t)g * totals + i] = p.pmf[i];
        }
        aim_tails_at(a, r, &both, tails + (size_t)g * t->lines);
    }
    t->pmf = pmf;
    t->tails = tails;
    return true;
}

bool aim_tables_make(const struct aim *a, const struct aim_at *at, struct aim_places places,
                     struct room *w, struct aim_tables *out)
{
    size_t mark = w->used;
    double *buf[4];
    *out = (struct aim_tables){.aim = *a, .most = a->throws * aim_top_points(a),
                               .lines = at->rule->lines};
    bool ok = places.n <= AIM_STEPS_MAX && aim_two_buffers(a, 1, w, buf) &&
              aim_two_buffers(a, at->rule->m_new, w, buf + 2) && reference_make(out, at, buf, w);
    for (size_t i = 0; ok && i < places.n; i++) {
        out->place[i].distance = places.distance[i];
        ok = place_make(out, buf, w, &out->place[i]);
        out->places += ok;
    }
    if (!ok) {
        w->used = mark;
    }
    return ok;
}

int aim_tables_place(const struct aim_tables *t, double distance)
{
    for (size_t i = 0; i < t->places; i++) {
        if (fabs(t->place[i].distance - distance) <= SAME_PLACE / 2) {
            return (int)i;
        }
    }
    return -1;
}

/* One attempt's share, added to the logarithms. */
static bool learn_one(const struct aim_tables *t, const struct aim_attempt *v, double *ln)
{
    int at = aim_tables_place(t, v->distance), zones = t->aim.zones + 1;
    if (at < 0) {
        return false;
    }
    const struct aim_place *place = &t->place[at];
    bool there = v->total >= 0 && v->total <= t->most;
    for (int g = 0; !v->known && g < AIM_GRID; g++) {
        ln[g] += there ? place->ln_total[g * (t->most + 1) + v->total] : log(LEAST);
    }
    for (int z = 0; v->known && z < zones; z++) {
        for (int g = 0; v->counts[z] > 0 && g < AIM_GRID; g++) {
            ln[g] += v->counts[z] * place->ln_zone[g * zones + z];
        }
    }
    return true;
}

bool aim_learn_by(const struct aim_tables *t, const struct aim_attempt *v, size_t n,
                  struct aim_posterior *out)
{
    for (int g = 0; g < AIM_GRID; g++) {
        out->w[g] = aim_ln_prior(g);
    }
    for (size_t i = 0; i < n; i++) {
        if (!learn_one(t, &v[i], out->w)) {
            return false;
        }
    }
    aim_normalise(out->w);
    return true;
}

void aim_predict_by(const struct aim_tables *t, const struct aim_posterior *p,
                    struct aim_prediction *out)
{
    size_t totals = (size_t)t->most + 1;
    double below = 0;
    *out = (struct aim_prediction){.lo = -1, .hi = -1};
    for (size_t i = 0; i < totals; i++) {
        double mix = 0;
        for (size_t g = 0; g < AIM_GRID; g++) {
            mix += p->w[g] * t->pmf[g * totals + i];
        }
        below += mix;
        out->mean += (double)i * mix;
        out->lo = out->lo < 0 && below >= 0.10 ? (int)i : out->lo;
        out->hi = out->hi < 0 && below >= 0.90 ? (int)i : out->hi;
    }
    for (size_t g = 0; g < AIM_GRID; g++) {
        for (size_t i = 0; i < t->lines; i++) {
            out->tails[i] += p->w[g] * t->tails[g * t->lines + i];
        }
    }
}

double aim_hit_by(const struct aim_tables *t, const struct aim_posterior *p, size_t place)
{
    double sum = 0;
    for (int g = 0; g < AIM_GRID; g++) {
        sum += p->w[g] * t->place[place].hit[g];
    }
    return sum;
}
