/* SPDX-License-Identifier: MIT
 * Between the ways in (JSON, form, on a child's behalf) and the rules of a hand-in. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "assess/attainable.h"
#include "base/err.h"
#include "http/request.h"
#include "store/activities.h"
#include "store/challenges.h"
#include "store/hand_ins.h"

/* A hand-in as it was sent: shapes are right, nothing has been looked up. */
struct hand_in_input {
    struct hand_in h;               /* id, challenge, version (0: standard), could_not, felt, cues,
                                       answers, target, kit, place, counted_by, confirmed; on
                                       behalf: pupil and channel too */
    struct tried tried[HAND_IN_ATTEMPTS];
    size_t tried_count;
    bool has_done_on;
    int32_t done_on;
};

/* Reads rq->json strictly. ERR_BAD_INPUT: every fault found is blamed. `on_behalf`: pupil and
 * channel are members too, and a challenge that is given must be the path's. */
enum err hand_in_input_read(struct request *rq, bool on_behalf, struct hand_in_input *out) MUST_USE;

/* What one hand-in is about, once looked up. */
struct hand_in_about {
    const struct activity *activity;
    struct challenge challenge;
    struct hand_in_list history;    /* the pupil's of this activity, this school year, all states,
                                       without this one */
};

/* The rules and the insert, on the writing store: h->pupil, channel, entered_by are set by the
 * caller from who is signed in. After OK in->h is as stored. Errors: ERR_DIFFERENT, ERR_NOT_FOUND,
 * ERR_NOT_OPEN, ERR_CLOSED, ERR_ENOUGH_TODAY, ERR_CONFIRM and ERR_BAD_INPUT with blames. */
enum err hand_in_take(struct request *rq, struct hand_in_input *in, struct hand_in_about *about,
                      enum hand_in_outcome *outcome) MUST_USE;

/* The hash by which a repeat is known: everything sent but the id and `confirmed`. */
void hand_in_content_hash(struct request *rq, struct hand_in_input *in);

/* hand_in_checks.c: values, versions, cues, answers, setup against the revision; fills attempts of
 * in->h, best and surprising. */
enum err hand_in_check(struct request *rq, struct hand_in_input *in,
                       const struct hand_in_about *about) MUST_USE;
