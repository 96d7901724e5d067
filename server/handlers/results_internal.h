/* SPDX-License-Identifier: MIT
 * Between the two tables of results: a unit's and a challenge's. */
#pragma once

#include "base/buf.h"
#include "store/pupils.h"

/* {"id","display_name","year_group"} */
void view_results_pupil(struct buf *b, const struct pupil_row *p);
