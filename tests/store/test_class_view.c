/* SPDX-License-Identifier: MIT
 * A class as a whole, and estimates for another distance, from stored hand-ins. All rows are
 * invented. Expected: the ratings of six by four that Shrout and Fleiss printed in 1979
 * (Psychological Bulletin 86:420-428; ICC(3,1) .71, ICC(3,k) .91) in the form of hits, repeated so
 * that ten children are there; the rest is worked by hand beside the check. */
#include "store/class_view.h"

#include <math.h>
#include <string.h>

#include "base/mem.h"
#include "fixture.h"
#include "store/estimate.h"
#include "t.h"

/* 2026-03-10 is day 20522 since 1970-01-01. */
enum { TODAY = 20522, NOW = 1773136800, CLASS = 11, UNIT = 31, AMI = 100 };
enum { HITS = 51, SLIDE = 52, THROWS = 4 };

static const char world[] =
    "INSERT INTO band_word (band, word) VALUES (0, 'working towards'), (1, 'met'), (2, 'beyond');"
    "INSERT INTO class (id, name, name_key, kind, created_at) VALUES"
    " (11, '3 Alder', '3 alder', 'class', 1);"
    "WITH RECURSIVE n(i) AS (SELECT 0 UNION ALL SELECT i + 1 FROM n WHERE i < 11)"
    " INSERT INTO pupil (id, display_name, name_key, picture, created_at)"
    " SELECT 100 + i, 'P' || i, 'p' || i, 1, 1 FROM n;"
    "INSERT INTO membership (pupil_id, class_id, from_day) SELECT id, 11, 20000 FROM pupil;"
    "INSERT INTO unit (id, name, statistic, created_at) VALUES (31, 'Aiming', 'mean', 1);"
    "INSERT INTO activity (id, created_at) VALUES (41, 1), (42, 1);"
    "INSERT INTO revision (id, activity_id, number, name, strand, kind, unit, attempts, throws,"
    " reference_mm, summary, set_up, scoring, created_at) VALUES"
    " (51, 41, 1, 'Hits', 'target', 'successes', 'count', 3, 12, NULL, '', '', '', 1),"
    " (52, 42, 1, 'Slide', 'target', 'zones', 'points', 3, 4, 4000, '', '', '', 1);"
    "INSERT INTO distance (revision_id, distance_mm) VALUES (52, 2000), (52, 2500), (52, 3000),"
    " (52, 3500), (52, 4000);"
    "INSERT INTO zone (revision_id, position, name, points, x1_mm, x2_mm, y1_mm, y2_mm) VALUES"
    " (52, 1, 'mid', 5, -250, 250, -250, 250), (52, 2, 'edge', 2, -500, 500, -500, 500),"
    " (52, 3, 'miss', 0, NULL, NULL, NULL, NULL);"
    "INSERT INTO target (id, revision_id, position, name, size_mm) VALUES (95, 52, 1, 'mat', 1000),"
    " (96, 52, 2, 'rug', NULL);"
    "INSERT INTO version (id, revision_id, kind, how) VALUES (61, 51, 'standard', ''),"
    " (62, 52, 'standard', '');"
    "INSERT INTO band_line (version_id, band, value) VALUES (61, 1, 4), (61, 2, 8), (62, 1, 7),"
    " (62, 2, 12);"
    "INSERT INTO challenge (id, revision_id, unit_id, number, opens_at, due_at, closes_at,"
    " created_at) SELECT 50 + id, id, 31, id - 40, 1772323200, 1773532800, 1774396800, 1"
    " FROM revision;"
    "INSERT INTO challenge_class (class_id, challenge_id) SELECT 11, id FROM challenge;";

static unsigned char serial;

static int open_school(void **state)
{
    serial = 0;
    return fixture_setup(state, world);
}

struct sent {
    int64_t pupil, revision, target;
    int32_t day, distance_mm;
    int n, values[5];
    bool thrown;
    int throws[THROWS];         /* of each value */
};

static enum err put(struct store *st, void *arg)
{
    const struct sent *s = arg;
    struct hand_in h = {
        .pupil = {s->pupil}, .challenge = {s->revision + 50}, .version = {s->revision + 10},
        .channel = "web", .received_at = NOW, .done_day = s->day, .target = s->target,
        .attempt_count = (size_t)s->n,
    };
    enum hand_in_outcome how;
    serial++;
    memset(h.id.b, serial, sizeof h.id.b);
    memset(h.content_hash, serial, sizeof h.content_hash);
    for (int i = 0; i < s->n; i++) {
        h.attempts[i].value = s->values[i];
        h.attempts[i].distance_mm = s->distance_mm;
        h.attempts[i].throw_count = s->thrown ? THROWS : 0;
        for (int k = 0; s->thrown && k < THROWS; k++) {
            h.attempts[i].throws[k] = (uint8_t)s->throws[k];
        }
    }
    hand_in_settle(&h, false);
    return hand_in_store(st, &h, &how);
}

static void send(struct fixture *f, struct sent s)
{
    assert_int_equal(store_tx(f->st, "test", put, &s), OK);
}

