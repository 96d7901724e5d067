/* SPDX-License-Identifier: MIT
 * Chance for the simulation: generator and draws, kept apart from the server's own (which is for
 * secrets and cannot be seeded). */
#include <math.h>

#include "sim.h"

static uint64_t splitmix(uint64_t *x)
{
    uint64_t z = *x += UINT64_C(0x9E3779B97F4A7C15);
    z = (z ^ z >> 30) * UINT64_C(0xBF58476D1CE4E5B9);
    z = (z ^ z >> 27) * UINT64_C(0x94D049BB133111EB);
    return z ^ z >> 31;
}

void rng_seed(struct rng *r, const char *stream)
{
    uint64_t x = sim.seed * UINT64_C(0x100000001B3) + UINT64_C(0xCBF29CE484222325);
    for (const char *c = stream; *c != '\0'; c++) {     /* FNV-1a */
        x = (x ^ (unsigned char)*c) * UINT64_C(0x100000001B3);
    }
    *r = (struct rng){.has_spare = false};
    for (int i = 0; i < 4; i++) {
        r->s[i] = splitmix(&x);
    }
}

static uint64_t turn(uint64_t x, int k)
{
    return x << k | x >> (64 - k);
}

static uint64_t next(struct rng *r)
{
    uint64_t *s = r->s, out = turn(s[1] * 5, 7) * 9, t = s[1] << 17;
    s[2] ^= s[0];
    s[3] ^= s[1];
    s[1] ^= s[2];
    s[0] ^= s[3];
    s[2] ^= t;
    s[3] = turn(s[3], 45);
    return out;
}

double rng_unit(struct rng *r)
{
    return ((double)(next(r) >> 11) + 0.5) / 9007199254740992.0;
}

int rng_below(struct rng *r, int n)
{
    return (int)(rng_unit(r) * n);
}

double rng_normal(struct rng *r)
{
    if (r->has_spare) {
        r->has_spare = false;
        return r->spare;
    }
    double x, y, s;
    do {                                                /* Marsaglia's polar method */
        x = 2 * rng_unit(r) - 1;
        y = 2 * rng_unit(r) - 1;
        s = x * x + y * y;
    } while (s >= 1);
    s = sqrt(-2 * log(s) / s);
    r->spare = y * s;
    r->has_spare = true;
    return x * s;
}

double rng_gamma(struct rng *r, double shape)
{
    if (shape < 1) {
        return rng_gamma(r, shape + 1) * pow(rng_unit(r), 1 / shape);
    }
    double d = shape - 1.0 / 3, c = 1 / sqrt(9 * d);    /* Marsaglia and Tsang (2000) */
    for (;;) {
        double x = rng_normal(r), v = 1 + c * x;
        v = v * v * v;
        if (v > 0 && log(rng_unit(r)) < x * x / 2 + d - d * v + d * log(v)) {
            return d * v;
        }
    }
}

double rng_student(struct rng *r, int df)
{
    double z = rng_normal(r);
    return z / sqrt(2 * rng_gamma(r, df / 2.0) / df);
}

int rng_poisson(struct rng *r, double mean)
{
    double limit = exp(-mean), p = rng_unit(r);         /* by products: the means are small */
    int k = 0;
    while (p > limit) {
        p *= rng_unit(r);
        k++;
    }
    return k;
}

int rng_binomial(struct rng *r, int n, double p)
{
    int k = 0;
    for (int i = 0; i < n; i++) {
        k += rng_unit(r) < p;
    }
    return k;
}

void tally_add(struct tally *t, double x)
{
    t->n += 1;
    t->sum += x;
    t->square += x * x;
}

double tally_mean(const struct tally *t)
{
    return t->n > 0 ? t->sum / t->n : NAN;
}

double tally_error(const struct tally *t)
{
    double mean = tally_mean(t);
    return t->n > 1 ? sqrt(fmax(0, t->square / t->n - mean * mean) / (t->n - 1)) : 0;
}
