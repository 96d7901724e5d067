/* SPDX-License-Identifier: MIT
 * What teachers add from lessons: what was said last holds, what was taken back was never said.
 * All rows are invented. */
#include "store/observations.h"

#include <string.h>

#include "base/mem.h"
#include "fixture.h"
#include "store/lesson_grid.h"
#include "store/purge.h"
#include "store/results.h"
#include "store/statements.h"
#include "t.h"

/* 2026-03-10 is day 20522 since 1970-01-01. */
enum { TODAY = 20522, NOW = 1773136800, CLASS = 11, OTHER_CLASS = 12, UNIT = 31, OTHER = 32 };
enum { AMI = 21, BEN = 22, CAT = 23, EYES = 71, SOFT = 72, KNEES = 74, WHY = 81, HOW = 82 };

static const char world[] =
    "INSERT INTO staff (id, name, name_key, passphrase_hash, created_at) VALUES"
    " (5, 'Tamsin', 'tamsin', '', 1);"
    "INSERT INTO class (id, name, name_key, kind, created_at) VALUES"
    " (11, '3 Alder', '3 alder', 'class', 1), (12, '4 Birch', '4 birch', 'class', 1);"
    "INSERT INTO pupil (id, display_name, name_key, picture, created_at) VALUES"
    " (21, 'Ami', 'ami', 1, 1), (22, 'Ben', 'ben', 2, 1), (23, 'Cat', 'cat', 3, 1);"
    "INSERT INTO membership (pupil_id, class_id, from_day) VALUES (21, 11, 20000), (22, 11, 20000),"
    " (23, 12, 20000);"
    "INSERT INTO unit (id, name, created_at) VALUES (31, 'Aiming', 1), (32, 'Other', 1);"
    "INSERT INTO activity (id, created_at) VALUES (41, 1), (42, 1), (43, 1);"
    "INSERT INTO revision (id, activity_id, number, name, strand, kind, unit, attempts, throws,"
    " seconds, summary, set_up, scoring, created_at) VALUES"
    " (51, 41, 1, 'Mat slide', 'target', 'zones', 'points', 3, 4, NULL, '', '', '', 1),"
    " (52, 41, 2, 'Mat slide', 'target', 'zones', 'points', 3, 4, NULL, '', '', '', 1),"
    " (53, 42, 1, 'Hops', 'travelling', 'timed_count', 'count', 3, NULL, 30, '', '', '', 1),"
    " (54, 43, 1, 'Elsewhere', 'travelling', 'timed_count', 'count', 3, NULL, 30, '', '', '', 1);"
    "INSERT INTO zone (revision_id, position, name, points) VALUES (51, 1, 'mid', 5),"
    " (51, 2, 'miss', 0), (52, 1, 'mid', 5), (52, 2, 'miss', 0);"
    "INSERT INTO version (id, revision_id, kind, how) VALUES (61, 51, 'standard', ''),"
    " (62, 52, 'standard', ''), (63, 53, 'standard', ''), (64, 54, 'standard', '');"
    "INSERT INTO cue (id, revision_id, position, text) VALUES (71, 51, 1, 'Eyes'),"
    " (72, 51, 2, 'Soft'), (73, 52, 1, 'Eyes up'), (74, 53, 1, 'Knees'), (75, 54, 1, 'Arms');"
    "INSERT INTO question (id, revision_id, position, text) VALUES (81, 51, 1, 'Why?'),"
    " (82, 51, 2, 'How?'), (83, 54, 1, 'What?');"
    "INSERT INTO choice (id, question_id, position, text, is_right) VALUES (91, 81, 1, 'a', 1),"
    " (92, 81, 2, 'b', 0), (93, 82, 1, 'a', 1), (94, 82, 2, 'b', 0);"
    "INSERT INTO lesson (id, unit_id, position, name) VALUES (201, 31, 1, 'One');"
    "INSERT INTO lesson_activity (lesson_id, position, activity_id) VALUES (201, 1, 42);"
    "INSERT INTO challenge (id, revision_id, unit_id, number, opens_at, due_at, closes_at,"
    " created_at) VALUES (101, 51, 31, 12, 1772323200, 1773532800, 1774396800, 1);"
    "INSERT INTO challenge_class (class_id, challenge_id) VALUES (11, 101);";

