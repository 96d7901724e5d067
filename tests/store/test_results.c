/* SPDX-License-Identifier: MIT
 * From stored hand-ins to what they point to, and what a teacher decided. All rows are invented;
 * the numbers expected are those of tests/data/vectors, file 08, for the same tries and lines. */
#include "store/results.h"

#include <string.h>

#include "base/clock.h"
#include "base/mem.h"
#include "fixture.h"
#include "t.h"

#define SAID "INSERT INTO seen (pupil_id, unit_id, cue_id, seen, on_day, by_staff, said_at) VALUES"

/* 2026-03-10 is day 20522 since 1970-01-01. */
enum { TODAY = 20522, NOW = 1773136800, CLASS = 11, UNIT = 31, AMI = 21, BEN = 22, CAT = 23 };
enum { SLIDE = 101, SEATED = 102, FAR = 103, HOP = 104, THROWS = 4 };

static const char world[] =
    "INSERT INTO band_word (band, word) VALUES (0, 'working towards'), (1, 'nearly'), (2, 'met'),"
    " (3, 'beyond');"
    "INSERT INTO class (id, name, name_key, kind, created_at) VALUES"
    " (11, '3 Alder', '3 alder', 'class', 1), (12, 'Lunch', 'lunch', 'group', 1);"
    "INSERT INTO pupil (id, display_name, name_key, picture, created_at) VALUES"
    " (21, 'Ami', 'ami', 1, 1), (22, 'Ben', 'ben', 2, 1), (23, 'Cat', 'cat', 3, 1);"
    "INSERT INTO membership (pupil_id, class_id, from_day) VALUES (21, 11, 20000), (22, 11, 20000),"
    " (23, 11, 20000), (21, 12, 20000);"
    "INSERT INTO unit (id, name, created_at) VALUES (31, 'Aiming', 1), (32, 'Other', 1);"
    "INSERT INTO activity (id, created_at) VALUES (41, 1), (42, 1), (43, 1);"
    "INSERT INTO revision (id, activity_id, number, name, strand, kind, unit, attempts, throws,"
    " seconds, reference_mm, summary, set_up, scoring, created_at) VALUES"
    " (51, 41, 1, 'Mat slide', 'target', 'zones', 'points', 3, 4, NULL, NULL, '', '', '', 1),"
    " (52, 42, 1, 'Far slide', 'target', 'zones', 'points', 3, 4, NULL, 4000, '', '', '', 1),"
    " (53, 43, 1, 'Hops', 'travelling', 'timed_count', 'count', 3, NULL, 30, NULL, '', '', '', 1);"
    "INSERT INTO distance (revision_id, distance_mm) VALUES (52, 3000), (52, 4000);"
    "INSERT INTO zone (revision_id, position, name, points) VALUES (51, 1, 'mid', 5),"
    " (51, 2, 'edge', 2), (51, 3, 'miss', 0), (52, 1, 'mid', 5), (52, 2, 'edge', 2),"
    " (52, 3, 'miss', 0);"
    "INSERT INTO version (id, revision_id, kind, how) VALUES (61, 51, 'standard', ''),"
    " (62, 51, 'seated', ''), (63, 52, 'standard', ''), (64, 53, 'standard', '');"
    "INSERT INTO band_line (version_id, band, value) VALUES (61, 1, 7), (61, 2, 12), (61, 3, 17),"
    " (63, 1, 7), (63, 2, 12), (63, 3, 17), (64, 1, 20), (64, 2, 30), (64, 3, 40);"
    "INSERT INTO cue (id, revision_id, position, text) VALUES (71, 51, 1, 'Eyes'),"
    " (72, 51, 2, 'Soft'), (73, 51, 3, 'Low'), (74, 53, 1, 'Knees');"
    "INSERT INTO question (id, revision_id, position, text) VALUES (81, 51, 1, 'Why?'),"
    " (82, 51, 2, 'How?'), (83, 51, 3, 'What?');"
    "INSERT INTO choice (id, question_id, position, text, is_right) VALUES (91, 81, 1, 'a', 1),"
    " (92, 81, 2, 'b', 0), (93, 82, 1, 'a', 1), (94, 83, 1, 'a', 1);"
    "INSERT INTO challenge (id, revision_id, unit_id, number, opens_at, due_at, closes_at, created_at)"
    " VALUES (101, 51, 31, 12, 1772323200, 1773532800, 1774396800, 1),"
    " (103, 52, 31, 13, 1772323300, 1773532800, 1774396800, 1),"
    " (104, 53, 31, 14, 1772323400, 1773532800, 1774396800, 1);"
    "INSERT INTO challenge_class (class_id, challenge_id) VALUES (11, 101), (11, 103), (11, 104);";

