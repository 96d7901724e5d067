/* SPDX-License-Identifier: MIT
 * Challenges: what is set to whom, and when.
 *
 * Owns: tables challenge, challenge_class. How it stands for a class is read through
 * CLASS_CHALLENGE (t), never from challenge itself.
 * Invariants: a challenge keeps the revision it was set with; its times are in order (the schema
 * holds that too); its number is free in each of its classes for good, because sheets of paper with
 * the old number lie in kitchens, and free in the school for 400 days while any is, because a child
 * may be in a class and in a group.
 * Threat: a pupil guesses the id or number of another class's challenge. Every reader that is given
 * a pupil joins through that pupil's own membership. Membership is by day and times are instants,
 * so whether a child was in the class while it was open is decided here, in the school's zone. */
#include "store/challenges.h"

#include <stdlib.h>
#include <string.h>

#include "base/clock.h"
#include "base/mem.h"
#include "base/rand.h"
#include "challenges_internal.h"
#include "store/activities.h"
#include "store/query.h"
#include "store/school.h"

enum {
    CH_GET, CH_CLASSES, CH_OPEN_PUPIL, CH_EVER_PUPIL, CH_OF_CLASS, CH_NUMBERS_CLASS,
    CH_NUMBERS_SCHOOL, CH_MAKE, CH_ADD_CLASS, CH_SENT, CH_STMTS
};

#define CH_COLUMNS \
    "c.id, c.number, c.revision_id, r.activity_id, c.unit_id, u.name, t.opens_at, t.due_at," \
    " t.closes_at, t.cancelled_at IS NOT NULL"
#define CH_JOIN " JOIN revision r ON r.id = c.revision_id JOIN unit u ON u.id = c.unit_id"

enum { NUMBER_LEAST = 10, NUMBER_SHORT = 99, NUMBER_MOST = 999, REST_DAYS = 400, CLOSE_DAYS = 28 };

static const struct stmt_def defs[] = {
    [CH_GET] = {"challenge get",
        "SELECT c.id, c.number, c.revision_id, r.activity_id, c.unit_id, u.name, c.opens_at,"
        " c.due_at, c.closes_at, 0 FROM challenge c" CH_JOIN " WHERE c.id = :challenge"},
    [CH_CLASSES] = {"classes of a challenge",
        "SELECT k.id, k.name, t.opens_at, t.due_at, t.closes_at, t.cancelled_at, s.name"
        " FROM " CLASS_CHALLENGE " t JOIN class k ON k.id = t.class_id"
        " LEFT JOIN staff s ON s.id = t.cancelled_by"
        " WHERE t.challenge_id = :challenge ORDER BY k.name_key, k.id"},
    [CH_OPEN_PUPIL] = {"challenges open for a pupil",        /* max(): the row that has it */
        "SELECT " CH_COLUMNS ", max(t.due_at) FROM membership m"
        " JOIN " CLASS_CHALLENGE " t ON t.class_id = m.class_id"
        " JOIN challenge c ON c.id = t.challenge_id" CH_JOIN
        " WHERE m.pupil_id = :pupil AND m.from_day <= :today"
        " AND (m.to_day IS NULL OR m.to_day >= :today)"
        " AND t.opens_at <= :now AND t.closes_at >= :now AND t.cancelled_at IS NULL"
        " GROUP BY c.id ORDER BY t.due_at, c.number"},
    [CH_EVER_PUPIL] = {"challenges of a pupil",
        "SELECT " CH_COLUMNS ", m.from_day, m.to_day FROM membership m"
        " JOIN " CLASS_CHALLENGE " t ON t.class_id = m.class_id"
        " JOIN challenge c ON c.id = t.challenge_id" CH_JOIN
        " WHERE m.pupil_id = :pupil"},
    [CH_OF_CLASS] = {"challenges of a class",
        "SELECT " CH_COLUMNS ", t.cancelled_at IS NOT NULL AND NOT t.came"
        " FROM " CLASS_CHALLENGE " t JOIN challenge c ON c.id = t.challenge_id"
        CH_JOIN " WHERE t.class_id = :class AND t.closes_at >= :from"
        " ORDER BY t.opens_at DESC, c.number"},
    [CH_NUMBERS_CLASS] = {"numbers of a class",
        "SELECT c.number FROM challenge_class cc JOIN challenge c ON c.id = cc.challenge_id"
        " WHERE cc.class_id = :class"
        " UNION ALL SELECT number FROM number_past WHERE class_id = :class"},
    [CH_NUMBERS_SCHOOL] = {"numbers of the school",
        "SELECT number FROM challenge WHERE closes_at >= :since OR id IN"
        " (SELECT challenge_id FROM challenge_change WHERE closes_at >= :since)"
        " UNION ALL SELECT number FROM number_past WHERE closes_at >= :since"
        " /*scan: only when a challenge is set*/"},
    [CH_MAKE] = {"challenge make",
        "INSERT INTO challenge (id, revision_id, unit_id, number, opens_at, due_at, closes_at,"
        " created_at, created_by) VALUES (:challenge, :revision, :unit, :number, :opens, :due,"
        " :closes, :now, :staff)"},
    [CH_ADD_CLASS] = {"challenge class add",
        "INSERT INTO challenge_class (class_id, challenge_id) VALUES (:class, :challenge)"},
    [CH_SENT] = {"children who sent to a challenge",
        "SELECT m.class_id, count(DISTINCT h.pupil_id) FROM hand_in h"
        " JOIN membership m ON m.pupil_id = h.pupil_id WHERE h.challenge_id = :challenge"
        " GROUP BY m.class_id"},
};
const struct stmt_set challenges_stmts = {"challenges", defs, CH_STMTS};

