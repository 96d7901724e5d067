/* SPDX-License-Identifier: MIT
 * A hand-in's JSON into a plain struct, on the loop thread. Strict: a member that is not known, of
 * another type, out of bounds, or a choice that is none, is blamed by its pointer; nothing is
 * guessed and nothing is looked up. jansson has refused duplicate members before. */
#include <limits.h>
#include <string.h>

#include "base/clock.h"
#include "base/mem.h"
#include "base/pointer.h"
#include "base/text.h"
#include "hand_in_internal.h"
#include "handlers/handlers.h"

/* One value being read. `at` is its pointer. */
struct field {
    struct request *rq;
    const char *at;
    json_t *v;
};

static void blame(const struct field *f, const char *code)
{
    request_blame(f->rq, f->at, code, NULL);
}

/* Plain readers; on a fault they blame and leave *out. ----------------------------------------- */

static bool read_text(const struct field *f, const char **out)
{
    if (!json_is_string(f->v)) {
        blame(f, "type");
        return false;
    }
    *out = json_string_value(f->v);
    return true;
}

static void read_id(const struct field *f, int64_t *out)
{
    const char *s = NULL;
    if (read_text(f, &s) && !text_id(s, out)) {
        blame(f, "not_an_id");
    }
}

static void read_uuid(const struct field *f, struct uuid *out)
{
    const char *s = NULL;
    if (read_text(f, &s) && !text_uuid(s, out->b)) {
        blame(f, "not_a_uuid");
    }
}

static void read_word(const struct field *f, const char *const words[], const char **out)
{
    const char *s = NULL;
    if (read_text(f, &s)) {
        *out = hand_in_word(words, s);
        if (!*out) {
            blame(f, "not_a_choice");
        }
    }
}

static void read_int(const struct field *f, int64_t lo, int64_t hi, int64_t *out)
{
    if (!json_is_integer(f->v)) {
        blame(f, "type");
    } else if (json_integer_value(f->v) < lo || json_integer_value(f->v) > hi) {
        blame(f, "out_of_range");
    } else {
        *out = json_integer_value(f->v);
    }
}

static void read_day(const struct field *f, struct hand_in_input *in)
{
    const char *s = NULL;
    if (!read_text(f, &s)) {
        return;
    }
    in->has_done_on = clock_day_parse(s, &in->done_on);
    if (!in->has_done_on) {
        blame(f, "not_a_day");
    }
}

/* Attempts ------------------------------------------------------------------------------------- */

static void read_throws(const struct field *f, struct tried *t)
{
    if (!json_is_array(f->v)) {
        blame(f, "type");
        return;
    }
    if (json_array_size(f->v) > TRIED_THROWS_MAX) {
        blame(f, "too_many_throws");
        return;
    }
    for (size_t i = 0; i < json_array_size(f->v); i++) {
        const struct field one = {f->rq, pointer_item(f->rq->mem, f->at, i),
                                  json_array_get(f->v, i)};
        if (!json_is_integer(one.v)) {
            blame(&one, "type");
            continue;
        }
        int64_t points = json_integer_value(one.v);
        t->throws[t->throw_count++] = points < 0 || points > INT_MAX ? -1 : (int)points;
    }
}

static void read_attempt_member(const struct field *f, const char *key, struct tried *t)
{
    int64_t n = 0;
    if (strcmp(key, "throws") == 0) {
        read_throws(f, t);
    } else if (strcmp(key, "value") == 0) {
        t->has_value = json_is_integer(f->v);
        read_int(f, INT64_MIN, INT64_MAX, &t->value);
    } else if (strcmp(key, "distance_mm") == 0) {
        read_int(f, 1, INT32_MAX, &n);
        t->distance_mm = (int32_t)n;
    } else if (strcmp(key, "tries_used") == 0) {
        read_int(f, 1, 100, &n);
        t->tries_used = (int)n;
    } else {
        blame(f, "unknown");
    }
}

static void read_attempt(const struct field *f, struct tried *t)
{
    if (!json_is_object(f->v)) {
        blame(f, "type");
        return;
    }
    const char *key;
    json_t *v;
    json_object_foreach(f->v, key, v) {
        const struct field one = {f->rq, pointer_member(f->rq->mem, f->at, key), v};
        read_attempt_member(&one, key, t);
    }
}

static void read_attempts(const struct field *f, struct hand_in_input *in)
{
    if (!json_is_array(f->v)) {
        blame(f, "type");
        return;
    }
    size_t n = json_array_size(f->v);
    if (n > HAND_IN_ATTEMPTS) {
        blame(f, "too_many");
        return;
    }
    for (size_t i = 0; i < n; i++) {
        const struct field one = {f->rq, pointer_item(f->rq->mem, f->at, i),
                                  json_array_get(f->v, i)};
        read_attempt(&one, &in->tried[i]);
    }
    in->tried_count = n;
}

/* Cues, answers, setup ------------------------------------------------------------------------- */

static bool is_listed(const int64_t *ids, size_t n, int64_t id)
{
    for (size_t i = 0; i < n; i++) {
        if (ids[i] == id) {
            return true;
        }
    }
    return false;
}

static void read_cues(const struct field *f, struct hand_in *h)
{
    if (!json_is_array(f->v)) {
        blame(f, "type");
        return;
    }
    if (json_array_size(f->v) > HAND_IN_CUES) {
        blame(f, "too_many");
        return;
    }
    for (size_t i = 0; i < json_array_size(f->v); i++) {
        const struct field one = {f->rq, pointer_item(f->rq->mem, f->at, i),
                                  json_array_get(f->v, i)};
        int64_t id = 0;
        read_id(&one, &id);
        if (is_listed(h->cues, h->cue_count, id)) {
            blame(&one, "duplicate");
        } else {
            h->cues[h->cue_count++] = id;
        }
    }
}

