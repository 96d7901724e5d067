/* SPDX-License-Identifier: MIT
 * Secrets that stand for a person: session tokens, card keys, the device cookie. The database
 * holds hashes only. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "auth/keys.h"

enum { TOKEN_TEXT = 44, TOKEN_HASH = 32, DEVICE_TEXT = 65 };

/* 256 random bits as 43 base64url characters, and their BLAKE2b-256. */
void token_new(char text[static TOKEN_TEXT], uint8_t hash[static TOKEN_HASH]);
/* False: not a token's shape. */
bool token_hash(const char *text, size_t n, uint8_t hash[static TOKEN_HASH]);

/* The value of cookie `name` in a Cookie header, borrowed from it. NULL: none, or more than one. */
const char *cookie_find(const char *header, const char *name, size_t *n);

/* A browser that has signed in as `account` before: 128 random bits and their MAC. */
void device_new(const struct keys *k, int64_t account, char text[static DEVICE_TEXT]);
bool device_known(const struct keys *k, int64_t account, const char *text, size_t n);
/* The throttle key of a device for an account. */
uint64_t device_throttle(const struct keys *k, int64_t account, const char *text, size_t n);