static int open_school(void **state)
{
    return fixture_setup(state, world);
}

struct sent {
    unsigned char id;
    int64_t pupil, challenge, version;
    int32_t distance_mm;
    bool surprising;
    int values[3];              /* 0 ends */
    int throws[3][THROWS];      /* {-1}: only the value */
};

static enum err put(struct store *st, void *arg)
{
    const struct sent *s = arg;
    struct hand_in h = {
        .pupil = {s->pupil}, .challenge = {s->challenge}, .version = {s->version},
        .channel = "web", .received_at = NOW, .done_day = TODAY, .surprising = s->surprising,
    };
    enum hand_in_outcome how;
    memset(h.id.b, s->id, sizeof h.id.b);
    memset(h.content_hash, s->id, sizeof h.content_hash);
    for (int i = 0; i < 3 && s->values[i] > 0; i++) {
        struct hand_in_attempt *a = &h.attempts[h.attempt_count++];
        a->value = s->values[i];
        a->distance_mm = s->distance_mm;
        for (int k = 0; k < THROWS && s->throws[i][0] >= 0; k++) {
            a->throws[k] = (uint8_t)s->throws[i][k];
            a->throw_count = THROWS;
        }
    }
    hand_in_settle(&h, false);
    return hand_in_store(st, &h, &how);
}

/* 9, 12 and 11 points with throws known: file 08, row 08-01 ff. */
static const struct sent usual = {
    .id = 1, .pupil = AMI, .challenge = SLIDE, .version = 61, .values = {9, 12, 11},
    .throws = {{0, 2, 2, 5}, {0, 2, 5, 5}, {2, 2, 2, 5}},
};

static void send(struct fixture *f, struct sent s)
{
    assert_int_equal(store_tx(f->st, "test", put, &s), OK);
}

static const struct results_row *load(struct fixture *f, int64_t pupil, struct results *r)
{
    const struct results_ask ask = {.of = {{UNIT}, {CLASS}, TODAY}, .now = NOW, .only = {pupil}};
    assert_int_equal(results_load(f->st, f->mem, &ask, r), OK);
    assert_int_equal(r->row_count, 1);
    return &r->rows[0];
}

static void middle_of_three_with_throws_known(void **state)
{
    struct fixture *f = *state;
    struct results r;
    send(f, usual);
    const struct suggestion *s = &load(f, AMI, &r)->suggestion;
    assert_int_equal(s->band, 1);
    assert_true(s->answer.known);
    near_to(s->answer.observed, 11, 0);
    near_to(s->answer.probs[0], 0.12369827541512, 1e-9);
    near_to(s->answer.probs[1], 0.535909743869949, 1e-9);
    near_to(s->answer.probs[3], 0.0520923594282221, 1e-9);
    assert_int_equal(s->answer.label, BAND_LEANING);
    assert_int_equal(s->line_count, 1);
    assert_int_equal(r.rows[0].counted, 1);
    assert_int_equal(r.challenge_count, 3);
    assert_int_equal(r.rows[0].states[0], GRID_HANDED_IN);
    assert_int_equal(r.rows[0].states[1], GRID_NOT_YET);
}

