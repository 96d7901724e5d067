/* SPDX-License-Identifier: MIT
 * What the demo's staff saw, decided and shared, and two messages. Suggestions are the program's
 * own, worked out from the invented hand-ins and kept beside each decision as for real ones. */
#include "demo_internal.h"

#include "base/buf.h"
#include "base/clock.h"
#include "base/mem.h"
#include "base/rand.h"
#include "handlers/suggestion.h"
#include "store/assessments.h"
#include "store/messages.h"
#include "store/observations.h"
#include "store/results.h"
#include "store/second_views.h"
#include "store/statements.h"

enum { TOP_BAND = 2, LOOKED = 4 };

static bool in_unit(const struct demo_set *s, int unit, int cls)
{
    return s->unit == unit && (s->classes & 1u << cls);
}

/* Four teaching points of an activity of the unit, looked for in a lesson. */
static enum err look(struct demo *d, struct demo_pupil *p, int unit)
{
    const struct demo_set *sets[DEMO_SETS];
    uint32_t n = 0;
    enum err e = OK;
    for (int s = 0; s < DEMO_SETS; s++) {
        if (in_unit(&d->sets[s], unit, p->cls) && d->sets[s].opens < d->monday) {
            sets[n++] = &d->sets[s];
        }
    }
    const struct demo_set *s = n ? sets[rand_below(n)] : NULL;
    for (size_t i = 0; s && e == OK && i < LOOKED && i < s->activity->cue_count; i++) {
        int32_t day = s->opens + 1;
        struct seen_row row = {
            .pupil = p->id, .unit = d->units[unit], .cue = s->activity->cues[i].id,
            .seen = demo_chance(0.55 + 0.12 * p->skill[s->starter]),
            .on_day = day < d->monday ? day : d->monday - 3, .by = d->staff[STAFF_LEAD].id};
        row.said_at = (int64_t)row.on_day * 86400;
        e = seen_add(d->st, &row);
    }
    return e;
}

/* A question of that activity, asked in the same lesson of some. */
static enum err ask(struct demo *d, const struct demo_pupil *p, int unit)
{
    const struct demo_set *s = NULL;
    for (int i = 0; i < DEMO_SETS && s == NULL; i++) {
        bool had = in_unit(&d->sets[i], unit, p->cls) && d->sets[i].opens < d->monday;
        s = had && d->sets[i].activity->question_count > 0 ? &d->sets[i] : NULL;
    }
    if (s == NULL) {
        return OK;
    }
    int32_t day = s->opens + 2;
    const struct lesson_answer a = {
        .pupil = p->id, .unit = d->units[unit], .question = s->activity->questions[0].id,
        .right = demo_chance(0.7), .on_day = day < d->monday ? day : d->monday - 3,
        .by = d->staff[STAFF_LEAD].id};
    return lesson_answer_add(d->st, &a);
}

/* The second child's first point was tapped by mistake, and taken back. */
static enum err take_back(struct demo *d)
{
    struct seen_list list;
    enum err e = seen_of_pupil(d->st, d->mem, d->pupils[1].id, &list);
    if (e != OK || list.n == 0) {
        return e;
    }
    struct seen_row back = list.v[0];
    back.said_at = (int64_t)back.on_day * 86400;
    back.taken_back = true;
    back.by = d->staff[STAFF_LEAD].id;
    return seen_add(d->st, &back);
}

/* Swimming, of the group that swims: seen at the pool by whoever is qualified there. */
static enum err tick(struct demo *d)
{
    enum err e = OK;
    int turn = 0;
    for (int i = 0; e == OK && i < DEMO_PUPILS; i++) {
        const struct demo_pupil *p = &d->pupils[i];
        for (int64_t s = 1; e == OK && p->in_group && s <= 3; s++, turn++) {
            struct statement_tick t = {
                .pupil = p->id, .statement = s, .met = (turn * 5) % 7 < 4 - s / 3,
                .on_day = d->monday + FIRST_END - 7 * (1 + turn % 4),
                .by = d->staff[STAFF_LEAD].id};
            if (turn % 5 == 4) {
                continue;                               /* nothing said yet */
            }
            e = statement_tick_add(d->st, &t);
            if (e == OK && turn == 8) {
                t.taken_back = true;
                e = statement_tick_add(d->st, &t);
            }
        }
    }
    return e;
}

static enum err look_all(struct demo *d)
{
    static const double often[DEMO_UNITS] = {0.75, 0.4};
    enum err e = OK;
    for (int u = 0; u < DEMO_UNITS; u++) {
        for (int i = 0; e == OK && i < DEMO_PUPILS; i++) {
            if (demo_chance(often[u])) {
                e = look(d, &d->pupils[i], u);
            }
        }
    }
    for (int i = 0; e == OK && i < DEMO_PUPILS; i++) {
        double x = demo_unit();
        const struct taking_part t = {
            .pupil = d->pupils[i].id, .unit = d->units[0], .band = x < 0.12 ? 0 : x < 0.75 ? 1 : 2,
            .by = d->staff[STAFF_LEAD].id, .on_day = d->monday + FIRST_END - 3};
        if (demo_chance(0.9)) {
            e = taking_part_put(d->st, &t);
        }
    }
    return e;
}

