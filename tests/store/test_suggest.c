/* SPDX-License-Identifier: MIT
 * Which band lines judge, and what is worked out again. All rows are invented; the probabilities
 * expected are those of tests/data/vectors, file 08, for the same tries and lines. */
#include "store/suggest.h"

#include <string.h>

#include "base/mem.h"
#include "fixture.h"
#include "store/gains.h"
#include "store/line_preview.h"
#include "store/results.h"
#include "store/suggest_internal.h"
#include "t.h"

/* 2026-03-10 is day 20522 since 1970-01-01. */
enum { TODAY = 20522, NOW = 1773136800, CLASS = 11, UNIT = 31, FIRST = 200, PUPILS = 14 };
enum { SLIDE = 101, REACH = 102, A_SLIDE = 41 };

static const char world[] =
    "INSERT INTO band_word (band, word) VALUES (0, 'working towards'), (1, 'nearly'), (2, 'met'),"
    " (3, 'beyond');"
    "INSERT INTO class (id, name, name_key, kind, created_at) VALUES"
    " (11, '3 Alder', '3 alder', 'class', 1);"
    "WITH RECURSIVE n(i) AS (SELECT 0 UNION ALL SELECT i + 1 FROM n WHERE i < 13)"
    " INSERT INTO pupil (id, display_name, name_key, picture, created_at)"
    " SELECT 200 + i, 'Child ' || i, 'child ' || i, 1, 1 FROM n;"
    "INSERT INTO membership (pupil_id, class_id, from_day) SELECT id, 11, 20000 FROM pupil;"
    "INSERT INTO unit (id, name, created_at) VALUES (31, 'Aiming', 1);"
    "INSERT INTO activity (id, created_at) VALUES (41, 1), (42, 1);"
    "INSERT INTO revision (id, activity_id, number, name, strand, kind, unit, attempts, throws,"
    " resolution, hard_low, hard_high, summary, set_up, scoring, created_at) VALUES"
    " (51, 41, 1, 'Mat slide', 'target', 'zones', 'points', 3, 4, 1, NULL, NULL, '', '', '', 1),"
    " (52, 42, 1, 'Reach', 'balance', 'measure', 'mm', 3, NULL, 10, 10, 9000, '', '', '', 1);"
    "INSERT INTO zone (revision_id, position, name, points) VALUES (51, 1, 'mid', 5),"
    " (51, 2, 'edge', 2), (51, 3, 'miss', 0);"
    "INSERT INTO version (id, revision_id, kind, how) VALUES (61, 51, 'standard', ''),"
    " (62, 52, 'standard', '');"
    "INSERT INTO band_line (version_id, band, value) VALUES (61, 1, 7), (61, 2, 12), (61, 3, 17),"
    " (62, 1, 1000), (62, 2, 1200);"
    "INSERT INTO challenge (id, revision_id, unit_id, number, opens_at, due_at, closes_at, created_at)"
    " VALUES (101, 51, 31, 12, 1772323200, 1773532800, 1774396800, 1),"
    " (102, 52, 31, 13, 1772323300, 1773532800, 1774396800, 1);"
    "INSERT INTO challenge_class (class_id, challenge_id) VALUES (11, 101), (11, 102);";

/* The same activity with other words and other lines, scored alike; then at another count. */
static const char newer[] =
    "INSERT INTO revision (id, activity_id, number, name, strand, kind, unit, attempts, throws,"
    " summary, set_up, scoring, created_at) VALUES"
    " (71, 41, 2, 'Mat slide, new words', 'target', 'zones', 'points', 3, %d, '', '', '', 2);"
    "INSERT INTO zone (revision_id, position, name, points) VALUES (71, 1, 'edge', 2),"
    " (71, 2, 'mid', 5), (71, 3, 'miss', 0);"
    "INSERT INTO version (id, revision_id, kind, how) VALUES (81, 71, 'standard', '');"
    "INSERT INTO band_line (version_id, band, value) VALUES (81, 1, 2), (81, 2, 4), (81, 3, 7)";