static void the_units_statistic_is_used(void **state)
{
    struct fixture *f = *state;
    struct results r;
    send(f, usual);
    fixture_sql(f, "UPDATE unit SET statistic = 'best' WHERE id = 31");
    const struct suggestion *s = &load(f, AMI, &r)->suggestion;
    assert_int_equal(s->band, 2);
    near_to(s->answer.probs[2], 0.426832475052511, 1e-9);
    assert_int_equal(s->answer.label, BAND_NOT_ENOUGH);
    assert_int_equal(s->answer.span_low, 1);
    assert_int_equal(s->answer.span_high, 3);
    fixture_sql(f, "UPDATE unit SET statistic = 'mean' WHERE id = 31");
    s = &load(f, AMI, &r)->suggestion;
    near_to(s->answer.probs[1], 0.582789096237274, 1e-9);
    assert_int_equal(s->answer.label, BAND_LEANING);
}

static void hand_ins_are_pooled_or_the_latest_counts(void **state)
{
    struct fixture *f = *state;
    struct results r;
    struct sent again = usual;
    send(f, usual);
    again.id = 2;
    again.values[0] = again.values[1] = again.values[2] = 17;
    for (int i = 0; i < 3; i++) {
        memcpy(again.throws[i], (const int[]){5, 5, 5, 2}, sizeof again.throws[i]);
    }
    send(f, again);
    const struct suggestion *s = &load(f, AMI, &r)->suggestion;
    assert_int_equal(s->lines[0].attempts, 6);
    assert_int_equal(s->lines[0].hand_ins, 2);
    near_to(s->answer.observed, 17, 0);     /* third best of 17 17 17 12 11 9 */
    fixture_sql(f, "UPDATE unit SET pooling = 'latest' WHERE id = 31");
    s = &load(f, AMI, &r)->suggestion;
    assert_int_equal(s->lines[0].attempts, 3);
    near_to(s->answer.observed, 17, 0);
}

static void what_waits_or_is_set_aside_counts_for_nothing(void **state)
{
    struct fixture *f = *state;
    struct results r;
    const char *no;
    struct sent odd = usual;
    odd.surprising = true;
    send(f, odd);
    const struct results_row *row = load(f, AMI, &r);
    assert_int_equal(row->suggestion.band, STRAND_MISSING);
    assert_int_equal(row->suggestion.silent, SUGGEST_NO_ATTEMPTS);
    assert_int_equal(row->waiting, 1);
    assert_int_equal(row->counted, 0);
    assert_false(results_bulk_ok(row, &no));
    assert_string_equal(no, "to_check");
    fixture_sql(f, "INSERT INTO hand_in_mark (hand_in_seq, mark, reason, by_staff, at)"
                   " SELECT seq, 'set_aside', 'child_says', 1, 5 FROM hand_in");
    row = load(f, AMI, &r);
    assert_int_equal(row->suggestion.band, STRAND_MISSING);
    assert_int_equal(row->waiting, 0);
}

static void a_version_without_lines_is_silent(void **state)
{
    struct fixture *f = *state;
    struct results r;
    struct sent seated = usual;
    seated.version = 62;
    send(f, seated);
    const struct suggestion *s = &load(f, AMI, &r)->suggestion;
    assert_int_equal(s->band, STRAND_MISSING);
    assert_int_equal(s->silent, SUGGEST_NO_LINES);
    fixture_sql(f, "INSERT INTO band_line (version_id, band, value) VALUES (62, 1, 12)");
    /* A revision never changes once stored; a new store reads the line made for this test. */
    struct store *fresh;
    const char *why;
    assert_int_equal(store_open(f->mem, f->dir, STORE_READ, &fresh, &why), OK);
    const struct results_ask ask = {.of = {{UNIT}, {CLASS}, TODAY}, .now = NOW, .only = {AMI}};
    assert_int_equal(results_load(fresh, f->mem, &ask, &r), OK);
    assert_int_equal(r.rows[0].suggestion.band, 0);
    store_close(fresh);
}