static const struct unit_class here = {{UNIT}, {CLASS}, TODAY};

static int open_school(void **state)
{
    return fixture_setup(state, world);
}

enum say { NO, YES, BACK };

struct said {
    int64_t pupil, of;
    enum say say;
    int32_t day;
};

static enum err put_seen(struct store *st, void *arg)
{
    const struct said *s = arg;
    const struct seen_row row = {
        .pupil = {s->pupil}, .unit = {UNIT}, .cue = s->of, .seen = s->say == YES,
        .taken_back = s->say == BACK, .on_day = s->day, .by = {5},
    };
    return seen_add(st, &row);
}

static enum err put_answer(struct store *st, void *arg)
{
    const struct said *s = arg;
    const struct lesson_answer a = {
        .pupil = {s->pupil}, .unit = {UNIT}, .question = s->of, .right = s->say == YES,
        .taken_back = s->say == BACK, .on_day = s->day, .by = {5},
    };
    return lesson_answer_add(st, &a);
}

static enum err put_tick(struct store *st, void *arg)
{
    const struct said *s = arg;
    const struct statement_tick t = {
        .pupil = {s->pupil}, .statement = s->of, .met = s->say == YES,
        .taken_back = s->say == BACK, .on_day = s->day, .by = {5},
    };
    return statement_tick_add(st, &t);
}

static enum err say(struct fixture *f, enum err (*put)(struct store *, void *), struct said s)
{
    return store_tx(f->st, "test", put, &s);
}

static const struct results_row *results_of(struct fixture *f, int64_t pupil, struct results *r)
{
    const struct results_ask ask = {.of = here, .now = NOW, .only = {pupil}};
    assert_int_equal(results_load(f->st, f->mem, &ask, r), OK);
    assert_int_equal(r->row_count, 1);
    return &r->rows[0];
}

static void a_teaching_point_taken_back_was_not_looked_for(void **state)
{
    struct fixture *f = *state;
    struct seen_list list;
    struct results r;
    assert_int_equal(say(f, put_seen, (struct said){AMI, EYES, YES, TODAY}), OK);
    assert_int_equal(say(f, put_seen, (struct said){AMI, SOFT, NO, TODAY}), OK);
    assert_int_equal(say(f, put_seen, (struct said){BEN, EYES, NO, TODAY}), OK);
    const struct results_row *row = results_of(f, AMI, &r);
    assert_int_equal(row->seen_of_looked.k, 1);
    assert_int_equal(row->seen_of_looked.of, 2);

    /* the last row holds; a row taken back lets no older one through */
    assert_int_equal(say(f, put_seen, (struct said){AMI, EYES, BACK, TODAY}), OK);
    row = results_of(f, AMI, &r);
    assert_int_equal(row->seen_of_looked.k, 0);
    assert_int_equal(row->seen_of_looked.of, 1);
    assert_int_equal(seen_of_class(f->st, f->mem, &here, &list), OK);
    assert_int_equal(list.n, 2);
    assert_int_equal(list.v[0].pupil.v, AMI);
    assert_int_equal(list.v[0].cue, SOFT);
    assert_int_equal(seen_of_pupil(f->st, f->mem, (struct pupil_id){AMI}, &list), OK);
    assert_int_equal(list.n, 1);
    assert_string_equal(list.v[0].cue_text, "Soft");

    /* nothing is overwritten, and it can be said again */
    assert_int_equal(fixture_int(f, "SELECT count(*) FROM seen WHERE pupil_id = 21"), 3);
    assert_int_equal(seen_ever_of_pupil(f->st, f->mem, (struct pupil_id){AMI}, &list), OK);
    assert_int_equal(list.n, 3);
    assert_true(list.v[2].cue == EYES && list.v[2].taken_back);
    assert_false(list.v[0].taken_back || list.v[1].taken_back);
    assert_int_equal(say(f, put_seen, (struct said){AMI, EYES, YES, TODAY}), OK);
    assert_int_equal(results_of(f, AMI, &r)->seen_of_looked.of, 2);
}

