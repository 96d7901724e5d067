/* SPDX-License-Identifier: MIT
 * Decisions in the database.
 *
 * Owns: table assessment. A decision is never overwritten: a change of mind is one more row, so
 * that what a family was once shown can always be told. Ids count upwards on purpose; "the last
 * row" is the highest. */
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

enum { ADD, GET_LAST, OF_CLASS, OF_PUPIL, EVER_OF_PUPIL, SHARE };

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

enum err assessments_of_class(struct store *st, void *ctx, const struct unit_class *k,
                              struct assessment_list *out)
{
    struct query q;
    query_begin(&q, st, &assessments_stmts, OF_CLASS);
    query_int(&q, ":unit", k->unit.v);
    query_int(&q, ":class", k->cls.v);
    query_int(&q, ":today", k->today);
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
