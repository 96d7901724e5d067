/* SPDX-License-Identifier: MIT
 * Acceptable text, and strict readers for numbers in text.
 *
 * Owns: the one decoder (utf8proc) through which text from outside is judged, and the one form in
 * which it is kept (NFC, single spaces; prose keeps its lines). Two spellings of a name that look
 * the same get the same key (NFKC_Casefold: compatibility forms, case and ignorable code points are
 * folded away).
 * Invariants: no reader here accepts white space, a sign or a digit it was not told to accept; no
 * number wraps. Buffers come from talloc; utf8proc works inside them and allocates nothing.
 * Threats: over-long and truncated UTF-8, surrogates, NUL in the middle, controls that forge log
 * lines or terminals, bidi controls that show a name other than it is, look-alike duplicates.
 */
#include "base/text.h"

#include <string.h>
#include <utf8proc.h>

#include "base/mem.h"

static bool cp_is_space(int32_t cp)
{
    if (cp == ' ' || (cp >= '\t' && cp <= '\r') || cp == 0x85) {
        return true;
    }
    if (cp < 0x80) {
        return false;
    }
    utf8proc_category_t c = utf8proc_category(cp);
    return c == UTF8PROC_CATEGORY_ZS || c == UTF8PROC_CATEGORY_ZL || c == UTF8PROC_CATEGORY_ZP;
}

static bool cp_is_refused(int32_t cp)
{
    return cp < 0x20 || (cp >= 0x7f && cp <= 0x9f) || (cp >= 0x202a && cp <= 0x202e) ||
           (cp >= 0x2066 && cp <= 0x2069);
}

bool text_ok(const char *s, size_t n, size_t min, size_t max)
{
    if (!s) {
        return false;
    }
    size_t count = 0, trailing = 0;     /* code points since the first that is no space */
    for (size_t i = 0; i < n;) {
        utf8proc_int32_t cp;
        utf8proc_ssize_t step =
            utf8proc_iterate((const utf8proc_uint8_t *)s + i, (utf8proc_ssize_t)(n - i), &cp);
        if (step <= 0 || cp_is_refused(cp)) {
            return false;
        }
        i += (size_t)step;
        if (!cp_is_space(cp)) {
            count += trailing + 1;
            trailing = 0;
        } else if (count > 0) {
            trailing++;
        }
    }
    return count >= min && count <= max;
}

/* Trims and makes runs of white space one U+0020, in place. Returns the new count. */
static utf8proc_ssize_t squeeze(utf8proc_int32_t *cps, utf8proc_ssize_t n)
{
    utf8proc_ssize_t to = 0;
    bool gap = false;
    for (utf8proc_ssize_t i = 0; i < n; i++) {
        if (cp_is_space(cps[i])) {
            gap = to > 0;
            continue;
        }
        if (gap) {
            cps[to++] = ' ';
            gap = false;
        }
        cps[to++] = cps[i];
    }
    return to;
}

static char *normalised(void *ctx, const char *s, utf8proc_option_t options, bool tidy)
{
    if (!s) {
        return NULL;
    }
    const utf8proc_uint8_t *in = (const utf8proc_uint8_t *)s;
    utf8proc_ssize_t len = (utf8proc_ssize_t)strlen(s);
    utf8proc_ssize_t need = utf8proc_decompose(in, len, NULL, 0, options);
    if (need < 0) {
        return NULL;
    }
    /* reencode() writes UTF-8 over the code points and a NUL behind: at most 4 bytes each + 1. */
    utf8proc_int32_t *cps = mem_array(ctx, utf8proc_int32_t, (size_t)need + 1);
    utf8proc_ssize_t n = utf8proc_decompose(in, len, cps, need, options);
    if (n < 0 || n > need) {
        talloc_free(cps);
        return NULL;
    }
    if (tidy) {
        n = squeeze(cps, n);
    }
    utf8proc_ssize_t bytes = utf8proc_reencode(cps, n, options);
    char *out = bytes < 0 ? NULL : mem_strn(ctx, (const char *)cps, (size_t)bytes);
    talloc_free(cps);
    return out;
}

char *text_clean(void *ctx, const char *s)
{
    return normalised(ctx, s, UTF8PROC_STABLE | UTF8PROC_COMPOSE, true);
}