static void only_what_the_unit_has_is_taken(void **state)
{
    struct fixture *f = *state;
    assert_int_equal(say(f, put_seen, (struct said){AMI, KNEES, YES, TODAY}), OK);  /* a lesson */
    assert_int_equal(say(f, put_seen, (struct said){AMI, 75, YES, TODAY}), ERR_NOT_FOUND);
    assert_int_equal(say(f, put_seen, (struct said){AMI, 999, YES, TODAY}), ERR_NOT_FOUND);
    assert_int_equal(say(f, put_answer, (struct said){AMI, 83, YES, TODAY}), ERR_NOT_FOUND);
    assert_int_equal(say(f, put_answer, (struct said){AMI, 999, YES, TODAY}), ERR_NOT_FOUND);
    assert_int_equal(fixture_int(f, "SELECT count(*) FROM lesson_answer"), 0);
}

/* The child's own: WHY wrong, HOW right. */
static enum err send(struct store *st, void *arg)
{
    struct hand_in h = {
        .pupil = {AMI}, .challenge = {101}, .version = {61}, .channel = "web",
        .received_at = NOW, .done_day = TODAY, .attempt_count = 1, .attempts = {{.value = 10}},
        .answer_count = 2, .answers = {{.question = WHY, .choice = 92}, {.question = HOW, .choice = 93}},
    };
    enum hand_in_outcome how;
    (void)arg;
    memset(h.id.b, 1, sizeof h.id.b);
    memset(h.content_hash, 1, sizeof h.content_hash);
    hand_in_settle(&h, false);
    return hand_in_store(st, &h, &how);
}

static void assert_right(struct fixture *f, int k, int of)
{
    struct results r;
    const struct results_row *row = results_of(f, AMI, &r);
    assert_int_equal(row->right_of_answered.k, k);
    assert_int_equal(row->right_of_answered.of, of);
}

static void a_teachers_record_stands_in_place_of_the_childs_answer(void **state)
{
    struct fixture *f = *state;
    struct lesson_answer_list list;
    assert_int_equal(store_tx(f->st, "test", send, NULL), OK);
    assert_right(f, 1, 2);
    assert_int_equal(say(f, put_answer, (struct said){AMI, WHY, YES, TODAY}), OK);
    assert_right(f, 2, 2);
    assert_int_equal(say(f, put_answer, (struct said){AMI, HOW, NO, TODAY}), OK);
    assert_right(f, 1, 2);
    assert_int_equal(say(f, put_answer, (struct said){AMI, HOW, BACK, TODAY}), OK);
    assert_right(f, 2, 2);                          /* the child's own counts again */
    assert_int_equal(say(f, put_answer, (struct said){AMI, WHY, BACK, TODAY}), OK);
    assert_right(f, 1, 2);
    assert_int_equal(lesson_answers_of_pupil(f->st, f->mem, (struct pupil_id){AMI}, &list), OK);
    assert_int_equal(list.n, 0);
}

static void answers_count_without_a_hand_in(void **state)
{
    struct fixture *f = *state;
    struct results r;
    assert_int_equal(say(f, put_answer, (struct said){BEN, WHY, YES, TODAY}), OK);
    const struct results_row *row = results_of(f, BEN, &r);
    assert_int_equal(row->right_of_answered.k, 1);
    assert_int_equal(row->right_of_answered.of, 1);
    assert_int_equal(row->answer_count, 1);
}

static enum err take_part(struct store *st, void *arg)
{
    const struct taking_part t = {.pupil = {AMI}, .unit = {UNIT}, .band = 1, .by = {5}};
    return *(bool *)arg ? taking_part_take_back(st, t.unit, t.pupil) : taking_part_put(st, &t);
}