static int open_school(void **state)
{
    return fixture_setup(state, world);
}

struct sent {
    int id;
    int64_t pupil, challenge;
    int values[3];
};

static enum err put(struct store *st, void *arg)
{
    const struct sent *s = arg;
    bool slide = s->challenge == SLIDE;
    struct hand_in h = {
        .pupil = {s->pupil}, .challenge = {s->challenge}, .version = {slide ? 61 : 62},
        .channel = "web", .received_at = NOW, .done_day = TODAY, .attempt_count = 3,
    };
    static const uint8_t throws[3][4] = {{0, 2, 2, 5}, {0, 2, 5, 5}, {2, 2, 2, 5}};
    enum hand_in_outcome how;
    memcpy(h.id.b, &s->id, sizeof s->id);
    memcpy(h.content_hash, &s->id, sizeof s->id);
    for (int i = 0; i < 3; i++) {
        h.attempts[i].value = s->values[i];
        h.attempts[i].throw_count = slide ? 4 : 0;
        memcpy(h.attempts[i].throws, throws[i], slide ? sizeof throws[i] : 0);
    }
    hand_in_settle(&h, false);
    return hand_in_store(st, &h, &how);
}

/* 9, 12 and 11 points with throws known: file 08, row 08-01 ff. */
static void slide(struct fixture *f, int id, int64_t pupil)
{
    struct sent s = {id, pupil, SLIDE, {9, 12, 11}};
    assert_int_equal(store_tx(f->st, "test", put, &s), OK);
}

static void load(struct fixture *f, struct results *r)
{
    const struct results_ask ask = {.of = {{UNIT}, {CLASS}, TODAY}, .now = NOW};
    assert_int_equal(results_load(f->st, f->mem, &ask, r), OK);
    assert_int_equal(r->row_count, PUPILS);
}

static const struct suggestion *of(const struct results *r, int64_t pupil)
{
    for (size_t i = 0; i < r->row_count; i++) {
        if (r->rows[i].pupil.id.v == pupil) {
            return &r->rows[i].suggestion;
        }
    }
    fail();
    return NULL;
}

static void new_lines_judge_what_was_done_before(void **state)
{
    struct fixture *f = *state;
    struct results r;
    slide(f, 1, FIRST);
    load(f, &r);
    assert_int_equal(of(&r, FIRST)->band, 1);
    near_to(of(&r, FIRST)->answer.probs[1], 0.535909743869949, 1e-9);
    fixture_sql(f, mem_printf(f->mem, newer, 4));
    load(f, &r);
    const struct suggestion *s = of(&r, FIRST);
    assert_int_equal(s->band, 3);               /* 11 reaches 7, the zones in another order */
    assert_int_equal(s->lines[0].version->id.v, 81);
    assert_string_equal(s->lines[0].activity->name, "Mat slide");
    /* P(at least 7) is the same whichever line it is */
    near_to(s->answer.probs[3], 1 - 0.12369827541512, 1e-9);
}

static void lines_of_another_scoring_say_nothing(void **state)
{
    struct fixture *f = *state;
    struct results r;
    slide(f, 1, FIRST);
    fixture_sql(f, mem_printf(f->mem, newer, 5));
    load(f, &r);
    assert_int_equal(of(&r, FIRST)->band, 1);
    assert_int_equal(of(&r, FIRST)->lines[0].version->id.v, 61);
}

