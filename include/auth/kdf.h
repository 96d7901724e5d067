/* SPDX-License-Identifier: MIT
 * Two threads for slow hashes, behind two queues of 16: sign-ins can never occupy the event loops,
 * and memory for hashing is bounded by two at once. Strangers (a browser that does not know the
 * account) have a queue and one thread; a flood of them never keeps the others waiting. */
#pragma once

#include <stdbool.h>

#include "base/err.h"

struct kdf_pool;

enum { KDF_THREADS = 2, KDF_QUEUE = 16 };
enum kdf_lane { KDF_KNOWN, KDF_STRANGER, KDF_LANES };

enum err kdf_start(void *ctx, struct kdf_pool **out) MUST_USE;
/* Runs fn(arg) and then done(arg) on a pool thread. False: queue full or stopping; nothing was
 * queued: answer ERR_BUSY with Retry-After 3. */
bool kdf_submit(struct kdf_pool *p, enum kdf_lane lane, void (*fn)(void *), void (*done)(void *),
                void *arg);
/* Runs what is queued, then joins. NULL is fine. */
void kdf_stop(struct kdf_pool *p);
