/* SPDX-License-Identifier: MIT
 * Band lines: the school's judgement of a version's scores. A preview says in counts how a class's
 * last tries would fall under lines that are not stored yet, and how sure that would be; no name
 * leaves with it. Storing makes a revision in which nothing but the lines changed, so that the page
 * needs no whole activity, and two people who change different things do not undo each other. */
#include <string.h>

#include "auth/scope.h"
#include "base/clock.h"
#include "base/int_list.h"
#include "base/mem.h"
#include "base/text.h"
#include "handlers/activity_view.h"
#include "handlers/hand_in_view.h"
#include "handlers/handlers.h"
#include "handlers/suggestion.h"
#include "plan_internal.h"
#include "second_internal.h"
#include "store/line_preview.h"
#include "store/school.h"

/* Reading -------------------------------------------------------------------------------------- */

/* "4,8,11" */
static enum err read_lines(struct request *rq, struct activity_version *v)
{
    const char *s = request_query(rq, "lines");
    switch (int_list_read(s, ACTIVITY_BAND_LINES, v->band_lines, &v->band_line_count)) {
    case INT_LIST_FINE:
        return OK;
    case INT_LIST_EMPTY:
        return request_blame(rq, "/lines", "required", NULL);
    case INT_LIST_TOO_MANY:
        return request_blame(rq, "/lines", "too_many", NULL);
    default:
        return request_blame(rq, mem_printf(rq->mem, "/lines/%zu", v->band_line_count), "type",
                             NULL);
    }
}

/* A word of the query that has to be one of the choices; absent leaves *out alone. */
static enum err read_choice(struct request *rq, const char *name, int (*of)(const char *), int *out)
{
    const char *s = request_query(rq, name);
    int found = s == NULL ? *out : of(s);
    if (s != NULL && found < 0) {
        return request_blame(rq, mem_printf(rq->mem, "/%s", name), "not_a_choice", NULL);
    }
    *out = found;
    return OK;
}

/* What activity_check_lines says of "/versions/2/band_lines/1", said of "/lines/1". */
static enum err check_lines(struct request *rq, const struct activity *draft, size_t version,
                            size_t bands)
{
    const char *code = NULL;
    const char *at = activity_check_lines(rq->mem, draft, version, bands, &code);
    const char *rest = at == NULL ? NULL : strstr(at, "band_lines") + strlen("band_lines");
    return at == NULL ? OK : request_blame(rq, mem_printf(rq->mem, "/lines%s", rest), code, NULL);
}

struct asked {
    struct line_preview_ask ask;
    struct activity draft;          /* the newest revision with the lines to try */
    struct band_words words;
    struct second_blind_list blind;
};

/* The version of the query with the lines of the query, checked. */
static enum err read_version(struct request *rq, struct asked *in)
{
    int kind = VERSION_STANDARD, statistic = -1;
    enum err e = read_choice(rq, "version", version_kind_of, &kind);
    if (e == OK) {
        e = read_choice(rq, "statistic", unit_statistic_of, &statistic);
    }
    if (e != OK) {
        return e;
    }
    in->ask.has_statistic = statistic >= 0;
    in->ask.statistic = statistic >= 0 ? (enum unit_statistic)statistic : UNIT_MIDDLE;
    for (size_t i = 0; i < in->draft.version_count; i++) {
        struct activity_version *v = &in->draft.versions[i];
        if (v->kind == (enum version_kind)kind) {
            v->own_target.set = false;
            in->ask.lines = v;
            e = read_lines(rq, v);
            return e == OK ? check_lines(rq, &in->draft, i, in->words.n) : e;
        }
    }
    return request_blame(rq, "/version", "not_found", NULL);
}

