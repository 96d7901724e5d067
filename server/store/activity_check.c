/* SPDX-License-Identifier: MIT
 * Is a draft of an activity whole and in itself consistent?
 *
 * Pure. What this lets through the schema takes too (tests/store/test_plan.c tries the edges), so
 * a teacher hears which field to mend, never "conflict". The first fault found is the one told.
 * Threat: an activity that can score nothing, or only the impossible, would refuse every child's
 * tries; so each kind must say what can be scored, and a miss must be possible. */
#include "store/activities.h"

#include <stdarg.h>
#include <string.h>

#include "base/mem.h"
#include "base/text.h"
#include "store/scoring.h"

enum {
    REACH_MM = 10000,                   /* of a zone from the aiming point */
    PER_SECOND = 8,                     /* counts above this are impossible, as in assess */
    TIME_MOST_MS = 24 * 3600 * 1000,
    LENGTH_MOST_MM = 1000000,
};

struct fault {
    void *ctx;
    const char *pointer;        /* NULL: none yet */
    const char *code;
};

static void fault_at(struct fault *f, const char *code, const char *fmt, ...)
    __attribute__((format(printf, 3, 4)));

static void fault_at(struct fault *f, const char *code, const char *fmt, ...)
{
    if (f->pointer) {
        return;
    }
    va_list ap;
    va_start(ap, fmt);
    f->pointer = talloc_vasprintf(f->ctx, fmt, ap);
    va_end(ap);
    f->code = code;
}

/* `least` 0: may be empty or NULL. */
static const char *text_fault(const char *s, size_t least, size_t most)
{
    size_t n = s ? strlen(s) : 0;
    if (n == 0) {
        return least ? "required" : NULL;
    }
    if (text_ok(s, n, least, most)) {
        return NULL;
    }
    return text_ok(s, n, 0, n) ? "too_long" : "not_text";
}

static void need_text(struct fault *f, const char *s, size_t least, size_t most, const char *at)
{
    const char *code = text_fault(s, least, most);
    if (code) {
        fault_at(f, code, "%s", at);
    }
}

static void need_range(struct fault *f, int64_t v, int64_t low, int64_t high, const char *at)
{
    if (v < low || v > high) {
        fault_at(f, "out_of_range", "%s", at);
    }
}

/* A number that belongs to some kinds only: there for those, absent for the others. */
struct bound { bool belongs, needed; int64_t low, high; };

static void need_number(struct fault *f, int64_t v, struct bound b, const char *at)
{
    if (!b.belongs && v != 0) {
        fault_at(f, "not_of_this_kind", "%s", at);
    } else if (b.belongs && b.needed && v == 0) {
        fault_at(f, "required", "%s", at);
    } else if (b.belongs && v != 0) {
        need_range(f, v, b.low, b.high, at);
    }
}

static bool unit_fits(const struct activity *a)
{
    switch (a->kind) {
    case ACTIVITY_KIND_ZONES:
        return a->unit == VALUE_POINTS;
    case ACTIVITY_KIND_MEASURE:
        return a->unit == VALUE_MS || a->unit == VALUE_MM;
    default:
        return a->unit == VALUE_COUNT;
    }
}

static void check_kind(struct fault *f, const struct activity *a)
{
    bool aims = a->kind == ACTIVITY_KIND_ZONES || a->kind == ACTIVITY_KIND_SUCCESSES;
    bool measured = a->kind == ACTIVITY_KIND_MEASURE;
    if (!unit_fits(a)) {
        fault_at(f, "not_of_this_kind", "/unit");
    }
    need_range(f, a->attempts, 1, 5, "/attempts");
    need_number(f, a->throws, (struct bound){aims, true, 1, 20}, "/throws");
    need_number(f, a->cap, (struct bound){a->kind == ACTIVITY_KIND_SUCCESSES, false, 1, 100},
                "/cap");
    need_number(f, a->seconds, (struct bound){a->kind == ACTIVITY_KIND_TIMED_COUNT, true, 5, 600},
                "/seconds");
    if (a->lower_is_better && !measured) {
        fault_at(f, "not_of_this_kind", "/lower_is_better");
    }
    need_range(f, a->resolution, 1, measured ? 100000 : 1, "/resolution");
}

