/* SPDX-License-Identifier: MIT
 * Gains: throws known, totals only, first to best, counts, measures. */
#include "assess/gain.h"
#include "take.h"

static _Alignas(16) unsigned char memory[ROOM_ENOUGH + WALL];

static void first_to_best(struct bytes *b, struct scoring s)
{
    int counts[3][SCORE_ZONES_MAX] = {{0}};
    int zones = s.kind == SCORE_SUCCESSES ? 2 : s.zones;
    double p;
    s.throws = take_int(b, 1, 3);
    for (int i = 0; i < 3; i++) {
        for (int k = 0; k < s.throws; k++) {
            counts[i][take_int(b, 0, zones - 1)]++;
        }
    }
    const struct gain_attempts a = {(const int (*)[SCORE_ZONES_MAX])counts, take_int(b, 0, 3),
                                    (int)take_int(b, -3, 60)};
    struct room w = take_room(b, memory, sizeof memory);
    if (gain_first_to_best(&s, &a, &w, &p)) {
        is_chance(p);
    }
    room_held(&w, 0);
}

static void sides(struct bytes *b, const struct scoring *s)
{
    struct outcome o[4];
    struct gain_tails t;
    struct gain_range range;
    size_t n = take_outcomes(b, s, o, 4), cut = (size_t)take_int(b, 0, (int)n);
    const struct gain_sides both = {{o, cut}, {o + cut, n - cut}};
    struct room w = take_room(b, memory, sizeof memory);
    if (gain_totals(s, &both, &w, &range, &t)) {
        is_chance(range.smallest);
        bool crosses;
        const struct gain_judged j = {range, t};
        MUST(*gain_category_word(gain_totals_category(s, &both, &j, &crosses)) != '\0');
        MUST(range.largest >= range.smallest && fabs(t.up - range.largest) < 1e-12);
    }
    room_held(&w, 0);
    if (n >= 2 && o[0].known && o[1].known && gain_throws(s, o[0].counts, o[1].counts, &w, &t)) {
        is_chance(t.up);
        is_chance(t.lo);
        is_chance(t.eq);
        is_chance(t.best);
        MUST(fabs(t.up + t.lo - t.eq - 1) < 1e-9);
        MUST(*gain_category_word(gain_category(s, &t, o[0].counts, o[1].counts)) != '\0');
    }
    room_held(&w, 0);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct bytes b = {data, size};
    struct scoring s = take_scoring(&b, false);
    double t;
    sides(&b, &s);
    first_to_best(&b, s);
    is_chance(gain_counts(take_any(&b) & INT64_MAX, take_int(&b, 1, 3600), take_any(&b) & INT64_MAX,
                          take_int(&b, 1, 3600)));
    const struct gain_counted c = {take_any(&b) & INT64_MAX, take_any(&b) & INT64_MAX,
                                   take_int(&b, 1, 3600), take_int(&b, 1, 3600)};
    MUST(*gain_category_word(gain_counts_category(&c)) != '\0');
    struct gain_means g = {take_double(&b), take_double(&b), take_int(&b, 1, 9), take_int(&b, 1, 9),
                           fabs(take_double(&b)), take_int(&b, 0, 500), fabs(take_double(&b)),
                           take_int(&b, 0, 60)};
    is_chance(gain_measure(&g, &t));
    MUST(!isnan(t));
    MUST(*gain_category_word(gain_measure_category(&g)) != '\0');
    MUST(*gain_category_word(gain_distance_category(take_share(&b), take_double(&b))) != '\0');
    return 0;
}