static void challenge_read(struct query *q, void *ctx, struct challenge *out)
{
    *out = (struct challenge){
        .id = {col_int(q, 0)},
        .number = (int)col_int(q, 1),
        .revision = {col_int(q, 2)},
        .activity = {col_int(q, 3)},
        .unit = {col_int(q, 4)},
        .unit_name = col_text(q, 5, ctx),
        .opens_at = col_int(q, 6),
        .due_at = col_int(q, 7),
        .closes_at = col_int(q, 8),
        .cancelled = col_int(q, 9) != 0,
    };
}

static enum err read_classes(void *ctx, struct store *st, struct challenge *c)
{
    struct query q;
    size_t cap = 0;
    query_begin(&q, st, &challenges_stmts, CH_CLASSES);
    query_int(&q, ":challenge", c->id.v);
    while (query_row(&q)) {
        mem_grow(ctx, c->classes, c->class_count, &cap);
        c->classes[c->class_count++] = (struct challenge_class){
            .id = {col_int(&q, 0)},
            .name = col_text(&q, 1, ctx),
            .opens_at = col_int(&q, 2),
            .due_at = col_int(&q, 3),
            .closes_at = col_int(&q, 4),
            .cancelled_at = col_null(&q, 5) ? 0 : col_int(&q, 5),
            .cancelled_by = col_text(&q, 6, ctx),
            .sent = -1,
        };
    }
    return query_end(&q);
}

void challenge_widen(struct challenge *c)
{
    bool all = true, any = false;
    for (size_t i = 0; i < c->class_count; i++) {
        all = all && c->classes[i].cancelled_at != 0;
    }
    for (size_t i = 0; i < c->class_count; i++) {
        const struct challenge_class *k = &c->classes[i];
        if (k->cancelled_at && !all) {
            continue;
        }
        c->opens_at = any && c->opens_at < k->opens_at ? c->opens_at : k->opens_at;
        c->due_at = any && c->due_at > k->due_at ? c->due_at : k->due_at;
        c->closes_at = any && c->closes_at > k->closes_at ? c->closes_at : k->closes_at;
        any = true;
    }
    c->cancelled = all && any;
}

static enum err read_list(void *ctx, struct query *q, struct challenge_list *out)
{
    struct store *st = q->st;
    size_t cap = 0;
    *out = (struct challenge_list){0};
    while (query_row(q)) {
        mem_grow(ctx, out->rows, out->count, &cap);
        challenge_read(q, ctx, &out->rows[out->count]);
        out->rows[out->count].empty = out->rows[out->count].cancelled && col_int(q, 10) != 0;
        out->count++;
    }
    enum err e = query_end(q);
    for (size_t i = 0; e == OK && i < out->count; i++) {
        e = read_classes(ctx, st, &out->rows[i]);
    }
    return e;
}

enum err challenge_get(void *ctx, struct store *st, struct challenge_id id, struct challenge *out)
{
    struct query q;
    query_begin(&q, st, &challenges_stmts, CH_GET);
    query_int(&q, ":challenge", id.v);
    bool found = query_row(&q);
    if (found) {
        challenge_read(&q, ctx, out);
    }
    enum err e = query_end(&q);
    if (e == OK && !found) {
        return ERR_NOT_FOUND;
    }
    if (e == OK) {
        e = read_classes(ctx, st, out);
    }
    if (e == OK) {
        challenge_widen(out);
    }
    return e;
}

static struct challenge_class *class_in(const struct challenge *c, int64_t id)
{
    for (size_t i = 0; i < c->class_count; i++) {
        if (c->classes[i].id.v == id) {
            return &c->classes[i];
        }
    }
    return NULL;
}