static void an_own_target_makes_no_band(void **state)
{
    struct fixture *f = *state;
    struct results r;
    struct sent s = usual;
    fixture_sql(f, "INSERT INTO own_target (version_id, value) VALUES (62, 11)");
    s.version = 62;
    send(f, s);
    const struct suggestion *got = &load(f, AMI, &r)->suggestion;
    assert_int_equal(got->band, STRAND_MISSING);
    assert_int_equal(got->silent, SUGGEST_OWN_TARGET);
    assert_int_equal(got->lines[0].own_target, OWN_TARGET_MET);
    near_to(got->lines[0].reached, 11, 0);
    assert_int_equal(got->judged.strand[STRAND_PHYSICAL], STRAND_MISSING);
    fixture_sql(f, "UPDATE unit SET statistic = 'best'");
    assert_int_equal(load(f, AMI, &r)->suggestion.lines[0].own_target, OWN_TARGET_MET);
    near_to(r.rows[0].suggestion.lines[0].reached, 12, 0);
}

static void lines_of_one_distance_say_nothing_about_another(void **state)
{
    struct fixture *f = *state;
    struct results r;
    struct sent far = usual;
    far.challenge = FAR;
    far.version = 63;
    far.distance_mm = 3000;
    send(f, far);
    const struct suggestion *s = &load(f, AMI, &r)->suggestion;
    assert_int_equal(s->band, STRAND_MISSING);
    assert_int_equal(s->silent, SUGGEST_UNKNOWN_TARGET);
    far.id = 2;
    far.distance_mm = 4000;
    send(f, far);
    s = &load(f, AMI, &r)->suggestion;
    assert_int_equal(s->band, 1);
    assert_int_equal(s->lines[0].attempts, 3);
    assert_int_equal(s->lines[0].step_mm, 4000);
}

static void several_activities_and_strands(void **state)
{
    struct fixture *f = *state;
    struct results r;
    struct sent hop = {.id = 9, .pupil = AMI, .challenge = HOP, .version = 64,
                       .values = {21, 25, 24}, .throws = {{-1}, {-1}, {-1}}};
    send(f, usual);
    send(f, hop);
    const struct suggestion *s = &load(f, AMI, &r)->suggestion;
    assert_int_equal(s->line_count, 2);
    assert_string_equal(s->lines[0].activity->name, "Hops");
    near_to(s->lines[0].answer.probs[1], 0.712275026720908, 1e-9);     /* file 09, 09-02 */
    assert_int_equal(s->band, 1);
    /* better of two: P(both at most 1) - P(both 0) */
    double below2 = (0.12369827541512 + 0.535909743869949) *
                    (0.192905578939215 + 0.712275026720908);
    near_to(s->answer.probs[1], below2 - 0.12369827541512 * 0.192905578939215, 1e-9);
    assert_int_equal(s->judged.status, JUDGE_NOT_ENOUGH);
    fixture_sql(f, "INSERT INTO taking_part (pupil_id, unit_id, band, by_staff, on_day)"
                   " VALUES (21, 31, 3, 1, 20522);"
                   SAID " (21, 31, 71, 0, 20521, 1, 1), (21, 31, 71, 1, 20522, 1, 2),"
                   " (21, 31, 72, 1, 20522, 1, 2), (21, 31, 74, 1, 20522, 1, 2)");
    const struct results_row *row = load(f, AMI, &r);
    assert_int_equal(row->seen_of_looked.k, 3);
    assert_int_equal(row->seen_of_looked.of, 3);
    s = &row->suggestion;
    assert_int_equal(s->judged.cue_band, 3);
    assert_int_equal(s->judged.strand[STRAND_PHYSICAL], 1);
    assert_int_equal(s->judged.status, JUDGE_PROVISIONAL);
    assert_int_equal(s->band, 1);
}

