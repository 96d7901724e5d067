/* SPDX-License-Identifier: MIT
 * application/x-www-form-urlencoded, read once and strictly.
 *
 * Invariants: every byte of the input is accounted for; what is decoded is decoded once and then
 * checked; a key counts once. No library reader is used: lenient ones take the first or last of two
 * keys, or pass a broken escape on.
 * Threats: parameter pollution, NUL that cuts a value, over-long UTF-8, floods of tiny fields.
 */
#include "http/form.h"

#include <string.h>

#include "base/mem.h"
#include "base/text.h"
#include "http/request.h"

static int hex(char c)
{
    if (c >= '0' && c <= '9') {
        return c - '0';
    }
    if (c >= 'a' && c <= 'f') {
        return c - 'a' + 10;
    }
    return c >= 'A' && c <= 'F' ? c - 'A' + 10 : -1;
}

/* NULL: a bad escape, a NUL or a control byte, or not UTF-8. */
static char *decode(void *ctx, const char *s, size_t n)
{
    char *out = mem_array(ctx, char, n + 1);
    size_t len = 0;
    for (size_t i = 0; i < n; i++) {
        char c = s[i];
        if (c == '+') {
            c = ' ';
        } else if (c == '%') {
            int high = n - i > 2 ? hex(s[i + 1]) : -1, low = n - i > 2 ? hex(s[i + 2]) : -1;
            if (high < 0 || low < 0 || (high == 0 && low == 0)) {
                return NULL;
            }
            c = (char)(high * 16 + low);
            i += 2;
        } else if ((unsigned char)c <= 0x20 || c == 0x7f) {
            return NULL;
        }
        out[len++] = c;
    }
    out[len] = '\0';
    return text_clean(ctx, out) ? out : NULL;
}

static enum err field_add(void *ctx, struct form *f, const char *s, size_t n)
{
    const char *equals = memchr(s, '=', n);
    size_t key_len = equals ? (size_t)(equals - s) : n;
    size_t value_at = equals ? key_len + 1 : n;
    if (f->n == FORM_FIELDS || n - value_at > 3 * FORM_VALUE) {
        return ERR_TOO_LARGE;
    }
    if (key_len == 0 || key_len > FORM_KEY) {
        return ERR_MALFORMED;
    }
    const char *key = decode(ctx, s, key_len);
    const char *value = decode(ctx, s + value_at, n - value_at);
    if (!key || !value || form_get(f, key)) {
        return ERR_MALFORMED;
    }
    if (strlen(value) > FORM_VALUE) {
        return ERR_TOO_LARGE;
    }
    f->field[f->n++] = (struct form_field){key, value};
    return OK;
}

enum err form_parse(void *ctx, const char *s, size_t n, struct form **out)
{
    struct form *f = mem_new(ctx, struct form);
    *out = f;
    while (n > 0) {
        const char *amp = memchr(s, '&', n);
        size_t len = amp ? (size_t)(amp - s) : n;
        enum err e = field_add(ctx, f, s, len);
        if (e != OK) {
            return e;
        }
        s += amp ? len + 1 : len;
        n -= amp ? len + 1 : len;
        if (amp && n == 0) {
            return ERR_MALFORMED;
        }
    }
    return OK;
}

const char *form_get(const struct form *f, const char *name)
{
    for (size_t i = 0; f && i < f->n; i++) {
        if (strcmp(f->field[i].key, name) == 0) {
            return f->field[i].value;
        }
    }
    return NULL;
}