/* The teacher's band: mostly what the tries point to, now and then what was seen in lessons. */
static void decide(const struct results_row *row, struct assessment *a)
{
    int pointed = row->suggestion.band;
    a->in_bulk = results_bulk_ok(row, NULL) && demo_chance(0.6);
    a->band = pointed >= 0 ? pointed : 1;
    if (pointed < 0) {
        a->reason = assessment_reason_words[0];             /* seen in lessons */
    } else if (!a->in_bulk && demo_chance(0.2)) {
        a->band = pointed == 0 ? 1 : pointed == TOP_BAND ? 1 : demo_chance(0.5) ? 0 : TOP_BAND;
        a->reason = assessment_reason_words[rand_below(4)];
    }
}

static enum err assess_one(struct demo *d, const struct results *r, const struct results_row *row)
{
    const struct suggestion *s = &row->suggestion;
    struct buf b;
    int64_t at = clock_day_at(d->monday + FIRST_END + 3, 16, 40);
    struct assessment a = {.unit = d->units[0], .pupil = row->pupil.id, .at = at,
                           .by = d->staff[STAFF_LEAD].id, .suggested_band = s->band};
    if (s->band < 0 && demo_chance(0.6)) {
        return OK;              /* left open: nothing to go by yet */
    }
    buf_init(&b, d->mem);
    view_suggestion(&b, s, &r->words);
    a.suggestion = b.data;
    if (s->band >= 0 && s->answer.known) {
        a.suggested_label = band_label_word(s->answer.label);
    }
    decide(row, &a);
    return assessment_add(d->st, &a);
}

static enum err share_one(struct demo *d, struct pupil_id pupil)
{
    bool changed;
    int64_t at = clock_day_at(d->monday + FIRST_END + 4, 9, 5);
    return assessment_share(d->st, d->units[0], pupil, at, &changed);
}

/* Three classes are decided and mostly shared; of the last only half is decided, none is shared. */
static enum err assess_class(struct demo *d, int cls)
{
    struct results r;
    const struct results_ask ask = {
        .of = {.unit = d->units[0], .cls = d->classes[cls].id, .today = d->monday - 1},
        .now = d->now - 1};
    enum err e = results_load(d->st, d->mem, &ask, &r);
    for (size_t i = 0; e == OK && i < r.row_count; i++) {
        if (cls == DEMO_GROUP - 1 && i % 2) {
            continue;
        }
        e = assess_one(d, &r, &r.rows[i]);
        if (e == OK && cls < DEMO_GROUP - 1 && demo_chance(0.85)) {
            e = share_one(d, r.rows[i].pupil.id);
        }
    }
    return e;
}

/* One that was seen to, and one that waits since yesterday. */
static enum err tell(struct demo *d)
{
    struct message_id id;
    const struct message_new hurt = {.pupil = d->pupils[61].id, .about = "hurt", .body_part = "leg",
                                     .still = 0, .now = clock_day_at(d->monday - 12, 16, 20)};
    const struct message_new talk = {.pupil = d->pupils[70].id, .about = "talk", .still = -1,
                                     .now = clock_day_at(d->monday - 1, 17, 5)};
    enum err e = message_raise(d->st, &hurt, &id);
    if (e == OK) {
        e = message_acknowledge(d->st, id, d->staff[STAFF_LEAD].id, "recorded_elsewhere",
                                clock_day_at(d->monday - 11, 8, 30));
    }
    return e == OK ? message_raise(d->st, &talk, &id) : e;
}

/* Of the class's children with an assessment the first and the third are shown to a colleague: one
 * view is given and agreed on, one is still owed. */
static enum err ask_colleague(struct demo *d)
{
    struct assessment_list decided;
    const struct unit_class k = {.unit = d->units[0], .cls = d->classes[0].id,
                                 .today = d->monday - 1};
    struct second_view_new view = {.unit = k.unit, .asked_of = d->staff[STAFF_TEACHER].id,
                                  .asked_by = d->staff[STAFF_LEAD].id, .day = d->monday - 6};
    int64_t id = 0;
    enum err e = assessments_of_class(d->st, d->mem, &k, &decided);
    if (e != OK || decided.n < 3) {
        return e;
    }
    view.pupil = decided.v[0].pupil;
    e = second_view_ask(d->st, &view, &id);
    if (e == OK) {
        e = second_view_give(d->st, id, decided.v[0].band, d->monday - 5);
    }
    const struct second_view_agree agree = {id, decided.v[0].band, decided.v[0].band,
                                            view.asked_by, d->monday - 4};
    if (e == OK) {
        e = second_view_agree(d->st, &agree);
    }
    view.pupil = decided.v[2].pupil;
    return e == OK ? second_view_ask(d->st, &view, &id) : e;
}

enum err demo_after(struct demo *d)
{
    enum err e = look_all(d);
    for (int i = 0; e == OK && i < DEMO_PUPILS; i++) {
        e = i % 3 == 0 ? ask(d, &d->pupils[i], i % 2) : OK;
    }
    e = e == OK ? take_back(d) : e;
    e = e == OK ? tick(d) : e;
    for (int c = 0; e == OK && c < DEMO_GROUP; c++) {
        e = assess_class(d, c);
    }
    if (e == OK) {
        e = ask_colleague(d);
    }
    return e == OK ? tell(d) : e;
}
