/* SPDX-License-Identifier: MIT
 * Hand-ins in the database. Rows of hand_in and attempt are only ever inserted (triggers refuse an
 * update); the state of a hand-in is the last mark on it, or "surprising" when there is none.
 *
 * Threat held here: the same request many times, or two requests under one id. The id is UNIQUE,
 * the writer is one thread, and the content's hash tells a repeat from something else. */
#include "store/hand_ins.h"

#include <string.h>

#include "base/clock.h"
#include "base/mem.h"
#include "hand_ins_internal.h"
#include "store/query.h"

const char *const hand_in_state_word[3] = {"counts", "to_check", "set_aside"};
const char *const hand_in_could_not_words[] = {"no_space",    "no_kit",    "no_device",
                                               "no_grown_up", "not_today", NULL};
const char *const hand_in_felt_words[] = {"too_easy", "about_right", "too_hard", NULL};
const char *const hand_in_place_words[] = {"home", "school", "elsewhere", NULL};
const char *const hand_in_counted_words[] = {"self", "helper", NULL};
const char *const hand_in_channel_words[] = {"web", "quick", "paper", "staff", NULL};

/* One hand-in with what it belongs to; `FROM hand_in h` comes first in each statement. */
#define COLUMNS                                                                                   \
    "SELECT h.seq, h.id, h.pupil_id, h.challenge_id, h.version_id, h.channel, h.entered_by,"     \
    " h.received_at, h.done_day, h.after_date, h.could_not, h.best, h.best_distance_mm, h.felt," \
    " h.target_id, h.kit_id, h.place, h.counted_by, h.confirmed, h.surprising, h.content_hash,"  \
    " " HAND_IN_LAST_MARK ", r.activity_id, r.id, c.unit_id, v.kind, r.lower_is_better "
#define JOINED                                                                  \
    " JOIN challenge c ON c.id = h.challenge_id"                                \
    " JOIN revision r ON r.id = c.revision_id"                                  \
    " JOIN version v ON v.id = h.version_id "
#define IN_CLASS                                                                \
    "(SELECT m.pupil_id FROM membership m WHERE m.class_id = :class"            \
    " AND m.from_day <= :today AND (m.to_day IS NULL OR m.to_day >= :today))"

enum {
    PUT, PUT_ATTEMPT, PUT_CUE, PUT_ANSWER, KNOWN, BY_ID, BY_SEQ, OF_PUPIL_CHALLENGE, OF_PUPIL,
    OF_PUPIL_ACTIVITY, OF_CLASS_CHALLENGE, OF_CLASS_UNIT, OF_PUPIL_UNIT,
    COUNT_SINCE, OF_CLASS_ACTIVITY
};

