/* SPDX-License-Identifier: MIT
 * What counts as acceptable text, and strict readers for numbers in text. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* Valid UTF-8 of `min`..`max` code points once trimmed, no C0/C1 controls, no bidi controls
 * (U+202A-E, U+2066-9), no lone surrogate or NUL. `n` is the length in bytes. */
bool text_ok(const char *s, size_t n, size_t min, size_t max);

/* NFC, outer white space trimmed, inner runs of white space made one space. On `ctx`; NULL when
 * the text is not valid UTF-8. Uses utf8proc. */
char *text_clean(void *ctx, const char *s);

/* Prose that somebody typed or pasted, mended instead of refused: every newline of the Unicode
 * Standard (5.8: CR LF, CR, VT, FF, NEL, U+2028, U+2029) is one LF and stays; other white space is
 * single spaces within a line, none at its ends; no empty line at the beginning or the end; what
 * text_ok refuses is left out, and *lost (may be NULL) says that something was. NFC, on `ctx`; ""
 * when nothing is left, NULL when it is not valid UTF-8. Mending it again changes nothing. */
char *text_prose(void *ctx, const char *s, bool *lost);
/* How many code points a valid text has. */
size_t text_length(const char *s);

/* NFKC + case fold of a cleaned text: the key under which two names are "the same". On `ctx`. */
char *text_fold(void *ctx, const char *s);

/* Order of two folded texts in a list of names: <0, 0, >0. Marks, and strokes such as those through
 * l and o, count only between names that are alike without them, so that a child stands where a
 * reader of an alphabetical list looks. 0 only when the bytes are the same. */
int text_order(const char *a, size_t an, const char *b, size_t bn);

/* Whole decimal integer, optional '-', nothing else, within [lo, hi]. */
bool text_int(const char *s, int64_t lo, int64_t hi, int64_t *out);

/* An everyday decimal, '.' or ',' (at most `places` digits behind it), as an integer scaled by
 * 10^places: text_decimal("4,25", 2, ...) gives 425. No sign, no exponent. */
bool text_decimal(const char *s, int places, int64_t max, int64_t *out);

/* Object ids as the API shows them: 1-19 decimal digits, no leading zero, 1..INT64_MAX. */
bool text_id(const char *s, int64_t *out);

/* RFC 9562 UUID text (any version, either case) to 16 bytes, and back (lower case, 36 + NUL). */
bool text_uuid(const char *s, uint8_t out[static 16]);
void text_uuid_print(const uint8_t id[static 16], char out[static 37]);
