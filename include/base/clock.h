/* SPDX-License-Identifier: MIT
 * Instants are Unix seconds (int64_t, `_at`); days are days since 1970-01-01 in the school's time
 * zone (int32_t, `_day`). The zone is process-wide: a server serves one school. */
#pragma once

#include <stdbool.h>
#include <stdint.h>

int64_t clock_now(void);            /* wall clock, seconds */
int64_t clock_mono_ms(void);        /* CLOCK_BOOTTIME, milliseconds */
void clock_fix(int64_t at);         /* tests and demo only: now() answers this; 0 lets go */

/* Does the machine say that the clock, which shows `now`, is synchronised? False: it does not say
 * so, which is no proof that it is wrong. */
bool clock_synchronised(int64_t now);
/* What it has to say, and how that is read (apart for tests). */
struct clock_signs {
    bool kernel;                /* the kernel calls its clock synchronised, and it shows: */
    int64_t kernel_at;
    bool file;                  /* the service's mark is there, last touched: */
    int64_t file_at;
};
bool clock_signs_good(const struct clock_signs *s, int64_t now);

/* An IANA name known to the system's zone data ("Europe/London"). False: unknown, nothing set. */
bool clock_set_zone(const char *name);
bool clock_zone_known(const char *name);

int32_t clock_day(int64_t at);                      /* the school's calendar day of an instant */
int64_t clock_day_start(int32_t day);           /* first instant of a day, summer time right */
int64_t clock_day_at(int32_t day, int hour, int min);   /* that wall-clock time on that day */
static inline int64_t clock_day_end(int32_t day) { return clock_day_start(day + 1) - 1; }
int clock_weekday(int32_t day);                         /* 1 Monday .. 7 Sunday */

/* "YYYY-MM-DD" */
bool clock_day_parse(const char *s, int32_t *out);
void clock_day_print(int32_t day, char out[static 11]);
/* RFC 3339, UTC, "2026-11-25T09:00:00Z"; the parser takes any offset. */
bool clock_at_parse(const char *s, int64_t *out);
void clock_at_print(int64_t at, char out[static 21]);