static const struct stmt_def defs[] = {
    [PUT] = {"hand-in put",
        "INSERT INTO hand_in (id, pupil_id, challenge_id, version_id, channel, entered_by,"
        " received_at, done_day, after_date, could_not, best, best_distance_mm, felt, target_id,"
        " kit_id, place, counted_by, confirmed, surprising, content_hash)"
        " VALUES (:id, :pupil, :challenge, :version, :channel, :entered_by, :received_at,"
        " :done_day, :after_date, :could_not, :best, :best_distance, :felt, :target, :kit, :place,"
        " :counted_by, :confirmed, :surprising, :hash) RETURNING seq"},
    [PUT_ATTEMPT] = {"hand-in attempt put",
        "INSERT INTO attempt (hand_in_seq, n, value, throws, distance_mm, tries_used, part)"
        " VALUES (:seq, :n, :value, :throws, :distance, :tries, :part)"},
    [PUT_CUE] = {"hand-in cue put",
        "INSERT INTO hand_in_cue (hand_in_seq, cue_id) VALUES (:seq, :cue)"},
    [PUT_ANSWER] = {"hand-in answer put",
        "INSERT INTO hand_in_answer (hand_in_seq, question_id, choice_id)"
        " VALUES (:seq, :question, :choice)"},
    [KNOWN] = {"hand-in known",
        "SELECT seq, pupil_id, content_hash FROM hand_in WHERE id = :id"},
    [BY_ID] = {"hand-in by id", COLUMNS "FROM hand_in h" JOINED "WHERE h.id = :id"},
    [BY_SEQ] = {"hand-in by seq", COLUMNS "FROM hand_in h" JOINED "WHERE h.seq = :seq"},
    [OF_PUPIL_CHALLENGE] = {"hand-ins of pupil and challenge",
        COLUMNS "FROM hand_in h" JOINED
        "WHERE h.challenge_id = :challenge AND h.pupil_id = :pupil ORDER BY h.seq"},
    [OF_PUPIL] = {"hand-ins of pupil",
        COLUMNS "FROM hand_in h" JOINED
        "WHERE h.pupil_id = :pupil AND h.received_at >= :from_at AND h.done_day >= :from_day"
        " ORDER BY h.seq"},
    [OF_PUPIL_ACTIVITY] = {"hand-ins of pupil and activity",
        COLUMNS "FROM hand_in h CROSS JOIN challenge c ON c.id = h.challenge_id"
        " CROSS JOIN revision r ON r.id = c.revision_id"
        " CROSS JOIN version v ON v.id = h.version_id"
        " WHERE h.pupil_id = :pupil AND h.received_at >= :from_at AND r.activity_id = :activity"
        " AND h.done_day >= :from_day ORDER BY h.seq"},
    [OF_CLASS_CHALLENGE] = {"hand-ins of class and challenge",
        COLUMNS "FROM hand_in h" JOINED
        "WHERE h.challenge_id = :challenge AND h.pupil_id IN " IN_CLASS
        " ORDER BY h.pupil_id, h.seq"},
    [OF_CLASS_UNIT] = {"hand-ins of class and unit",
        COLUMNS "FROM challenge c CROSS JOIN hand_in h ON h.challenge_id = c.id"
        " JOIN revision r ON r.id = c.revision_id JOIN version v ON v.id = h.version_id"
        " WHERE c.unit_id = :unit AND h.pupil_id IN " IN_CLASS " ORDER BY h.pupil_id, h.seq"},
    [OF_PUPIL_UNIT] = {"hand-ins of pupil and unit",
        COLUMNS "FROM challenge c CROSS JOIN hand_in h ON h.challenge_id = c.id"
        " JOIN revision r ON r.id = c.revision_id JOIN version v ON v.id = h.version_id"
        " WHERE c.unit_id = :unit AND h.pupil_id = :pupil ORDER BY h.seq"},
    [COUNT_SINCE] = {"hand-ins since",
        "SELECT count(*) FROM hand_in WHERE pupil_id = :pupil AND challenge_id = :challenge"
        " AND received_at >= :since"},
    [OF_CLASS_ACTIVITY] = {"hand-ins of class and activity",
        COLUMNS "FROM hand_in h CROSS JOIN challenge c ON c.id = h.challenge_id"
        " CROSS JOIN revision r ON r.id = c.revision_id"
        " CROSS JOIN version v ON v.id = h.version_id"
        " WHERE h.pupil_id IN " IN_CLASS " AND r.activity_id = :activity"
        " AND h.done_day >= :from_day ORDER BY h.pupil_id, h.seq"},
};

const struct stmt_set hand_ins_stmts = {"hand_ins", defs, sizeof defs / sizeof *defs};

const char *hand_in_word(const char *const words[], const char *s)
{
    for (size_t i = 0; s && words[i]; i++) {
        if (strcmp(words[i], s) == 0) {
            return words[i];
        }
    }
    return NULL;
}

void hand_in_settle(struct hand_in *h, bool lower_is_better)
{
    h->has_best = false;
    h->best = 0;
    h->best_distance_mm = 0;
    for (size_t i = 0; i < h->attempt_count; i++) {
        const struct hand_in_attempt *a = &h->attempts[i];
        bool better = lower_is_better ? a->value < h->best : a->value > h->best;
        bool farther = a->value == h->best && a->distance_mm > h->best_distance_mm;
        if (!a->part && (!h->has_best || better || farther)) {
            h->has_best = true;
            h->best = a->value;
            h->best_distance_mm = a->distance_mm;
        }
    }
}

/* Storing ------------------------------------------------------------------------------------- */

enum err hand_in_known(struct store *st, const struct hand_in *h, int64_t *seq)
{
    *seq = 0;
    bool same = true;
    struct query q;
    query_begin(&q, st, &hand_ins_stmts, KNOWN);
    query_blob(&q, ":id", h->id.b, sizeof h->id.b);
    if (query_row(&q)) {
        size_t n = 0;
        const void *hash = col_blob(&q, 2, &n);
        *seq = col_int(&q, 0);
        same = col_int(&q, 1) == h->pupil.v && n == HAND_IN_HASH &&
               memcmp(hash, h->content_hash, HAND_IN_HASH) == 0;
    }
    enum err e = query_end(&q);
    if (e == OK && !same) {
        *seq = 0;
        return ERR_DIFFERENT;
    }
    return e;
}

