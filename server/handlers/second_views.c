/* SPDX-License-Identifier: MIT
 * The asker's side of second views: asking a colleague, both views side by side, agreeing. The two
 * are compared in counts; a figure (weighted kappa) only where the school has turned figures on and
 * ten or more can be compared. Threat: somebody who owes a view learning the first one, or another
 * colleague's, from this page; such rows are shown without any. */
#include "assess/group.h"
#include "auth/scope.h"
#include "base/clock.h"
#include "base/mem.h"
#include "handlers/hand_in_view.h"
#include "handlers/handlers.h"
#include "people_internal.h"
#include "second_internal.h"
#include "store/school.h"
#include "store/units.h"

enum { KAPPA_LEAST = 10 };

static enum err refuse(struct request *rq, const char *pointer, const char *code)
{
    enum err e = request_blame(rq, pointer, code, NULL);
    return e == ERR_BAD_INPUT ? ERR_CONFLICT : e;
}

static enum err may_ask_here(struct request *rq, int64_t cls)
{
    unsigned rights = rights_on_class(rq, cls);
    return (rights & (ALLOW_TEACH | ALLOW_PE_LEAD)) != 0 ? OK : ERR_NOT_FOUND;
}

/* Side by side --------------------------------------------------------------------------------- */

/* The assessment that a view is held against: when they agreed, else the one that holds now. */
static int first_of(const struct second_view *v)
{
    return v->agreed_band >= 0 ? v->first_band : v->now_band;
}

static void member_word(struct buf *b, const char *name, const struct band_words *words, int band)
{
    buf_printf(b, ",\"%s\":", name);
    json_txt(b, band >= 0 && (size_t)band < words->n ? words->word[band] : NULL);
}

static void view_pair(struct buf *b, const struct second_view *v, const struct band_words *words,
                      bool blind)
{
    buf_str(b, "{\"id\":");
    view_id(b, v->id);
    buf_str(b, ",\"pupil\":{\"id\":");
    view_id(b, v->pupil.v);
    buf_str(b, ",\"display_name\":");
    json_txt(b, v->display_name);
    buf_str(b, "},\"asked_of\":{\"id\":");
    view_id(b, v->asked_of.v);
    buf_str(b, ",\"name\":");
    json_txt(b, v->asked_of_name);
    buf_str(b, "},\"asked_by\":");
    json_txt(b, v->asked_by_name);
    buf_str(b, ",\"asked_on\":");
    view_day(b, v->asked_day);
    buf_printf(b, ",\"given\":%s,\"hidden\":%s", v->band >= 0 ? "true" : "false",
               blind ? "true" : "false");
    member_word(b, "first", words, blind ? -1 : first_of(v));
    member_word(b, "second", words, blind ? -1 : v->band);
    member_word(b, "agreed", words, blind ? -1 : v->agreed_band);
    buf_str(b, "}");
}

struct pairs {
    size_t open, same, higher, lower;
    struct kappa_table table;
};

static void count_pair(struct pairs *p, const struct second_view *v)
{
    int first = first_of(v);
    p->open += v->band < 0;
    if (v->band < 0 || first < 0 || v->band >= p->table.k || first >= p->table.k) {
        return;
    }
    p->same += v->band == first;
    p->higher += v->band > first;
    p->lower += v->band < first;
    p->table.n[first][v->band] += 1;
}

/* Where the words change: the bounds of "moderate" and "substantial" in Landis and Koch, Biometrics
 * 33 (1977) 159-174, taken from memory. They are a habit of reading, not a law. */
static const char *kappa_words(const struct kappa *k)
{
    if (!k->defined) {
        return "Everybody was placed in one band, so agreement beyond chance cannot be worked out.";
    }
    if (k->kappa < 0.4) {
        return "The two agree little beyond chance: talk about what each band means.";
    }
    return k->kappa < 0.6
               ? "The two agree fairly well beyond chance; talk about where they differ."
               : "The two agree well beyond chance, near misses counting in part.";
}

