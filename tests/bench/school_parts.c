/* SPDX-License-Identifier: MIT
 * The work itself, in the parts that are timed. */
#include <math.h>

#include "school_internal.h"

static const double places[PLACES] = {2, 2.5, 3, 3.5, 4};

static struct band_rule rule_of(enum kind kind)
{
    struct band_rule r = band_rule_default(BAND_MIDDLE, ATTEMPTS);
    static const double lines[][3] = {
        [DISTANCES] = {7, 12, 17}, [ZONED] = {8, 13, 18}, [TRIES] = {4, 7, 10},
        [COUNTS] = {20, 30, 40}, [MEASURES] = {15000, 12000, 9000},
    };
    r.lines = 3;
    for (size_t i = 0; i < r.lines; i++) {
        r.line[i] = lines[kind][i];
    }
    return r;
}

static void spread_of(struct school *s, int activity, int class)
{
    struct spread_sum sum = {0};
    struct band_spread *sp = &s->version[activity].spread[class];
    *sp = (struct band_spread){.scale = BAND_LOG, .lower_is_better = true, .resolution = 100};
    for (int p = class * CLASS; p < (class + 1) * CLASS; p++) {
        const struct cell *c = cell_of(s, p, activity);
        double y[MADE], mean[HAND_INS] = {0};
        for (int i = 0; i < MADE; i++) {
            y[i] = spread_scale(sp->scale, true, c->value[i]);
            mean[i / ATTEMPTS] += y[i] / ATTEMPTS;
        }
        spread_add(&sum, y, ATTEMPTS);
        spread_add(&sum, y + ATTEMPTS, ATTEMPTS);
        spread_pair(&sum, mean[0], ATTEMPTS, mean[1], ATTEMPTS);
    }
    spread_close(&sum, sp);
}

static void tables_of(struct school *s, int activity)
{
    struct version *v = &s->version[activity];
    enum kind kind = kind_of(activity);
    v->rule = rule_of(kind);
    if (kind <= TRIES) {
        (void)zones_table_make(&s->scoring[kind], &v->rule, &s->tables, &v->zones);
        (void)next_tables_make(&s->scoring[kind], ATTEMPTS, &s->tables, &v->next);
    }
    if (kind == DISTANCES) {
        const struct aim_at at = {SLIDE_DISTANCE, &v->rule};
        const struct aim_places from = {places, PLACES};
        (void)aim_tables_make(&s->aim, &at, from, &s->tables, &v->aim);
    }
    if (kind == COUNTS) {
        (void)counts_table_make(&v->rule, &s->tables, &v->counts);
    }
    for (int class = 0; kind == MEASURES && class < CLASSES; class++) {
        spread_of(s, activity, class);
    }
}

static void band_cell(struct school *s, int pupil, int activity)
{
    struct cell *c = cell_of(s, pupil, activity);
    const struct version *v = &s->version[activity];
    enum kind kind = kind_of(activity);
    s->work.used = 0;
    if (kind == COUNTS) {
        (void)band_counts_by(&v->rule, &v->counts, (struct tallies){c->count, MADE}, &s->work,
                             &c->band);
    } else if (kind == MEASURES) {
        (void)band_measure(&v->rule, &v->spread[pupil / CLASS], c->value, MADE, &c->band);
    } else {
        struct zones_ask ask = {&s->scoring[kind], &v->rule, &v->zones};
        (void)band_zones(&ask, (struct outcomes){c->o, MADE}, &s->work, &c->band);
    }
}

static void add_counts(const struct outcome *o, int *sum)
{
    for (int i = 0; i < ATTEMPTS; i++) {
        for (int z = 0; z < SCORE_ZONES_MAX; z++) {
            sum[z] += o[i].counts[z];
        }
    }
}

static void gain_throws_cell(struct school *s, struct cell *c, const struct scoring *scoring)
{
    int before[SCORE_ZONES_MAX] = {0}, after[SCORE_ZONES_MAX] = {0};
    struct gain_tails t;
    add_counts(c->o, before);
    add_counts(c->o + ATTEMPTS, after);
    if (gain_throws(scoring, before, after, &s->work, &t)) {
        c->gain = gain_category(scoring, &t, before, after);
    }
}

