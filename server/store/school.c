/* SPDX-License-Identifier: MIT
 * The school's one row, its term dates, closed days and band words.
 *
 * Owns: tables school, term, closed_day, band_word. Lists are small (24 terms, 400 days, 6 words)
 * and replaced whole, so a page shows what it sent. Terms never overlap, so a day is in one at
 * most. The calendar is loaded once and asked in memory: "the next school day" is a walk over
 * days, not a query a day. */
#include "store/school.h"

#include <stdlib.h>
#include <string.h>

#include "base/clock.h"
#include "base/log.h"
#include "base/mem.h"
#include "store/query.h"

enum {
    SCHOOL_GET, SCHOOL_MAKE, SCHOOL_PUT, TERM_LIST, TERM_CLEAR, TERM_ADD, CLOSED_LIST, CLOSED_CLEAR,
    CLOSED_ADD, BAND_LIST, BAND_CLEAR, BAND_ADD, BANDS_IN_USE, SCHOOL_STMTS
};

static const struct stmt_def defs[] = {
    [SCHOOL_GET] = {"school get",
        "SELECT name, time_zone, origin, away_phone, safeguarding_contact, dpia_done_day,"
        " single_bands, created_at, distance_estimates, class_figures,"
        " pl_read, ur_read FROM school WHERE id = 1"},
    [SCHOOL_MAKE] = {"school make",
        "INSERT INTO school (id, name, time_zone, origin, away_phone, safeguarding_contact,"
        " dpia_done_day, single_bands, distance_estimates, class_figures, pl_read, ur_read,"
        " created_at)"
        " VALUES (1, :name, :time_zone, :origin, :away_phone, :safeguarding_contact,"
        " :dpia_done_day, :single_bands, :distance_estimates, :class_figures, :pl_read, :ur_read,"
        " :created_at)"},
    [SCHOOL_PUT] = {"school put",
        "UPDATE school SET name = :name, time_zone = :time_zone, origin = :origin,"
        " away_phone = :away_phone, safeguarding_contact = :safeguarding_contact,"
        " dpia_done_day = :dpia_done_day, single_bands = :single_bands,"
        " distance_estimates = :distance_estimates, class_figures = :class_figures,"
        " pl_read = :pl_read, ur_read = :ur_read WHERE id = 1"},
    [TERM_LIST] = {"term list",
        "SELECT name, starts_day, ends_day FROM term ORDER BY starts_day /*scan: two dozen rows*/"},
    [TERM_CLEAR] = {"term clear", "DELETE FROM term /*scan: replaced whole*/"},
    [TERM_ADD] = {"term add",
        "INSERT INTO term (name, starts_day, ends_day) VALUES (:name, :starts, :ends)"},
    [CLOSED_LIST] = {"closed day list", "SELECT day FROM closed_day ORDER BY day /*scan: all*/"},
    [CLOSED_CLEAR] = {"closed day clear", "DELETE FROM closed_day /*scan: replaced whole*/"},
    [CLOSED_ADD] = {"closed day add", "INSERT INTO closed_day (day) VALUES (:day)"},
    [BAND_LIST] = {"band word list", "SELECT word FROM band_word ORDER BY band /*scan: six rows*/"},
    [BAND_CLEAR] = {"band word clear", "DELETE FROM band_word /*scan: replaced whole*/"},
    [BAND_ADD] = {"band word add", "INSERT INTO band_word (band, word) VALUES (:band, :word)"},
    [BANDS_IN_USE] = {"bands in use",
        "SELECT max((SELECT coalesce(max(band), -1) FROM band_line),"
        " (SELECT coalesce(max(band), -1) FROM taking_part),"
        " (SELECT coalesce(max(band), -1) FROM assessment))"
        " /*scan: only when the scale is changed*/"},
};
const struct stmt_set school_stmts = {"school", defs, SCHOOL_STMTS};

enum err school_get(struct store *st, void *ctx, struct school *out)
{
    struct query q;
    bool found = false;
    query_begin(&q, st, &school_stmts, SCHOOL_GET);
    if (query_row(&q)) {
        found = true;
        *out = (struct school){
            .name = col_text(&q, 0, ctx),
            .time_zone = col_text(&q, 1, ctx),
            .origin = col_text(&q, 2, ctx),
            .away_phone = col_text(&q, 3, ctx),
            .safeguarding_contact = col_text(&q, 4, ctx),
            .dpia_done = !col_null(&q, 5),
            .dpia_done_day = (int32_t)col_int(&q, 5),
            .single_bands = col_int(&q, 6) != 0,
            .created_at = col_int(&q, 7),
            .distance_estimates = col_int(&q, 8) != 0,
            .class_figures = col_int(&q, 9) != 0,
            .pl_read = col_int(&q, 10) != 0,
            .ur_read = col_int(&q, 11) != 0,
        };
    }
    enum err e = query_end(&q);
    return e == OK && !found ? ERR_NOT_FOUND : e;
}

