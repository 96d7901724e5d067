/* SPDX-License-Identifier: MIT
 * The form without script: what was typed, what is wrong with it, and the page that says so. */
#pragma once

#include <stdbool.h>
#include <stddef.h>

#include "assess/attainable.h"
#include "base/buf.h"
#include "http/request.h"
#include "store/activities.h"
#include "store/hand_ins.h"
#include "words.h"

enum quick_field {
    QUICK_CODE, QUICK_CHALLENGE, QUICK_ATTEMPT,     /* attempt n is QUICK_ATTEMPT + n - 1 */
    QUICK_DISTANCE = QUICK_ATTEMPT + HAND_IN_ATTEMPTS, QUICK_COULD_NOT, QUICK_CONFIRMED,
    QUICK_FIELDS
};
extern const char *const quick_names[QUICK_FIELDS];

struct quick {
    struct request *rq;
    const struct language *language;
    bool unread;                        /* machine-made words, not read at the school yet */
    const char *typed[QUICK_FIELDS];    /* "" when empty or absent */
    const char *wrong[QUICK_FIELDS];    /* a sentence for the child, or NULL */
    const char *wrong_all;              /* about no single field, or NULL */
    const struct activity *activity;    /* NULL until the challenge is known */
    int status;                         /* of the page that says what to mend */
    bool ask;                           /* the page has the "yes, that is right" tick */
};

/* Everyday text into an attempt: a total in points, count, seconds or centimetres, or each throw.
 * False: cannot be read as one. */
bool quick_read_attempt(const struct activity *a, const char *text, struct tried *out);
/* Metres with '.' or ','. False: not a distance in whole millimetres above 0. */
bool quick_read_distance(const char *text, int32_t *mm);

/* Turns rq->blames of a refused hand-in into sentences. field_of[i] is the field attempt i came
 * from. */
void quick_explain(struct quick *q, enum err e, const enum quick_field *field_of, size_t n);

/* The form, with what was typed and what is to mend, if anything. */
void quick_page(struct quick *q, struct buf *b);
void quick_thanks_page(struct quick *q, struct buf *b);
