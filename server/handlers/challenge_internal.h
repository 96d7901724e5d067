/* SPDX-License-Identifier: MIT
 * What setting a challenge and mending it share: its dates and classes as a body names them. */
#pragma once

#include "http/reply.h"
#include "plan_internal.h"
#include "store/challenges.h"

enum { SET_CLASSES = 60 };

/* When a challenge opens, is due, closes: as given, then worked out. */
struct times {
    bool opens, due, closes;            /* was given */
    int64_t opens_at, due_at, closes_at;
};
/* opens_on or opens_at and so on; what is not there stays as it was. */
void times_read(struct reader *r, struct times *t);
/* Blames what is out of order or out of range, by the member that was given. */
void times_check(struct reader *r, const struct times *t);

/* The body's list of classes, at most SET_CLASSES: each once, and one that `may` lets pass (`of` is
 * handed to it); others are blamed. */
typedef bool class_may(struct request *rq, const void *of, int64_t id);
void classes_read(struct reader *r, class_may *may, const void *of, struct class_id *ids,
                  size_t *n);

enum err challenge_answer(struct request *rq, struct reply *rp, int status,
                          struct challenge_id id) MUST_USE;