static void bind_school(struct query *q, const struct school *s)
{
    query_text(q, ":name", s->name);
    query_text(q, ":time_zone", s->time_zone);
    query_text(q, ":origin", s->origin);
    query_text(q, ":away_phone", s->away_phone ? s->away_phone : "");
    query_text(q, ":safeguarding_contact", s->safeguarding_contact ? s->safeguarding_contact : "");
    query_int_or_null(q, ":dpia_done_day", s->dpia_done, s->dpia_done_day);
    query_int(q, ":single_bands", s->single_bands);
    query_int(q, ":distance_estimates", s->distance_estimates);
    query_int(q, ":class_figures", s->class_figures);
    query_int(q, ":pl_read", s->pl_read);
    query_int(q, ":ur_read", s->ur_read);
}

enum err school_make(struct store *st, const struct school *s)
{
    struct query q;
    query_begin(&q, st, &school_stmts, SCHOOL_MAKE);
    bind_school(&q, s);
    query_int(&q, ":created_at", s->created_at);
    return query_run(&q);
}

enum err school_put(struct store *st, const struct school *s)
{
    struct query q;
    query_begin(&q, st, &school_stmts, SCHOOL_PUT);
    bind_school(&q, s);
    return query_run_one(&q);
}

enum err school_use_zone(struct store *st)
{
    void *mem = mem_root();
    struct school s;
    enum err e = school_get(st, mem, &s);
    if (e == OK && !clock_set_zone(s.time_zone)) {
        log_event(LOG_ERROR, "time_zone_unknown", "hint=install_tzdata");
        e = ERR_INTERNAL;
    }
    talloc_free(mem);
    return e;
}

/* Terms and closed days ------------------------------------------------------------------------ */

enum err school_calendar(struct store *st, void *ctx, struct calendar *out)
{
    *out = (struct calendar){0};
    struct query q;
    size_t cap = 0;
    query_begin(&q, st, &school_stmts, TERM_LIST);
    while (query_row(&q)) {
        mem_grow(ctx, out->terms, out->term_count, &cap);
        out->terms[out->term_count++] = (struct term){
            .name = col_text(&q, 0, ctx),
            .starts_day = (int32_t)col_int(&q, 1),
            .ends_day = (int32_t)col_int(&q, 2),
        };
    }
    enum err e = query_end(&q);
    if (e != OK) {
        return e;
    }
    cap = 0;
    query_begin(&q, st, &school_stmts, CLOSED_LIST);
    while (query_row(&q)) {
        mem_grow(ctx, out->closed, out->closed_count, &cap);
        out->closed[out->closed_count++] = (int32_t)col_int(&q, 0);
    }
    return query_end(&q);
}

static enum err run_plain(struct store *st, size_t index)
{
    struct query q;
    query_begin(&q, st, &school_stmts, index);
    return query_run(&q);
}

static bool terms_overlap(const struct term *a, const struct term *b)
{
    return a->starts_day <= b->ends_day && b->starts_day <= a->ends_day;
}

enum err school_terms_put(struct store *st, const struct term *terms, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        for (size_t j = 0; j < i; j++) {
            if (terms_overlap(&terms[i], &terms[j])) {
                return ERR_CONFLICT;
            }
        }
    }
    enum err e = run_plain(st, TERM_CLEAR);
    for (size_t i = 0; e == OK && i < n; i++) {
        struct query q;
        query_begin(&q, st, &school_stmts, TERM_ADD);
        query_text(&q, ":name", terms[i].name);
        query_int(&q, ":starts", terms[i].starts_day);
        query_int(&q, ":ends", terms[i].ends_day);
        e = query_run(&q);
    }
    return e;
}

enum err school_closed_days_put(struct store *st, const int32_t *days, size_t n)
{
    enum err e = run_plain(st, CLOSED_CLEAR);
    for (size_t i = 0; e == OK && i < n; i++) {
        struct query q;
        query_begin(&q, st, &school_stmts, CLOSED_ADD);
        query_int(&q, ":day", days[i]);
        e = query_run(&q);
    }
    return e;
}

