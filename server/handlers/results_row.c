/* SPDX-License-Identifier: MIT
 * One child of a challenge's results: the tries, what changed on the child's own line, the gain
 * against luck, what the tries point to; and what staff should look at. */
#include "base/mem.h"
#include "base/text.h"
#include "estimate_words.h"
#include "gain_words.h"
#include "handlers/hand_in_view.h"
#include "handlers/suggestion.h"
#include "results_internal.h"

#include <string.h>

bool sheet_of_challenge(const struct sheet *s, const struct hand_in *h)
{
    return h->challenge.v == s->challenge.id.v;
}

enum grid_state sheet_state(const struct sheet *s, const struct results *r,
                            const struct results_row *row)
{
    for (size_t i = 0; i < r->challenge_count; i++) {
        if (r->challenges[i].id.v == s->challenge.id.v) {
            return row->states[i];
        }
    }
    return GRID_NOT_YET;
}

struct hand_in_list sheet_own(const struct hand_in_list *all, struct pupil_id id)
{
    size_t from = 0;
    while (from < all->n && all->v[from].pupil.v != id.v) {
        from++;
    }
    size_t to = from;
    while (to < all->n && all->v[to].pupil.v == id.v) {
        to++;
    }
    return (struct hand_in_list){all->v + from, to - from};
}

/* To look at ---------------------------------------------------------------------------------- */

static bool has_part(const struct hand_in *h)
{
    for (size_t i = 0; i < h->attempt_count; i++) {
        if (h->attempts[i].part) {
            return true;
        }
    }
    return false;
}

/* What waits is to check and counts for nothing until staff have looked; the other two count
 * already, and are noted until somebody has marked them. */
static const char *why_check(const struct hand_in *h, const struct hand_in_mark_list *marks)
{
    if (h->state == HAND_IN_TO_CHECK) {
        return marks->n > 0 && strcmp(marks->v[marks->n - 1].mark, "mistake") == 0 ? "mistake"
                                                                                  : "surprising";
    }
    if (h->state != HAND_IN_COUNTS || marks->n > 0) {
        return NULL;
    }
    return h->confirmed ? "confirmed" : has_part(h) ? "part" : NULL;
}

static void note_check(struct sheet *s, const struct results_row *row, const struct hand_in *h,
                       const struct hand_in_mark_list *marks)
{
    const char *why = why_check(h, marks);
    char id[37];
    if (why == NULL) {
        return;
    }
    struct buf *b = h->state == HAND_IN_TO_CHECK ? &s->checks : &s->noted;
    text_uuid_print(h->id.b, id);
    buf_str(b, b->len > 0 ? ",{\"pupil\":" : "{\"pupil\":");
    view_results_pupil(b, &row->pupil);
    buf_printf(b, ",\"hand_in\":\"%s\",\"why\":\"%s\"}", id, why);
}

/* The row ------------------------------------------------------------------------------------- */

static enum err view_hand_ins(struct sheet *s, const struct results_row *row)
{
    bool first = true;
    buf_str(s->b, ",\"hand_ins\":[");
    for (size_t i = 0; i < row->hand_ins.n; i++) {
        const struct hand_in *h = &row->hand_ins.v[i];
        struct hand_in_mark_list marks;
        if (!sheet_of_challenge(s, h)) {
            continue;
        }
        enum err e = hand_in_marks_of(s->rq->store, s->rq->mem, h->seq, &marks);
        if (e != OK) {
            return e;
        }
        note_check(s, row, h, &marks);
        buf_str(s->b, first ? "" : ",");
        first = false;
        view_hand_in(s->b, &(struct hand_in_view){.h = h, .marks = &marks});
    }
    buf_str(s->b, "]");
    return OK;
}

/* What the latest hand-in that counts changed on the child's own line. */
static enum err view_changed(const struct sheet *s, const struct results_row *row,
                             const struct hand_in_list *own)
{
    const struct hand_in *last = NULL;
    for (size_t i = 0; i < row->hand_ins.n; i++) {
        const struct hand_in *h = &row->hand_ins.v[i];
        if (sheet_of_challenge(s, h) && h->state == HAND_IN_COUNTS && h->has_best) {
            last = h;
        }
    }
    buf_str(s->b, ",");
    if (last == NULL) {
        buf_str(s->b, "\"own_best\":null");
        return OK;
    }
    struct hand_in_list history =
        fresh_start_since(s->rq->mem, own, school_year_first(last->done_day));
    struct outlook o = {0};
    const struct outlook_ask ask = {s->activity, last, &history};
    enum err e = outlook_of(s->rq, &ask, &o);
    view_own_best(s->b, &o);
    return e;
}

