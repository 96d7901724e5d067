/* SPDX-License-Identifier: MIT
 * One way of asking for a band, a crowd of throwers, and what became of what was said. */
#pragma once

#include "assess/band.h"
#include "sim.h"

enum { LINES = 3, BANDS = LINES + 1, LABELS = 4, BINS = 7 };

struct design {
    const char *id;
    bool tries;                 /* successes, else the slide */
    struct crowd crowd;         /* successes: odds of a hit, log SD of the odds */
    enum band_stat stat;
    int attempts, hand_ins;     /* made; a repeat is one hand-in of `attempts` */
    size_t lines;
    double line[LINES];
    bool latest;                /* the band is that of the latest hand-in, the evidence pooled */
    bool uncapped;              /* SURE may be said of one attempt */
    double tau;                 /* day to day: log SD of the spread, or of the odds */
};

/* What is known of a repeat: a prior count a zone, and the weight of the evidence. */
struct belief {
    double alpha, weight;
};

/* What would be said: beliefs for zones and for successes, and the labels' limits. A band between
 * two others is left upwards and downwards; where a throw has three outcomes or more, what passes
 * the knee is said of it by the slope only (0: the knee is the most that is said). By statistic,
 * and for up to four attempts and for more. The server knows one belief and no knee. */
struct knee {
    double at, slope;
};
struct sayer {
    struct belief zones, tries;
    struct knee between[BAND_MEAN + 1][2];
    double sure, fairly, leaning;
};
struct sayer sayer_default(void);
/* Proposed instead: see candidates.c. */
struct sayer sayer_proposed(void);

struct labelled {
    double pupils;
    struct tally said[LABELS], came[LABELS];
    struct tally all_said, all_came, high;      /* high: came, where >= .80 was said */
    struct tally next;                          /* the same or the next band came */
    struct tally bin_said[BINS], bin_came[BINS];
    struct tally sure_lowest;                   /* the lowest band, where SURE was said */
    struct tally likelier, likelier_down, likelier_came, likelier_own;
};
void sure_run(const struct design *d, const struct sayer *s, size_t pupils, struct labelled *out);
double sure_ece(const struct labelled *l);
/* What is said of the highest band on such evidence; and P(at least k of m), each with chance p. */
double sure_of_the_top(const struct design *d, const int *counts);
double sure_at_least(int m, int k, double p);

/* Tails of one vector of evidence, three numbers a zone; by the sayer's rule. */
struct sure_table {
    struct scoring scoring;
    struct band_rule rule;
    struct zones_table zones;
    unsigned char *memory;
    const struct sayer *sayer;
    int zone_count;
    struct band_answer *answer;     /* by evidence; known false: not asked yet */
};
void sure_tails(const struct sure_table *t, const int *counts, double *tails);
