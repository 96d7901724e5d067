/* SPDX-License-Identifier: MIT
 * What the parts of the invented school share. */
#pragma once

#include "assess/band.h"
#include "assess/band_zones.h"
#include "assess/distance.h"
#include "assess/gain.h"
#include "assess/next.h"
#include "assess/spread.h"
#include "assess/unit.h"
#include "school.h"
#include "../sim/sim.h"

enum {
    ATTEMPTS = 3, HAND_INS = 2, MADE = ATTEMPTS * HAND_INS, ROOM_MIB = 32,
    FIRST_ZONES = 8, FIRST_TRIES = 16, FIRST_COUNTS = 26, FIRST_MEASURES = 32, ACTIVITIES = 40,
    PLACES = 5
};
/* DISTANCES: the slide; ZONED: the scheme whose totals do not tell the throws. */
enum kind { DISTANCES, ZONED, TRIES, COUNTS, MEASURES };
enum kind kind_of(int activity);

/* What one pupil made of one activity, and what was worked out of it. */
struct cell {
    struct outcome o[MADE];
    struct aim_attempt aimed[MADE];
    int64_t count[MADE];
    double value[MADE];
    struct band_answer band;
    enum gain_category gain;
    double fair, next;
};

/* The tables of one activity. */
struct version {
    struct band_rule rule;
    struct zones_table zones;
    struct counts_table counts;
    struct aim_tables aim;
    struct next_tables next;
    struct band_spread spread[CLASSES];
};

struct school {
    struct cell *cell;
    struct version version[ACTIVITIES];
    struct scoring scoring[TRIES + 1];      /* by kind */
    struct aim aim;
    struct room tables, work;
    struct judgement judged[PUPILS];
};

static inline struct cell *cell_of(struct school *s, int pupil, int activity)
{
    return &s->cell[pupil * ACTIVITIES + activity];
}