static void taking_part_can_be_taken_back(void **state)
{
    struct fixture *f = *state;
    struct results r;
    bool back = false;
    assert_int_equal(store_tx(f->st, "test", take_part, &back), OK);
    assert_int_equal(results_of(f, AMI, &r)->taking_part, 1);
    back = true;
    assert_int_equal(store_tx(f->st, "test", take_part, &back), OK);
    assert_int_equal(results_of(f, AMI, &r)->taking_part, STRAND_MISSING);
    assert_int_equal(store_tx(f->st, "test", take_part, &back), OK);
}

static void the_grid_has_a_column_for_whatever_has_a_mark(void **state)
{
    struct fixture *f = *state;
    struct lesson_grid g;
    assert_int_equal(lesson_grid_load(f->st, f->mem, &here, NOW, &g), OK);
    assert_int_equal(g.cue_count, 3);               /* Eyes, Soft; Knees from the lesson */
    assert_int_equal(g.cues[2].id, KNEES);
    assert_int_equal(g.question_count, 2);
    assert_int_equal(g.row_count, 2);
    assert_string_equal(g.rows[0].pupil.display_name, "Ami");
    assert_int_equal(g.rows[0].taking_part, -1);

    /* set again in a newer revision: its points, and of the older one's those with a mark */
    fixture_sql(f, "INSERT INTO challenge (id, revision_id, unit_id, number, opens_at, due_at,"
                   " closes_at, created_at) VALUES (102, 52, 31, 13, 1772323300, 1773532800,"
                   " 1774396800, 1); INSERT INTO challenge_class VALUES (11, 102)");
    assert_int_equal(say(f, put_seen, (struct said){BEN, SOFT, NO, TODAY}), OK);
    assert_int_equal(say(f, put_answer, (struct said){BEN, HOW, YES, TODAY}), OK);
    assert_int_equal(lesson_grid_load(f->st, f->mem, &here, NOW, &g), OK);
    assert_int_equal(g.cue_count, 3);
    assert_int_equal(g.cues[0].id, SOFT);
    assert_int_equal(g.cues[1].id, 73);
    assert_int_equal(g.question_count, 1);
    assert_int_equal(g.rows[0].seen_count, 0);
    assert_int_equal(g.rows[1].seen_count, 1);
    assert_false(g.rows[1].seen[0].seen);
    assert_int_equal(g.rows[1].answer_count, 1);

    const struct unit_class nowhere = {{777}, {CLASS}, TODAY};
    assert_int_equal(lesson_grid_load(f->st, f->mem, &nowhere, NOW, &g), ERR_NOT_FOUND);
}

/* The words of a point are the point: a newer revision has them under another id. */
static void a_newer_revision_keeps_what_was_seen(void **state)
{
    enum { SOFT_AGAIN = 76 };
    struct fixture *f = *state;
    struct lesson_grid g;
    struct results r;
    assert_int_equal(say(f, put_seen, (struct said){AMI, SOFT, YES, TODAY - 1}), OK);
    fixture_sql(f, "INSERT INTO cue (id, revision_id, position, text) VALUES (76, 52, 2, 'Soft');"
                   "INSERT INTO challenge (id, revision_id, unit_id, number, opens_at, due_at,"
                   " closes_at, created_at) VALUES (102, 52, 31, 13, 1772323300, 1773532800,"
                   " 1774396800, 1); INSERT INTO challenge_class VALUES (11, 102)");
    assert_int_equal(lesson_grid_load(f->st, f->mem, &here, NOW, &g), OK);
    assert_int_equal(g.cue_count, 3);               /* Eyes up, Soft; Knees from the lesson */
    assert_int_equal(g.cues[1].id, SOFT_AGAIN);
    assert_int_equal(g.rows[0].seen_count, 1);
    assert_int_equal(g.rows[0].seen[0].cue, SOFT_AGAIN);
    assert_true(g.rows[0].seen[0].seen);
    const struct results_row *row = results_of(f, AMI, &r);
    assert_int_equal(r.cue_count, 3);               /* Eyes, Soft, Eyes up */
    assert_int_equal(row->seen[0].cue, SOFT_AGAIN);
    assert_int_equal(row->seen_of_looked.k, 1);
    assert_int_equal(row->seen_of_looked.of, 1);

    /* looked for again: the later look holds, and it is one look at one point */
    assert_int_equal(say(f, put_seen, (struct said){AMI, SOFT_AGAIN, NO, TODAY}), OK);
    row = results_of(f, AMI, &r);
    assert_int_equal(row->seen_of_looked.k, 0);
    assert_int_equal(row->seen_of_looked.of, 1);
    assert_int_equal(say(f, put_seen, (struct said){AMI, SOFT_AGAIN, BACK, TODAY}), OK);
    assert_int_equal(results_of(f, AMI, &r)->seen_count, 0);
}

