/* SPDX-License-Identifier: MIT
 * One child's page for its family, and the same for staff as "progress". By date, never by clock
 * time; what counts only: nothing set aside, nothing that waits for a check, no reason for not
 * having done it. Assessments that were shared, and no suggestion. No other child, no message. */
#include "auth/scope.h"
#include "base/clock.h"
#include "base/mem.h"
#include "family_internal.h"
#include "handlers/hand_in_view.h"
#include "handlers/handlers.h"
#include "second_internal.h"
#include "store/assessments.h"
#include "store/challenges.h"
#include "store/fresh_start.h"
#include "store/pupils.h"
#include "store/school.h"
#include "store/sessions.h"

struct page {
    struct request *rq;
    struct buf *b;
    struct pupil_id pupil;
    int32_t today, from_day;
    struct hand_in_list hand_ins;       /* this school year's, all states */
};

static enum err child(const struct page *p)
{
    struct pupil_row row;
    struct home_class home = {.name = NULL};
    enum err e = pupil_get(p->rq->store, p->rq->mem, p->pupil, &row);
    if (e == OK) {
        e = pupil_home_class(p->rq->store, p->rq->mem, p->pupil, p->today, &home);
    }
    if (e != OK) {
        return e;
    }
    buf_str(p->b, "{\"child\":{\"id\":");
    view_id(p->b, p->pupil.v);
    buf_str(p->b, ",\"display_name\":");
    json_txt(p->b, row.display_name);
    buf_str(p->b, ",\"class\":");
    json_txt(p->b, home.name);
    buf_str(p->b, "}");
    return OK;
}

static bool is_sent(const struct hand_in *h, struct challenge_id c)
{
    return h->challenge.v == c.v && h->state == HAND_IN_COUNTS && h->attempt_count > 0;
}

/* What was done earlier may arrive later, so a day can come round again. */
static bool day_was_told(const struct page *p, struct challenge_id c, size_t before, int32_t day)
{
    for (size_t i = 0; i < before; i++) {
        if (is_sent(&p->hand_ins.v[i], c) && p->hand_ins.v[i].done_day == day) {
            return true;
        }
    }
    return false;
}

static bool was_sent(const struct page *p, struct challenge_id c)
{
    for (size_t i = 0; i < p->hand_ins.n; i++) {
        if (is_sent(&p->hand_ins.v[i], c)) {
            return true;
        }
    }
    return false;
}

/* Days on which tries were done that count, each once, in order of arrival. */
static void sent_on(const struct page *p, struct challenge_id c)
{
    size_t n = 0;
    for (size_t i = 0; i < p->hand_ins.n; i++) {
        const struct hand_in *h = &p->hand_ins.v[i];
        if (!is_sent(h, c) || day_was_told(p, c, i, h->done_day)) {
            continue;
        }
        buf_str(p->b, n++ > 0 ? "," : "");
        view_day(p->b, h->done_day);
    }
}

static enum err set(const struct page *p)
{
    struct challenge_list list;
    enum err e = challenges_of_pupil(p->rq->mem, p->rq->store, p->pupil, &list);
    bool first = true;
    buf_str(p->b, ",\"set\":[");
    for (size_t i = 0; e == OK && i < list.count; i++) {
        const struct challenge *c = &list.rows[i];
        const struct activity *a = NULL;
        bool came = was_sent(p, c->id);     /* set by mistake and nothing sent: not told */
        if (c->opens_at > p->rq->now || clock_day(c->due_at) < p->from_day ||
            (c->cancelled && !came)) {
            continue;
        }
        e = activity_load(p->rq->store, c->revision, &a);
        if (e != OK) {
            return e;
        }
        buf_str(p->b, first ? "{\"name\":" : ",{\"name\":");
        first = false;
        json_txt(p->b, a->name);
        buf_printf(p->b, ",\"number\":%d,\"set_on\":", c->number);
        view_day(p->b, clock_day(c->opens_at));
        buf_str(p->b, ",\"due_on\":");
        view_day(p->b, clock_day(c->due_at));
        buf_str(p->b, ",\"sent_on\":[");
        sent_on(p, c->id);
        buf_printf(p->b, "],\"done\":%s,\"cancelled\":%s}", came ? "true" : "false",
                   c->cancelled ? "true" : "false");
    }
    buf_str(p->b, "]");
    return e;
}

static enum err assessments(const struct page *p)
{
    struct assessment_list list;
    enum err e = assessments_of_pupil(p->rq->store, p->rq->mem, p->pupil, true, &list);
    if (e == OK) {
        e = second_view_filter(p->rq, &list);
    }
    buf_str(p->b, ",\"assessments\":[");
    for (size_t i = 0; e == OK && i < list.n; i++) {
        buf_str(p->b, i > 0 ? ",{\"unit\":" : "{\"unit\":");
        json_txt(p->b, list.v[i].unit_name);
        buf_str(p->b, ",\"word\":");
        json_txt(p->b, list.v[i].word);
        buf_str(p->b, ",\"on\":");
        view_day(p->b, clock_day(list.v[i].at));
        buf_str(p->b, "}");
    }
    buf_str(p->b, "]");
    return e;
}

