/* SPDX-License-Identifier: MIT
 * Decisions and observations in the database.
 *
 * Owns: tables assessment, seen, taking_part. A decision is never overwritten: a change of mind is
 * one more row, so that what a family was once shown can always be told. Ids of assessment and seen
 * count upwards on purpose; "the last row" is the highest. */
#include "store/assessments.h"

#include <string.h>

#include "base/mem.h"
#include "store/query.h"

const char *const assessment_reason_words[] = {
    "seen_in_lessons", "tries_were_not_typical", "kit_or_space", "support_given",
    "other_evidence",  NULL,
};
static const char *const label_words[] = {"sure", "fairly", "leaning", "not_enough", NULL};

#define COLUMNS                                                                                \
    "SELECT a.unit_id, u.name, a.pupil_id, a.band, w.word, a.in_bulk, a.reason,"               \
    " a.suggested_band, a.suggested_label, a.suggestion, a.by_staff, s.name, a.at, a.shared_at" \
    " FROM assessment a JOIN unit u ON u.id = a.unit_id JOIN staff s ON s.id = a.by_staff"     \
    " LEFT JOIN band_word w ON w.band = a.band "
#define LAST(of)                                                                               \
    "a.id = (SELECT max(b.id) FROM assessment b WHERE b.unit_id = " of ".unit_id"              \
    " AND b.pupil_id = " of ".pupil_id)"
#define IN_CLASS                                                                               \
    "(SELECT m.pupil_id FROM membership m WHERE m.class_id = :class AND m.from_day <= :today"  \
    " AND (m.to_day IS NULL OR m.to_day >= :today))"
#define LAST_SEEN                                                                              \
    "s.id = (SELECT max(t.id) FROM seen t WHERE t.unit_id = s.unit_id"                         \
    " AND t.pupil_id = s.pupil_id AND t.cue_id = s.cue_id)"

enum {
    ADD, GET_LAST, OF_CLASS, OF_PUPIL, EVER_OF_PUPIL, SHARE, CUE_OF_UNIT, SEEN_ADD, SEEN_OF_CLASS,
    SEEN_OF_PUPIL, TAKING_PUT, TAKING_OF_CLASS, TAKING_OF_PUPIL
};

static const struct stmt_def defs[] = {
    [ADD] = {"assessment add",
        "INSERT INTO assessment (unit_id, pupil_id, band, in_bulk, reason, suggested_band,"
        " suggested_label, suggestion, by_staff, at, shared_at) VALUES (:unit, :pupil, :band,"
        " :in_bulk, :reason, :suggested, :label, :suggestion, :by, :at, :shared)"},
    [GET_LAST] = {"assessment get",
        COLUMNS "WHERE a.unit_id = :unit AND a.pupil_id = :pupil ORDER BY a.id DESC LIMIT 1"},
    [OF_CLASS] = {"assessments of class",
        COLUMNS "WHERE a.unit_id = :unit AND a.pupil_id IN " IN_CLASS " AND " LAST("a")
        " ORDER BY a.pupil_id"},
    [OF_PUPIL] = {"assessments of pupil",
        COLUMNS "WHERE a.pupil_id = :pupil AND " LAST("a")
        " AND (:shared = 0 OR a.shared_at IS NOT NULL) ORDER BY a.at DESC, a.id DESC"},
    [EVER_OF_PUPIL] = {"assessments ever of pupil",
        COLUMNS "WHERE a.pupil_id = :pupil ORDER BY a.id"},
    [SHARE] = {"assessment share",
        "UPDATE assessment SET shared_at = :now WHERE shared_at IS NULL AND id ="
        " (SELECT max(b.id) FROM assessment b WHERE b.unit_id = :unit AND b.pupil_id = :pupil)"
        " RETURNING id"},
    [CUE_OF_UNIT] = {"cue of unit",
        "SELECT 1 FROM cue c JOIN revision r ON r.id = c.revision_id WHERE c.id = :cue AND"
        " (EXISTS (SELECT 1 FROM challenge h WHERE h.revision_id = r.id AND h.unit_id = :unit)"
        " OR EXISTS (SELECT 1 FROM lesson_activity la JOIN lesson l ON l.id = la.lesson_id"
        " WHERE la.activity_id = r.activity_id AND l.unit_id = :unit))"},
    [SEEN_ADD] = {"seen add",
        "INSERT INTO seen (pupil_id, unit_id, cue_id, seen, on_day, by_staff)"
        " VALUES (:pupil, :unit, :cue, :seen, :day, :by)"},
    [SEEN_OF_CLASS] = {"seen of class",
        "SELECT s.pupil_id, s.unit_id, s.cue_id, NULL, s.seen, s.on_day, s.by_staff FROM seen s"
        " WHERE s.unit_id = :unit AND s.pupil_id IN " IN_CLASS " AND " LAST_SEEN
        " ORDER BY s.pupil_id, s.cue_id"},
    [SEEN_OF_PUPIL] = {"seen of pupil",
        "SELECT s.pupil_id, s.unit_id, s.cue_id, c.text, s.seen, s.on_day, s.by_staff FROM seen s"
        " JOIN cue c ON c.id = s.cue_id WHERE s.pupil_id = :pupil AND " LAST_SEEN
        " ORDER BY s.on_day, s.id"},
    [TAKING_PUT] = {"taking part put",
        "INSERT INTO taking_part (pupil_id, unit_id, band, by_staff, on_day)"
        " VALUES (:pupil, :unit, :band, :by, :day)"
        " ON CONFLICT (pupil_id, unit_id) DO UPDATE SET band = :band, by_staff = :by,"
        " on_day = :day"},
    [TAKING_OF_CLASS] = {"taking part of class",
        "SELECT t.pupil_id, t.unit_id, t.band, t.by_staff, t.on_day FROM taking_part t"
        " WHERE t.unit_id = :unit AND t.pupil_id IN " IN_CLASS " ORDER BY t.pupil_id"},
    [TAKING_OF_PUPIL] = {"taking part of pupil",
        "SELECT t.pupil_id, t.unit_id, t.band, t.by_staff, t.on_day FROM taking_part t"
        " WHERE t.pupil_id = :pupil ORDER BY t.on_day, t.unit_id"},
};

