/* SPDX-License-Identifier: MIT
 * Observations in the database.
 *
 * Owns: tables seen, lesson_answer, taking_part. Ids of the first two count upwards on purpose;
 * "the last row" is the one said last (of a lesson_answer the highest), and a NULL there means
 * taken back. It is found first and its NULL looked at after: a row taken back must not let an
 * older one through. */
#include "store/observations.h"

#include <string.h>

#include "base/mem.h"
#include "store/query.h"

#define IN_CLASS                                                                               \
    "(SELECT m.pupil_id FROM membership m WHERE m.class_id = :class AND m.from_day <= :today"  \
    " AND (m.to_day IS NULL OR m.to_day >= :today))"
/* A teaching point, and a question, is its words in its activity: a newer revision has it under
 * another id. */
#define SEEN_POINT                                                                             \
    " FROM seen s JOIN cue c ON c.id = s.cue_id JOIN revision r ON r.id = c.revision_id"
#define SEEN_HOLDS                                                                             \
    "s.seen IS NOT NULL AND s.id = (SELECT t.id FROM seen t JOIN cue d ON d.id = t.cue_id"     \
    " JOIN revision v ON v.id = d.revision_id WHERE t.unit_id = s.unit_id"                     \
    " AND t.pupil_id = s.pupil_id AND v.activity_id = r.activity_id AND d.text = c.text"       \
    " ORDER BY t.said_at DESC, t.id DESC LIMIT 1)"
#define ANSWERED                                                                               \
    " FROM lesson_answer a JOIN question c ON c.id = a.question_id"                            \
    " JOIN revision r ON r.id = c.revision_id"
#define ANSWER_HOLDS                                                                           \
    "a.right_answer IS NOT NULL AND a.id = (SELECT max(b.id) FROM lesson_answer b"             \
    " JOIN question d ON d.id = b.question_id JOIN revision v ON v.id = d.revision_id"         \
    " WHERE b.unit_id = a.unit_id AND b.pupil_id = a.pupil_id"                                 \
    " AND v.activity_id = r.activity_id AND d.text = c.text)"
/* A revision `r` that the unit has: set in it, or of an activity in one of its lessons. */
#define OF_UNIT                                                                                \
    "(EXISTS (SELECT 1 FROM challenge h WHERE h.revision_id = r.id AND h.unit_id = :unit)"     \
    " OR EXISTS (SELECT 1 FROM lesson_activity la JOIN lesson l ON l.id = la.lesson_id"        \
    " WHERE la.activity_id = r.activity_id AND l.unit_id = :unit))"

enum {
    CUE_OF_UNIT, SEEN_KNOWN, SEEN_ADD, SEEN_OF_CLASS, SEEN_OF_PUPIL, SEEN_EVER_OF_PUPIL,
    QUESTION_OF_UNIT, ANSWER_ADD, ANSWERS_OF_CLASS, ANSWERS_OF_PUPIL, ANSWERS_EVER_OF_PUPIL,
    TAKING_PUT, TAKING_BACK, TAKING_OF_CLASS, TAKING_OF_PUPIL
};

