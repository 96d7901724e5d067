/* SPDX-License-Identifier: MIT
 * Card codes: drawing, reading, hashing.
 *
 * Why the check letter catches what it does: 19 is prime, and all weights 1..13 and all their
 * differences are between 1 and 18, so neither a changed letter nor a swap of two can leave the
 * sum at 0 modulo 19. A wrong letter typed is then told apart from a wrong guess, which costs.
 *
 * The list of strings a card must not show is short and in the open; V reads as U on a card. It
 * is held as letters of the alphabet above, since nothing else can appear. */
#include "auth/card_code.h"

#include <sodium.h>
#include <stdlib.h>
#include <string.h>

#include "base/rand.h"

const char card_letters[20] = "BCDFGHJKMNPRSTVWXYZ";

enum { LETTERS = 19, KEY_BYTES = 16 };

static const char *const rude[] = {
    "SX",  "FCK",  "FVCK", "FVK",  "FKN",  "CNT",  "KNT",   "CVNT",  "KVNT",  "CVM",
    "KVM", "DCK", "DVCK", "BTCH", "BVM",  "BVTT", "BTT",  "SHT",  "SHYT",  "TWT",   "WNK",   "PRCK",
    "PSS", "CRP", "TVRD", "WHR",  "HRNY", "PMS",  "PRN",   "KKK",   "WTF",   "STFV",
    "GTF", "KYS", "FGT",  "NGR",  "NGG",  "PKY",  "PKK",  "SPZ",  "SPST",  "RTRD",  "GYP",   "TRNN",
    "FTT", "FTS", "DVM",  "DMB",  "DMN",  "THCK", "STNK",  "SCM",   "SCVM",  "JRK",
    "NTZ", "BNR", "DRVG", "DRG",  "DRNK", "DTH",  "MRD",  "KNF",  "GVN",   "BMB",   "TTS",   "BBS",
    "CCK", "KCK", "KNB",  "MFR",  "PNS",  "VGN",  "RPD",  "GNRR",  "HJB",   "JHD",   "BSTD",
};

/* Anywhere in the code, also across the printed spaces. */
bool card_code_is_rude(const char *code)
{
    for (size_t i = 0; i < sizeof rude / sizeof *rude; i++) {
        if (strstr(code, rude[i])) {
            return true;
        }
    }
    return false;
}

static int place_of(char letter)
{
    const char *p = letter ? strchr(card_letters, letter) : NULL;
    return p ? (int)(p - card_letters) : -1;
}

bool card_code_check(const char *code, size_t n)
{
    int sum = 0;

    for (size_t i = 0; i < n; i++) {
        int place = place_of(code[i]);
        if (place < 0) {
            return false;
        }
        sum += (int)(i + 1) * place;
    }
    return sum % LETTERS == 0;
}

/* Weight w has an inverse modulo the prime: try the 19 letters, exactly one fits. */
static char check_letter(char *code, size_t last)
{
    for (int i = 0; i < LETTERS; i++) {
        code[last] = card_letters[i];
        if (card_code_check(code, last + 1)) {
            break;
        }
    }
    return code[last];
}

void card_code_new(size_t letters, char out[static CARD_FAMILY + 1])
{
    do {
        for (size_t i = 0; i + 1 < letters; i++) {
            out[i] = card_letters[rand_below(LETTERS)];
        }
        out[letters - 1] = check_letter(out, letters - 1);
        out[letters] = '\0';
    } while (card_code_is_rude(out));
}

/* Threes; a family's 13th letter joins the last group rather than standing alone. */
void card_code_print(const char *code, char out[static CARD_CODE_TEXT])
{
    size_t n = strlen(code), o = 0;

    for (size_t i = 0; i < n && o + 2 < CARD_CODE_TEXT; i++) {
        if (i > 0 && i % 3 == 0 && i + 1 < n) {
            out[o++] = ' ';
        }
        out[o++] = code[i];
    }
    out[o] = '\0';
}

static char tidy_letter(char c)
{
    switch (c) {
    case '8':
        return 'B';
    case '5':
        return 'S';
    case '2':
        return 'Z';
    case '6':
        return 'G';
    case 'u':
    case 'U':
        return 'V';
    default:
        return c >= 'a' && c <= 'z' ? (char)(c - 'a' + 'A') : c;
    }
}

