/* SPDX-License-Identifier: MIT
 * A fresh start: the day from which a pupil's own bests, what changed, next challenges and gains
 * count. One day a pupil, set and taken back by staff; no reason is asked or kept. Nothing is
 * deleted, and what the tries of a unit point to is not changed by it. */
#pragma once

#include <stddef.h>
#include <stdint.h>

#include "base/err.h"
#include "base/ids.h"
#include "store/hand_ins.h"
#include "store/store.h"

/* *from_day: hand-ins done on it or later count; 0: there is no fresh start. */
enum err fresh_start_get(struct store *st, struct pupil_id pupil, int32_t *from_day) MUST_USE;
/* The later of `from_day` and the pupil's fresh start. */
enum err fresh_start_from(struct store *st, struct pupil_id pupil, int32_t from_day,
                          int32_t *out) MUST_USE;

struct fresh_start { struct pupil_id pupil; int32_t from_day; };
struct fresh_start_list {
    struct fresh_start *v;          /* on ctx, by pupil id */
    size_t n;
};
struct fresh_start_ask { struct class_id cls; int32_t today; };
/* Of the pupils who are in the class on that day and have one. */
enum err fresh_start_of_class(struct store *st, void *ctx, const struct fresh_start_ask *ask,
                              struct fresh_start_list *out) MUST_USE;
/* The pupil's day in such a list; 0: none. */
int32_t fresh_start_in(const struct fresh_start_list *list, struct pupil_id pupil);

struct fresh_start_set { struct pupil_id pupil; int32_t from_day, set_day; struct staff_id by; };
/* Replaces an earlier one. ERR_CONFLICT: no such pupil. */
enum err fresh_start_set(struct store *st, const struct fresh_start_set *s) MUST_USE;
/* OK when there was none, too. */
enum err fresh_start_clear(struct store *st, struct pupil_id pupil) MUST_USE;

/* Those of `all` that were done on the day or later, in the same order, on ctx (copies). */
struct hand_in_list fresh_start_since(void *ctx, const struct hand_in_list *all, int32_t from_day);

extern const struct stmt_set fresh_start_stmts;
