/* SPDX-License-Identifier: MIT
 * An invented school in memory, assessed as the server would: tables made once for an activity's
 * version, then every pupil's part. */
#pragma once

#include <stdbool.h>

enum { PUPILS = 600, CLASSES = 20, CLASS = PUPILS / CLASSES };
enum {
    PART_TABLES, PART_ZONES, PART_COUNTS, PART_MEASURES, PART_GAINS, PART_DISTANCES, PART_NEXT,
    PART_UNITS, PARTS
};

struct school;
struct school *school_open(void);       /* NULL: no memory */
void school_close(struct school *s);
/* One part for every pupil. PART_TABLES first. */
void school_part(struct school *s, int part);
/* Everything of one pupil, tables apart. */
void school_pupil(struct school *s, int pupil);
/* New lines for one activity of each kind: their tables, and how the class would fall. */
void school_preview(struct school *s, int class);
/* Bands and gains of the zones as if no throw were known, of every tenth pupil (it is slow). */
void school_totals(struct school *s);
/* Of what came out: the same for every run of one build. */
double school_sum(const struct school *s);
