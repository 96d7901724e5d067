/* SPDX-License-Identifier: MIT
 * Secrets that stand for a person: session tokens, card keys, the device cookie. The database
 * holds hashes only. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "auth/keys.h"

enum { TOKEN_TEXT = 44, TOKEN_HASH = 32 };

/* 256 random bits as 43 base64url characters, and their BLAKE2b-256. */
void token_new(char text[static TOKEN_TEXT], uint8_t hash[static TOKEN_HASH]);
/* False: not a token's shape. */
bool token_hash(const char *text, size_t n, uint8_t hash[static TOKEN_HASH]);

/* The value of cookie `name` in a Cookie header, borrowed from it. NULL: none, or more than one. */
const char *cookie_find(const char *header, const char *name, size_t *n);

/* The device cookie: an id of 64 random bits and 64 of a MAC of them and, newest first, up to 16
 * MACs of that id with an account or a card that signed in there. Opaque, and worth nothing by
 * itself: it only says to the throttles that this account or this card's code is no guess here, and
 * that somebody has signed in. */
enum {
    DEVICE_ID = 16, DEVICE_TAG = 8, DEVICE_TAGS = 16,
    DEVICE_TEXT = (DEVICE_ID + DEVICE_TAGS * DEVICE_TAG + 2) / 3 * 4 + 1,
};
struct device {
    uint8_t id[DEVICE_ID];
    uint8_t tag[DEVICE_TAGS][DEVICE_TAG];
    int n;                      /* tags; 0: a device that nobody has signed in on */
};
/* Whom or what a device may know. */
struct device_of {
    uint8_t bytes[33];
    size_t n;
};
struct device_of device_of_staff(int64_t account);
struct device_of device_of_card(const uint8_t code_mac[static 32]);

/* What is no device's cookie reads as a device that knows nobody. */
void device_read(const char *text, size_t n, struct device *d);
/* Made here, not made up: its id's MAC is right and somebody has signed in on it. */
bool device_is_ours(const struct keys *k, const struct device *d);
bool device_knows(const struct keys *k, const struct device *d, const struct device_of *of);
/* Puts it first; the oldest of 16 falls out. A device that is not ours begins anew. */
void device_learn(const struct keys *k, struct device *d, const struct device_of *of);
void device_print(const struct device *d, char text[static DEVICE_TEXT]);
/* The throttle key of a device for an account; of a device by itself. */
uint64_t device_throttle(const struct keys *k, const struct device *d, const struct device_of *of);
uint64_t device_throttle_all(const struct keys *k, const struct device *d);
