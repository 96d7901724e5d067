/* SPDX-License-Identifier: MIT
 * "What the tries point to" and the teacher's assessment as JSON and in plain words: the one place
 * where probabilities become sentences. */
#pragma once

#include "base/buf.h"
#include "store/assessments.h"
#include "store/results.h"
#include "store/school.h"

/* A whole object, every member there, unknown ones null. */
void view_suggestion(struct buf *b, const struct suggestion *s, const struct band_words *words);

/* A whole object; the suggestion is the one that was shown when it was decided. */
void view_assessment(struct buf *b, const struct assessment *a);

/* Said with every suggestion. */
extern const char suggestion_note[];