static void view_kappa(struct buf *b, const struct pairs *p, bool figures)
{
    struct kappa k;
    size_t n = p->same + p->higher + p->lower;
    buf_str(b, ",\"kappa\":");
    if (!figures || n < KAPPA_LEAST || !group_kappa(&p->table, &k)) {
        buf_str(b, "null");
        return;
    }
    buf_str(b, "{\"value\":");
    if (k.defined) {
        buf_printf(b, "%.2f", k.kappa);
    } else {
        buf_str(b, "null");
    }
    buf_printf(b, ",\"of\":%zu,\"sentence\":", n);
    json_txt(b, kappa_words(&k));
    buf_str(b, "}");
}

static const char *counts_words(struct request *rq, const struct pairs *p, size_t n)
{
    struct buf b;
    if (n == 0) {
        return "Nothing can be compared yet.";
    }
    buf_init(&b, rq->mem);
    buf_printf(&b, "Of %zu compared, %zu the same", n, p->same);
    if (p->higher > 0) {
        buf_printf(&b, ", %zu with the second view higher", p->higher);
    }
    if (p->lower > 0) {
        buf_printf(&b, ", %zu with the second view lower", p->lower);
    }
    buf_str(&b, ".");
    return b.data;
}

static void view_counts(struct request *rq, struct buf *b, const struct pairs *p, bool figures)
{
    size_t n = p->same + p->higher + p->lower;
    buf_printf(b, ",\"counts\":{\"compared\":%zu,\"same\":%zu,\"second_higher\":%zu,"
               "\"second_lower\":%zu,\"open\":%zu,\"sentence\":", n, p->same, p->higher, p->lower,
               p->open);
    json_txt(b, counts_words(rq, p, n));
    view_kappa(b, p, figures);
    buf_str(b, "}");
}

static enum err view_may_ask(struct request *rq, struct buf *b, const struct unit_class *k)
{
    struct second_view_people people;
    const struct second_view_may may = {k->cls, k->today, rq->who.staff};
    enum err e = second_view_may_ask(rq->store, rq->mem, &may, &people);
    buf_str(b, ",\"may_ask\":[");
    for (size_t i = 0; e == OK && i < people.n; i++) {
        buf_str(b, i > 0 ? ",{\"id\":" : "{\"id\":");
        view_id(b, people.v[i].id.v);
        buf_str(b, ",\"name\":");
        json_txt(b, people.v[i].name);
        buf_str(b, "}");
    }
    buf_str(b, "]");
    return e;
}

static void view_unit_and_words(struct buf *b, const struct unit *unit,
                                const struct band_words *words)
{
    buf_str(b, "{\"unit\":{\"id\":");
    view_id(b, unit->id.v);
    buf_str(b, ",\"name\":");
    json_txt(b, unit->name);
    buf_str(b, "},\"band_words\":[");
    for (size_t i = 0; i < words->n; i++) {
        buf_str(b, i > 0 ? "," : "");
        json_txt(b, words->word[i]);
    }
    buf_str(b, "],\"views\":[");
}

static enum err side_by_side(struct request *rq, struct buf *b, const struct unit_class *k)
{
    struct second_view_list list;
    struct second_blind_list blind;
    struct band_words words;
    struct unit unit;
    struct school school;
    enum err e = unit_get(rq->mem, rq->store, k->unit, &unit);
    if (e == OK) {
        e = school_band_words(rq->store, rq->mem, &words);
    }
    if (e == OK) {
        e = school_get(rq->store, rq->mem, &school);
    }
    if (e == OK) {
        e = second_blind_load(rq, &blind);
    }
    if (e == OK) {
        e = second_views_of_class(rq->store, rq->mem, k, &list);
    }
    if (e != OK) {
        return e;
    }
    struct pairs p = {.table = {.k = (int)words.n, .weights = KAPPA_QUADRATIC}};
    bool any_hidden = false;
    view_unit_and_words(b, &unit, &words);
    for (size_t i = 0; i < list.n; i++) {
        bool hidden = second_view_hides(&blind, list.v[i].unit, list.v[i].pupil);
        any_hidden = any_hidden || hidden;
        buf_str(b, i > 0 ? "," : "");
        view_pair(b, &list.v[i], &words, hidden);
        if (!hidden) {
            count_pair(&p, &list.v[i]);
        }
    }
    buf_str(b, "]");
    view_counts(rq, b, &p, school.class_figures && !any_hidden);
    e = view_may_ask(rq, b, k);
    buf_str(b, "}");
    return e;
}

