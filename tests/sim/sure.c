/* SPDX-License-Identifier: MIT
 * Pupils make what they make; what is said of a repeat is held against the chance of that repeat,
 * which is computed from the pupil's true spread on the day of the repeat instead of being drawn
 * (the same mean, less noise). */
#include "sure.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { TABLE_BYTES = 4 * 1024 * 1024, SIDE = 96 };

struct sayer sayer_default(void)
{
    struct band_rule r = band_rule_default(BAND_BEST, 3);
    struct sayer s = {.zones = {r.alpha, r.weight}, .tries = {r.alpha, r.weight},
                      .sure = r.sure, .fairly = r.fairly, .leaning = r.leaning};
    for (int stat = 0; stat <= BAND_MEAN; stat++) {
        s.between[stat][0] = s.between[stat][1] = (struct knee){1, 1};
    }
    return s;
}

static const struct scheme *scheme_of(const struct design *d)
{
    return d->tries ? &hit_or_miss : &slide;
}

static void table_open(const struct design *d, const struct sayer *s, struct sure_table *t)
{
    *t = (struct sure_table){.scoring = scheme_scoring(scheme_of(d)),
                             .rule = band_rule_default(d->stat, d->attempts), .sayer = s};
    t->zone_count = scheme_of(d)->zones;
    t->rule.alpha = d->tries ? s->tries.alpha : s->zones.alpha;
    t->rule.weight = d->tries ? s->tries.weight : s->zones.weight;
    t->rule.sure = s->sure;
    t->rule.fairly = s->fairly;
    t->rule.leaning = s->leaning;
    t->rule.lines = d->lines;
    memcpy(t->rule.line, d->line, sizeof d->line);
    t->memory = aligned_alloc(16, TABLE_BYTES);
    t->answer = calloc(SIDE * SIDE, sizeof *t->answer);
    struct room w = {t->memory, TABLE_BYTES, 0};
    if (t->memory == NULL || t->answer == NULL ||
        !zones_table_make(&t->scoring, &t->rule, &w, &t->zones)) {
        fprintf(stderr, "no room for a table\n");
        exit(2);
    }
}

static void table_close(struct sure_table *t)
{
    free(t->memory);
    free(t->answer);
}

/* The server's label of a chance, by the limits of `t`. */
static enum band_label label_of(const struct sure_table *t, double p, int attempts, int throws)
{
    struct band_rule one_line = t->rule;
    struct band_answer a = {.band = 1};
    one_line.lines = 1;
    band_conclude(&one_line, &p, attempts, throws, &a);
    return a.label;
}

/* What is said of this evidence, whatever the observed band (which is set on a copy). */
static struct band_answer say(const struct sure_table *t, const int *counts, int band, int attempts)
{
    double tails[BAND_LINES_MAX] = {0};
    struct band_answer *kept = &t->answer[counts[1] * SIDE + (t->zone_count > 2 ? counts[2] : 0)];
    int throws = counts[0] + counts[1] + (t->zone_count > 2 ? counts[2] : 0);
    if (!kept->known) {
        sure_tails(t, counts, tails);
        band_conclude(&t->rule, tails, attempts, throws, kept);
    }
    double above = 1;
    for (size_t i = 0; i < t->rule.lines; i++) {
        tails[i] = above - kept->probs[i];
        above = tails[i];
    }
    struct band_answer a = {.band = band};
    band_conclude(&t->rule, tails, attempts, throws, &a);
    const struct knee *knee = &t->sayer->between[t->rule.stat][t->rule.m_new > 4];
    bool between = t->zone_count > 2 && band > 0 && band < (int)t->rule.lines;
    if (between && a.probs[band] > knee->at) {
        a.probs[band] = knee->at + knee->slope * (a.probs[band] - knee->at);
        a.label = label_of(t, a.probs[band], attempts, throws);
    }
    return a;
}

/* Chances of every score of one attempt on a day. */
struct day {
    double score[SCORES];
};

static struct day day_of(const struct design *d, double level, struct rng *r, struct thrower *t)
{
    struct day out;
    if (d->tries) {
        double hit = 1 / (1 + 1 / on_a_day(level, d->tau, r));
        *t = (struct thrower){2, {1 - hit, hit}};
    } else {
        *t = thrower_of(&slide, on_a_day(level, d->tau, r), SLIDE_DISTANCE);
    }
    thrower_pmf(scheme_of(d), t, out.score);
    return out;
}

double sure_at_least(int m, int k, double p)
{
    double ways = pow(1 - p, m), sum = k <= 0 ? ways : 0;
    if (p >= 1) {
        return 1;
    }
    for (int i = 0; i < m; i++) {
        ways = ways * (m - i) / (i + 1) * p / (1 - p);
        sum += i + 1 >= k ? ways : 0;
    }
    return sum;
}

