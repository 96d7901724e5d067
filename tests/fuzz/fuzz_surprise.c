/* SPDX-License-Identifier: MIT
 * A new value against earlier ones. Earlier ones were stored, so they were possible. */
#include "assess/surprise.h"
#include "take.h"

static _Alignas(16) unsigned char memory[(1 << 20) + WALL];

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct bytes b = {data, size};
    struct scoring s = take_scoring(&b, take(&b) % 16 == 0);
    int64_t earlier[90];
    size_t n = (size_t)take_int(&b, 0, 90);
    if (take(&b) % 3 == 0) {
        s = scoring_empty(take(&b) % 4 ? SCORE_TIMED_COUNT : SCORE_MEASURE);
        s.seconds = take_int(&b, 1, 3600);
    }
    for (size_t i = 0; i < n; i++) {
        earlier[i] = s.kind == SCORE_ZONES || s.kind == SCORE_SUCCESSES
                         ? take_int(&b, 0, s.throws) : take_int(&b, 0, 8 * s.seconds);
    }
    struct room w = take_room(&b, memory, sizeof memory);
    is_chance(surprise_tail(&s, earlier, n, take_any(&b), &w));
    room_held(&w, 0);
    const struct band_spread sp = {take_int(&b, 0, 2), take(&b) & 1, take_int(&b, 1, 1000),
                                   take_int(&b, 0, 400) / 100.0, take_int(&b, 0, 600),
                                   take_int(&b, 0, 300) / 100.0};
    is_chance(surprise_measure(&sp, earlier, n, take_any(&b)));
    return 0;
}
