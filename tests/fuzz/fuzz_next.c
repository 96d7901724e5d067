/* SPDX-License-Identifier: MIT
 * What to try next: nothing beyond a limit, whatever is known of the child. */
#include "assess/distance.h"
#include "assess/next.h"
#include "take.h"

static _Alignas(16) unsigned char memory[ROOM_ENOUGH + WALL];

static void next_place(struct bytes *b, struct scoring *s)
{
    int32_t farthest = 0;
    struct next n;
    s->distances = take_int(b, 0, 5);
    for (int i = 0; i < s->distances; i++) {
        s->distances_mm[i] = take_int(b, DISTANCE_LEAST_MM, DISTANCE_MOST_MM);
        farthest = s->distances_mm[i] > farthest ? s->distances_mm[i] : farthest;
    }
    struct next_from f = {
        .has_best = take(b) % 2, .best = take_any(b), .hold = take(b) % 2,
        .distance_mm = take(b) % 4 ? take_int(b, DISTANCE_LEAST_MM, DISTANCE_MOST_MM) : 0,
        .space_mm = take(b) % 2 ? take_int(b, DISTANCE_LEAST_MM, DISTANCE_MOST_MM) : 0,
        .throws = take_int(b, 0, 300),
    };
    f.scored = take_int(b, 0, f.throws);
    next_challenge(s, &f, &n);
    MUST(*next_kind_word(n.kind) != '\0' && n.distance_mm >= 0);
    MUST(n.distance_mm <= farthest + SAME_STEP_MM);
    MUST(f.space_mm == 0 || n.distance_mm <= f.space_mm);
    MUST(n.kind != NEXT_FURTHER || (!f.hold && n.distance_mm > f.distance_mm && f.throws >= 5));
    if (n.kind == NEXT_SCORE && s->kind != SCORE_MEASURE) {
        MUST(n.value > f.best);
    }
}

static void next_step(struct bytes *b)
{
    static const double steps[] = {2, 3, 4, 5, 6};
    enum aim_reason why;
    double hits[5];
    struct aim_step_ask k = {.steps = steps, .n = take_int(b, 1, 5), .target = take_share(b),
                             .dead_band = take_share(b), .throws_here = take_int(b, 0, 20),
                             .space = take_int(b, 0, 8), .block_up = take(b) % 2};
    k.current = take_int(b, 0, k.n - 1);
    for (int i = 0; i < 5; i++) {
        hits[i] = take_share(b);
    }
    int to = aim_next_step(&k, hits, &why);
    MUST(to >= 0 && to < k.n && *aim_reason_word(why) != '\0');
    MUST(to <= k.current || (!k.block_up && (k.space <= 0 || steps[to] <= k.space + 1e-9)));
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct bytes b = {data, size};
    struct scoring s = take_scoring(&b, false);
    struct outcome o[4];
    struct outcomes all = {o, take_outcomes(&b, &s, o, 4)};
    struct next_aim aim, by;
    struct next_tables tables;
    next_step(&b);
    struct room w = take_room(&b, memory, sizeof memory);
    s.throws = s.throws > 4 ? 4 : s.throws;
    const struct next_ask ask = {&s, &all, take_int(&b, 1, 3), take_int(&b, -1, 90)};
    bool made = next_tables_make(&s, ask.m, &w, &tables);
    bool told = made && next_total_by(&tables, &ask, &w, &by);
    w.used = 0;
    if (next_total(&ask, &w, &aim)) {
        struct total_set set;
        attainable_totals(&s, 0, &set);
        is_chance(aim.p_next);
        is_chance(aim.p_today);
        if (told) {
            MUST(by.next == aim.next && by.today == aim.today);
            MUST(fabs(by.p_next - aim.p_next) < 1e-9 && fabs(by.p_today - aim.p_today) < 1e-9);
        }
        MUST(aim.next == -1 || attainable_has(&set, aim.next));
        MUST(aim.today == -1 || attainable_has(&set, aim.today));
    }
    room_held(&w, 0);
    if (take(&b) % 3 == 0) {
        s.kind = take(&b) % 2 ? SCORE_MEASURE : SCORE_TIMED_COUNT;
        s.resolution = take_int(&b, 0, 1000);
        s.seconds = take_int(&b, 0, 3600);
        s.lower_is_better = s.kind == SCORE_MEASURE && take(&b) % 2;
    }
    next_place(&b, &s);
    return 0;
}
