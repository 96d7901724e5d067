/* SPDX-License-Identifier: MIT
 * What came out against our own earlier measurements (tests/data/simulation.csv). A line of it is
 *
 *   id,what,published,to,error,note
 *
 * `to` closes a range (else empty); `error` is the published figure's own Monte Carlo error, or
 * n<pupils> for a proportion of so many; a `note` says why a figure is not judged. The rule: got
 * and published may differ by 3.5 standard errors of their difference and half of the last digit
 * that was published. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "sim.h"

enum { FIGURES_MAX = 1000, TEXT = 160 };
#define ERRORS 3.5

struct expected {
    char id[48], what[TEXT], note[TEXT];
    double low, high, half_digit, error;
    bool seen;
};

static struct expected table[FIGURES_MAX];
static size_t count;
static int ok, off;

static const char *field(char **at)
{
    char *from = *at, *end = strchr(from, ',');
    *at = end != NULL ? end + 1 : from + strlen(from);
    if (end != NULL) {
        *end = '\0';
    }
    return from;
}

static double half_digit(const char *text)
{
    const char *dot = strchr(text, '.');
    return dot != NULL ? 0.5 * pow(10, -(double)strlen(dot + 1)) : 0.5;
}

static double error_of(const char *text, double p)
{
    if (*text != 'n') {
        return strtod(text, NULL);
    }
    double pupils = strtod(text + 1, NULL), share = fmin(fmax(p, 1 / pupils), 1 - 1 / pupils);
    return sqrt(share * (1 - share) / pupils);
}

static bool take(char *line)
{
    struct expected *e = &table[count];
    line[strcspn(line, "\r\n")] = '\0';
    if (*line == '#' || *line == '\0' || strncmp(line, "id,", 3) == 0) {
        return true;
    }
    if (count == FIGURES_MAX) {
        return false;
    }
    *e = (struct expected){.seen = false};
    snprintf(e->id, sizeof e->id, "%s", field(&line));
    snprintf(e->what, sizeof e->what, "%s", field(&line));
    const char *low = field(&line), *high = field(&line), *error = field(&line);
    snprintf(e->note, sizeof e->note, "%s", field(&line));
    e->low = strtod(low, NULL);
    e->high = *high != '\0' ? strtod(high, NULL) : e->low;
    e->half_digit = half_digit(low);
    e->error = error_of(error, (e->low + e->high) / 2);
    count++;
    return true;
}

bool figures_load(const char *path)
{
    char line[512];
    FILE *f = fopen(path, "r");
    bool good = f != NULL;
    while (good && fgets(line, sizeof line, f) != NULL) {
        good = take(line);
    }
    if (f != NULL) {
        fclose(f);
    }
    printf("%-58s %15s %9s %8s\n", "figure", "published", "got", "+-");
    return good && count > 0;
}

static struct expected *find(const char *id)
{
    for (size_t i = 0; i < count; i++) {
        if (strcmp(table[i].id, id) == 0) {
            return &table[i];
        }
    }
    return NULL;
}

static void published(const struct expected *e, char *out, size_t size)
{
    int digits = e->half_digit >= 0.4 ? 0 : (int)lround(-log10(2 * e->half_digit));
    if (e->high > e->low) {
        snprintf(out, size, "%.*f-%.*f", digits, e->low, digits, e->high);
    } else {
        snprintf(out, size, "%.*f", digits, e->low);
    }
}

void figure(const char *id, double mean, double error)
{
    struct expected *e = find(id);
    char was[32];
    if (e == NULL) {
        printf("%-58s %15s %9.4f %8.4f  off: not in the table\n", id, "?", mean, error);
        off++;
        return;
    }
    published(e, was, sizeof was);
    double apart = fmax(0, fmax(e->low - mean, mean - e->high));
    double may = ERRORS * sqrt(error * error + e->error * e->error) + e->half_digit;
    bool good = isfinite(mean) && apart <= may + 1e-12;
    e->seen = true;
    printf("%-58s %15s %9.4f %8.4f  ", e->what, was, mean, error);
    if (*e->note != '\0') {
        printf("not judged: %s\n", e->note);
        return;
    }
    printf("%s\n", good ? "ok" : "OFF");
    ok += good;
    off += !good;
}

/* A share has the error it would have if the published one were true: none seen is no certainty. */
void figure_tally(const char *id, const struct tally *t)
{
    const struct expected *e = find(id);
    double error = tally_error(t), p = e != NULL ? (e->low + e->high) / 2 : 0;
    if (t->square == t->sum && p > 0 && p < 1 && t->n > 0) {
        error = fmax(error, sqrt(p * (1 - p) / t->n));
    }
    figure(id, tally_mean(t), error);
}

int figures_close(void)
{
    int silent = 0;
    for (size_t i = 0; i < count; i++) {
        char was[32];
        const struct expected *e = &table[i];
        silent += *e->note != '\0';
        if (e->seen) {
            continue;
        }
        published(e, was, sizeof was);
        printf("%-58s %15s %9s %8s  %s%s\n", e->what, was, "-", "-",
               *e->note != '\0' ? "not reproduced: " : "OFF: never reached",
               *e->note != '\0' ? e->note : "");
        off += *e->note == '\0';
    }
    printf("\nA figure is ok within %.1f standard errors of the difference (both sides' "
           "Monte Carlo error)\nand half of the last published digit. %d figures ok, %d off, "
           "%d not judged.\n",
           ERRORS, ok, off, silent);
    return off;
}