static void hits(struct fixture *f, int i, int32_t day, const int v[3])
{
    send(f, (struct sent){.pupil = AMI + i, .revision = HITS, .day = day, .n = 3,
                          .values = {v[0], v[1], v[2]}});
}

static struct class_view look(struct fixture *f)
{
    const struct results_ask ask = {.of = {{UNIT}, {CLASS}, TODAY}, .now = NOW,
                                    .activity = {HITS - 10}};
    struct results *r = mem_new(f->mem, struct results);
    struct hand_in_list year;
    const struct activity *a;
    struct class_view v;
    const struct hand_in_scope scope = {.cls = {CLASS}, .activity = {HITS - 10}, .today = TODAY};
    assert_int_equal(results_load(f->st, f->mem, &ask, r), OK);
    assert_int_equal(hand_ins_of_class_activity(f->st, f->mem, &scope, &year), OK);
    assert_int_equal(activity_load(f->st, (struct revision_id){HITS}, &a), OK);
    const struct class_view_ask q = {r, &year, a, {HITS + 50}, NULL};
    assert_int_equal(class_view_of(f->st, f->mem, &q, &v), OK);
    return v;
}

/* Three of the four judges' columns; columns 1, 3, 4 of the printed table. */
static const int rated[6][3] = {{9, 5, 8}, {6, 3, 2}, {8, 6, 8}, {7, 2, 6}, {10, 6, 9}, {6, 4, 7}};

static void few_children_say_nothing(void **state)
{
    struct fixture *f = *state;
    struct class_view v = look(f);
    assert_int_equal(v.tells, TELLS_FEW);
    assert_int_equal(v.set, 12);
    assert_int_equal(v.made, 0);
    assert_false(v.has_five || v.has_icc || v.has_error);
    for (int i = 0; i < 6; i++) {
        hits(f, i, TODAY, rated[i]);
    }
    v = look(f);
    assert_int_equal(v.tells, TELLS_FEW);
    assert_int_equal(v.made, 6);
    assert_int_equal(v.n, 6);
    assert_false(v.has_icc);
    /* means 22/3 11/3 22/3 5 25/3 17/3, sorted 3.67 5 5.67 7.33 7.33 8.33; type 7: (n-1)/4 = 1.25 */
    assert_true(v.has_five);
    near_to(v.five.min, 11.0 / 3, 1e-12);
    near_to(v.five.q1, 5 + 0.25 * 2 / 3, 1e-12);
    near_to(v.five.median, (17.0 / 3 + 22.0 / 3) / 2, 1e-12);
    near_to(v.five.max, 25.0 / 3, 1e-12);
}

static void twelve_on_one_day(void **state)
{
    struct fixture *f = *state;
    double x[36];
    struct icc_balanced b;
    for (int i = 0; i < 12; i++) {
        hits(f, i, TODAY, rated[i % 6]);
        for (int k = 0; k < 3; k++) {
            x[3 * i + k] = rated[i % 6][k];
        }
    }
    struct class_view v = look(f);
    assert_true(group_icc_balanced(x, 12, 3, &b));      /* held to 1979 by test_group and file 18 */
    assert_int_equal(v.pupils, 12);
    assert_false(v.between);
    near_to(v.icc_one, b.icc3, 1e-12);
    near_to(v.icc_together, b.icc3k, 1e-12);
    near_to(v.typical_error, b.typical_error, 1e-12);
    near_to(group_icc_together(b.icc3, 3), b.icc3k, 1e-12);
    assert_true(v.lower < v.icc_together && v.icc_together < v.upper);
    assert_int_equal(v.tells, TELLS_DEPENDABLY);
    /* lines 4 and 8: a band is 4 wide */
    assert_true(v.has_width);
    near_to(v.widths, b.typical_error / 4, 1e-12);
    assert_true(v.has_sure && v.how_sure > 0 && v.how_sure < 1);
}

static void children_who_are_alike(void **state)
{
    struct fixture *f = *state;
    /* 6, 7 and 5 in turn: no child differs, and a try differs by little of a band */
    static const int turn[3][3] = {{6, 7, 5}, {7, 5, 6}, {5, 6, 7}};
    for (int i = 0; i < 12; i++) {
        hits(f, i, TODAY, turn[i % 3]);
    }
    struct class_view v = look(f);
    assert_true(v.icc_together <= 0);
    assert_true(v.widths <= 0.5);
    assert_int_equal(v.tells, TELLS_ALIKE);
}

static void noise_is_no_difference(void **state)
{
    struct fixture *f = *state;
    static const int turn[3][3] = {{1, 12, 6}, {12, 6, 1}, {6, 1, 12}};
    for (int i = 0; i < 12; i++) {
        hits(f, i, TODAY, turn[i % 3]);
    }
    assert_int_equal(look(f).tells, TELLS_NOT);
}

static void all_equal_cannot_be_judged(void **state)
{
    struct fixture *f = *state;
    for (int i = 0; i < 12; i++) {
        hits(f, i, TODAY, (const int[]){6, 6, 6});
    }
    assert_int_equal(look(f).tells, TELLS_NOTHING);
}

