/* SPDX-License-Identifier: MIT
 * Children are comparable at one version and from one place only, so the class is looked at where
 * most of it was. Within one hand-in the tries of a day are alike for reasons of the day; as soon
 * as ten children have two hand-ins, the two are compared instead. */
#include "store/class_view.h"

#include <math.h>

#include "assess/spread.h"
#include "base/mem.h"
#include "gains_internal.h"
#include "store/scoring.h"

enum { JUDGED_FROM = 10, ATTEMPTS_STANDARD = 3 };
#define ALIKE_WIDTHS 0.5

struct looking {
    struct store *st;
    const struct class_view_ask *ask;
    struct class_view *out;
    int asked;
    double judged_error;        /* of a try; between: of a hand-in's statistic */
};

/* Counts, has tries, and is scored like the challenge. */
static enum err usable(const struct looking *l, const struct hand_in *h, bool *out)
{
    const struct activity *a;
    *out = false;
    if (h->state != HAND_IN_COUNTS || h->could_not != NULL || h->attempt_count == 0) {
        return OK;
    }
    enum err e = activity_load(l->st, h->revision, &a);
    *out = e == OK && scoring_same(a, l->ask->activity);
    return e;
}

static bool same_step(int32_t a, int32_t b)
{
    return a - b <= SAME_STEP_MM && b - a <= SAME_STEP_MM;
}

static bool there(const struct looking *l, const struct hand_in *h)
{
    return version_kind_of(h->version_kind) == (int)l->out->kind &&
           same_step(gain_step(l->ask->activity, h), l->out->step_mm);
}

/* Values of the whole tries that count for a band, as stored. */
static size_t values_of(const struct looking *l, const struct hand_in *h, double *v)
{
    size_t n = 0;
    for (size_t i = 0; i < h->attempt_count && i < (size_t)l->asked; i++) {
        const struct hand_in_attempt *t = &h->attempts[i];
        if (!t->part && gain_at_step(l->ask->activity, t, l->out->step_mm)) {
            v[n++] = (double)t->value;
        }
    }
    return n;
}

/* Measures are compared by ratio. */
static double on_scale(const struct looking *l, double v)
{
    bool measure = l->ask->activity->kind == ACTIVITY_KIND_MEASURE;
    return spread_scale(measure ? BAND_LOG : BAND_RAW, l->ask->activity->lower_is_better,
                        measure && v < 1 ? 1 : v);
}

/* Where most children were --------------------------------------------------------------------- */

/* Of the list's hand-ins (one pupil's after the other) those of the challenge that are usable. */
struct chosen {
    const struct hand_in **v;
    size_t n;
};

static enum err choose(const struct looking *l, void *ctx, struct chosen *out)
{
    const struct hand_in_list *all = l->ask->year;
    out->v = mem_array(ctx, const struct hand_in *, all->n);
    for (size_t i = 0; i < all->n; i++) {
        bool ok;
        enum err e = usable(l, &all->v[i], &ok);
        if (e != OK) {
            return e;
        }
        if (ok) {
            out->v[out->n++] = &all->v[i];
        }
    }
    return OK;
}

static bool of_challenge(const struct looking *l, const struct hand_in *h)
{
    return h->challenge.v == l->ask->challenge.v;
}

static size_t children_like(const struct looking *l, const struct chosen *c,
                            const struct hand_in *like)
{
    size_t n = 0;
    int64_t last = 0;
    int kind = version_kind_of(like->version_kind);
    int32_t step = gain_step(l->ask->activity, like);
    for (size_t i = 0; i < c->n; i++) {
        const struct hand_in *h = c->v[i];
        if (of_challenge(l, h) && h->pupil.v != last && version_kind_of(h->version_kind) == kind &&
            same_step(gain_step(l->ask->activity, h), step)) {
            n++;
            last = h->pupil.v;
        }
    }
    return n;
}

static void pick_place(struct looking *l, const struct chosen *c)
{
    size_t most = 0;
    l->out->kind = VERSION_STANDARD;
    for (size_t i = 0; i < c->n; i++) {
        int kind = version_kind_of(c->v[i]->version_kind);
        if (!of_challenge(l, c->v[i]) || kind < 0) {
            continue;
        }
        size_t n = children_like(l, c, c->v[i]);
        if (n > most || (n == most && kind < (int)l->out->kind)) {
            most = n;
            l->out->kind = (enum version_kind)kind;
            l->out->step_mm = gain_step(l->ask->activity, c->v[i]);
        }
    }
}

/* Five numbers --------------------------------------------------------------------------------- */

static double statistic(const struct looking *l, double *v, size_t n)
{
    return band_statistic(l->out->stat, l->ask->activity->lower_is_better, v, n);
}

