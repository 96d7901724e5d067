/* SPDX-License-Identifier: MIT
 * Same bytes, same hash: how a repeated hand-in is known from a different one under the same id. */
#include "auth/digest.h"

#include <sodium.h>

void digest32(const void *p, size_t n, uint8_t out[static 32])
{
    crypto_generichash(out, 32, p, n, NULL, 0);
}