/* The same of a question: its words in its activity, whoever answered, in whatever revision. */
static void a_newer_revision_asks_the_same_question(void **state)
{
    enum { WHY_AGAIN = 84, WHY_ELSEWHERE = 85 };
    struct fixture *f = *state;
    struct lesson_answer_list list;
    struct lesson_grid g;
    assert_int_equal(say(f, put_answer, (struct said){AMI, WHY, YES, TODAY - 1}), OK);
    fixture_sql(f, "INSERT INTO question (id, revision_id, position, text) VALUES"
                   " (84, 52, 1, 'Why?'), (85, 53, 1, 'Why?');"
                   "INSERT INTO challenge (id, revision_id, unit_id, number, opens_at, due_at,"
                   " closes_at, created_at) VALUES (102, 52, 31, 13, 1772323300, 1773532800,"
                   " 1774396800, 1); INSERT INTO challenge_class VALUES (11, 102)");
    assert_int_equal(lesson_grid_load(f->st, f->mem, &here, NOW, &g), OK);
    assert_int_equal(g.question_count, 2);          /* Mat slide's Why?; that of Hops, a lesson's */
    assert_int_equal(g.questions[0].id, WHY_AGAIN);
    assert_int_equal(g.questions[1].id, WHY_ELSEWHERE);
    assert_int_equal(g.rows[0].answer_count, 1);
    assert_int_equal(g.rows[0].answers[0].question, WHY_AGAIN);
    assert_true(g.rows[0].answers[0].right);

    /* asked again: the later answer holds, and it is one question */
    assert_int_equal(say(f, put_answer, (struct said){AMI, WHY_AGAIN, NO, TODAY}), OK);
    assert_right(f, 0, 1);
    assert_int_equal(lesson_answers_of_pupil(f->st, f->mem, (struct pupil_id){AMI}, &list), OK);
    assert_int_equal(list.n, 1);
    assert_string_equal(list.v[0].question_text, "Why?");
    assert_int_equal(list.v[0].activity.v, 41);
    /* the same words of another activity are another question */
    assert_int_equal(say(f, put_answer, (struct said){AMI, WHY_ELSEWHERE, YES, TODAY}), OK);
    assert_right(f, 1, 2);

    /* the child's own, to the older revision (WHY wrong, HOW right), gives way to what holds */
    assert_int_equal(store_tx(f->st, "test", send, NULL), OK);
    assert_right(f, 2, 3);
    assert_int_equal(say(f, put_answer, (struct said){AMI, WHY_AGAIN, YES, TODAY}), OK);
    assert_right(f, 3, 3);
    /* taken back in the newer revision, what was said in the older one does not come through */
    assert_int_equal(say(f, put_answer, (struct said){AMI, WHY_AGAIN, BACK, TODAY}), OK);
    assert_right(f, 2, 3);
}

/* A child's own answers to two revisions of an activity: the later one counts, once. */
static enum err send_again(struct store *st, void *arg)
{
    struct hand_in h = {
        .pupil = {AMI}, .challenge = {102}, .version = {62}, .channel = "web",
        .received_at = NOW + 60, .done_day = TODAY, .attempt_count = 1, .attempts = {{.value = 10}},
        .answer_count = 1, .answers = {{.question = 84, .choice = 95}},
    };
    enum hand_in_outcome how;
    (void)arg;
    memset(h.id.b, 2, sizeof h.id.b);
    memset(h.content_hash, 2, sizeof h.content_hash);
    hand_in_settle(&h, false);
    return hand_in_store(st, &h, &how);
}