static void read_answers(const struct field *f, struct hand_in *h)
{
    if (!json_is_object(f->v)) {
        blame(f, "type");
        return;
    }
    if (json_object_size(f->v) > HAND_IN_ANSWERS) {
        blame(f, "too_many");
        return;
    }
    const char *key;
    json_t *v;
    json_object_foreach(f->v, key, v) {
        const struct field one = {f->rq, pointer_member(f->rq->mem, f->at, key), v};
        struct hand_in_answer *a = &h->answers[h->answer_count];
        if (!text_id(key, &a->question)) {
            blame(&one, "unknown");
            continue;
        }
        read_id(&one, &a->choice);
        h->answer_count++;
    }
}

static void read_setup(const struct field *f, struct hand_in *h)
{
    if (!json_is_object(f->v)) {
        blame(f, "type");
        return;
    }
    const char *key;
    json_t *v;
    json_object_foreach(f->v, key, v) {
        const struct field one = {f->rq, pointer_member(f->rq->mem, f->at, key), v};
        if (strcmp(key, "target") == 0) {
            read_id(&one, &h->target);
        } else if (strcmp(key, "kit") == 0) {
            read_id(&one, &h->kit);
        } else if (strcmp(key, "place") == 0) {
            read_word(&one, hand_in_place_words, &h->place);
        } else if (strcmp(key, "counted_by") == 0) {
            read_word(&one, hand_in_counted_words, &h->counted_by);
        } else {
            blame(&one, "unknown");
        }
    }
}

/* The whole ------------------------------------------------------------------------------------ */

/* Members that a teacher's entry has besides the child's. */
static bool read_behalf_member(const struct field *f, const char *key, struct hand_in *h)
{
    static const char *const channels[] = {"paper", "staff", NULL};
    if (strcmp(key, "pupil") == 0) {
        read_id(f, &h->pupil.v);
    } else if (strcmp(key, "channel") == 0) {
        const char *word = NULL;
        read_word(f, channels, &word);
        h->channel = hand_in_word(hand_in_channel_words, word);
    } else {
        return false;
    }
    return true;
}

static bool read_said_member(const struct field *f, const char *key, struct hand_in *h)
{
    if (strcmp(key, "cues") == 0) {
        read_cues(f, h);
    } else if (strcmp(key, "answers") == 0) {
        read_answers(f, h);
    } else if (strcmp(key, "felt") == 0) {
        read_word(f, hand_in_felt_words, &h->felt);
    } else if (strcmp(key, "setup") == 0) {
        read_setup(f, h);
    } else if (strcmp(key, "could_not") == 0) {
        read_word(f, hand_in_could_not_words, &h->could_not);
    } else if (strcmp(key, "confirmed") != 0) {
        return false;
    } else if (!json_is_boolean(f->v)) {
        blame(f, "type");
    } else {
        h->confirmed = json_is_true(f->v);
    }
    return true;
}

static void read_member(const struct field *f, const char *key, struct hand_in_input *in)
{
    if (strcmp(key, "id") == 0) {
        read_uuid(f, &in->h.id);
    } else if (strcmp(key, "challenge") == 0) {
        read_id(f, &in->h.challenge.v);
    } else if (strcmp(key, "version") == 0) {
        read_id(f, &in->h.version.v);
    } else if (strcmp(key, "attempts") == 0) {
        read_attempts(f, in);
    } else if (strcmp(key, "done_on") == 0) {
        read_day(f, in);
    } else if (!read_said_member(f, key, &in->h)) {
        blame(f, "unknown");
    }
}

static void require(struct request *rq, const char *key, const char *at)
{
    if (!json_object_get(rq->json, key)) {
        request_blame(rq, at, "required", NULL);
    }
}

enum err hand_in_input_read(struct request *rq, bool on_behalf, struct hand_in_input *out)
{
    const char *key;
    json_t *v;
    json_object_foreach(rq->json, key, v) {
        const struct field f = {rq, pointer_member(rq->mem, "", key), v};
        if (!on_behalf || !read_behalf_member(&f, key, &out->h)) {
            read_member(&f, key, out);
        }
    }
    require(rq, "id", "/id");
    require(rq, "attempts", "/attempts");
    if (on_behalf) {
        require(rq, "pupil", "/pupil");
        require(rq, "channel", "/channel");
    } else {
        require(rq, "challenge", "/challenge");
    }
    return rq->blame_count > 0 ? ERR_BAD_INPUT : OK;
}

enum err h_hand_in_post_parse(struct request *rq, struct reply *rp)
{
    (void)rp;
    struct hand_in_input *in = mem_new(rq->mem, struct hand_in_input);
    rq->input = in;
    return hand_in_input_read(rq, false, in);
}

enum err h_challenge_hand_in_post_parse(struct request *rq, struct reply *rp)
{
    (void)rp;
    struct hand_in_input *in = mem_new(rq->mem, struct hand_in_input);
    rq->input = in;
    enum err e = hand_in_input_read(rq, true, in);
    if (e == OK && in->h.challenge.v != 0 && in->h.challenge.v != rq->args[0].id) {
        return request_blame(rq, "/challenge", "disagree", NULL);
    }
    in->h.challenge.v = rq->args[0].id;
    return e;
}
