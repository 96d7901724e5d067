/* SPDX-License-Identifier: MIT
 * An activity's JSON into a draft.
 *
 * A page sends back what it was given, so the members that the server made ("id", "revision",
 * "attainable") are allowed and ignored, but for "revision" at the top: it says which revision the
 * change was made from. What is typed is cleaned first and judged after (store/activity_check.c).
 * Distances are put in order here: a teacher may type them as they come to mind. */
#include "plan_internal.h"

#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "store/school.h"

static void read_zones(struct reader *r, struct activity *a)
{
    static const char *const names[] = {"name", "points", "x1_mm", "x2_mm", "y1_mm", "y2_mm", NULL};
    const json_t *list = reader_list(r, "zones", ACTIVITY_ZONES);
    a->zone_count = json_array_size(list);
    for (size_t i = 0; i < a->zone_count; i++) {
        struct reader item = reader_item(r, "zones", list, i);
        struct activity_zone *z = &a->zones[i];
        struct optional_int points = {0};
        reader_known(&item, names);
        reader_text(&item, "name", &z->name);
        reader_optional(&item, "points", &points);
        z->points = (int)points.v;
        if (!points.set && item.err == OK) {
            reader_blame(&item, "points", "required");
        }
        reader_optional(&item, "x1_mm", &z->x1_mm);
        reader_optional(&item, "x2_mm", &z->x2_mm);
        reader_optional(&item, "y1_mm", &z->y1_mm);
        reader_optional(&item, "y2_mm", &z->y2_mm);
        reader_join(r, &item);
    }
}

static int by_distance(const void *a, const void *b)
{
    int32_t x = *(const int32_t *)a, y = *(const int32_t *)b;
    return (x > y) - (x < y);
}

static void read_distances(struct reader *r, struct activity *a)
{
    const json_t *list = reader_list(r, "distances_mm", ACTIVITY_DISTANCES);
    a->distance_count = json_array_size(list);
    for (size_t i = 0; i < a->distance_count; i++) {
        const json_t *v = json_array_get(list, i);
        json_int_t mm = json_integer_value(v);
        if (!json_is_integer(v)) {
            reader_blame(r, mem_printf(r->rq->mem, "distances_mm/%zu", i), "type");
        } else if (mm < 500 || mm > 30000) {
            reader_blame(r, mem_printf(r->rq->mem, "distances_mm/%zu", i), "out_of_range");
        } else {
            a->distances_mm[i] = (int32_t)mm;
        }
    }
    qsort(a->distances_mm, a->distance_count, sizeof *a->distances_mm, by_distance);
}

static void read_targets(struct reader *r, struct activity *a)
{
    static const char *const names[] = {"id", "name", "size_mm", NULL};
    const json_t *list = reader_list(r, "targets", ACTIVITY_TARGETS);
    a->target_count = json_array_size(list);
    for (size_t i = 0; i < a->target_count; i++) {
        struct reader item = reader_item(r, "targets", list, i);
        reader_known(&item, names);
        reader_text(&item, "name", &a->targets[i].name);
        reader_int(&item, "size_mm", &a->targets[i].size_mm);
        reader_join(r, &item);
    }
}

static void read_lines(struct reader *r, struct activity_version *v)
{
    const json_t *list = reader_list(r, "band_lines", ACTIVITY_BAND_LINES);
    v->band_line_count = json_array_size(list);
    for (size_t i = 0; i < v->band_line_count; i++) {
        const json_t *line = json_array_get(list, i);
        if (json_is_integer(line)) {
            v->band_lines[i] = json_integer_value(line);
        } else {
            reader_blame(r, mem_printf(r->rq->mem, "band_lines/%zu", i), "type");
        }
    }
}