static enum err read_preview(struct request *rq, struct asked *in)
{
    enum err e = request_query_id(rq, "class", &in->ask.cls.v);
    if (e == OK && in->ask.cls.v == 0) {
        e = request_blame(rq, "/class", "required", NULL);
    }
    if (e == OK) {
        e = activity_load_current(rq->store, (struct activity_id){rq->args[0].id},
                                  &in->ask.activity);
    }
    if (e == OK) {
        e = school_band_words(rq->store, rq->mem, &in->words);
    }
    if (e == OK) {
        e = second_blind_load(rq, &in->blind);
    }
    if (e == OK) {
        in->ask.blind = &in->blind;
        in->draft = *in->ask.activity;
        in->ask.bands = in->words.n;
        in->ask.today = clock_day(rq->now);
        e = read_version(rq, in);
    }
    return e;
}

/* Saying --------------------------------------------------------------------------------------- */

struct telling {
    struct buf *b;
    size_t said;
};

static void say(struct telling *t, const char *text)
{
    buf_str(t->b, t->said++ > 0 ? "," : "");
    json_txt(t->b, text);
}

static const char *children(void *ctx, size_t n)
{
    return n == 1 ? "1 child" : mem_printf(ctx, "%zu children", n);
}

/* "Of 26 children 4 would fall in "met the aim" and 22 in "beyond the aim"." */
static void say_bands(struct telling *t, const struct asked *in, const struct line_preview *p)
{
    void *ctx = t->b->ctx;
    const char *list = "";
    size_t bands = in->ask.lines->band_line_count + 1;
    for (size_t i = 0; i < bands && i < in->words.n; i++) {
        const char *join = i == 0 ? "" : i + 1 == bands ? " and " : ", ";
        const char *n = p->band[i] == 0 ? "none" : mem_printf(ctx, "%zu", p->band[i]);
        list = mem_printf(ctx, "%s%s%s%s in \xE2\x80\x9C%s\xE2\x80\x9D", list, join, n,
                          i == 0 ? " would fall" : "", in->words.word[i]);
    }
    say(t, mem_printf(ctx, "Of %s %s.", children(ctx, p->placed), list));
}

static void say_sure(struct telling *t, const struct line_preview *p)
{
    void *ctx = t->b->ctx;
    size_t sure = p->label[BAND_SURE] + p->label[BAND_FAIRLY];
    size_t known = p->placed - p->unknown;
    if (known == 0) {
        say(t, "How sure that is cannot be said: it takes more tries of the class to know how much "
               "they vary.");
        return;
    }
    say(t, mem_printf(ctx, "How sure: for about %zu of %zu another day would land in the same band "
                      "at least 2 times in 3.", sure, known));
    if (2 * p->label[BAND_NOT_ENOUGH] > known) {
        say(t, "For more than half the tries are not enough to place the child between these "
               "lines. Fewer lines, or lines further apart, would be surer.");
    }
}

static void say_all(struct telling *t, const struct asked *in, const struct line_preview *p)
{
    void *ctx = t->b->ctx;
    if (!p->found) {
        say(t, p->changed ? "What this class did was scored another way, or from another "
                            "distance, so these lines cannot be laid over it."
                          : "No tries of this class at this activity have come in yet, so there "
                            "is nothing to show. The lines can be set all the same.");
        return;
    }
    if (p->placed == 0) {
        say(t, "No try that came in can be laid under these lines.");
    } else {
        say_bands(t, in, p);
        say_sure(t, p);
    }
    if (p->elsewhere > 0) {
        say(t, mem_printf(ctx, "%s left out: the lines belong to one distance, and the tries are "
                          "from elsewhere or it is not known from where.",
                          p->elsewhere == 1 ? "1 child is"
                                            : mem_printf(ctx, "%zu children are", p->elsewhere)));
    }
    if (p->other_version > 0) {
        say(t, mem_printf(ctx, "%s another version, or made no whole try.",
                          mem_printf(ctx, "%s did", children(ctx, p->other_version))));
    }
}

static void say_kept(struct telling *t, const struct line_preview *p)
{
    if (p->kept > 0) {
        say(t, mem_printf(t->b->ctx, "%s left out until you have given the second view that you "
                          "were asked for.",
                          p->kept == 1 ? "1 child is"
                                       : mem_printf(t->b->ctx, "%zu children are", p->kept)));
    }
}

