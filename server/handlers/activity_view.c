/* SPDX-License-Identifier: MIT
 * Activities, challenges and units into JSON.
 *
 * Invariants: every member is always there, null where the kind has none, so a page needs no
 * guesses. Threat: a child's page must not carry the school's band lines, own targets or the right
 * answers, not even unseen; they are written for staff only, here and nowhere else. */
#include "handlers/activity_view.h"

#include "assess/attainable.h"
#include "handlers/hand_in_view.h"
#include "store/scoring.h"

static void comma(struct buf *b, size_t i)
{
    if (i > 0) {
        buf_str(b, ",");
    }
}

static void member_text(struct buf *b, const char *name, const char *text)
{
    buf_printf(b, ",\"%s\":", name);
    json_txt(b, text ? text : "");
}

static void member_int(struct buf *b, const char *name, int64_t v)
{
    buf_printf(b, ",\"%s\":", name);
    buf_int(b, v);
}

static void member_optional(struct buf *b, const char *name, struct optional_int v)
{
    if (v.set) {
        member_int(b, name, v.v);
    } else {
        buf_printf(b, ",\"%s\":null", name);
    }
}

/* 0 stands for "none". */
static void member_some(struct buf *b, const char *name, int64_t v)
{
    member_optional(b, name, (struct optional_int){v != 0, v});
}

static void open_id(struct buf *b, int64_t id)
{
    buf_str(b, "{\"id\":");
    view_id(b, id);
}

static void scalars(struct buf *b, const struct activity *a)
{
    member_text(b, "name", a->name);
    member_text(b, "strand", strand_word(a->strand));
    member_text(b, "kind", activity_kind_word(a->kind));
    member_text(b, "unit", value_unit_word(a->unit));
    member_int(b, "attempts", a->attempts);
    member_some(b, "throws", a->throws);
    member_some(b, "cap", a->cap);
    member_some(b, "seconds", a->seconds);
    buf_printf(b, ",\"lower_is_better\":%s", a->lower_is_better ? "true" : "false");
    member_int(b, "resolution", a->resolution);
    member_optional(b, "hard_low", a->hard_low);
    member_optional(b, "hard_high", a->hard_high);
    member_optional(b, "soft_low", a->soft_low);
    member_optional(b, "soft_high", a->soft_high);
    member_some(b, "reference_mm", a->reference_mm);
}

static void zones(struct buf *b, const struct activity *a)
{
    buf_str(b, ",\"zones\":[");
    for (size_t i = 0; i < a->zone_count; i++) {
        const struct activity_zone *z = &a->zones[i];
        comma(b, i);
        buf_str(b, "{\"name\":");
        json_txt(b, z->name);
        member_int(b, "points", z->points);
        member_optional(b, "x1_mm", z->x1_mm);
        member_optional(b, "x2_mm", z->x2_mm);
        member_optional(b, "y1_mm", z->y1_mm);
        member_optional(b, "y2_mm", z->y2_mm);
        buf_str(b, "}");
    }
    buf_str(b, "],\"distances_mm\":[");
    for (size_t i = 0; i < a->distance_count; i++) {
        comma(b, i);
        buf_int(b, a->distances_mm[i]);
    }
    buf_str(b, "],\"targets\":[");
    for (size_t i = 0; i < a->target_count; i++) {
        comma(b, i);
        open_id(b, a->targets[i].id);
        member_text(b, "name", a->targets[i].name);
        member_some(b, "size_mm", a->targets[i].size_mm);
        buf_str(b, "}");
    }
    buf_str(b, "]");
}

static void versions(struct buf *b, const struct activity *a, enum activity_for who)
{
    buf_str(b, ",\"versions\":[");
    for (size_t i = 0; i < a->version_count; i++) {
        const struct activity_version *v = &a->versions[i];
        comma(b, i);
        open_id(b, v->id.v);
        member_text(b, "kind", version_kind_word(v->kind));
        member_text(b, "how", v->how);
        if (who == ACTIVITY_FOR_STAFF) {
            buf_str(b, ",\"band_lines\":[");
            for (size_t j = 0; j < v->band_line_count; j++) {
                comma(b, j);
                buf_int(b, v->band_lines[j]);
            }
            buf_str(b, "]");
            member_optional(b, "own_target", v->own_target);
        }
        buf_str(b, "}");
    }
    buf_str(b, "]");
}

static void choices(struct buf *b, const struct activity_question *q, enum activity_for who)
{
    for (size_t i = 0; i < q->choice_count; i++) {
        comma(b, i);
        open_id(b, q->choices[i].id);
        member_text(b, "text", q->choices[i].text);
        if (who == ACTIVITY_FOR_STAFF) {
            buf_printf(b, ",\"right\":%s", q->choices[i].right ? "true" : "false");
        }
        buf_str(b, "}");
    }
}

static void learning(struct buf *b, const struct activity *a, enum activity_for who)
{
    buf_str(b, ",\"cues\":[");
    for (size_t i = 0; i < a->cue_count; i++) {
        comma(b, i);
        open_id(b, a->cues[i].id);
        member_text(b, "text", a->cues[i].text);
        buf_str(b, "}");
    }
    buf_str(b, "],\"questions\":[");
    for (size_t i = 0; i < a->question_count; i++) {
        comma(b, i);
        open_id(b, a->questions[i].id);
        member_text(b, "text", a->questions[i].text);
        buf_str(b, ",\"choices\":[");
        choices(b, &a->questions[i], who);
        buf_str(b, "]}");
    }
    buf_str(b, "],\"safety\":[");
    for (size_t i = 0; i < a->safety_count; i++) {
        comma(b, i);
        json_txt(b, a->safety[i]);
    }
    buf_str(b, "]");
}

