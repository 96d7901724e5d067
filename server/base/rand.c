/* SPDX-License-Identifier: MIT
 * The program's only source of randomness.
 *
 * Owns: libsodium's start and, for demo and tests, the reproducible stream: block n of it is
 * randombytes_buf_deterministic() under the key (seed, n), so a call never repeats another's bytes.
 * Invariants: without rand_reproducible() every byte is the system's; there is no way back from it
 * within a process. A start of libsodium that fails ends the process: nothing may run on guesses.
 * Mutable file-scope state: set before threads start, then only the counter moves, atomically.
 */
#include "base/rand.h"

#include <pthread.h>
#include <sodium.h>
#include <stdatomic.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

#include "base/log.h"

static pthread_once_t started = PTHREAD_ONCE_INIT;
static bool reproducible;
static uint64_t stream_seed;
static _Atomic uint64_t stream_block;

static void start(void)
{
    if (sodium_init() < 0) {
        log_event(LOG_ERROR, "rand", "what=sodium_init");
        abort();
    }
}

void rand_reproducible(uint64_t seed)
{
    stream_seed = seed;
    atomic_store(&stream_block, 0);
    reproducible = true;
}

void rand_bytes(void *out, size_t n)
{
    pthread_once(&started, start);
    if (!reproducible) {
        randombytes_buf(out, n);
        return;
    }
    unsigned char key[randombytes_SEEDBYTES] = {0};
    uint64_t block = atomic_fetch_add(&stream_block, 1);
    for (size_t i = 0; i < 8; i++) {
        key[i] = (unsigned char)(stream_seed >> (8 * i));
        key[8 + i] = (unsigned char)(block >> (8 * i));
    }
    randombytes_buf_deterministic(out, n, key);
}

static uint64_t draw(size_t bytes)
{
    unsigned char b[8];
    rand_bytes(b, bytes);
    uint64_t v = 0;
    for (size_t i = 0; i < bytes; i++) {
        v |= (uint64_t)b[i] << (8 * i);     /* little-endian everywhere: same ids from a seed */
    }
    return v;
}

uint32_t rand_below(uint32_t n)
{
    if (n < 2) {
        return 0;
    }
    /* 2^32 mod n values at the bottom would be favoured: draw again when one comes. */
    const uint32_t skip = (uint32_t)(-n) % n;
    uint32_t v;
    do {
        v = (uint32_t)draw(4);
    } while (v < skip);
    return v % n;
}

int64_t rand_id(void)
{
    uint64_t v;
    do {
        v = draw(8) >> 2;
    } while (v < UINT64_C(1) << 53);
    return (int64_t)v;
}
