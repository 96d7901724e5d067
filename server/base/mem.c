/* SPDX-License-Identifier: MIT
 * talloc with one answer to "no memory": say so and stop. Every request is capped, so only a broken
 * machine gets here; what was acknowledged is on the disk.
 */
#include "base/mem.h"

#include <stdarg.h>
#include <stdlib.h>
#include <string.h>

#include "base/log.h"

static void *must(void *p)
{
    if (!p) {
        log_event(LOG_ERROR, "out_of_memory", "what=talloc");
        abort();
    }
    return p;
}

void *mem_root(void)
{
    return must(talloc_new(NULL));
}

void *mem_array_(void *ctx, size_t size, size_t n, const char *name)
{
    size_t bytes;
    if (__builtin_mul_overflow(size, n, &bytes)) {
        must(NULL);
    }
    void *p = must(talloc_named_const(ctx, bytes, name));
    if (bytes) {
        memset(p, 0, bytes);
    }
    return p;
}

char *mem_str(void *ctx, const char *s)
{
    return s ? must(talloc_strdup(ctx, s)) : NULL;
}

char *mem_strn(void *ctx, const char *s, size_t n)
{
    if (!s) {
        return NULL;
    }
    char *copy = must(talloc_size(ctx, n + 1));
    memcpy(copy, s, n);
    copy[n] = '\0';
    return copy;
}

char *mem_printf(void *ctx, const char *fmt, ...)
{
    va_list ap;
    va_start(ap, fmt);
    char *s = talloc_vasprintf(ctx, fmt, ap);
    va_end(ap);
    return must(s);
}

void *mem_grow_(void *ctx, void *arr, size_t size, size_t n, size_t *cap)
{
    if (n < *cap) {
        return arr;
    }
    size_t more = *cap ? *cap * 2 : 8, bytes = 0;
    if (more <= *cap || __builtin_mul_overflow(more, size, &bytes)) {
        must(NULL);
    }
    char *grown = must(talloc_realloc_size(ctx, arr, bytes));
    memset(grown + *cap * size, 0, (more - *cap) * size);
    *cap = more;
    return grown;
}
