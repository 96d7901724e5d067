/* SPDX-License-Identifier: MIT
 * A suggestion taken apart: the strands with what each rests on and which of them decides, what the
 * missing ones could still make of it, and a line an activity. `lo` never stands without `hi`:
 * alone it would read as a low result. */
#include "base/mem.h"
#include "handlers/hand_in_view.h"
#include "suggestion_internal.h"

static void band_member(struct buf *b, const char *name, int band)
{
    buf_printf(b, "\"%s\":", name);
    if (band >= 0) {
        buf_int(b, band);
    } else {
        buf_str(b, "null");
    }
}

static void word_member(struct buf *b, const struct band_words *words, int band)
{
    buf_str(b, ",\"word\":");
    json_txt(b, band >= 0 ? suggestion_band(words, band) : NULL);
}

static const char *counted(void *ctx, size_t n, const char *one, const char *many)
{
    return mem_printf(ctx, "%zu %s", n, n == 1 ? one : many);
}

/* What was done: activities that can be placed, and what was seen of what was looked for. */
static const char *doing(void *ctx, const struct suggestion *s)
{
    size_t placed = 0;
    for (size_t i = 0; i < s->line_count; i++) {
        placed += s->lines[i].silent == SUGGEST_SAID;
    }
    const char *tries = placed > 0 ? counted(ctx, placed, "activity", "activities")
                                   : "no tries that can be placed";
    if (s->seen.of == 0) {
        return mem_printf(ctx, "%s; nothing looked for in lessons yet", tries);
    }
    return mem_printf(ctx, "%s; %d of %d teaching points seen%s", tries, s->seen.k, s->seen.of,
                      s->seen.of < s->rule.min_looked ? ", too few looked for to count" : "");
}

static const char *thinking(void *ctx, const struct suggestion *s)
{
    if (s->right.of == 0) {
        return "no questions answered yet";
    }
    return mem_printf(ctx, "%d of %d questions right%s", s->right.k, s->right.of,
                      s->right.of < s->rule.min_answered ? ", too few answered to count" : "");
}

static void strands(struct buf *b, void *ctx, const struct suggestion *s,
                    const struct band_words *words)
{
    static const char *const names[STRANDS] = {"doing", "thinking", "taking_part"};
    const char *evidence[STRANDS] = {
        doing(ctx, s), thinking(ctx, s),
        s->taking_part >= 0 ? "as recorded in lessons" : "not recorded from lessons yet",
    };
    buf_str(b, ",\"strands\":[");
    for (int i = 0; i < STRANDS; i++) {
        buf_printf(b, "%s{\"name\":\"%s\",", i > 0 ? "," : "", names[i]);
        band_member(b, "band", s->judged.strand[i]);
        word_member(b, words, s->judged.strand[i]);
        buf_str(b, ",\"evidence\":");
        json_txt(b, evidence[i]);
        buf_printf(b, ",\"decides\":%s}",
                   s->judged.band >= 0 && s->judged.decides[i] ? "true" : "false");
    }
    buf_str(b, "]");
}

static const char *policy_word(enum judge_policy p)
{
    return p == JUDGE_WEAKEST ? "weakest" : p == JUDGE_ALL_OF ? "all_of" : "majority";
}

static void bounds(struct buf *b, const struct suggestion *s)
{
    bool judged = s->judged.band >= 0;
    buf_printf(b, ",\"status\":\"%s\",", judge_status_word(s->judged.status));
    band_member(b, "lo", judged ? s->judged.lo : STRAND_MISSING);
    buf_str(b, ",");
    band_member(b, "hi", judged ? s->judged.hi : STRAND_MISSING);
    buf_printf(b, ",\"policy\":\"%s\",\"policy_sentence\":", policy_word(s->rule.policy));
    json_txt(b, suggestion_policy(s));
}

/* Observed against a repeat. */
static const char *remark(void *ctx, const struct suggestion *s, const struct band_words *words)
{
    if (s->band < 0 || !s->answer.known || s->answer.likelier < 0) {
        return NULL;
    }
    return mem_printf(ctx, "What was made reaches \xE2\x80\x9C%s\xE2\x80\x9D; another day would "
                      "more often give \xE2\x80\x9C%s\xE2\x80\x9D.",
                      suggestion_band(words, s->band), suggestion_band(words, s->answer.likelier));
}

struct about {
    const struct suggestion *s;
    const struct band_words *words;
};

static void line(struct buf *b, void *ctx, const struct about *of, const struct suggest_line *l)
{
    bool said = l->silent == SUGGEST_SAID;
    buf_str(b, "{\"activity\":{\"id\":");
    view_id(b, l->activity->id.v);
    buf_str(b, ",\"name\":");
    json_txt(b, l->activity->name);
    buf_printf(b, "},\"version\":\"%s\",", version_kind_word(l->version->kind));
    buf_str(b, "\"step_mm\":");
    if (l->step_mm > 0) {
        buf_int(b, l->step_mm);
    } else {
        buf_str(b, "null");
    }
    buf_printf(b, ",\"attempts\":%zu,\"hand_ins\":%zu,\"observed\":", l->attempts, l->hand_ins);
    if (said) {
        buf_printf(b, "%.6g,", l->answer.observed);
    } else {
        buf_str(b, "null,");
    }
    band_member(b, "band", said ? l->answer.band : STRAND_MISSING);
    word_member(b, of->words, said ? l->answer.band : STRAND_MISSING);
    buf_str(b, ",\"label\":");
    json_txt(b, said && l->answer.known ? band_label_word(l->answer.label) : NULL);
    buf_str(b, ",\"own_target\":");
    json_txt(b, l->silent == SUGGEST_OWN_TARGET ? own_target_word(l->own_target) : NULL);
    buf_str(b, ",\"sentence\":");
    json_txt(b, suggestion_line(ctx, of->s, of->words, l));
    buf_str(b, "}");
}

void suggestion_parts(struct buf *b, const struct suggestion *s, const struct band_words *words)
{
    void *ctx = talloc_new(b->ctx);
    const struct about of = {s, words};
    strands(b, ctx, s, words);
    bounds(b, s);
    buf_str(b, ",\"remark\":");
    json_txt(b, remark(ctx, s, words));
    buf_str(b, ",\"lines\":[");
    for (size_t i = 0; i < s->line_count; i++) {
        buf_str(b, i > 0 ? "," : "");
        line(b, ctx, &of, &s->lines[i]);
    }
    buf_str(b, "]");
    talloc_free(ctx);
}
