/* SPDX-License-Identifier: MIT
 * The school's settings, and the audit trail as it may be read.
 *
 * The office changes everything here; the PE lead the words of the bands and the switches only.
 * Lists are replaced whole. The scale cannot get shorter than what is in use, or a child's
 * assessment would lose its word.
 * The audit's rows about messages are for safeguarding: to the office even the trace of one would
 * be a sign. */
#include "handlers/handlers.h"

#include <string.h>

#include "base/clock.h"
#include "base/mem.h"
#include "people_internal.h"
#include "store/audit.h"
#include "store/school.h"
#include "store/staff.h"
#include "words.h"

enum { SCHOOL_NAME = 80, SCHOOL_LINE = 200, TERM_NAME = 40, BAND_WORD = 60, ZONE_NAME = 60,
       AUDIT_PAGE = 100 };

/* Showing -------------------------------------------------------------------------------------- */

static json_t *school_row_json(const struct school *s)
{
    json_t *o = json_object();
    json_put(&o, "name", json_string(s->name));
    json_put(&o, "time_zone", json_string(s->time_zone));
    json_put(&o, "away_phone", json_string(s->away_phone));
    json_put(&o, "safeguarding_contact", json_string(s->safeguarding_contact));
    json_put(&o, "dpia_done_on", json_day_or_null(s->dpia_done, s->dpia_done_day));
    return o;
}

/* What is shown of the assessment beyond the usual. No other knobs. */
static json_t *switches_json(const struct school *s)
{
    json_t *o = json_object();
    json_put(&o, "single_bands", json_boolean(s->single_bands));
    json_put(&o, "distance_estimates", json_boolean(s->distance_estimates));
    json_put(&o, "class_figures", json_boolean(s->class_figures));
    return o;
}

static json_t *words_read_json(const struct school *s)
{
    json_t *list = json_array();
    if (s->pl_read) {
        json_add(&list, json_string("pl"));
    }
    if (s->ur_read) {
        json_add(&list, json_string("ur"));
    }
    return list;
}

/* Asked for by the child's and the family's pages, before anybody has signed in. */
enum err h_words_get(struct request *rq, struct reply *rp)
{
    struct school s;
    enum err e = school_get(rq->store, rq->mem, &s);
    if (e != OK) {
        return e;
    }
    json_t *o = json_object();
    json_put(&o, "read", words_read_json(&s));
    return reply_json(rq, rp, 200, o);
}

static json_t *terms_json(const struct calendar *c)
{
    json_t *list = json_array();
    for (size_t i = 0; i < c->term_count; i++) {
        json_t *o = json_object();
        json_put(&o, "name", json_string(c->terms[i].name));
        json_put(&o, "starts_on", json_day(c->terms[i].starts_day));
        json_put(&o, "ends_on", json_day(c->terms[i].ends_day));
        json_add(&list, o);
    }
    return list;
}

/* What is still to be done before the school may feel safe; blocks nothing. */
static enum err amber_json(struct request *rq, const struct school *s, const struct calendar *c,
                           json_t **out)
{
    int64_t live = 0, office = 0;
    enum err e = staff_counts(rq->store, &live, &office);
    json_t *a = json_array();
    if (!s->dpia_done) {
        json_add(&a, json_string("dpia"));
    }
    if (*s->safeguarding_contact == '\0') {
        json_add(&a, json_string("safeguarding_contact"));
    }
    if (c->term_count == 0) {
        json_add(&a, json_string("terms"));
    }
    if (live < 2) {
        json_add(&a, json_string("second_account"));
    }
    *out = a;
    return e;
}