static void kit(struct buf *b, const struct activity *a)
{
    buf_str(b, ",\"kit\":[");
    for (size_t i = 0; i < a->kit_count; i++) {
        comma(b, i);
        open_id(b, a->kit[i].id);
        member_text(b, "item", a->kit[i].item);
        member_text(b, "swap", a->kit[i].swap);
        buf_str(b, "}");
    }
    buf_str(b, "],\"steps\":[");
    for (size_t i = 0; i < a->step_count; i++) {
        comma(b, i);
        buf_str(b, "{\"change\":");
        json_txt(b, step_change_word(a->steps[i].change));
        member_text(b, "easier", a->steps[i].easier);
        member_text(b, "harder", a->steps[i].harder);
        buf_str(b, "}");
    }
    buf_str(b, "]");
}

/* Every total that one whole attempt can make; none for the kinds without totals. */
static void attainable(struct buf *b, const struct activity *a)
{
    struct scoring s;
    struct total_set set;
    scoring_of(a, &s);
    attainable_totals(&s, s.throws, &set);
    buf_str(b, ",\"attainable\":[");
    size_t written = 0;
    for (int t = 0; t <= set.most; t++) {
        if (attainable_has(&set, t)) {
            comma(b, written++);
            buf_int(b, t);
        }
    }
    buf_str(b, "]");
}

void view_activity(struct buf *b, const struct activity *a, enum activity_for who)
{
    open_id(b, a->id.v);
    buf_str(b, ",\"revision\":");
    view_id(b, a->revision.v);
    scalars(b, a);
    zones(b, a);
    versions(b, a, who);
    learning(b, a, who);
    kit(b, a);
    member_text(b, "summary", a->summary);
    member_text(b, "set_up", a->set_up);
    member_text(b, "scoring", a->scoring);
    attainable(b, a);
    buf_str(b, "}");
}

void view_activity_short(struct buf *b, const struct activity *a)
{
    open_id(b, a->id.v);
    buf_str(b, ",\"revision\":");
    view_id(b, a->revision.v);
    member_text(b, "name", a->name);
    member_text(b, "kind", activity_kind_word(a->kind));
    member_text(b, "unit", value_unit_word(a->unit));
    buf_str(b, "}");
}

static void dates(struct buf *b, int64_t opens_at, int64_t due_at, int64_t closes_at)
{
    buf_str(b, ",\"opens_at\":");
    view_at(b, opens_at);
    buf_str(b, ",\"due_at\":");
    view_at(b, due_at);
    buf_str(b, ",\"closes_at\":");
    view_at(b, closes_at);
}

static void challenge_class(struct buf *b, const struct challenge_class *k)
{
    open_id(b, k->id.v);
    member_text(b, "name", k->name);
    dates(b, k->opens_at, k->due_at, k->closes_at);
    buf_str(b, ",\"cancelled\":");
    if (k->cancelled_at) {
        buf_str(b, "{\"at\":");
        view_at(b, k->cancelled_at);
        member_text(b, "by", k->cancelled_by);
        buf_str(b, "}");
    } else {
        buf_str(b, "null");
    }
    member_optional(b, "sent", (struct optional_int){k->sent >= 0, k->sent});
    buf_str(b, "}");
}

void view_challenge(struct buf *b, const struct challenge *c, const struct activity *a)
{
    open_id(b, c->id.v);
    member_int(b, "number", c->number);
    buf_str(b, ",\"activity\":");
    view_activity_short(b, a);
    buf_str(b, ",\"unit\":");
    open_id(b, c->unit.v);
    member_text(b, "name", c->unit_name);
    buf_str(b, "},\"classes\":[");
    for (size_t i = 0; i < c->class_count; i++) {
        comma(b, i);
        challenge_class(b, &c->classes[i]);
    }
    buf_str(b, "]");
    dates(b, c->opens_at, c->due_at, c->closes_at);
    buf_printf(b, ",\"cancelled\":%s}", c->cancelled ? "true" : "false");
}

void view_unit(struct buf *b, const struct unit *u)
{
    open_id(b, u->id.v);
    member_text(b, "name", u->name);
    member_text(b, "statistic", unit_statistic_word(u->statistic));
    member_text(b, "policy", unit_policy_word(u->policy));
    member_text(b, "pooling", unit_pooling_word(u->pooling));
    buf_str(b, ",\"lessons\":[");
    for (size_t i = 0; i < u->lesson_count; i++) {
        const struct unit_lesson *l = &u->lessons[i];
        comma(b, i);
        open_id(b, l->id.v);
        member_text(b, "name", l->name);
        buf_str(b, ",\"activities\":[");
        for (size_t j = 0; j < l->activity_count; j++) {
            comma(b, j);
            view_id(b, l->activities[j].v);
        }
        buf_str(b, "]}");
    }
    buf_str(b, "]}");
}
