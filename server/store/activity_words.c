/* SPDX-License-Identifier: MIT
 * The words of the plan: the only table between the enums of the program and what the database
 * holds and the API says. A word that is not in the table is -1, never a guess. */
#include <stddef.h>
#include <string.h>

#include "store/activities.h"
#include "store/units.h"

static const char *const kinds[ACTIVITY_KIND_COUNT] = {
    [ACTIVITY_KIND_ZONES] = "zones",
    [ACTIVITY_KIND_SUCCESSES] = "successes",
    [ACTIVITY_KIND_TIMED_COUNT] = "timed_count",
    [ACTIVITY_KIND_MEASURE] = "measure",
};
static const char *const units[VALUE_UNIT_COUNT] = {
    [VALUE_POINTS] = "points", [VALUE_COUNT] = "count", [VALUE_MS] = "ms", [VALUE_MM] = "mm",
};
static const char *const strands[STRAND_COUNT] = {
    [STRAND_TARGET] = "target", [STRAND_STRIKING] = "striking", [STRAND_CATCHING] = "catching",
    [STRAND_BALANCE] = "balance", [STRAND_TRAVELLING] = "travelling",
    [STRAND_SKIPPING] = "skipping", [STRAND_DANCE] = "dance",
};
static const char *const version_kinds[VERSION_KIND_COUNT] = {
    [VERSION_STANDARD] = "standard", [VERSION_QUIET] = "quiet", [VERSION_SEATED] = "seated",
    [VERSION_NO_KIT] = "no_kit",
};
static const char *const changes[CHANGE_COUNT] = {
    [CHANGE_SPACE] = "space", [CHANGE_TASK] = "task", [CHANGE_EQUIPMENT] = "equipment",
    [CHANGE_PEOPLE] = "people",
};
static const char *const statistics[UNIT_STATISTIC_COUNT] = {
    [UNIT_MIDDLE] = "middle", [UNIT_BEST] = "best", [UNIT_MEAN] = "mean",
};
static const char *const policies[UNIT_POLICY_COUNT] = {
    [UNIT_WEAKEST] = "weakest", [UNIT_MAJORITY] = "majority", [UNIT_ALL_OF] = "all_of",
};
static const char *const poolings[UNIT_POOLING_COUNT] = {
    [UNIT_POOL_ALL] = "unit", [UNIT_POOL_LATEST] = "latest",
};

static int find(const char *const *words, size_t n, const char *word)
{
    for (size_t i = 0; word && i < n; i++) {
        if (strcmp(words[i], word) == 0) {
            return (int)i;
        }
    }
    return -1;
}

#define WORDS(type, name, table, count) \
    const char *name##_word(type v) \
    { \
        return (size_t)v < (size_t)(count) ? table[v] : ""; \
    } \
    int name##_of(const char *word) \
    { \
        return find(table, (size_t)(count), word); \
    }

WORDS(enum activity_kind, activity_kind, kinds, ACTIVITY_KIND_COUNT)
WORDS(enum value_unit, value_unit, units, VALUE_UNIT_COUNT)
WORDS(enum strand, strand, strands, STRAND_COUNT)
WORDS(enum version_kind, version_kind, version_kinds, VERSION_KIND_COUNT)
WORDS(enum step_change, step_change, changes, CHANGE_COUNT)
WORDS(enum unit_statistic, unit_statistic, statistics, UNIT_STATISTIC_COUNT)
WORDS(enum unit_policy, unit_policy, policies, UNIT_POLICY_COUNT)
WORDS(enum unit_pooling, unit_pooling, poolings, UNIT_POOLING_COUNT)
