/* SPDX-License-Identifier: MIT
 * Reading reference vectors: one CSV a function, its columns by name, lists inside cells. A file or
 * a column that nobody knows is a failure, and so is a row that cannot be read. */
#pragma once

#include <math.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "assess/attainable.h"
#include "assess/band_zones.h"
#include "assess/room.h"

enum { COLUMNS_MAX = 24, PARTS_MAX = 128, LINE_MAX_BYTES = 8192 };

struct row {
    const char *file;
    const char *const *column;      /* names, NULL-terminated */
    char *cell[COLUMNS_MAX];
    int cells;
};

struct table {
    const char *file;
    const char *columns;            /* names joined by ',' (by '|' where a name has a comma) */
    void (*check)(const struct row *r);
};

static int failures;
static _Alignas(16) unsigned char memory[4 * ROOM_ENOUGH];

static struct room lent(void)
{
    return (struct room){.base = memory, .size = sizeof memory};
}

static void fail(const struct row *r, const char *what)
{
    failures++;
    fprintf(stderr, "FAIL %s %s: %s\n", r->file, r->cell[0], what);
}

static char *cell(const struct row *r, const char *name)
{
    for (int i = 0; i < r->cells && r->column[i] != NULL; i++) {
        if (strcmp(r->column[i], name) == 0) {
            return r->cell[i];
        }
    }
    fprintf(stderr, "no column %s in %s\n", name, r->file);
    exit(1);
}

/* Splits a copy of `s` (in `hold`) at `sep`; an empty text has no parts. */
static int split(const char *s, char sep, char *hold, char **part)
{
    int n = 0;
    snprintf(hold, LINE_MAX_BYTES, "%s", s);
    if (*hold == '\0') {
        return 0;
    }
    for (char *p = hold; p != NULL && n < PARTS_MAX;) {
        part[n++] = p;
        p = strchr(p, sep);
        if (p != NULL) {
            *p++ = '\0';
        }
    }
    return n;
}

/* "0.8", "4/5" */
static double number(const char *s)
{
    char *end;
    double x = strtod(s, &end);
    return *end == '/' ? x / strtod(end + 1, NULL) : x;
}

static double cell_number(const struct row *r, const char *name)
{
    return number(cell(r, name));
}

static int cell_int(const struct row *r, const char *name)
{
    return (int)lround(cell_number(r, name));
}

static int numbers(const char *s, char sep, double *out)
{
    char hold[LINE_MAX_BYTES], *part[PARTS_MAX];
    int n = split(s, sep, hold, part);
    for (int i = 0; i < n; i++) {
        out[i] = number(part[i]);
    }
    return n;
}

static int integers(const char *s, char sep, int *out)
{
    double x[PARTS_MAX];
    int n = numbers(s, sep, x);
    for (int i = 0; i < n; i++) {
        out[i] = (int)lround(x[i]);
    }
    return n;
}

/* The same where '/' stands between, not for a fraction. */
static int integers_of(const char *s, char sep, int *out)
{
    char hold[LINE_MAX_BYTES], *part[PARTS_MAX];
    int n = split(s, sep, hold, part);
    for (int i = 0; i < n; i++) {
        out[i] = atoi(part[i]);
    }
    return n;
}

/* 1e-9 absolute: probabilities */
static void same_p(const struct row *r, const char *what, double got, double want)
{
    char text[200];
    if (!(fabs(got - want) <= 1e-9)) {
        snprintf(text, sizeof text, "%s is %.15g, not %.15g", what, got, want);
        fail(r, text);
    }
}

/* 1e-9 relative: everything else */
static void same(const struct row *r, const char *what, double got, double want)
{
    char text[200];
    if (!(fabs(got - want) <= 1e-9 * fmax(fabs(want), 1e-6))) {
        snprintf(text, sizeof text, "%s is %.15g, not %.15g", what, got, want);
        fail(r, text);
    }
}

static void same_int(const struct row *r, const char *name, int got)
{
    char text[200];
    if (got != cell_int(r, name)) {
        snprintf(text, sizeof text, "%s is %d, not %s", name, got, cell(r, name));
        fail(r, text);
    }
}

/* Words are compared without regard to case; the tables write them large. */
static void same_word(const struct row *r, const char *name, const char *got)
{
    char text[200];
    const char *want = cell(r, name);
    size_t i = 0;
    while (want[i] != '\0' && (want[i] | 32) == (got[i] | 32)) {
        i++;
    }
    if (want[i] != '\0' || got[i] != '\0') {
        snprintf(text, sizeof text, "%s is %s, not %s", name, got, want);
        fail(r, text);
    }
}

static void same_list(const struct row *r, const char *name, const double *got, int n)
{
    double want[PARTS_MAX];
    int m = numbers(cell(r, name), '|', want);
    if (m != n) {
        fail(r, name);
        return;
    }
    for (int i = 0; i < n; i++) {
        same_p(r, name, got[i], want[i]);
    }
}

static struct scoring zones_of(const int *points, int zones, int n, int cap)
{
    bool hit_or_miss = zones == 2 && points[0] == 0 && points[1] == 1;
    struct scoring s = scoring_empty(hit_or_miss ? SCORE_SUCCESSES : SCORE_ZONES);
    s.throws = n;
    s.cap = cap;
    for (int i = 0; i < zones && !hit_or_miss; i++) {
        scoring_add(&s, points[i]);
    }
    return s;
}

/* Columns points, n and cap (n and cap where there are such). */
static struct scoring cell_scoring(const struct row *r, int n, int cap)
{
    int points[PARTS_MAX];
    int zones = integers(cell(r, "points"), '|', points);
    return zones_of(points, zones, n, cap);
}

/* "c:2/2/1" or "t:7" */
static struct outcome outcome_from(const char *s, const struct scoring *sc)
{
    struct outcome o = {.throws = sc->throws};
    if (s[0] == 'c') {
        int c[PARTS_MAX];
        int n = integers(s + 2, '/', c);
        o.known = true;
        o.throws = 0;
        for (int i = 0; i < n && i < SCORE_ZONES_MAX; i++) {
            o.counts[i] = c[i];
            o.throws += c[i];
            o.total += c[i] * (sc->kind == SCORE_SUCCESSES ? i : sc->points[i]);
        }
    } else {
        o.total = atoi(s + 2);
        o.at_least = sc->cap > 0 && o.total == sc->cap;
    }
    return o;
}

static int cell_outcomes(const struct row *r, const struct scoring *sc, struct outcome *out)
{
    char hold[LINE_MAX_BYTES], *part[PARTS_MAX];
    int n = split(cell(r, "attempts"), ';', hold, part);
    for (int i = 0; i < n; i++) {
        out[i] = outcome_from(part[i], sc);
    }
    return n;
}
