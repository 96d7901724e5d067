/* SPDX-License-Identifier: MIT
 * A seeded simulation of what the assessment claims: how often it cries gain where there is none,
 * and how often what it says of a repeat comes true. Invented throwers only; no child's data. It
 * links the assessment layer and nothing else. Every figure is held against the one that the
 * design measured (tests/data/simulation.csv), within both sides' Monte Carlo error. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "assess/attainable.h"
#include "assess/band_zones.h"
#include "assess/distance.h"
#include "assess/room.h"

/* Chance: xoshiro256** seeded by splitmix64 (Blackman and Vigna, public domain). Each figure draws
 * from its own stream, so that none moves when another is added. */
struct rng {
    uint64_t s[4];
    double spare;
    bool has_spare;
};
void rng_seed(struct rng *r, const char *stream);
double rng_unit(struct rng *r);                     /* (0, 1) */
double rng_normal(struct rng *r);
double rng_gamma(struct rng *r, double shape);      /* scale 1 */
double rng_student(struct rng *r, int df);
int rng_poisson(struct rng *r, double mean);
int rng_binomial(struct rng *r, int n, double p);
int rng_below(struct rng *r, int n);

/* A running mean with its Monte Carlo error. */
struct tally {
    double n, sum, square;
};
void tally_add(struct tally *t, double x);
double tally_mean(const struct tally *t);
double tally_error(const struct tally *t);

/* What the run is: set by main from the command line. */
struct sim {
    uint64_t seed;
    double scale;               /* share of the pupils of a long run */
    const char *candidate;      /* a proposal to compare; NULL none */
};
extern struct sim sim;
size_t sim_pupils(size_t in_full);
struct room *sim_room(void);    /* emptied */

/* Figures. An id that stands in the table is judged; `mean` with `error` 0 is exact. */
bool figures_load(const char *path);
void figure(const char *id, double mean, double error);
void figure_tally(const char *id, const struct tally *t);
/* Prints what was never reached; returns how many figures are off or missing. */
int figures_close(void);

/* The ways to score that are simulated: squares inside each other on a wall, or hit and miss. Zone
 * 0 is a miss; the last is the middle. */
enum { ZONES_MOST = 4, SCORES = 25 };           /* a score of one attempt is 0..SCORES - 1 */
struct scheme {
    enum score_kind kind;
    int zones, throws;
    int points[ZONES_MOST];
    double half[ZONES_MOST];    /* half a side of the square, metres */
};
extern const struct scheme slide;       /* 4 throws 0 2 5: squares of 0.5 and 1 m */
extern const struct scheme squares;     /* 6 throws 0 1 2 4: 0.3, 0.6 and 1 m */
extern const struct scheme hit_or_miss; /* 12 tries, hit or miss */
#define SLIDE_DISTANCE 3.0
enum { SLIDE_ZONES = 3 };
struct scoring scheme_scoring(const struct scheme *s);
struct aim scheme_aim(const struct scheme *s);
int scheme_earned(const struct scheme *s, const int *counts);

/* The invented throwers. */
struct thrower {
    int zones;
    double p[ZONES_MOST];       /* in the order of the points */
};
struct crowd {
    double median, log_sd;      /* of the angular spread */
};
extern const struct crowd crowd_usual;
double crowd_sigma(const struct crowd *c, struct rng *r);
struct thrower thrower_of(const struct scheme *s, double sigma, double distance);
double on_a_day(double sigma, double tau, struct rng *r);
/* counts of `throws` throws, cleared first */
void throw_counts(const struct thrower *t, int throws, struct rng *r, int *counts);
struct outcome throw_attempt(const struct scheme *s, const struct thrower *t, struct rng *r);
/* Chances of each score of one attempt. */
void thrower_pmf(const struct scheme *s, const struct thrower *t, double pmf[SCORES]);

/* The parts of the run, in the order of the printed table. */
void sim_gain_zones(void);
void sim_gain_tries(void);
void sim_gain_looks(void);
void sim_gain_best(void);
void sim_gain_measures(void);
void sim_gain_counts(void);
void sim_gain_objects(void);
void sim_gain_distances(void);
void sim_sure_prior(void);
void sim_sure_labels(void);
void sim_sure_other(void);
void sim_distance_fair(void);
void sim_next_distance(void);
void sim_repeats(void);
void sim_best_by_luck(void);
void sim_agreement(void);
/* A proposal beside today's rule: its own table, no published figures. */
void sim_candidates(void);