const struct challenge_class *challenge_class_of(const struct challenge *c, struct class_id id)
{
    return class_in(c, id.v);
}

bool challenge_has_class(const struct challenge *c, struct class_id id)
{
    return class_in(c, id.v) != NULL;
}

enum err challenge_count_sent(struct store *st, struct challenge *c)
{
    struct query q;
    for (size_t i = 0; i < c->class_count; i++) {
        c->classes[i].sent = 0;
    }
    query_begin(&q, st, &challenges_stmts, CH_SENT);
    query_int(&q, ":challenge", c->id.v);
    while (query_row(&q)) {
        struct challenge_class *k = class_in(c, col_int(&q, 0));
        if (k) {
            k->sent = col_int(&q, 1);
        }
    }
    return query_end(&q);
}

enum err challenges_open_for_pupil(void *ctx, struct store *st, struct pupil_id pupil, int64_t now,
                                   struct challenge_list *out)
{
    struct query q;
    query_begin(&q, st, &challenges_stmts, CH_OPEN_PUPIL);
    query_int(&q, ":pupil", pupil.v);
    query_int(&q, ":today", clock_day(now));
    query_int(&q, ":now", now);
    return read_list(ctx, &q, out);
}

/* Set through a class and through a group: the one that serves the child best stands. */
static bool serves_better(const struct challenge *a, const struct challenge *b)
{
    return a->cancelled != b->cancelled ? b->cancelled : a->due_at > b->due_at;
}

static struct challenge *row_of(struct challenge_list *list, struct challenge_id id)
{
    for (size_t i = 0; i < list->count; i++) {
        if (list->rows[i].id.v == id.v) {
            return &list->rows[i];
        }
    }
    return NULL;
}

static int by_opening(const void *a, const void *b)
{
    const struct challenge *x = a, *y = b;
    if (x->opens_at != y->opens_at) {
        return x->opens_at < y->opens_at ? -1 : 1;
    }
    return x->number != y->number ? x->number - y->number : x->id.v < y->id.v ? -1 : 1;
}

enum err challenges_of_pupil(void *ctx, struct store *st, struct pupil_id pupil,
                             struct challenge_list *out)
{
    struct query q;
    size_t cap = 0;
    *out = (struct challenge_list){0};
    query_begin(&q, st, &challenges_stmts, CH_EVER_PUPIL);
    query_int(&q, ":pupil", pupil.v);
    while (query_row(&q)) {
        struct challenge c;
        challenge_read(&q, ctx, &c);
        bool was_in = col_int(&q, 10) <= clock_day(c.closes_at) &&
                      (col_null(&q, 11) || col_int(&q, 11) >= clock_day(c.opens_at));
        struct challenge *before = was_in ? row_of(out, c.id) : NULL;
        if (before && serves_better(&c, before)) {
            *before = c;
        } else if (was_in && !before) {
            mem_grow(ctx, out->rows, out->count, &cap);
            out->rows[out->count++] = c;
        }
    }
    enum err e = query_end(&q);
    if (out->count) {
        qsort(out->rows, out->count, sizeof *out->rows, by_opening);
    }
    for (size_t i = 0; e == OK && i < out->count; i++) {
        e = read_classes(ctx, st, &out->rows[i]);
    }
    return e;
}

enum err challenge_of_pupil(void *ctx, struct store *st, struct pupil_id pupil,
                            struct challenge_id id, struct challenge *out)
{
    struct challenge_list all;
    enum err e = challenges_of_pupil(ctx, st, pupil, &all);
    for (size_t i = 0; e == OK && i < all.count; i++) {
        if (all.rows[i].id.v == id.v) {
            *out = all.rows[i];
            return OK;
        }
    }
    return e == OK ? ERR_NOT_FOUND : e;
}

static bool is_open(const struct challenge *c, int64_t now)
{
    return !c->cancelled && c->opens_at <= now && now <= c->closes_at;
}

enum err challenge_by_number(void *ctx, struct store *st, const struct challenge_typed *typed,
                             struct challenge *out)
{
    struct challenge_list all;
    const struct challenge *found = NULL;
    enum err e = challenges_of_pupil(ctx, st, typed->pupil, &all);
    for (size_t i = 0; e == OK && i < all.count; i++) {     /* rising by opening: the last wins */
        const struct challenge *c = &all.rows[i];
        bool better = is_open(c, typed->now) || !found || !is_open(found, typed->now);
        if (c->number == typed->number && better) {
            found = c;
        }
    }
    if (e != OK || !found) {
        return e == OK ? ERR_NOT_FOUND : e;
    }
    *out = *found;
    return OK;
}