static void five_numbers(struct looking *l, void *ctx, const struct chosen *c)
{
    double *per = mem_array(ctx, double, c->n), *own = mem_array(ctx, double,
                                                                 c->n * HAND_IN_ATTEMPTS);
    size_t pupils = 0;
    for (size_t i = 0; i < c->n;) {
        int64_t pupil = c->v[i]->pupil.v;
        size_t n = 0;
        for (; i < c->n && c->v[i]->pupil.v == pupil; i++) {
            if (of_challenge(l, c->v[i]) && there(l, c->v[i])) {
                n += values_of(l, c->v[i], own + n);
            }
        }
        if (n > 0) {
            per[pupils++] = statistic(l, own, n);
        }
    }
    l->out->n = pupils;
    l->out->has_five = pupils >= CLASS_FIVE_LEAST && group_five_numbers(per, pupils, &l->out->five);
}

/* Telling apart -------------------------------------------------------------------------------- */

/* Rows of numbers, one a child. */
struct rows {
    double *x;
    size_t *count;
    size_t n, all;
};

static struct rows rows_new(void *ctx, const struct chosen *c)
{
    return (struct rows){mem_array(ctx, double, c->n * HAND_IN_ATTEMPTS),
                         mem_array(ctx, size_t, c->n), 0, 0};
}

static void rows_add(struct rows *r, const double *x, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        r->x[r->all++] = x[i];
    }
    r->count[r->n++] = n;
}

/* The tries of each child's latest hand-in to the challenge. */
static void same_day_rows(const struct looking *l, const struct chosen *c, struct rows *r)
{
    for (size_t i = 0; i < c->n;) {
        int64_t pupil = c->v[i]->pupil.v;
        double y[HAND_IN_ATTEMPTS];
        size_t n = 0;
        for (; i < c->n && c->v[i]->pupil.v == pupil; i++) {
            if (of_challenge(l, c->v[i]) && there(l, c->v[i])) {
                n = values_of(l, c->v[i], y);
            }
        }
        for (size_t k = 0; k < n; k++) {
            y[k] = on_scale(l, y[k]);
        }
        if (n > 0) {
            rows_add(r, y, n);
        }
    }
}

/* The statistic of each child's latest two hand-ins, of this challenge or another of the year. */
static void between_rows(const struct looking *l, const struct chosen *c, struct rows *r)
{
    for (size_t i = 0; i < c->n;) {
        int64_t pupil = c->v[i]->pupil.v;
        double v[HAND_IN_ATTEMPTS], y[2] = {0, 0};
        size_t made = 0;
        for (; i < c->n && c->v[i]->pupil.v == pupil; i++) {
            size_t n = there(l, c->v[i]) ? values_of(l, c->v[i], v) : 0;
            if (n > 0) {
                y[0] = y[1];
                y[1] = on_scale(l, statistic(l, v, n));
                made++;
            }
        }
        if (made >= 2) {
            rows_add(r, y, 2);
        }
    }
}

/* Complete rows only, put together. */
static size_t complete(const struct rows *r, size_t k, double *x)
{
    size_t n = 0;
    const double *from = r->x;
    for (size_t i = 0; i < r->n; from += r->count[i++]) {
        for (size_t j = 0; r->count[i] == k && j < k; j++) {
            x[n * k + j] = from[j];
        }
        n += r->count[i] == k;
    }
    return n;
}

static void same_day(struct looking *l, void *ctx, const struct rows *r)
{
    struct class_view *o = l->out;
    struct icc_balanced b;
    struct icc_unbalanced u;
    size_t k = (size_t)l->asked;
    double *x = mem_array(ctx, double, r->all);
    size_t whole = k >= 2 ? complete(r, k, x) : 0;
    o->pupils = r->n;
    if (whole >= JUDGED_FROM && group_icc_balanced(x, whole, k, &b)) {
        o->pupils = whole;
        o->has_error = true;
        o->typical_error = b.typical_error;
        o->has_icc = b.judged;
        o->icc_one = b.icc3;
        o->icc_together = b.icc3k;
        o->lower = group_icc_together(b.lower, (double)k);
        o->upper = group_icc_together(b.upper, (double)k);
    } else if (r->n >= JUDGED_FROM && group_icc_unbalanced(r->x, r->count, r->n, &u)) {
        o->has_error = true;
        o->typical_error = u.typical_error;
        o->has_icc = u.judged;
        o->icc_one = u.icc1;
        o->icc_together = u.icc1k;
        group_icc1_limits(&u, r->n, &o->lower, &o->upper);
        o->lower = group_icc_together(o->lower, u.k0);
        o->upper = group_icc_together(o->upper, u.k0);
    }
}

