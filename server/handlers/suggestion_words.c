/* SPDX-License-Identifier: MIT
 * A suggestion in words that need no statistics: how often another day would give the same, out of
 * ten. Every sentence is fixed but for numbers, the school's band words and activity names; none
 * says "worse", and none names a reason for a result, because Thrice knows none. */
#include <math.h>
#include <stdarg.h>
#include <stdio.h>

#include "base/mem.h"
#include "handlers/suggestion.h"
#include "suggestion_internal.h"

const char suggestion_note[] =
    "Thrice does not know the kit, the help or who is youngest in the year.";

struct telling {
    struct buf *b;
    void *ctx;                  /* texts in the making */
    const struct suggestion *s;
    const struct band_words *words;
    size_t said;
};

static void say(struct telling *t, const char *fmt, ...) __attribute__((format(printf, 2, 3)));
static void say(struct telling *t, const char *fmt, ...)
{
    va_list ap;
    va_start(ap, fmt);
    char *text = talloc_vasprintf(t->ctx, fmt, ap);
    va_end(ap);
    buf_str(t->b, t->said++ > 0 ? "," : "");
    json_txt(t->b, text);
}

const char *suggestion_band(const struct band_words *words, int band)
{
    return band >= 0 && (size_t)band < words->n ? words->word[band] : "";
}

static const char *band(const struct telling *t, int b)
{
    return suggestion_band(t->words, b);
}

/* "about 7 times in 10" */
static const char *times_in_ten(void *ctx, double p)
{
    int n = (int)lround(p * 10);
    if (n >= 10) {
        return "nearly every time";
    }
    return n <= 0 ? "hardly ever"
                  : mem_printf(ctx, "about %d time%s in 10", n, n == 1 ? "" : "s");
}

static const char *silence(enum suggest_silent why, size_t waiting)
{
    switch (why) {
    case SUGGEST_NO_LINES:
        return "The school has set no band lines for the version that was done, so nothing is "
               "suggested.";
    case SUGGEST_UNKNOWN_TARGET:
        return "The band lines belong to one distance. The tries are from elsewhere, or it is not "
               "known from where, so nothing is suggested.";
    case SUGGEST_OWN_TARGET:
        return "The version that was done has an own target instead of band lines, so no band is "
               "suggested.";
    default:
        return waiting > 0 ? "What came in waits for a check, so nothing is suggested yet."
                           : "No whole try has come in yet. That says nothing about what the child "
                             "can do.";
    }
}

static const char *sentence(void *ctx, const struct suggestion *s, const struct band_words *words)
{
    const struct band_answer *a = &s->answer;
    const char *word = suggestion_band(words, s->band);
    if (s->band < 0) {
        return silence(s->silent, s->waiting);
    }
    if (!a->known) {
        return mem_printf(ctx, "The tries reach \xE2\x80\x9C%s\xE2\x80\x9D. How sure that is "
                          "cannot be said yet: it takes more tries of the class to know how much "
                          "they vary.", word);
    }
    if (a->label == BAND_NOT_ENOUGH) {
        return mem_printf(ctx, "The tries are not enough to place this child. Another day would "
                          "most likely give anything from \xE2\x80\x9C%s\xE2\x80\x9D to "
                          "\xE2\x80\x9C%s\xE2\x80\x9D.", suggestion_band(words, a->span_low),
                          suggestion_band(words, a->span_high));
    }
    bool more = s->judged.band >= 0;
    const char *to = a->label == BAND_LEANING ? (more ? "leans towards" : "lean towards")
                                              : (more ? "points to" : "point to");
    return mem_printf(ctx, "%s %s \xE2\x80\x9C%s\xE2\x80\x9D. If they did it again another day, "
                      "%s they would land in the same band.",
                      more ? "All that is known" : "The tries", to, word,
                      times_in_ten(ctx, a->probs[s->band]));
}

void suggestion_sentence(struct buf *b, const struct suggestion *s, const struct band_words *words)
{
    void *ctx = talloc_new(b->ctx);
    json_txt(b, sentence(ctx, s, words));
    talloc_free(ctx);
}

/* A whole number plainly, a mean with one digit. */
static const char *plain(void *ctx, double x)
{
    return fabs(x - round(x)) < 1e-9 ? mem_printf(ctx, "%.0f", x) : mem_printf(ctx, "%.1f", x);
}

static const char *figure_words(void *ctx, enum value_unit unit, double x)
{
    switch (unit) {
    case VALUE_MS:
        return mem_printf(ctx, "%.*f s", fabs(x - 100 * round(x / 100)) < 1e-6 ? 1 : 2, x / 1000);
    case VALUE_MM:
        return x >= 1000 ? mem_printf(ctx, "%.2f m", x / 1000)
                         : mem_printf(ctx, "%s cm", plain(ctx, x / 10));
    default:
        return plain(ctx, x);
    }
}