static void check_order(struct fault *f, struct optional_int low, struct optional_int high,
                        const char *at)
{
    if (low.set && high.set && low.v >= high.v) {
        fault_at(f, "wrong_order", "%s", at);
    }
}

static void check_limit(struct fault *f, const struct activity *a, struct optional_int v,
                        const char *at)
{
    if (!v.set) {
        return;
    }
    if (a->kind == ACTIVITY_KIND_MEASURE) {
        need_range(f, v.v, 1, a->unit == VALUE_MS ? TIME_MOST_MS : LENGTH_MOST_MM, at);
    } else if (a->kind == ACTIVITY_KIND_TIMED_COUNT) {
        need_range(f, v.v, 0, (int64_t)PER_SECOND * a->seconds, at);
    } else {
        fault_at(f, "not_of_this_kind", "%s", at);
    }
}

static void check_limits(struct fault *f, const struct activity *a)
{
    if (a->kind == ACTIVITY_KIND_MEASURE && !a->hard_low.set) {
        fault_at(f, "required", "/hard_low");
    }
    if (a->kind == ACTIVITY_KIND_MEASURE && !a->hard_high.set) {
        fault_at(f, "required", "/hard_high");
    }
    check_limit(f, a, a->hard_low, "/hard_low");
    check_limit(f, a, a->hard_high, "/hard_high");
    check_limit(f, a, a->soft_low, "/soft_low");
    check_limit(f, a, a->soft_high, "/soft_high");
    check_order(f, a->hard_low, a->hard_high, "/hard_high");
    check_order(f, a->soft_low, a->soft_high, "/soft_high");
    if (a->soft_low.set && a->hard_low.set && a->soft_low.v < a->hard_low.v) {
        fault_at(f, "wrong_order", "/soft_low");
    }
    if (a->soft_high.set && a->hard_high.set && a->soft_high.v > a->hard_high.v) {
        fault_at(f, "wrong_order", "/soft_high");
    }
    if (a->kind == ACTIVITY_KIND_MEASURE && a->hard_low.set && a->hard_high.set &&
        a->resolution > a->hard_high.v - a->hard_low.v) {
        fault_at(f, "out_of_range", "/resolution");
    }
}

static void check_distances(struct fault *f, const struct activity *a)
{
    for (size_t i = 0; i < a->distance_count; i++) {
        if (a->distances_mm[i] < 500 || a->distances_mm[i] > 30000) {
            fault_at(f, "out_of_range", "/distances_mm/%zu", i);
        }
        if (i > 0 && a->distances_mm[i] <= a->distances_mm[i - 1]) {
            fault_at(f, a->distances_mm[i] == a->distances_mm[i - 1] ? "duplicate" : "wrong_order",
                     "/distances_mm/%zu", i);
        }
    }
    need_number(f, a->reference_mm, (struct bound){a->distance_count > 0, false, 500, 30000},
                "/reference_mm");
}

/* Both edges of a rectangle's side, or neither, and in order. */
static void check_side(struct fault *f, struct optional_int low, struct optional_int high,
                       const char *at)
{
    if (low.set != high.set) {
        fault_at(f, "required", "%s", at);
    }
    if (low.set && high.set &&
        (low.v < -REACH_MM || high.v > REACH_MM || low.v >= high.v)) {
        fault_at(f, "out_of_range", "%s", at);
    }
}

static bool same_words(const char *a, const char *b)
{
    void *mem = mem_root();
    char *x = text_fold(mem, a ? a : ""), *y = text_fold(mem, b ? b : "");
    bool same = x && y && strcmp(x, y) == 0;
    talloc_free(mem);
    return same;
}

static void check_zone(struct fault *f, const struct activity *a, size_t i)
{
    const struct activity_zone *z = &a->zones[i];
    need_text(f, z->name, 1, 40, mem_printf(f->ctx, "/zones/%zu/name", i));
    need_range(f, z->points, 0, 20, mem_printf(f->ctx, "/zones/%zu/points", i));
    check_side(f, z->x1_mm, z->x2_mm, mem_printf(f->ctx, "/zones/%zu/x2_mm", i));
    check_side(f, z->y1_mm, z->y2_mm, mem_printf(f->ctx, "/zones/%zu/y2_mm", i));
    for (size_t j = 0; j < i; j++) {
        if (same_words(z->name, a->zones[j].name)) {
            fault_at(f, "duplicate", "/zones/%zu/name", i);
        }
    }
}