static void two_days_are_better_than_one(void **state)
{
    struct fixture *f = *state;
    /* Means 2..11 on the first day; on the second those of the other end: nothing of it lasts. */
    for (int i = 0; i < 10; i++) {
        hits(f, i, TODAY - 7, (const int[]){2 + i, 2 + i, 2 + i});
        hits(f, i, TODAY, (const int[]){11 - i, 11 - i, 11 - i});
    }
    struct class_view v = look(f);
    assert_true(v.between);
    assert_int_equal(v.pupils, 10);
    assert_int_equal(v.tells, TELLS_NOT);       /* one day alike within, the two days are not */
    near_to(v.widths, 0, 1e-12);
    near_to(v.judged_widths, sqrt(2 * (81 + 49 + 25 + 9 + 1) / 20.0) / 4, 1e-9);
    assert_true(v.icc_one < 0);         /* one way: MSB is 0, so -1 for two each */
    near_to(v.icc_one, -1, 1e-12);
}

static void one_way_limits(void **state)
{
    (void)state;
    /* The 1979 ratings one way: ICC(1) .17, MSB 11.24, MSW 6.26 of 6 by 4; F(5, 18) = 1.795.
     * Limits by R's qf: F.975(5,18) = 3.3820, F.975(18,5) = 6.3619 (from tables of F). */
    const struct icc_unbalanced u = {.k0 = 4, .msb = 11.2416667, .msw = 6.2638889, .df = 18,
                                     .icc1 = .16574, .judged = true};
    double lower, upper, f0 = u.msb / u.msw;
    group_icc1_limits(&u, 6, &lower, &upper);
    near_to(lower, (f0 / 3.3820 - 1) / (f0 / 3.3820 + 3), 1e-4);
    near_to(upper, (f0 * 6.3619 - 1) / (f0 * 6.3619 + 3), 1e-3);
}

/* Estimates ------------------------------------------------------------------------------------ */

static struct estimate guess(struct fixture *f)
{
    struct hand_in_list own;
    const struct activity *a;
    struct estimate e;
    assert_int_equal(hand_ins_of_pupil_unit(f->st, f->mem, (struct pupil_id){AMI},
                                            (struct unit_id){UNIT}, &own), OK);
    assert_int_equal(activity_load(f->st, (struct revision_id){SLIDE}, &a), OK);
    const struct estimate_ask q = {&own, a, BAND_MIDDLE};
    assert_int_equal(estimate_of(f->st, f->mem, &q, &e), OK);
    return e;
}

static void slide(struct fixture *f, int32_t mm, int64_t target, int n)
{
    send(f, (struct sent){.pupil = AMI, .revision = SLIDE, .day = TODAY, .distance_mm = mm,
                          .target = target, .n = n, .values = {12, 12, 12}, .thrown = true,
                          .throws = {5, 2, 5, 0}});
}

static void an_estimate_is_labelled_and_capped(void **state)
{
    struct fixture *f = *state;
    assert_int_equal(guess(f).why, ESTIMATE_NOT_MEANT);     /* nothing in */
    slide(f, 2500, 95, 1);
    assert_int_equal(guess(f).why, ESTIMATE_FEW);           /* four throws */
    slide(f, 3000, 95, 3);
    struct estimate e = guess(f);
    assert_int_equal(e.why, ESTIMATE_TOLD);
    assert_int_equal(e.distance_mm, 4000);
    assert_int_equal(e.from_low_mm, 2500);
    assert_int_equal(e.from_high_mm, 3000);
    assert_true(e.lo <= e.mean && e.mean <= e.hi && e.lo >= 0 && e.hi <= 20);
    assert_true(e.mean < 12);                               /* farther is harder */
    assert_true(e.label <= BAND_FAIRLY);
    /* from the reference itself: those tries speak */
    slide(f, 4000, 95, 1);
    assert_int_equal(guess(f).why, ESTIMATE_NOT_MEANT);
}

static void no_size_no_estimate(void **state)
{
    struct fixture *f = *state;
    slide(f, 3000, 96, 3);
    assert_int_equal(guess(f).why, ESTIMATE_NO_SIZE);
}

static void too_far_says_where_from(void **state)
{
    struct fixture *f = *state;
    slide(f, 2000, 95, 3);                                  /* 4 m is twice that */
    struct estimate e = guess(f);
    assert_int_equal(e.why, ESTIMATE_FAR);
    assert_int_equal(e.near_mm, 2500);
    assert_int_equal(e.far_mm, 4000);
    assert_string_equal(estimate_why_word(e.why), "too_far");
}

#define IN_SCHOOL(t) cmocka_unit_test_setup_teardown(t, open_school, fixture_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        IN_SCHOOL(few_children_say_nothing), IN_SCHOOL(twelve_on_one_day),
        IN_SCHOOL(children_who_are_alike), IN_SCHOOL(noise_is_no_difference),
        IN_SCHOOL(all_equal_cannot_be_judged), IN_SCHOOL(two_days_are_better_than_one),
        cmocka_unit_test(one_way_limits), IN_SCHOOL(an_estimate_is_labelled_and_capped),
        IN_SCHOOL(no_size_no_estimate), IN_SCHOOL(too_far_says_where_from),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
