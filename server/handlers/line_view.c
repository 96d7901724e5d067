/* SPDX-License-Identifier: MIT
 * A line into JSON: what was done at one activity and version over time, and what a page needs to
 * tell it in words of any language. Nothing here compares with another child. */
#include <string.h>

#include "base/mem.h"
#include "base/text.h"
#include "handlers/hand_in_view.h"

enum { STEPS = 8 };

size_t line_marks(void *ctx, const struct best_line *line, struct mark **out)
{
    size_t n = 0;
    *out = mem_array(ctx, struct mark, line->n * HAND_IN_ATTEMPTS);
    for (size_t i = 0; i < line->n; i++) {
        const struct hand_in *h = line->hand_ins[i];
        for (size_t k = 0; k < h->attempt_count; k++) {
            if (!h->attempts[k].part) {
                (*out)[n++] = (struct mark){
                    h->attempts[k].distance_mm,
                    best_sign(h->attempts[k].value, line->activity->lower_is_better)};
            }
        }
    }
    return n;
}

static bool said_cue(const struct activity *a, const struct hand_in *h, const char *text)
{
    for (size_t i = 0; i < h->cue_count; i++) {
        for (size_t k = 0; k < a->cue_count; k++) {
            if (a->cues[k].id == h->cues[i] && strcmp(a->cues[k].text, text) == 0) {
                return true;
            }
        }
    }
    return false;
}

enum err line_met(struct store *st, void *ctx, const struct best_line *line,
                  struct line_words *out)
{
    const struct activity *then = NULL, *now = NULL;
    out->met = mem_array(ctx, const char *, HAND_IN_CUES);
    out->met_count = 0;
    if (line->n < 2) {
        return OK;
    }
    const struct hand_in *first = line->hand_ins[0], *last = line->hand_ins[line->n - 1];
    enum err e = activity_load(st, first->revision, &then);
    if (e == OK) {
        e = activity_load(st, last->revision, &now);
    }
    for (size_t k = 0; e == OK && k < now->cue_count; k++) {
        const char *text = now->cues[k].text;
        if (out->met_count < HAND_IN_CUES && said_cue(now, last, text) &&
            !said_cue(then, first, text)) {
            out->met[out->met_count++] = text;
        }
    }
    return e;
}

bool line_best(const struct best_line *line, int64_t *value, int32_t *distance_mm)
{
    bool found = false;
    struct mark top = {0};
    for (size_t i = 0; i < line->n; i++) {
        const struct hand_in *h = line->hand_ins[i];
        if (!h->has_best) {
            continue;
        }
        struct mark pair[2] = {
            top, {h->best_distance_mm, best_sign(h->best, line->activity->lower_is_better)}};
        best_of(found ? pair : pair + 1, found ? 2 : 1, &top, NULL);
        found = true;
    }
    *value = best_sign(top.score, line->activity->lower_is_better);
    *distance_mm = top.distance_mm;
    return found;
}

static void line_hand_in(struct buf *b, const struct hand_in *h)
{
    buf_str(b, "{\"on\":");
    view_day(b, h->done_day);
    buf_str(b, ",\"attempts\":[");
    for (size_t i = 0; i < h->attempt_count; i++) {
        const struct hand_in_attempt *a = &h->attempts[i];
        buf_str(b, i > 0 ? ",{\"value\":" : "{\"value\":");
        buf_int(b, a->value);
        if (a->distance_mm > 0) {
            buf_str(b, ",\"distance_mm\":");
            buf_int(b, a->distance_mm);
        }
        buf_str(b, a->part ? ",\"part\":true}" : ",\"part\":false}");
    }
    buf_str(b, "],\"best\":");
    view_int_or_null(b, h->has_best, h->best);
    buf_str(b, "}");
}

/* The most that a try can score, 0 where nothing holds it. */
static int most_of(const struct activity *a)
{
    int most = 0;
    for (size_t i = 0; i < a->zone_count; i++) {
        most = a->zones[i].points > most ? a->zones[i].points : most;
    }
    return a->kind == ACTIVITY_KIND_ZONES ? most * a->throws
           : a->kind != ACTIVITY_KIND_SUCCESSES ? 0
           : a->cap > 0 && a->cap < a->throws ? a->cap : a->throws;
}

static void line_activity(struct buf *b, const struct activity *a)
{
    buf_str(b, "{\"activity\":{\"id\":");
    view_id(b, a->id.v);
    buf_str(b, ",\"name\":");
    json_txt(b, a->name);
    buf_printf(b, ",\"kind\":\"%s\",\"unit\":\"%s\",\"lower_is_better\":%s,\"throws\":",
               activity_kind_word(a->kind), value_unit_word(a->unit),
               a->lower_is_better ? "true" : "false");
    view_int_or_null(b, a->throws > 0, a->throws);
    buf_str(b, ",\"most\":");
    view_int_or_null(b, most_of(a) > 0, most_of(a));
    buf_str(b, ",\"seconds\":");
    view_int_or_null(b, a->seconds > 0, a->seconds);
    buf_str(b, "}");
}

/* The best from each distance, nearest first, and the first score where the line has one distance
 * and went past it. */
static void line_bests(struct buf *b, const struct best_line *line)
{
    struct mark *marks = NULL, steps[STEPS];
    struct best_story story = {0};
    bool lower = line->activity->lower_is_better;
    size_t n = line_marks(b->ctx, line, &marks);
    size_t k = best_by_step(marks, n, steps, STEPS);
    buf_str(b, ",\"bests\":[");
    for (size_t i = 0; i < k && i < STEPS; i++) {
        buf_str(b, i > 0 ? ",{\"value\":" : "{\"value\":");
        buf_int(b, best_sign(steps[i].score, lower));
        buf_str(b, ",\"distance_mm\":");
        view_int_or_null(b, steps[i].distance_mm > 0, steps[i].distance_mm);
        buf_str(b, "}");
    }
    if (k == 1) {
        best_tell(marks, n, &story);
    }
    buf_str(b, "],\"first_value\":");
    view_int_or_null(b, story.gain > 0, best_sign(story.first, lower));
}

static void line_told(struct buf *b, const struct line_words *w)
{
    if (w->meaning != NULL) {
        buf_str(b, ",\"meaning\":");
        json_txt(b, w->meaning);
    }
    buf_str(b, ",\"since\":");
    if (w->since_day != 0) {
        view_day(b, w->since_day);
    } else {
        buf_str(b, "null");
    }
    buf_str(b, ",\"new_points\":[");
    for (size_t i = 0; i < w->met_count; i++) {
        buf_str(b, i > 0 ? "," : "");
        json_txt(b, w->met[i]);
    }
    buf_str(b, "]");
}

void view_line(struct buf *b, const struct best_line *line, const struct line_words *w)
{
    line_activity(b, line->activity);
    buf_str(b, ",\"version\":{\"id\":");
    view_id(b, line->version->id.v);
    buf_printf(b, ",\"kind\":\"%s\"},\"best\":", version_kind_word(line->version->kind));
    int64_t value = 0;
    int32_t distance = 0;
    if (line_best(line, &value, &distance)) {
        view_best(b, line->version->id, distance, value);
    } else {
        buf_str(b, "null");
    }
    line_bests(b, line);
    buf_str(b, ",\"hand_ins\":[");
    for (size_t i = 0; i < line->n; i++) {
        buf_str(b, i > 0 ? "," : "");
        line_hand_in(b, line->hand_ins[i]);
    }
    buf_str(b, "]");
    if (w != NULL) {
        line_told(b, w);
    }
    buf_str(b, "}");
}
