/* SPDX-License-Identifier: MIT
 * The starter activities, one variable each, and shorthand for their tables. Texts are for a child
 * of seven and whoever reads to them: short sentences, nothing that asks for force or speed. */
#pragma once

#include "store/activities.h"

extern const struct activity starter_slide, starter_gate;           /* starter_aim.c   */
extern const struct activity starter_catch, starter_skip;           /* starter_rhythm.c */
extern const struct activity starter_heron, starter_trail;          /* starter_steady.c */

#define SET(n) {.set = true, .v = (n)}
#define SIDE(lo, hi) .x1_mm = SET(lo), .x2_mm = SET(hi), .y1_mm = SET(lo), .y2_mm = SET(hi)
#define LINES2(a, b) .band_lines = {(a), (b)}, .band_line_count = 2
#define OWN_TARGET(n) .own_target = SET(n)
#define RIGHT(t) {.text = (t), .right = true}
#define OTHER(t) {.text = (t), .right = false}
#define THREE(a, b, c) .choices = {a, b, c}, .choice_count = 3
