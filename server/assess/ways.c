/* SPDX-License-Identifier: MIT
 * Compositions and multinomial coefficients in doubles: exact enough up to 170 throws. */
#include "ways_internal.h"

#include <math.h>

void points_of(const struct scoring *s, struct points *out)
{
    *out = (struct points){.n = 2, .p = {0, 1}, .cap = s->cap};
    if (s->kind != SCORE_SUCCESSES) {
        out->n = s->zones;
        for (int z = 0; z < s->zones; z++) {
            out->p[z] = s->points[z];
        }
    }
}

int points_earned(const struct points *pts, const int *counts)
{
    int sum = 0;
    for (int z = 0; z < pts->n; z++) {
        sum += pts->p[z] * counts[z];
    }
    return pts->cap > 0 && sum > pts->cap ? pts->cap : sum;
}

double ways_count(int n, int z)
{
    double x = 1;
    for (int i = 1; i < z; i++) {
        x = x * (n + i) / i;
    }
    return x;
}

void ways_first(int *c, int z, int n)
{
    for (int i = 0; i < z; i++) {
        c[i] = 0;
    }
    c[0] = n;
}

bool ways_next(int *c, int z)
{
    int i = 0;
    while (i < z && c[i] == 0) {
        i++;
    }
    if (i >= z - 1) {
        return false;
    }
    int moved = c[i];
    c[i] = 0;
    c[0] = moved - 1;
    c[i + 1]++;
    return true;
}

double factorial(int n)
{
    double x = 1;
    for (int i = 2; i <= n; i++) {
        x *= i;
    }
    return x;
}

double ways_orders(const int *c, int z, int n)
{
    double x = 1;
    int left = n;
    for (int i = 0; i < z; i++) {       /* product of binomials: never passes the result */
        int k = c[i] < left - c[i] ? c[i] : left - c[i];
        for (int j = 1; j <= k; j++) {
            x = x * (left - k + j) / j;
        }
        left -= c[i];
    }
    return round(x);
}