static const struct stmt_def defs[] = {
    [CUE_OF_UNIT] = {"cue of unit",
        "SELECT 1 FROM cue c JOIN revision r ON r.id = c.revision_id WHERE c.id = :id AND "
        OF_UNIT},
    [SEEN_KNOWN] = {"seen known",
        "SELECT pupil_id = :pupil AND unit_id = :unit AND cue_id = :cue AND seen IS :seen"
        " FROM seen WHERE mark_id = :mark"},
    [SEEN_ADD] = {"seen add",
        "INSERT INTO seen (pupil_id, unit_id, cue_id, seen, on_day, by_staff, said_at, mark_id)"
        " VALUES (:pupil, :unit, :cue, :seen, :day, :by, :said, :mark)"},
    [SEEN_OF_CLASS] = {"seen of class",
        "SELECT s.pupil_id, s.unit_id, s.cue_id, c.text, s.seen, s.on_day, s.by_staff,"
        " r.activity_id" SEEN_POINT
        " WHERE s.unit_id = :unit AND s.pupil_id IN " IN_CLASS " AND " SEEN_HOLDS
        " ORDER BY s.pupil_id, s.cue_id"},
    [SEEN_OF_PUPIL] = {"seen of pupil",
        "SELECT s.pupil_id, s.unit_id, s.cue_id, c.text, s.seen, s.on_day, s.by_staff,"
        " r.activity_id" SEEN_POINT
        " WHERE s.pupil_id = :pupil AND " SEEN_HOLDS
        " ORDER BY s.on_day, s.id"},
    [SEEN_EVER_OF_PUPIL] = {"seen ever of pupil",
        "SELECT s.pupil_id, s.unit_id, s.cue_id, c.text, s.seen, s.on_day, s.by_staff,"
        " r.activity_id" SEEN_POINT
        " WHERE s.pupil_id = :pupil ORDER BY s.said_at, s.id"},
    [QUESTION_OF_UNIT] = {"question of unit",
        "SELECT 1 FROM question c JOIN revision r ON r.id = c.revision_id WHERE c.id = :id AND "
        OF_UNIT},
    [ANSWER_ADD] = {"lesson answer add",
        "INSERT INTO lesson_answer (pupil_id, unit_id, question_id, right_answer, on_day, by_staff)"
        " VALUES (:pupil, :unit, :question, :right, :day, :by)"},
    [ANSWERS_OF_CLASS] = {"lesson answers of class",
        "SELECT a.pupil_id, a.unit_id, a.question_id, c.text, a.right_answer, a.on_day, a.by_staff,"
        " r.activity_id" ANSWERED
        " WHERE a.unit_id = :unit AND a.pupil_id IN " IN_CLASS " AND " ANSWER_HOLDS
        " ORDER BY a.pupil_id, a.question_id"},
    [ANSWERS_OF_PUPIL] = {"lesson answers of pupil",
        "SELECT a.pupil_id, a.unit_id, a.question_id, c.text, a.right_answer, a.on_day, a.by_staff,"
        " r.activity_id" ANSWERED
        " WHERE a.pupil_id = :pupil AND " ANSWER_HOLDS " ORDER BY a.on_day, a.id"},
    [ANSWERS_EVER_OF_PUPIL] = {"lesson answers ever of pupil",
        "SELECT a.pupil_id, a.unit_id, a.question_id, c.text, a.right_answer, a.on_day, a.by_staff,"
        " r.activity_id" ANSWERED
        " WHERE a.pupil_id = :pupil ORDER BY a.id"},
    [TAKING_PUT] = {"taking part put",
        "INSERT INTO taking_part (pupil_id, unit_id, band, by_staff, on_day)"
        " VALUES (:pupil, :unit, :band, :by, :day)"
        " ON CONFLICT (pupil_id, unit_id) DO UPDATE SET band = :band, by_staff = :by,"
        " on_day = :day"},
    [TAKING_BACK] = {"taking part take back",
        "DELETE FROM taking_part WHERE pupil_id = :pupil AND unit_id = :unit"},
    [TAKING_OF_CLASS] = {"taking part of class",
        "SELECT t.pupil_id, t.unit_id, t.band, t.by_staff, t.on_day FROM taking_part t"
        " WHERE t.unit_id = :unit AND t.pupil_id IN " IN_CLASS " ORDER BY t.pupil_id"},
    [TAKING_OF_PUPIL] = {"taking part of pupil",
        "SELECT t.pupil_id, t.unit_id, t.band, t.by_staff, t.on_day FROM taking_part t"
        " WHERE t.pupil_id = :pupil ORDER BY t.on_day, t.unit_id"},
};

const struct stmt_set observations_stmts = {"observations", defs, sizeof defs / sizeof *defs};

static void begin_class(struct query *q, struct store *st, size_t stmt, const struct unit_class *k)
{
    query_begin(q, st, &observations_stmts, stmt);
    query_int(q, ":unit", k->unit.v);
    query_int(q, ":class", k->cls.v);
    query_int(q, ":today", k->today);
}

static void begin_pupil(struct query *q, struct store *st, size_t stmt, struct pupil_id p)
{
    query_begin(q, st, &observations_stmts, stmt);
    query_int(q, ":pupil", p.v);
}

