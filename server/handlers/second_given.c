/* SPDX-License-Identifier: MIT
 * The other side of second views: what I was asked for, with the evidence and nothing else, and
 * giving my view. What is written here is tries, teaching points, questions and taking part; never
 * a suggestion, never what somebody decided. */
#include "auth/scope.h"
#include "base/clock.h"
#include "base/mem.h"
#include "handlers/hand_in_view.h"
#include "handlers/handlers.h"
#include "people_internal.h"
#include "second_internal.h"
#include "store/bests.h"
#include "store/results.h"
#include "value_words.h"

enum { SEES_RESULTS = ALLOW_TEACH | ALLOW_READ | ALLOW_PE_LEAD };

enum err second_band_read(struct request *rq, int *out)
{
    static const char *const members[] = {"band", NULL};
    enum err e = field_known(rq, rq->json, "", members);
    return e != OK ? e : field_band(rq, json_object_get(rq->json, "band"), "/band", out);
}

enum err second_views_owed(struct request *rq, struct second_view_list *out)
{
    size_t kept = 0;
    enum err e = second_views_asked_of(rq->store, rq->mem, rq->who.staff, out);
    for (size_t i = 0; e == OK && i < out->n; i++) {
        if ((rights_on_pupil(rq, out->v[i].pupil.v) & SEES_RESULTS) != 0) {
            out->v[kept++] = out->v[i];
        }
    }
    out->n = kept;
    return e;
}

/* The evidence --------------------------------------------------------------------------------- */

/* "“met the aim” from 8 points; ...", or the own target; NULL: neither. */
static const char *scale_words(struct request *rq, const struct best_line *line,
                               const struct band_words *words)
{
    const struct activity_version *v = line->version;
    const struct activity *a = line->activity;
    struct buf b;
    buf_init(&b, rq->mem);
    for (size_t i = 0; i < v->band_line_count && i + 1 < words->n; i++) {
        buf_printf(&b, "%s\xE2\x80\x9C%s\xE2\x80\x9D %s", i > 0 ? "; " : "", words->word[i + 1],
                   a->lower_is_better ? "at " : "from ");
        value_words(&b, a->unit, v->band_lines[i]);
        buf_str(&b, a->lower_is_better ? " or less" : "");
    }
    if (v->own_target.set) {
        buf_str(&b, "own target ");
        value_words(&b, a->unit, v->own_target.v);
    }
    return b.len > 0 ? b.data : NULL;
}

static enum err view_lanes(struct request *rq, struct buf *b, const struct results *r)
{
    struct best_lines lines;
    enum err e = best_lines_of(rq->store, rq->mem, &r->rows[0].hand_ins, &lines);
    buf_str(b, ",\"activities\":[");
    for (size_t i = 0; e == OK && i < lines.n; i++) {
        buf_str(b, i > 0 ? ",{\"line\":" : "{\"line\":");
        view_line(b, &lines.v[i], NULL);
        buf_str(b, ",\"scale\":");
        json_txt(b, scale_words(rq, &lines.v[i], &r->words));
        buf_str(b, "}");
    }
    buf_str(b, "]");
    return e;
}

static const char *seen_word(const struct results_row *row, int64_t cue)
{
    for (size_t i = 0; i < row->seen_count; i++) {
        if (row->seen[i].cue == cue) {
            return row->seen[i].seen ? "true" : "false";
        }
    }
    return "null";
}

static void view_lessons(struct buf *b, const struct results *r)
{
    const struct results_row *row = &r->rows[0];
    buf_str(b, ",\"cues\":[");
    for (size_t i = 0; i < r->cue_count; i++) {
        buf_str(b, i > 0 ? ",{\"text\":" : "{\"text\":");
        json_txt(b, r->cues[i].text);
        buf_str(b, ",\"activity\":");
        json_txt(b, r->cues[i].activity_name);
        buf_printf(b, ",\"seen\":%s}", seen_word(row, r->cues[i].id));
    }
    buf_printf(b, "],\"questions_right\":%d,\"questions_answered\":%d,\"waiting\":%zu,"
               "\"taking_part\":", row->right_of_answered.k, row->right_of_answered.of,
               row->waiting);
    json_txt(b, row->taking_part >= 0 && (size_t)row->taking_part < r->words.n
                    ? r->words.word[row->taking_part] : NULL);
}

static enum err load_evidence(struct request *rq, const struct second_view *v, struct results *r)
{
    int32_t today = clock_day(rq->now);
    struct class_id cls;
    enum err e = results_class_of(rq->store, v->unit, v->pupil, today, &cls);
    const struct results_ask ask = {
        .of = {v->unit, cls, today}, .now = rq->now, .only = v->pupil,
    };
    if (e == OK) {
        e = results_load(rq->store, rq->mem, &ask, r);
    }
    return e;
}

static void view_words(struct buf *b, const struct band_words *words)
{
    buf_str(b, ",\"band_words\":[");
    for (size_t i = 0; i < words->n; i++) {
        buf_str(b, i > 0 ? "," : "");
        json_txt(b, words->word[i]);
    }
    buf_str(b, "]");
}

static enum err view_owed(struct request *rq, struct buf *b, const struct second_view *v,
                          const struct results *r)
{
    buf_str(b, "{\"id\":");
    view_id(b, v->id);
    buf_str(b, ",\"unit\":");
    json_txt(b, v->unit_name);
    buf_str(b, ",\"display_name\":");
    json_txt(b, v->display_name);
    buf_str(b, ",\"asked_by\":");
    json_txt(b, v->asked_by_name);
    buf_str(b, ",\"asked_on\":");
    view_day(b, v->asked_day);
    view_words(b, &r->words);
    enum err e = view_lanes(rq, b, r);
    view_lessons(b, r);
    buf_str(b, "}");
    return e;
}

enum err h_second_views_get(struct request *rq, struct reply *rp)
{
    struct second_view_list list;
    size_t written = 0;
    enum err e = second_views_owed(rq, &list);
    struct buf *b = reply_json_buf(rq, rp, 200);
    buf_str(b, "{\"views\":[");
    for (size_t i = 0; e == OK && i < list.n; i++) {
        struct results r;
        e = load_evidence(rq, &list.v[i], &r);
        if (e == OK && r.row_count == 1) {
            buf_str(b, written++ > 0 ? "," : "");
            e = view_owed(rq, b, &list.v[i], &r);
        }
    }
    buf_str(b, "]}");
    return e;
}

/* Giving --------------------------------------------------------------------------------------- */

enum err h_second_view_put(struct request *rq, struct reply *rp)
{
    struct second_view v;
    int band = 0;
    enum err e = second_view_get(rq->store, rq->mem, rq->args[0].id, &v);
    if (e == OK) {
        e = second_band_read(rq, &band);
    }
    if (e == OK && v.band >= 0) {
        e = request_blame(rq, "", "given", NULL);
        e = e == ERR_BAD_INPUT ? ERR_CONFLICT : e;
    }
    if (e == OK) {
        e = second_view_give(rq->store, v.id, band, clock_day(rq->now));
    }
    if (e == OK) {
        e = people_audit(rq, "second view given", "pupil", v.pupil.v, "");
    }
    if (e == OK) {
        reply_no_content(rp);
    }
    return e;
}