static void read_versions(struct reader *r, struct activity *a)
{
    static const char *const names[] = {"id", "kind", "how", "band_lines", "own_target", NULL};
    const json_t *list = reader_list(r, "versions", ACTIVITY_VERSIONS);
    a->version_count = json_array_size(list);
    for (size_t i = 0; i < a->version_count; i++) {
        struct reader item = reader_item(r, "versions", list, i);
        int kind = -1;
        reader_known(&item, names);
        reader_word(&item, "kind", version_kind_of, &kind);
        if (kind < 0 && item.err == OK) {
            reader_blame(&item, "kind", "required");
        }
        a->versions[i].kind = kind < 0 ? VERSION_STANDARD : (enum version_kind)kind;
        reader_text(&item, "how", &a->versions[i].how);
        read_lines(&item, &a->versions[i]);
        reader_optional(&item, "own_target", &a->versions[i].own_target);
        reader_join(r, &item);
    }
}

static void read_cues(struct reader *r, struct activity *a)
{
    static const char *const names[] = {"id", "text", NULL};
    const json_t *list = reader_list(r, "cues", ACTIVITY_CUES);
    a->cue_count = json_array_size(list);
    for (size_t i = 0; i < a->cue_count; i++) {
        struct reader item = reader_item(r, "cues", list, i);
        reader_known(&item, names);
        reader_text(&item, "text", &a->cues[i].text);
        reader_join(r, &item);
    }
}

static void read_choices(struct reader *r, struct activity_question *q)
{
    static const char *const names[] = {"id", "text", "right", NULL};
    const json_t *list = reader_list(r, "choices", ACTIVITY_CHOICES);
    q->choice_count = json_array_size(list);
    for (size_t i = 0; i < q->choice_count; i++) {
        struct reader item = reader_item(r, "choices", list, i);
        reader_known(&item, names);
        reader_text(&item, "text", &q->choices[i].text);
        reader_bool(&item, "right", &q->choices[i].right);
        reader_join(r, &item);
    }
}

static void read_questions(struct reader *r, struct activity *a)
{
    static const char *const names[] = {"id", "text", "choices", NULL};
    const json_t *list = reader_list(r, "questions", ACTIVITY_QUESTIONS);
    a->question_count = json_array_size(list);
    for (size_t i = 0; i < a->question_count; i++) {
        struct reader item = reader_item(r, "questions", list, i);
        reader_known(&item, names);
        reader_text(&item, "text", &a->questions[i].text);
        read_choices(&item, &a->questions[i]);
        reader_join(r, &item);
    }
}

static void read_safety(struct reader *r, struct activity *a)
{
    const json_t *list = reader_list(r, "safety", ACTIVITY_SAFETY);
    a->safety_count = json_array_size(list);
    for (size_t i = 0; i < a->safety_count; i++) {
        /* A list of texts read as if each were a member. */
        struct reader one = {.rq = r->rq, .at = mem_printf(r->rq->mem, "%s/safety", r->at)};
        const char *key = mem_printf(r->rq->mem, "%zu", i);
        json_t *wrap = request_own_json(r->rq, json_pack("{sO}", key, json_array_get(list, i)));
        one.obj = wrap;
        reader_text(&one, key, &a->safety[i]);
        reader_join(r, &one);
    }
}

static void read_kit(struct reader *r, struct activity *a)
{
    static const char *const names[] = {"id", "item", "swap", NULL};
    const json_t *list = reader_list(r, "kit", ACTIVITY_KIT);
    a->kit_count = json_array_size(list);
    for (size_t i = 0; i < a->kit_count; i++) {
        struct reader item = reader_item(r, "kit", list, i);
        reader_known(&item, names);
        reader_text(&item, "item", &a->kit[i].item);
        reader_text(&item, "swap", &a->kit[i].swap);
        reader_join(r, &item);
    }
}

