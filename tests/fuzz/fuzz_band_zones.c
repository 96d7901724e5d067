/* SPDX-License-Identifier: MIT
 * "How sure" for zones and successes, from attempts that passed the check; now and then an activity
 * beyond the budget, and too little room. */
#include "take.h"

static _Alignas(16) unsigned char memory[ROOM_ENOUGH + WALL];

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct bytes b = {data, size};
    struct scoring s = take_scoring(&b, take(&b) % 32 == 0);
    struct band_rule r = take_rule(&b);
    struct outcome o[6];
    struct zones_table t;
    struct evidence e;
    struct band_answer a;
    size_t n = take_outcomes(&b, &s, o, 6);
    struct room w = take_room(&b, memory, sizeof memory);
    bool made = zones_table_make(&s, &r, &w, &t);
    size_t used = w.used;
    const struct zones_ask ask = {&s, &r, made ? &t : NULL};
    if (band_zones(&ask, (struct outcomes){o, n}, &w, &a)) {
        is_answer(&a, r.lines);
        MUST(made || !a.known);
    }
    room_held(&w, used);
    if (evidence_make(&s, (struct outcomes){o, n}, r.alpha, &w, &e)) {
        double sum = 0;
        MUST(e.n >= 1 && e.n <= EVIDENCE_MOST);
        for (size_t i = 0; i < e.n; i++) {
            int throws = 0;
            for (int z = 0; z < e.zones; z++) {
                MUST(e.u[i * (size_t)e.zones + (size_t)z] >= 0);
                throws += e.u[i * (size_t)e.zones + (size_t)z];
            }
            MUST(throws == e.throws);
            is_chance(e.weight[i]);
            sum += e.weight[i];
        }
        MUST(fabs(sum - 1) < 1e-9);
    }
    return 0;
}
