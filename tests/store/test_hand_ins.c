/* SPDX-License-Identifier: MIT
 * Hand-ins and the grid on a real database. All rows are invented. The states of a
 * hand-in and of a cell of the grid are our own rule (include/store/grid.h). */
#include <string.h>

#include "base/clock.h"
#include "base/mem.h"
#include "fixture.h"
#include "store/bests.h"
#include "store/grid.h"
#include "store/hand_in_marks.h"
#include "store/challenge_changes.h"
#include "store/hand_ins.h"
#include "t.h"

/* 2026-03-10 is day 20522 since 1970-01-01 (date -u -d 2026-03-10 +%s / 86400). */
enum { TODAY = 20522, CLASS = 11, OTHER_CLASS = 12, ANOUK = 21, BAZ = 22, CEDAR = 23 };

static const char world[] =
    "INSERT INTO class (id, name, name_key, kind, created_at) VALUES"
    " (11, '3 Alder', '3 alder', 'class', 1), (12, '4 Birch', '4 birch', 'class', 1);"
    "INSERT INTO pupil (id, display_name, name_key, picture, created_at) VALUES"
    " (21, 'Baz', 'baz', 1, 1), (22, 'Anouk', 'anouk', 2, 1), (23, 'Cedar', 'cedar', 3, 1);"
    "INSERT INTO membership (pupil_id, class_id, from_day, to_day) VALUES"
    " (21, 11, 20000, NULL), (22, 11, 20000, NULL), (23, 11, 20000, 20500), (23, 12, 20501, NULL);"
    "INSERT INTO unit (id, name, created_at) VALUES (31, 'Aiming', 1);"
    "INSERT INTO activity (id, created_at) VALUES (41, 1), (42, 1);"
    "INSERT INTO revision (id, activity_id, number, name, strand, kind, unit, attempts, throws,"
    " lower_is_better, summary, set_up, scoring, created_at) VALUES"
    " (51, 41, 1, 'Mat slide', 'target', 'zones', 'points', 3, 4, 0, '', '', '', 1),"
    " (52, 42, 1, 'Shuttle', 'travelling', 'measure', 'ms', 3, NULL, 1, '', '', '', 1);"
    "INSERT INTO zone (revision_id, position, name, points) VALUES (51, 1, 'mid', 5),"
    " (51, 2, 'edge', 2), (51, 3, 'miss', 0);"
    "INSERT INTO version (id, revision_id, kind, how) VALUES (61, 51, 'standard', ''),"
    " (62, 51, 'seated', ''), (63, 52, 'standard', '');"
    "INSERT INTO cue (id, revision_id, position, text) VALUES (71, 51, 1, 'Eyes'), (72, 51, 2, 'Soft');"
    "INSERT INTO question (id, revision_id, position, text) VALUES (81, 51, 1, 'Why?');"
    "INSERT INTO choice (id, question_id, position, text, is_right) VALUES (91, 81, 1, 'So', 1);"
    "INSERT INTO target (id, revision_id, position, name) VALUES (95, 51, 1, 'mat');"
    "INSERT INTO kit (id, revision_id, position, item, swap) VALUES (96, 51, 1, 'bags', '');"
    /* 2026-03-01 .. 2026-03-15, closes 2026-03-25 */
    "INSERT INTO challenge (id, revision_id, unit_id, number, opens_at, due_at, closes_at, created_at)"
    " VALUES (101, 51, 31, 12, 1772323200, 1773532800, 1774396800, 1),"
    " (102, 52, 31, 13, 1772323200, 1773619200, 1774396800, 1);"
    "INSERT INTO challenge_class (class_id, challenge_id) VALUES (11, 101), (11, 102), (12, 101);";

static int open_school(void **state)
{
    return fixture_setup(state, world);
}

static struct hand_in make(unsigned char id, int64_t pupil, int64_t challenge, int64_t value)
{
    struct hand_in h = {.pupil = {pupil},
                        .challenge = {challenge},
                        .version = {challenge == 101 ? 61 : 63},
                        .channel = "web",
                        .received_at = 1773136800,
                        .done_day = TODAY,
                        .attempt_count = 1};
    memset(h.id.b, id, sizeof h.id.b);
    memset(h.content_hash, id, sizeof h.content_hash);
    h.attempts[0].value = value;
    hand_in_settle(&h, challenge == 102);
    return h;
}

