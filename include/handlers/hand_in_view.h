/* SPDX-License-Identifier: MIT
 * Hand-ins, bests and lines as the API shows them: the one place where their members are named. */
#pragma once

#include <stdbool.h>
#include <stddef.h>

#include "assess/best.h"
#include "assess/next.h"
#include "base/buf.h"
#include "base/err.h"
#include "http/request.h"
#include "store/bests.h"
#include "store/hand_in_marks.h"
#include "store/hand_ins.h"

struct hand_in_view {
    const struct hand_in *h;
    const struct hand_in_mark_list *marks;  /* not NULL: staff see it (received_at, marks) */
    bool hide_best;                         /* help: entered it, and gets no best back */
};
/* The members, without braces, and as a whole object. */
void view_hand_in_members(struct buf *b, const struct hand_in_view *v);
void view_hand_in(struct buf *b, const struct hand_in_view *v);

void view_id(struct buf *b, int64_t id);            /* "123" in quotes */
void view_day(struct buf *b, int32_t day);          /* "2026-03-06" in quotes */
void view_at(struct buf *b, int64_t at);            /* RFC 3339 in quotes */
void view_int_or_null(struct buf *b, bool present, int64_t v);
/* {"version","distance_mm","value"} */
void view_best(struct buf *b, struct version_id version, int32_t distance_mm, int64_t value);

/* What a hand-in changed, and what to try next. */
enum { OUTLOOK_BESTS = 16 };
struct outlook {
    bool has_status;                    /* it counts (since a fresh start) and has a whole try */
    enum best_status status;
    int64_t value;                      /* of the attempt the status is about */
    int32_t distance_mm;                /* 0: none */
    bool has_before;
    int64_t before;                     /* best until then: at that distance, else at any */
    struct version_id version;
    struct mark bests[OUTLOOK_BESTS];   /* at each distance, score signed, this one counted */
    size_t best_count;
    bool lower_is_better;
    struct next next;
};

struct outlook_ask {
    const struct activity *activity;
    const struct hand_in *h;
    const struct hand_in_list *history; /* the pupil's of this activity this year; may hold h */
};
/* Only what arrived before h is looked at, so a repeat is answered alike; and only what was done
 * since the pupil's fresh start. */
enum err outlook_of(struct request *rq, const struct outlook_ask *ask,
                    struct outlook *out) MUST_USE;
/* "own_best":{..} or "own_best":null (has no status), "bests":[..], "next":{..} */
void view_own_best(struct buf *b, const struct outlook *o);
void view_bests(struct buf *b, const struct outlook *o);
void view_next(struct buf *b, const struct next *n);

/* What only a child's and a family's page say of a line. */
struct line_words {
    const char *meaning;        /* NULL: without that member */
    int32_t since_day;          /* the fresh start from which the line counts; 0: the whole year */
    const char **met;           /* teaching points, as line_met found them */
    size_t met_count;
};
/* Teaching points that the child said at the latest hand-in and not at the first, into out->met. */
enum err line_met(struct store *st, void *ctx, const struct best_line *line,
                  struct line_words *out) MUST_USE;
/* A line as /me/bests shows it; `w` NULL: without what it holds. */
void view_line(struct buf *b, const struct best_line *line, const struct line_words *w);
/* Best over a line: false when it has no whole attempt. */
bool line_best(const struct best_line *line, int64_t *value, int32_t *distance_mm);
/* The whole attempts of a line, oldest first; *out on ctx. Returns how many. */
size_t line_marks(void *ctx, const struct best_line *line, struct mark **out);
