/* SPDX-License-Identifier: MIT
 * Between suggestion.c and suggestion_parts.c (JSON) and suggestion_words.c (sentences). */
#pragma once

#include "base/buf.h"
#include "store/results.h"

const char *suggestion_band(const struct band_words *words, int band);
/* One JSON string. */
void suggestion_sentence(struct buf *b, const struct suggestion *s, const struct band_words *words);
/* JSON strings, comma between. */
void suggestion_reasons(struct buf *b, const struct suggestion *s, const struct band_words *words);
/* One activity's evidence in a sentence, and the unit's rule in one. On ctx, or a literal. */
const char *suggestion_line(void *ctx, const struct suggestion *s, const struct band_words *words,
                            const struct suggest_line *l);
const char *suggestion_policy(const struct suggestion *s);
/* ,"strands":[..],"status":..,"lo":..,"hi":..,"policy":..,"policy_sentence":..,"remark":..,
 * "lines":[..] */
void suggestion_parts(struct buf *b, const struct suggestion *s, const struct band_words *words);
