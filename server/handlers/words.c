/* SPDX-License-Identifier: MIT
 * Messages, read once from the files that are built in and never changed after, so that any thread
 * may look at them. */
#include "words.h"

#include <jansson.h>
#include <pthread.h>
#include <string.h>

#include "base/log.h"
#include "base/mem.h"
#include "http/assets.h"

const struct language languages[LANGUAGES] = {
    {"en", "en-GB", "ltr", "English"},
    {"pl", "pl", "ltr", "Polski"},
    {"ur", "ur", "rtl", "\u0627\u0631\u062f\u0648"},
};

static json_t *tables[LANGUAGES];
static pthread_once_t once = PTHREAD_ONCE_INIT;

static void table_load(size_t i)
{
    char name[] = "/msg/xx.json";
    memcpy(name + 5, languages[i].code, 2);
    for (uint64_t a = 0; a < asset_count; a++) {
        size_t n = strlen(assets[a].path);
        if (n > sizeof name && strcmp(assets[a].path + n + 1 - sizeof name, name) == 0) {
            tables[i] = json_loadb(assets[a].plain, (size_t)assets[a].plain_len, 0, NULL);
        }
    }
    if (!json_is_object(tables[i])) {
        log_bug("a file of messages cannot be read");
    }
}

static void load(void)
{
    for (size_t i = 0; i < LANGUAGES; i++) {
        table_load(i);
    }
}

const struct language *language_find(const char *code)
{
    for (size_t i = 0; code && i < LANGUAGES; i++) {
        if (strcmp(code, languages[i].code) == 0) {
            return &languages[i];
        }
    }
    return &languages[0];
}

bool language_unread(const struct language *l, const struct school *s)
{
    if (l == &languages[0]) {
        return false;
    }
    return strcmp(l->code, "pl") == 0 ? !s->pl_read : !s->ur_read;
}

/* CLDR 44, supplemental/plurals: en and ur have one and other, pl one, few, many and other. */
static const char *form_of(const struct language *l, int64_t n, bool whole)
{
    if (!whole) {
        return "other";
    }
    if (n == 1) {
        return "one";
    }
    if (strcmp(l->code, "pl") != 0) {
        return "other";
    }
    bool few = n % 10 >= 2 && n % 10 <= 4 && (n % 100 < 12 || n % 100 > 14);
    return few ? "few" : "many";
}

static const char *message(const struct language *l, const char *key, const char *form)
{
    pthread_once(&once, load);
    json_t *m = json_object_get(tables[l - languages], key);
    if (json_is_object(m)) {
        json_t *exact = json_object_get(m, form);
        m = exact ? exact : json_object_get(m, "other");
    }
    return json_string_value(m);
}

const char *words_count(const struct language *l, const char *key, int64_t n, bool whole)
{
    const char *here = message(l, key, form_of(l, n, whole));
    if (!here) {
        here = message(&languages[0], key, form_of(&languages[0], n, whole));
    }
    return here ? here : key;
}

const char *words_say(const struct language *l, const char *key)
{
    return words_count(l, key, 0, false);
}

static const char *value_of(const struct word_value *values, const char *name, size_t n)
{
    for (; values->name; values++) {
        if (strlen(values->name) == n && memcmp(values->name, name, n) == 0) {
            return values->value;
        }
    }
    return NULL;
}

const char *words_fill(void *mem, const struct language *l, const char *text,
                       const struct word_value *values)
{
    bool apart = strcmp(l->dir, "rtl") == 0;
    struct buf b;
    buf_init(&b, mem);
    while (*text) {
        size_t plain = strcspn(text, "{");
        buf_bytes(&b, text, plain);
        text += plain;
        size_t n = *text ? strcspn(text, "}") : 0;
        const char *value = text[n] ? value_of(values, text + 1, n - 1) : NULL;
        if (value) {
            buf_printf(&b, "%s%s%s", apart ? "\u2068" : "", value, apart ? "\u2069" : "");
            text += n + 1;
        } else if (*text) {
            buf_bytes(&b, text++, 1);
        }
    }
    return b.data ? b.data : "";
}
