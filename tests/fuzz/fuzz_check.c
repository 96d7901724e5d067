/* SPDX-License-Identifier: MIT
 * What was typed: any scoring, any attempt. What passes can be stored and scored. */
#include "take.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct bytes b = {data, size};
    struct scoring s = take_scoring(&b, true);
    struct check_detail d;
    struct total_set set;
    unsigned kind = take(&b);
    if (kind % 3 == 0) {
        s.kind = kind % 2 ? SCORE_TIMED_COUNT : SCORE_MEASURE;
        s.seconds = take_int(&b, 0, 3600);
        s.resolution = take_int(&b, 0, 1000);
        int64_t *limit[] = {&s.hard_low, &s.hard_high, &s.soft_low, &s.soft_high};
        for (int i = 0; i < 4; i++) {
            *limit[i] = take(&b) % 2 ? take_any(&b) : SCORE_NO_LIMIT;
        }
    }
    s.distances = take_int(&b, 0, 3);
    for (int i = 0; i < s.distances; i++) {
        s.distances_mm[i] = take_int(&b, DISTANCE_LEAST_MM, DISTANCE_MOST_MM);
    }
    struct tried t = take_tried(&b, &s);
    enum check_result r = check_attempt(&s, &t, &d);
    MUST(r == CHECK_OK || r == CHECK_ASK || r == CHECK_REJECT);
    MUST(check_code_word(d.code) != NULL && (d.code != CHECK_NONE || r == CHECK_OK));
    MUST(d.nearest_count >= 0 && d.nearest_count <= 2 && d.throw_index >= 0);
    attainable_totals(&s, 0, &set);
    for (int i = 0; i < d.nearest_count; i++) {
        MUST(d.nearest[i] >= 0 && d.nearest[i] <= SCORE_TOTAL_MAX);
    }
    if (r == CHECK_REJECT) {
        return 0;
    }
    MUST(d.distance_mm == 0 ||
         (d.distance_mm >= DISTANCE_LEAST_MM && d.distance_mm <= DISTANCE_MOST_MM));
    if (s.kind == SCORE_ZONES || s.kind == SCORE_SUCCESSES) {
        struct outcome o;
        MUST(d.value >= 0 && d.value <= SCORE_TOTAL_MAX);
        MUST(d.part || attainable_has(&set, d.value));
        t.value = d.value;
        t.tries_used = d.tries_used;
        MUST(outcome_of(&s, &t, d.part, &o));
        MUST(o.throws >= 1 && o.throws <= SCORE_THROWS_MAX);
    } else {
        MUST(s.kind == SCORE_TIMED_COUNT ? d.value >= 0 : d.value > 0);
        MUST(s.hard_low == SCORE_NO_LIMIT || d.value >= s.hard_low);
        MUST(s.hard_high == SCORE_NO_LIMIT || d.value <= s.hard_high);
    }
    return 0;
}
