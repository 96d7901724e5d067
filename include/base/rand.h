/* SPDX-License-Identifier: MIT
 * The program's only source of randomness (libsodium behind it). */
#pragma once

#include <stddef.h>
#include <stdint.h>

void rand_bytes(void *out, size_t n);
uint32_t rand_below(uint32_t n);    /* uniform in [0, n) */
int64_t rand_id(void);              /* uniform in [2^53, 2^62): a new object's id */

/* From here on a reproducible stream; only `thrice demo` and tests call it, before any thread
 * starts. Secrets that must stay secret (master.key) are drawn before the call. */
void rand_reproducible(uint64_t seed);