static const char *lines_words(void *ctx, const struct suggest_line *l)
{
    const char *out = "";
    size_t n = l->version->band_line_count;
    for (size_t i = 0; i < n; i++) {
        const char *join = i == 0 ? "" : i + 1 == n ? " and " : ", ";
        out = mem_printf(ctx, "%s%s%s", out, join,
                         figure_words(ctx, l->activity->unit, (double)l->version->band_lines[i]));
    }
    return out;
}

static const char *name_words(void *ctx, const struct suggest_line *l)
{
    static const char *const versions[] = {
        [VERSION_STANDARD] = "", [VERSION_QUIET] = ", quiet version",
        [VERSION_SEATED] = ", seated version", [VERSION_NO_KIT] = ", version without kit",
    };
    const char *from = l->step_mm > 0
                           ? mem_printf(ctx, ", from %s m", plain(ctx, l->step_mm / 1000.0))
                           : "";
    return mem_printf(ctx, "%s%s%s", l->activity->name,
                      l->version != NULL ? versions[l->version->kind] : "", from);
}

static const char *count_words(void *ctx, size_t n, const char *one, const char *many)
{
    return mem_printf(ctx, "%zu %s", n, n == 1 ? one : many);
}

static const char *target_words(void *ctx, enum value_unit unit, double x)
{
    const char *figure = figure_words(ctx, unit, x);
    return unit == VALUE_POINTS ? mem_printf(ctx, "%s point%s", figure, x == 1 ? "" : "s") : figure;
}

/* "Mat slide, seated version: own target 8 points. The middle try reaches it: met." */
static const char *own_target_words(void *ctx, const struct suggestion *s,
                                    const struct suggest_line *l)
{
    static const char *const stats[] = {
        [BAND_MIDDLE] = "The middle try", [BAND_BEST] = "The best try",
        [BAND_MEAN] = "The average of the tries",
    };
    static const char *const states[] = {
        [OWN_TARGET_NONE] = "It cannot be compared.",
        [OWN_TARGET_NOT_YET] = "No try reaches it: not yet.",
        [OWN_TARGET_NEARLY] = "At least one try reaches it: nearly.",
        [OWN_TARGET_MET] = "",
    };
    const char *name = name_words(ctx, l);
    const char *goal = target_words(ctx, l->activity->unit, (double)l->version->own_target.v);
    if (l->own_target == OWN_TARGET_MET) {
        return mem_printf(ctx, "%s: own target %s. %s reaches it: met.", name, goal,
                          stats[s->stat]);
    }
    return mem_printf(ctx, "%s: own target %s. %s", name, goal, states[l->own_target]);
}

const char *suggestion_line(void *ctx, const struct suggestion *s, const struct band_words *words,
                            const struct suggest_line *l)
{
    static const char *const stats[] = {
        [BAND_MIDDLE] = "the middle one is", [BAND_BEST] = "the best one is",
        [BAND_MEAN] = "their average is",
    };
    const char *name = name_words(ctx, l);
    if (l->silent == SUGGEST_NO_LINES) {
        return mem_printf(ctx, "%s: %s made; the school has set no band lines for this version.",
                          name, count_words(ctx, l->attempts, "whole try", "whole tries"));
    }
    if (l->silent == SUGGEST_OWN_TARGET) {
        return own_target_words(ctx, s, l);
    }
    if (l->silent == SUGGEST_UNKNOWN_TARGET) {
        return mem_printf(ctx, "%s: no tries from there, or it is not known from where; the band "
                          "lines belong to that distance.", name);
    }
    if (l->silent == SUGGEST_NO_ATTEMPTS) {
        return mem_printf(ctx, "%s: no whole try yet.", name);
    }
    return mem_printf(ctx, "%s: %s in %s; %s %s. The school's lines are %s, so that is "
                      "\xE2\x80\x9C%s\xE2\x80\x9D.", name,
                      count_words(ctx, l->attempts, "try", "tries"),
                      count_words(ctx, l->hand_ins, "hand-in", "hand-ins"), stats[s->stat],
                      figure_words(ctx, l->activity->unit, l->answer.observed),
                      lines_words(ctx, l), suggestion_band(words, l->answer.band));
}

static void say_line(struct telling *t, const struct suggest_line *l)
{
    const char *name = name_words(t->ctx, l);
    say(t, "%s", suggestion_line(t->ctx, t->s, t->words, l));
    if (l->fewer) {
        say(t, "%s: fewer tries than asked in one hand-in. That lowers nothing; it only makes it "
            "less sure.", name);
    }
    if (l->parts > 0) {
        say(t, "%s: %s with fewer throws than asked; used for how sure, not for the band.", name,
            count_words(t->ctx, l->parts, "try was", "tries were"));
    }
}

