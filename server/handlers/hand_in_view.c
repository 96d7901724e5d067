/* SPDX-License-Identifier: MIT
 * Hand-ins into JSON, appended by hand: a class's results hold hundreds of them. A child's form has
 * neither the moment of receipt nor who looked at it. */
#include "handlers/hand_in_view.h"

#include <stdio.h>

#include "base/clock.h"
#include "base/mem.h"
#include "base/text.h"

void view_id(struct buf *b, int64_t id)
{
    buf_bytes(b, "\"", 1);
    buf_int(b, id);
    buf_bytes(b, "\"", 1);
}

void view_day(struct buf *b, int32_t day)
{
    char text[11];
    clock_day_print(day, text);
    json_txt(b, text);
}

void view_at(struct buf *b, int64_t at)
{
    char text[21];
    clock_at_print(at, text);
    json_txt(b, text);
}

void view_int_or_null(struct buf *b, bool present, int64_t v)
{
    if (present) {
        buf_int(b, v);
    } else {
        buf_str(b, "null");
    }
}

static void attempt(struct buf *b, const struct hand_in_attempt *a)
{
    buf_str(b, "{\"value\":");
    buf_int(b, a->value);
    if (a->throw_count > 0) {
        buf_str(b, ",\"throws\":[");
        for (int i = 0; i < a->throw_count; i++) {
            buf_str(b, i > 0 ? "," : "");
            buf_int(b, a->throws[i]);
        }
        buf_str(b, "]");
    }
    if (a->distance_mm > 0) {
        buf_str(b, ",\"distance_mm\":");
        buf_int(b, a->distance_mm);
    }
    if (a->tries_used > 0) {
        buf_str(b, ",\"tries_used\":");
        buf_int(b, a->tries_used);
    }
    buf_str(b, a->part ? ",\"part\":true}" : ",\"part\":false}");
}

static void setup_member(struct buf *b, const char *name, const char *word, bool *first)
{
    if (word) {
        buf_printf(b, "%s\"%s\":\"%s\"", *first ? "" : ",", name, word);
        *first = false;
    }
}

static void setup(struct buf *b, const struct hand_in *h)
{
    char target[24], kit[24];
    snprintf(target, sizeof target, "%lld", (long long)h->target);
    snprintf(kit, sizeof kit, "%lld", (long long)h->kit);
    bool first = true;
    buf_str(b, ",\"setup\":{");
    setup_member(b, "target", h->target ? target : NULL, &first);
    setup_member(b, "kit", h->kit ? kit : NULL, &first);
    setup_member(b, "place", h->place, &first);
    setup_member(b, "counted_by", h->counted_by, &first);
    buf_str(b, "}");
}

static void said(struct buf *b, const struct hand_in *h)
{
    buf_str(b, ",\"felt\":");
    json_txt(b, h->felt);
    buf_str(b, ",\"cues\":[");
    for (size_t i = 0; i < h->cue_count; i++) {
        buf_str(b, i > 0 ? "," : "");
        view_id(b, h->cues[i]);
    }
    buf_str(b, "],\"answers\":{");
    for (size_t i = 0; i < h->answer_count; i++) {
        buf_str(b, i > 0 ? "," : "");
        view_id(b, h->answers[i].question);
        buf_str(b, ":");
        view_id(b, h->answers[i].choice);
    }
    buf_str(b, "}");
    setup(b, h);
}

static void marks(struct buf *b, const struct hand_in_view *v)
{
    buf_str(b, ",\"received_at\":");
    view_at(b, v->h->received_at);
    buf_str(b, ",\"marks\":[");
    for (size_t i = 0; i < v->marks->n; i++) {
        const struct hand_in_mark *m = &v->marks->v[i];
        buf_str(b, i > 0 ? ",{\"mark\":" : "{\"mark\":");
        json_txt(b, m->mark);
        buf_str(b, ",\"reason\":");
        json_txt(b, m->reason);
        buf_str(b, ",\"by\":");
        json_txt(b, m->by.v != 0 && m->by_name ? m->by_name : "child");
        buf_str(b, ",\"on\":");
        view_day(b, clock_day(m->at));
        buf_str(b, "}");
    }
    buf_str(b, "]");
}

void view_hand_in_members(struct buf *b, const struct hand_in_view *v)
{
    const struct hand_in *h = v->h;
    bool best = h->has_best && !v->hide_best;
    char id[37];
    text_uuid_print(h->id.b, id);
    buf_printf(b, "\"id\":\"%s\",\"challenge\":\"%lld\",\"version\":\"%lld\",\"attempts\":[", id,
               (long long)h->challenge.v, (long long)h->version.v);
    for (size_t i = 0; i < h->attempt_count; i++) {
        buf_str(b, i > 0 ? "," : "");
        attempt(b, &h->attempts[i]);
    }
    buf_str(b, "],\"done_on\":");
    view_day(b, h->done_day);
    buf_str(b, h->after_date ? ",\"after_date\":true" : ",\"after_date\":false");
    buf_str(b, ",\"could_not\":");
    json_txt(b, h->could_not);
    buf_str(b, ",\"best\":");
    view_int_or_null(b, best, h->best);
    buf_str(b, ",\"best_distance_mm\":");
    view_int_or_null(b, best && h->best_distance_mm > 0, h->best_distance_mm);
    said(b, h);
    buf_printf(b, ",\"state\":\"%s\",\"channel\":\"%s\"", hand_in_state_word[h->state],
               h->channel);
    if (v->marks) {
        marks(b, v);
    }
}

void view_hand_in(struct buf *b, const struct hand_in_view *v)
{
    buf_str(b, "{");
    view_hand_in_members(b, v);
    buf_str(b, "}");
}

void view_best(struct buf *b, struct version_id version, int32_t distance_mm, int64_t value)
{
    buf_str(b, "{\"version\":");
    view_id(b, version.v);
    buf_str(b, ",\"distance_mm\":");
    view_int_or_null(b, distance_mm > 0, distance_mm);
    buf_str(b, ",\"value\":");
    buf_int(b, value);
    buf_str(b, "}");
}

void view_own_best(struct buf *b, const struct outlook *o)
{
    buf_str(b, "\"own_best\":{\"status\":");
    json_txt(b, o->has_status ? best_status_word(o->status) : NULL);
    buf_str(b, ",\"value\":");
    view_int_or_null(b, o->has_status, o->value);
    buf_str(b, ",\"distance_mm\":");
    view_int_or_null(b, o->has_status && o->distance_mm > 0, o->distance_mm);
    buf_str(b, ",\"before\":");
    view_int_or_null(b, o->has_status && o->has_before, o->before);
    buf_str(b, "}");
}

void view_bests(struct buf *b, const struct outlook *o)
{
    buf_str(b, "\"bests\":[");
    for (size_t i = 0; i < o->best_count; i++) {
        buf_str(b, i > 0 ? "," : "");
        view_best(b, o->version, o->bests[i].distance_mm,
                  best_sign(o->bests[i].score, o->lower_is_better));
    }
    buf_str(b, "]");
}

void view_next(struct buf *b, const struct next *n)
{
    bool far = n->kind == NEXT_CLOSER || n->kind == NEXT_SAME || n->kind == NEXT_FURTHER;
    buf_printf(b, "\"next\":{\"kind\":\"%s\",\"value\":", next_kind_word(n->kind));
    view_int_or_null(b, n->kind == NEXT_SCORE, n->value);
    buf_str(b, ",\"distance_mm\":");
    view_int_or_null(b, far, n->distance_mm);
    buf_str(b, "}");
}
