/* SPDX-License-Identifier: MIT
 * One activity: which attempts are evidence, what band they reach, how sure that is.
 *
 * Pooled are the first three attempts of every hand-in that counts (all of them where an activity
 * asks for fewer), at the same version and from the same place. Lines belong to the activity's
 * reference distance where it has one; tries from elsewhere then say nothing about them. */
#include "base/mem.h"
#include "gains_internal.h"
#include "store/scoring.h"
#include "suggest_internal.h"

enum { ATTEMPTS_STANDARD = 3 };

static enum band_stat stat_of(enum unit_statistic s)
{
    return s == UNIT_BEST ? BAND_BEST : s == UNIT_MEAN ? BAND_MEAN : BAND_MIDDLE;
}

static int asked_of(const struct activity *a)
{
    return a->attempts < ATTEMPTS_STANDARD ? a->attempts : ATTEMPTS_STANDARD;
}

static size_t counted_attempts(const struct hand_in *h, int asked)
{
    return h->attempt_count < (size_t)asked ? h->attempt_count : (size_t)asked;
}

static bool at_step(int32_t distance_mm, int32_t step_mm)
{
    int32_t off = distance_mm - step_mm;
    return off >= -SAME_STEP_MM && off <= SAME_STEP_MM;
}

static size_t whole_at(const struct suggest_group *g, int32_t step_mm)
{
    size_t n = 0;
    for (size_t i = 0; i < g->n; i++) {
        for (size_t k = 0; k < counted_attempts(g->hand_ins[i], asked_of(g->activity)); k++) {
            const struct hand_in_attempt *a = &g->hand_ins[i]->attempts[k];
            n += !a->part && at_step(a->distance_mm, step_mm);
        }
    }
    return n;
}

/* From where the evidence is taken: the reference, else where most tries were made (of equals
 * farther away). */
static int32_t step_of(const struct suggest_group *g)
{
    int32_t step = g->activity->reference_mm;
    size_t most = 0;
    if (g->activity->distance_count == 0 || step > 0) {
        return g->activity->distance_count == 0 ? 0 : step;
    }
    for (size_t i = 0; i < g->n; i++) {
        for (size_t k = 0; k < counted_attempts(g->hand_ins[i], asked_of(g->activity)); k++) {
            int32_t at = g->hand_ins[i]->attempts[k].distance_mm;
            size_t n = whole_at(g, at);
            if (n > most || (n == most && at > step)) {
                most = n;
                step = at;
            }
        }
    }
    return step;
}

struct pool {
    struct outcome *outcomes;   /* zones, successes */
    int64_t *counts;            /* timed counts */
    double *values;             /* of whole attempts */
    size_t n, whole;            /* n: outcomes, part ones too */
};

static bool throws_known(const struct activity *a)
{
    return a->kind == ACTIVITY_KIND_ZONES || a->kind == ACTIVITY_KIND_SUCCESSES;
}

static bool pool_attempt(const struct scoring *s, const struct hand_in_attempt *a, struct pool *p)
{
    struct tried t = {
        .has_value = true, .value = a->value, .throw_count = a->throw_count,
        .distance_mm = a->distance_mm, .tries_used = a->tries_used,
    };
    for (int i = 0; i < a->throw_count && i < HAND_IN_THROWS; i++) {
        t.throws[i] = a->throws[i];
    }
    if (s->kind == SCORE_ZONES || s->kind == SCORE_SUCCESSES) {
        if (!outcome_of(s, &t, a->part, &p->outcomes[p->n])) {
            return false;
        }
    }
    p->n++;
    if (!a->part) {
        p->counts[p->whole] = a->value;
        p->values[p->whole++] = (double)a->value;
    }
    return true;
}

static void pool_hand_in(const struct scoring *s, const struct hand_in *h, struct pool *p,
                         struct suggest_line *out)
{
    bool any = false;
    bool zones = throws_known(out->activity);
    for (size_t k = 0; k < counted_attempts(h, out->asked); k++) {
        const struct hand_in_attempt *a = &h->attempts[k];
        if (!at_step(a->distance_mm, out->step_mm) && out->activity->distance_count > 0) {
            continue;
        }
        if ((a->part && !zones) || !pool_attempt(s, a, p)) {
            continue;
        }
        out->attempts += !a->part;
        out->parts += a->part;
        any = true;
    }
    out->hand_ins += any;
    out->fewer = out->fewer || (any && h->attempt_count < (size_t)out->asked);
}

/* Measures on the logarithm, counts on the square root; totals whose exact tables would be too
 * large as they are. How much they vary is the class's at this activity and version. */
static enum err spread_of(struct store *st, const struct suggest_ask *ask,
                          const struct suggest_line *out, struct band_spread *sp)
{
    static const struct hand_in_list nobody = {0};
    const struct gains_class_ask of = {
        ask->class_hand_ins != NULL ? ask->class_hand_ins : &nobody, out->activity,
    };
    struct gains_class cls;
    enum err e = gains_class_of(st, &of, &cls);
    if (e != OK) {
        return e;
    }
    *sp = (struct band_spread){
        .scale = gain_scale(out->activity), .lower_is_better = out->activity->lower_is_better,
        .resolution = out->activity->resolution, .s_w = cls.of[out->version->kind].s_w,
        .nu = cls.of[out->version->kind].nu, .rho = cls.of[out->version->kind].rho,
    };
    return OK;
}

