/* SPDX-License-Identifier: MIT
 * Staff passphrases and the phrase of a two-part family card: Argon2id. The functions marked slow
 * take a tenth of a second and 32 MiB: in the server they run on a KDF thread (route.slow) only. */
#pragma once

#include <stdbool.h>
#include <stddef.h>

#include "base/err.h"

enum { PASSPHRASE_MIN = 12, PASSPHRASE_MAX = 128, PASSPHRASE_HASH = 128, PASSPHRASE_WORDS = 64 };

/* Slow. libsodium's string, NUL-terminated. 32 MiB and 3 passes; 19 MiB and 2 where the machine
 * has under 1 GiB, or with THRICE_KDF=floor in the environment (tests). */
enum err passphrase_hash(const char *text, size_t n, char out[static PASSPHRASE_HASH]) MUST_USE;
/* Slow. */
bool passphrase_verify(const char *hash, const char *text, size_t n);
/* True: right, but made with other costs than today's; hash again while the text is at hand. */
bool passphrase_is_stale(const char *hash);

/* NULL: fine to choose. Else a problem code: "too_short", "too_long", "common", "own_words" (the
 * school's, the product's or the account's name with little else). `school` and `name` may be
 * NULL. Bytes count; nothing is trimmed or changed. */
const char *passphrase_refusal(const char *text, size_t n, const char *school, const char *name);

/* Four random words with hyphens, for the office to hand over ("plum-kettle-orbit-sand"). About
 * 36 bits: it must be changed at the first sign-in, and the throttle guards it until then. */
void passphrase_words(char out[static PASSPHRASE_WORDS]);
/* Three words: the phrase of a two-part family card, told by telephone. */
void passphrase_family_words(char out[static PASSPHRASE_WORDS]);
/* How a family phrase is compared: case folded, white space and hyphens made one hyphen. Returns
 * the length; out is NUL-terminated; 0 when it is no phrase. */
size_t passphrase_family_tidy(const char *text, size_t n, char out[static PASSPHRASE_WORDS]);
