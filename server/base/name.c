/* SPDX-License-Identifier: MIT
 * Judging names.
 *
 * Owns: the order in which faults are told, so that a form and a class list say the same thing
 * about the same name. Length counts code points of the form that is stored (NFC, trimmed), which
 * is what the database checks too. A name must show something: a string of joiners or spaces that
 * looks empty on a grid is refused as empty.
 * Threats: controls that break a line of a list or a log, characters that turn the direction of
 * the text around a name, names nobody can see. */
#include "base/name.h"

#include <stdbool.h>
#include <stdint.h>
#include <string.h>
#include <utf8proc.h>

#include "base/buf.h"
#include "base/mem.h"
#include "base/text.h"

static bool is_control(int32_t cp)
{
    return cp < 0x20 || (cp >= 0x7f && cp <= 0x9f) || cp == 0x2028 || cp == 0x2029 ||
           (cp & 0xfffe) == 0xfffe || (cp >= 0xfdd0 && cp <= 0xfdef);
}

static bool is_bidi(int32_t cp)
{
    return (cp >= 0x202a && cp <= 0x202e) || (cp >= 0x2066 && cp <= 0x2069);
}

static bool is_visible(int32_t cp)
{
    utf8proc_category_t c = utf8proc_category(cp);
    return c != UTF8PROC_CATEGORY_CN && c < UTF8PROC_CATEGORY_ZS &&
           !(c >= UTF8PROC_CATEGORY_MN && c <= UTF8PROC_CATEGORY_ME);
}

/* Hangul fillers are letters by category and blank by sight. */
static bool is_filler(int32_t cp)
{
    return cp == 0x115f || cp == 0x1160 || cp == 0x3164 || cp == 0xffa0;
}

/* Walks valid or invalid UTF-8; the first fault that is not about length. */
static const char *character_fault(const char *s, size_t n)
{
    bool seen = false;
    for (size_t i = 0; i < n;) {
        utf8proc_int32_t cp;
        utf8proc_ssize_t step =
            utf8proc_iterate((const utf8proc_uint8_t *)s + i, (utf8proc_ssize_t)(n - i), &cp);
        if (step <= 0) {
            return "not_text";
        }
        if (is_bidi(cp)) {
            return "bidi";
        }
        if (is_control(cp)) {
            return "control_character";
        }
        seen = seen || (is_visible(cp) && !is_filler(cp));
        i += (size_t)step;
    }
    return seen ? NULL : "required";
}

const char *name_fault(const char *s, size_t n, size_t max)
{
    if (!s) {
        return "required";
    }
    if (n > max * 16 + 256) {       /* no name of `max` characters is that long */
        return "too_long";
    }
    const char *fault = character_fault(s, n);
    if (fault) {
        return fault;
    }
    void *mem = mem_root();
    char *clean = text_clean(mem, mem_strn(mem, s, n));
    if (!clean) {
        fault = "not_text";
    } else if (*clean == '\0') {
        fault = "required";
    } else if (text_length(clean) > max) {
        fault = "too_long";
    }
    talloc_free(mem);
    return fault;
}

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

/* The number that begins at `s`, capped; *n is how many digits it has. */
static int number_at(const char *s, size_t *n)
{
    int v = 0;
    for (*n = 0; is_digit(s[*n]); (*n)++) {
        v = v < 1000 ? v * 10 + (s[*n] - '0') : v;
    }
    return v;
}

char *name_year_up(void *ctx, const char *name, int year)
{
    struct buf out;
    bool found = false, neighbour = false;
    buf_init(&out, ctx);
    for (const char *s = name; *s;) {
        size_t n = 0;
        int v = is_digit(*s) ? number_at(s, &n) : -1;
        found = found || v == year;
        neighbour = neighbour || v == year + 1 || (v >= 0 && v == year - 1);
        if (v >= 0 && v == year) {
            buf_int(&out, year + 1);
        } else {
            buf_bytes(&out, s, n > 0 ? n : 1);
        }
        s += n > 0 ? n : 1;
    }
    return found && !neighbour ? out.data : NULL;
}
