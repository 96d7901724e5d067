/* SPDX-License-Identifier: MIT
 * Results from different distances made fair: how closely a child aims, as an angle, from where its
 * throws landed; and from that what another distance would likely give. Always an ESTIMATE: it
 * assumes the same target and that misses grow with distance, and the size of the home's target
 * matters more than any formula. */
#pragma once

#include <stdbool.h>
#include <stddef.h>

#include "assess/band.h"
#include "assess/room.h"

enum { AIM_ZONES_MAX = 6, AIM_GRID = 169, AIM_STEPS_MAX = 16 };

/* Sideways from the aiming point x1..x2, up (or long) y1..y2, in metres. */
struct aim_rect { double x1, x2, y1, y2; };

struct aim {
    struct aim_rect rect[AIM_ZONES_MAX];    /* first match wins; a miss is what is left */
    int points[AIM_ZONES_MAX];
    int zones;
    int throws;                 /* of one attempt */
    double kappa;               /* up over sideways spread: 1 at a wall, 1.5 on the floor */
    double lapse;               /* wild throws: 0.02 */
};

/* A round target as the square that is hit as often: half a side. */
double aim_round(double radius);

/* Chances of each zone, then of a miss (zones + 1 numbers), at an angular spread (radians). */
void aim_zone_probs(const struct aim *a, double sigma, double distance, double *out);

struct aim_attempt {
    double distance;
    bool known;
    int counts[AIM_ZONES_MAX + 1];      /* by zone, then misses */
    int total;                          /* when not known */
};

/* What is known of ln sigma: weights (sum 1) on AIM_GRID points from ln 0.08 - 4.2 in steps of
 * 0.05, vague on purpose. */
struct aim_posterior { double w[AIM_GRID]; };
double aim_grid_point(int g);           /* ln sigma */
/* False: too little room (about 100 KiB for usual attempts). */
bool aim_learn(const struct aim *a, const struct aim_attempt *t, size_t n, struct room *w,
               struct aim_posterior *out);
void aim_moments(const struct aim_posterior *p, double *mean, double *sd);
/* Another day: the spread may be larger or smaller. tau_day 0.10. */
void aim_another_day(struct aim_posterior *p, double tau_day);

struct aim_prediction {
    double mean;                        /* points of one attempt */
    int lo, hi;                         /* usually: 10 % and 90 % points */
    double tails[BAND_LINES_MAX];       /* P(statistic of m_new attempts reaches each line) */
};
struct aim_at {
    double distance;                    /* the reference */
    const struct band_rule *rule;
};
/* `p` already moved to another day. False: too little room. */
bool aim_predict(const struct aim *a, const struct aim_posterior *p, const struct aim_at *at,
                 struct room *w, struct aim_prediction *out);

/* All of what depends on no child, made once for an activity's version, the school's lines and the
 * distances that its class threw from: then a child's share is sums over the grid. */
struct aim_place {
    double distance;
    const double *ln_zone;              /* AIM_GRID x (zones + 1) */
    const double *ln_total;             /* AIM_GRID x (most + 1) */
    const double *hit;                  /* AIM_GRID: a throw earns anything */
};
struct aim_tables {
    struct aim aim;
    int most;                           /* points of one attempt */
    size_t lines, places;
    struct aim_place place[AIM_STEPS_MAX];
    const double *pmf;                  /* at the reference: AIM_GRID x (most + 1) */
    const double *tails;                /* AIM_GRID x lines */
};
struct aim_places {
    const double *distance;
    size_t n;                           /* at most AIM_STEPS_MAX */
};
/* False: too little room (about 27 KiB a place for usual attempts), too many places. */
bool aim_tables_make(const struct aim *a, const struct aim_at *at, struct aim_places places,
                     struct room *w, struct aim_tables *out);
/* The place of a distance (to 5 cm), or -1. */
int aim_tables_place(const struct aim_tables *t, double distance);
/* As aim_learn, aim_predict and aim_hit. False: thrown from a place that has no table. */
bool aim_learn_by(const struct aim_tables *t, const struct aim_attempt *v, size_t n,
                  struct aim_posterior *out);
void aim_predict_by(const struct aim_tables *t, const struct aim_posterior *p,
                    struct aim_prediction *out);
double aim_hit_by(const struct aim_tables *t, const struct aim_posterior *p, size_t place);

/* Chance that a throw from `distance` earns anything. */
double aim_hit(const struct aim *a, const struct aim_posterior *p, double distance);

/* P(spread now < spread before), both from their own throws, a day between. */
double aim_closer_now(const struct aim_posterior *before, const struct aim_posterior *now,
                      double tau_day);

/* May the estimate be used at all? 10 throws, all distances known, and the reference within a
 * factor of 1.75 of the nearest distance thrown from. */
bool aim_usable(const struct aim_attempt *t, size_t n, int throws, double reference);

/* The next distance. */
enum aim_reason {
    AIM_STAY, AIM_UP, AIM_DOWN,
    AIM_TOP,            /* smaller target, other hand, or three in a row; never farther */
    AIM_BOTTOM,         /* bigger target */
    AIM_BLOCKED,        /* pain, fear, unsafe, flagged: not further */
    AIM_SPACE,          /* the home has no room for it */
    AIM_FEW,            /* fewer than five throws at this step */
};
struct aim_step_ask {
    const double *steps;                /* rising */
    int n, current;
    double target, dead_band;           /* 0.60, 0.15 */
    double space;                       /* 0: not said */
    int throws_here;
    bool block_up;
};
/* hits[n]: chance of a hit at each step. Returns the step to take. */
int aim_next_step(const struct aim_step_ask *ask, const double *hits, enum aim_reason *why);
/* "stay", "up", "down", "top", "bottom", "blocked", "space", "few". */
const char *aim_reason_word(enum aim_reason r);
