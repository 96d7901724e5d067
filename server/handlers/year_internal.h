/* SPDX-License-Identifier: MIT
 * Between the end of the school year as it is asked for and as it is shown. */
#pragma once

#include <jansson.h>
#include <stdbool.h>
#include <stdint.h>

#include "http/request.h"
#include "store/year.h"

enum { YEAR_SEEN = 17 };                /* 16 hexadecimal digits and a NUL */

struct year_shown {
    const struct year_plan *plan;
    const char *seen;                   /* digest of the plan */
    bool has_last;
    int32_t last_day;                   /* when the classes moved up last */
};

json_t *year_plan_json(const struct year_shown *s);
