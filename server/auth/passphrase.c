/* SPDX-License-Identifier: MIT
 * Passphrases: costs, refusals, random ones.
 *
 * Invariants: a passphrase is hashed exactly as received. Argon2id with 32 MiB and 3 passes, or
 * the floor that OWASP's password storage sheet gives (19 MiB, 2 passes) on a small machine.
 * Refused are passphrases that a guesser tries first: pieces everybody uses, runs along the
 * keyboard, repetitions, and this school's own words. Threat: slow hashes as a way to exhaust the
 * machine; they run two at a time (kdf.c), and length is capped before hashing. */
#include "auth/passphrase.h"

#include <sodium.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "base/rand.h"

enum { MIB = 1024 * 1024, SMALL_MACHINE_MIB = 1024, OWN_WORDS = 24, OWN_WORD_LEN = 40 };

_Static_assert(PASSPHRASE_HASH == crypto_pwhash_STRBYTES, "libsodium's string fits exactly");

static const char *const words[] = {
#include "words.inc"
};
static const char *const common[] = {
#include "common.inc"
};
static const char *const product_words[] = {
    "thrice", "school", "primary", "junior", "infant", "academy", "teacher", "teaching", "pupil",
    "staff", "class", "office", "head", "safeguarding", "lead", "sport", "physical", "education",
};
enum { WORD_COUNT = sizeof words / sizeof *words };
_Static_assert(WORD_COUNT >= 512, "four words carry at least 36 bits");

struct cost {
    unsigned long long passes;
    size_t bytes;
};

static struct cost cost_today(void)
{
    static const struct cost usual = {3, 32 * MIB}, least = {2, 19 * MIB};
    const char *asked = getenv("THRICE_KDF");
    long pages = sysconf(_SC_PHYS_PAGES), page = sysconf(_SC_PAGESIZE);

    if (asked && strcmp(asked, "floor") == 0) {
        return least;
    }
    if (pages > 0 && page > 0 && pages / (MIB / page) < SMALL_MACHINE_MIB) {
        return least;
    }
    return usual;
}

enum err passphrase_hash(const char *text, size_t n, char out[static PASSPHRASE_HASH])
{
    struct cost c = cost_today();

    if (n > PASSPHRASE_MAX) {
        return ERR_INTERNAL;
    }
    if (crypto_pwhash_str_alg(out, text, n, c.passes, c.bytes, crypto_pwhash_ALG_ARGON2ID13) != 0) {
        return ERR_BUSY;    /* not enough memory just now */
    }
    return OK;
}

bool passphrase_verify(const char *hash, const char *text, size_t n)
{
    return n <= PASSPHRASE_MAX && strlen(hash) < PASSPHRASE_HASH &&
           crypto_pwhash_str_verify(hash, text, n) == 0;
}

bool passphrase_is_stale(const char *hash)
{
    struct cost c = cost_today();
    char padded[PASSPHRASE_HASH] = {0};     /* libsodium reads all 128 bytes */
    size_t n = strlen(hash);

    if (n >= sizeof padded) {
        return false;
    }
    memcpy(padded, hash, n);
    return crypto_pwhash_str_needs_rehash(padded, c.passes, c.bytes) == 1;
}

/* Refusals ------------------------------------------------------------------------------------- */

static char lower(char c)
{
    return c >= 'A' && c <= 'Z' ? (char)(c - 'A' + 'a') : c;
}

/* A digit or sign that stands for a letter, or 0. */
static char look_alike(char c)
{
    static const char from[] = "0134578@$!", to[] = "oieastbasi";
    const char *p = c ? strchr(from, c) : NULL;
    return p ? to[p - from] : '\0';
}

/* Letters (and bytes beyond ASCII, which count as letters) in lower case; digits dropped, or with
 * `unmask` turned into the letters they look like. */
static void letters_of(const char *text, size_t n, bool unmask, char out[static PASSPHRASE_MAX + 1])
{
    size_t o = 0;

    for (size_t i = 0; i < n && o < PASSPHRASE_MAX; i++) {
        char c = lower(text[i]);
        if (unmask && look_alike(c)) {
            c = look_alike(c);
        }
        if ((c >= 'a' && c <= 'z') || (unsigned char)c >= 0x80) {
            out[o++] = c;
        }
    }
    out[o] = '\0';
}

/* Cuts out `piece` wherever it stands. */
static void cut(char *s, const char *piece)
{
    size_t n = strlen(piece);

    for (char *p = n ? strstr(s, piece) : NULL; p; p = strstr(s, piece)) {
        memmove(p, p + n, strlen(p + n) + 1);
    }
}

static int by_length(const void *a, const void *b)
{
    size_t m = strlen(*(const char *const *)a), n = strlen(*(const char *const *)b);
    return m < n ? 1 : m > n ? -1 : 0;
}

/* What is left without the pieces, longest first so that "pass" does not spoil "password". */
static size_t left_without(char *s, const char *const *pieces, size_t count)
{
    const char *sorted[512];

    count = count < 512 ? count : 512;
    memcpy(sorted, pieces, count * sizeof *sorted);
    qsort(sorted, count, sizeof *sorted, by_length);
    for (size_t i = 0; i < count; i++) {
        if (strlen(sorted[i]) >= 3) {
            cut(s, sorted[i]);
        }
    }
    return strlen(s);
}

