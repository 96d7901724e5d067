/* SPDX-License-Identifier: MIT
 * The observation grid. Needs ?class=. Who helps in a class sees teaching points and questions and
 * never a band: for them neither the school's band words nor taking part are in the answer. */
#include "auth/scope.h"
#include "base/clock.h"
#include "handlers/hand_in_view.h"
#include "handlers/handlers.h"
#include "results_internal.h"
#include "store/lesson_grid.h"
#include "store/school.h"

static void view_columns(struct buf *b, const struct lesson_column *v, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        buf_str(b, i > 0 ? ",{\"id\":" : "{\"id\":");
        view_id(b, v[i].id);
        buf_str(b, ",\"text\":");
        json_txt(b, v[i].text);
        buf_str(b, ",\"activity\":");
        json_txt(b, v[i].activity_name);
        buf_str(b, "}");
    }
}

static void view_said(struct buf *b, bool first, int64_t id, bool yes)
{
    buf_str(b, first ? "" : ",");
    view_id(b, id);
    buf_str(b, yes ? ":true" : ":false");
}

static void view_row(struct buf *b, const struct lesson_row *row, bool bands)
{
    buf_str(b, "{\"pupil\":");
    view_results_pupil(b, &row->pupil);
    buf_str(b, ",\"seen\":{");
    for (size_t i = 0; i < row->seen_count; i++) {
        view_said(b, i == 0, row->seen[i].cue, row->seen[i].seen);
    }
    buf_str(b, "},\"answers\":{");
    for (size_t i = 0; i < row->answer_count; i++) {
        view_said(b, i == 0, row->answers[i].question, row->answers[i].right);
    }
    buf_str(b, "}");
    if (bands && row->taking_part >= 0) {
        buf_printf(b, ",\"taking_part\":%d", row->taking_part);
    } else if (bands) {
        buf_str(b, ",\"taking_part\":null");
    }
    buf_str(b, "}");
}

static enum err view_head(struct request *rq, struct buf *b, const struct lesson_grid *g,
                          bool bands)
{
    struct band_words words;
    enum err e = school_band_words(rq->store, rq->mem, &words);
    buf_str(b, "{\"unit\":{\"id\":");
    view_id(b, g->unit.id.v);
    buf_str(b, ",\"name\":");
    json_txt(b, g->unit.name);
    buf_str(b, "}");
    if (e == OK && bands) {
        buf_str(b, ",\"band_words\":[");
        for (size_t i = 0; i < words.n; i++) {
            buf_str(b, i > 0 ? "," : "");
            json_txt(b, words.word[i]);
        }
        buf_str(b, "]");
    }
    buf_str(b, ",\"cues\":[");
    view_columns(b, g->cues, g->cue_count);
    buf_str(b, "],\"questions\":[");
    view_columns(b, g->questions, g->question_count);
    buf_str(b, "],\"rows\":[");
    return e;
}

enum err h_unit_seen_get(struct request *rq, struct reply *rp)
{
    struct lesson_grid g;
    int64_t cls;
    enum err e = request_query_id(rq, "class", &cls);
    if (e != OK) {
        return e;
    }
    if (cls == 0) {
        return request_blame(rq, "/class", "required", NULL);
    }
    unsigned rights = rights_on_class(rq, cls);
    bool bands = (rights & (ALLOW_TEACH | ALLOW_READ | ALLOW_PE_LEAD)) != 0;
    if (!bands && (rights & ALLOW_HELP) == 0) {
        return ERR_NOT_FOUND;
    }
    const struct unit_class of = {{rq->args[0].id}, {cls}, clock_day(rq->now)};
    e = lesson_grid_load(rq->store, rq->mem, &of, rq->now, &g);
    if (e != OK) {
        return e;
    }
    struct buf *b = reply_json_buf(rq, rp, 200);
    e = view_head(rq, b, &g, bands);
    for (size_t i = 0; e == OK && i < g.row_count; i++) {
        buf_str(b, i > 0 ? "," : "");
        view_row(b, &g.rows[i], bands);
    }
    buf_str(b, "]}");
    return e;
}
