/* SPDX-License-Identifier: MIT
 * Reads a list of whole numbers. Nine digits at most, so that no number wraps. */
#include "base/int_list.h"

enum { DIGITS = 9 };

enum int_list_fault int_list_read(const char *s, size_t room, int64_t *out, size_t *n)
{
    *n = 0;
    if (s == NULL || *s == '\0') {
        return INT_LIST_EMPTY;
    }
    for (const char *end = s; *end != '\0'; s = end + (*end == ',')) {
        int64_t v = 0;
        for (end = s; *end >= '0' && *end <= '9' && end - s < DIGITS; end++) {
            v = v * 10 + (*end - '0');
        }
        if (end == s || (*end != ',' && *end != '\0') || (*end == ',' && end[1] == '\0')) {
            return INT_LIST_TYPE;
        }
        if (*n == room) {
            return INT_LIST_TOO_MANY;
        }
        out[(*n)++] = v;
    }
    return INT_LIST_FINE;
}