/* How a line ends, also where it was typed on another system or pasted from a word processor. */
static bool cp_is_newline(int32_t cp)
{
    return (cp >= '\n' && cp <= '\r') || cp == 0x85 || cp == 0x2028 || cp == 0x2029;
}

struct prose {
    char *out;              /* as much room as the text has: nothing grows */
    size_t n;
    size_t newlines;        /* seen since the last sign that is kept */
    bool gap;               /* white space since then, in the same line */
};

static void prose_sign(struct prose *p, const char *sign, size_t bytes)
{
    const bool begun = p->n > 0;
    for (size_t i = 0; begun && i < p->newlines; i++) {
        p->out[p->n++] = '\n';
    }
    if (begun && p->gap && p->newlines == 0) {
        p->out[p->n++] = ' ';
    }
    p->newlines = 0;
    p->gap = false;
    memcpy(p->out + p->n, sign, bytes);
    p->n += bytes;
}

char *text_prose(void *ctx, const char *s, bool *lost)
{
    const size_t len = s ? strlen(s) : 0;
    struct prose p = {.out = mem_array(ctx, char, len + 1)};
    bool dropped = false;
    for (size_t i = 0; i < len;) {
        utf8proc_int32_t cp;
        utf8proc_ssize_t step = utf8proc_iterate((const utf8proc_uint8_t *)s + i,
                                                 (utf8proc_ssize_t)(len - i), &cp);
        if (step <= 0) {
            talloc_free(p.out);
            return NULL;
        }
        if (cp_is_newline(cp)) {
            p.newlines += cp != '\r' || s[i + 1] != '\n';
        } else if (cp_is_space(cp)) {
            p.gap = true;
        } else if (cp_is_refused(cp)) {
            dropped = true;
        } else {
            prose_sign(&p, s + i, (size_t)step);
        }
        i += (size_t)step;
    }
    p.out[p.n] = '\0';
    if (lost) {
        *lost = dropped;
    }
    char *out = s ? normalised(ctx, p.out, UTF8PROC_STABLE | UTF8PROC_COMPOSE, false) : NULL;
    talloc_free(p.out);
    return out;
}

size_t text_length(const char *s)
{
    size_t count = 0;
    for (; *s; s++) {
        count += ((unsigned char)*s & 0xc0) != 0x80;
    }
    return count;
}

char *text_fold(void *ctx, const char *s)
{
    /* Folding can undo the composed order (U+0345 and the like), hence twice, as in the Unicode
     * Standard's toNFKC_Casefold; compatibility spaces become plain ones, hence tidied again. */
    const utf8proc_option_t options = UTF8PROC_STABLE | UTF8PROC_COMPOSE | UTF8PROC_COMPAT |
                                      UTF8PROC_CASEFOLD | UTF8PROC_IGNORE;
    char *once = normalised(ctx, s, options, false);
    char *out = normalised(ctx, once, options, true);
    talloc_free(once);
    return out;
}

/* Letters that no decomposition takes the stroke or the joint off, and where they are sorted. */
static int32_t plain_letter(int32_t cp)
{
    static const struct {
        int32_t cp;
        char plain;
    } letters[] = {
        {0xe6, 'a'},  {0xf0, 'd'},  {0xf8, 'o'},  {0xfe, 't'},  {0x111, 'd'}, {0x127, 'h'},
        {0x131, 'i'}, {0x142, 'l'}, {0x14b, 'n'}, {0x153, 'o'}, {0x167, 't'},
    };
    for (size_t i = 0; i < sizeof letters / sizeof *letters; i++) {
        if (letters[i].cp == cp) {
            return letters[i].plain;
        }
    }
    return cp;
}

/* The next letter without its marks; 0 at the end. Scripts beyond the alphabets of Europe are left
 * as they are written. */
