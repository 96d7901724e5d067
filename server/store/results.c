/* SPDX-License-Identifier: MIT
 * Gathers what an assessment rests on. One pass over the class's hand-ins of the unit (they come by
 * pupil, then arrival) and one over each kind of observation; then a suggestion a pupil. */
#include "store/results.h"

#include <string.h>

#include "base/mem.h"
#include "store/query.h"

enum { CLASS_OF };

static const struct stmt_def defs[] = {
    [CLASS_OF] = {"class of pupil in unit",
        "SELECT m.class_id FROM membership m JOIN class c ON c.id = m.class_id"
        " WHERE m.pupil_id = :pupil AND m.from_day <= :today"
        " AND (m.to_day IS NULL OR m.to_day >= :today)"
        " ORDER BY NOT EXISTS (SELECT 1 FROM challenge_class cc JOIN challenge h"
        " ON h.id = cc.challenge_id WHERE cc.class_id = m.class_id AND h.unit_id = :unit),"
        " c.kind = 'group', c.id LIMIT 1"},
};

const struct stmt_set results_stmts = {"results", defs, sizeof defs / sizeof *defs};

enum err results_class_of(struct store *st, struct unit_id unit, struct pupil_id pupil,
                          int32_t today, struct class_id *out)
{
    struct query q;
    out->v = 0;
    query_begin(&q, st, &results_stmts, CLASS_OF);
    query_int(&q, ":pupil", pupil.v);
    query_int(&q, ":unit", unit.v);
    query_int(&q, ":today", today);
    while (query_row(&q)) {
        out->v = col_int(&q, 0);
    }
    return query_end(&q);
}

static enum err load_challenges(struct store *st, void *ctx, const struct results_ask *ask,
                                struct results *out)
{
    struct challenge_list all;
    enum err e = challenges_of_class(ctx, st, ask->of.cls, 0, &all);
    if (e != OK) {
        return e;
    }
    out->challenges = mem_array(ctx, struct challenge, all.count);
    for (size_t i = all.count; i > 0; i--) {        /* the list is newest first */
        if (all.rows[i - 1].unit.v == ask->of.unit.v && !all.rows[i - 1].empty) {
            out->challenges[out->challenge_count++] = all.rows[i - 1];
        }
    }
    return OK;
}

static struct results_cue *point_of(struct results *r, struct activity_id a, const char *text)
{
    for (size_t i = 0; i < r->cue_count; i++) {
        if (r->cues[i].activity.v == a.v && strcmp(r->cues[i].text, text) == 0) {
            return &r->cues[i];
        }
    }
    return NULL;
}

static enum err load_cues(struct store *st, void *ctx, struct results *out)
{
    size_t cap = 0;
    for (size_t i = 0; i < out->challenge_count; i++) {
        const struct activity *a;
        enum err e = activity_load(st, out->challenges[i].revision, &a);
        if (e != OK) {
            return e;
        }
        for (size_t k = 0; k < a->cue_count; k++) {
            struct results_cue *known = point_of(out, a->id, a->cues[k].text);
            if (known != NULL) {        /* ids grow with revisions */
                known->id = a->cues[k].id > known->id ? a->cues[k].id : known->id;
                continue;
            }
            mem_grow(ctx, out->cues, out->cue_count, &cap);
            out->cues[out->cue_count++] =
                (struct results_cue){a->cues[k].id, a->cues[k].text, a->id, a->name};
        }
    }
    return OK;
}

static enum err load_rows(struct store *st, void *ctx, const struct results_ask *ask,
                          struct results *out)
{
    struct pupils_query want = {.in = ask->of.cls, .day = ask->of.today, .now = ask->now};
    struct pupil_row *pupils;
    size_t n;
    enum err e = pupils_of_class(st, ctx, &want, &pupils, &n);
    if (e != OK) {
        return e;
    }
    out->rows = mem_array(ctx, struct results_row, n);
    for (size_t i = 0; i < n; i++) {
        if (ask->only.v == 0 || pupils[i].id.v == ask->only.v) {
            out->rows[out->row_count++] =
                (struct results_row){.pupil = pupils[i], .taking_part = STRAND_MISSING};
        }
    }
    return OK;
}

