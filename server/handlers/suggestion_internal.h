/* SPDX-License-Identifier: MIT
 * Between suggestion.c (JSON) and suggestion_words.c (sentences). */
#pragma once

#include "base/buf.h"
#include "store/results.h"

const char *suggestion_band(const struct band_words *words, int band);
/* One JSON string. */
void suggestion_sentence(struct buf *b, const struct suggestion *s, const struct band_words *words);
/* JSON strings, comma between. */
void suggestion_reasons(struct buf *b, const struct suggestion *s, const struct band_words *words);
