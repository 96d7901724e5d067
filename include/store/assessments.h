/* SPDX-License-Identifier: MIT
 * What the teacher decided. Rows are only ever added; the last one of (unit, pupil) holds. What
 * Thrice suggested is kept beside each decision, as it was shown, and never changes it. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/err.h"
#include "base/ids.h"
#include "store/observations.h"
#include "store/store.h"

/* seen_in_lessons tries_were_not_typical kit_or_space support_given other_evidence; NULL-ended.
 * A struct assessment holds one of these literals. */
extern const char *const assessment_reason_words[];

struct assessment {
    struct unit_id unit;
    const char *unit_name;          /* readers */
    struct pupil_id pupil;
    int band;
    const char *word;               /* readers: the school's word of the band now; "" when gone */
    bool in_bulk;
    const char *reason;             /* or NULL */
    int suggested_band;             /* -1: none was suggested */
    const char *suggested_label;    /* sure fairly leaning not_enough, or NULL */
    const char *suggestion;         /* JSON as shown, or NULL */
    struct staff_id by;
    const char *by_name;            /* readers */
    int64_t at;
    int64_t shared_at;              /* 0: families do not see it */
};

struct assessment_list {
    struct assessment *v;           /* on ctx */
    size_t n;
};

enum err assessment_add(struct store *st, const struct assessment *a) MUST_USE;
/* The one that holds; ERR_NOT_FOUND when there is none. */
enum err assessment_get(struct store *st, void *ctx, struct unit_id u, struct pupil_id p,
                        struct assessment *out) MUST_USE;
/* Those that hold, of the pupils in the class; by pupil id. */
enum err assessments_of_class(struct store *st, void *ctx, const struct unit_class *k,
                              struct assessment_list *out) MUST_USE;
/* Those that hold, newest decision first; with `shared` only those that families may see. */
enum err assessments_of_pupil(struct store *st, void *ctx, struct pupil_id p, bool shared,
                              struct assessment_list *out) MUST_USE;
/* Every one that was ever made about the pupil, oldest first: for a copy of the data. */
enum err assessments_ever_of_pupil(struct store *st, void *ctx, struct pupil_id p,
                                   struct assessment_list *out) MUST_USE;
/* Lets families see the one that holds. *changed is false when there is none or they do already. */
enum err assessment_share(struct store *st, struct unit_id u, struct pupil_id p, int64_t now,
                          bool *changed) MUST_USE;

extern const struct stmt_set assessments_stmts;
