/* SPDX-License-Identifier: MIT
 * A class as a whole: any numbers, any table. */
#include "assess/group.h"
#include "take.h"

enum { PUPILS = 12, TRIES = 4 };

static void is_icc(double x)
{
    MUST(isfinite(x) && x <= 1 + 1e-9);
}

static void spread_of(struct bytes *b)
{
    double x[PUPILS * TRIES];
    size_t n = (size_t)take_int(b, 0, PUPILS), k = (size_t)take_int(b, 0, TRIES), count[PUPILS];
    struct icc_balanced c;
    struct icc_unbalanced u;
    struct five_numbers f;
    bool small = take(b) % 4;
    for (size_t i = 0; i < n * k; i++) {
        x[i] = small ? take_int(b, 0, 9) : take_double(b);
    }
    for (size_t i = 0; i < n; i++) {
        count[i] = (size_t)take_int(b, 0, (int)k);
    }
    if (group_icc_balanced(x, n, k, &c)) {
        is_icc(c.icc1);
        is_icc(c.icc1k);
        is_icc(c.icc3);
        is_icc(c.icc3k);
        MUST(isfinite(c.lower) && isfinite(c.upper) && c.typical_error >= 0);
        MUST(group_icc_shown(c.icc3) >= 0 && group_dependable(c.icc3, n) <= GROUP_DEPENDABLY);
    }
    if (group_icc_unbalanced(x, count, n, &u)) {
        is_icc(u.icc1);
        is_icc(u.icc1k);
        double low, high, k2 = take_int(b, 1, 9);
        group_icc1_limits(&u, n, &low, &high);
        MUST(!u.judged || (isfinite(low) && isfinite(high)));
        MUST(u.icc1 < 0 || isfinite(group_icc_together(u.icc1, k2)));
        MUST(u.typical_error >= 0 && u.df >= 1 && isfinite(u.k0));
    }
    MUST(group_five_numbers(x, n * k, &f) == (n * k > 0));
    if (n * k > 0) {
        MUST(f.min <= f.q1 && f.q1 <= f.median && f.median <= f.q3 && f.q3 <= f.max);
        MUST(isfinite(f.mean));
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct bytes b = {data, size};
    struct kappa_table t = {.k = take_int(&b, 0, KAPPA_MAX + 1)};
    struct kappa k;
    t.weights = (enum kappa_weights)take_int(&b, 0, 3);
    for (int i = 0; i < t.k && i < KAPPA_MAX; i++) {
        for (int j = 0; j < t.k && j < KAPPA_MAX; j++) {
            t.n[i][j] = take(&b) % 3 ? 0 : take_int(&b, 0, 100000);
            t.w[i][j] = i == j ? 1 : take_share(&b);
        }
    }
    if (group_kappa(&t, &k)) {
        is_chance(k.observed);
        is_chance(k.expected);
        MUST(!k.defined || (isfinite(k.kappa) && k.kappa <= 1 + 1e-9));
        MUST(!k.defined || (isfinite(k.ase) && k.ase >= 0));
    }
    spread_of(&b);
    return 0;
}