/* Only where the child has tries in this challenge that count: else there is nothing new to say. */
static enum err view_luck(const struct sheet *s, const struct sheet_class *c,
                          const struct results_row *row, const struct hand_in_list *own)
{
    struct gain g;
    bool any = false;
    for (size_t i = 0; i < row->hand_ins.n; i++) {
        const struct hand_in *h = &row->hand_ins.v[i];
        any = any || (sheet_of_challenge(s, h) && h->state == HAND_IN_COUNTS &&
                      h->attempt_count > 0);
    }
    buf_str(s->b, ",\"gain\":");
    if (!any) {
        buf_str(s->b, "null");
        return OK;
    }
    const struct gain_ask ask = {
        .hand_ins = own, .activity = s->activity, .cls = &c->spread,
        .fresh_day = fresh_start_in(&c->fresh, row->pupil.id),
        .estimates = s->school.distance_estimates,
    };
    enum err e = gain_of(s->rq->store, s->rq->mem, &ask, &g);
    view_gain(s->b, &g);
    return e;
}

/* Not for who still owes a second view: it names a band. */
static enum err view_another_distance(const struct sheet *s, const struct sheet_class *c,
                                      const struct results_row *row, bool blind)
{
    struct estimate e = {.why = ESTIMATE_NOT_MEANT};
    const struct unit *u = &c->r.unit;
    const struct estimate_ask ask = {
        .hand_ins = &row->hand_ins, .activity = s->activity,
        .stat = u->statistic == UNIT_BEST ? BAND_BEST
                : u->statistic == UNIT_MEAN ? BAND_MEAN : BAND_MIDDLE,
    };
    enum err err = OK;
    if (s->school.distance_estimates && !blind) {
        err = estimate_of(s->rq->store, s->rq->mem, &ask, &e);
    }
    buf_str(s->b, ",\"estimate\":");
    view_estimate(s->b, &e, &c->r.words);
    buf_str(s->b, ",\"estimate_silent\":");
    view_estimate_silent(s->b, &e);
    return err;
}

static const char *why_not(const struct sheet *s, const struct results_row *row)
{
    const char *reason = NULL;
    for (size_t i = 0; i < row->hand_ins.n; i++) {
        const struct hand_in *h = &row->hand_ins.v[i];
        if (sheet_of_challenge(s, h) && h->state == HAND_IN_COUNTS && h->could_not != NULL) {
            reason = h->could_not;
        }
    }
    return reason;
}

enum err sheet_row(struct sheet *s, const struct sheet_class *c, const struct results_row *row)
{
    enum grid_state state = sheet_state(s, &c->r, row);
    struct hand_in_list own = sheet_own(&c->year, row->pupil.id);
    buf_str(s->b, "{\"pupil\":");
    view_results_pupil(s->b, &row->pupil);
    buf_printf(s->b, ",\"state\":\"%s\",\"could_not\":", grid_state_word[state]);
    json_txt(s->b, state == GRID_COULD_NOT ? why_not(s, row) : NULL);
    enum err e = view_hand_ins(s, row);
    if (e == OK) {
        e = view_changed(s, row, &own);
    }
    if (e == OK) {
        e = view_luck(s, c, row, &own);
    }
    bool blind = second_view_hides(&s->blind, c->r.unit.id, row->pupil.id);
    if (e == OK) {
        e = view_another_distance(s, c, row, blind);
    }
    if (blind) {
        buf_str(s->b, ",\"suggestion\":null,\"second_view\":\"open\"}");
        return e;
    }
    buf_str(s->b, ",\"second_view\":null,\"suggestion\":");
    if (row->suggestion.band < 0 && row->counted == 0) {
        buf_str(s->b, "null}");
        return e;
    }
    view_suggestion(s->b, &row->suggestion, &c->r.words);
    buf_str(s->b, "}");
    return e;
}
