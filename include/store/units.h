/* SPDX-License-Identifier: MIT
 * Units of work and their lessons: what is assessed at its end, and by which rule. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/err.h"
#include "base/ids.h"
#include "store/store.h"

enum unit_statistic { UNIT_MIDDLE, UNIT_BEST, UNIT_MEAN, UNIT_STATISTIC_COUNT };
enum unit_policy { UNIT_WEAKEST, UNIT_MAJORITY, UNIT_ALL_OF, UNIT_POLICY_COUNT };
enum unit_pooling { UNIT_POOL_ALL, UNIT_POOL_LATEST, UNIT_POOLING_COUNT };

const char *unit_statistic_word(enum unit_statistic s);
const char *unit_policy_word(enum unit_policy p);
const char *unit_pooling_word(enum unit_pooling p);
int unit_statistic_of(const char *word);        /* -1: another word */
int unit_policy_of(const char *word);
int unit_pooling_of(const char *word);

enum { UNIT_LESSONS = 40, LESSON_ACTIVITIES = 12 };

struct unit_lesson {
    struct lesson_id id;
    const char *name;
    struct activity_id *activities;
    size_t activity_count;
};

struct unit {
    struct unit_id id;
    const char *name;
    enum unit_statistic statistic;
    enum unit_policy policy;
    enum unit_pooling pooling;
    struct unit_lesson *lessons;
    size_t lesson_count;
    bool archived;
};

/* ERR_NOT_FOUND when there is none. On ctx. */
enum err unit_get(void *ctx, struct store *st, struct unit_id id, struct unit *out) MUST_USE;
/* Units that are not archived, newest first. */
enum err units_list(void *ctx, struct store *st, struct unit **out, size_t *count) MUST_USE;
/* Ids in the draft are ignored. ERR_NOT_FOUND: an activity of a lesson is not there. */
enum err unit_create(struct store *st, const struct unit *draft, int64_t now,
                     struct unit_id *out) MUST_USE;
/* Replaces name, rules, lessons and whether it is archived. */
enum err unit_update(struct store *st, struct unit_id id, const struct unit *draft,
                     int64_t now) MUST_USE;
/* The unit named after the term that holds `day` ("This term" outside terms); made when absent. A
 * unit of the same name from an earlier year is another one. */
enum err unit_default(struct store *st, int32_t day, int64_t now, struct unit_id *out) MUST_USE;

extern const struct stmt_set units_stmts;