static void bind_head(struct query *q, const struct hand_in *h)
{
    query_blob(q, ":id", h->id.b, sizeof h->id.b);
    query_int(q, ":pupil", h->pupil.v);
    query_int(q, ":challenge", h->challenge.v);
    query_int(q, ":version", h->version.v);
    query_text(q, ":channel", h->channel);
    query_int_or_null(q, ":entered_by", h->entered_by.v != 0, h->entered_by.v);
    query_int(q, ":received_at", h->received_at);
    query_int(q, ":done_day", h->done_day);
    query_int(q, ":after_date", h->after_date);
    query_text(q, ":could_not", h->could_not);
    query_int_or_null(q, ":best", h->has_best, h->best);
    query_int_or_null(q, ":best_distance", h->has_best && h->best_distance_mm > 0,
                      h->best_distance_mm);
    query_text(q, ":felt", h->felt);
    query_int_or_null(q, ":target", h->target != 0, h->target);
    query_int_or_null(q, ":kit", h->kit != 0, h->kit);
    query_text(q, ":place", h->place);
    query_text(q, ":counted_by", h->counted_by);
    query_int(q, ":confirmed", h->confirmed);
    query_int(q, ":surprising", h->surprising);
    query_blob(q, ":hash", h->content_hash, HAND_IN_HASH);
}

static enum err put_head(struct store *st, struct hand_in *h)
{
    struct query q;
    query_begin(&q, st, &hand_ins_stmts, PUT);
    bind_head(&q, h);
    while (query_row(&q)) {
        h->seq = col_int(&q, 0);
    }
    return query_end(&q);
}

static enum err put_attempt(struct store *st, const struct hand_in *h, size_t i)
{
    const struct hand_in_attempt *a = &h->attempts[i];
    char throws[HAND_IN_THROWS * 4 + 3];
    hand_in_throws_print(a, throws);
    struct query q;
    query_begin(&q, st, &hand_ins_stmts, PUT_ATTEMPT);
    query_int(&q, ":seq", h->seq);
    query_int(&q, ":n", (int64_t)i + 1);
    query_int(&q, ":value", a->value);
    query_text(&q, ":throws", a->throw_count > 0 ? throws : NULL);
    query_int_or_null(&q, ":distance", a->distance_mm > 0, a->distance_mm);
    query_int_or_null(&q, ":tries", a->tries_used > 0, a->tries_used);
    query_int(&q, ":part", a->part);
    return query_run(&q);
}

static enum err put_cue(struct store *st, const struct hand_in *h, size_t i)
{
    struct query q;
    query_begin(&q, st, &hand_ins_stmts, PUT_CUE);
    query_int(&q, ":seq", h->seq);
    query_int(&q, ":cue", h->cues[i]);
    return query_run(&q);
}

static enum err put_answer(struct store *st, const struct hand_in *h, size_t i)
{
    struct query q;
    query_begin(&q, st, &hand_ins_stmts, PUT_ANSWER);
    query_int(&q, ":seq", h->seq);
    query_int(&q, ":question", h->answers[i].question);
    query_int(&q, ":choice", h->answers[i].choice);
    return query_run(&q);
}

enum err hand_in_store(struct store *st, struct hand_in *h, enum hand_in_outcome *out)
{
    int64_t seq = 0;
    enum err e = hand_in_known(st, h, &seq);
    if (e != OK) {
        return e;
    }
    if (seq != 0) {
        h->seq = seq;
        *out = HAND_IN_REPEAT;
        return OK;
    }
    *out = HAND_IN_NEW;
    e = put_head(st, h);
    for (size_t i = 0; e == OK && i < h->attempt_count; i++) {
        e = put_attempt(st, h, i);
    }
    for (size_t i = 0; e == OK && i < h->cue_count; i++) {
        e = put_cue(st, h, i);
    }
    for (size_t i = 0; e == OK && i < h->answer_count; i++) {
        e = put_answer(st, h, i);
    }
    return e;
}

/* Reading ------------------------------------------------------------------------------------- */

/* Runs a query begun and bound with COLUMNS, then loads what hangs from each row. */
static enum err list_end(struct query *q, struct store *st, void *ctx, struct hand_in_list *out)
{
    size_t cap = 0;
    *out = (struct hand_in_list){0};
    while (query_row(q)) {
        mem_grow(ctx, out->v, out->n, &cap);
        hand_in_read_row(q, &out->v[out->n++]);
    }
    enum err e = query_end(q);
    return e == OK ? hand_in_parts_load(st, ctx, out->v, out->n) : e;
}

static enum err one_end(struct query *q, struct store *st, struct hand_in *out)
{
    bool found = query_row(q);
    if (found) {
        hand_in_read_row(q, out);
    }
    enum err e = query_end(q);
    if (e == OK && !found) {
        return ERR_NOT_FOUND;
    }
    return e == OK ? hand_in_parts_load(st, st, out, 1) : e;
}

