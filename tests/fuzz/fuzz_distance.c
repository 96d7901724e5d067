/* SPDX-License-Identifier: MIT
 * The distance-fair estimate: targets and throws of any kind that a form lets in. */
#include "assess/distance.h"
#include "take.h"

static _Alignas(16) unsigned char memory[(1 << 20) + WALL];

static struct aim take_aim(struct bytes *b)
{
    struct aim a = {.zones = take_int(b, 0, 3), .throws = take_int(b, 1, 6),
                    .kappa = take(b) % 2 ? 1 : 1.5, .lapse = take(b) % 4 ? 0.02 : take_share(b)};
    for (int z = 0; z < a.zones; z++) {
        a.points[z] = take_int(b, 0, 10);
        a.rect[z] = (struct aim_rect){take_share(b) - .5, take_share(b) - .5, take_share(b) - .5,
                                      take_share(b) - .5};
    }
    return a;
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct bytes b = {data, size};
    struct aim a = take_aim(&b);
    struct band_rule r = take_rule(&b);
    struct aim_attempt t[3] = {{0}};
    struct aim_posterior p;
    struct aim_prediction out;
    double mean, sd, sum = 0, far = take_int(&b, 0, 30000) / 1000.0;
    size_t n = (size_t)take_int(&b, 0, 3);
    for (size_t i = 0; i < n; i++) {
        t[i].distance = take_int(&b, 0, 30000) / 1000.0;
        t[i].known = take(&b) % 2;
        t[i].total = take_int(&b, -1, 70);
        for (int k = 0; k < a.throws; k++) {
            t[i].counts[take_int(&b, 0, a.zones)]++;
        }
    }
    struct room w = take_room(&b, memory, sizeof memory);
    if (!aim_learn(&a, t, n, &w, &p)) {
        room_held(&w, 0);
        return 0;
    }
    aim_another_day(&p, take_share(&b));
    for (int g = 0; g < AIM_GRID; g++) {
        is_chance(p.w[g]);
        sum += p.w[g];
    }
    MUST(fabs(sum - 1) < 1e-9);
    aim_moments(&p, &mean, &sd);
    MUST(isfinite(mean) && isfinite(sd));
    is_chance(aim_hit(&a, &p, far));
    is_chance(aim_closer_now(&p, &p, 0.1));
    if (aim_predict(&a, &p, &(struct aim_at){far, &r}, &w, &out)) {
        MUST(out.mean >= 0 && out.lo >= 0 && out.lo <= out.hi && out.mean <= 10.0 * a.throws + 1e-6);
        for (size_t i = 0; i < r.lines; i++) {
            is_chance(out.tails[i]);
        }
    }
    room_held(&w, 0);
    struct aim_tables tables;
    struct aim_posterior plain, by;
    double from[3];
    for (size_t i = 0; i < n; i++) {
        from[i] = t[i].distance = round(t[i].distance * 20) / 20;     /* tables are to 5 cm */
    }
    w = (struct room){.base = memory, .size = sizeof memory - WALL};
    const struct aim_at at = {far, &r};
    if (take(&b) % 8 == 0 && aim_tables_make(&a, &at, (struct aim_places){from, n}, &w, &tables)) {
        size_t used = w.used;
        bool learnt = aim_learn_by(&tables, t, n, &by) && aim_learn(&a, t, n, &w, &plain);
        for (int g = 0; learnt && g < AIM_GRID; g++) {
            MUST(fabs(by.w[g] - plain.w[g]) < 1e-9);
        }
        aim_predict_by(&tables, &p, &out);
        MUST(out.mean >= 0 && out.lo >= 0 && out.lo <= out.hi);
        for (size_t i = 0; i < r.lines; i++) {
            is_chance(out.tails[i]);
        }
        MUST(w.used == used);
    }
    (void)aim_usable(t, n, a.throws, far);
    return 0;
}