static void lines_of_another_reference_distance_say_nothing(void **state)
{
    struct fixture *f = *state;
    struct results r;
    slide(f, 1, FIRST);
    fixture_sql(f, mem_printf(f->mem, newer, 4));
    fixture_sql(f, "INSERT INTO revision (id, activity_id, number, name, strand, kind, unit,"
                   " attempts, throws, reference_mm, summary, set_up, scoring, created_at) VALUES"
                   " (72, 41, 3, 'Mat slide', 'target', 'zones', 'points', 3, 4, 4000, '', '', '', 3);"
                   "INSERT INTO zone (revision_id, position, name, points) SELECT 72, position, name,"
                   " points FROM zone WHERE revision_id = 51;"
                   "INSERT INTO distance (revision_id, distance_mm) VALUES (72, 4000);"
                   "INSERT INTO version (id, revision_id, kind, how) VALUES (82, 72, 'standard', '')");
    load(f, &r);
    assert_int_equal(of(&r, FIRST)->lines[0].version->id.v, 61);
}

static uint64_t made_by(struct fixture *f)
{
    struct results r;
    uint64_t before = suggest_counts(f->st).made;
    load(f, &r);
    return suggest_counts(f->st).made - before;
}

static void an_unchanged_class_is_worked_out_once(void **state)
{
    struct fixture *f = *state;
    for (int i = 0; i < PUPILS; i++) {
        slide(f, i + 1, FIRST + i);
    }
    assert_int_equal(made_by(f), PUPILS);
    assert_int_equal(made_by(f), 0);
    slide(f, 50, FIRST + 3);
    assert_int_equal(made_by(f), 1);            /* one new hand-in, one pupil */
    assert_int_equal(made_by(f), 0);
    fixture_sql(f, "INSERT INTO hand_in_mark (hand_in_seq, mark, reason, by_staff, at)"
                   " SELECT max(seq), 'set_aside', 'child_says', 1, 5 FROM hand_in");
    assert_int_equal(made_by(f), 0);            /* as it was before: remembered */
    fixture_sql(f, "UPDATE unit SET statistic = 'best' WHERE id = 31");
    assert_int_equal(made_by(f), PUPILS);
    fixture_sql(f, "UPDATE unit SET policy = 'weakest' WHERE id = 31");
    assert_int_equal(made_by(f), 0);            /* how strands are put together costs nothing */
    fixture_sql(f, mem_printf(f->mem, newer, 4));
    assert_int_equal(made_by(f), PUPILS);
    assert_int_equal(made_by(f), 0);
}

static void what_is_remembered_is_what_was_worked_out(void **state)
{
    struct fixture *f = *state;
    struct results first, again;
    for (int i = 0; i < PUPILS; i++) {
        slide(f, i + 1, FIRST + i);
    }
    load(f, &first);
    load(f, &again);
    for (int i = 0; i < PUPILS; i++) {
        const struct suggestion *a = of(&first, FIRST + i), *b = of(&again, FIRST + i);
        assert_memory_equal(a->answer.probs, b->answer.probs, sizeof a->answer.probs);
        assert_int_equal(a->band, b->band);
        assert_int_equal(a->answer.label, b->answer.label);
        assert_int_equal(a->lines[0].throws, b->lines[0].throws);
        near_to(a->answer.observed, b->answer.observed, 0);
    }
}

/* Where "how sure" borrows the class's variability, a new hand-in changes it for everybody. */
static void a_measure_follows_the_class(void **state)
{
    struct fixture *f = *state;
    for (int i = 0; i < PUPILS - 1; i++) {
        struct sent s = {100 + i, FIRST + i, REACH, {900 + 20 * i, 1000 + 10 * i, 1100}};
        assert_int_equal(store_tx(f->st, "test", put, &s), OK);
    }
    assert_int_equal(made_by(f), PUPILS - 1);
    assert_int_equal(made_by(f), 0);
    struct sent last = {150, FIRST + PUPILS - 1, REACH, {700, 1000, 1500}};
    assert_int_equal(store_tx(f->st, "test", put, &last), OK);
    assert_int_equal(made_by(f), PUPILS);
}