static void say_strands(struct telling *t)
{
    const struct suggestion *s = t->s;
    const struct judgement *j = &s->judged;
    if (s->seen.of >= s->rule.min_looked) {
        say(t, "Seen in lessons: %d of the %d teaching points looked for, so that is "
            "\xE2\x80\x9C%s\xE2\x80\x9D.", s->seen.k, s->seen.of, band(t, j->cue_band));
    } else if (s->seen.of > 0) {
        say(t, "Fewer than %d teaching points were looked for, so they do not count yet. Not "
            "looked for is not the same as not seen.", s->rule.min_looked);
    }
    if (s->right.of >= s->rule.min_answered) {
        say(t, "Thinking: %d of %d questions right, so that is \xE2\x80\x9C%s\xE2\x80\x9D.",
            s->right.k, s->right.of, band(t, j->strand[STRAND_THINKING]));
    } else if (s->right.of > 0) {
        say(t, "Fewer than %d questions were answered, so they do not count yet.",
            s->rule.min_answered);
    }
    if (s->taking_part >= 0) {
        say(t, "Taking part, as recorded in lessons: \xE2\x80\x9C%s\xE2\x80\x9D.",
            band(t, s->taking_part));
    }
}

/* A provisional result has two strands of three: one is missing, and it can be any. */
static const char *missing_words(const struct judgement *j)
{
    if (j->strand[STRAND_PHYSICAL] < 0) {
        return "doing";
    }
    return j->strand[STRAND_THINKING] < 0 ? "thinking" : "taking part";
}

const char *suggestion_policy(const struct suggestion *s)
{
    static const char *const rules[] = {
        [JUDGE_WEAKEST] = "The unit's rule: the lowest of what is known counts.",
        [JUDGE_MAJORITY] = "The unit's rule: what two of doing, thinking and taking part reach.",
        [JUDGE_ALL_OF] = "The unit's rule: doing, thinking and taking part must all reach a band.",
    };
    return rules[s->rule.policy];
}

static void say_judgement(struct telling *t)
{
    static const char *const strands[STRANDS] = {"doing", "thinking", "taking part"};
    const struct judgement *j = &t->s->judged;
    if (j->band < 0) {
        return;
    }
    say(t, "%s", suggestion_policy(t->s));
    for (int i = 0; i < STRANDS; i++) {
        if (j->decides[i]) {
            say(t, "What decides is %s: one band higher there would raise the result.", strands[i]);
        }
    }
    if (j->status == JUDGE_PROVISIONAL) {
        say(t, "Once %s is known it could be \xE2\x80\x9C%s\xE2\x80\x9D to "
            "\xE2\x80\x9C%s\xE2\x80\x9D.", missing_words(j), band(t, j->lo), band(t, j->hi));
    }
}

static void say_how_sure(struct telling *t)
{
    const struct band_answer *a = &t->s->answer;
    if (t->s->band < 0 || !a->known) {
        return;
    }
    if (a->label == BAND_NOT_ENOUGH) {
        say(t, "What was made reaches \xE2\x80\x9C%s\xE2\x80\x9D; another day would give that %s.",
            band(t, t->s->band), times_in_ten(t->ctx, a->probs[t->s->band]));
    }
    if (a->likelier >= 0) {
        say(t, "Another day would more often give \xE2\x80\x9C%s\xE2\x80\x9D.",
            band(t, a->likelier));
    }
}

static size_t lines_said(const struct suggestion *s)
{
    size_t n = 0;
    for (size_t i = 0; i < s->line_count; i++) {
        n += s->lines[i].silent == SUGGEST_SAID;
    }
    return n;
}

void suggestion_reasons(struct buf *b, const struct suggestion *s, const struct band_words *words)
{
    struct telling t = {.b = b, .ctx = talloc_new(b->ctx), .s = s, .words = words};
    for (size_t i = 0; i < s->line_count; i++) {
        say_line(&t, &s->lines[i]);
    }
    if (lines_said(s) > 1) {
        say(&t, "Of several activities the middle band counts: \xE2\x80\x9C%s\xE2\x80\x9D.",
            band(&t, s->judged.activity_band));
    }
    say_strands(&t);
    say_judgement(&t);
    say_how_sure(&t);
    if (s->waiting > 0) {
        say(&t, "%s for a check, not counted until then.",
            s->waiting == 1 ? "One hand-in waits"
                            : mem_printf(t.ctx, "%zu hand-ins wait", s->waiting));
    }
    say(&t, "%s", suggestion_note);
    talloc_free(t.ctx);
}
