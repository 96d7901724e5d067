/* SPDX-License-Identifier: MIT
 * "How sure" for zones and successes, exactly: a Dirichlet-multinomial repeat of m_new attempts,
 * every way the throws can fall counted. The tables depend on the activity's version and the
 * school's lines alone, never on a child: make them once, use them for a class. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "assess/attainable.h"
#include "assess/band.h"
#include "assess/room.h"

/* One attempt as evidence. */
struct outcome {
    bool known;                     /* counts[] are known; else only the total is */
    int counts[SCORE_ZONES_MAX];    /* in the order of the points (successes: misses, hits) */
    int total;
    int throws;                     /* throws of this attempt; fewer than asked when part */
    bool at_least;                  /* total only: the cap was reached, hits may be more */
    bool part;                      /* evidence, but no score */
};

struct outcomes {
    const struct outcome *v;
    size_t n;
};

/* From what is stored. points/throws as stored with the attempt; throw_count 0: total only. False
 * when a throw is not among the points. */
bool outcome_of(const struct scoring *s, const struct tried *t, bool part, struct outcome *out);

/* Every vector of pooled outcomes that the evidence allows, with its weight. In lent memory. */
struct evidence {
    size_t n;
    int zones;
    const int *u;                   /* n x zones counts */
    const double *weight;           /* sum 1 */
    int attempts;                   /* whole ones */
    int throws;                     /* all */
};
enum { EVIDENCE_MOST = 4096 };
/* False: no room, more than EVIDENCE_MOST vectors, a total that cannot be, or one that could be
 * made in more ways than can be looked at (2e6). */
bool evidence_make(const struct scoring *s, struct outcomes o, double alpha, struct room *w,
                   struct evidence *out);

/* For every way v that m_new attempts' throws can fall: the share of orders reaching each line. */
struct zones_table {
    int zones, throws;              /* throws: of all m_new attempts together */
    size_t ways, lines;
    const uint8_t *v;               /* ways x zones */
    const double *share;            /* lines x ways */
};
/* False: over the budget (2e8 steps, 2e6 states, 150 throws) or too little of it in `w`. */
bool zones_table_make(const struct scoring *s, const struct band_rule *r, struct room *w,
                      struct zones_table *out);
/* tails[j] = P(a repeat reaches line j). False: no room. */
bool zones_tails(const struct zones_table *t, const struct band_rule *r, const struct evidence *e,
                 struct room *w, double *tails);

/* All of it: observed statistic over the whole attempts, band, how sure. Without a table (NULL)
 * only observed and band are filled. False: no whole attempt. */
struct zones_ask {
    const struct scoring *scoring;
    const struct band_rule *rule;
    const struct zones_table *table;
};
bool band_zones(const struct zones_ask *ask, struct outcomes o, struct room *w,
                struct band_answer *out);