/* A cue or question is of the unit. */
static enum err of_unit(struct store *st, size_t stmt, int64_t id, struct unit_id u)
{
    struct query q;
    bool found = false;
    query_begin(&q, st, &observations_stmts, stmt);
    query_int(&q, ":id", id);
    query_int(&q, ":unit", u.v);
    while (query_row(&q)) {
        found = true;
    }
    enum err e = query_end(&q);
    return e == OK && !found ? ERR_NOT_FOUND : e;
}

/* Teaching points ------------------------------------------------------------------------------ */

static void bind_seen(struct query *q, struct store *st, size_t stmt, const struct seen_row *row)
{
    query_begin(q, st, &observations_stmts, stmt);
    query_int(q, ":pupil", row->pupil.v);
    query_int(q, ":unit", row->unit.v);
    query_int(q, ":cue", row->cue);
    query_int_or_null(q, ":seen", !row->taken_back, row->seen);
    if (row->has_mark) {
        query_blob(q, ":mark", row->mark.b, sizeof row->mark.b);
    }
}

/* Was the mark stored before, and with this content? */
static enum err seen_known(struct store *st, const struct seen_row *row, bool *known)
{
    struct query q;
    bool same = true;
    *known = false;
    bind_seen(&q, st, SEEN_KNOWN, row);
    while (query_row(&q)) {
        *known = true;
        same = col_int(&q, 0) != 0;
    }
    enum err e = query_end(&q);
    return e == OK && !same ? ERR_DIFFERENT : e;
}

enum err seen_add(struct store *st, const struct seen_row *row)
{
    struct query q;
    bool known = false;
    enum err e = of_unit(st, CUE_OF_UNIT, row->cue, row->unit);
    if (e == OK && row->has_mark) {
        e = seen_known(st, row, &known);
    }
    if (e != OK || known) {
        return e;
    }
    bind_seen(&q, st, SEEN_ADD, row);
    query_int(&q, ":day", row->on_day);
    query_int(&q, ":by", row->by.v);
    query_int(&q, ":said", row->said_at);
    return query_run(&q);
}

static enum err read_seen(struct query *q, void *ctx, struct seen_list *out)
{
    size_t cap = 0;
    *out = (struct seen_list){0};
    while (query_row(q)) {
        mem_grow(ctx, out->v, out->n, &cap);
        out->v[out->n++] = (struct seen_row){
            .pupil = {col_int(q, 0)}, .unit = {col_int(q, 1)}, .cue = col_int(q, 2),
            .cue_text = col_text(q, 3, ctx), .seen = col_int(q, 4) != 0,
            .taken_back = col_null(q, 4),
            .on_day = (int32_t)col_int(q, 5), .by = {col_int(q, 6)},
            .activity = {col_int(q, 7)},
        };
    }
    return query_end(q);
}

bool seen_is_of(const struct seen_row *row, struct activity_id a, const char *text)
{
    return row->activity.v == a.v && strcmp(row->cue_text, text) == 0;
}

enum err seen_of_class(struct store *st, void *ctx, const struct unit_class *k,
                       struct seen_list *out)
{
    struct query q;
    begin_class(&q, st, SEEN_OF_CLASS, k);
    return read_seen(&q, ctx, out);
}

enum err seen_of_pupil(struct store *st, void *ctx, struct pupil_id p, struct seen_list *out)
{
    struct query q;
    begin_pupil(&q, st, SEEN_OF_PUPIL, p);
    return read_seen(&q, ctx, out);
}

enum err seen_ever_of_pupil(struct store *st, void *ctx, struct pupil_id p, struct seen_list *out)
{
    struct query q;
    begin_pupil(&q, st, SEEN_EVER_OF_PUPIL, p);
    return read_seen(&q, ctx, out);
}

/* Questions ------------------------------------------------------------------------------------ */

