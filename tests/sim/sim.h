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

/* The invented throwers and the demo target: 0.4 m square (3 points) inside 1 m square (1). */
enum { ZONES = 3 };
#define DEMO_DISTANCE 4.0
struct thrower {
    double p[ZONES];            /* misses, 1 point, 3 points: the order of the points */
};
struct crowd {
    double median, log_sd;      /* of the angular spread */
};
extern const struct crowd crowd_usual;
struct scoring zones_scoring(void);                 /* 5 throws, 0 1 3 */
struct scoring tries_scoring(int tries);
struct aim demo_aim(void);
double crowd_sigma(const struct crowd *c, struct rng *r);
struct thrower thrower_of(double sigma, double distance);
double on_a_day(double sigma, double tau, struct rng *r);
/* counts of `throws` throws, cleared first */
void throw_counts(const struct thrower *t, int throws, struct rng *r, int *counts);
struct outcome throw_attempt(const struct thrower *t, struct rng *r);
int zones_earned(const int *counts);
/* Chances of each total 0..15 of five throws. */
enum { TOTALS = 16 };
void thrower_pmf(const struct thrower *t, double *pmf);

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
void sim_best_by_luck(void);
void sim_agreement(void);
/* A proposal beside today's rule: its own table, no published figures. */
void sim_candidates(void);
