/* SPDX-License-Identifier: MIT
 * The page of a unit's end: a class, its evidence, what that points to and what was decided. Needs
 * ?class=, on which the person holds teach or read (or is the PE lead). */
#include "auth/scope.h"
#include "base/clock.h"
#include "handlers/hand_in_view.h"
#include "handlers/handlers.h"
#include "handlers/suggestion.h"
#include "results_internal.h"
#include "second_internal.h"
#include "store/results.h"

void view_results_pupil(struct buf *b, const struct pupil_row *p)
{
    buf_str(b, "{\"id\":");
    view_id(b, p->id.v);
    buf_str(b, ",\"display_name\":");
    json_txt(b, p->display_name);
    buf_str(b, ",\"year_group\":");
    if (p->year_group == PUPIL_NO_YEAR) {
        buf_str(b, "null}");
    } else {
        buf_printf(b, "%d}", p->year_group);
    }
}

static enum err view_states(struct request *rq, struct buf *b, const struct results *r,
                            const struct results_row *row)
{
    buf_str(b, ",\"challenges\":[");
    for (size_t i = 0; i < r->challenge_count; i++) {
        const struct activity *a;
        enum err e = activity_load(rq->store, r->challenges[i].revision, &a);
        if (e != OK) {
            return e;
        }
        buf_str(b, i > 0 ? ",{\"id\":" : "{\"id\":");
        view_id(b, r->challenges[i].id.v);
        buf_str(b, ",\"name\":");
        json_txt(b, a->name);
        buf_printf(b, ",\"state\":\"%s\"}", grid_state_word[row->states[i]]);
    }
    buf_str(b, "]");
    return OK;
}

static void view_evidence(struct buf *b, const struct results_row *row)
{
    buf_printf(b, ",\"evidence\":{\"hand_ins\":%zu,\"waiting\":%zu,\"seen\":{", row->counted,
               row->waiting);
    for (size_t i = 0; i < row->seen_count; i++) {
        buf_str(b, i > 0 ? "," : "");
        view_id(b, row->seen[i].cue);
        buf_str(b, row->seen[i].seen ? ":true" : ":false");
    }
    buf_printf(b, "},\"questions_right\":%d,\"questions_answered\":%d,\"taking_part\":",
               row->right_of_answered.k, row->right_of_answered.of);
    if (row->taking_part >= 0) {
        buf_printf(b, "%d}", row->taking_part);
    } else {
        buf_str(b, "null}");
    }
}

static enum err view_row(struct request *rq, struct buf *b, const struct results *r,
                         const struct results_row *row, const struct second_blind_list *blind)
{
    const char *no;
    bool ok = results_bulk_ok(row, &no);
    buf_str(b, "{\"pupil\":");
    view_results_pupil(b, &row->pupil);
    enum err e = view_states(rq, b, r, row);
    view_evidence(b, row);
    if (second_view_hides(blind, r->unit.id, row->pupil.id)) {
        buf_str(b, ",\"suggestion\":null,\"assessment\":null,\"bulk_ok\":false,"
                   "\"bulk_no\":\"second_view_open\",\"second_view\":\"open\"}");
        return e;
    }
    buf_str(b, ",\"second_view\":null,\"suggestion\":");
    view_suggestion(b, &row->suggestion, &r->words);
    buf_str(b, ",\"assessment\":");
    if (row->assessment != NULL) {
        view_assessment(b, row->assessment);
    } else {
        buf_str(b, "null");
    }
    buf_printf(b, ",\"bulk_ok\":%s,\"bulk_no\":", ok ? "true" : "false");
    json_txt(b, no);
    buf_str(b, "}");
    return e;
}

static void view_head(struct buf *b, const struct results *r)
{
    buf_str(b, "{\"unit\":{\"id\":");
    view_id(b, r->unit.id.v);
    buf_str(b, ",\"name\":");
    json_txt(b, r->unit.name);
    buf_printf(b, ",\"statistic\":\"%s\",\"policy\":\"%s\",\"pooling\":\"%s\"",
               unit_statistic_word(r->unit.statistic), unit_policy_word(r->unit.policy),
               unit_pooling_word(r->unit.pooling));
    buf_str(b, "},\"band_words\":[");
    for (size_t i = 0; i < r->words.n; i++) {
        buf_str(b, i > 0 ? "," : "");
        json_txt(b, r->words.word[i]);
    }
    buf_str(b, "],\"cues\":[");
    for (size_t i = 0; i < r->cue_count; i++) {
        buf_str(b, i > 0 ? ",{\"id\":" : "{\"id\":");
        view_id(b, r->cues[i].id);
        buf_str(b, ",\"text\":");
        json_txt(b, r->cues[i].text);
        buf_str(b, ",\"activity\":");
        json_txt(b, r->cues[i].activity_name);
        buf_str(b, "}");
    }
    buf_str(b, "],\"rows\":[");
}

enum err h_unit_assess_get(struct request *rq, struct reply *rp)
{
    struct results r;
    int64_t cls;
    enum err e = request_query_id(rq, "class", &cls);
    if (e != OK) {
        return e;
    }
    if (cls == 0) {
        return request_blame(rq, "/class", "required", NULL);
    }
    if ((rights_on_class(rq, cls) & (ALLOW_TEACH | ALLOW_READ | ALLOW_PE_LEAD)) == 0) {
        return ERR_NOT_FOUND;
    }
    const struct results_ask ask = {
        .of = {{rq->args[0].id}, {cls}, clock_day(rq->now)}, .now = rq->now,
    };
    struct second_blind_list blind;
    e = results_load(rq->store, rq->mem, &ask, &r);
    if (e == OK) {
        e = second_blind_load(rq, &blind);
    }
    if (e != OK) {
        return e;
    }
    struct buf *b = reply_json_buf(rq, rp, 200);
    view_head(b, &r);
    for (size_t i = 0; e == OK && i < r.row_count; i++) {
        buf_str(b, i > 0 ? "," : "");
        e = view_row(rq, b, &r, &r.rows[i], &blind);
    }
    buf_str(b, "],\"note\":");
    json_txt(b, suggestion_note);
    buf_str(b, "}");
    return e;
}