/* Three hand-ins each, so that "the first two" and "the first and the latest" differ. */
static void bands_and_gains_borrow_the_same_variability(void **state)
{
    struct fixture *f = *state;
    const struct activity *a;
    struct hand_in_list all;
    struct gains_class cls;
    struct results r;
    struct band_answer want;
    for (int i = 0; i < PUPILS; i++) {
        const int off = 5 * (i % 4), up = 40 * (i % 5);
        const struct sent s[] = {
            {300 + i, FIRST + i, REACH, {1000 + off, 1050, 1090}},
            {400 + i, FIRST + i, REACH, {1010, 1060 - off, 1080}},
            {500 + i, FIRST + i, REACH, {1050 + up, 1100 + up, 1160 + up}},
        };
        for (int k = 0; k < 3; k++) {
            struct sent one = s[k];
            assert_int_equal(store_tx(f->st, "test", put, &one), OK);
        }
    }
    const struct hand_in_scope scope = {.cls = {CLASS}, .activity = {42}, .today = TODAY,
                                        .from_day = TODAY};
    assert_int_equal(activity_load_current(f->st, (struct activity_id){42}, &a), OK);
    assert_int_equal(hand_ins_of_class_activity(f->st, f->mem, &scope, &all), OK);
    const struct gains_class_ask of_class = {&all, a};
    assert_int_equal(gains_class_of(f->st, &of_class, &cls), OK);
    assert_true(cls.of[VERSION_STANDARD].nu_change > 0);
    const double values[] = {1000, 1050, 1090, 1010, 1060, 1080, 1050, 1100, 1160};
    struct band_rule rule = band_rule_default(BAND_MIDDLE, 3);
    rule.lines = 2;
    rule.line[0] = 1000;
    rule.line[1] = 1200;
    const struct band_spread sp = {
        .scale = BAND_LOG, .resolution = 10, .s_w = cls.of[VERSION_STANDARD].s_w,
        .nu = cls.of[VERSION_STANDARD].nu, .rho = cls.of[VERSION_STANDARD].rho,
    };
    assert_true(sp.rho > 0.3 && sp.rho < 1.5);          /* neither end hides a difference */
    assert_true(band_measure(&rule, &sp, values, 9, &want));
    load(f, &r);
    const struct suggestion *got = of(&r, FIRST);
    assert_true(got->lines[0].answer.known);
    for (int b = 0; b < 3; b++) {
        near_to(got->lines[0].answer.probs[b], want.probs[b], 1e-12);
    }
}

static void a_preview_counts_and_leaves_out(void **state)
{
    struct fixture *f = *state;
    const struct activity *a;
    struct line_preview p;
    struct activity_version tried = {.kind = VERSION_STANDARD, .band_lines = {7, 11, 14},
                                     .band_line_count = 3};
    struct second_blind hidden = {{UNIT}, {FIRST + 1}};
    const struct second_blind_list blind = {&hidden, 1};
    assert_int_equal(activity_load_current(f->st, (struct activity_id){A_SLIDE}, &a), OK);
    struct line_preview_ask ask = {.activity = a, .lines = &tried, .cls = {CLASS}, .today = TODAY,
                                   .bands = 4};
    assert_int_equal(line_preview(f->st, f->mem, &ask, &p), OK);
    assert_false(p.found);
    slide(f, 1, FIRST);
    slide(f, 2, FIRST + 1);
    slide(f, 3, FIRST + 2);
    assert_int_equal(line_preview(f->st, f->mem, &ask, &p), OK);
    assert_true(p.found && !p.changed);
    assert_int_equal(p.unit.id.v, UNIT);
    assert_int_equal(p.challenge.id.v, SLIDE);
    assert_int_equal(p.pupils, 3);
    assert_int_equal(p.placed, 3);
    assert_int_equal(p.band[2], 3);                 /* the middle of 9, 12, 11 */
    assert_int_equal(p.score_count, 1);
    assert_int_equal(p.scores[0].count, 3);
    near_to(p.scores[0].value, 11, 0);
    ask.has_statistic = true;
    ask.statistic = UNIT_BEST;
    assert_int_equal(line_preview(f->st, f->mem, &ask, &p), OK);
    near_to(p.scores[0].value, 12, 0);
    /* a line between two totals is a threshold as any other */
    tried.band_lines[1] = 13;
    ask.blind = &blind;
    assert_int_equal(line_preview(f->st, f->mem, &ask, &p), OK);
    assert_int_equal(p.kept, 1);
    assert_int_equal(p.pupils, 2);
    assert_int_equal(p.band[1], 2);                 /* the best is 12 */
    assert_int_equal(p.scores[0].count, 2);
    hidden.unit.v = UNIT + 1;                       /* owed in another unit: not hidden here */
    assert_int_equal(line_preview(f->st, f->mem, &ask, &p), OK);
    assert_int_equal(p.kept, 0);
    assert_int_equal(p.pupils, 3);
}

