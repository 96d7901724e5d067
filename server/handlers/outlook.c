/* SPDX-License-Identifier: MIT
 * What a hand-in changed on its own line, and what to try next. All judging is the assessment
 * layer's; this file gathers marks for it. A hand-in that waits for a check, or was done before the
 * pupil's fresh start, has no verdict. */
#include "base/mem.h"
#include "handlers/hand_in_view.h"
#include "store/fresh_start.h"
#include "store/scoring.h"

enum { LAST_HAND_INS = 3 };

static size_t add_marks(struct mark *marks, size_t n, const struct hand_in *h, bool lower)
{
    for (size_t i = 0; i < h->attempt_count; i++) {
        if (!h->attempts[i].part) {
            marks[n++] = (struct mark){h->attempts[i].distance_mm,
                                       best_sign(h->attempts[i].value, lower)};
        }
    }
    return n;
}

/* The best until now at the distance of `now`, else anywhere. */
static void find_before(const struct mark *earlier, size_t n, struct mark now, struct outlook *out)
{
    struct mark steps[OUTLOOK_BESTS], top;
    out->has_before = best_of(earlier, n, &top, NULL);
    size_t k = best_by_step(earlier, n, steps, OUTLOOK_BESTS);
    for (size_t i = 0; i < k && i < OUTLOOK_BESTS; i++) {
        int32_t off = steps[i].distance_mm - now.distance_mm;
        if (off >= -SAME_STEP_MM && off <= SAME_STEP_MM) {
            top = steps[i];
            break;
        }
    }
    if (out->has_before) {
        out->before = best_sign(top.score, out->lower_is_better);
    }
}

static void find_status(const struct mark *marks, size_t earlier, size_t all, struct outlook *out)
{
    size_t at = 0;
    const struct mark *now = marks + earlier;
    out->has_status = best_of_hand_in((struct marks){marks, earlier},
                                      (struct marks){now, all - earlier}, &out->status, &at);
    if (out->has_status) {
        out->value = best_sign(now[at].score, out->lower_is_better);
        out->distance_mm = now[at].distance_mm;
        find_before(marks, earlier, now[at], out);
    }
}

/* Throws that earned something, of those made where the child is now. */
static void count_throws(const struct hand_in *h, const struct scoring *s, struct next_from *from)
{
    for (size_t i = 0; i < h->attempt_count; i++) {
        const struct hand_in_attempt *a = &h->attempts[i];
        int32_t off = a->distance_mm - from->distance_mm;
        if (off < -SAME_STEP_MM || off > SAME_STEP_MM) {
            continue;
        }
        for (int k = 0; k < a->throw_count; k++) {
            from->scored += a->throws[k] > 0;
        }
        from->throws += a->throw_count;
        if (a->throw_count == 0 && s->kind == SCORE_SUCCESSES) {
            from->scored += (int)a->value;
            from->throws += a->tries_used > 0 ? a->tries_used : s->throws;
        }
    }
}

static void find_next(const struct outlook_ask *ask, const struct best_line *line,
                      struct outlook *out)
{
    struct scoring s;
    scoring_of(ask->activity, &s);
    const struct hand_in *h = ask->h;
    struct next_from from = {.hold = h->state != HAND_IN_COUNTS};
    const struct hand_in *last = h->attempt_count > 0 ? h : NULL;
    if (!last && line->n > 0) {
        last = line->hand_ins[line->n - 1];
    }
    if (last && last->attempt_count > 0) {
        from.distance_mm = last->attempts[last->attempt_count - 1].distance_mm;
    }
    struct mark top;
    from.has_best = best_of(out->bests, out->best_count, &top, NULL);
    from.best = from.has_best ? best_sign(top.score, out->lower_is_better) : 0;
    size_t own = h->state == HAND_IN_COUNTS ? 1 : 0;
    if (own) {
        count_throws(h, &s, &from);
    }
    for (size_t i = line->n; i > 0 && line->n - i < LAST_HAND_INS - own; i--) {
        count_throws(line->hand_ins[i - 1], &s, &from);
    }
    next_challenge(&s, &from, &out->next);
}

enum err outlook_of(struct request *rq, const struct outlook_ask *ask, struct outlook *out)
{
    const struct hand_in *h = ask->h;
    *out = (struct outlook){.version = h->version,
                            .lower_is_better = ask->activity->lower_is_better};
    const struct activity_version *version = activity_version(ask->activity, h->version);
    if (!version) {
        return ERR_INTERNAL;
    }
    struct best_line line;
    struct best_line_ask which = {.all = ask->history,
                                  .activity = ask->activity,
                                  .version = version,
                                  .before_seq = h->seq};
    enum err e = fresh_start_get(rq->store, h->pupil, &which.from_day);
    if (e == OK) {
        e = best_line_for(rq->store, rq->mem, &which, &line);
    }
    if (e != OK) {
        return e;
    }
    struct mark *marks = mem_array(rq->mem, struct mark, (line.n + 1) * HAND_IN_ATTEMPTS);
    size_t earlier = 0;
    for (size_t i = 0; i < line.n; i++) {
        earlier = add_marks(marks, earlier, line.hand_ins[i], out->lower_is_better);
    }
    size_t all = earlier;
    if (h->state == HAND_IN_COUNTS && h->done_day >= which.from_day) {
        all = add_marks(marks, earlier, h, out->lower_is_better);
        find_status(marks, earlier, all, out);
    }
    size_t steps = best_by_step(marks, all, out->bests, OUTLOOK_BESTS);
    out->best_count = steps < OUTLOOK_BESTS ? steps : OUTLOOK_BESTS;
    find_next(ask, &line, out);
    return OK;
}
