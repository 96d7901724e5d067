/* SPDX-License-Identifier: MIT
 * What a gain says. One fixed sentence a category and one a silence; no number leaves here but two
 * dates. "Lower" is for the teacher, and names what may differ; nobody's effort is judged. */
#include "gain_words.h"

#include "base/mem.h"
#include "handlers/hand_in_view.h"

static const char *label_of(const struct gain *g)
{
    static const char *const words[] = {
        [GAIN_SILENT] = "cannot be told", [GAIN_CLEAR] = "a clear gain",
        [GAIN_LIKELY] = "probably a gain", [GAIN_UP_LUCK] = "higher, usual ups and downs",
        [GAIN_SAME] = "the same as at first",
        [GAIN_DOWN_LUCK] = "a little lower, usual ups and downs",
        [GAIN_LOWER] = "lower than at first",
    };
    if (g->why == GAIN_ONE_HAND_IN) {
        return "nothing earlier";
    }
    return words[g->category];
}

static const char *silence_of(enum gain_why why)
{
    static const char *const words[] = {
        [GAIN_NO_HAND_IN] = "No tries that count yet.",
        [GAIN_ONE_HAND_IN] = "One hand-in so far: nothing earlier to compare it with. Within one "
                             "hand-in the best grows by luck alone, too.",
        [GAIN_NOT_COMPARABLE] = "The earlier tries were another version or scored in another way, "
                                "so they are not compared. Silence is not \xE2\x80\x9Cno "
                                "progress\xE2\x80\x9D.",
        [GAIN_TOO_FEW] = "Not enough throws to tell: even a perfect result could not show a gain. "
                         "Silence is not \xE2\x80\x9Cno progress\xE2\x80\x9D.",
        [GAIN_NO_SPREAD] = "Not enough tries of the class yet to know how much tries vary, so it "
                           "cannot be told. Silence is not \xE2\x80\x9Cno progress\xE2\x80\x9D.",
        [GAIN_DISTANCE] = "The first tries and the latest are from different distances, or it is "
                          "not known from where, so they are not compared. Silence is not "
                          "\xE2\x80\x9Cno progress\xE2\x80\x9D.",
        [GAIN_UNKNOWN_TARGET] = "The first tries and the latest are from different distances, and "
                                "the size of the target at home is not known, so they are not "
                                "compared. Silence is not \xE2\x80\x9Cno progress\xE2\x80\x9D.",
    };
    return words[why];
}

static const char *estimate_of(enum gain_category c)
{
    switch (c) {
    case GAIN_LIKELY:
        return "ESTIMATE across distances: probably a gain. It assumes the stated target and that "
               "misses grow with distance.";
    case GAIN_UP_LUCK:
        return "ESTIMATE across distances: closer to the aim, within the usual ups and downs.";
    case GAIN_DOWN_LUCK:
        return "ESTIMATE across distances: further from the aim, within the usual ups and downs.";
    default:
        return "ESTIMATE across distances: about the same.";
    }
}

static const char *sentence_of(const struct gain *g)
{
    static const char *const words[] = {
        [GAIN_SILENT] = "Not enough throws to tell.",
        [GAIN_CLEAR] = "A clear gain: luck alone would give this less than about 1 time in 20, "
                       "ordinary day-to-day change included.",
        [GAIN_LIKELY] = "Probably a gain; luck alone gives this about 1 time in 7 to 10.",
        [GAIN_UP_LUCK] = "Higher, within the usual ups and downs.",
        [GAIN_SAME] = "The same as at first.",
        [GAIN_DOWN_LUCK] = "A little lower, within the usual ups and downs.",
        [GAIN_LOWER] = "Lower than at first; kit, place or distance may differ.",
    };
    if (g->why != GAIN_TOLD) {
        return silence_of(g->why);
    }
    return g->estimate ? estimate_of(g->category) : words[g->category];
}

static void sentence(struct buf *b, const struct gain *g)
{
    char *more = mem_printf(b->ctx, "%s%s", sentence_of(g),
                            !g->crosses ? "" : " Of some tries only the totals are known; with "
                                               "their throws it might say more.");
    json_txt(b, more);
    talloc_free(more);
}

static void day_or_null(struct buf *b, int32_t day)
{
    if (day == 0) {
        buf_str(b, "null");
    } else {
        view_day(b, day);
    }
}

void view_gain(struct buf *b, const struct gain *g)
{
    buf_printf(b, "{\"category\":\"%s\",\"label\":", gain_category_word(g->category));
    json_txt(b, label_of(g));
    buf_str(b, ",\"sentence\":");
    sentence(b, g);
    buf_str(b, ",\"silent\":");
    json_txt(b, gain_why_word(g->why));
    buf_printf(b, ",\"estimate\":%s,\"crosses\":%s,\"first_on\":",
               g->estimate && g->why == GAIN_TOLD ? "true" : "false",
               g->crosses ? "true" : "false");
    day_or_null(b, g->first_day);
    buf_str(b, ",\"latest_on\":");
    day_or_null(b, g->latest_day);
    buf_str(b, "}");
}