static double mean_scaled(const double *v)
{
    return -(log(v[0]) + log(v[1]) + log(v[2])) / ATTEMPTS;
}

static void gain_cell(struct school *s, int pupil, int activity)
{
    struct cell *c = cell_of(s, pupil, activity);
    const struct band_spread *sp = &s->version[activity].spread[pupil / CLASS];
    enum kind kind = kind_of(activity);
    s->work.used = 0;
    if (kind == COUNTS) {
        int64_t a = c->count[0] + c->count[1] + c->count[2];
        int64_t b = c->count[3] + c->count[4] + c->count[5];
        c->gain = gain_counts(a, 90, b, 90) <= 0.10 ? GAIN_LIKELY : GAIN_SAME;
    } else if (kind == MEASURES) {
        struct gain_means g = {.before = mean_scaled(c->value),
                               .after = mean_scaled(c->value + ATTEMPTS), .n_before = ATTEMPTS,
                               .n_after = ATTEMPTS, .s_w = sp->s_w, .nu = sp->nu,
                               .nu_change = CLASS - 1, .s_day = sp->rho * sp->s_w};
        c->gain = gain_measure_category(&g);
    } else if (kind != DISTANCES || c->aimed[0].distance == c->aimed[ATTEMPTS].distance) {
        gain_throws_cell(s, c, &s->scoring[kind]);
    }
}

static void next_distance_cell(const struct version *v, const struct aim_posterior *p,
                               struct cell *c)
{
    double hits[PLACES];
    enum aim_reason why;
    for (size_t i = 0; i < PLACES; i++) {
        hits[i] = aim_hit_by(&v->aim, p, i);
    }
    struct aim_step_ask ask = {.steps = places, .n = PLACES, .target = 0.60, .dead_band = 0.15,
                               .throws_here = ATTEMPTS * slide.throws};
    ask.current = aim_tables_place(&v->aim, c->aimed[MADE - 1].distance);
    c->next = aim_next_step(&ask, hits, &why);
}

static void distance_cell(struct school *s, int pupil, int activity)
{
    struct cell *c = cell_of(s, pupil, activity);
    const struct version *v = &s->version[activity];
    struct aim_posterior before, now, all;
    struct aim_prediction q;
    bool apart = c->aimed[0].distance != c->aimed[ATTEMPTS].distance;
    if (!aim_learn_by(&v->aim, c->aimed, MADE, &all)) {
        return;
    }
    aim_another_day(&all, 0.10);
    aim_predict_by(&v->aim, &all, &q);
    c->fair = q.mean;
    next_distance_cell(v, &all, c);
    if (apart && aim_learn_by(&v->aim, c->aimed, ATTEMPTS, &before) &&
        aim_learn_by(&v->aim, c->aimed + ATTEMPTS, ATTEMPTS, &now)) {
        double ratio = c->aimed[0].distance / c->aimed[ATTEMPTS].distance;
        c->gain = gain_distance_category(aim_closer_now(&before, &now, 0.10), ratio);
    }
}

static void next_cell(struct school *s, int pupil, int activity)
{
    struct cell *c = cell_of(s, pupil, activity);
    enum kind kind = kind_of(activity);
    struct outcomes o = {c->o, MADE};
    struct next_aim aim;
    int best = 0;
    for (int i = 0; i < MADE; i++) {
        best = c->o[i].total > best ? c->o[i].total : best;
    }
    struct next_ask ask = {&s->scoring[kind], &o, ATTEMPTS, best};
    s->work.used = 0;
    if (next_total_by(&s->version[activity].next, &ask, &s->work, &aim)) {
        c->next = aim.today;
    }
}

