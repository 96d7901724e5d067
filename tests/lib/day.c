/* SPDX-License-Identifier: MIT */
#include "day.h"

#include <stdio.h>
#include <stdlib.h>

#include "base/clock.h"

void day_reset(void)
{
    const char *at = getenv("THRICE_AT");
    char *end = NULL;
    long long v = at && *at ? strtoll(at, &end, 10) : 0;
    if (v < 0 || (end && *end)) {
        fprintf(stderr, "# THRICE_AT is not a number of seconds: %s\n", at);
        abort();
    }
    clock_fix(v);
}

__attribute__((constructor)) static void day_begin(void)
{
    day_reset();
}