enum err challenges_of_class(void *ctx, struct store *st, struct class_id cls, int64_t closes_from,
                             struct challenge_list *out)
{
    struct query q;
    query_begin(&q, st, &challenges_stmts, CH_OF_CLASS);
    query_int(&q, ":class", cls.v);
    query_int(&q, ":from", closes_from);
    return read_list(ctx, &q, out);
}

/* The number ---------------------------------------------------------------------------------- */

enum { IN_CLASS = 1, IN_SCHOOL = 2 };
struct numbers { uint8_t used[NUMBER_MOST + 1]; };

static enum err mark_used(struct query *q, struct numbers *n, uint8_t mark)
{
    while (query_row(q)) {
        int64_t number = col_int(q, 0);
        if (number >= NUMBER_LEAST && number <= NUMBER_MOST) {
            n->used[number] |= mark;
        }
    }
    return query_end(q);
}

/* Any number of low..high without one of the marks; 0: none. */
static int number_free(const struct numbers *n, int low, int high, uint8_t marks)
{
    uint32_t count = 0;
    for (int i = low; i <= high; i++) {
        count += !(n->used[i] & marks);
    }
    uint32_t skip = count ? rand_below(count) : 0;
    for (int i = low; count && i <= high; i++) {
        if (!(n->used[i] & marks) && skip-- == 0) {
            return i;
        }
    }
    return 0;
}

static enum err number_choose(struct store *st, const struct challenge_new *n, int *out)
{
    struct numbers used = {{0}};
    struct query q;
    query_begin(&q, st, &challenges_stmts, CH_NUMBERS_SCHOOL);
    query_int(&q, ":since", n->now - (int64_t)REST_DAYS * 86400);
    enum err e = mark_used(&q, &used, IN_SCHOOL);
    for (size_t i = 0; e == OK && i < n->class_count; i++) {
        query_begin(&q, st, &challenges_stmts, CH_NUMBERS_CLASS);
        query_int(&q, ":class", n->classes[i].v);
        e = mark_used(&q, &used, IN_CLASS);
    }
    if (e != OK) {
        return e;
    }
    *out = number_free(&used, NUMBER_LEAST, NUMBER_SHORT, IN_CLASS | IN_SCHOOL);
    if (!*out) {
        *out = number_free(&used, NUMBER_SHORT + 1, NUMBER_MOST, IN_CLASS | IN_SCHOOL);
    }
    if (!*out) {
        *out = number_free(&used, NUMBER_LEAST, NUMBER_MOST, IN_CLASS);
    }
    return *out ? OK : ERR_CONFLICT;
}

static enum err insert(struct store *st, const struct challenge_new *n,
                       struct revision_id revision, struct challenge_id *out)
{
    int number = 0;
    enum err e = number_choose(st, n, &number);
    if (e != OK) {
        return e;
    }
    struct query q;
    out->v = store_id_new();
    query_begin(&q, st, &challenges_stmts, CH_MAKE);
    query_int(&q, ":challenge", out->v);
    query_int(&q, ":revision", revision.v);
    query_int(&q, ":unit", n->unit.v);
    query_int(&q, ":number", number);
    query_int(&q, ":opens", n->opens_at);
    query_int(&q, ":due", n->due_at);
    query_int(&q, ":closes", n->closes_at);
    query_int(&q, ":now", n->now);
    query_int_or_null(&q, ":staff", n->by.v != 0, n->by.v);
    e = query_run(&q);
    for (size_t i = 0; e == OK && i < n->class_count; i++) {
        query_begin(&q, st, &challenges_stmts, CH_ADD_CLASS);
        query_int(&q, ":class", n->classes[i].v);
        query_int(&q, ":challenge", out->v);
        e = query_run(&q);
    }
    return e;
}

enum err challenge_create(struct store *st, const struct challenge_new *n, struct challenge_id *out)
{
    const struct activity *a = NULL;
    bool archived = false;
    enum err e = activity_load_current(st, n->activity, &a);
    if (e == OK) {
        e = activity_is_archived(st, n->activity, &archived);
    }
    if (e == OK && (archived || !n->class_count)) {
        e = ERR_CONFLICT;
    }
    return e == OK ? insert(st, n, a->revision, out) : e;
}

enum err challenge_default_close(struct store *st, int32_t due_day, int64_t *out)
{
    void *mem = mem_root();
    struct calendar c;
    int32_t day = due_day + CLOSE_DAYS;
    enum err e = school_calendar(st, mem, &c);
    for (size_t i = 0; e == OK && i < c.term_count; i++) {
        if (c.terms[i].starts_day <= due_day && due_day <= c.terms[i].ends_day) {
            day = c.terms[i].ends_day;
        }
    }
    *out = clock_day_end(day);
    talloc_free(mem);
    return e;
}