static struct results_row *row_of(struct results *r, struct pupil_id id)
{
    for (size_t i = 0; i < r->row_count; i++) {
        if (r->rows[i].pupil.id.v == id.v) {
            return &r->rows[i];
        }
    }
    return NULL;
}

/* Slices the class's list, which comes by pupil. */
static void deal_hand_ins(const struct hand_in_list *all, struct results *out)
{
    for (size_t i = 0; i < all->n;) {
        size_t from = i;
        struct results_row *row = row_of(out, all->v[i].pupil);
        while (i < all->n && all->v[i].pupil.v == all->v[from].pupil.v) {
            const struct hand_in *h = &all->v[i++];
            if (row != NULL && h->attempt_count > 0) {
                row->counted += h->state == HAND_IN_COUNTS;
            }
            if (row != NULL) {
                row->waiting += h->state == HAND_IN_TO_CHECK;
            }
        }
        if (row != NULL) {
            row->hand_ins = (struct hand_in_list){&all->v[from], i - from};
        }
    }
}

static void set_states(void *ctx, const struct results *r, struct results_row *row)
{
    struct hand_in *own = mem_array(ctx, struct hand_in, row->hand_ins.n);
    row->states = mem_array(ctx, enum grid_state, r->challenge_count);
    for (size_t c = 0; c < r->challenge_count; c++) {
        size_t n = 0;
        for (size_t i = 0; i < row->hand_ins.n; i++) {
            if (row->hand_ins.v[i].challenge.v == r->challenges[c].id.v) {
                own[n++] = row->hand_ins.v[i];
            }
        }
        row->states[c] = grid_state_of(own, n);
    }
    talloc_free(own);
}

/* A question is its words in its activity, whatever the revision. */
struct answered {
    struct activity_id activity;
    const char *question;
    bool right;
};

static void note_answer(struct answered *v, size_t *n, struct answered said)
{
    size_t i = 0;
    while (i < *n && (v[i].activity.v != said.activity.v ||
                      strcmp(v[i].question, said.question) != 0)) {
        i++;
    }
    v[i] = said;                                    /* a later answer replaces an earlier one */
    *n += i == *n;
}

static enum err count_answers(struct store *st, void *ctx, struct results_row *row)
{
    size_t n = 0, most = row->hand_ins.n * HAND_IN_ANSWERS + row->answer_count;
    struct answered *v = mem_array(ctx, struct answered, most);
    for (size_t i = 0; i < row->hand_ins.n; i++) {
        const struct hand_in *h = &row->hand_ins.v[i];
        const struct activity *a;
        if (h->state != HAND_IN_COUNTS) {
            continue;
        }
        enum err e = activity_load(st, h->revision, &a);
        if (e != OK) {
            return e;
        }
        for (size_t k = 0; k < h->answer_count; k++) {
            const struct activity_question *q = activity_question(a, h->answers[k].question);
            const struct activity_choice *c =
                q == NULL ? NULL : activity_choice(q, h->answers[k].choice);
            if (c != NULL) {
                note_answer(v, &n, (struct answered){a->id, q->text, c->right});
            }
        }
    }
    for (size_t i = 0; i < row->answer_count; i++) {        /* heard in a lesson: stands instead */
        const struct lesson_answer *said = &row->answers[i];
        note_answer(v, &n, (struct answered){said->activity, said->question_text, said->right});
    }
    row->right_of_answered = (struct fraction){0, (int)n};
    for (size_t i = 0; i < n; i++) {
        row->right_of_answered.k += v[i].right;
    }
    return OK;
}

static enum err load_seen(struct store *st, void *ctx, const struct results_ask *ask,
                          struct results *out)
{
    struct seen_list all;
    enum err e = seen_of_class(st, ctx, &ask->of, &all);
    for (size_t i = 0; e == OK && i < all.n;) {
        size_t from = i;
        struct results_row *row = row_of(out, all.v[i].pupil);
        int seen = 0;
        while (i < all.n && all.v[i].pupil.v == all.v[from].pupil.v) {
            struct seen_row *said = &all.v[i++];
            const struct results_cue *c = point_of(out, said->activity, said->cue_text);
            said->cue = c != NULL ? c->id : said->cue;
            seen += said->seen;
        }
        if (row != NULL) {
            row->seen = &all.v[from];
            row->seen_count = i - from;
            row->seen_of_looked = (struct fraction){seen, (int)(i - from)};
        }
    }
    return e;
}

