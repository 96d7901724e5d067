/* SPDX-License-Identifier: MIT
 * Between the two tables of results: a unit's and a challenge's; and the parts of the latter
 * (results.c the answer, results_row.c a child, results_class.c a class as a whole). */
#pragma once

#include "base/buf.h"
#include "http/request.h"
#include "store/activities.h"
#include "store/challenges.h"
#include "store/fresh_start.h"
#include "store/gains.h"
#include "store/hand_in_marks.h"
#include "store/results.h"
#include "store/second_views.h"

/* {"id","display_name","year_group"} */
void view_results_pupil(struct buf *b, const struct pupil_row *p);

/* A challenge's results in the making. */
struct sheet {
    struct request *rq;
    struct buf *b;              /* the answer */
    struct buf checks, noted;   /* what waits for a look; what counts all the same; comma between */
    struct buf views;           /* classes as a whole, comma between */
    struct challenge challenge;
    const struct activity *activity;
    struct school school;
    int64_t *written;           /* pupils, so that nobody in two classes comes twice */
    size_t count, cap;
    struct second_blind_list blind;     /* whose suggestion this person is not told */
};

/* One class of it: the unit's results, and this year's hand-ins at the activity. */
struct sheet_class {
    struct results r;
    struct hand_in_list year;           /* by pupil, then arrival */
    struct gains_class spread;
    struct fresh_start_list fresh;
};

bool sheet_of_challenge(const struct sheet *s, const struct hand_in *h);
enum grid_state sheet_state(const struct sheet *s, const struct results *r,
                            const struct results_row *row);
/* The pupil's own part of a list that comes by pupil. */
struct hand_in_list sheet_own(const struct hand_in_list *all, struct pupil_id id);
/* The class as a whole, into `views`. */
enum err sheet_class_view(struct sheet *s, const struct sheet_class *c, struct class_id cls);
/* A row, and its entries in `checks` and `noted`. */
enum err sheet_row(struct sheet *s, const struct sheet_class *c, const struct results_row *row);