/* The gaps that keyboards and copied text put in: space, tab, hyphen, no-break space, dashes. */
static size_t gap_length(const char *p, size_t n)
{
    static const char *const gaps[] = {" ", "\t", "-", "\xc2\xa0", "\xe2\x80\x90", "\xe2\x80\x91",
                                       "\xe2\x80\x92", "\xe2\x80\x93", "\xe2\x80\x94", "\r", "\n"};

    for (size_t i = 0; i < sizeof gaps / sizeof *gaps; i++) {
        size_t len = strlen(gaps[i]);
        if (len <= n && memcmp(p, gaps[i], len) == 0) {
            return len;
        }
    }
    return 0;
}

enum card_code_fault card_code_read(const char *typed, size_t n, char out[static CARD_FAMILY + 1])
{
    size_t have = 0;

    for (size_t i = 0; i < n;) {
        size_t gap = gap_length(typed + i, n - i);
        if (gap > 0) {
            i += gap;
            continue;
        }
        char c = tidy_letter(typed[i]);
        if (place_of(c) < 0) {
            return CARD_CODE_LETTER;
        }
        if (have == CARD_FAMILY) {
            return CARD_CODE_LENGTH;
        }
        out[have++] = c;
        i++;
    }
    out[have] = '\0';
    if (have == 0) {
        return CARD_CODE_EMPTY;
    }
    if (have != CARD_PUPIL && have != CARD_FAMILY) {
        return CARD_CODE_LENGTH;
    }
    return card_code_check(out, have) ? CARD_CODE_OK : CARD_CODE_CHECK;
}

void card_code_hash(const struct keys *k, const char *code, uint8_t out[static CARD_HASH])
{
    char bytes[5 + CARD_FAMILY];
    size_t n = strlen(code) < CARD_FAMILY ? strlen(code) : CARD_FAMILY;

    memcpy(bytes, "code1", 5);
    memcpy(bytes + 5, code, n);
    crypto_auth(out, (const uint8_t *)bytes, 5 + n, k->cardhash);
    sodium_memzero(bytes, sizeof bytes);
}

/* RFC 4648 section 6: 128 bits are 25 whole groups of five and three bits more. */
static const char base32[] = "ABCDEFGHIJKLMNOPQRSTUVWXYZ234567";

void card_key_new(char text[static CARD_KEY_TEXT], uint8_t hash[static CARD_HASH])
{
    uint8_t raw[KEY_BYTES];

    rand_bytes(raw, sizeof raw);
    for (int i = 0; i < CARD_KEY_TEXT - 1; i++) {
        int v = 0;
        for (int b = 5 * i; b < 5 * i + 5; b++) {
            int bit = b < 8 * KEY_BYTES ? raw[b / 8] >> (7 - b % 8) & 1 : 0;
            v = v << 1 | bit;
        }
        text[i] = base32[v];
    }
    text[CARD_KEY_TEXT - 1] = '\0';
    crypto_generichash(hash, CARD_HASH, raw, sizeof raw, NULL, 0);
    sodium_memzero(raw, sizeof raw);
}

bool card_key_hash(const char *text, size_t n, uint8_t hash[static CARD_HASH])
{
    uint8_t raw[KEY_BYTES + 1] = {0};

    if (n != CARD_KEY_TEXT - 1) {
        return false;
    }
    for (int i = 0; i < CARD_KEY_TEXT - 1; i++) {
        char c = text[i] >= 'a' && text[i] <= 'z' ? (char)(text[i] - 'a' + 'A') : text[i];
        const char *p = c ? strchr(base32, c) : NULL;
        if (!p) {
            return false;
        }
        for (int b = 0; b < 5; b++) {
            int at = 5 * i + b;
            raw[at / 8] = (uint8_t)(raw[at / 8] | ((p - base32) >> (4 - b) & 1) << (7 - at % 8));
        }
    }
    bool whole = raw[KEY_BYTES] == 0;   /* the two bits beyond 128 must be 0: one text a key */
    crypto_generichash(hash, CARD_HASH, raw, KEY_BYTES, NULL, 0);
    sodium_memzero(raw, sizeof raw);
    return whole;
}