/* P(the sum of m attempts reaches m times the line) */
static double mean_tail(const struct day *d, int m, double line)
{
    double sum[6 * SCORES] = {1}, next[6 * SCORES], tail = 0;
    for (int i = 0; i < m; i++) {
        memset(next, 0, sizeof next);
        for (int t = 0; t <= (SCORES - 1) * i; t++) {
            for (int x = 0; x < SCORES; x++) {
                next[t + x] += sum[t] * d->score[x];
            }
        }
        memcpy(sum, next, sizeof sum);
    }
    for (int t = 0; t <= (SCORES - 1) * m; t++) {
        tail += t >= m * line - 1e-9 ? sum[t] : 0;
    }
    return tail;
}

static void truly(const struct design *d, const struct day *day, double *probs)
{
    double above = 1;
    for (size_t i = 0; i <= d->lines; i++) {
        double reach = 0, tail = 0;
        for (int x = 0; i < d->lines && x < SCORES; x++) {
            tail += x >= d->line[i] ? day->score[x] : 0;
        }
        if (i < d->lines) {
            int k = band_kth(d->stat, d->attempts);
            reach = d->stat == BAND_MEAN ? mean_tail(day, d->attempts, d->line[i])
                                         : sure_at_least(d->attempts, k, tail);
        }
        probs[i] = fmax(0, above - reach);
        above = reach;
    }
}

static void note(struct labelled *out, const struct band_answer *a, const double *probs, int bands)
{
    double said = a->probs[a->band], came = probs[a->band], near = came;
    int bin = said < 0.3 ? 0 : said >= 0.8 ? BINS - 1 : 1 + (int)((said - 0.3) * 10);
    bin = bin > BINS - 1 ? BINS - 1 : bin;
    near += a->band > 0 ? probs[a->band - 1] : 0;
    near += a->band < bands - 1 ? probs[a->band + 1] : 0;
    out->pupils++;
    tally_add(&out->said[a->label], said);
    tally_add(&out->came[a->label], came);
    tally_add(&out->all_said, said);
    tally_add(&out->all_came, came);
    tally_add(&out->next, near);
    tally_add(&out->bin_said[bin], said);
    tally_add(&out->bin_came[bin], came);
    if (said >= 0.80) {
        tally_add(&out->high, came);
    }
    if (a->label == BAND_SURE) {
        tally_add(&out->sure_lowest, a->band == 0);
    }
    tally_add(&out->likelier, a->likelier >= 0);
    if (a->likelier >= 0) {
        tally_add(&out->likelier_down, a->likelier < a->band);
        tally_add(&out->likelier_came, probs[a->likelier]);
        tally_add(&out->likelier_own, came);
    }
}

static void one_pupil(const struct design *d, const struct sure_table *t, struct rng *r,
                      struct labelled *out)
{
    const struct scheme *way = scheme_of(d);
    int counts[SCORE_ZONES_MAX] = {0}, c[ZONES_MOST], made = 0;
    double scores[16], probs[BANDS];
    double level = crowd_sigma(&d->crowd, r);
    struct thrower who;
    for (int h = 0; h < d->hand_ins; h++) {
        (void)day_of(d, level, r, &who);
        for (int i = 0; i < d->attempts; i++) {
            throw_counts(&who, way->throws, r, c);
            scores[made++] = scheme_earned(way, c);
            for (int z = 0; z < way->zones; z++) {
                counts[z] += c[z];
            }
        }
    }
    size_t from = d->latest ? (size_t)(made - d->attempts) : 0;
    double observed = band_statistic(d->stat, false, scores + from, (size_t)made - from);
    struct day repeat = day_of(d, level, r, &who);
    struct band_answer a = say(t, counts, band_of(&t->rule, false, observed),
                               d->uncapped ? 2 : made);
    truly(d, &repeat, probs);
    note(out, &a, probs, (int)d->lines + 1);
}

void sure_run(const struct design *d, const struct sayer *s, size_t pupils, struct labelled *out)
{
    struct sure_table t;
    struct rng r;
    rng_seed(&r, d->id);
    table_open(d, s, &t);
    *out = (struct labelled){0};
    for (size_t i = 0; i < pupils; i++) {
        one_pupil(d, &t, &r, out);
    }
    table_close(&t);
}

double sure_of_the_top(const struct design *d, const int *counts)
{
    struct sayer s = sayer_default();
    struct sure_table t;
    table_open(d, &s, &t);
    double p = say(&t, counts, (int)d->lines, d->attempts).probs[d->lines];
    table_close(&t);
    return p;
}

double sure_ece(const struct labelled *l)
{
    double sum = 0;
    for (int i = 0; i < BINS; i++) {
        sum += l->bin_said[i].n > 0 ? fabs(l->bin_said[i].sum - l->bin_came[i].sum) : 0;
    }
    return sum / l->pupils;
}