static enum err put(struct store *st, void *arg)
{
    enum hand_in_outcome outcome;
    return hand_in_store(st, arg, &outcome);
}

static void put_ok(struct fixture *f, struct hand_in *h)
{
    assert_int_equal(store_tx(f->st, "test", put, h), OK);
}

static void mark(struct fixture *f, const struct hand_in *h, const char *what, const char *reason)
{
    const struct hand_in_mark m = {.hand_in_seq = h->seq,
                                   .mark = what,
                                   .reason = reason,
                                   .by = {strcmp(what, "mistake") == 0 ? 0 : 1},
                                   .at = 1773136900};
    assert_int_equal(hand_in_mark_add(f->st, &m), OK);
}

static void comes_back_as_it_went_in(void **state)
{
    struct fixture *f = *state;
    struct hand_in h = make(1, ANOUK, 101, 9);
    h.attempt_count = 3;
    h.attempts[0] = (struct hand_in_attempt){
        .value = 9, .throw_count = 4, .throws = {5, 2, 0, 2}, .distance_mm = 3000, .tries_used = 4};
    h.attempts[1] = (struct hand_in_attempt){.value = 12, .distance_mm = 2000};
    h.attempts[2] = (struct hand_in_attempt){
        .value = 15, .throw_count = 3, .throws = {5, 5, 5}, .part = true, .tries_used = 3};
    h.could_not = "no_space";
    h.felt = "too_easy";
    h.target = 95;
    h.kit = 96;
    h.place = "school";
    h.counted_by = "helper";
    h.confirmed = true;
    h.cue_count = 2;
    h.cues[0] = 71;
    h.cues[1] = 72;
    h.answer_count = 1;
    h.answers[0] = (struct hand_in_answer){81, 91};
    hand_in_settle(&h, false);
    put_ok(f, &h);

    struct hand_in got;
    assert_int_equal(hand_in_get(f->st, h.id, &got), OK);
    assert_int_equal(got.seq, h.seq);
    assert_int_equal(got.pupil.v, ANOUK);
    assert_int_equal(got.attempt_count, 3);
    assert_memory_equal(got.attempts[0].throws, h.attempts[0].throws, 4);
    assert_int_equal(got.attempts[0].throw_count, 4);
    assert_int_equal(got.attempts[1].throw_count, 0);
    assert_int_equal(got.attempts[1].distance_mm, 2000);
    assert_true(got.attempts[2].part);
    assert_int_equal(got.best, 12);          /* 15 was made with fewer throws */
    assert_int_equal(got.best_distance_mm, 2000);
    assert_string_equal(got.could_not, "no_space");
    assert_string_equal(got.felt, "too_easy");
    assert_string_equal(got.place, "school");
    assert_string_equal(got.counted_by, "helper");
    assert_string_equal(got.version_kind, "standard");
    assert_int_equal(got.cues[1], 72);
    assert_int_equal(got.answers[0].choice, 91);
    assert_int_equal(got.activity.v, 41);
    assert_int_equal(got.unit.v, 31);
    assert_int_equal(got.state, HAND_IN_COUNTS);
    assert_memory_equal(got.content_hash, h.content_hash, HAND_IN_HASH);
}

static void one_id_is_one_hand_in(void **state)
{
    struct fixture *f = *state;
    struct hand_in h = make(1, ANOUK, 101, 9);
    enum hand_in_outcome outcome;
    put_ok(f, &h);
    struct hand_in again = make(1, ANOUK, 101, 9);
    assert_int_equal(hand_in_store(f->st, &again, &outcome), OK);
    assert_int_equal(outcome, HAND_IN_REPEAT);
    assert_int_equal(again.seq, h.seq);
    again.content_hash[0] ^= 1;
    assert_int_equal(hand_in_store(f->st, &again, &outcome), ERR_DIFFERENT);
    struct hand_in other = make(1, BAZ, 101, 9);
    assert_int_equal(hand_in_store(f->st, &other, &outcome), ERR_DIFFERENT);
    assert_int_equal(fixture_int(f, "SELECT count(*) FROM hand_in"), 1);
    assert_int_equal(fixture_int(f, "SELECT count(*) FROM attempt"), 1);
}

