/* SPDX-License-Identifier: MIT
 * What children and helpers type for a result: "17", "5 2 0 2", "12,4", "1:05", "85 cm". Strict
 * enough that nothing is guessed, forgiving about commas, spaces and the unit's own word. */
#include <ctype.h>
#include <string.h>

#include "base/text.h"
#include "quick_internal.h"

enum { TEXT = 81, MOST = 100000000 };

static const char *const seconds[] = {"seconds", "second", "secs", "sec", "s", NULL};
static const char *const centimetres[] = {"centimetres", "centimetre", "cm", NULL};
static const char *const metres[] = {"metres", "metre", "m", NULL};
static const char *const points[] = {"points", "point", NULL};
static const char *const times[] = {"times", NULL};

/* Lower case, trimmed, without the unit's word at the end; another unit's word stays, and is then
 * no number: "1.2 m" is not 1.2 cm. False: too long. */
static bool tidy(const char *text, const char *const words[], char out[static TEXT])
{
    while (isspace((unsigned char)*text)) {
        text++;
    }
    size_t n = strlen(text);
    while (n > 0 && isspace((unsigned char)text[n - 1])) {
        n--;
    }
    if (n >= TEXT) {
        return false;
    }
    for (size_t i = 0; i < n; i++) {
        out[i] = (char)tolower((unsigned char)text[i]);
    }
    out[n] = '\0';
    for (size_t i = 0; words[i]; i++) {
        size_t w = strlen(words[i]);
        bool ends = n > w && strcmp(out + n - w, words[i]) == 0;
        if (ends && (out[n - w - 1] == ' ' || isdigit((unsigned char)out[n - w - 1]))) {
            n -= w;
            while (n > 0 && out[n - 1] == ' ') {
                n--;
            }
            out[n] = '\0';
            break;
        }
    }
    return true;
}

/* One total, or the points of each throw. */
static bool read_throws(const char *s, struct tried *out)
{
    int n = 0;
    while (*s) {
        size_t skip = strspn(s, " ,;+\t");
        s += skip;
        if (!*s) {
            break;
        }
        int64_t v = 0;
        int digits = 0;
        for (; isdigit((unsigned char)*s) && digits < 5; s++, digits++) {
            v = v * 10 + (*s - '0');
        }
        if (digits == 0 || digits > 4 || n == TRIED_THROWS_MAX || (*s && !strchr(" ,;+\t", *s))) {
            return false;
        }
        out->throws[n++] = (int)v;
    }
    if (n == 1) {
        out->has_value = true;
        out->value = out->throws[0];
        out->throws[0] = 0;
    } else {
        out->throw_count = n;
    }
    return n > 0;
}

/* "12.4", "12,4", "1:05", "1:05.5" in milliseconds. */
static bool read_seconds(const char *s, int64_t *ms)
{
    const char *colon = strchr(s, ':');
    if (!colon) {
        return text_decimal(s, 3, MOST, ms);
    }
    char minutes[TEXT];
    size_t n = (size_t)(colon - s);
    memcpy(minutes, s, n);
    minutes[n] = '\0';
    int64_t m = 0;
    if (!text_int(minutes, 0, 600, &m) || !isdigit((unsigned char)colon[1]) ||
        !isdigit((unsigned char)colon[2]) || !text_decimal(colon + 1, 3, 59999, ms)) {
        return false;
    }
    *ms += m * 60000;
    return true;
}

bool quick_read_attempt(const struct activity *a, const char *text, struct tried *out)
{
    static const char *const *const words[] = {
        [VALUE_POINTS] = points, [VALUE_COUNT] = times, [VALUE_MS] = seconds,
        [VALUE_MM] = centimetres};
    char s[TEXT];
    *out = (struct tried){0};
    if (!tidy(text, words[a->unit], s) || !*s) {
        return false;
    }
    if (a->kind == ACTIVITY_KIND_ZONES || a->kind == ACTIVITY_KIND_SUCCESSES) {
        return read_throws(s, out);
    }
    out->has_value = true;
    if (a->unit == VALUE_MS) {
        return read_seconds(s, &out->value);
    }
    if (a->unit == VALUE_MM) {
        return text_decimal(s, 1, MOST, &out->value);
    }
    return text_decimal(s, 0, MOST, &out->value);
}

bool quick_read_distance(const char *text, int32_t *mm)
{
    char s[TEXT];
    int64_t v = 0;
    if (!tidy(text, metres, s) || !text_decimal(s, 3, MOST, &v) || v == 0) {
        return false;
    }
    *mm = (int32_t)v;
    return true;
}