static void set_rule(const struct suggest_ask *ask, const struct suggest_line *out,
                     struct band_rule *r)
{
    *r = band_rule_default(stat_of(ask->unit->statistic), out->asked);
    r->lines = out->version->band_line_count;
    for (size_t i = 0; i < r->lines; i++) {
        r->line[i] = (double)out->version->band_lines[i];
    }
}

/* One question to the assessment layer, with all it needs. */
struct question {
    struct store *st;
    struct scoring scoring;
    struct band_rule rule;
    struct band_spread spread;
    bool by_spread;             /* the spread answers; else exact tables or Poisson */
    const struct zones_table *table;
    struct memo_key key;
};

static bool answer_line(const struct question *q, const struct pool *p, struct suggest_line *out)
{
    if (q->by_spread) {
        return band_measure(&q->rule, &q->spread, p->values, p->whole, &out->answer);
    }
    struct room *w = suggest_room(q->st);
    if (q->scoring.kind == SCORE_TIMED_COUNT) {
        return band_counts(&q->rule, p->counts, p->whole, w, &out->answer);
    }
    const struct zones_ask zones = {&q->scoring, &q->rule, q->table};
    return band_zones(&zones, (struct outcomes){p->outcomes, p->n}, w, &out->answer);
}

/* Settles which way answers, and the key of the answer. */
static enum err ask_of(const struct suggest_ask *ask, const struct suggest_group *g,
                       const struct suggest_line *out, struct question *q)
{
    enum activity_kind kind = out->activity->kind;
    bool zones = throws_known(out->activity);
    set_rule(ask, out, &q->rule);
    table_key_of(out->activity, &q->rule, &q->key.table);
    if (zones) {
        q->table = suggest_table(q->st, &q->key.table, &q->scoring, &q->rule);
    }
    if (!zones || q->table == NULL) {
        enum err e = spread_of(q->st, ask, out, &q->spread);
        if (e != OK) {
            return e;
        }
        q->by_spread = kind == ACTIVITY_KIND_MEASURE || q->spread.nu >= BAND_NU_LEAST;
    }
    q->key.spread = q->by_spread;
    if (q->by_spread) {
        q->key.s_w = q->spread.s_w;
        q->key.nu = q->spread.nu;
        q->key.rho = q->spread.rho;
    }
    q->key.step_mm = out->step_mm;
    q->key.n = g->n;
    for (size_t i = 0; i < g->n && i < MEMO_HAND_INS; i++) {
        q->key.seq[i] = g->hand_ins[i]->seq;
        q->key.received_at[i] = g->hand_ins[i]->received_at;
        q->key.pupil = g->hand_ins[i]->pupil.v;
    }
    return OK;
}

static void remember_line(const struct suggest_ask *ask, struct question *q, const struct pool *p,
                          struct suggest_line *out)
{
    bool keep = ask->lines == NULL;
    const struct memo_value *known =
        keep && q->key.n <= MEMO_HAND_INS ? memo_find(q->st, &q->key) : NULL;
    struct memo_value v = {0};
    if (known != NULL) {
        v = *known;
    } else {
        v.done = answer_line(q, p, out);
        v.answer = out->answer;
    }
    if (known == NULL && keep) {
        memo_keep(q->st, &q->key, &v);
    }
    out->answer = v.answer;
    out->silent = v.done ? SUGGEST_SAID : SUGGEST_NO_ATTEMPTS;
}

enum err suggest_line_of(struct store *st, void *ctx, const struct suggest_ask *ask,
                         const struct suggest_group *g, struct suggest_line *out)
{
    struct question q = {.st = st};
    size_t most = g->n * HAND_IN_ATTEMPTS;
    struct pool p = {
        .outcomes = mem_array(ctx, struct outcome, most),
        .counts = mem_array(ctx, int64_t, most),
        .values = mem_array(ctx, double, most),
    };
    *out = (struct suggest_line){
        .activity = g->activity, .version = g->version, .step_mm = step_of(g),
        .asked = asked_of(g->activity), .throws = -1, .silent = SUGGEST_NO_ATTEMPTS,
    };
    scoring_of(g->activity, &q.scoring);
    for (size_t i = 0; i < g->n; i++) {
        pool_hand_in(&q.scoring, g->hand_ins[i], &p, out);
    }
    for (size_t i = 0; i < p.n && throws_known(g->activity); i++) {
        out->throws = (out->throws < 0 ? 0 : out->throws) + p.outcomes[i].throws;
    }
    if (out->attempts == 0) {
        out->silent = g->whole > 0 ? SUGGEST_UNKNOWN_TARGET : SUGGEST_NO_ATTEMPTS;
    } else if (g->version != NULL && g->version->own_target.set) {
        const struct own_target_ask target = {stat_of(ask->unit->statistic),
                                              q.scoring.lower_is_better,
                                              (double)g->version->own_target.v};
        out->own_target = own_target_reached(&target, p.values, p.whole, &out->reached);
        out->silent = SUGGEST_OWN_TARGET;
    } else if (g->version == NULL || g->version->band_line_count == 0) {
        out->silent = SUGGEST_NO_LINES;
    } else {
        enum err e = ask_of(ask, g, out, &q);
        if (e != OK) {
            return e;
        }
        remember_line(ask, &q, &p, out);
    }
    return OK;
}