static void a_childs_later_answer_to_the_same_question_counts_once(void **state)
{
    struct fixture *f = *state;
    assert_int_equal(store_tx(f->st, "test", send, NULL), OK);
    fixture_sql(f, "INSERT INTO question (id, revision_id, position, text) VALUES"
                   " (84, 52, 1, 'Why?'); INSERT INTO choice (id, question_id, position, text,"
                   " is_right) VALUES (95, 84, 1, 'a', 1), (96, 84, 2, 'b', 0);"
                   "INSERT INTO challenge (id, revision_id, unit_id, number, opens_at, due_at,"
                   " closes_at, created_at) VALUES (102, 52, 31, 13, 1772323300, 1773532800,"
                   " 1774396800, 1); INSERT INTO challenge_class VALUES (11, 102)");
    assert_right(f, 1, 2);                          /* WHY wrong, HOW right */
    assert_int_equal(store_tx(f->st, "test", send_again, NULL), OK);
    assert_right(f, 2, 2);
}

static void statements_are_ticked_and_taken_back(void **state)
{
    struct fixture *f = *state;
    struct statement_tick_list list;
    assert_int_equal(say(f, put_tick, (struct said){AMI, 1, YES, TODAY - 3}), OK);
    assert_int_equal(say(f, put_tick, (struct said){AMI, 2, NO, TODAY}), OK);
    assert_int_equal(say(f, put_tick, (struct said){CAT, 1, YES, TODAY}), OK);
    assert_int_equal(say(f, put_tick, (struct said){AMI, 99, YES, TODAY}), ERR_NOT_FOUND);
    const struct class_id cls = {CLASS};
    assert_int_equal(statement_ticks_of_class(f->st, f->mem, cls, TODAY, &list), OK);
    assert_int_equal(list.n, 2);
    assert_true(list.v[0].met);
    assert_int_equal(list.v[0].on_day, TODAY - 3);
    assert_string_equal(list.v[0].by_name, "Tamsin");
    assert_false(list.v[1].met);
    assert_int_equal(say(f, put_tick, (struct said){AMI, 1, BACK, TODAY}), OK);
    assert_int_equal(statement_ticks_of_pupil(f->st, f->mem, (struct pupil_id){AMI}, &list), OK);
    assert_int_equal(list.n, 1);
    assert_int_equal(list.v[0].statement, 2);
}

struct change {
    enum { ADD, REWORD, ARCHIVE, BRING_BACK } what;
    int64_t id;
};

static enum err change(struct store *st, void *arg)
{
    struct change *c = arg;
    switch (c->what) {
    case ADD:
        return statement_add(st, "dance", "Moves in time", &c->id);
    case REWORD:
        return statement_reword(st, c->id, "Other words");
    case ARCHIVE:
        return statement_archive(st, c->id, NOW);
    default:
        return statement_archive(st, c->id, 0);
    }
}

static enum err changed(struct fixture *f, struct change c)
{
    return store_tx(f->st, "test", change, &c);
}

