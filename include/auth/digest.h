/* SPDX-License-Identifier: MIT
 * A plain hash for telling contents apart. Not for secrets: those have keyed hashes. */
#pragma once

#include <stddef.h>
#include <stdint.h>

/* BLAKE2b-256. */
void digest32(const void *p, size_t n, uint8_t out[static 32]);
