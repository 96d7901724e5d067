/* SPDX-License-Identifier: MIT
 * Well-formed UTF-8 after RFC 3629, section 4 (its table of byte sequences), apart from the
 * library the server reads text with. */
#pragma once

#include <stdbool.h>
#include <stddef.h>

static inline bool utf8_well_formed(const char *text, size_t n)
{
    const unsigned char *s = (const unsigned char *)text;
    for (size_t i = 0; i < n;) {
        unsigned c = s[i++], low = 0x80, high = 0xbf;
        int more = c < 0x80 ? 0 : c >= 0xc2 && c <= 0xdf ? 1 : (c & 0xf0) == 0xe0 ? 2
                   : c >= 0xf0 && c <= 0xf4 ? 3 : -1;
        low = c == 0xe0 ? 0xa0 : c == 0xf0 ? 0x90 : low;
        high = c == 0xed ? 0x9f : c == 0xf4 ? 0x8f : high;
        if (more < 0 || (size_t)more > n - i) {
            return false;
        }
        for (; more > 0; more--, i++, low = 0x80, high = 0xbf) {
            if (s[i] < low || s[i] > high) {
                return false;
            }
        }
    }
    return true;
}
