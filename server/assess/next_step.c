/* SPDX-License-Identifier: MIT
 * The next distance from the chance of a hit at each of the steps allowed, and the next score from
 * how likely it is to be reached. */
#include <math.h>

#include "assess/distance.h"
#include "assess/next.h"
#include "assess/band_zones.h"

enum { THROWS_BEFORE_MOVING = 5 };
#define TODAY 0.60

int aim_next_step(const struct aim_step_ask *k, const double *hits, enum aim_reason *why)
{
    double here = hits[k->current];
    bool up = here > k->target + k->dead_band;
    bool down = here < k->target - k->dead_band;
    int to = k->current + (up ? 1 : -1);
    *why = AIM_STAY;
    if (!up && !down) {
        return k->current;
    }
    if (to < 0 || to >= k->n) {
        *why = up ? AIM_TOP : AIM_BOTTOM;
    } else if (up && k->block_up) {
        *why = AIM_BLOCKED;
    } else if (up && k->space > 0 && k->steps[to] > k->space + 1e-9) {
        *why = AIM_SPACE;
    } else if (k->throws_here < THROWS_BEFORE_MOVING) {
        *why = AIM_FEW;
    } else if (fabs(hits[to] - k->target) < fabs(here - k->target)) {
        *why = up ? AIM_UP : AIM_DOWN;
        return to;
    }
    return k->current;
}

const char *aim_reason_word(enum aim_reason r)
{
    static const char *const words[] = {
        [AIM_STAY] = "stay", [AIM_UP] = "up", [AIM_DOWN] = "down", [AIM_TOP] = "top",
        [AIM_BOTTOM] = "bottom", [AIM_BLOCKED] = "blocked", [AIM_SPACE] = "space",
        [AIM_FEW] = "few",
    };
    return words[r];
}

/* P(the best of m fresh attempts is at least `total`) */
static bool reach(const struct next_ask *k, const struct evidence *e, int total, struct room *w,
                  double *p)
{
    struct zones_table t;
    struct band_rule r = band_rule_default(BAND_BEST, k->m);
    size_t mark = w->used;
    r.lines = 1;
    r.line[0] = total;
    bool ok = zones_table_make(k->scoring, &r, w, &t) && zones_tails(&t, &r, e, w, p);
    w->used = mark;
    return ok;
}

bool next_total(const struct next_ask *k, struct room *w, struct next_aim *out)
{
    struct total_set set;
    struct evidence e;
    size_t mark = w->used;
    double nearest = INFINITY;
    attainable_totals(k->scoring, 0, &set);
    *out = (struct next_aim){.next = attainable_above(&set, k->best), .today = -1};
    if (!evidence_make(k->scoring, *k->outcomes, 1, w, &e)) {
        w->used = mark;
        return false;
    }
    int most = out->next >= 0 ? out->next : set.most;
    bool ok = true;
    for (int t = 0; ok && t <= most; t++) {
        double p;
        if (!attainable_has(&set, t)) {
            continue;
        }
        ok = reach(k, &e, t, w, &p);
        if (ok && fabs(p - TODAY) < nearest - 1e-12) {
            nearest = fabs(p - TODAY);
            out->today = t;
            out->p_today = p;
        }
        out->p_next = ok && t == out->next ? p : out->p_next;
    }
    w->used = mark;
    return ok;
}

bool next_tables_make(const struct scoring *s, int m, struct room *w, struct next_tables *out)
{
    struct total_set set;
    size_t mark = w->used;
    attainable_totals(s, 0, &set);
    *out = (struct next_tables){0};
    size_t n = attainable_list(&set, out->total, NEXT_TOTALS_MOST);
    if (n > NEXT_TOTALS_MOST) {
        return false;
    }
    for (; out->n < n; out->n += BAND_LINES_MAX) {
        struct band_rule r = band_rule_default(BAND_BEST, m);
        for (; r.lines < BAND_LINES_MAX && out->n + r.lines < n; r.lines++) {
            r.line[r.lines] = out->total[out->n + r.lines];
        }
        if (!zones_table_make(s, &r, w, &out->chunk[out->n / BAND_LINES_MAX])) {
            w->used = mark;
            return false;
        }
    }
    out->n = n;
    return true;
}

static void aim_for(const struct next_tables *t, const double *reach, const struct next_ask *k,
                    struct next_aim *out)
{
    double nearest = INFINITY;
    *out = (struct next_aim){.next = -1, .today = -1};
    for (size_t i = 0; i < t->n && out->next < 0; i++) {
        if (fabs(reach[i] - TODAY) < nearest - 1e-12) {
            nearest = fabs(reach[i] - TODAY);
            out->today = t->total[i];
            out->p_today = reach[i];
        }
        if (t->total[i] > k->best) {
            out->next = t->total[i];
            out->p_next = reach[i];
        }
    }
}

bool next_total_by(const struct next_tables *t, const struct next_ask *k, struct room *w,
                   struct next_aim *out)
{
    const struct band_rule r = band_rule_default(BAND_BEST, k->m);
    double reach[NEXT_TOTALS_MOST];
    struct evidence e;
    size_t mark = w->used;
    bool ok = evidence_make(k->scoring, *k->outcomes, 1, w, &e);
    for (size_t i = 0; ok && i < t->n; i += BAND_LINES_MAX) {
        ok = zones_tails(&t->chunk[i / BAND_LINES_MAX], &r, &e, w, reach + i);
    }
    if (ok) {
        aim_for(t, reach, k, out);
    }
    w->used = mark;
    return ok;
}