/* What arrived last, not what was done last: an outlook looks back on what arrived before, and a
 * best that came in late has to be among it. */
static const struct hand_in *last_arrived(const struct best_line *line)
{
    const struct hand_in *last = line->hand_ins[0];
    for (size_t i = 1; i < line->n; i++) {
        last = line->hand_ins[i]->seq > last->seq ? line->hand_ins[i] : last;
    }
    return last;
}

static enum err next_of(const struct page *p, const struct best_line *line, bool *first)
{
    struct outlook o;
    const struct hand_in *last = last_arrived(line);
    const struct activity *a = NULL;
    enum err e = activity_load(p->rq->store, last->revision, &a);
    const struct outlook_ask ask = {.activity = a, .h = last, .history = &p->hand_ins};
    if (e == OK) {
        e = outlook_of(p->rq, &ask, &o);
    }
    const char *words = e == OK ? family_next_words(p->rq->mem, a, &o.next) : NULL;
    if (words) {
        buf_str(p->b, *first ? "{\"activity\":" : ",{\"activity\":");
        *first = false;
        json_txt(p->b, a->name);
        buf_str(p->b, ",\"words\":");
        json_txt(p->b, words);
        buf_printf(p->b, ",\"unit\":\"%s\",", value_unit_word(a->unit));
        view_next(p->b, &o.next);
        buf_str(p->b, "}");
    }
    return e;
}

static enum err lines(const struct page *p)
{
    struct best_lines lines;
    int32_t fresh;
    enum err e = fresh_start_get(p->rq->store, p->pupil, &fresh);
    if (e != OK) {
        return e;
    }
    const struct hand_in_list since = fresh_start_since(p->rq->mem, &p->hand_ins, fresh);
    e = best_lines_of(p->rq->store, p->rq->mem, &since, &lines);
    if (e != OK) {
        return e;
    }
    buf_str(p->b, ",\"lines\":[");
    for (size_t i = 0; e == OK && i < lines.n; i++) {
        buf_str(p->b, i > 0 ? "," : "");
        struct line_words w = {.since_day = fresh > p->from_day ? fresh : 0};
        w.meaning = family_meaning(p->rq->mem, &lines.v[i], w.since_day);
        e = line_met(p->rq->store, p->rq->mem, &lines.v[i], &w);
        view_line(p->b, &lines.v[i], &w);
    }
    buf_str(p->b, "],\"next\":[");
    bool first = true;
    for (size_t i = 0; e == OK && i < lines.n; i++) {
        e = next_of(p, &lines.v[i], &first);
    }
    buf_str(p->b, "]");
    return e;
}

static void held(const struct page *p)
{
    static const char *const sentences[] = {
        "The name the school shows for your child, the year group and the classes.",
        "What was set, and the tries your child sent: the results, the day, and choices such as the"
        " kit used.",
        "What teachers saw in lessons, and their assessments.",
        "Cards that open these pages, without their codes.",
        "Messages to staff, if your child sent any. Few people see them; they are kept shortest.",
        "There is no birth date, address, e-mail, photograph or free text about your child.",
    };
    buf_str(p->b, ",\"held\":[");
    for (size_t i = 0; i < sizeof sentences / sizeof *sentences; i++) {
        buf_str(p->b, i > 0 ? "," : "");
        json_txt(p->b, sentences[i]);
    }
    buf_str(p->b, "],\"ask\":");
    json_txt(p->b, "Ask the school office for a copy of what is held, to put something right, or to"
                   " have it erased. You need give no reason.");
    buf_str(p->b, "}");
}

static enum err write_page(struct request *rq, struct reply *rp)
{
    struct page p = {.rq = rq, .pupil = {rq->args[0].id}, .today = clock_day(rq->now)};
    p.from_day = school_year_first(p.today);
    enum err e = hand_ins_of_pupil(rq->store, rq->mem, p.pupil, p.from_day, &p.hand_ins);
    if (e != OK) {
        return e;
    }
    p.b = reply_json_buf(rq, rp, 200);
    e = child(&p);
    if (e == OK) {
        e = set(&p);
    }
    if (e == OK) {
        e = lines(&p);
    }
    if (e == OK) {
        e = assessments(&p);
    }
    if (e == OK) {
        held(&p);
    }
    return e;
}

enum err h_child_get(struct request *rq, struct reply *rp)
{
    return write_page(rq, rp);
}

enum err h_pupil_progress_get(struct request *rq, struct reply *rp)
{
    return write_page(rq, rp);
}

enum err h_children_get(struct request *rq, struct reply *rp)
{
    struct session_child *list = NULL;
    size_t n = 0;
    enum err e = session_children(rq->store, rq->mem, rq->who.session, rq->now, &list, &n);
    if (e != OK) {
        return e;
    }
    struct buf *b = reply_json_buf(rq, rp, 200);
    buf_str(b, "{\"children\":[");
    for (size_t i = 0; i < n; i++) {
        buf_str(b, i > 0 ? ",{\"id\":" : "{\"id\":");
        view_id(b, list[i].pupil.v);
        buf_str(b, ",\"display_name\":");
        json_txt(b, list[i].display_name);
        buf_printf(b, ",\"picture\":%d}", list[i].picture);
    }
    buf_str(b, "]}");
    return OK;
}
