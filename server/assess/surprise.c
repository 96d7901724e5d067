/* SPDX-License-Identifier: MIT
 * Surprise is the predictive of the band, for one new attempt and the value itself as the line. */
#include "assess/surprise.h"

#include "assess/band_zones.h"

enum { HISTORY_MOST = 60 };

static double surprise_zones(const struct scoring *s, const struct band_rule *r,
                             const int64_t *earlier, size_t n, struct room *w)
{
    struct zones_table t;
    struct evidence e;
    double tail = 1;
    struct outcome *o = ROOM_TAKE(w, struct outcome, n);
    for (size_t i = 0; o != NULL && i < n; i++) {
        struct tried tried = {.has_value = true, .value = earlier[i]};
        outcome_of(s, &tried, false, &o[i]);
    }
    if (o == NULL || !zones_table_make(s, r, w, &t) ||
        !evidence_make(s, (struct outcomes){o, n}, r->alpha, w, &e) ||
        !zones_tails(&t, r, &e, w, &tail)) {
        return 1;
    }
    return tail;
}

double surprise_tail(const struct scoring *s, const int64_t *earlier, size_t n, int64_t value,
                     struct room *w)
{
    struct band_rule r = band_rule_default(BAND_BEST, 1);
    size_t mark = w->used;
    double tail = 1;
    r.lines = 1;
    r.line[0] = (double)value;
    if (n > HISTORY_MOST) {         /* the newest */
        earlier += n - HISTORY_MOST;
        n = HISTORY_MOST;
    }
    if (n < 2) {
        return 1;
    }
    if (s->kind == SCORE_ZONES || s->kind == SCORE_SUCCESSES) {
        tail = surprise_zones(s, &r, earlier, n, w);
    } else if (s->kind == SCORE_TIMED_COUNT) {
        struct band_answer a;
        if (band_counts(&r, earlier, n, w, &a) && a.known) {
            tail = a.probs[1];
        }
    }
    w->used = mark;
    return tail;
}

double surprise_measure(const struct band_spread *sp, const int64_t *earlier, size_t n,
                        int64_t value)
{
    struct band_rule r = band_rule_default(BAND_BEST, 1);
    struct band_answer a;
    double values[HISTORY_MOST];
    r.lines = 1;
    r.line[0] = (double)value;
    if (n > HISTORY_MOST) {
        earlier += n - HISTORY_MOST;
        n = HISTORY_MOST;
    }
    if (n < 2 || value <= 0) {
        return 1;
    }
    for (size_t i = 0; i < n; i++) {
        values[i] = (double)earlier[i];
    }
    return band_measure(&r, sp, values, n, &a) && a.known ? a.probs[1] : 1;
}
