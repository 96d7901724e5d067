/* SPDX-License-Identifier: MIT
 * Card codes: what is printed, what a child may type, what is stored. Pure apart from the hashes.
 *
 * Letters are the 19 of BCDFGHJKMNPRSTVWXYZ: no vowel, so no words; no digit. Pupil: 8 random
 * letters and a check letter; family: 12 and one. With weights 1, 2, 3 ... the sum of the letters'
 * places is 0 modulo 19, which catches every single wrong letter and every swap of two. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "auth/keys.h"

enum { CARD_PUPIL = 9, CARD_FAMILY = 13, CARD_CODE_TEXT = 20, CARD_KEY_TEXT = 27, CARD_HASH = 32 };

extern const char card_letters[20];

/* Draws a code of CARD_PUPIL or CARD_FAMILY letters that holds no rude string. */
void card_code_new(size_t letters, char out[static CARD_FAMILY + 1]);
/* "BKTRMWHZV" -> "BKT RMW HZV" */
void card_code_print(const char *code, char out[static CARD_CODE_TEXT]);

enum card_code_fault {
    CARD_CODE_OK,
    CARD_CODE_EMPTY,
    CARD_CODE_LETTER,   /* a letter that is on no card */
    CARD_CODE_LENGTH,
    CARD_CODE_CHECK,    /* the check letter does not fit */
};
/* Forgiving reader: case, spaces and hyphens do not matter; 8 is B, 5 S, 2 Z, 6 G, U V. */
enum card_code_fault card_code_read(const char *typed, size_t n, char out[static CARD_FAMILY + 1]);
bool card_code_check(const char *code, size_t n);   /* sum is 0 modulo 19 */
bool card_code_is_rude(const char *code);

/* crypto_auth over "code1" || letters, keyed. */
void card_code_hash(const struct keys *k, const char *code, uint8_t out[static CARD_HASH]);

/* The QR's key: 128 random bits as 26 characters of RFC 4648 base32, no padding; its hash is
 * BLAKE2b-256. */
void card_key_new(char text[static CARD_KEY_TEXT], uint8_t hash[static CARD_HASH]);
bool card_key_hash(const char *text, size_t n, uint8_t hash[static CARD_HASH]);