static size_t count_digits(const char *text, size_t n)
{
    size_t digits = 0;
    for (size_t i = 0; i < n; i++) {
        digits += text[i] >= '0' && text[i] <= '9';
    }
    return digits;
}

/* Made of these pieces with little else: fewer than four other letters, and no ten digits. */
static bool is_made_of(const char *text, size_t n, const char *const *pieces, size_t count)
{
    char s[PASSPHRASE_MAX + 1];

    for (int unmask = 0; unmask < 2; unmask++) {
        letters_of(text, n, unmask, s);
        if (left_without(s, pieces, count) < 4 && (unmask || count_digits(text, n) < 10)) {
            return true;
        }
    }
    return false;
}

static bool is_next_in_run(char a, char b)
{
    static const char *const rows[] = {"qwertyuiop", "asdfghjkl", "zxcvbnm", "01234567890",
                                       "abcdefghijklmnopqrstuvwxyz", "qazwsxedcrfvtgbyhnujmikolp"};

    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        for (const char *p = rows[i]; p[1]; p++) {
            if ((p[0] == a && p[1] == b) || (p[0] == b && p[1] == a)) {
                return true;
            }
        }
    }
    return a == b;
}

/* Runs along a row or the alphabet, either way, or one letter again and again. */
static bool is_runs(const char *text, size_t n)
{
    size_t steps = 0;

    for (size_t i = 1; i < n; i++) {
        steps += is_next_in_run(lower(text[i - 1]), lower(text[i]));
    }
    return steps * 4 >= (n - 1) * 3;
}

/* A unit of up to a third of the whole, or of eight, again and again. */
static bool is_repeated(const char *text, size_t n)
{
    for (size_t unit = 1; unit <= n / 2 && (unit <= 8 || unit <= n / 3); unit++) {
        size_t same = 0;
        while (unit + same < n && lower(text[same]) == lower(text[unit + same])) {
            same++;
        }
        if (unit + same == n) {
            return true;
        }
    }
    return false;
}

static bool has_few_signs(const char *text, size_t n)
{
    bool seen[256] = {false};
    size_t different = 0;

    for (size_t i = 0; i < n; i++) {
        unsigned char c = (unsigned char)lower(text[i]);
        different += !seen[c];
        seen[c] = true;
    }
    return different < 5;
}

struct own {
    char text[OWN_WORDS][OWN_WORD_LEN];
    const char *word[OWN_WORDS + sizeof product_words / sizeof *product_words];
    size_t n;
};

static void add_words(struct own *o, const char *names)
{
    for (const char *p = names; p && *p && o->n < OWN_WORDS;) {
        size_t len = strcspn(p, " -'.,&/()");
        if (len >= 3 && len < OWN_WORD_LEN) {
            char letters[PASSPHRASE_MAX + 1];
            letters_of(p, len, false, letters);
            memcpy(o->text[o->n], letters, strlen(letters) + 1);
            o->word[o->n] = o->text[o->n];
            o->n++;
        }
        p += len;
        p += *p != '\0';
    }
}

static bool is_own_words(const char *text, size_t n, const char *school, const char *name)
{
    struct own o = {.n = 0};

    add_words(&o, school);
    add_words(&o, name);
    for (size_t i = 0; i < sizeof product_words / sizeof *product_words; i++) {
        o.word[o.n++] = product_words[i];
    }
    return is_made_of(text, n, o.word, o.n);
}

const char *passphrase_refusal(const char *text, size_t n, const char *school, const char *name)
{
    if (n < PASSPHRASE_MIN) {
        return "too_short";
    }
    if (n > PASSPHRASE_MAX) {
        return "too_long";
    }
    if (has_few_signs(text, n) || is_repeated(text, n) || is_runs(text, n) ||
        is_made_of(text, n, common, sizeof common / sizeof *common)) {
        return "common";
    }
    return is_own_words(text, n, school, name) ? "own_words" : NULL;
}

/* Random ones ---------------------------------------------------------------------------------- */

static void draw_words(int count, char out[static PASSPHRASE_WORDS])
{
    size_t o = 0;

    for (int i = 0; i < count; i++) {
        const char *w = words[rand_below(WORD_COUNT)];
        if (i > 0) {
            out[o++] = '-';
        }
        for (; *w && o + 2 < PASSPHRASE_WORDS; w++) {
            out[o++] = *w;
        }
    }
    out[o] = '\0';
}

void passphrase_words(char out[static PASSPHRASE_WORDS])
{
    do {
        draw_words(4, out);
    } while (passphrase_refusal(out, strlen(out), NULL, NULL));
}

void passphrase_family_words(char out[static PASSPHRASE_WORDS])
{
    draw_words(3, out);
}

size_t passphrase_family_tidy(const char *text, size_t n, char out[static PASSPHRASE_WORDS])
{
    size_t o = 0;
    bool gap = false;

    for (size_t i = 0; i < n; i++) {
        char c = lower(text[i]);
        if (c == ' ' || c == '-' || c == '\t' || c == ',') {
            gap = o > 0;
            continue;
        }
        if (o + 2 >= PASSPHRASE_WORDS || (unsigned char)c < 0x20) {
            return 0;
        }
        if (gap) {
            out[o++] = '-';
            gap = false;
        }
        out[o++] = c;
    }
    out[o] = '\0';
    return o;
}
