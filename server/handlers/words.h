/* SPDX-License-Identifier: MIT
 * The words of web/msg on the server, for pages without script: the same files that the modules
 * read, built into the program. A message that a language lacks is English. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/buf.h"
#include "store/school.h"

enum { LANGUAGES = 3 };

struct language {
    const char *code, *tag, *dir, *name;    /* "pl", "pl", "ltr", "Polski" */
};
extern const struct language languages[LANGUAGES];  /* English first */

/* "pl" -> Polish; English for NULL and for anything not spoken here. */
const struct language *language_find(const char *code);
/* Machine-made, and the school has not ticked it as read. */
bool language_unread(const struct language *l, const struct school *s);

/* The message, static; the key itself when there is none even in English. For a plural message its
 * "other" form. */
const char *words_say(const struct language *l, const char *key);
/* The form for n; `whole` false: n stands before a decimal point. Rules as in CLDR 44, plurals. */
const char *words_count(const struct language *l, const char *key, int64_t n, bool whole);

struct word_value {
    const char *name, *value;               /* {name} */
};
/* "{n}" and so on put in, on mem. `values` ends with {NULL, NULL}. Where letters run from the right
 * each value keeps its own direction (U+2068 FIRST STRONG ISOLATE, U+2069). */
const char *words_fill(void *mem, const struct language *l, const char *text,
                       const struct word_value *values);
