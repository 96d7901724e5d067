/* SPDX-License-Identifier: MIT
 * Who is in a class today, and whose right on it holds: one text for all statements that ask. They
 * name membership m, pupil p and :today. */
#pragma once

#define IN_CLASS_TODAY                                                  \
    "m.from_day <= :today AND (m.to_day IS NULL OR m.to_day >= :today)" \
    " AND (p.left_day IS NULL OR p.left_day > :today)"
#define RIGHT_HOLDS(t) "(" t ".until_day IS NULL OR " t ".until_day >= :today)"
