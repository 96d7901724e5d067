/* SPDX-License-Identifier: MIT
 * A class at one challenge, in one sentence, a few notes and five numbers that belong to nobody.
 * Figures (ICC, typical error) are there only when the school has turned them on. */
#include <math.h>

#include "base/mem.h"
#include "handlers/hand_in_view.h"
#include "results_internal.h"
#include "store/class_view.h"

static const char *sentence_of(const struct class_view *v)
{
    static const char *const words[] = {
        [TELLS_FEW] = "Whether this challenge tells children apart cannot be said yet: there are "
                      "fewer than 10 children with tries to compare.",
        [TELLS_NOTHING] = "Whether this challenge tells children apart cannot be said: there is "
                          "nothing in the tries to judge by.",
        [TELLS_ALIKE] = "The children are alike here, so there is little to tell apart; that is "
                        "not the activity\xE2\x80\x99s fault.",
        [TELLS_NOT] = "This challenge does not tell children apart dependably: one "
                      "child\xE2\x80\x99s own results differ nearly as much as the children do.",
        [TELLS_ROUGHLY] = "This challenge tells children apart roughly.",
        [TELLS_DEPENDABLY] = "This challenge tells children apart dependably.",
    };
    return words[v->tells];
}

static const char *widths_words(double w)
{
    return w < 0.375 ? "about a quarter of a band"
           : w < 0.625 ? "about half a band"
           : w < 0.875 ? "about three quarters of a band"
           : w < 1.25 ? "about a whole band" : "more than a whole band";
}

static const char *where_words(void *ctx, const struct class_view *v)
{
    const char *from = v->step_mm > 0 ? mem_printf(ctx, " from %g m", v->step_mm / 1000.0) : "";
    static const char *const kinds[] = {
        [VERSION_STANDARD] = "standard version", [VERSION_QUIET] = "quiet version",
        [VERSION_SEATED] = "seated version", [VERSION_NO_KIT] = "version without kit",
    };
    return mem_printf(ctx, "%s%s", kinds[v->kind], from);
}

/* The class's own interval, in words: would the other end of it be another sentence? */
static bool could_be_less(const struct class_view *v)
{
    return v->tells >= TELLS_ROUGHLY &&
           group_dependable(v->lower, v->pupils) < group_dependable(v->upper, v->pupils);
}

struct notes {
    struct buf *b;
    size_t n;
};

static void note(struct notes *t, const char *words)
{
    buf_str(t->b, t->n++ > 0 ? "," : "");
    json_txt(t->b, words);
}

static void view_notes(struct buf *b, const struct class_view *v)
{
    void *ctx = talloc_new(b->ctx);
    struct notes t = {b, 0};
    bool judged = v->tells != TELLS_FEW && v->tells != TELLS_NOTHING;
    buf_str(b, ",\"notes\":[");
    if (v->n > 0) {
        note(&t, mem_printf(ctx, "About the %s, where most were: %zu %s.", where_words(ctx, v),
                            v->n, v->n == 1 ? "child" : "children"));
    }
    if (judged) {
        note(&t, v->between ? "Judged between two hand-ins of the same children."
                            : "Judged on the tries of one day, which look steadier than they are: "
                              "another day differs more.");
    }
    if (could_be_less(v)) {
        note(&t, mem_printf(ctx, "With %zu children that is not certain: it may be less.",
                            v->pupils));
    }
    if (judged && v->has_width) {
        note(&t, mem_printf(ctx, "One child\xE2\x80\x99s own tries usually differ by %s.",
                            widths_words(v->widths)));
    }
    if (v->has_sure && v->n > 0) {
        note(&t, mem_printf(ctx, "On average another day would give the same band about %d times "
                            "in 10.", (int)lround(v->how_sure * 10)));
    }
    if (v->kept > 0) {
        note(&t, "How sure is said without the children you have been asked for a second view of.");
    }
    buf_str(b, "]");
    talloc_free(ctx);
}

static void member(struct buf *b, const char *name, double x)
{
    buf_printf(b, ",\"%s\":%.6g", name, x);
}

static void view_five(struct buf *b, const struct class_view *v)
{
    static const char *const stats[] = {
        [BAND_MIDDLE] = "middle", [BAND_BEST] = "best", [BAND_MEAN] = "mean",
    };
    buf_str(b, ",\"five_numbers\":");
    if (!v->has_five) {
        buf_str(b, "null");
        return;
    }
    buf_printf(b, "{\"statistic\":\"%s\",\"version\":\"%s\",\"distance_mm\":", stats[v->stat],
               version_kind_word(v->kind));
    buf_printf(b, v->step_mm > 0 ? "%d" : "null", (int)v->step_mm);
    buf_printf(b, ",\"n\":%zu", v->n);
    member(b, "min", v->five.min);
    member(b, "q1", v->five.q1);
    member(b, "median", v->five.median);
    member(b, "q3", v->five.q3);
    member(b, "max", v->five.max);
    member(b, "mean", v->five.mean);
    buf_str(b, "}");
}

static void number_or_null(struct buf *b, const char *name, bool known, double x)
{
    if (known) {
        member(b, name, x);
    } else {
        buf_printf(b, ",\"%s\":null", name);
    }
}

static void view_figures(struct buf *b, const struct class_view *v, const struct activity *a)
{
    bool icc = v->has_icc && v->tells != TELLS_FEW;
    buf_printf(b, "{\"judged\":\"%s\",\"pupils\":%zu", v->between ? "between_hand_ins" : "same_day",
               v->pupils);
    number_or_null(b, "icc_one", icc, group_icc_shown(v->icc_one));
    number_or_null(b, "icc_together", icc, group_icc_shown(v->icc_together));
    number_or_null(b, "lower", icc, group_icc_shown(v->lower));
    number_or_null(b, "upper", icc, group_icc_shown(v->upper));
    number_or_null(b, "typical_error", v->has_error, v->typical_error);
    buf_printf(b, ",\"typical_error_unit\":\"%s\"",
               v->relative ? "share" : value_unit_word(a->unit));
    number_or_null(b, "band_widths", v->has_width, v->widths);
    number_or_null(b, "how_sure", v->has_sure, v->how_sure);
    buf_str(b, "}");
}

enum err sheet_class_view(struct sheet *s, const struct sheet_class *c, struct class_id cls)
{
    struct class_view v;
    const struct class_view_ask ask = {&c->r, &c->year, s->activity, s->challenge.id,
                                         &s->blind};
    enum err e = class_view_of(s->rq->store, s->rq->mem, &ask, &v);
    struct buf *b = &s->views;
    if (e != OK) {
        return e;
    }
    buf_str(b, b->len > 0 ? ",{\"class\":{\"id\":" : "{\"class\":{\"id\":");
    view_id(b, cls.v);
    buf_str(b, ",\"name\":");
    for (size_t i = 0; i < s->challenge.class_count; i++) {
        if (s->challenge.classes[i].id.v == cls.v) {
            json_txt(b, s->challenge.classes[i].name);
        }
    }
    buf_printf(b, "},\"tells\":\"%s\",\"sentence\":", class_tells_word(v.tells));
    json_txt(b, sentence_of(&v));
    view_notes(b, &v);
    buf_printf(b, ",\"participation\":{\"made\":%zu,\"set\":%zu,\"could_not\":%zu}", v.made, v.set,
               v.could_not);
    view_five(b, &v);
    buf_str(b, ",\"figures\":");
    if (s->school.class_figures) {
        view_figures(b, &v, s->activity);
    } else {
        buf_str(b, "null");
    }
    buf_str(b, "}");
    return OK;
}