static void view_from(struct buf *b, const struct line_preview *p)
{
    buf_str(b, "{\"from\":");
    if (!p->found) {
        buf_str(b, "null");
        return;
    }
    buf_str(b, "{\"unit\":{\"id\":");
    view_id(b, p->unit.id.v);
    buf_str(b, ",\"name\":");
    json_txt(b, p->unit.name);
    buf_str(b, "},\"challenge\":{\"id\":");
    view_id(b, p->challenge.id.v);
    buf_printf(b, ",\"number\":%d},\"last_on\":", p->challenge.number);
    view_day(b, p->last_day);
    buf_printf(b, ",\"pupils\":%zu,\"placed\":%zu,\"elsewhere\":%zu,\"other_version\":%zu,"
               "\"second_view\":%zu}",
               p->pupils, p->placed, p->elsewhere, p->other_version, p->kept);
}

static void view_counts(struct buf *b, const struct asked *in, const struct line_preview *p)
{
    enum unit_statistic stat = in->ask.has_statistic || !p->found ? in->ask.statistic
                                                                  : p->unit.statistic;
    buf_printf(b, ",\"version\":\"%s\",\"statistic\":\"%s\",\"lines\":[",
               version_kind_word(in->ask.lines->kind), unit_statistic_word(stat));
    for (size_t i = 0; i < in->ask.lines->band_line_count; i++) {
        buf_str(b, i > 0 ? "," : "");
        buf_int(b, in->ask.lines->band_lines[i]);
    }
    buf_str(b, "],\"bands\":[");
    for (size_t i = 0; i <= in->ask.lines->band_line_count && i < in->words.n; i++) {
        buf_printf(b, "%s{\"band\":%zu,\"word\":", i > 0 ? "," : "", i);
        json_txt(b, in->words.word[i]);
        buf_printf(b, ",\"count\":%zu}", p->band[i]);
    }
    buf_printf(b, "],\"labels\":{\"sure\":%zu,\"fairly\":%zu,\"leaning\":%zu,\"not_enough\":%zu,"
               "\"unknown\":%zu},\"scores\":[", p->label[BAND_SURE], p->label[BAND_FAIRLY],
               p->label[BAND_LEANING], p->label[BAND_NOT_ENOUGH], p->unknown);
    for (size_t i = 0; i < p->score_count; i++) {
        buf_printf(b, "%s{\"value\":%.10g,\"count\":%zu}", i > 0 ? "," : "", p->scores[i].value,
                   p->scores[i].count);
    }
    buf_str(b, "]");
}

enum err h_band_preview_get(struct request *rq, struct reply *rp)
{
    struct asked *in = mem_new(rq->mem, struct asked);
    struct line_preview p;
    enum err e = read_preview(rq, in);
    if (e == OK) {
        e = line_preview(rq->store, rq->mem, &in->ask, &p);
    }
    if (e != OK) {
        return e;
    }
    struct buf *b = reply_json_buf(rq, rp, 200);
    view_from(b, &p);
    view_counts(b, in, &p);
    buf_str(b, ",\"sentences\":[");
    struct telling t = {.b = b};
    say_all(&t, in, &p);
    say_kept(&t, &p);
    buf_str(b, "],\"note\":");
    json_txt(b, suggestion_note);
    buf_str(b, "}");
    return OK;
}

/* Storing -------------------------------------------------------------------------------------- */

static struct activity_version *version_in(struct activity *draft, const char *kind)
{
    int k = version_kind_of(kind);
    for (size_t i = 0; k >= 0 && i < draft->version_count; i++) {
        if (draft->versions[i].kind == (enum version_kind)k) {
            return &draft->versions[i];
        }
    }
    return NULL;
}

