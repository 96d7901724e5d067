/* SPDX-License-Identifier: MIT
 * The demo's hand-ins: two terms of them, through the same door as real ones, in the order in which
 * they would have come in. Chance decides who sends and how; on the last challenge that is past its
 * date, and on the open one, the first children of each class show every state of the grid. */
#include "demo_score.h"

#include <stdlib.h>
#include <string.h>

#include "auth/digest.h"
#include "base/clock.h"
#include "base/mem.h"
#include "base/rand.h"
#include "store/cards.h"
#include "store/hand_in_marks.h"

enum { SHOWN_OVER = 13, SHOWN_OPEN = 14 };      /* sets whose first children are arranged */

/* How a child's part in a challenge goes. */
enum way { SENT, LATE, COULD_NOT, PAPER, NOTHING, SURPRISING, MISTAKE, WAYS };

struct planned {
    struct hand_in h;
    int pupil;
    const char *mark;           /* what was done about it, or NULL */
    const char *reason;
};

struct batch {
    struct demo *d;
    struct planned *v;
    size_t n, cap;
};

static enum way draw_way(const struct demo_pupil *p)
{
    if (!demo_chance(p->sends)) {
        return demo_chance(0.35) ? COULD_NOT : NOTHING;
    }
    double x = demo_unit();
    return x < 0.08 ? LATE : x < 0.15 ? PAPER : x < 0.157 ? MISTAKE : SENT;
}

static enum way way_of(const struct demo_pupil *p, int pupil, int set)
{
    static const enum way arranged[WAYS] = {SENT, LATE, COULD_NOT, PAPER, NOTHING, SURPRISING,
                                            MISTAKE};
    int place = pupil % DEMO_A_CLASS;
    if (place < WAYS && set == SHOWN_OVER) {
        return arranged[place];
    }
    if (place < WAYS && set == SHOWN_OPEN) {
        return arranged[place] == LATE ? SENT : arranged[place];
    }
    enum way w = draw_way(p);
    return set == SHOWN_OPEN && demo_chance(0.45) ? NOTHING : w;    /* it has just opened */
}

/* Days ----------------------------------------------------------------------------------------- */

/* The day it was done: within the span, never this week. False: no such day. */
static bool day_of(const struct demo *d, const struct demo_set *s, enum way w, int32_t *out)
{
    int32_t first = w == LATE ? s->due + 1 : s->opens;
    int32_t last = w == LATE ? s->due + 6 : s->due;
    last = last > s->closes ? s->closes : last;
    last = last >= d->monday ? d->monday - 1 : last;
    if (first > last) {
        return false;
    }
    *out = first + (int32_t)rand_below((uint32_t)(last - first + 1));
    return true;
}

static int64_t received(const struct demo *d, const struct hand_in *h)
{
    int32_t day = h->done_day;
    if (demo_chance(0.06) && day + 2 < d->monday) {
        day += 1 + (int32_t)rand_below(2);          /* sent when there was a network again */
    }
    int minute = (int)rand_below(240);
    return clock_day_at(day, 15 + minute / 60, minute % 60) + rand_below(60);
}

/* What was said beside the tries --------------------------------------------------------------- */

static void say_cues(const struct activity *a, struct hand_in *h)
{
    for (size_t i = 0; i < a->cue_count && h->cue_count < HAND_IN_CUES; i++) {
        if (demo_chance(0.55)) {
            h->cues[h->cue_count++] = a->cues[i].id;
        }
    }
}

static void say_answers(const struct activity *a, struct hand_in *h)
{
    for (size_t i = 0; i < a->question_count; i++) {
        const struct activity_question *q = &a->questions[i];
        size_t pick = rand_below((uint32_t)q->choice_count);
        for (size_t j = 0; j < q->choice_count; j++) {
            if (q->choices[j].right && demo_chance(0.62)) {
                pick = j;
            }
        }
        h->answers[h->answer_count++] = (struct hand_in_answer){q->id, q->choices[pick].id};
    }
}

static void say(const struct activity *a, struct hand_in *h)
{
    if (demo_chance(0.7)) {
        say_cues(a, h);
        say_answers(a, h);
    }
    if (demo_chance(0.8)) {
        h->felt = hand_in_felt_words[demo_chance(0.6) ? 1 : demo_chance(0.5) ? 0 : 2];
    }
    if (a->target_count && demo_chance(0.6)) {
        h->target = a->targets[rand_below((uint32_t)a->target_count)].id;
    }
    if (demo_chance(0.4)) {
        h->kit = a->kit[0].id;
    }
    if (demo_chance(0.6)) {
        h->place = hand_in_place_words[demo_chance(0.85) ? 0 : 1];
        h->counted_by = hand_in_counted_words[rand_below(2)];
    }
}

/* Making one ----------------------------------------------------------------------------------- */

static struct version_id version_of(const struct activity *a, const struct demo_pupil *p)
{
    enum version_kind k = demo_chance(0.85) ? p->likes : VERSION_STANDARD;
    return activity_version_of(a, k)->id;
}

static void channel_of(const struct demo *d, enum way w, struct hand_in *h)
{
    h->channel = hand_in_channel_words[w == PAPER ? 2 : demo_chance(0.12) ? 1 : 0];
    if (w == PAPER) {
        h->entered_by = d->staff[STAFF_LEAD].id;
    }
    if (w == COULD_NOT) {
        h->could_not = hand_in_could_not_words[rand_below(5)];
    }
}

