/* SPDX-License-Identifier: MIT
 * What is wrong, in sentences for a child: at most twelve words each, and how to mend it. */
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "quick_internal.h"
#include "value_words.h"

static const char *number_of(struct quick *q, enum value_unit unit, int64_t value)
{
    struct buf b;
    const char *point = words_say(q->language, "number.point");
    buf_init(&b, q->rq->mem);
    value_number(&b, unit, value);
    for (char *c = b.data; *c; c++) {
        *c = *c == '.' ? *point : *c;
    }
    return b.data;
}

/* "12.4 seconds", "85 cm", "1 point", "17": as js/words.js says it. */
static const char *words_of(struct quick *q, int64_t value)
{
    static const char *const keys[] = {
        [VALUE_POINTS] = "value.long_points", [VALUE_MS] = "value.long_ms",
        [VALUE_MM] = "value.long_mm"};
    enum value_unit unit = q->activity->unit;
    const char *number = number_of(q, unit, value);
    int64_t scale = unit == VALUE_MS ? 1000 : unit == VALUE_MM ? 10 : 1;
    if (unit == VALUE_COUNT) {
        return number;
    }
    const char *text = words_count(q->language, keys[unit], value / scale, value % scale == 0);
    return words_fill(q->rq->mem, q->language, text,
                      (const struct word_value[]){{"number", number}, {NULL, NULL}});
}

static const char *value_in(struct quick *q, const char *key, const char *value)
{
    return words_fill(q->rq->mem, q->language, words_say(q->language, key),
                      (const struct word_value[]){{"value", value}, {NULL, NULL}});
}

/* A message about n of something, and a value where it has one. */
static const char *counted(struct quick *q, const char *key, int n, const char *value)
{
    return words_fill(q->rq->mem, q->language, words_count(q->language, key, n, true),
                      (const struct word_value[]){{"n", mem_printf(q->rq->mem, "%d", n)},
                                                  {"value", value}, {NULL, NULL}});
}

static void say(struct quick *q, enum quick_field f, const char *sentence)
{
    if (!q->wrong[f]) {
        q->wrong[f] = sentence;
    }
}

static void say_key(struct quick *q, enum quick_field f, const char *key)
{
    say(q, f, words_say(q->language, key));
}

/* "16 cannot be made with 4 goes. 15 or 17 can." */
static const char *impossible(struct quick *q, const struct blame *why, const struct tried *t)
{
    void *mem = q->rq->mem;
    const char *value = t->has_value ? mem_printf(mem, "%lld", (long long)t->value)
                                     : words_say(q->language, "quick.that");
    const char *cannot = counted(q, "quick.impossible", q->activity->throws, value);
    json_t *near = json_object_get(why->more, "nearest");
    size_t n = json_array_size(near);
    if (n == 0) {
        return cannot;
    }
    const char *low = mem_printf(mem, "%lld",
                                 (long long)json_integer_value(json_array_get(near, 0)));
    const char *high = mem_printf(mem, "%lld",
                                  (long long)json_integer_value(json_array_get(near, n - 1)));
    const char *can = words_say(q->language, n > 1 ? "code.nearest_two" : "code.nearest_one");
    const struct word_value values[] = {{"low", low}, {"high", high}, {"total", low}, {NULL, NULL}};
    return mem_printf(mem, "%s %s", cannot, words_fill(mem, q->language, can, values));
}

static const char *unusual(struct quick *q, const struct blame *why, const struct tried *t,
                           const char *key)
{
    json_t *meant = json_object_get(why->more, "did_you_mean");
    const char *value = t->has_value ? words_of(q, t->value)
                                     : words_say(q->language, "quick.that");
    const char *sentence = value_in(q, key, value);
    if (meant) {
        const char *other = words_of(q, json_integer_value(meant));
        return mem_printf(q->rq->mem, "%s %s", sentence,
                          value_in(q, "send.did_you_mean", other));
    }
    return sentence;
}

static const char *points_sentence(struct quick *q, const struct blame *why,
                                   const struct tried *t)
{
    const char *place = strrchr(why->pointer, '/');
    long at = place ? strtol(place + 1, NULL, 10) : 0;
    if (at < 0 || at >= t->throw_count) {
        return words_say(q->language, "quick.look_try");
    }
    return value_in(q, "quick.go_points", mem_printf(q->rq->mem, "%d", t->throws[at]));
}

static const char *attempt_sentence(struct quick *q, const struct blame *why,
                                    const struct tried *t)
{
    const char *code = why->code;
    if (strcmp(code, "impossible") == 0) {
        return impossible(q, why, t);
    }
    if (strcmp(code, "confirm") == 0) {
        return unusual(q, why, t, "quick.unusual");
    }
    if (strcmp(code, "out_of_range") == 0) {
        return unusual(q, why, t, "quick.wrong");
    }
    if (strcmp(code, "too_many_throws") == 0) {
        return counted(q, "quick.throws", q->activity->throws, NULL);
    }
    if (strcmp(code, "wrong_points") == 0) {
        return points_sentence(q, why, t);
    }
    return words_say(q->language, "quick.look_try");
}

/* "/attempts/1/value" -> 1; n when it names no attempt. */
static size_t attempt_of(const char *pointer, size_t n)
{
    static const char head[] = "/attempts/";
    if (strncmp(pointer, head, sizeof head - 1) != 0) {
        return n;
    }
    size_t i = (size_t)strtoul(pointer + sizeof head - 1, NULL, 10);
    return i < n ? i : n;
}

static void explain_blame(struct quick *q, const struct blame *why,
                          const enum quick_field *field_of, size_t n)
{
    size_t i = attempt_of(why->pointer, n);
    q->ask = q->ask || strcmp(why->code, "confirm") == 0;
    if (i == n) {
        bool many = strcmp(why->code, "too_many") == 0;
        size_t first = many ? (size_t)q->activity->attempts : 0;
        enum quick_field f = many && first < n ? field_of[first] : QUICK_ATTEMPT;
        say(q, f, many ? counted(q, "quick.many", q->activity->attempts, NULL)
                       : words_say(q->language, "quick.at_least"));
        return;
    }
    if (strstr(why->pointer, "/distance_mm")) {
        say_key(q, QUICK_DISTANCE, strcmp(why->code, "confirm") == 0 ? "quick.distance_right"
                                                                       : "quick.distance_range");
        return;
    }
    struct tried t;
    if (quick_read_attempt(q->activity, q->typed[field_of[i]], &t)) {
        say(q, field_of[i], attempt_sentence(q, why, &t));
    }
}

void quick_explain(struct quick *q, enum err e, const enum quick_field *field_of, size_t n)
{
    switch (e) {
    case ERR_NOT_OPEN:
        say_key(q, QUICK_CHALLENGE, "childerror.not-open");
        break;
    case ERR_CLOSED:
        say_key(q, QUICK_CHALLENGE, "childerror.closed");
        break;
    case ERR_ENOUGH_TODAY:
        q->wrong_all = words_say(q->language, "childerror.enough-today");
        break;
    case ERR_NOT_FOUND:
        say_key(q, QUICK_CHALLENGE, "quick.no_number");
        break;
    default:
        for (size_t i = 0; i < q->rq->blame_count; i++) {
            explain_blame(q, &q->rq->blames[i], field_of, n);
        }
    }
}