enum err h_school_get(struct request *rq, struct reply *rp)
{
    struct school s;
    struct calendar c;
    struct band_words words;
    json_t *amber = NULL;
    enum err e = school_get(rq->store, rq->mem, &s);
    if (e == OK) {
        e = school_calendar(rq->store, rq->mem, &c);
    }
    if (e == OK) {
        e = school_band_words(rq->store, rq->mem, &words);
    }
    if (e == OK) {
        e = amber_json(rq, &s, &c, &amber);
    }
    if (e != OK) {
        json_decref(amber);
        return e;
    }
    json_t *closed = json_array(), *bands = json_array(), *o = json_object();
    for (size_t i = 0; i < c.closed_count; i++) {
        json_add(&closed, json_day(c.closed[i]));
    }
    for (size_t i = 0; i < words.n; i++) {
        json_add(&bands, json_string(words.word[i]));
    }
    json_put(&o, "school", school_row_json(&s));
    json_put(&o, "terms", terms_json(&c));
    json_put(&o, "closed_days", closed);
    json_put(&o, "band_words", bands);
    json_put(&o, "switches", switches_json(&s));
    json_put(&o, "words_read", words_read_json(&s));
    json_put(&o, "amber", amber);
    return reply_json(rq, rp, 200, o);
}

/* Changing ------------------------------------------------------------------------------------- */

static enum err read_zone(struct request *rq, json_t *v, struct school *s)
{
    enum err e = field_name(rq, v, "/school/time_zone", ZONE_NAME, &s->time_zone);
    if (e == OK && !clock_zone_known(s->time_zone)) {
        e = request_blame(rq, "/school/time_zone", "time_zone", NULL);
    }
    return e;
}

static enum err read_dpia(struct request *rq, json_t *v, struct school *s)
{
    s->dpia_done = !json_is_null(v);
    return s->dpia_done ? field_day(rq, v, "/school/dpia_done_on", &s->dpia_done_day) : OK;
}

static enum err put_row(struct request *rq, json_t *v)
{
    static const char *const allowed[] = {"name", "time_zone", "away_phone", "safeguarding_contact",
                                          "dpia_done_on", NULL};
    struct school s;
    enum err e = school_get(rq->store, rq->mem, &s);
    if (e == OK) {
        e = field_known(rq, v, "/school", allowed);
    }
    json_t *m = json_object_get(v, "name");
    if (e == OK && m) {
        e = field_name(rq, m, "/school/name", SCHOOL_NAME, &s.name);
    }
    m = json_object_get(v, "time_zone");
    if (e == OK && m) {
        e = read_zone(rq, m, &s);
    }
    m = json_object_get(v, "away_phone");
    if (e == OK && m) {
        e = field_line(rq, m, "/school/away_phone", SCHOOL_LINE, &s.away_phone);
    }
    m = json_object_get(v, "safeguarding_contact");
    if (e == OK && m) {
        e = field_line(rq, m, "/school/safeguarding_contact", SCHOOL_LINE, &s.safeguarding_contact);
    }
    m = json_object_get(v, "dpia_done_on");
    if (e == OK && m) {
        e = read_dpia(rq, m, &s);
    }
    if (e == OK) {
        e = school_put(rq->store, &s);
    }
    return e == OK ? people_audit(rq, "school changed", "school", 1, "settings") : e;
}

static enum err read_term(struct request *rq, json_t *v, const char *at, struct term *out)
{
    static const char *const allowed[] = {"name", "starts_on", "ends_on", NULL};
    enum err e = field_known(rq, v, at, allowed);
    if (e == OK) {
        e = field_name(rq, json_object_get(v, "name"), mem_printf(rq->mem, "%s/name", at),
                       TERM_NAME, &out->name);
    }
    if (e == OK) {
        e = field_day(rq, json_object_get(v, "starts_on"), mem_printf(rq->mem, "%s/starts_on", at),
                      &out->starts_day);
    }
    if (e == OK) {
        e = field_day(rq, json_object_get(v, "ends_on"), mem_printf(rq->mem, "%s/ends_on", at),
                      &out->ends_day);
    }
    if (e == OK && (out->ends_day < out->starts_day || out->ends_day - out->starts_day > 366)) {
        e = request_blame(rq, mem_printf(rq->mem, "%s/ends_on", at), "before_start", NULL);
    }
    return e;
}

