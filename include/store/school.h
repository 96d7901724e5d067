/* SPDX-License-Identifier: MIT
 * The school itself: names, time zone, term dates, closed days, the words of its attainment bands.
 * "School day" means Monday to Friday inside a term and not a closed day. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/err.h"
#include "store/store.h"

enum { SCHOOL_TERMS = 24, SCHOOL_CLOSED_DAYS = 400, SCHOOL_BANDS = 6 };

struct school {
    const char *name;
    const char *time_zone;              /* IANA name */
    const char *origin;                 /* NULL: loopback */
    const char *away_phone;             /* may be "" */
    const char *safeguarding_contact;   /* "" = amber */
    bool dpia_done;                     /* false = amber */
    int32_t dpia_done_day;
    bool single_bands;                  /* a band from one challenge alone */
    bool distance_estimates;            /* what another distance would likely give */
    bool class_figures;                 /* ICC, typical error, kappa as numbers */
    bool pl_read, ur_read;              /* somebody at the school has read these words */
    int64_t created_at;
};

struct term {
    const char *name;
    int32_t starts_day, ends_day;       /* both inside */
};

/* Terms by date and closed days by date. */
struct calendar {
    struct term *terms;
    size_t term_count;
    int32_t *closed;
    size_t closed_count;
};

struct band_words {
    size_t n;                           /* 2..6 once set up; 0: not yet */
    const char *word[SCHOOL_BANDS];     /* lowest first */
};

extern const struct stmt_set school_stmts;

/* ERR_NOT_FOUND when the folder was never set up. Text on ctx. */
enum err school_get(struct store *st, void *ctx, struct school *out) MUST_USE;
/* The row of a new school (created_at from the struct). ERR_CONFLICT when there is one. */
enum err school_make(struct store *st, const struct school *s) MUST_USE;
/* Writes every member but created_at. */
enum err school_put(struct store *st, const struct school *s) MUST_USE;
/* Reads the zone of the school and makes it the process's (clock_set_zone). For start-up. */
enum err school_use_zone(struct store *st) MUST_USE;

enum err school_calendar(struct store *st, void *ctx, struct calendar *out) MUST_USE;
/* Replace all. Terms must not overlap (ERR_CONFLICT); days are checked by the schema. */
enum err school_terms_put(struct store *st, const struct term *terms, size_t n) MUST_USE;
enum err school_closed_days_put(struct store *st, const int32_t *days, size_t n) MUST_USE;

enum err school_band_words(struct store *st, void *ctx, struct band_words *out) MUST_USE;
enum err school_band_words_put(struct store *st, const struct band_words *w) MUST_USE;
/* How many bands are in use by a band line, a taking-part row or an assessment: the scale may not
 * get shorter than that. 0 when none is. */
enum err school_bands_in_use(struct store *st, size_t *out) MUST_USE;

/* Pure, on a loaded calendar. */
bool calendar_school_day(const struct calendar *c, int32_t day);
/* First school day strictly after `day`; false when the calendar knows of none. */
bool calendar_next_school_day(const struct calendar *c, int32_t day, int32_t *out);
/* Last day of the term that holds `day`, or of the next one to come; false: none known. */
bool calendar_term_end(const struct calendar *c, int32_t day, int32_t *out);

/* One-off forms of the three above. `*found` false: none known. */
enum err school_day(struct store *st, int32_t day, bool *out) MUST_USE;
enum err school_next_day(struct store *st, int32_t after, int32_t *out, bool *found) MUST_USE;
enum err school_term_end(struct store *st, int32_t day, int32_t *out, bool *found) MUST_USE;

/* A school year runs from 1 September to 31 August: its first day, and its last, for any day. */
int32_t school_year_first(int32_t day);
int32_t school_year_last(int32_t day);