static void nothing_is_stored_by_half(void **state)
{
    struct fixture *f = *state;
    struct hand_in h = make(1, ANOUK, 101, 9);
    h.cue_count = 1;
    h.cues[0] = 999;        /* no such cue */
    assert_int_equal(store_tx(f->st, "test", put, &h), ERR_CONFLICT);
    assert_int_equal(fixture_int(f, "SELECT count(*) FROM hand_in"), 0);
    assert_int_equal(fixture_int(f, "SELECT count(*) FROM attempt"), 0);
}

static void best_of_whole_attempts(void **state)
{
    (void)state;
    struct hand_in h = {.attempt_count = 3};
    h.attempts[0] = (struct hand_in_attempt){.value = 8, .distance_mm = 2000};
    h.attempts[1] = (struct hand_in_attempt){.value = 8, .distance_mm = 4000};
    h.attempts[2] = (struct hand_in_attempt){.value = 6, .distance_mm = 3000};
    hand_in_settle(&h, false);
    assert_true(h.has_best);
    assert_int_equal(h.best, 8);
    assert_int_equal(h.best_distance_mm, 4000);     /* of equals the one from farther away */
    hand_in_settle(&h, true);
    assert_int_equal(h.best, 6);
    h.attempts[0].part = h.attempts[1].part = h.attempts[2].part = true;
    hand_in_settle(&h, false);
    assert_false(h.has_best);
}

static enum hand_in_state state_of(struct fixture *f, const struct hand_in *h)
{
    struct hand_in got;
    assert_int_equal(hand_in_by_seq(f->st, h->seq, &got), OK);
    return got.state;
}

static void the_last_mark_holds(void **state)
{
    struct fixture *f = *state;
    struct hand_in h = make(1, ANOUK, 101, 9);
    put_ok(f, &h);
    assert_int_equal(state_of(f, &h), HAND_IN_COUNTS);
    mark(f, &h, "mistake", NULL);
    assert_int_equal(state_of(f, &h), HAND_IN_TO_CHECK);
    mark(f, &h, "keep", NULL);
    assert_int_equal(state_of(f, &h), HAND_IN_COUNTS);
    mark(f, &h, "set_aside", "child_says");
    assert_int_equal(state_of(f, &h), HAND_IN_SET_ASIDE);
    mark(f, &h, "ask_again", NULL);
    assert_int_equal(state_of(f, &h), HAND_IN_SET_ASIDE);
    struct hand_in odd = make(2, ANOUK, 101, 20);
    odd.surprising = odd.confirmed = true;
    put_ok(f, &odd);
    assert_int_equal(state_of(f, &odd), HAND_IN_TO_CHECK);
    mark(f, &odd, "keep", NULL);
    assert_int_equal(state_of(f, &odd), HAND_IN_COUNTS);
    struct hand_in_mark_list list;
    assert_int_equal(hand_in_marks_of(f->st, f->mem, h.seq, &list), OK);
    assert_int_equal(list.n, 4);
    assert_null(list.v[0].by_name);
    assert_string_equal(list.v[2].reason, "child_says");
    assert_non_null(list.v[2].by_name);
    const struct hand_in_mark no_reason = {.hand_in_seq = h.seq, .mark = "set_aside", .by = {1}, .at = 1};
    assert_int_equal(hand_in_mark_add(f->st, &no_reason), ERR_CONFLICT);
}

static struct grid load(struct fixture *f, int64_t cls)
{
    struct grid g;
    const struct grid_ask ask = {.cls = {cls}, .today = TODAY};
    assert_int_equal(grid_load(f->st, f->mem, &ask, &g), OK);
    return g;
}

static enum grid_state cell(struct fixture *f, size_t row, size_t column)
{
    struct grid g = load(f, CLASS);
    return grid_cell_state(&g.cells[row * g.challenge_count + column]);
}

