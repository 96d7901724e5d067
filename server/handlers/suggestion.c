/* SPDX-License-Identifier: MIT
 * A suggestion as JSON. What it says in words is in suggestion_words.c. */
#include "handlers/suggestion.h"

#include "base/clock.h"
#include "handlers/hand_in_view.h"
#include "suggestion_internal.h"

static const char *stat_word(enum band_stat s)
{
    return s == BAND_BEST ? "best" : s == BAND_MEAN ? "mean" : "middle";
}

static const char *silent_word(enum suggest_silent s)
{
    static const char *const words[] = {
        [SUGGEST_SAID] = NULL, [SUGGEST_NO_ATTEMPTS] = "no_attempts",
        [SUGGEST_NO_LINES] = "no_lines", [SUGGEST_UNKNOWN_TARGET] = "unknown_target",
        [SUGGEST_OWN_TARGET] = "own_target",
    };
    return words[s];
}

static void number(struct buf *b, double x)
{
    buf_printf(b, "%.6g", x);
}

static void how_sure(struct buf *b, const struct suggestion *s)
{
    const struct band_answer *a = &s->answer;
    buf_str(b, ",\"label\":");
    json_txt(b, a->known ? band_label_word(a->label) : NULL);
    buf_str(b, ",\"probability\":");
    if (!a->known) {
        buf_str(b, "null,\"probabilities\":[],\"span\":null,\"likelier\":null");
        return;
    }
    number(b, a->probs[s->band]);
    buf_str(b, ",\"probabilities\":[");
    for (int i = 0; i <= s->top_band; i++) {
        buf_str(b, i > 0 ? "," : "");
        number(b, a->probs[i]);
    }
    buf_printf(b, "],\"span\":[%d,%d],\"likelier\":", a->span_low, a->span_high);
    if (a->likelier >= 0) {
        buf_int(b, a->likelier);
    } else {
        buf_str(b, "null");
    }
}

void view_suggestion(struct buf *b, const struct suggestion *s, const struct band_words *words)
{
    buf_str(b, "{\"band\":");
    if (s->band >= 0) {
        buf_int(b, s->band);
    } else {
        buf_str(b, "null");
    }
    buf_str(b, ",\"word\":");
    json_txt(b, s->band >= 0 ? suggestion_band(words, s->band) : NULL);
    how_sure(b, s);
    buf_printf(b, ",\"statistic\":\"%s\",\"observed\":", stat_word(s->stat));
    if (s->band >= 0 && s->line_count == 1) {
        number(b, s->answer.observed);
    } else {
        buf_str(b, "null");
    }
    buf_str(b, ",\"sentence\":");
    suggestion_sentence(b, s, words);
    buf_str(b, ",\"reasons\":[");
    suggestion_reasons(b, s, words);
    buf_str(b, "],\"silent\":");
    json_txt(b, s->band >= 0 ? NULL : silent_word(s->silent));
    suggestion_parts(b, s, words);
    buf_str(b, "}");
}

void view_assessment(struct buf *b, const struct assessment *a)
{
    buf_str(b, "{\"unit\":");
    view_id(b, a->unit.v);
    buf_str(b, ",\"pupil\":");
    view_id(b, a->pupil.v);
    buf_printf(b, ",\"band\":%d,\"word\":", a->band);
    json_txt(b, a->word);
    buf_str(b, a->in_bulk ? ",\"in_bulk\":true,\"reason\":" : ",\"in_bulk\":false,\"reason\":");
    json_txt(b, a->reason);
    buf_str(b, ",\"by\":");
    json_txt(b, a->by_name);
    buf_str(b, ",\"on\":");
    view_day(b, clock_day(a->at));
    buf_str(b, a->shared_at != 0 ? ",\"shared\":true" : ",\"shared\":false");
    buf_str(b, ",\"suggestion\":");
    buf_str(b, a->suggestion != NULL ? a->suggestion : "null");
    buf_str(b, "}");
}