const struct stmt_set assessments_stmts = {"assessments", defs, sizeof defs / sizeof *defs};

/* The list's own literal, so that rows need no copies of fixed words. */
static const char *word_of(const char *const words[], struct query *q, int i, void *ctx)
{
    const char *s = col_text(q, i, ctx);
    for (size_t k = 0; s != NULL && words[k] != NULL; k++) {
        if (strcmp(words[k], s) == 0) {
            return words[k];
        }
    }
    return NULL;
}

enum err assessment_add(struct store *st, const struct assessment *a)
{
    struct query q;
    query_begin(&q, st, &assessments_stmts, ADD);
    query_int(&q, ":unit", a->unit.v);
    query_int(&q, ":pupil", a->pupil.v);
    query_int(&q, ":band", a->band);
    query_int(&q, ":in_bulk", a->in_bulk);
    query_text(&q, ":reason", a->reason);
    query_int_or_null(&q, ":suggested", a->suggested_band >= 0, a->suggested_band);
    query_text(&q, ":label", a->suggested_label);
    query_text(&q, ":suggestion", a->suggestion);
    query_int(&q, ":by", a->by.v);
    query_int(&q, ":at", a->at);
    query_int_or_null(&q, ":shared", a->shared_at != 0, a->shared_at);
    return query_run(&q);
}

static void read_row(struct query *q, void *ctx, struct assessment *a)
{
    *a = (struct assessment){
        .unit = {col_int(q, 0)},
        .unit_name = col_text(q, 1, ctx),
        .pupil = {col_int(q, 2)},
        .band = (int)col_int(q, 3),
        .word = col_null(q, 4) ? "" : col_text(q, 4, ctx),
        .in_bulk = col_int(q, 5) != 0,
        .reason = word_of(assessment_reason_words, q, 6, ctx),
        .suggested_band = col_null(q, 7) ? -1 : (int)col_int(q, 7),
        .suggested_label = word_of(label_words, q, 8, ctx),
        .suggestion = col_text(q, 9, ctx),
        .by = {col_int(q, 10)},
        .by_name = col_text(q, 11, ctx),
        .at = col_int(q, 12),
        .shared_at = col_int(q, 13),
    };
}

static enum err read_list(struct query *q, void *ctx, struct assessment_list *out)
{
    size_t cap = 0;
    *out = (struct assessment_list){0};
    while (query_row(q)) {
        mem_grow(ctx, out->v, out->n, &cap);
        read_row(q, ctx, &out->v[out->n++]);
    }
    return query_end(q);
}

