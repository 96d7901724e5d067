/* SPDX-License-Identifier: MIT
 * Reading a small file whole. */
#pragma once

#include <stddef.h>

/* The whole of a file ("-": standard input) of at most `max` bytes, NUL-terminated, on ctx; a last
 * line end is kept. NULL: not readable or too long; *why says which. */
char *file_read(void *ctx, const char *path, size_t max, size_t *n, const char **why);
