/* SPDX-License-Identifier: MIT
 * JSON pointers (RFC 6901) to what was wrong in a body. A new text on ctx each; `at` is the pointer
 * of the value around it, "" for the whole body. */
#pragma once

#include <stddef.h>

/* To a member; any name, "~" and "/" in it written as ~0 and ~1. */
char *pointer_member(void *ctx, const char *at, const char *name);
/* To an element of an array. */
char *pointer_item(void *ctx, const char *at, size_t i);
