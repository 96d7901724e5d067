/* SPDX-License-Identifier: MIT
 * Ways that throws can fall: compositions of n into as many parts as there are zones. */
#pragma once

#include <stdbool.h>
#include <stddef.h>

#include "assess/attainable.h"

/* The points as the evidence counts them: successes are (0, 1). */
struct points {
    int n;
    int p[SCORE_ZONES_MAX];
    int cap;                    /* 0: none */
};
void points_of(const struct scoring *s, struct points *out);
/* What counts[] earn, the cap applied. */
int points_earned(const struct points *pts, const int *counts);

/* How many compositions of n into z parts there are. */
double ways_count(int n, int z);
/* Walks them all: ways_first, then ways_next until it answers false. */
void ways_first(int *c, int z, int n);
bool ways_next(int *c, int z);
/* n! / prod c! */
double ways_orders(const int *c, int z, int n);
/* 0! .. 170! */
double factorial(int n);
