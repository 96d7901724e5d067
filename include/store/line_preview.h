/* SPDX-License-Identifier: MIT
 * How a class's last tries at an activity would fall under band lines that a teacher is trying out.
 * Counts only: no child is named, and nothing is stored. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/err.h"
#include "base/ids.h"
#include "store/challenges.h"
#include "store/second_views.h"
#include "store/suggest.h"
#include "store/units.h"

enum { LINE_PREVIEW_BANDS = BAND_LINES_MAX + 1 };

struct line_preview_ask {
    const struct activity *activity;        /* its newest revision */
    const struct activity_version *lines;   /* of that kind, with the lines to try */
    struct class_id cls;
    int32_t today;
    size_t bands;                           /* the school's band words */
    bool has_statistic;                     /* else the unit's own */
    enum unit_statistic statistic;
    const struct second_blind_list *blind;  /* left out, so that no count tells; may be NULL */
};

struct line_score { double value; size_t count; };

struct line_preview {
    bool found;                     /* the class has tries there; else all of the rest is empty */
    bool changed;                   /* !found: it has, but they were scored another way */
    struct unit unit;               /* the latest with tries of this class at this activity */
    struct challenge challenge;     /* its latest one with tries */
    int32_t last_day;               /* the latest day one was done */
    size_t kept;                    /* with tries, left out for a second view not given yet */
    size_t pupils;                  /* the others with tries that count, whatever version */
    size_t placed;                  /* of them in a band */
    size_t elsewhere;               /* tries from another distance, or not known from where */
    size_t other_version;           /* another version, or no whole try */
    size_t band[LINE_PREVIEW_BANDS];
    size_t label[BAND_SURE + 1];    /* of those placed; the rest: how sure cannot be said */
    size_t unknown;
    struct line_score *scores;      /* the statistic of those placed, lowest value first */
    size_t score_count;
};

/* Pools what the class did in the latest unit, as the unit's end does. All of it on ctx. */
enum err line_preview(struct store *st, void *ctx, const struct line_preview_ask *ask,
                      struct line_preview *out) MUST_USE;