static void unit_pupil(struct school *s, int pupil)
{
    struct judge_rule rule = judge_rule_default(3);
    struct judgement *j = &s->judged[pupil];
    const double *probs[ACTIVITIES];
    double told[UNIT_LINES_MAX + 1];
    int bands[ACTIVITIES];
    *j = (struct judgement){.cue_band = pupil % 4};
    for (int a = 0; a < ACTIVITIES; a++) {
        bands[a] = cell_of(s, pupil, a)->band.band;
        probs[a] = cell_of(s, pupil, a)->band.probs;
    }
    j->activity_band = judge_activities(bands, ACTIVITIES, rule.min_activities);
    j->strand[STRAND_PHYSICAL] = judge_physical_band(&rule, j->activity_band, j->cue_band);
    j->strand[STRAND_THINKING] = pupil % 3;
    j->strand[STRAND_TAKING_PART] = STRAND_MISSING;
    judge_unit(&rule, j);
    judge_repeat(&rule, j, probs, ACTIVITIES, told);
}

/* Which of the parts a cell has. */
static bool has_part(enum kind kind, int part)
{
    return part == PART_ZONES       ? kind <= TRIES
           : part == PART_COUNTS    ? kind == COUNTS
           : part == PART_MEASURES  ? kind == MEASURES
           : part == PART_DISTANCES ? kind == DISTANCES
           : part == PART_NEXT      ? kind == ZONED || kind == TRIES
                                    : part == PART_GAINS;
}

static void cell_part(struct school *s, int pupil, int activity, int part)
{
    if (!has_part(kind_of(activity), part)) {
        return;
    }
    switch (part) {
    case PART_GAINS:
        gain_cell(s, pupil, activity);
        break;
    case PART_DISTANCES:
        distance_cell(s, pupil, activity);
        break;
    case PART_NEXT:
        next_cell(s, pupil, activity);
        break;
    default:
        band_cell(s, pupil, activity);
    }
}

void school_part(struct school *s, int part)
{
    if (part == PART_TABLES) {
        s->tables.used = 0;
        for (int a = 0; a < ACTIVITIES; a++) {
            tables_of(s, a);
        }
        return;
    }
    for (int p = 0; p < PUPILS; p++) {
        for (int a = 0; part != PART_UNITS && a < ACTIVITIES; a++) {
            cell_part(s, p, a, part);
        }
        if (part == PART_UNITS) {
            unit_pupil(s, p);
        }
    }
}

void school_pupil(struct school *s, int pupil)
{
    for (int a = 0; a < ACTIVITIES; a++) {
        for (int part = PART_ZONES; part < PART_UNITS; part++) {
            cell_part(s, pupil, a, part);
        }
    }
    unit_pupil(s, pupil);
}

void school_preview(struct school *s, int class)
{
    static const int one_of_each[] = {0, FIRST_ZONES, FIRST_TRIES, FIRST_COUNTS, FIRST_MEASURES};
    for (size_t k = 0; k < sizeof one_of_each / sizeof *one_of_each; k++) {
        int a = one_of_each[k];
        struct version *v = &s->version[a], was = *v;
        size_t mark = s->tables.used;
        tables_of(s, a);
        for (int p = class * CLASS; p < (class + 1) * CLASS; p++) {
            band_cell(s, p, a);
            cell_part(s, p, a, PART_DISTANCES);
        }
        s->tables.used = mark;
        *v = was;
    }
}

void school_totals(struct school *s)
{
    for (int p = 0; p < PUPILS; p += 10) {
        for (int a = FIRST_ZONES; a < FIRST_TRIES; a++) {
            struct cell c = *cell_of(s, p, a);
            struct zones_ask ask = {&s->scoring[ZONED], &s->version[a].rule, &s->version[a].zones};
            struct gain_sides sides = {{c.o, ATTEMPTS}, {c.o + ATTEMPTS, ATTEMPTS}};
            struct gain_range range;
            for (int i = 0; i < MADE; i++) {
                c.o[i].known = false;
            }
            s->work.used = 0;
            (void)band_zones(&ask, (struct outcomes){c.o, MADE}, &s->work, &c.band);
            (void)gain_totals(&s->scoring[ZONED], &sides, &s->work, &range, NULL);
        }
    }
}
