/* SPDX-License-Identifier: MIT
 * Memory policy: everything hangs from a talloc context; running out of memory logs and aborts
 * (requests are capped, so only a broken machine gets there). A context is never shared between
 * threads: request roots are made with mem_root(), owned by whoever holds the request now. */
#pragma once

#include <stddef.h>
#include <talloc.h>

/* A context with no parent. Free with talloc_free. Never NULL. */
void *mem_root(void);

/* Zeroed array of `n` T on `ctx`; never NULL. `n` may be 0. */
#define mem_array(ctx, T, n) ((T *)mem_array_((ctx), sizeof(T), (n), #T))
#define mem_new(ctx, T) mem_array((ctx), T, 1)
void *mem_array_(void *ctx, size_t size, size_t n, const char *name);

/* Copies; never NULL unless the input is NULL. */
char *mem_str(void *ctx, const char *s);
char *mem_strn(void *ctx, const char *s, size_t n);
char *mem_printf(void *ctx, const char *fmt, ...) __attribute__((format(printf, 2, 3)));

/* Room for one more element in a growing array: if n == *cap, doubles. Returns the (new) array. */
#define mem_grow(ctx, arr, n, cap) \
    ((arr) = mem_grow_((ctx), (arr), sizeof *(arr), (n), (cap)))
void *mem_grow_(void *ctx, void *arr, size_t size, size_t n, size_t *cap);