static void grid_states_in_their_order(void **state)
{
    struct fixture *f = *state;
    struct grid g = load(f, CLASS);
    assert_int_equal(g.pupil_count, 2);             /* Cedar has moved away */
    assert_string_equal(g.pupils[0].display_name, "Anouk");
    assert_int_equal(g.challenge_count, 2);
    assert_int_equal(g.challenges[0].id.v, 101);    /* due first */
    assert_int_equal(cell(f, 0, 0), GRID_NOT_YET);

    struct hand_in could = make(1, 22, 101, 0);
    could.attempt_count = 0;
    could.could_not = "no_kit";
    hand_in_settle(&could, false);
    put_ok(f, &could);
    assert_int_equal(cell(f, 0, 0), GRID_COULD_NOT);

    struct hand_in paper = make(2, 22, 101, 7);
    paper.channel = "paper";
    paper.entered_by.v = 1;
    put_ok(f, &paper);
    assert_int_equal(cell(f, 0, 0), GRID_ON_PAPER);

    struct hand_in late = make(3, 22, 101, 9);
    late.after_date = true;
    put_ok(f, &late);
    assert_int_equal(cell(f, 0, 0), GRID_HANDED_IN);    /* the paper one was in time */
    mark(f, &paper, "set_aside", "entered_twice");
    assert_int_equal(cell(f, 0, 0), GRID_AFTER_DATE);

    struct hand_in odd = make(4, 22, 101, 20);
    odd.surprising = true;
    put_ok(f, &odd);
    assert_int_equal(cell(f, 0, 0), GRID_TO_CHECK);
    g = load(f, CLASS);
    assert_int_equal(g.cells[0].best, 9);               /* what waits is no best */
    assert_int_equal(g.challenges[0].handed_in, 1);
    mark(f, &odd, "set_aside", "not_possible");
    assert_int_equal(cell(f, 0, 0), GRID_AFTER_DATE);
    assert_int_equal(load(f, OTHER_CLASS).pupil_count, 1);
    const struct grid_ask nowhere = {.cls = {99}, .today = TODAY};
    assert_int_equal(grid_load(f->st, f->mem, &nowhere, &g), ERR_NOT_FOUND);
}

static void grid_best_keeps_versions_apart(void **state)
{
    struct fixture *f = *state;
    struct hand_in seated = make(1, 22, 101, 17);
    seated.version.v = 62;
    put_ok(f, &seated);
    assert_int_equal(load(f, CLASS).cells[0].best, 17);
    struct hand_in standard = make(2, 22, 101, 9);
    put_ok(f, &standard);
    assert_int_equal(load(f, CLASS).cells[0].best, 9);
    struct hand_in more = make(3, 22, 101, 7);
    put_ok(f, &more);
    assert_int_equal(load(f, CLASS).cells[0].best, 9);
    struct hand_in slow = make(4, 22, 102, 9000), fast = make(5, 22, 102, 8500);
    put_ok(f, &fast);
    put_ok(f, &slow);
    assert_int_equal(load(f, CLASS).cells[1].best, 8500);   /* a time: lower is better */
}

static void grid_shows_what_is_open_or_lately_due(void **state)
{
    struct fixture *f = *state;
    struct grid g;
    struct grid_ask ask = {.cls = {CLASS}, .today = TODAY + 12 + 42};    /* closed; due 2026-03-15 */
    assert_int_equal(grid_load(f->st, f->mem, &ask, &g), OK);
    assert_int_equal(g.challenge_count, 0);
    ask.all = true;
    assert_int_equal(grid_load(f->st, f->mem, &ask, &g), OK);
    assert_int_equal(g.challenge_count, 2);
    ask.today = 20700;      /* 2026-09-04: another school year */
    assert_int_equal(grid_load(f->st, f->mem, &ask, &g), OK);
    assert_int_equal(g.challenge_count, 0);
}

