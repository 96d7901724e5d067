/* SPDX-License-Identifier: MIT
 * Plain words for families. Three tries are few, so a line is told as it is (first, best, how
 * often) and no more: whether a gain is more than luck is the teacher's to judge. */
#include "family_internal.h"

#include "assess/attainable.h"
#include "assess/best.h"
#include "base/buf.h"
#include "base/clock.h"
#include "handlers/hand_in_view.h"
#include "value_words.h"

enum { STEPS = 8 };

static void value_at(struct buf *b, const struct activity *a, struct mark m)
{
    value_words(b, a->unit, best_sign(m.score, a->lower_is_better));
    if (m.distance_mm > 0) {
        buf_str(b, " from ");
        metres_words(b, m.distance_mm);
    }
}

/* Nothing, from one distance, is no best to speak of where there is another. Keeps the order. */
static size_t leave_out_nothing(struct mark *steps, size_t k)
{
    size_t n = 0;
    for (size_t i = 0; i < k; i++) {
        if (steps[i].score != 0) {
            steps[n++] = steps[i];
        }
    }
    return n > 0 ? n : k;
}

static void bests(struct buf *b, const struct activity *a, const struct mark *marks, size_t n)
{
    struct mark steps[STEPS];
    size_t k = best_by_step(marks, n, steps, STEPS);
    k = k < STEPS ? k : STEPS;
    size_t some = leave_out_nothing(steps, k);
    buf_str(b, " Own best so far: ");
    for (size_t i = 0; i < some; i++) {
        buf_str(b, i == 0 ? "" : i + 1 < some ? ", " : " and ");
        value_at(b, a, steps[i]);
    }
    buf_str(b, ".");
    if (k == 1) {
        struct best_story story;
        best_tell(marks, n, &story);
        if (story.gain > 0) {
            buf_str(b, " The first score was ");
            value_words(b, a->unit, best_sign(story.first, a->lower_is_better));
            buf_str(b, ".");
        }
    }
}

static void since_words(struct buf *b, int32_t day)
{
    static const char *const months[] = {
        "January", "February", "March", "April", "May", "June", "July", "August", "September",
        "October", "November", "December",
    };
    char s[11];
    clock_day_print(day, s);            /* yyyy-mm-dd */
    int month = (s[5] - '0') * 10 + (s[6] - '0'), of_month = (s[8] - '0') * 10 + (s[9] - '0');
    buf_printf(b, " since %d %s %.4s.", of_month, months[month - 1], s);
}

const char *family_meaning(void *ctx, const struct best_line *line, int32_t since_day)
{
    struct buf b;
    buf_init(&b, ctx);
    if (line->n == 1) {
        buf_str(&b, "Sent once");
    } else {
        buf_printf(&b, "Sent %zu times", line->n);
    }
    if (since_day != 0) {
        since_words(&b, since_day);
    } else {
        buf_str(&b, " this school year.");
    }
    struct mark *marks = NULL;
    size_t n = line_marks(ctx, line, &marks);
    if (n > 0) {
        bests(&b, line->activity, marks, n);
        if (line->activity->lower_is_better) {
            buf_str(&b, " Here a smaller number is better.");
        }
        buf_str(&b, " Numbers go up and down from try to try, and from day to day.");
    }
    return b.data;
}

const char *family_next_words(void *ctx, const struct activity *a, const struct next *n)
{
    struct buf b;
    buf_init(&b, ctx);
    switch (n->kind) {
    case NEXT_SCORE:
        buf_str(&b, "Try for ");
        value_words(&b, a->unit, n->value);
        buf_str(&b, ".");
        break;
    case NEXT_CLOSER:
        buf_str(&b, "Stand or sit ");
        metres_words(&b, n->distance_mm);
        buf_str(&b, " from the target.");
        break;
    case NEXT_SAME:
        buf_str(&b, "Stay ");
        metres_words(&b, n->distance_mm);
        buf_str(&b, " from the target and try again.");
        break;
    case NEXT_FURTHER:
        buf_str(&b, "If there is room, stand or sit ");
        metres_words(&b, n->distance_mm);
        buf_str(&b, " from the target.");
        break;
    case NEXT_AGAIN:
        buf_str(&b, "See if it works again, or choose another activity.");
        break;
    default:
        return NULL;
    }
    return b.data;
}
