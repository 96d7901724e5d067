/* SPDX-License-Identifier: MIT
 * What a name (of a pupil, a class, a member of staff, a school) may be made of, with a word for
 * what is wrong. What passes is stored as text_clean() gives it and comes back the same. */
#pragma once

#include <stddef.h>

/* NULL when `s` (n bytes) is a name of 1..max characters once cleaned; else a code:
 *   "required"          empty, or nothing in it that can be seen
 *   "too_long"          more than max characters
 *   "control_character" a control, a line break, U+2028, U+2029
 *   "bidi"              a control that turns the direction of the text around
 *   "not_text"          not valid UTF-8 */
const char *name_fault(const char *s, size_t n, size_t max);

/* The name of a class of year group `year` for the year after: every number in it that is `year`
 * is one more ("3 Alder" -> "4 Alder", "Year 3" -> "Year 4"). NULL when there is none, or when a
 * neighbour of it stands in the name too ("3/4": a class of two year groups). On ctx. */
char *name_year_up(void *ctx, const char *name, int year);