/* More classes than there is room for: never a wrong answer, never more memory. */
static void the_memory_is_bounded(void **state)
{
    struct fixture *f = *state;
    struct memo_key key = {.table = {.revision = {51}, .lines = 1, .line = {4}}, .n = 1};
    struct memo_value v = {.done = true};
    size_t found = 0;
    for (int i = 0; i < 5000; i++) {
        key.seq[0] = i;
        v.answer.band = i % 7;
        memo_keep(f->st, &key, &v);
    }
    for (int i = 0; i < 5000; i++) {
        key.seq[0] = i;
        const struct memo_value *got = memo_find(f->st, &key);
        found += got != NULL;
        assert_true(got == NULL || got->answer.band == i % 7);
    }
    assert_in_range(found, 700, 1024);
    key.seq[0] = 4999;
    assert_non_null(memo_find(f->st, &key));
    key.table.line[0] = 5;
    assert_null(memo_find(f->st, &key));
    key.table.line[0] = 4;
    /* the number of an erased hand-in may be given out again: to another child, at another time */
    key.pupil = 7;
    assert_null(memo_find(f->st, &key));
    key.pupil = 0;
    key.received_at[0] = 1;
    assert_null(memo_find(f->st, &key));
}

static void lines_to_try_change_nothing_that_is_kept(void **state)
{
    struct fixture *f = *state;
    struct results r;
    struct activity_version tried = {.kind = VERSION_STANDARD, .band_lines = {11, 12, 14},
                                     .band_line_count = 3};
    slide(f, 1, FIRST);
    load(f, &r);
    struct suggest_counts before = suggest_counts(f->st);
    const struct results_row *row = NULL;
    for (size_t i = 0; i < r.row_count; i++) {
        row = r.rows[i].pupil.id.v == FIRST ? &r.rows[i] : row;
    }
    const struct suggest_ask ask = {
        .unit = &r.unit, .bands = 4, .hand_ins = &row->hand_ins, .taking_part = STRAND_MISSING,
        .activity = {A_SLIDE}, .lines = &tried,
    };
    struct suggestion s;
    assert_int_equal(suggest(f->st, f->mem, &ask, &s), OK);
    assert_int_equal(s.band, 1);
    tried.band_lines[0] = 12;
    tried.band_lines[1] = 13;
    assert_int_equal(suggest(f->st, f->mem, &ask, &s), OK);
    assert_int_equal(s.band, 0);
    assert_int_equal(suggest_counts(f->st).made, before.made);
    load(f, &r);
    assert_int_equal(of(&r, FIRST)->band, 1);
    assert_int_equal(suggest_counts(f->st).made, before.made);
}

#define test(t) cmocka_unit_test_setup_teardown(t, open_school, fixture_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        test(new_lines_judge_what_was_done_before),
        test(lines_of_another_scoring_say_nothing),
        test(lines_of_another_reference_distance_say_nothing),
        test(an_unchanged_class_is_worked_out_once),
        test(what_is_remembered_is_what_was_worked_out),
        test(a_measure_follows_the_class),
        test(bands_and_gains_borrow_the_same_variability),
        test(a_preview_counts_and_leaves_out),
        test(the_memory_is_bounded),
        test(lines_to_try_change_nothing_that_is_kept),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