static enum err put_terms(struct request *rq, json_t *v)
{
    enum err e = field_array(rq, v, "/terms", SCHOOL_TERMS);
    if (e != OK) {
        return e;
    }
    size_t n = json_array_size(v);
    struct term *terms = mem_array(rq->mem, struct term, n);
    for (size_t i = 0; e == OK && i < n; i++) {
        e = read_term(rq, json_array_get(v, i), mem_printf(rq->mem, "/terms/%zu", i), &terms[i]);
    }
    if (e == OK) {
        e = school_terms_put(rq->store, terms, n);
        e = e == ERR_CONFLICT ? request_blame(rq, "/terms", "overlap", NULL) : e;
    }
    return e == OK ? people_audit(rq, "school changed", "school", 1, "terms") : e;
}

static enum err put_closed_days(struct request *rq, json_t *v)
{
    enum err e = field_array(rq, v, "/closed_days", SCHOOL_CLOSED_DAYS);
    if (e != OK) {
        return e;
    }
    size_t n = 0;
    int32_t *days = mem_array(rq->mem, int32_t, json_array_size(v));
    for (size_t i = 0; e == OK && i < json_array_size(v); i++) {
        int32_t day = 0;
        e = field_day(rq, json_array_get(v, i), mem_printf(rq->mem, "/closed_days/%zu", i), &day);
        bool known = false;
        for (size_t j = 0; j < n && !known; j++) {
            known = days[j] == day;
        }
        if (e == OK && !known) {
            days[n++] = day;
        }
    }
    if (e == OK) {
        e = school_closed_days_put(rq->store, days, n);
    }
    return e == OK ? people_audit(rq, "school changed", "school", 1, "closed_days") : e;
}

static enum err put_band_words(struct request *rq, json_t *v)
{
    struct band_words w = {.n = 0};
    size_t used = 0;
    enum err e = field_array(rq, v, "/band_words", SCHOOL_BANDS);
    if (e == OK && json_array_size(v) < 2) {
        e = request_blame(rq, "/band_words", "too_few", NULL);
    }
    for (size_t i = 0; e == OK && i < json_array_size(v); i++) {
        e = field_name(rq, json_array_get(v, i), mem_printf(rq->mem, "/band_words/%zu", i),
                       BAND_WORD, &w.word[i]);
        w.n = i + 1;
        for (size_t j = 0; e == OK && j < i; j++) {
            if (strcmp(w.word[i], w.word[j]) == 0) {
                e = request_blame(rq, mem_printf(rq->mem, "/band_words/%zu", i), "duplicate", NULL);
            }
        }
    }
    if (e == OK) {
        e = school_bands_in_use(rq->store, &used);
    }
    if (e == OK && w.n < used) {
        e = request_blame(rq, "/band_words", "in_use", json_pack("{s:I}", "low", (json_int_t)used));
    }
    if (e == OK) {
        e = school_band_words_put(rq->store, &w);
    }
    return e == OK ? people_audit(rq, "school changed", "school", 1, "band_words") : e;
}

static enum err read_switch(struct request *rq, json_t *v, const char *at, bool *out)
{
    if (v != NULL && !json_is_boolean(v)) {
        return request_blame(rq, at, "not_true_or_false", NULL);
    }
    *out = v != NULL ? json_is_true(v) : *out;
    return OK;
}

static enum err put_switches(struct request *rq, json_t *v)
{
    static const char *const allowed[] = {"single_bands", "distance_estimates", "class_figures",
                                          NULL};
    struct school s;
    enum err e = school_get(rq->store, rq->mem, &s);
    if (e == OK) {
        e = field_known(rq, v, "/switches", allowed);
    }
    bool *const to[] = {&s.single_bands, &s.distance_estimates, &s.class_figures};
    for (size_t i = 0; e == OK && allowed[i]; i++) {
        e = read_switch(rq, json_object_get(v, allowed[i]),
                        mem_printf(rq->mem, "/switches/%s", allowed[i]), to[i]);
    }
    if (e == OK) {
        e = school_put(rq->store, &s);
    }
    return e == OK ? people_audit(rq, "school changed", "school", 1, "switches") : e;
}

