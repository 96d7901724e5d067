/* SPDX-License-Identifier: MIT
 * The demo school while it is being made. Everything in it is invented. Days are counted from
 * `monday`, the Monday of the current week: nothing happened on it or after it yet. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "auth/card_code.h"
#include "auth/keys.h"
#include "auth/passphrase.h"
#include "base/err.h"
#include "base/ids.h"
#include "store/starters.h"
#include "store/store.h"

enum {
    DEMO_STAFF = 7, DEMO_CLASSES = 5, DEMO_GROUP = 4, DEMO_A_CLASS = 28, DEMO_PUPILS = 112,
    DEMO_IN_GROUP = 14, DEMO_SETS = 18, DEMO_FAMILIES = 12, DEMO_UNITS = 2
};

/* Staff by place: the first holds every right and teaches every class. */
enum { STAFF_LEAD, STAFF_TEACHER, STAFF_HELPER, STAFF_READER, STAFF_OFFICE, STAFF_GUARD, STAFF_PE };

/* First and last day of the two terms, from monday; the third is still to come. */
enum {
    FIRST_START = -175, FIRST_END = -87, SECOND_START = -70, SECOND_END = 25,
    THIRD_START = 42, THIRD_END = 123
};

struct demo_staff {
    struct staff_id id;
    const char *name;
    char passphrase[PASSPHRASE_WORDS];
};

struct demo_class { struct class_id id; const char *name; };

struct demo_pupil {
    struct pupil_id id;
    const char *name;
    int cls;                        /* 0..3 */
    int year;
    bool in_group;
    char code[CARD_CODE_TEXT];
    struct card_id card;
    double skill[STARTER_COUNT];    /* about 0, spread 1 */
    double learns;                  /* how much a time at it helps */
    double sends;                   /* how often tries come in */
    enum version_kind likes;
    int times[STARTER_COUNT];       /* hand-ins at each activity so far */
};

struct demo_set {                   /* a challenge */
    struct challenge_id id;
    const struct activity *activity;
    int starter;                    /* which of starters[] */
    unsigned classes;               /* bit i: demo_class i */
    int32_t opens, due, closes;     /* days */
    int unit;
};

struct demo_family { int pupil; char code[CARD_CODE_TEXT]; };

struct demo {
    void *mem;
    struct store *st;
    struct keys *keys;
    int32_t monday;
    int64_t now;                    /* first second of monday */
    int64_t families_at;            /* the same, or of 1 September, if that was since */
    struct demo_staff staff[DEMO_STAFF];
    struct demo_class classes[DEMO_CLASSES];
    struct demo_pupil pupils[DEMO_PUPILS];
    struct activity_id activities[STARTER_COUNT];
    struct unit_id units[DEMO_UNITS];
    struct demo_set sets[DEMO_SETS];
    struct demo_family families[DEMO_FAMILIES];
};

extern const char demo_school_name[];
extern const char *const demo_names[DEMO_PUPILS];

/* In this order, in one transaction. */
enum err demo_people(struct demo *d) MUST_USE;      /* school, staff, classes, pupils, cards */
enum err demo_plan(struct demo *d) MUST_USE;        /* activities, units, challenges */
enum err demo_tries(struct demo *d) MUST_USE;       /* hand-ins and what was done about them */
enum err demo_after(struct demo *d) MUST_USE;       /* seen, assessed, shared, messages */

/* Chance, from the reproducible stream. */
double demo_unit(void);             /* 0 <= x < 1 */
double demo_normal(void);           /* mean 0, spread 1 */
bool demo_chance(double p);