static void between_hand_ins(struct looking *l, const struct rows *r)
{
    struct class_view *o = l->out;
    struct icc_unbalanced u;
    if (r->n < JUDGED_FROM || !group_icc_unbalanced(r->x, r->count, r->n, &u)) {
        return;
    }
    o->between = true;
    o->pupils = r->n;
    o->has_icc = u.judged;
    o->icc_one = u.icc1;
    o->icc_together = u.icc1k;
    group_icc1_limits(&u, r->n, &o->lower, &o->upper);
    l->judged_error = u.typical_error;
}

/* Of the lines that belong to the version, the mean distance of one to the next. */
static void band_width(struct looking *l)
{
    const struct activity_version *v = activity_version_of(l->ask->activity, l->out->kind);
    size_t n = v != NULL ? v->band_line_count : 0;
    if (n < 2 || !l->out->has_error) {
        return;
    }
    double first = on_scale(l, (double)v->band_lines[0]);
    double last = on_scale(l, (double)v->band_lines[n - 1]);
    double width = fabs(last - first) / (double)(n - 1);
    l->out->has_width = width > 0;
    l->out->widths = width > 0 ? l->out->typical_error / width : 0;
    l->out->judged_widths = width > 0 ? l->judged_error / width : 0;
}

static enum class_tells judge(const struct class_view *o)
{
    static const enum class_tells words[] = {
        [GROUP_FEW] = TELLS_FEW, [GROUP_NOT] = TELLS_NOT, [GROUP_ROUGHLY] = TELLS_ROUGHLY,
        [GROUP_DEPENDABLY] = TELLS_DEPENDABLY,
    };
    if (o->pupils < JUDGED_FROM) {
        return TELLS_FEW;
    }
    if (!o->has_icc) {
        return TELLS_NOTHING;
    }
    double icc = o->between ? o->icc_one : o->icc_together;
    enum class_tells t = words[group_dependable(icc, o->pupils)];
    return t == TELLS_NOT && o->has_width && o->judged_widths <= ALIKE_WIDTHS ? TELLS_ALIKE : t;
}

/* Everybody ------------------------------------------------------------------------------------ */

static void count_rows(struct looking *l)
{
    const struct results *r = l->ask->results;
    struct class_view *o = l->out;
    double sum = 0;
    size_t sure = 0;
    for (size_t i = 0; i < r->row_count; i++) {
        const struct suggestion *s = &r->rows[i].suggestion;
        o->set++;
        for (size_t c = 0; c < r->challenge_count; c++) {
            if (r->challenges[c].id.v == l->ask->challenge.v) {
                o->made += grid_state_is_in(r->rows[i].states[c]);
                o->could_not += r->rows[i].states[c] == GRID_COULD_NOT;
            }
        }
        if (l->ask->blind != NULL &&
            second_view_hides(l->ask->blind, r->unit.id, r->rows[i].pupil.id)) {
            o->kept++;          /* else the others taken away would give it back */
        } else if (s->band >= 0 && s->answer.known) {
            sum += s->answer.probs[s->band];
            sure++;
        }
    }
    o->has_sure = sure >= JUDGED_FROM;
    o->how_sure = o->has_sure ? sum / (double)sure : 0;
}

static enum band_stat stat_of(enum unit_statistic s)
{
    return s == UNIT_BEST ? BAND_BEST : s == UNIT_MEAN ? BAND_MEAN : BAND_MIDDLE;
}

enum err class_view_of(struct store *st, void *ctx, const struct class_view_ask *ask,
                       struct class_view *out)
{
    struct looking l = {.st = st, .ask = ask, .out = out};
    struct chosen c = {0};
    l.asked = ask->activity->attempts < ATTEMPTS_STANDARD ? ask->activity->attempts
                                                          : ATTEMPTS_STANDARD;
    *out = (struct class_view){
        .stat = stat_of(ask->results->unit.statistic),
        .relative = ask->activity->kind == ACTIVITY_KIND_MEASURE,
    };
    count_rows(&l);
    enum err e = choose(&l, ctx, &c);
    if (e != OK) {
        return e;
    }
    struct rows day = rows_new(ctx, &c), days = rows_new(ctx, &c);
    pick_place(&l, &c);
    five_numbers(&l, ctx, &c);
    same_day_rows(&l, &c, &day);
    between_rows(&l, &c, &days);
    same_day(&l, ctx, &day);
    l.judged_error = out->typical_error;
    between_hand_ins(&l, &days);
    band_width(&l);
    out->tells = judge(out);
    return OK;
}

const char *class_tells_word(enum class_tells t)
{
    static const char *const words[] = {
        [TELLS_FEW] = "few", [TELLS_NOTHING] = "nothing", [TELLS_ALIKE] = "alike",
        [TELLS_NOT] = "not", [TELLS_ROUGHLY] = "roughly", [TELLS_DEPENDABLY] = "dependably",
    };
    return words[t];
}