/* The school's own scale ----------------------------------------------------------------------- */

enum err school_band_words(struct store *st, void *ctx, struct band_words *out)
{
    *out = (struct band_words){0};
    struct query q;
    query_begin(&q, st, &school_stmts, BAND_LIST);
    while (query_row(&q) && out->n < SCHOOL_BANDS) {
        out->word[out->n++] = col_text(&q, 0, ctx);
    }
    return query_end(&q);
}

enum err school_band_words_put(struct store *st, const struct band_words *w)
{
    enum err e = run_plain(st, BAND_CLEAR);
    for (size_t i = 0; e == OK && i < w->n; i++) {
        struct query q;
        query_begin(&q, st, &school_stmts, BAND_ADD);
        query_int(&q, ":band", (int64_t)i);
        query_text(&q, ":word", w->word[i]);
        e = query_run(&q);
    }
    return e;
}

enum err school_bands_in_use(struct store *st, size_t *out)
{
    struct query q;
    *out = 0;
    query_begin(&q, st, &school_stmts, BANDS_IN_USE);
    if (query_row(&q)) {
        *out = (size_t)(col_int(&q, 0) + 1);
    }
    return query_end(&q);
}

/* School days ---------------------------------------------------------------------------------- */

enum { LOOK_AHEAD_DAYS = 800 };     /* longer than any gap between the terms of two years */

static int by_day(const void *a, const void *b)
{
    int32_t x = *(const int32_t *)a, y = *(const int32_t *)b;
    return (x > y) - (x < y);
}

bool calendar_school_day(const struct calendar *c, int32_t day)
{
    if (clock_weekday(day) > 5) {
        return false;
    }
    if (c->closed_count > 0 && bsearch(&day, c->closed, c->closed_count, sizeof day, by_day)) {
        return false;
    }
    for (size_t i = 0; i < c->term_count; i++) {
        if (day >= c->terms[i].starts_day && day <= c->terms[i].ends_day) {
            return true;
        }
    }
    return false;
}

bool calendar_next_school_day(const struct calendar *c, int32_t day, int32_t *out)
{
    for (int32_t d = day + 1; d <= day + LOOK_AHEAD_DAYS; d++) {
        if (calendar_school_day(c, d)) {
            *out = d;
            return true;
        }
    }
    return false;
}

bool calendar_term_end(const struct calendar *c, int32_t day, int32_t *out)
{
    for (size_t i = 0; i < c->term_count; i++) {    /* sorted by start */
        if (c->terms[i].ends_day >= day) {
            *out = c->terms[i].ends_day;
            return true;
        }
    }
    return false;
}

enum err school_day(struct store *st, int32_t day, bool *out)
{
    void *mem = mem_root();
    struct calendar c;
    enum err e = school_calendar(st, mem, &c);
    *out = e == OK && calendar_school_day(&c, day);
    talloc_free(mem);
    return e;
}

enum err school_next_day(struct store *st, int32_t after, int32_t *out, bool *found)
{
    void *mem = mem_root();
    struct calendar c;
    enum err e = school_calendar(st, mem, &c);
    *found = e == OK && calendar_next_school_day(&c, after, out);
    talloc_free(mem);
    return e;
}

enum err school_term_end(struct store *st, int32_t day, int32_t *out, bool *found)
{
    void *mem = mem_root();
    struct calendar c;
    enum err e = school_calendar(st, mem, &c);
    *found = e == OK && calendar_term_end(&c, day, out);
    talloc_free(mem);
    return e;
}

static int32_t september_first(int year)
{
    char text[11];
    int32_t day = 0;
    text[0] = (char)('0' + year / 1000 % 10);
    text[1] = (char)('0' + year / 100 % 10);
    text[2] = (char)('0' + year / 10 % 10);
    text[3] = (char)('0' + year % 10);
    memcpy(text + 4, "-09-01", 7);
    if (!clock_day_parse(text, &day)) {
        log_bug("a year without a first of September");
    }
    return day;
}

int32_t school_year_first(int32_t day)
{
    char text[11];
    clock_day_print(day, text);
    int year = 0;
    for (int i = 0; i < 4; i++) {
        year = year * 10 + text[i] - '0';
    }
    int32_t first = september_first(year);
    return first <= day ? first : september_first(year - 1);
}

int32_t school_year_last(int32_t day)
{
    return school_year_first(school_year_first(day) + 370) - 1;
}
