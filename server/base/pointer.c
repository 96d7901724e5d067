/* SPDX-License-Identifier: MIT */
#include "base/pointer.h"

#include <string.h>

#include "base/mem.h"

char *pointer_member(void *ctx, const char *at, const char *name)
{
    size_t n = strlen(at);
    char *out = mem_array(ctx, char, n + 1 + 2 * strlen(name) + 1), *to = out + n;
    memcpy(out, at, n);
    *to++ = '/';
    for (; *name; name++) {
        if (*name == '~' || *name == '/') {
            *to++ = '~';
            *to++ = *name == '~' ? '0' : '1';
        } else {
            *to++ = *name;
        }
    }
    *to = '\0';
    return out;
}

char *pointer_item(void *ctx, const char *at, size_t i)
{
    return mem_printf(ctx, "%s/%zu", at, i);
}