static void read_steps(struct reader *r, struct activity *a)
{
    static const char *const names[] = {"change", "easier", "harder", NULL};
    const json_t *list = reader_list(r, "steps", ACTIVITY_STEPS);
    a->step_count = json_array_size(list);
    for (size_t i = 0; i < a->step_count; i++) {
        struct reader item = reader_item(r, "steps", list, i);
        int change = -1;
        reader_known(&item, names);
        reader_word(&item, "change", step_change_of, &change);
        if (change < 0 && item.err == OK) {
            reader_blame(&item, "change", "required");
        }
        a->steps[i].change = change < 0 ? CHANGE_SPACE : (enum step_change)change;
        reader_text(&item, "easier", &a->steps[i].easier);
        reader_text(&item, "harder", &a->steps[i].harder);
        reader_join(r, &item);
    }
}

/* A word that must be there. */
static int must_word(struct reader *r, const char *key, int (*of)(const char *))
{
    int out = -1;
    if (!reader_has(r, key)) {
        reader_blame(r, key, "required");
    }
    reader_word(r, key, of, &out);
    return out < 0 ? 0 : out;
}

static void read_scalars(struct reader *r, struct activity *a)
{
    a->strand = (enum strand)must_word(r, "strand", strand_of);
    a->kind = (enum activity_kind)must_word(r, "kind", activity_kind_of);
    a->unit = (enum value_unit)must_word(r, "unit", value_unit_of);
    reader_text(r, "name", &a->name);
    reader_text(r, "summary", &a->summary);
    reader_text(r, "set_up", &a->set_up);
    reader_text(r, "scoring", &a->scoring);
    reader_int(r, "attempts", &a->attempts);
    reader_int(r, "throws", &a->throws);
    reader_int(r, "cap", &a->cap);
    reader_int(r, "seconds", &a->seconds);
    reader_bool(r, "lower_is_better", &a->lower_is_better);
    reader_int(r, "resolution", &a->resolution);
    reader_optional(r, "hard_low", &a->hard_low);
    reader_optional(r, "hard_high", &a->hard_high);
    reader_optional(r, "soft_low", &a->soft_low);
    reader_optional(r, "soft_high", &a->soft_high);
    reader_int(r, "reference_mm", &a->reference_mm);
}

static void read_all(struct reader *r, struct activity_input *out)
{
    static const char *const names[] = {
        "id", "revision", "copied_from", "attainable", "name", "strand", "kind", "unit", "attempts",
        "throws", "cap", "seconds", "lower_is_better", "resolution", "hard_low", "hard_high",
        "soft_low", "soft_high", "reference_mm", "distances_mm", "zones", "targets", "versions",
        "cues", "questions", "safety", "kit", "steps", "summary", "set_up", "scoring", NULL,
    };
    struct activity *a = &out->draft;
    reader_known(r, names);
    reader_id(r, "revision", &a->revision.v);
    reader_id(r, "copied_from", &out->copied_from.v);
    read_scalars(r, a);
    read_zones(r, a);
    read_distances(r, a);
    read_targets(r, a);
    read_versions(r, a);
    read_cues(r, a);
    read_questions(r, a);
    read_safety(r, a);
    read_kit(r, a);
    read_steps(r, a);
}

/* Texts that may be left out are stored as empty. */
static void fill_texts(struct activity *a)
{
    a->set_up = a->set_up ? a->set_up : "";
    a->scoring = a->scoring ? a->scoring : "";
}

enum err activity_parse_at(struct reader *r, struct activity_input *out)
{
    struct request *rq = r->rq;
    struct band_words words = {0};
    *out = (struct activity_input){.draft = {.attempts = 3, .resolution = 1}};
    read_all(r, out);
    if (r->err != OK) {
        return r->err;
    }
    fill_texts(&out->draft);
    enum err e = school_band_words(rq->store, rq->mem, &words);
    if (e != OK) {
        return e;
    }
    const char *code = NULL;
    const char *pointer = activity_check(rq->mem, &out->draft, words.n, &code);
    return pointer ? request_blame(rq, mem_printf(rq->mem, "%s%s", r->at, pointer), code, NULL)
                   : OK;
}

enum err activity_parse(struct request *rq, struct activity_input *out)
{
    struct reader r = reader_body(rq);
    return activity_parse_at(&r, out);
}