enum err assessment_get(struct store *st, void *ctx, struct unit_id u, struct pupil_id p,
                        struct assessment *out)
{
    struct query q;
    bool found = false;
    query_begin(&q, st, &assessments_stmts, GET_LAST);
    query_int(&q, ":unit", u.v);
    query_int(&q, ":pupil", p.v);
    while (query_row(&q)) {
        read_row(&q, ctx, out);
        found = true;
    }
    enum err e = query_end(&q);
    return e == OK && !found ? ERR_NOT_FOUND : e;
}

static void begin_class(struct query *q, struct store *st, size_t stmt, const struct unit_class *k)
{
    query_begin(q, st, &assessments_stmts, stmt);
    query_int(q, ":unit", k->unit.v);
    query_int(q, ":class", k->cls.v);
    query_int(q, ":today", k->today);
}

enum err assessments_of_class(struct store *st, void *ctx, const struct unit_class *k,
                              struct assessment_list *out)
{
    struct query q;
    begin_class(&q, st, OF_CLASS, k);
    return read_list(&q, ctx, out);
}

enum err assessments_of_pupil(struct store *st, void *ctx, struct pupil_id p, bool shared,
                              struct assessment_list *out)
{
    struct query q;
    query_begin(&q, st, &assessments_stmts, OF_PUPIL);
    query_int(&q, ":pupil", p.v);
    query_int(&q, ":shared", shared);
    return read_list(&q, ctx, out);
}

enum err assessments_ever_of_pupil(struct store *st, void *ctx, struct pupil_id p,
                                   struct assessment_list *out)
{
    struct query q;
    query_begin(&q, st, &assessments_stmts, EVER_OF_PUPIL);
    query_int(&q, ":pupil", p.v);
    return read_list(&q, ctx, out);
}

enum err assessment_share(struct store *st, struct unit_id u, struct pupil_id p, int64_t now,
                          bool *changed)
{
    struct query q;
    *changed = false;
    query_begin(&q, st, &assessments_stmts, SHARE);
    query_int(&q, ":unit", u.v);
    query_int(&q, ":pupil", p.v);
    query_int(&q, ":now", now);
    while (query_row(&q)) {
        *changed = true;
    }
    return query_end(&q);
}

static enum err cue_of_unit(struct store *st, int64_t cue, struct unit_id u)
{
    struct query q;
    bool found = false;
    query_begin(&q, st, &assessments_stmts, CUE_OF_UNIT);
    query_int(&q, ":cue", cue);
    query_int(&q, ":unit", u.v);
    while (query_row(&q)) {
        found = true;
    }
    enum err e = query_end(&q);
    return e == OK && !found ? ERR_NOT_FOUND : e;
}

enum err seen_add(struct store *st, const struct seen_row *row)
{
    struct query q;
    enum err e = cue_of_unit(st, row->cue, row->unit);
    if (e != OK) {
        return e;
    }
    query_begin(&q, st, &assessments_stmts, SEEN_ADD);
    query_int(&q, ":pupil", row->pupil.v);
    query_int(&q, ":unit", row->unit.v);
    query_int(&q, ":cue", row->cue);
    query_int(&q, ":seen", row->seen);
    query_int(&q, ":day", row->on_day);
    query_int(&q, ":by", row->by.v);
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
            .on_day = (int32_t)col_int(q, 5), .by = {col_int(q, 6)},
        };
    }
    return query_end(q);
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
    query_begin(&q, st, &assessments_stmts, SEEN_OF_PUPIL);
    query_int(&q, ":pupil", p.v);
    return read_seen(&q, ctx, out);
}

enum err taking_part_put(struct store *st, const struct taking_part *t)
{
    struct query q;
    query_begin(&q, st, &assessments_stmts, TAKING_PUT);
    query_int(&q, ":pupil", t->pupil.v);
    query_int(&q, ":unit", t->unit.v);
    query_int(&q, ":band", t->band);
    query_int(&q, ":by", t->by.v);
    query_int(&q, ":day", t->on_day);
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
    query_begin(&q, st, &assessments_stmts, TAKING_OF_PUPIL);
    query_int(&q, ":pupil", p.v);
    return read_taking(&q, ctx, out);
}