static void the_list_of_statements_has_a_cap_and_keeps_what_was_ticked(void **state)
{
    struct fixture *f = *state;
    struct statement_list list;
    struct statement_tick_list ticks;
    assert_int_equal(say(f, put_tick, (struct said){AMI, 1, YES, TODAY}), OK);
    assert_int_equal(changed(f, (struct change){REWORD, 1}), ERR_CONFLICT);
    assert_int_equal(changed(f, (struct change){REWORD, 2}), OK);
    assert_int_equal(changed(f, (struct change){REWORD, 99}), ERR_NOT_FOUND);

    assert_int_equal(changed(f, (struct change){ARCHIVE, 1}), OK);
    assert_int_equal(say(f, put_tick, (struct said){BEN, 1, YES, TODAY}), ERR_NOT_FOUND);
    assert_int_equal(statement_ticks_of_class(f->st, f->mem, here.cls, TODAY, &ticks), OK);
    assert_int_equal(ticks.n, 0);
    assert_int_equal(statement_ticks_of_pupil(f->st, f->mem, (struct pupil_id){AMI}, &ticks), OK);
    assert_int_equal(ticks.n, 1);                   /* the child's record still says it */
    assert_int_equal(say(f, put_tick, (struct said){AMI, 1, BACK, TODAY}), OK);

    for (int i = 0; i < STATEMENTS_MOST - 2; i++) {
        assert_int_equal(changed(f, (struct change){ADD, 0}), OK);
    }
    assert_int_equal(changed(f, (struct change){ADD, 0}), ERR_CONFLICT);
    assert_int_equal(changed(f, (struct change){BRING_BACK, 1}), ERR_CONFLICT);
    assert_int_equal(changed(f, (struct change){ARCHIVE, 3}), OK);
    assert_int_equal(changed(f, (struct change){BRING_BACK, 1}), OK);
    assert_int_equal(statements_list(f->st, f->mem, false, &list), OK);
    assert_int_equal(list.n, STATEMENTS_MOST);
    assert_string_equal(list.v[0].area, "swimming");
    assert_string_equal(list.v[1].text, "Other words");
    assert_string_equal(list.v[STATEMENTS_MOST - 1].area, "dance");
    assert_int_equal(statements_list(f->st, f->mem, true, &list), OK);
    assert_int_equal(list.n, STATEMENTS_MOST + 1);
}

static enum err purge(struct store *st, void *arg)
{
    const int32_t listed = TODAY - PURGE_AHEAD_DAYS;
    const struct purge_may may = {.any = true, .listed_by = listed};
    enum err e = purge_list(st, listed);
    return e == OK ? purge_rows(st, NOW, &may, arg) : e;
}

/* Answers go as teaching points do; of ticks only what was replaced, while the child is here. */
static void the_purge_leaves_the_tick_that_holds(void **state)
{
    struct fixture *f = *state;
    struct purge_done done;
    int32_t old = TODAY - 800;
    fixture_sql(f, mem_printf(f->mem, "INSERT INTO purge_plan VALUES (%d, 0, NULL, 0)",
                              TODAY - PURGE_AHEAD_DAYS));
    assert_int_equal(say(f, put_tick, (struct said){AMI, 1, NO, old}), OK);
    assert_int_equal(say(f, put_tick, (struct said){AMI, 1, YES, old + 1}), OK);
    assert_int_equal(say(f, put_answer, (struct said){AMI, WHY, YES, old}), OK);
    assert_int_equal(say(f, put_answer, (struct said){AMI, HOW, YES, TODAY}), OK);
    assert_int_equal(say(f, put_seen, (struct said){AMI, EYES, YES, old}), OK);
    assert_int_equal(store_tx(f->st, "test", purge, &done), OK);
    assert_int_equal(done.decisions, 3);
    assert_int_equal(fixture_int(f, "SELECT met FROM statement_tick"), 1);
    assert_int_equal(fixture_int(f, "SELECT question_id FROM lesson_answer"), HOW);
}

#define WITH_SCHOOL(test) cmocka_unit_test_setup_teardown(test, open_school, fixture_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        WITH_SCHOOL(a_teaching_point_taken_back_was_not_looked_for),
        WITH_SCHOOL(only_what_the_unit_has_is_taken),
        WITH_SCHOOL(a_teachers_record_stands_in_place_of_the_childs_answer),
        WITH_SCHOOL(answers_count_without_a_hand_in),
        WITH_SCHOOL(taking_part_can_be_taken_back),
        WITH_SCHOOL(the_grid_has_a_column_for_whatever_has_a_mark),
        WITH_SCHOOL(a_newer_revision_keeps_what_was_seen),
        WITH_SCHOOL(a_newer_revision_asks_the_same_question),
        WITH_SCHOOL(a_childs_later_answer_to_the_same_question_counts_once),
        WITH_SCHOOL(statements_are_ticked_and_taken_back),
        WITH_SCHOOL(the_list_of_statements_has_a_cap_and_keeps_what_was_ticked),
        WITH_SCHOOL(the_purge_leaves_the_tick_that_holds),
    };
    return cmocka_run_group_tests_name("observations", tests, NULL, NULL);
}
