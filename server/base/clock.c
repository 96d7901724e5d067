/* SPDX-License-Identifier: MIT
 * Instants and school days.
 *
 * Owns: the process's time zone. It is set from the school's row before threads start, and again
 * when the office changes it.
 * Why that is safe with other threads at work: (1) TZ lives in one static buffer that putenv()
 * hands to the environment once, at the first call; a later change rewrites the buffer under
 * `zone_lock` and moves no environment pointer. (2) Only tzset() reads it: this file converts
 * with localtime_r() alone, which in glibc reads TZ at its first use only and takes the C
 * library's own zone lock for each conversion; mktime(), which would read TZ again, is not used.
 * (3) tzset() swaps the rules under that same lock, so a conversion sees the old zone or the new.
 * Invariants: calendar arithmetic is own and proleptic Gregorian, so days never depend on the
 * zone; a wall-clock time that does not exist (clocks go forward) means the instant as long after
 * the change, one that exists twice means the first.
 * Mutable file-scope state: the fixed instant of tests and demo, and the zone's buffer.
 */
#include "base/clock.h"

#include <pthread.h>
#include <stdatomic.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

enum { DAY_S = 86400, ZONE_MAX = 60 };

static const char zone_dir[] = "/usr/share/zoneinfo/";

static _Atomic int64_t fixed_at;
static pthread_mutex_t zone_lock = PTHREAD_MUTEX_INITIALIZER;
static char zone_env[sizeof "TZ=:" + ZONE_MAX];

int64_t clock_now(void)
{
    int64_t at = atomic_load_explicit(&fixed_at, memory_order_relaxed);
    return at ? at : (int64_t)time(NULL);
}

int64_t clock_mono_ms(void)
{
    struct timespec t;
    clock_gettime(CLOCK_BOOTTIME, &t);
    return (int64_t)t.tv_sec * 1000 + t.tv_nsec / 1000000;
}

void clock_fix(int64_t at)
{
    atomic_store_explicit(&fixed_at, at, memory_order_relaxed);
}

/* Letters, digits, _ + - and single slashes between parts; so never "..", never absolute. */
static bool zone_name_ok(const char *name)
{
    size_t n = name ? strlen(name) : 0;
    if (n == 0 || n > ZONE_MAX || name[0] == '/' || name[n - 1] == '/' || strstr(name, "//")) {
        return false;
    }
    return strspn(name, "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789_+-/") == n;
}

bool clock_zone_known(const char *name)
{
    if (!zone_name_ok(name)) {
        return false;
    }
    char path[sizeof zone_dir + ZONE_MAX];
    snprintf(path, sizeof path, "%s%s", zone_dir, name);
    FILE *f = fopen(path, "re");
    if (!f) {
        return false;
    }
    char magic[4];      /* RFC 8536: a zone file begins with "TZif" */
    bool known = fread(magic, 1, sizeof magic, f) == sizeof magic && !memcmp(magic, "TZif", 4);
    fclose(f);
    return known;
}

bool clock_set_zone(const char *name)
{
    if (!clock_zone_known(name)) {
        return false;
    }
    pthread_mutex_lock(&zone_lock);
    bool first = zone_env[0] == '\0';
    snprintf(zone_env, sizeof zone_env, "TZ=:%s", name);
    bool ok = !first || putenv(zone_env) == 0;
    tzset();
    pthread_mutex_unlock(&zone_lock);
    return ok;
}

/* Days since 1970-01-01 of a Gregorian date and back, by counting in 400-year cycles that begin
 * on 1 March, so that the leap day is the last of its year. */
static int64_t days_of(int64_t y, int m, int d)
{
    y -= m <= 2;
    int64_t cycle = (y >= 0 ? y : y - 399) / 400;
    int64_t year_in = y - cycle * 400;
    int64_t day_in_year = (153 * (m + (m > 2 ? -3 : 9)) + 2) / 5 + d - 1;
    return cycle * 146097 + year_in * 365 + year_in / 4 - year_in / 100 + day_in_year - 719468;
}

static void date_of(int64_t day, int64_t *y, int *m, int *d)
{
    int64_t z = day + 719468;
    int64_t cycle = (z >= 0 ? z : z - 146096) / 146097;
    int64_t day_in = z - cycle * 146097;
    int64_t year_in = (day_in - day_in / 1460 + day_in / 36524 - day_in / 146096) / 365;
    int day_in_year = (int)(day_in - (365 * year_in + year_in / 4 - year_in / 100));
    int month_in = (5 * day_in_year + 2) / 153;
    *d = day_in_year - (153 * month_in + 2) / 5 + 1;
    *m = month_in + (month_in < 10 ? 3 : -9);
    *y = year_in + cycle * 400 + (*m <= 2);
}