enum err hand_in_get(struct store *st, struct uuid id, struct hand_in *out)
{
    struct query q;
    query_begin(&q, st, &hand_ins_stmts, BY_ID);
    query_blob(&q, ":id", id.b, sizeof id.b);
    return one_end(&q, st, out);
}

enum err hand_in_by_seq(struct store *st, int64_t seq, struct hand_in *out)
{
    struct query q;
    query_begin(&q, st, &hand_ins_stmts, BY_SEQ);
    query_int(&q, ":seq", seq);
    return one_end(&q, st, out);
}

enum err hand_ins_of_pupil_challenge(struct store *st, void *ctx, struct pupil_id p,
                                     struct challenge_id c, struct hand_in_list *out)
{
    struct query q;
    query_begin(&q, st, &hand_ins_stmts, OF_PUPIL_CHALLENGE);
    query_int(&q, ":pupil", p.v);
    query_int(&q, ":challenge", c.v);
    return list_end(&q, st, ctx, out);
}

/* Done on a day means received then or later: the index holds received_at and drops the rest. */
static void bind_from(struct query *q, int32_t from_day)
{
    query_int(q, ":from_day", from_day);
    query_int(q, ":from_at", clock_day_start(from_day));
}

enum err hand_ins_of_pupil(struct store *st, void *ctx, struct pupil_id p, int32_t from_day,
                           struct hand_in_list *out)
{
    struct query q;
    query_begin(&q, st, &hand_ins_stmts, OF_PUPIL);
    query_int(&q, ":pupil", p.v);
    bind_from(&q, from_day);
    return list_end(&q, st, ctx, out);
}

enum err hand_ins_of_pupil_activity(struct store *st, void *ctx,
                                    const struct hand_in_scope *scope, struct hand_in_list *out)
{
    struct query q;
    query_begin(&q, st, &hand_ins_stmts, OF_PUPIL_ACTIVITY);
    query_int(&q, ":pupil", scope->pupil.v);
    query_int(&q, ":activity", scope->activity.v);
    bind_from(&q, scope->from_day);
    return list_end(&q, st, ctx, out);
}

enum err hand_ins_of_class_challenge(struct store *st, void *ctx,
                                     const struct hand_in_scope *scope, struct hand_in_list *out)
{
    struct query q;
    query_begin(&q, st, &hand_ins_stmts, OF_CLASS_CHALLENGE);
    query_int(&q, ":class", scope->cls.v);
    query_int(&q, ":challenge", scope->challenge.v);
    query_int(&q, ":today", scope->today);
    return list_end(&q, st, ctx, out);
}

enum err hand_ins_of_class_unit(struct store *st, void *ctx, const struct hand_in_scope *scope,
                                struct hand_in_list *out)
{
    struct query q;
    query_begin(&q, st, &hand_ins_stmts, OF_CLASS_UNIT);
    query_int(&q, ":class", scope->cls.v);
    query_int(&q, ":unit", scope->unit.v);
    query_int(&q, ":today", scope->today);
    return list_end(&q, st, ctx, out);
}

enum err hand_ins_of_class_activity(struct store *st, void *ctx, const struct hand_in_scope *scope,
                                    struct hand_in_list *out)
{
    struct query q;
    query_begin(&q, st, &hand_ins_stmts, OF_CLASS_ACTIVITY);
    query_int(&q, ":class", scope->cls.v);
    query_int(&q, ":today", scope->today);
    query_int(&q, ":activity", scope->activity.v);
    query_int(&q, ":from_day", scope->from_day);
    return list_end(&q, st, ctx, out);
}

enum err hand_ins_of_pupil_unit(struct store *st, void *ctx, struct pupil_id p, struct unit_id u,
                                struct hand_in_list *out)
{
    struct query q;
    query_begin(&q, st, &hand_ins_stmts, OF_PUPIL_UNIT);
    query_int(&q, ":pupil", p.v);
    query_int(&q, ":unit", u.v);
    return list_end(&q, st, ctx, out);
}

enum err hand_ins_count_since(struct store *st, struct pupil_id p, struct challenge_id c,
                              int64_t since, int64_t *out)
{
    *out = 0;
    struct query q;
    query_begin(&q, st, &hand_ins_stmts, COUNT_SINCE);
    query_int(&q, ":pupil", p.v);
    query_int(&q, ":challenge", c.v);
    query_int(&q, ":since", since);
    while (query_row(&q)) {
        *out = col_int(&q, 0);
    }
    return query_end(&q);
}
