/* SPDX-License-Identifier: MIT
 * The server's own predictive. */
#include <stdio.h>
#include <stdlib.h>

#include "sure.h"

void sure_tails(const struct sure_table *t, const int *counts, double *tails)
{
    const double one = 1;
    struct evidence e = {.n = 1, .zones = t->zone_count, .u = counts, .weight = &one};
    if (!zones_tails(&t->zones, &t->rule, &e, sim_room(), tails)) {
        fprintf(stderr, "no room for a predictive\n");
        exit(2);
    }
}
