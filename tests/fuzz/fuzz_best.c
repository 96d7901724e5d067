/* SPDX-License-Identifier: MIT
 * Own bests of any marks: every verdict is one of them, the best is among the marks. */
#include "assess/best.h"
#include "take.h"

enum { MARKS = 24 };

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct bytes b = {data, size};
    struct mark m[MARKS] = {{0}}, steps[MARKS], top;
    struct best_story story;
    enum best_status s;
    size_t n = (size_t)take_int(&b, 0, MARKS), at, room = (size_t)take_int(&b, 0, MARKS);
    bool any = take(&b) % 8 == 0;
    for (size_t i = 0; i < n; i++) {
        m[i].distance_mm = any ? (int32_t)take_any(&b) : take_int(&b, 0, DISTANCE_MOST_MM);
        m[i].score = any ? take_any(&b) / 2 : take_int(&b, 0, 40);
    }
    MUST(best_of(m, n, &top, &at) == (n > 0));
    for (size_t i = 0; i < n; i++) {
        MUST(top.score >= m[i].score);
        s = best_status(m, i, m[i], SAME_STEP_MM);
        MUST((s == BEST_FIRST) == (i == 0) && *best_status_word(s) != '\0');
    }
    size_t used = best_by_step(m, n, steps, room);
    MUST(used <= room && used <= n);
    for (size_t i = 1; i < used; i++) {
        MUST(steps[i].distance_mm >= steps[i - 1].distance_mm);
    }
    best_tell(m, n, &story);
    MUST(story.gain >= 0 && story.beaten >= 0 && story.last_new < n + (n == 0));
    MUST(n == 0 || (story.best == top.score && story.first == m[0].score));
    size_t cut = (size_t)take_int(&b, 0, (int)n);
    const struct marks before = {m, cut}, now = {m + cut, n - cut};
    MUST(best_of_hand_in(before, now, &s, &at) == (now.n > 0));
    MUST(now.n == 0 || at < now.n);
    return 0;
}