static int64_t offset_at(int64_t at)
{
    time_t t = (time_t)at;
    struct tm tm;
    return localtime_r(&t, &tm) ? tm.tm_gmtoff : 0;
}

static int64_t floor_div(int64_t a, int64_t b)
{
    return a / b - (a % b < 0);
}

int32_t clock_day(int64_t at)
{
    return (int32_t)floor_div(at + offset_at(at), DAY_S);
}

int64_t clock_day_at(int32_t day, int hour, int min)
{
    int64_t wall = (int64_t)day * DAY_S + hour * 3600 + min * 60;
    int64_t before = offset_at(wall - DAY_S), after = offset_at(wall + DAY_S);
    if (offset_at(wall - before) != before && offset_at(wall - after) == after) {
        return wall - after;
    }
    return wall - before;   /* valid, or inside the gap: as long after the change */
}

int64_t clock_day_start(int32_t day)
{
    return clock_day_at(day, 0, 0);
}

int clock_weekday(int32_t day)
{
    int64_t since_monday = (int64_t)day + 3;    /* 1970-01-01 was a Thursday */
    return (int)(since_monday - floor_div(since_monday, 7) * 7) + 1;
}

/* Reads exactly n digits. */
static bool digits(const char *s, int n, int *out)
{
    int v = 0;
    for (int i = 0; i < n; i++) {
        if (s[i] < '0' || s[i] > '9') {
            return false;
        }
        v = v * 10 + (s[i] - '0');
    }
    *out = v;
    return true;
}

static bool date_parse(const char *s, int64_t *day)
{
    int y, m, d;
    if (!digits(s, 4, &y) || s[4] != '-' || !digits(s + 5, 2, &m) || s[7] != '-' ||
        !digits(s + 8, 2, &d)) {
        return false;
    }
    if (y < 1 || m < 1 || m > 12 || d < 1) {
        return false;
    }
    int64_t first = days_of(y, m, 1);
    int64_t next = m == 12 ? days_of(y + 1, 1, 1) : days_of(y, m + 1, 1);
    *day = first + d - 1;
    return *day < next;
}

bool clock_day_parse(const char *s, int32_t *out)
{
    int64_t day;
    if (!s || strlen(s) != 10 || !date_parse(s, &day)) {
        return false;
    }
    *out = (int32_t)day;
    return true;
}

static void date_print(int64_t day, char out[static 11])
{
    const int64_t lo = days_of(0, 1, 1), hi = days_of(9999, 12, 31);
    day = day < lo ? lo : day > hi ? hi : day;
    int64_t y;
    int m, d;
    date_of(day, &y, &m, &d);
    snprintf(out, 11, "%04u-%02u-%02u", (unsigned)y % 10000u, (unsigned)m % 100u,
             (unsigned)d % 100u);
}

void clock_day_print(int32_t day, char out[static 11])
{
    date_print(day, out);
}

/* "Z" or "+hh:mm", to the end of the text. */
static bool zone_parse(const char *s, int64_t *offset)
{
    if ((*s == 'Z' || *s == 'z') && s[1] == '\0') {
        *offset = 0;
        return true;
    }
    int h, m;
    if ((*s != '+' && *s != '-') || strlen(s) != 6 || !digits(s + 1, 2, &h) || s[3] != ':' ||
        !digits(s + 4, 2, &m) || h > 23 || m > 59) {
        return false;
    }
    *offset = (*s == '-' ? -60 : 60) * (h * 60 + m);
    return true;
}

bool clock_at_parse(const char *s, int64_t *out)
{
    int64_t day, offset;
    int h, m, sec;
    if (!s || strlen(s) < 20 || !date_parse(s, &day) || (s[10] != 'T' && s[10] != 't') ||
        !digits(s + 11, 2, &h) || s[13] != ':' || !digits(s + 14, 2, &m) || s[16] != ':' ||
        !digits(s + 17, 2, &sec)) {
        return false;
    }
    const char *rest = s + 19;
    if (*rest == '.') {     /* a fraction is read and dropped: instants are whole seconds */
        size_t n = strspn(rest + 1, "0123456789");
        rest += n ? n + 1 : 0;
    }
    if (h > 23 || m > 59 || sec > 60 || !zone_parse(rest, &offset)) {
        return false;
    }
    int64_t at = day * DAY_S + h * 3600 + m * 60 + sec - offset;
    if (sec == 60 && at % DAY_S != 0) {
        return false;       /* leap seconds come at the end of a UTC day only */
    }
    *out = at;
    return true;
}

void clock_at_print(int64_t at, char out[static 21])
{
    int64_t day = floor_div(at, DAY_S);
    unsigned s = (unsigned)(at - day * DAY_S);
    date_print(day, out);
    snprintf(out + 10, 11, "T%02u:%02u:%02uZ", s / 3600 % 24u, s / 60 % 60u, s % 60u);
}
