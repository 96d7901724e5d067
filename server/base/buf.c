/* SPDX-License-Identifier: MIT
 * Bytes that grow, and the only escapers of the program.
 *
 * Invariants: data is NUL-terminated after every write; html_txt can neither close an attribute nor
 * open a tag, and drops what turns text around; csv_cell never starts with what a spreadsheet takes
 * for a formula.
 * Threats: script through names (HTML), formulas through names (CSV injection, OWASP), broken JSON.
 */
#include "base/buf.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/log.h"
#include "base/mem.h"

void buf_init(struct buf *b, void *ctx)
{
    *b = (struct buf){.ctx = ctx};
}

/* Room for n more bytes and the NUL. */
static char *buf_room(struct buf *b, size_t n)
{
    size_t need;
    if (__builtin_add_overflow(b->len, n, &need) || __builtin_add_overflow(need, 1, &need)) {
        log_bug("buffer overflow");
        abort();
    }
    if (need > b->cap) {
        size_t cap = b->cap ? b->cap : 256;
        while (cap < need) {
            cap *= 2;
        }
        char *grown = talloc_realloc_size(b->ctx, b->data, cap);
        if (!grown) {
            log_event(LOG_ERROR, "out_of_memory", "what=buffer");
            abort();
        }
        b->data = grown;
        b->cap = cap;
    }
    return b->data + b->len;
}

void buf_bytes(struct buf *b, const void *p, size_t n)
{
    char *at = buf_room(b, n);
    if (n) {
        memcpy(at, p, n);
    }
    at[n] = '\0';
    b->len += n;
}

void buf_str(struct buf *b, const char *s)
{
    if (s) {
        buf_bytes(b, s, strlen(s));
    }
}

void buf_printf(struct buf *b, const char *fmt, ...)
{
    char small[256];
    va_list ap, again;
    va_start(ap, fmt);
    va_copy(again, ap);
    int n = vsnprintf(small, sizeof small, fmt, ap);
    va_end(ap);
    if (n < 0) {
        log_bug("buf_printf format");
    } else if ((size_t)n < sizeof small) {
        buf_bytes(b, small, (size_t)n);
    } else {
        char *at = buf_room(b, (size_t)n);
        vsnprintf(at, (size_t)n + 1, fmt, again);
        b->len += (size_t)n;
    }
    va_end(again);
}

void buf_int(struct buf *b, int64_t v)
{
    char digits[24];
    char *p = digits + sizeof digits;
    uint64_t u = v < 0 ? 0 - (uint64_t)v : (uint64_t)v;
    do {
        *--p = (char)('0' + u % 10);
        u /= 10;
    } while (u);
    if (v < 0) {
        *--p = '-';
    }
    buf_bytes(b, p, (size_t)(digits + sizeof digits - p));
}

static bool is_isolate(const unsigned char *s)
{
    return s[0] == 0xe2 && s[1] == 0x81 && s[2] >= 0xa6 && s[2] <= 0xa9;
}

/* Length of a run at s that html_txt drops: C0 (tab, LF too: they mean nothing here), DEL, C1
 * (U+0080-9F) and bidi controls (U+202A-E, U+2066-9). */
static size_t html_dropped(const unsigned char *s)
{
    if (s[0] < 0x20 || s[0] == 0x7f) {
        return 1;
    }
    if (s[0] == 0xc2 && s[1] >= 0x80 && s[1] <= 0x9f) {
        return 2;
    }
    if (s[0] == 0xe2 && s[1] == 0x80 && s[2] >= 0xaa && s[2] <= 0xae) {
        return 3;
    }
    return is_isolate(s) ? 3 : 0;
}

static const char *html_entity(char c)
{
    switch (c) {
    case '&':
        return "&amp;";
    case '<':
        return "&lt;";
    case '>':
        return "&gt;";
    case '"':
        return "&quot;";
    case '\'':
        return "&#39;";
    default:
        return NULL;
    }
}

static void html_escaped(struct buf *b, const char *s, bool isolates)
{
    while (s && *s) {
        const unsigned char *at = (const unsigned char *)s;
        size_t drop = isolates && is_isolate(at) ? 0 : html_dropped(at);
        const char *entity = html_entity(*s);
        if (drop) {
            s += drop;
            continue;
        }
        if (entity) {
            buf_str(b, entity);
        } else {
            buf_bytes(b, s, 1);
        }
        s++;
    }
}

void html_txt(struct buf *b, const char *s)
{
    html_escaped(b, s, false);
}

void html_words(struct buf *b, const char *s)
{
    html_escaped(b, s, true);
}

static void json_escape(struct buf *b, unsigned char c)
{
    static const char short_forms[] = {['\b'] = 'b', ['\t'] = 't', ['\n'] = 'n', ['\f'] = 'f',
                                       ['\r'] = 'r'};
    if (c == '"' || c == '\\') {
        buf_bytes(b, (char[]){'\\', (char)c}, 2);
    } else if (c < sizeof short_forms && short_forms[c]) {
        buf_bytes(b, (char[]){'\\', short_forms[c]}, 2);
    } else {
        buf_printf(b, "\\u%04x", c);
    }
}

void json_txt(struct buf *b, const char *s)
{
    if (!s) {
        buf_bytes(b, "null", 4);
        return;
    }
    buf_bytes(b, "\"", 1);
    while (*s) {
        size_t run = 0;
        while ((unsigned char)s[run] >= 0x20 && s[run] != '"' && s[run] != '\\') {
            run++;
        }
        buf_bytes(b, s, run);
        s += run;
        if (*s) {
            json_escape(b, (unsigned char)*s);
            s++;
        }
    }
    buf_bytes(b, "\"", 1);
}

/* A leading character that a spreadsheet may read as the start of a formula, plain or full-width
 * (U+FF1D =, U+FF0B +, U+FF0D -, U+FF20 @). */
static bool csv_starts_formula(const char *s)
{
    static const char *const wide[] = {"\xef\xbc\x9d", "\xef\xbc\x8b", "\xef\xbc\x8d",
                                       "\xef\xbc\xa0"};
    if (*s && strchr("=+-@\t\r\n", *s)) {
        return true;
    }
    for (size_t i = 0; i < sizeof wide / sizeof *wide; i++) {
        if (strncmp(s, wide[i], 3) == 0) {
            return true;
        }
    }
    return false;
}

void csv_cell(struct buf *b, const char *s)
{
    buf_bytes(b, "\"", 1);
    if (s && csv_starts_formula(s)) {
        buf_bytes(b, "'", 1);
    }
    for (; s && *s; s++) {
        if (*s == '"') {
            buf_bytes(b, "\"", 1);
        }
        buf_bytes(b, s, 1);
    }
    buf_bytes(b, "\"", 1);
}
