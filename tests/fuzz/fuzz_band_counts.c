/* SPDX-License-Identifier: MIT
 * "How sure" for counts in a time. */
#include "take.h"

static _Alignas(16) unsigned char memory[(1 << 20) + WALL];

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct bytes b = {data, size};
    struct band_rule r = take_rule(&b);
    struct band_answer a;
    int64_t c[8];
    size_t n = (size_t)take_int(&b, 0, 8);
    for (size_t i = 0; i < n; i++) {
        c[i] = take_any(&b) & INT64_MAX;
    }
    r.m_new = take(&b) % 16 == 0 ? take_int(&b, -1, 30) : r.m_new;
    struct room w = take_room(&b, memory, sizeof memory);
    if (band_counts(&r, c, n, &w, &a)) {
        is_answer(&a, r.lines);
    } else {
        MUST(n == 0 || r.m_new < 1 || w.size < n * sizeof(double) + 16);
    }
    room_held(&w, 0);
    struct counts_table t;
    struct band_answer by;
    if (counts_table_make(&r, &w, &t)) {
        size_t used = w.used;
        if (band_counts_by(&r, &t, (struct tallies){c, n}, &w, &by)) {
            is_answer(&by, r.lines);
            if (by.known && a.known) {
                same_answer(&a, &by, r.lines);
            }
        }
        room_held(&w, used);
    }
    return 0;
}