static enum err load_answers(struct store *st, void *ctx, const struct results_ask *ask,
                             struct results *out)
{
    struct lesson_answer_list all;
    enum err e = lesson_answers_of_class(st, ctx, &ask->of, &all);
    for (size_t i = 0; e == OK && i < all.n;) {
        size_t from = i;
        struct results_row *row = row_of(out, all.v[i].pupil);
        while (i < all.n && all.v[i].pupil.v == all.v[from].pupil.v) {
            i++;
        }
        if (row != NULL) {
            row->answers = &all.v[from];
            row->answer_count = i - from;
        }
    }
    return e;
}

static enum err load_decisions(struct store *st, void *ctx, const struct results_ask *ask,
                               struct results *out)
{
    struct taking_part_list taking;
    struct assessment_list decided;
    enum err e = taking_part_of_class(st, ctx, &ask->of, &taking);
    for (size_t i = 0; e == OK && i < taking.n; i++) {
        struct results_row *row = row_of(out, taking.v[i].pupil);
        if (row != NULL) {
            row->taking_part = taking.v[i].band;
        }
    }
    if (e == OK) {
        e = assessments_of_class(st, ctx, &ask->of, &decided);
    }
    for (size_t i = 0; e == OK && i < decided.n; i++) {
        struct results_row *row = row_of(out, decided.v[i].pupil);
        if (row != NULL) {
            row->assessment = &decided.v[i];
        }
    }
    return e;
}

static enum err suggest_row(struct store *st, void *ctx, const struct results_ask *ask,
                            const struct suggest_ask *base, struct results_row *row)
{
    struct suggest_ask s = *base;
    bool one = ask->activity.v != 0 || ask->challenge.v != 0;
    enum err e = count_answers(st, ctx, row);
    if (e != OK) {
        return e;
    }
    s.hand_ins = &row->hand_ins;
    /* one activity: what its tries point to, nothing else */
    s.seen = one ? (struct fraction){0, 0} : row->seen_of_looked;
    s.right = one ? (struct fraction){0, 0} : row->right_of_answered;
    s.taking_part = one ? STRAND_MISSING : row->taking_part;
    return suggest(st, ctx, &s, &row->suggestion);
}

enum err results_load(struct store *st, void *ctx, const struct results_ask *ask,
                      struct results *out)
{
    struct hand_in_list *all = mem_new(ctx, struct hand_in_list);
    *out = (struct results){0};
    enum err e = unit_get(ctx, st, ask->of.unit, &out->unit);
    if (e == OK) {
        e = school_band_words(st, ctx, &out->words);
    }
    if (e == OK) {
        e = load_challenges(st, ctx, ask, out);
    }
    if (e == OK) {
        e = load_cues(st, ctx, out);
    }
    if (e == OK) {
        e = load_rows(st, ctx, ask, out);
    }
    if (e == OK) {
        struct hand_in_scope scope = {
            .cls = ask->of.cls, .unit = ask->of.unit, .today = ask->of.today,
        };
        e = hand_ins_of_class_unit(st, ctx, &scope, all);
    }
    if (e == OK) {
        deal_hand_ins(all, out);
        e = load_seen(st, ctx, ask, out);
    }
    if (e == OK) {
        e = load_answers(st, ctx, ask, out);
    }
    if (e == OK) {
        e = load_decisions(st, ctx, ask, out);
    }
    struct suggest_ask base = {
        .unit = &out->unit, .bands = out->words.n, .class_hand_ins = all,
        .activity = ask->activity, .challenge = ask->challenge,
    };
    for (size_t i = 0; e == OK && i < out->row_count; i++) {
        set_states(ctx, out, &out->rows[i]);
        e = suggest_row(st, ctx, ask, &base, &out->rows[i]);
    }
    return e;
}

bool results_bulk_ok(const struct results_row *row, const char **code)
{
    const struct suggestion *s = &row->suggestion;
    const char *no = NULL;
    if (row->waiting > 0) {
        no = "to_check";
    } else if (s->band < 0) {
        no = "no_suggestion";
    } else if (row->seen_of_looked.k == 0) {
        no = "nothing_seen";
    } else if (!s->answer.known || s->answer.label < BAND_FAIRLY) {
        no = "not_sure";
    }
    if (code != NULL) {
        *code = no;
    }
    return no == NULL;
}