/* Typed 71 for 17, asked, and said yes: what "to check" is for. */
static void slip(const struct activity *a, struct hand_in *h)
{
    struct hand_in_attempt *t = &h->attempts[h->attempt_count - 1];
    t->throw_count = 0;
    t->part = false;
    t->value = a->kind == ACTIVITY_KIND_ZONES ? 5 * a->throws : a->soft_high.v + 11;
    t->distance_mm = a->distance_count ? a->distances_mm[a->distance_count - 1] : 0;
    h->confirmed = h->surprising = true;
    hand_in_settle(h, a->lower_is_better);
}

static void plan_one(struct batch *b, int pupil, const struct demo_set *s, enum way w)
{
    struct demo *d = b->d;
    struct demo_pupil *p = &d->pupils[pupil];
    struct hand_in h = {.pupil = p->id, .challenge = s->id};
    if (w == NOTHING || !day_of(d, s, w, &h.done_day)) {
        return;
    }
    rand_bytes(h.id.b, sizeof h.id.b);
    h.id.b[6] = (uint8_t)((h.id.b[6] & 0x0f) | 0x40);       /* RFC 9562, version 4 */
    h.id.b[8] = (uint8_t)((h.id.b[8] & 0x3f) | 0x80);
    digest32(h.id.b, sizeof h.id.b, h.content_hash);
    h.version = version_of(s->activity, p);
    channel_of(d, w, &h);
    if (w != COULD_NOT) {
        demo_score(p, s, &h);
        say(s->activity, &h);
    }
    if (w == SURPRISING) {
        slip(s->activity, &h);
    }
    h.received_at = received(d, &h);
    h.after_date = h.done_day > s->due;
    mem_grow(d->mem, b->v, b->n, &b->cap);
    b->v[b->n++] = (struct planned){.h = h, .pupil = pupil,
                                    .mark = w == MISTAKE ? "mistake" : NULL};
}

static bool is_for(const struct demo_pupil *p, const struct demo_set *s)
{
    return (s->classes & 1u << p->cls) || (p->in_group && (s->classes & 1u << DEMO_GROUP));
}

static void plan_set(struct batch *b, int set)
{
    struct demo *d = b->d;
    const struct demo_set *s = &d->sets[set];
    for (int i = 0; i < DEMO_PUPILS; i++) {
        struct demo_pupil *p = &d->pupils[i];
        if (!is_for(p, s) || s->opens >= d->monday) {
            continue;
        }
        enum way w = way_of(p, i, set);
        plan_one(b, i, s, w);
        bool again = w == SENT && demo_chance(0.16);        /* for practice, or after "could not" */
        if (again) {
            plan_one(b, i, s, SENT);
        }
    }
}

/* Storing -------------------------------------------------------------------------------------- */

static int by_arrival(const void *a, const void *b)
{
    const struct planned *x = a, *y = b;
    if (x->h.received_at != y->h.received_at) {
        return x->h.received_at < y->h.received_at ? -1 : 1;
    }
    return memcmp(x->h.id.b, y->h.id.b, sizeof x->h.id.b);
}

static enum err store_one(struct demo *d, struct planned *p)
{
    enum hand_in_outcome outcome;
    enum err e = hand_in_store(d->st, &p->h, &outcome);
    if (e == OK && p->mark) {
        const struct hand_in_mark m = {.hand_in_seq = p->h.seq, .mark = p->mark,
                                       .at = p->h.received_at + 95};
        e = hand_in_mark_add(d->st, &m);
    }
    if (e == OK && !p->h.entered_by.v) {
        e = card_used(d->st, d->pupils[p->pupil].card, clock_day(p->h.received_at));
    }
    return e;
}

/* What staff did about the mistakes and surprises of the first term. */
static enum err look_back(struct demo *d, const struct planned *p, int *turn)
{
    static const struct { const char *mark, *reason; } done[] = {
        {"keep", NULL}, {"set_aside", "child_says"}, {"ask_again", NULL},
        {"set_aside", "not_possible"},
    };
    bool waits = p->mark || p->h.surprising;
    if (!waits || p->h.done_day > d->monday + FIRST_END) {
        return OK;
    }
    int i = (*turn)++ % 4;
    const struct hand_in_mark m = {.hand_in_seq = p->h.seq, .mark = done[i].mark,
                                   .reason = done[i].reason, .by = d->staff[STAFF_LEAD].id,
                                   .at = p->h.received_at + 2 * 86400};
    return hand_in_mark_add(d->st, &m);
}

enum err demo_tries(struct demo *d)
{
    struct batch b = {.d = d};
    enum err e = OK;
    int turn = 0;
    for (int s = 0; s < DEMO_SETS; s++) {
        plan_set(&b, s);
    }
    qsort(b.v, b.n, sizeof *b.v, by_arrival);
    for (size_t i = 0; e == OK && i < b.n; i++) {
        e = store_one(d, &b.v[i]);
    }
    for (size_t i = 0; e == OK && i < b.n; i++) {
        e = look_back(d, &b.v[i], &turn);
    }
    return e;
}