static void check_zones(struct fault *f, const struct activity *a)
{
    if (a->kind != ACTIVITY_KIND_ZONES) {
        if (a->zone_count) {
            fault_at(f, "not_of_this_kind", "/zones");
        }
        return;
    }
    bool miss = false, scores = false;
    for (size_t i = 0; i < a->zone_count; i++) {
        check_zone(f, a, i);
        miss = miss || a->zones[i].points == 0;
        scores = scores || a->zones[i].points > 0;
    }
    if (!scores) {
        fault_at(f, "required", "/zones");
    }
    if (!miss) {
        fault_at(f, "no_miss", "/zones");
    }
}

static void check_targets(struct fault *f, const struct activity *a)
{
    for (size_t i = 0; i < a->target_count; i++) {
        need_text(f, a->targets[i].name, 1, 60, mem_printf(f->ctx, "/targets/%zu/name", i));
        if (a->targets[i].size_mm != 0) {
            need_range(f, a->targets[i].size_mm, 10, 5000,
                       mem_printf(f->ctx, "/targets/%zu/size_mm", i));
        }
    }
}

/* The scores that a band line may name. */
static void reach(const struct activity *a, int64_t *low, int64_t *high)
{
    int most = 0;
    *low = 1;
    switch (a->kind) {
    case ACTIVITY_KIND_ZONES:
        for (size_t i = 0; i < a->zone_count; i++) {
            most = a->zones[i].points > most ? a->zones[i].points : most;
        }
        *high = (int64_t)most * a->throws;
        break;
    case ACTIVITY_KIND_SUCCESSES:
        *high = a->cap && a->cap < a->throws ? a->cap : a->throws;
        break;
    case ACTIVITY_KIND_TIMED_COUNT:
        *high = a->hard_high.set ? a->hard_high.v : (int64_t)PER_SECOND * a->seconds;
        break;
    default:
        *low = a->hard_low.v;
        *high = a->hard_high.v;
    }
}

/* The arithmetic of what can be scored is the assessment layer's. */
static bool can_be_made(const struct activity *a, int64_t v)
{
    struct scoring s;
    struct total_set set;
    if (a->kind != ACTIVITY_KIND_ZONES) {
        return true;                /* every whole number in reach */
    }
    scoring_of(a, &s);
    attainable_totals(&s, s.throws, &set);
    return v <= set.most && attainable_has(&set, (int)v);
}

/* A line is a threshold: one that no single try makes exactly is met by the next total above it,
 * and the mean of several tries may lie anywhere between the least and the most. So lines within
 * reach and in order leave no band that could never be reached. */
static void check_lines(struct fault *f, const struct activity *a, size_t i, size_t bands)
{
    const struct activity_version *v = &a->versions[i];
    int64_t low = 0, high = 0;
    reach(a, &low, &high);
    if (v->band_line_count > (bands ? bands - 1 : 0)) {
        fault_at(f, "too_many", "/versions/%zu/band_lines", i);
    }
    for (size_t j = 0; j < v->band_line_count; j++) {
        const char *at = mem_printf(f->ctx, "/versions/%zu/band_lines/%zu", i, j);
        need_range(f, v->band_lines[j], low, high, at);
        bool harder = j == 0 || (a->lower_is_better ? v->band_lines[j] < v->band_lines[j - 1]
                                                    : v->band_lines[j] > v->band_lines[j - 1]);
        if (!harder) {
            fault_at(f, "wrong_order", "%s", at);
        }
    }
}

const char *activity_check_lines(void *ctx, const struct activity *draft, size_t version,
                                 size_t bands, const char **code)
{
    struct fault f = {.ctx = ctx};
    check_lines(&f, draft, version, bands);
    *code = f.code;
    return f.pointer;
}

