/* SPDX-License-Identifier: MIT
 * The demo's plan: the six starter activities, a unit a term with its lessons, and eighteen
 * challenges: two terms of them, one for a group, one open since today, one still to open. */
#include "demo_internal.h"

#include "base/clock.h"
#include "base/mem.h"
#include "store/challenges.h"
#include "store/units.h"

enum { SLIDE, GATE, CATCH, SKIP, HERON, TRAIL };            /* in the order of starters[] */
enum { ACORN = 1, BEECH = 2, CEDAR = 4, DAMSON = 8, GROUP = 16, ALL = 15 };

static const struct {
    int starter;
    unsigned classes;
    int opens, due;             /* days from monday */
} plan[DEMO_SETS] = {
    {HERON, ALL, -168, -155},   {SLIDE, ALL, -154, -141},     {CATCH, CEDAR | DAMSON, -140, -134},
    {SKIP, ACORN | BEECH, -140, -134}, {TRAIL, ALL, -126, -113}, {GATE, ACORN | BEECH, -112, -99},
    {SKIP, CEDAR | DAMSON, -112, -99}, {HERON, ALL, -105, -92}, {SLIDE, ALL, -70, -57},
    {SKIP, ALL, -63, -50},      {HERON, ALL, -49, -36},       {GATE, CEDAR | DAMSON, -28, -22},
    {CATCH, ACORN | BEECH, -28, -22}, {SLIDE, ALL, -21, -8},  {SKIP, ALL, -7, 6},
    {CATCH, GROUP, -7, 6},      {HERON, ALL, 0, 13},          {TRAIL, ALL, 7, 20},
};

static enum err make_lessons(struct demo *d, int u)
{
    static const struct { const char *name; int first, second; } lessons[DEMO_UNITS][3] = {
        {{"Still as a heron", HERON, TRAIL}, {"Aim low and slow", SLIDE, GATE},
         {"Hands and rhythm", CATCH, SKIP}},
        {{"Aim from further away", SLIDE, GATE}, {"A steady beat", SKIP, HERON},
         {"Catch and carry", CATCH, TRAIL}},
    };
    struct unit unit;
    struct unit_lesson made[3] = {{.name = NULL}};
    enum err e = unit_get(d->mem, d->st, d->units[u], &unit);
    for (int i = 0; e == OK && i < 3; i++) {
        struct activity_id *both = mem_array(d->mem, struct activity_id, 2);
        both[0] = d->activities[lessons[u][i].first];
        both[1] = d->activities[lessons[u][i].second];
        made[i] = (struct unit_lesson){.name = lessons[u][i].name, .activities = both,
                                       .activity_count = 2};
    }
    unit.lessons = made;
    unit.lesson_count = 3;
    return e == OK ? unit_update(d->st, d->units[u], &unit, d->now) : e;
}

static enum err make_units(struct demo *d)
{
    static const int starts[DEMO_UNITS] = {FIRST_START, SECOND_START};
    enum err e = OK;
    for (int u = 0; e == OK && u < DEMO_UNITS; u++) {
        int32_t day = d->monday + starts[u];
        e = unit_default(d->st, day, clock_day_at(day, 8, 0), &d->units[u]);
        if (e == OK) {
            e = make_lessons(d, u);
        }
    }
    return e;
}

static enum err make_challenge(struct demo *d, int i)
{
    struct demo_set *s = &d->sets[i];
    struct class_id classes[DEMO_CLASSES];
    size_t n = 0;
    int64_t closes_at = 0;
    s->starter = plan[i].starter;
    s->classes = plan[i].classes;
    s->opens = d->monday + plan[i].opens;
    s->due = d->monday + plan[i].due;
    s->unit = plan[i].opens >= SECOND_START;
    for (int c = 0; c < DEMO_CLASSES; c++) {
        if (s->classes & 1u << c) {
            classes[n++] = d->classes[c].id;
        }
    }
    enum err e = challenge_default_close(d->st, s->due, &closes_at);
    if (e != OK) {
        return e;
    }
    if (plan[i].due < -3 * 7) {         /* an early one does not stay on Today till term ends */
        closes_at = clock_day_end(s->due + 14);
    }
    s->closes = clock_day(closes_at);
    int32_t set_on = s->opens < d->monday ? s->opens - 3 : d->monday - 3;
    const struct challenge_new c = {
        .activity = d->activities[s->starter], .unit = d->units[s->unit],
        .classes = classes, .class_count = n,
        .opens_at = clock_day_start(s->opens), .due_at = clock_day_end(s->due),
        .closes_at = closes_at,
        .by = d->staff[STAFF_LEAD].id, .now = clock_day_at(set_on, 16, 10),
    };
    e = challenge_create(d->st, &c, &s->id);
    return e == OK ? activity_load_current(d->st, c.activity, &s->activity) : e;
}

enum err demo_plan(struct demo *d)
{
    int64_t at = clock_day_at(d->monday + FIRST_START - 20, 11, 0);
    enum err e = starters_install(d->st, at, d->activities);
    if (e == OK) {
        e = make_units(d);
    }
    for (int i = 0; e == OK && i < DEMO_SETS; i++) {
        e = make_challenge(d, i);
    }
    return e;
}
