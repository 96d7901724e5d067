/* SPDX-License-Identifier: MIT
 * What a member of staff holds on an object today. Each answers *there (the object exists) and
 * *bits (ALLOW_TEACH | ALLOW_HELP | ALLOW_READ, 0 when none). */
#pragma once

#include <stdbool.h>
#include <stdint.h>

#include "base/err.h"
#include "base/ids.h"
#include "store/store.h"

extern const struct stmt_set rights_stmts;

struct rights_of {
    struct store *st;
    struct staff_id staff;
    int32_t today;
};

struct rights_found {
    bool there;
    unsigned bits;              /* held on any of the object's classes */
    bool results_everywhere;    /* teach or read on every one of them (challenges) */
};

enum err rights_class(const struct rights_of *of, int64_t class_id, struct rights_found *out)
    MUST_USE;
enum err rights_pupil(const struct rights_of *of, int64_t pupil_id, struct rights_found *out)
    MUST_USE;
enum err rights_challenge(const struct rights_of *of, int64_t challenge_id,
                          struct rights_found *out) MUST_USE;
enum err rights_any(const struct rights_of *of, unsigned *bits) MUST_USE;

/* Whose it is; *pupil 0 when there is no such object. */
enum err rights_pupil_of_hand_in(struct store *st, const struct uuid *id, int64_t *pupil) MUST_USE;
enum err rights_pupil_of_message(struct store *st, int64_t message_id, int64_t *pupil) MUST_USE;
enum err rights_pupil_of_card(struct store *st, int64_t card_id, int64_t *pupil) MUST_USE;
enum err rights_unit_exists(struct store *st, int64_t unit_id, bool *there) MUST_USE;
/* The challenge is set for a class the pupil is in today. */
enum err rights_pupil_has_challenge(struct store *st, int64_t pupil_id, int64_t challenge_id,
                                    int32_t today, bool *yes) MUST_USE;
