/* SPDX-License-Identifier: MIT
 * What is wrong, in sentences for a child: at most twelve words each, and how to mend it. */
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "quick_internal.h"
#include "value_words.h"

static const char *words_of(struct quick *q, int64_t value)
{
    struct buf b;
    buf_init(&b, q->rq->mem);
    value_words(&b, q->activity->unit, value);
    return b.data;
}

static void say(struct quick *q, enum quick_field f, const char *sentence)
{
    if (!q->wrong[f]) {
        q->wrong[f] = sentence;
    }
}

/* "16 cannot be made with 4 goes. 15 or 17 can." */
static const char *impossible(struct quick *q, const struct blame *why, const struct tried *t)
{
    struct buf b;
    buf_init(&b, q->rq->mem);
    if (t->has_value) {
        buf_int(&b, t->value);
    } else {
        buf_str(&b, "That");
    }
    buf_printf(&b, " cannot be made with %d %s.", q->activity->throws,
               q->activity->throws == 1 ? "go" : "goes");
    json_t *near = json_object_get(why->more, "nearest");
    for (size_t i = 0; i < json_array_size(near); i++) {
        buf_str(&b, i > 0 ? " or " : " ");
        buf_int(&b, json_integer_value(json_array_get(near, i)));
    }
    if (json_array_size(near) > 0) {
        buf_str(&b, " can.");
    }
    return b.data;
}

static const char *unusual(struct quick *q, const struct blame *why, const struct tried *t,
                           const char *tail)
{
    json_t *meant = json_object_get(why->more, "did_you_mean");
    const char *value = t->has_value ? words_of(q, t->value) : "That";
    if (meant) {
        return mem_printf(q->rq->mem, "%s%s Did you mean %s?", value, tail,
                          words_of(q, json_integer_value(meant)));
    }
    return mem_printf(q->rq->mem, "%s%s", value, tail);
}

static const char *distance_sentence(const struct blame *why)
{
    bool asked = strcmp(why->code, "confirm") == 0;
    return asked ? "Your sheet does not have that distance. Is it right?"
                 : "A distance is from 0.5 to 30 metres.";
}

static const char *attempt_sentence(struct quick *q, const struct blame *why,
                                    const struct tried *t)
{
    const char *code = why->code;
    if (strcmp(code, "impossible") == 0) {
        return impossible(q, why, t);
    }
    if (strcmp(code, "confirm") == 0) {
        return unusual(q, why, t, " is unusual. Is it right?");
    }
    if (strcmp(code, "out_of_range") == 0) {
        return unusual(q, why, t, " cannot be right. Look again.");
    }
    if (strcmp(code, "too_many_throws") == 0) {
        return mem_printf(q->rq->mem, "One try has %d %s here, not more.", q->activity->throws,
                          q->activity->throws == 1 ? "go" : "goes");
    }
    if (strcmp(code, "wrong_points") == 0) {
        const char *place = strrchr(why->pointer, '/');
        long at = place ? strtol(place + 1, NULL, 10) : 0;
        return at >= 0 && at < t->throw_count
                   ? mem_printf(q->rq->mem, "A go cannot score %d here.", t->throws[at])
                   : "A go cannot score that here.";
    }
    return "Look at this try again.";
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
        say(q, f, many ? mem_printf(q->rq->mem, "This challenge has %d tries, not more.",
                                    q->activity->attempts)
                       : "Write at least one try, or say why not.");
        return;
    }
    if (strstr(why->pointer, "/distance_mm")) {
        say(q, QUICK_DISTANCE, distance_sentence(why));
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
        say(q, QUICK_CHALLENGE, "This challenge has not opened yet.");
        break;
    case ERR_CLOSED:
        say(q, QUICK_CHALLENGE, "This has closed. Your teacher can still add your tries.");
        break;
    case ERR_ENOUGH_TODAY:
        q->wrong_all = "That is ten times today. Great work. Rest now.";
        break;
    case ERR_NOT_FOUND:
        say(q, QUICK_CHALLENGE, "You have no challenge with that number. Look at your sheet.");
        break;
    default:
        for (size_t i = 0; i < q->rq->blame_count; i++) {
            explain_blame(q, &q->rq->blames[i], field_of, n);
        }
    }
}