enum err h_unit_second_views_get(struct request *rq, struct reply *rp)
{
    struct unit_class k = {.unit = {rq->args[0].id}, .today = clock_day(rq->now)};
    enum err e = request_query_id(rq, "class", &k.cls.v);
    if (e == OK && k.cls.v == 0) {
        e = request_blame(rq, "/class", "required", NULL);
    }
    if (e == OK) {
        e = may_ask_here(rq, k.cls.v);
    }
    return e == OK ? side_by_side(rq, reply_json_buf(rq, rp, 200), &k) : e;
}

/* Asking --------------------------------------------------------------------------------------- */

static enum err read_colleague(struct request *rq, const struct unit_class *k, struct staff_id *of)
{
    struct second_view_people people;
    const struct second_view_may may = {k->cls, k->today, rq->who.staff};
    enum err e = field_id(rq, json_object_get(rq->json, "staff"), "/staff", &of->v);
    if (e == OK) {
        e = second_view_may_ask(rq->store, rq->mem, &may, &people);
    }
    for (size_t i = 0; e == OK && i < people.n; i++) {
        if (people.v[i].id.v == of->v) {
            return OK;
        }
    }
    return e == OK ? request_blame(rq, "/staff", "may_not_see", NULL) : e;
}

static size_t still_open(const struct second_view_list *list)
{
    size_t n = 0;
    for (size_t i = 0; i < list->n; i++) {
        n += list->v[i].band < 0;
    }
    return n;
}

/* A second view by who gave the first would be one look, counted as two that agree. */
static enum err not_own_decision(struct request *rq, const struct second_view_new *ask,
                                 const char *at)
{
    struct assessment now;
    enum err e = assessment_get(rq->store, rq->mem, ask->unit, ask->pupil, &now);
    if (e == OK && now.by.v == ask->asked_of.v) {
        return request_blame(rq, at, "decided_by_them", NULL);
    }
    return e == ERR_NOT_FOUND ? OK : e;
}

static enum err ask_one(struct request *rq, const struct unit_class *k, struct staff_id of,
                        size_t i)
{
    struct second_view_new ask = {.unit = k->unit, .asked_of = of, .asked_by = rq->who.staff,
                                  .day = k->today};
    const char *at = mem_printf(rq->mem, "/pupils/%zu", i);
    bool in = false;
    int64_t id;
    enum err e = field_id(rq, json_array_get(json_object_get(rq->json, "pupils"), i), at,
                          &ask.pupil.v);
    if (e == OK) {
        e = pupil_in_class(rq->store, ask.pupil, k->cls, k->today, &in);
    }
    if (e == OK && !in) {
        e = request_blame(rq, at, "not_found", NULL);
    }
    if (e == OK) {
        e = not_own_decision(rq, &ask, at);
    }
    if (e == OK) {
        e = second_view_ask(rq->store, &ask, &id);
        e = e == ERR_CONFLICT ? request_blame(rq, at, "asked", NULL) : e;
    }
    return e == OK ? people_audit(rq, "second view asked", "pupil", ask.pupil.v, "") : e;
}

