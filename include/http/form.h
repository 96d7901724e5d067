/* SPDX-License-Identifier: MIT
 * Strict reader of application/x-www-form-urlencoded: form bodies and query strings. */
#pragma once

#include <stddef.h>

#include "base/err.h"

enum { FORM_FIELDS = 32, FORM_KEY = 32, FORM_VALUE = 256 };

struct form_field {
    const char *key, *value;    /* decoded, valid UTF-8, no NUL */
};

struct form {
    size_t n;
    struct form_field field[FORM_FIELDS];
};

/* ERR_MALFORMED: bad or NUL escape, invalid UTF-8, a key twice, an empty or too long key.
 * ERR_TOO_LARGE: too many fields, or a value too long. Everything on ctx. */
enum err form_parse(void *ctx, const char *s, size_t n, struct form **out) MUST_USE;
