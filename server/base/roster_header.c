/* SPDX-License-Identifier: MIT
 * Which separator a class list uses, and which of its columns are needed.
 *
 * Owns: the words by which a column is known. A heading is compared as lower-case words of letters
 * and digits, so "Year-Group", "YEAR GROUP" and "year group:" are one. What is not known is
 * dropped: a list must never bring in more than a display name, a year group and a class. */
#include <string.h>

#include "roster_internal.h"

struct heading {
    const char *words;
    enum roster_use use;
};

static const struct heading headings[] = {
    {"display name", ROSTER_NAME}, {"displayname", ROSTER_NAME}, {"name", ROSTER_NAME},
    {"names", ROSTER_NAME}, {"pupil", ROSTER_NAME}, {"pupils", ROSTER_NAME},
    {"pupil name", ROSTER_NAME}, {"pupil s name", ROSTER_NAME}, {"child", ROSTER_NAME},
    {"children", ROSTER_NAME}, {"child name", ROSTER_NAME}, {"child s name", ROSTER_NAME},
    {"full name", ROSTER_NAME}, {"fullname", ROSTER_NAME}, {"known as", ROSTER_NAME},
    {"preferred name", ROSTER_NAME}, {"called", ROSTER_NAME},
    {"first name", ROSTER_FIRST_NAME}, {"firstname", ROSTER_FIRST_NAME},
    {"first", ROSTER_FIRST_NAME}, {"forename", ROSTER_FIRST_NAME},
    {"forenames", ROSTER_FIRST_NAME}, {"given name", ROSTER_FIRST_NAME},
    {"preferred forename", ROSTER_FIRST_NAME}, {"preferred first name", ROSTER_FIRST_NAME},
    {"chosen name", ROSTER_FIRST_NAME}, {"legal forename", ROSTER_FIRST_NAME},
    {"last name", ROSTER_LAST_NAME}, {"lastname", ROSTER_LAST_NAME}, {"last", ROSTER_LAST_NAME},
    {"surname", ROSTER_LAST_NAME}, {"family name", ROSTER_LAST_NAME},
    {"preferred surname", ROSTER_LAST_NAME}, {"legal surname", ROSTER_LAST_NAME},
    {"year", ROSTER_YEAR}, {"year group", ROSTER_YEAR}, {"yeargroup", ROSTER_YEAR},
    {"yr", ROSTER_YEAR}, {"yr group", ROSTER_YEAR}, {"nc year", ROSTER_YEAR},
    {"national curriculum year", ROSTER_YEAR},
    {"class", ROSTER_CLASS}, {"class name", ROSTER_CLASS}, {"form", ROSTER_CLASS},
    {"form group", ROSTER_CLASS}, {"reg", ROSTER_CLASS}, {"reg group", ROSTER_CLASS},
    {"registration", ROSTER_CLASS}, {"registration group", ROSTER_CLASS},
};

enum { HEADING_MAX = 40 };

enum roster_use roster_header_use(const char *cell)
{
    char words[HEADING_MAX + 1];
    size_t n = 0;
    bool gap = false;
    for (; *cell && n < HEADING_MAX; cell++) {
        char c = *cell;
        c = (char)(c >= 'A' && c <= 'Z' ? c - 'A' + 'a' : c);
        if ((c < 'a' || c > 'z') && (c < '0' || c > '9')) {
            gap = n > 0;
            continue;
        }
        if (gap && n + 1 < HEADING_MAX) {
            words[n++] = ' ';
        }
        gap = false;
        words[n++] = c;
    }
    words[n] = '\0';
    for (size_t i = 0; *cell == '\0' && i < sizeof headings / sizeof *headings; i++) {
        if (strcmp(words, headings[i].words) == 0) {
            return headings[i].use;
        }
    }
    return ROSTER_DROPPED;
}

enum { LOOK_AT = 12 };      /* records that decide about the separator */

/* Headings known count most; then every record having as many cells as the first. 0: one cell. */
static int separator_score(const struct roster_table *t)
{
    const struct roster_record *head = t->records;
    if (head->count < 2) {
        return 0;
    }
    int known = 0, alike = 0;
    for (size_t i = 0; i < head->count && i < ROSTER_COLUMNS; i++) {
        known += roster_header_use(roster_cell(t, head, i)) != ROSTER_DROPPED;
    }
    for (size_t i = 0; i < t->record_count; i++) {
        alike += t->records[i].count == head->count;
    }
    return 1 + known * 100 + alike;
}

enum err roster_separator(void *ctx, const struct roster_text *in, char *out)
{
    static const char candidates[] = {'\t', ';', ','};
    int best = 0;
    *out = '\0';
    for (size_t i = 0; i < sizeof candidates; i++) {
        struct roster_table t;
        enum err e = roster_table_read(ctx, in, candidates[i], LOOK_AT, &t);
        if (e != OK) {
            return e;
        }
        if (t.record_count == 0) {      /* nothing but separators: there are no rows */
            *out = candidates[i];
            return OK;
        }
        int score = separator_score(&t);
        if (score > best) {
            best = score;
            *out = candidates[i];
        }
    }
    return OK;
}