enum err h_unit_second_views_post(struct request *rq, struct reply *rp)
{
    static const char *const members[] = {"class", "staff", "pupils", NULL};
    struct unit_class k = {.unit = {rq->args[0].id}, .today = clock_day(rq->now)};
    json_t *pupils = json_object_get(rq->json, "pupils");
    struct second_view_list list;
    struct staff_id of = {0};
    enum err e = field_known(rq, rq->json, "", members);
    if (e == OK) {
        e = field_id(rq, json_object_get(rq->json, "class"), "/class", &k.cls.v);
    }
    if (e == OK) {
        e = may_ask_here(rq, k.cls.v);
    }
    if (e == OK) {
        e = read_colleague(rq, &k, &of);
    }
    if (e == OK) {
        e = field_array(rq, pupils, "/pupils", SECOND_VIEWS_OPEN);
    }
    if (e == OK && json_array_size(pupils) == 0) {
        e = request_blame(rq, "/pupils", "empty", NULL);
    }
    if (e == OK) {
        e = second_views_of_class(rq->store, rq->mem, &k, &list);
    }
    if (e == OK && still_open(&list) + json_array_size(pupils) > SECOND_VIEWS_OPEN) {
        e = request_blame(rq, "/pupils", "eight_open", NULL);
    }
    for (size_t i = 0; e == OK && i < json_array_size(pupils); i++) {
        e = ask_one(rq, &k, of, i);
    }
    return e == OK ? side_by_side(rq, reply_json_buf(rq, rp, 201), &k) : e;
}

/* Agreeing, withdrawing ------------------------------------------------------------------------ */

/* An agreement that differs is a new assessment, as if decided on the unit's page; families go on
 * seeing one where they saw one. */
static enum err decide(struct request *rq, const struct second_view *v, int band)
{
    struct assessment now, a = {.unit = v->unit, .pupil = v->pupil, .band = band,
                                .reason = "other_evidence", .by = rq->who.staff, .at = rq->now};
    enum err e = assessment_get(rq->store, rq->mem, v->unit, v->pupil, &now);
    if (e != OK || now.band == band) {
        return e;
    }
    a.shared_at = now.shared_at != 0 ? rq->now : 0;
    return assessment_record(rq, &a);
}

static enum err can_agree(struct request *rq, const struct second_view *v)
{
    enum err e = second_view_refuse(rq, v->unit, v->pupil, "");
    if (e != OK) {
        return e;
    }
    return v->band < 0          ? refuse(rq, "", "not_given")
           : v->agreed_band >= 0 ? refuse(rq, "", "agreed")
           : v->now_band < 0     ? refuse(rq, "", "decide_first")
                                 : OK;
}

enum err h_second_view_agreement_post(struct request *rq, struct reply *rp)
{
    struct second_view v;
    struct second_view_agree agree = {
        .id = rq->args[0].id, .by = rq->who.staff, .day = clock_day(rq->now),
    };
    enum err e = second_view_get(rq->store, rq->mem, agree.id, &v);
    if (e == OK) {
        e = second_band_read(rq, &agree.band);
    }
    if (e == OK) {
        e = can_agree(rq, &v);
    }
    if (e == OK) {
        agree.first_band = v.now_band;
        e = second_view_agree(rq->store, &agree);
    }
    if (e == OK) {
        e = decide(rq, &v, agree.band);
    }
    if (e == OK) {
        e = people_audit(rq, "second view agreed", "pupil", v.pupil.v, "");
    }
    if (e == OK) {
        reply_no_content(rp);
    }
    return e;
}

/* The person who was asked cannot take it back: that would lift the blind without a view. */
enum err h_second_view_delete(struct request *rq, struct reply *rp)
{
    struct second_view v;
    enum err e = second_view_get(rq->store, rq->mem, rq->args[0].id, &v);
    if (e == OK && v.asked_of.v == rq->who.staff.v) {
        e = v.band < 0 ? refuse(rq, "", "second_view_open") : refuse(rq, "", "given");
    }
    if (e == OK && v.band >= 0) {
        e = refuse(rq, "", "given");
    }
    if (e == OK) {
        e = second_view_withdraw(rq->store, v.id);
    }
    if (e == OK) {
        e = people_audit(rq, "second view withdrawn", "pupil", v.pupil.v, "");
    }
    if (e == OK) {
        reply_no_content(rp);
    }
    return e;
}
