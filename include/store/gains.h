/* SPDX-License-Identifier: MIT
 * Is a pupil's gain more than luck? From stored hand-ins to the assessment layer's question: the
 * first comparable hand-in against the latest, never best against best. For staff only; a child
 * sees its own best. Only the latest look is answered, and nothing is kept of it. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "assess/gain.h"
#include "base/err.h"
#include "base/ids.h"
#include "store/activities.h"
#include "store/hand_ins.h"
#include "store/store.h"

/* Why there is no category. */
enum gain_why {
    GAIN_TOLD,                  /* there is one: .category */
    GAIN_NO_HAND_IN,            /* none with tries that counts */
    GAIN_ONE_HAND_IN,           /* nothing earlier to compare with */
    GAIN_NOT_COMPARABLE,        /* earlier ones: another version, or scored in another way */
    GAIN_TOO_FEW,               /* even a perfect result could not convince */
    GAIN_NO_SPREAD,             /* not known yet how much tries of the class vary */
    GAIN_DISTANCE,              /* other distances, too far apart, or not known */
    GAIN_UNKNOWN_TARGET,        /* the same, and the size of the home's target is not known */
};

enum gain_route { GAIN_BY_THROWS, GAIN_BY_COUNTS, GAIN_BY_SPREAD, GAIN_BY_AIM };

struct gain {
    enum gain_why why;
    enum gain_category category;    /* GAIN_SILENT unless GAIN_TOLD */
    enum gain_route route;
    bool estimate;                  /* across distances: at most LIKELY */
    bool crosses;                   /* totals only: some throws behind them would say more */
    int32_t first_day, latest_day;  /* of the two hand-ins; 0 when there are not two */
    int64_t first_seq, latest_seq;
    int32_t step_mm;                /* where both were made; 0: no distance, or two */
    struct gain_range p;            /* P(luck does as well): for tests, never shown */
};

/* How much tries vary within a hand-in and between days, of a class at an activity, by version:
 * one pass for all pupils. The one place where it is worked out: gains and bands both borrow it.
 * Whole tries of each hand-in from one place, scored like the activity; between days each child's
 * first hand-in against the latest from the same place, which is the change that a gain is judged
 * by and lets the days lie as far apart as they did. */
struct gains_class {
    struct gain_spread {
        double s_w, nu, rho;
        double nu_change;           /* 0: the change between days is not known */
    } of[VERSION_KIND_COUNT];
};
struct gains_class_ask {
    const struct hand_in_list *hand_ins;    /* the class's, by pupil then seq; all states */
    const struct activity *activity;
};
enum err gains_class_of(struct store *st, const struct gains_class_ask *ask,
                        struct gains_class *out) MUST_USE;

struct gain_ask {
    const struct hand_in_list *hand_ins;    /* the pupil's at the activity; all states */
    const struct activity *activity;
    const struct gains_class *cls;
    int32_t fresh_day;                      /* the pupil's fresh start; 0: none */
    bool estimates;                         /* the school wants them; else GAIN_DISTANCE */
};
/* Looks at the school year of the latest hand-in, from the fresh start on. */
enum err gain_of(struct store *st, void *ctx, const struct gain_ask *ask,
                 struct gain *out) MUST_USE;

/* "one_hand_in", "too_few_throws" ...; NULL for GAIN_TOLD. */
const char *gain_why_word(enum gain_why w);
