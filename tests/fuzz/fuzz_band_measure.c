/* SPDX-License-Identifier: MIT
 * "How sure" for measures, and what is borrowed from the class. */
#include "assess/spread.h"
#include "take.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct bytes b = {data, size};
    struct band_rule r = take_rule(&b);
    struct band_spread sp = {.scale = (enum band_scale)take_int(&b, 0, 2),
                             .lower_is_better = take(&b) % 2};
    struct spread_sum sum = {0};
    struct band_answer a;
    double x[8], y[8];
    size_t n = (size_t)take_int(&b, 0, 8);
    sp.resolution = take_int(&b, 0, 1000);
    for (size_t i = 0; sp.lower_is_better && i < r.lines; i++) {
        r.line[i] = -r.line[i] + 100;       /* easiest first: falling */
    }
    for (size_t i = 0; i < n; i++) {
        x[i] = take(&b) % 8 ? take_int(&b, 0, 60) : take_double(&b);
        y[i] = spread_scale(sp.scale, sp.lower_is_better, fabs(x[i]) + 1);
        MUST(isfinite(y[i]));
    }
    for (int k = take_int(&b, 0, 40); k > 0; k--) {
        spread_add(&sum, y, n);
        spread_pair(&sum, take_double(&b), n, n > 0 ? y[0] : 0, n);
    }
    spread_close(&sum, &sp);
    MUST(sp.s_w >= 0 && isfinite(sp.s_w) && sp.nu >= 0 && sp.rho >= 0.3 && sp.rho <= 1.5);
    if (take(&b) % 2) {
        sp.s_w = fabs(take_double(&b));
        sp.nu = take_int(&b, 0, 100000);
    }
    if (band_measure(&r, &sp, x, n, &a)) {
        MUST(n > 0);
        is_answer(&a, r.lines);
    }
    return 0;
}