static void lines_hold_what_can_be_compared(void **state)
{
    struct fixture *f = *state;
    struct hand_in a = make(1, 22, 101, 9), b = make(2, 22, 101, 12), c = make(3, 22, 101, 20),
                   d = make(4, 22, 101, 7), e = make(5, 22, 102, 9000);
    b.done_day = TODAY - 3;
    c.surprising = true;
    d.version.v = 62;
    struct hand_in *const all[] = {&a, &b, &c, &d, &e};
    for (size_t i = 0; i < T_COUNT(all); i++) {
        put_ok(f, all[i]);
    }
    struct hand_in_list list;
    struct best_lines lines;
    assert_int_equal(hand_ins_of_pupil(f->st, f->mem, a.pupil, TODAY - 30, &list), OK);
    assert_int_equal(list.n, 5);
    assert_int_equal(best_lines_of(f->st, f->mem, &list, &lines), OK);
    assert_int_equal(lines.n, 3);
    assert_string_equal(lines.v[0].activity->name, "Mat slide");
    assert_int_equal(lines.v[0].version->kind, VERSION_STANDARD);
    assert_int_equal(lines.v[0].n, 2);
    assert_int_equal(lines.v[0].hand_ins[0]->best, 12);     /* done earlier, sent later */
    assert_int_equal(lines.v[1].version->kind, VERSION_SEATED);
    assert_string_equal(lines.v[2].activity->name, "Shuttle");
    assert_int_equal(hand_ins_of_pupil(f->st, f->mem, a.pupil, TODAY, &list), OK);
    assert_int_equal(list.n, 4);
    const struct hand_in_scope scope = {.pupil = a.pupil, .activity = {42}, .from_day = TODAY - 30};
    assert_int_equal(hand_ins_of_pupil_activity(f->st, f->mem, &scope, &list), OK);
    assert_int_equal(list.n, 1);
}

static void class_lists_hold_the_class_of_today(void **state)
{
    struct fixture *f = *state;
    struct hand_in a = make(1, 22, 101, 9), b = make(2, 21, 101, 12), c = make(3, CEDAR, 101, 20);
    put_ok(f, &a);
    put_ok(f, &b);
    put_ok(f, &c);
    struct hand_in_scope scope = {.cls = {CLASS}, .challenge = {101}, .unit = {31}, .today = TODAY};
    struct hand_in_list list;
    assert_int_equal(hand_ins_of_class_challenge(f->st, f->mem, &scope, &list), OK);
    assert_int_equal(list.n, 2);
    assert_int_equal(list.v[0].pupil.v, 21);
    assert_int_equal(hand_ins_of_class_unit(f->st, f->mem, &scope, &list), OK);
    assert_int_equal(list.n, 2);
    scope.cls.v = OTHER_CLASS;
    assert_int_equal(hand_ins_of_class_unit(f->st, f->mem, &scope, &list), OK);
    assert_int_equal(list.n, 1);
    assert_int_equal(list.v[0].pupil.v, CEDAR);
}

static void may_send_by_membership(void **state)
{
    struct fixture *f = *state;
    struct challenge_spans spans;
    struct challenge_spans_ask ask = {.pupil = {CEDAR}, .challenge = {102}, .today = TODAY,
                                      .done_day = TODAY};   /* 102 is set to the old class alone */
    assert_int_equal(challenge_spans(f->mem, f->st, &ask, &spans), OK);
    assert_false(spans.mine);
    ask.done_day = 20500;                           /* the last day in it */
    assert_int_equal(challenge_spans(f->mem, f->st, &ask, &spans), OK);
    assert_true(spans.mine);
    ask.challenge.v = 101;
    ask.done_day = TODAY;
    assert_int_equal(challenge_spans(f->mem, f->st, &ask, &spans), OK);
    assert_true(spans.mine);
    int64_t n = 0;
    struct hand_in sent = make(2, ANOUK, 101, 9);
    put_ok(f, &sent);
    assert_int_equal(hand_ins_count_since(f->st, sent.pupil, sent.challenge, sent.received_at, &n), OK);
    assert_int_equal(n, 1);
    assert_int_equal(hand_ins_count_since(f->st, sent.pupil, sent.challenge, sent.received_at + 1, &n), OK);
    assert_int_equal(n, 0);
}

int main(void)
{
#define T(name) cmocka_unit_test_setup_teardown(name, open_school, fixture_teardown)
    const struct CMUnitTest tests[] = {
        T(comes_back_as_it_went_in),
        T(one_id_is_one_hand_in),
        T(nothing_is_stored_by_half),
        cmocka_unit_test(best_of_whole_attempts),
        T(the_last_mark_holds),
        T(grid_states_in_their_order),
        T(grid_best_keeps_versions_apart),
        T(grid_shows_what_is_open_or_lately_due),
        T(lines_hold_what_can_be_compared),
        T(class_lists_hold_the_class_of_today),
        T(may_send_by_membership),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