static void read_version_lines(struct reader *r, const char *kind, struct activity_version *v)
{
    const json_t *list = reader_list(r, kind, ACTIVITY_BAND_LINES);
    v->band_line_count = json_array_size(list);
    for (size_t i = 0; i < v->band_line_count; i++) {
        const json_t *line = json_array_get(list, i);
        if (json_is_integer(line)) {
            v->band_lines[i] = json_integer_value(line);
        } else {
            reader_blame(r, mem_printf(r->rq->mem, "%s/%zu", kind, i), "type");
        }
    }
    v->own_target.set = v->own_target.set && v->band_line_count == 0;
}

/* Lines of the draft's version, blamed at "/versions/seated/1". */
static void check_version(struct reader *r, const char *kind, const struct activity *draft,
                          size_t bands)
{
    const char *code = NULL;
    for (size_t i = 0; i < draft->version_count; i++) {
        if (draft->versions[i].kind != (enum version_kind)version_kind_of(kind)) {
            continue;
        }
        const char *at = activity_check_lines(r->rq->mem, draft, i, bands, &code);
        if (at != NULL) {
            reader_blame(r, mem_printf(r->rq->mem, "%s%s", kind,
                                       strstr(at, "band_lines") + strlen("band_lines")), code);
        }
    }
}

static enum err read_all_lines(struct request *rq, struct activity *draft, size_t bands)
{
    static const char *const members[] = {"revision", "versions", NULL};
    struct reader body = reader_body(rq);
    struct reader r = {.rq = rq, .at = "/versions", .obj = json_object_get(rq->json, "versions")};
    void *it;
    reader_known(&body, members);
    reader_id(&body, "revision", &draft->revision.v);
    if (body.err == OK && !json_is_object(r.obj)) {
        reader_blame(&body, "versions", r.obj == NULL ? "required" : "type");
    }
    if (body.err != OK) {
        return body.err;
    }
    json_t *obj = json_object_get(rq->json, "versions");
    for (it = json_object_iter(obj); it != NULL; it = json_object_iter_next(obj, it)) {
        const char *kind = json_object_iter_key(it);
        struct activity_version *v = version_in(draft, kind);
        if (v == NULL) {
            reader_blame(&body, "versions", "unknown");
            return ERR_BAD_INPUT;
        }
        read_version_lines(&r, kind, v);
        if (r.err == OK) {
            check_version(&r, kind, draft, bands);
        }
    }
    return r.err;
}

static bool same_lines(const struct activity *a, const struct activity *b)
{
    for (size_t i = 0; i < a->version_count; i++) {
        const struct activity_version *x = &a->versions[i], *y = &b->versions[i];
        if (x->band_line_count != y->band_line_count || x->own_target.set != y->own_target.set ||
            memcmp(x->band_lines, y->band_lines, x->band_line_count * sizeof *x->band_lines) != 0) {
            return false;
        }
    }
    return true;
}

enum err h_activity_lines_put(struct request *rq, struct reply *rp)
{
    const struct activity *now = NULL;
    struct activity *draft = mem_new(rq->mem, struct activity);
    struct band_words words;
    enum err e = activity_load_current(rq->store, (struct activity_id){rq->args[0].id}, &now);
    if (e == OK) {
        e = school_band_words(rq->store, rq->mem, &words);
    }
    if (e != OK) {
        return e;
    }
    *draft = *now;
    draft->revision.v = 0;
    e = read_all_lines(rq, draft, words.n);
    if (e == OK && draft->revision.v != 0 && draft->revision.v != now->revision.v) {
        e = ERR_CONFLICT;
    }
    if (e == OK && !same_lines(now, draft)) {
        const struct activity_by by = {.staff = rq->who.staff, .now = rq->now};
        e = activity_revise(rq->store, draft, by, &now);
    }
    if (e == OK) {
        struct buf *b = reply_json_buf(rq, rp, 200);
        buf_str(b, "{\"activity\":");
        view_activity(b, now, ACTIVITY_FOR_STAFF);
        buf_str(b, "}");
    }
    return e;
}