static enum err answer(struct store *st, void *arg)
{
    const struct sent *s = arg;
    struct hand_in h = {
        .pupil = {s->pupil}, .challenge = {SLIDE}, .version = {61}, .channel = "web",
        .received_at = NOW, .done_day = TODAY, .attempt_count = 1, .answer_count = 3,
        .answers = {{81, s->values[0]}, {82, 93}, {83, 94}},
    };
    enum hand_in_outcome how;
    memset(h.id.b, s->id, sizeof h.id.b);
    memset(h.content_hash, s->id, sizeof h.content_hash);
    h.attempts[0].value = 5;
    hand_in_settle(&h, false);
    return hand_in_store(st, &h, &how);
}

static void the_last_answer_to_a_question_counts(void **state)
{
    struct fixture *f = *state;
    struct results r;
    struct sent first = {.id = 3, .pupil = BEN, .values = {92}};
    struct sent second = {.id = 4, .pupil = BEN, .values = {91}};
    assert_int_equal(store_tx(f->st, "test", answer, &first), OK);
    const struct results_row *row = load(f, BEN, &r);
    assert_int_equal(row->right_of_answered.k, 2);
    assert_int_equal(row->right_of_answered.of, 3);
    assert_int_equal(store_tx(f->st, "test", answer, &second), OK);
    row = load(f, BEN, &r);
    assert_int_equal(row->right_of_answered.k, 3);
    assert_int_equal(row->right_of_answered.of, 3);
    assert_int_equal(row->suggestion.judged.strand[STRAND_THINKING], 3);
}

static void many_at_once_needs_something_seen_and_fairly_sure(void **state)
{
    struct fixture *f = *state;
    struct results r;
    const char *no;
    assert_false(results_bulk_ok(load(f, CAT, &r), &no));
    assert_string_equal(no, "no_suggestion");
    send(f, usual);
    assert_false(results_bulk_ok(load(f, AMI, &r), &no));
    assert_string_equal(no, "nothing_seen");
    fixture_sql(f, SAID " (21, 31, 71, 0, 20522, 1, 1)");
    assert_false(results_bulk_ok(load(f, AMI, &r), &no));
    assert_string_equal(no, "nothing_seen");        /* looked for, not seen */
    fixture_sql(f, SAID " (21, 31, 72, 1, 20522, 1, 1)");
    assert_false(results_bulk_ok(load(f, AMI, &r), &no));
    assert_string_equal(no, "not_sure");            /* leaning */
    struct sent again = usual;
    again.id = 2;
    for (int i = 0; i < 3; i++) {
        again.values[i] = 8;
        memcpy(again.throws[i], (const int[]){2, 2, 2, 2}, sizeof again.throws[i]);
    }
    send(f, again);
    fixture_sql(f, "UPDATE unit SET statistic = 'mean' WHERE id = 31");
    assert_int_equal(load(f, AMI, &r)->suggestion.answer.label, BAND_FAIRLY);
    assert_true(results_bulk_ok(load(f, AMI, &r), &no));
    assert_null(no);
}

static enum err decide(struct store *st, void *arg)
{
    return assessment_add(st, arg);
}

static enum err share(struct store *st, void *arg)
{
    return assessment_share(st, (struct unit_id){UNIT}, (struct pupil_id){AMI}, NOW + 5, arg);
}

