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