enum err lesson_answer_add(struct store *st, const struct lesson_answer *a)
{
    struct query q;
    enum err e = of_unit(st, QUESTION_OF_UNIT, a->question, a->unit);
    if (e != OK) {
        return e;
    }
    query_begin(&q, st, &observations_stmts, ANSWER_ADD);
    query_int(&q, ":pupil", a->pupil.v);
    query_int(&q, ":unit", a->unit.v);
    query_int(&q, ":question", a->question);
    query_int_or_null(&q, ":right", !a->taken_back, a->right);
    query_int(&q, ":day", a->on_day);
    query_int(&q, ":by", a->by.v);
    return query_run(&q);
}

static enum err read_answers(struct query *q, void *ctx, struct lesson_answer_list *out)
{
    size_t cap = 0;
    *out = (struct lesson_answer_list){0};
    while (query_row(q)) {
        mem_grow(ctx, out->v, out->n, &cap);
        out->v[out->n++] = (struct lesson_answer){
            .pupil = {col_int(q, 0)}, .unit = {col_int(q, 1)}, .question = col_int(q, 2),
            .question_text = col_text(q, 3, ctx), .right = col_int(q, 4) != 0,
            .taken_back = col_null(q, 4),
            .on_day = (int32_t)col_int(q, 5), .by = {col_int(q, 6)},
            .activity = {col_int(q, 7)},
        };
    }
    return query_end(q);
}

bool lesson_answer_is_of(const struct lesson_answer *row, struct activity_id a, const char *text)
{
    return row->activity.v == a.v && strcmp(row->question_text, text) == 0;
}

enum err lesson_answers_of_class(struct store *st, void *ctx, const struct unit_class *k,
                                 struct lesson_answer_list *out)
{
    struct query q;
    begin_class(&q, st, ANSWERS_OF_CLASS, k);
    return read_answers(&q, ctx, out);
}

enum err lesson_answers_of_pupil(struct store *st, void *ctx, struct pupil_id p,
                                 struct lesson_answer_list *out)
{
    struct query q;
    begin_pupil(&q, st, ANSWERS_OF_PUPIL, p);
    return read_answers(&q, ctx, out);
}

enum err lesson_answers_ever_of_pupil(struct store *st, void *ctx, struct pupil_id p,
                                      struct lesson_answer_list *out)
{
    struct query q;
    begin_pupil(&q, st, ANSWERS_EVER_OF_PUPIL, p);
    return read_answers(&q, ctx, out);
}

/* Taking part ---------------------------------------------------------------------------------- */

enum err taking_part_put(struct store *st, const struct taking_part *t)
{
    struct query q;
    query_begin(&q, st, &observations_stmts, TAKING_PUT);
    query_int(&q, ":pupil", t->pupil.v);
    query_int(&q, ":unit", t->unit.v);
    query_int(&q, ":band", t->band);
    query_int(&q, ":by", t->by.v);
    query_int(&q, ":day", t->on_day);
    return query_run(&q);
}

enum err taking_part_take_back(struct store *st, struct unit_id u, struct pupil_id p)
{
    struct query q;
    begin_pupil(&q, st, TAKING_BACK, p);
    query_int(&q, ":unit", u.v);
    return query_run(&q);
}

static enum err read_taking(struct query *q, void *ctx, struct taking_part_list *out)
{
    size_t cap = 0;
    *out = (struct taking_part_list){0};
    while (query_row(q)) {
        mem_grow(ctx, out->v, out->n, &cap);
        out->v[out->n++] = (struct taking_part){
            .pupil = {col_int(q, 0)}, .unit = {col_int(q, 1)}, .band = (int)col_int(q, 2),
            .by = {col_int(q, 3)}, .on_day = (int32_t)col_int(q, 4),
        };
    }
    return query_end(q);
}

enum err taking_part_of_class(struct store *st, void *ctx, const struct unit_class *k,
                              struct taking_part_list *out)
{
    struct query q;
    begin_class(&q, st, TAKING_OF_CLASS, k);
    return read_taking(&q, ctx, out);
}

enum err taking_part_of_pupil(struct store *st, void *ctx, struct pupil_id p,
                              struct taking_part_list *out)
{
    struct query q;
    begin_pupil(&q, st, TAKING_OF_PUPIL, p);
    return read_taking(&q, ctx, out);
}