/* Which languages somebody at the school has read: replaced whole. */
static enum err put_words_read(struct request *rq, json_t *v)
{
    struct school s;
    enum err e = school_get(rq->store, rq->mem, &s);
    if (e == OK) {
        e = field_array(rq, v, "/words_read", LANGUAGES - 1);
    }
    s.pl_read = s.ur_read = false;
    for (size_t i = 0; e == OK && i < json_array_size(v); i++) {
        const char *code = json_string_value(json_array_get(v, i));
        const struct language *l = language_find(code);
        if (!code || l == &languages[0]) {
            return request_blame(rq, mem_printf(rq->mem, "/words_read/%zu", i), "unknown", NULL);
        }
        s.pl_read = s.pl_read || strcmp(l->code, "pl") == 0;
        s.ur_read = s.ur_read || strcmp(l->code, "ur") == 0;
    }
    if (e == OK) {
        e = school_put(rq->store, &s);
    }
    return e == OK ? people_audit(rq, "school changed", "school", 1, "words_read") : e;
}

static enum err may_change(struct request *rq)
{
    static const char *const office_only[] = {"school", "terms", "closed_days", "words_read",
                                              NULL};
    static const char *const pointers[] = {"/school", "/terms", "/closed_days", "/words_read"};
    enum err e = OK;
    for (size_t i = 0; office_only[i] && !(rq->who.rights & ALLOW_OFFICE); i++) {
        if (json_object_get(rq->json, office_only[i])) {
            e = request_blame(rq, pointers[i], "not_allowed", NULL);
        }
    }
    return e;
}

/* The process's zone follows the row, as the last step: a request that is refused further on leaves
 * both as they were. */
static enum err follow_zone(struct request *rq)
{
    struct school s;
    enum err e = school_get(rq->store, rq->mem, &s);
    return e == OK && !clock_set_zone(s.time_zone) ? ERR_INTERNAL : e;
}

enum err h_school_put(struct request *rq, struct reply *rp)
{
    static const char *const allowed[] = {"school", "terms", "closed_days", "band_words",
                                          "switches", "words_read", NULL};
    static enum err (*const parts[])(struct request *, json_t *) = {
        put_row, put_terms, put_closed_days, put_band_words, put_switches,
        put_words_read,
    };
    enum err e = field_known(rq, rq->json, "", allowed);
    if (e == OK) {
        e = may_change(rq);
    }
    for (size_t i = 0; e == OK && allowed[i]; i++) {
        json_t *v = json_object_get(rq->json, allowed[i]);
        e = v ? parts[i](rq, v) : OK;
    }
    if (e == OK) {
        e = h_school_get(rq, rp);
    }
    return e == OK && json_object_get(rq->json, "school") ? follow_zone(rq) : e;
}

/* The trail ------------------------------------------------------------------------------------ */

static json_t *audit_json(const struct audit_row *r)
{
    json_t *o = json_object();
    json_put(&o, "seq", json_integer(r->seq));
    json_put(&o, "on", json_day(clock_day(r->at)));
    json_put(&o, "actor", json_string(r->actor));
    json_put(&o, "action", json_string(r->action));
    json_put(&o, "object", json_string(r->object));
    json_put(&o, "code", json_string(r->code));
    return o;
}

enum err h_audit_get(struct request *rq, struct reply *rp)
{
    struct audit_row *rows;
    size_t n;
    int64_t before;
    bool all = (rq->who.rights & ALLOW_SAFEGUARDING) != 0;
    enum err e = request_query_id(rq, "before", &before);
    if (e == OK) {
        e = audit_page(rq->store, rq->mem, before, AUDIT_PAGE, &rows, &n);
    }
    if (e != OK) {
        return e;
    }
    json_t *list = json_array(), *o = json_object();
    for (size_t i = 0; i < n; i++) {
        if (all || strncmp(rows[i].action, "message", 7) != 0) {
            json_add(&list, audit_json(&rows[i]));
        }
    }
    json_put(&o, "rows", list);
    json_put(&o, "next", n == AUDIT_PAGE ? json_integer(rows[n - 1].seq) : json_null());
    return reply_json(rq, rp, 200, o);
}
