/* SPDX-License-Identifier: MIT
 * The six starter activities that a new school is given. */
#pragma once

#include <stddef.h>

#include "base/err.h"
#include "store/activities.h"

enum { STARTER_COUNT = 6 };
extern const struct activity *const starters[STARTER_COUNT];

/* Stores all six; created[] (may be NULL) gets their ids in the order of starters[]. */
enum err starters_install(struct store *st, int64_t now,
                          struct activity_id created[STARTER_COUNT]) MUST_USE;
