/* SPDX-License-Identifier: MIT
 * Between the plan of a year's end and its doing. */
#pragma once

#include "store/year.h"

/* Classes, groups and a proposal; p->top and p->today are set. */
enum err year_plan_classes(struct store *st, void *ctx, struct year_plan *p) MUST_USE;