static int32_t next_letter(const char *s, size_t n, size_t *at)
{
    while (*at < n) {
        utf8proc_int32_t cp, parts[8] = {0};
        int boundary = 0;
        utf8proc_ssize_t step = utf8proc_iterate((const utf8proc_uint8_t *)s + *at,
                                                 (utf8proc_ssize_t)(n - *at), &cp);
        if (step <= 0) {
            break;
        }
        *at += (size_t)step;
        utf8proc_category_t c = utf8proc_category(cp);
        if (c >= UTF8PROC_CATEGORY_MN && c <= UTF8PROC_CATEGORY_ME) {
            continue;
        }
        if (cp < 0x80 || cp >= 0x2000 ||
            utf8proc_decompose_char(cp, parts, 8, UTF8PROC_DECOMPOSE, &boundary) < 1) {
            return cp;
        }
        return plain_letter(parts[0]);
    }
    return 0;
}

int text_order(const char *a, size_t an, const char *b, size_t bn)
{
    size_t i = 0, j = 0;
    int32_t x, y;
    do {
        x = next_letter(a, an, &i);
        y = next_letter(b, bn, &j);
    } while (x == y && x != 0);
    if (x != y) {
        return x < y ? -1 : 1;
    }
    int rest = memcmp(a, b, an < bn ? an : bn);
    return rest ? rest : (an > bn) - (an < bn);
}

bool text_int(const char *s, int64_t lo, int64_t hi, int64_t *out)
{
    if (!s) {
        return false;
    }
    bool minus = *s == '-';
    s += minus;
    if (*s == '\0') {
        return false;
    }
    int64_t v = 0;
    for (; *s; s++) {
        if (*s < '0' || *s > '9') {
            return false;
        }
        int digit = minus ? '0' - *s : *s - '0';
        if (__builtin_mul_overflow(v, 10, &v) || __builtin_add_overflow(v, digit, &v)) {
            return false;
        }
    }
    if (v < lo || v > hi) {
        return false;
    }
    *out = v;
    return true;
}

bool text_decimal(const char *s, int places, int64_t max, int64_t *out)
{
    if (!s || *s < '0' || *s > '9') {
        return false;
    }
    int64_t v = 0;
    int behind = -1;    /* digits behind the point; -1 before it */
    for (; *s; s++) {
        if ((*s == '.' || *s == ',') && behind < 0) {
            behind = 0;
            continue;
        }
        if (*s < '0' || *s > '9' || behind == places) {
            return false;
        }
        if (__builtin_mul_overflow(v, 10, &v) || __builtin_add_overflow(v, *s - '0', &v)) {
            return false;
        }
        behind += behind >= 0;
    }
    if (behind == 0) {
        return false;
    }
    for (int i = behind < 0 ? 0 : behind; i < places; i++) {
        if (__builtin_mul_overflow(v, 10, &v)) {
            return false;
        }
    }
    if (v > max) {
        return false;
    }
    *out = v;
    return true;
}

bool text_id(const char *s, int64_t *out)
{
    return s && *s >= '1' && *s <= '9' && text_int(s, 1, INT64_MAX, out);
}

static int hex_digit(char c)
{
    if (c >= '0' && c <= '9') {
        return c - '0';
    }
    if (c >= 'a' && c <= 'f') {
        return c - 'a' + 10;
    }
    return c >= 'A' && c <= 'F' ? c - 'A' + 10 : -1;
}

/* 8-4-4-4-12: a hyphen stands before bytes 4, 6, 8 and 10. */
static bool hyphen_before(int byte)
{
    return byte == 4 || byte == 6 || byte == 8 || byte == 10;
}

bool text_uuid(const char *s, uint8_t out[static 16])
{
    if (!s || strlen(s) != 36) {
        return false;
    }
    uint8_t id[16];
    for (int i = 0; i < 16; i++) {
        if (hyphen_before(i) && *s++ != '-') {
            return false;
        }
        int hi = hex_digit(s[0]), lo = hex_digit(s[1]);
        if (hi < 0 || lo < 0) {
            return false;
        }
        id[i] = (uint8_t)(hi << 4 | lo);
        s += 2;
    }
    memcpy(out, id, sizeof id);
    return true;
}

void text_uuid_print(const uint8_t id[static 16], char out[static 37])
{
    static const char digits[] = "0123456789abcdef";
    for (int i = 0; i < 16; i++) {
        if (hyphen_before(i)) {
            *out++ = '-';
        }
        *out++ = digits[id[i] >> 4];
        *out++ = digits[id[i] & 15];
    }
    *out = '\0';
}
