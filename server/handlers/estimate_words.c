/* SPDX-License-Identifier: MIT
 * Every estimate says ESTIMATE, from where it was worked out and what it assumes. */
#include "estimate_words.h"

#include <math.h>

#include "base/mem.h"
#include "value_words.h"

static void steps_words(struct buf *b, int32_t low, int32_t high, const char *between)
{
    metres_words(b, low);
    if (high != low) {
        buf_str(b, between);
        metres_words(b, high);
    }
}

static const char *band_word(const struct estimate *e, const struct band_words *words)
{
    return e->band >= 0 && (size_t)e->band < words->n ? words->word[e->band] : NULL;
}

static void sentence(struct buf *b, const struct estimate *e, const char *band)
{
    struct buf t;
    long mean = lround(e->mean);
    buf_init(&t, b->ctx);
    buf_str(&t, "ESTIMATE for ");
    metres_words(&t, e->distance_mm);
    buf_printf(&t, ": about %ld point%s, usually %d to %d. Worked out from throws at ", mean,
               mean == 1 ? "" : "s", e->lo, e->hi);
    steps_words(&t, e->from_low_mm, e->from_high_mm, " to ");
    buf_str(&t, "; assumes the same target and that misses grow with distance.");
    if (band != NULL) {
        buf_printf(&t, " It would point to \xE2\x80\x9C%s\xE2\x80\x9D (estimate).", band);
    }
    json_txt(b, t.data);
}

void view_estimate(struct buf *b, const struct estimate *e, const struct band_words *words)
{
    const char *band = band_word(e, words);
    if (e->why != ESTIMATE_TOLD) {
        buf_str(b, "null");
        return;
    }
    buf_str(b, "{\"sentence\":");
    sentence(b, e, band);
    buf_printf(b, ",\"distance_mm\":%d,\"mean\":%.1f,\"lo\":%d,\"hi\":%d,\"would_point_to\":",
               (int)e->distance_mm, e->mean, e->lo, e->hi);
    json_txt(b, band);
    buf_str(b, ",\"label\":");
    json_txt(b, band != NULL ? band_label_word(e->label) : NULL);
    buf_str(b, "}");
}

void view_estimate_silent(struct buf *b, const struct estimate *e)
{
    struct buf t;
    buf_init(&t, b->ctx);
    switch (e->why) {
    case ESTIMATE_NO_SIZE:
        buf_str(&t, "The size of the target at home is not known, or differs, so nothing is "
                    "worked out for another distance.");
        break;
    case ESTIMATE_NO_DISTANCE:
        buf_str(&t, "Of some tries it is not known from where, so nothing is worked out for "
                    "another distance.");
        break;
    case ESTIMATE_FEW:
    case ESTIMATE_FAR:
        buf_str(&t, e->why == ESTIMATE_FEW ? "Too few throws for an estimate: try once from "
                                           : "Too far from there for an estimate: try once from ");
        steps_words(&t, e->near_mm != 0 ? e->near_mm : e->distance_mm,
                    e->far_mm != 0 ? e->far_mm : e->distance_mm, " to ");
        buf_str(&t, " and it can be told.");
        break;
    default:
        buf_str(b, "null");
        return;
    }
    json_txt(b, t.data);
}