static void check_own_target(struct fault *f, const struct activity *a, size_t i)
{
    const struct activity_version *v = &a->versions[i];
    const char *at = mem_printf(f->ctx, "/versions/%zu/own_target", i);
    int64_t low = 0, high = 0;
    if (!v->own_target.set) {
        return;
    }
    if (v->kind == VERSION_STANDARD) {
        fault_at(f, "not_of_standard", "%s", at);
    }
    if (v->band_line_count > 0) {
        fault_at(f, "lines_or_target", "%s", at);
    }
    reach(a, &low, &high);
    need_range(f, v->own_target.v, low, high, at);
    if (!f->pointer && !can_be_made(a, v->own_target.v)) {
        fault_at(f, "impossible", "%s", at);
    }
}

static void check_versions(struct fault *f, const struct activity *a, size_t bands)
{
    unsigned kinds = 0;
    for (size_t i = 0; i < a->version_count; i++) {
        unsigned bit = 1u << a->versions[i].kind;
        if (kinds & bit) {
            fault_at(f, "duplicate", "/versions/%zu/kind", i);
        }
        kinds |= bit;
        need_text(f, a->versions[i].how, 1, 600, mem_printf(f->ctx, "/versions/%zu/how", i));
        check_lines(f, a, i, bands);
        check_own_target(f, a, i);
    }
    if (!(kinds & 1u << VERSION_STANDARD)) {
        fault_at(f, "no_standard", "/versions");
    }
}

static void check_question(struct fault *f, const struct activity_question *q, size_t i)
{
    size_t right = 0;
    need_text(f, q->text, 1, 200, mem_printf(f->ctx, "/questions/%zu/text", i));
    for (size_t j = 0; j < q->choice_count; j++) {
        need_text(f, q->choices[j].text, 1, 120,
                  mem_printf(f->ctx, "/questions/%zu/choices/%zu/text", i, j));
        right += q->choices[j].right;
        for (size_t k = 0; k < j; k++) {
            if (same_words(q->choices[j].text, q->choices[k].text)) {
                fault_at(f, "duplicate", "/questions/%zu/choices/%zu/text", i, j);
            }
        }
    }
    if (q->choice_count < 2) {
        fault_at(f, "too_few", "/questions/%zu/choices", i);
    }
    if (right != 1) {
        fault_at(f, "one_right", "/questions/%zu/choices", i);
    }
}

static void check_learning(struct fault *f, const struct activity *a)
{
    for (size_t i = 0; i < a->cue_count; i++) {
        need_text(f, a->cues[i].text, 1, 120, mem_printf(f->ctx, "/cues/%zu/text", i));
    }
    for (size_t i = 0; i < a->question_count; i++) {
        check_question(f, &a->questions[i], i);
    }
    for (size_t i = 0; i < a->safety_count; i++) {
        need_text(f, a->safety[i], 1, 160, mem_printf(f->ctx, "/safety/%zu", i));
    }
}

static void check_kit(struct fault *f, const struct activity *a)
{
    unsigned changes = 0;
    for (size_t i = 0; i < a->kit_count; i++) {
        need_text(f, a->kit[i].item, 1, 80, mem_printf(f->ctx, "/kit/%zu/item", i));
        need_text(f, a->kit[i].swap, 0, 120, mem_printf(f->ctx, "/kit/%zu/swap", i));
    }
    for (size_t i = 0; i < a->step_count; i++) {
        unsigned bit = 1u << a->steps[i].change;
        if (changes & bit) {
            fault_at(f, "duplicate", "/steps/%zu/change", i);
        }
        changes |= bit;
        need_text(f, a->steps[i].easier, 0, 200, mem_printf(f->ctx, "/steps/%zu/easier", i));
        need_text(f, a->steps[i].harder, 0, 200, mem_printf(f->ctx, "/steps/%zu/harder", i));
    }
}

const char *activity_check(void *ctx, const struct activity *draft, size_t bands,
                           const char **code)
{
    struct fault f = {.ctx = ctx};
    need_text(&f, draft->name, 1, 60, "/name");
    check_kind(&f, draft);
    check_limits(&f, draft);
    check_distances(&f, draft);
    check_zones(&f, draft);
    check_targets(&f, draft);
    check_versions(&f, draft, bands);
    check_learning(&f, draft);
    check_kit(&f, draft);
    need_text(&f, draft->summary, 1, 300, "/summary");
    need_text(&f, draft->set_up, 0, 600, "/set_up");
    need_text(&f, draft->scoring, 0, 600, "/scoring");
    *code = f.code;
    return f.pointer;
}
