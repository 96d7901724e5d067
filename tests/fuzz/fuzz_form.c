/* SPDX-License-Identifier: MIT
 * Forms and query strings: what is taken is whole, within its caps and well-formed; written down
 * again in the shortest way it is read as the same. */
#include <string.h>

#include "base/mem.h"
#include "http/form.h"
#include "http/request.h"
#include "take.h"
#include "utf8.h"

/* Behind `to`: the text with every byte escaped that may not stand there as it is. */
static char *put(char *to, const char *s)
{
    for (; *s != '\0'; s++) {
        unsigned char c = (unsigned char)*s;
        if (c == ' ') {
            *to++ = '+';
        } else if (c < 0x20 || c == 0x7f || strchr("&=+%", c) != NULL) {
            to += sprintf(to, "%%%02X", c);
        } else {
            *to++ = (char)c;
        }
    }
    return to;
}

static void check_same(void *mem, const struct form *f)
{
    struct form *again;
    char *text = mem_array(mem, char, (size_t)FORM_FIELDS * (FORM_KEY + FORM_VALUE) * 3 + 128);
    char *end = text;
    for (size_t i = 0; i < f->n; i++) {
        *end = '&';
        end += i > 0;
        end = put(end, f->field[i].key);
        *end++ = '=';
        end = put(end, f->field[i].value);
    }
    MUST(form_parse(mem, text, (size_t)(end - text), &again) == OK && again->n == f->n);
    for (size_t i = 0; i < f->n; i++) {
        MUST(strcmp(again->field[i].key, f->field[i].key) == 0);
        MUST(strcmp(again->field[i].value, f->field[i].value) == 0);
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct form *f;
    void *mem = mem_root();
    size_t parts = size > 0;
    bool raw = true, nul = false;
    enum err e = form_parse(mem, (const char *)data, size, &f);
    MUST(e == OK || e == ERR_MALFORMED || e == ERR_TOO_LARGE);
    for (size_t i = 0; i < size; i++) {
        parts += data[i] == '&';
        raw = raw && data[i] > 0x20 && data[i] != 0x7f;
        nul = nul || (size - i > 2 && memcmp(data + i, "%00", 3) == 0);
    }
    if (e == OK) {
        MUST(raw && !nul && f->n == parts && f->n <= FORM_FIELDS);
        for (size_t i = 0; i < f->n; i++) {
            const char *key = f->field[i].key, *value = f->field[i].value;
            size_t long_key = strlen(key), long_value = strlen(value);
            MUST(long_key > 0 && long_key <= FORM_KEY && utf8_well_formed(key, long_key));
            MUST(long_value <= FORM_VALUE && utf8_well_formed(value, long_value));
            MUST(form_get(f, key) == value);        /* none has its name twice */
        }
        check_same(mem, f);
    }
    talloc_free(mem);
    return 0;
}