static void the_last_decision_holds_and_families_see_what_is_shared(void **state)
{
    struct fixture *f = *state;
    struct assessment a = {.unit = {UNIT}, .pupil = {AMI}, .band = 2, .by = {1}, .at = NOW,
                           .suggested_band = 1, .suggested_label = "leaning",
                           .suggestion = "{\"band\":1}", .reason = "seen_in_lessons"};
    struct assessment got;
    struct assessment_list list;
    bool changed;
    assert_int_equal(assessment_get(f->st, f->mem, a.unit, a.pupil, &got), ERR_NOT_FOUND);
    assert_int_equal(store_tx(f->st, "test", decide, &a), OK);
    assert_int_equal(store_tx(f->st, "test", share, &changed), OK);
    assert_true(changed);
    assert_int_equal(store_tx(f->st, "test", share, &changed), OK);
    assert_false(changed);
    assert_int_equal(assessment_get(f->st, f->mem, a.unit, a.pupil, &got), OK);
    assert_string_equal(got.word, "met");
    assert_string_equal(got.suggested_label, "leaning");
    assert_string_equal(got.reason, "seen_in_lessons");
    assert_int_equal(got.shared_at, NOW + 5);
    a.band = 3;
    assert_int_equal(store_tx(f->st, "test", decide, &a), OK);
    assert_int_equal(assessments_of_pupil(f->st, f->mem, a.pupil, true, &list), OK);
    assert_int_equal(list.n, 0);            /* the newer one is not shared yet */
    assert_int_equal(assessments_of_pupil(f->st, f->mem, a.pupil, false, &list), OK);
    assert_int_equal(list.n, 1);
    assert_int_equal(list.v[0].band, 3);
    assert_int_equal(assessments_ever_of_pupil(f->st, f->mem, a.pupil, &list), OK);
    assert_int_equal(list.n, 2);
    a.band = 6;
    assert_int_equal(store_tx(f->st, "test", decide, &a), ERR_CONFLICT);
}

static enum err look(struct store *st, void *arg)
{
    return seen_add(st, arg);
}

static void only_cues_of_the_unit_are_seen_in_it(void **state)
{
    struct fixture *f = *state;
    struct seen_row row = {.pupil = {AMI}, .unit = {UNIT}, .cue = 71, .seen = true,
                           .on_day = TODAY, .by = {1}};
    struct seen_list list;
    assert_int_equal(store_tx(f->st, "test", look, &row), OK);
    row.unit.v = 32;
    assert_int_equal(store_tx(f->st, "test", look, &row), ERR_NOT_FOUND);
    row.unit.v = UNIT;
    row.cue = 999;
    assert_int_equal(store_tx(f->st, "test", look, &row), ERR_NOT_FOUND);
    assert_int_equal(seen_of_pupil(f->st, f->mem, row.pupil, &list), OK);
    assert_int_equal(list.n, 1);
    assert_string_equal(list.v[0].cue_text, "Eyes");
}

static void a_pupil_is_assessed_through_the_class_that_has_the_unit(void **state)
{
    struct fixture *f = *state;
    struct class_id cls;
    assert_int_equal(results_class_of(f->st, (struct unit_id){UNIT}, (struct pupil_id){AMI}, TODAY,
                                      &cls), OK);
    assert_int_equal(cls.v, CLASS);
    fixture_sql(f, "DELETE FROM challenge_class; INSERT INTO challenge_class (class_id, challenge_id)"
                   " VALUES (12, 101)");
    assert_int_equal(results_class_of(f->st, (struct unit_id){UNIT}, (struct pupil_id){AMI}, TODAY,
                                      &cls), OK);
    assert_int_equal(cls.v, 12);
    assert_int_equal(results_class_of(f->st, (struct unit_id){UNIT}, (struct pupil_id){999}, TODAY,
                                      &cls), OK);
    assert_int_equal(cls.v, 0);
}

#define test(t) cmocka_unit_test_setup_teardown(t, open_school, fixture_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        test(middle_of_three_with_throws_known),
        test(the_units_statistic_is_used),
        test(hand_ins_are_pooled_or_the_latest_counts),
        test(what_waits_or_is_set_aside_counts_for_nothing),
        test(a_version_without_lines_is_silent),
        test(an_own_target_makes_no_band),
        test(lines_of_one_distance_say_nothing_about_another),
        test(several_activities_and_strands),
        test(the_last_answer_to_a_question_counts),
        test(many_at_once_needs_something_seen_and_fairly_sure),
        test(the_last_decision_holds_and_families_see_what_is_shared),
        test(only_cues_of_the_unit_are_seen_in_it),
        test(a_pupil_is_assessed_through_the_class_that_has_the_unit),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
