/* SPDX-License-Identifier: MIT
 * Seeded numbers for tests (splitmix64: S. Vigna, public domain, from memory). The seed is printed
 * and may be given in THRICE_SEED, so that a failure can be seen again. */
#pragma once

#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>

static uint64_t draw_state;

static inline uint64_t draw_seed(uint64_t usual)
{
    const char *given = getenv("THRICE_SEED");
    draw_state = given != NULL ? strtoull(given, NULL, 10) : usual;
    printf("# seed %llu\n", (unsigned long long)draw_state);
    return draw_state;
}

static inline uint64_t draw_bits(void)
{
    uint64_t z = draw_state += UINT64_C(0x9E3779B97F4A7C15);
    z = (z ^ (z >> 30)) * UINT64_C(0xBF58476D1CE4E5B9);
    z = (z ^ (z >> 27)) * UINT64_C(0x94D049BB133111EB);
    return z ^ (z >> 31);
}

/* low..high, both possible */
static inline int draw_int(int low, int high)
{
    return low + (int)(draw_bits() % (uint64_t)(high - low + 1));
}

/* low <= x < high */
static inline double draw_double(double low, double high)
{
    return low + (high - low) * (double)(draw_bits() >> 11) / 9007199254740992.0;
}
