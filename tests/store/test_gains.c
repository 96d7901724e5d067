/* SPDX-License-Identifier: MIT
 * Gains from stored hand-ins. All rows are invented; the numbers expected are those of
 * tests/data/vectors, files 03 (throws), 04 (totals), 06 (counts) and 07 (measures), whose inputs
 * are fed through the database, or are worked by hand beside the check. */
#include "store/gains.h"

#include <math.h>
#include <string.h>

#include "base/mem.h"
#include "fixture.h"
#include "t.h"

/* 2026-03-10 is day 20522 since 1970-01-01. */
enum { TODAY = 20522, NOW = 1773136800, CLASS = 11, AMI = 100 };
enum { ZONES = 41, HITS = 42, COUNT = 43, TIME = 44, FAR = 45,
       RINGS = 46 };
enum { THROWS = 4 };

static const char world[] =
    "INSERT INTO class (id, name, name_key, kind, created_at) VALUES"
    " (11, '3 Alder', '3 alder', 'class', 1);"
    "WITH RECURSIVE n(i) AS (SELECT 0 UNION ALL SELECT i + 1 FROM n WHERE i < 29)"
    " INSERT INTO pupil (id, display_name, name_key, picture, created_at)"
    " SELECT 100 + i, 'P' || i, 'p' || i, 1, 1 FROM n;"
    "INSERT INTO membership (pupil_id, class_id, from_day) SELECT id, 11, 20000 FROM pupil;"
    "INSERT INTO unit (id, name, created_at) VALUES (31, 'Aiming', 1);"
    "INSERT INTO activity (id, created_at) VALUES (41, 1), (42, 1), (43, 1), (44, 1), (45, 1),"
    " (46, 1);"
    "INSERT INTO revision (id, activity_id, number, name, strand, kind, unit, attempts, throws,"
    " cap, seconds, reference_mm, summary, set_up, scoring, created_at) VALUES"
    " (51, 41, 1, 'Slide', 'target', 'zones', 'points', 3, 4, NULL, NULL, NULL, '', '', '', 1),"
    " (52, 42, 1, 'Topple', 'target', 'successes', 'count', 3, 12, 6, NULL, NULL, '', '', '', 1),"
    " (53, 43, 1, 'Hops', 'travelling', 'timed_count', 'count', 3, NULL, NULL, 30, NULL, '', '',"
    " '', 1),"
    " (54, 44, 1, 'Balance', 'balance', 'measure', 'ms', 3, NULL, NULL, NULL, NULL, '', '', '', 1),"
    " (55, 45, 1, 'Far', 'target', 'zones', 'points', 3, 4, NULL, NULL, 3000, '', '', '', 1),"
    " (56, 41, 2, 'Slide', 'target', 'zones', 'points', 3, 6, NULL, NULL, NULL, '', '', '', 1),"
    " (57, 46, 1, 'Rings', 'target', 'zones', 'points', 3, 6, NULL, NULL, NULL, '', '', '', 1);"
    "INSERT INTO distance (revision_id, distance_mm) VALUES (55, 2000), (55, 3000), (55, 4000);"
    "INSERT INTO zone (revision_id, position, name, points) VALUES (51, 1, 'mid', 5),"
    " (51, 2, 'edge', 2), (51, 3, 'miss', 0), (56, 1, 'mid', 5), (56, 2, 'edge', 2),"
    " (56, 3, 'miss', 0), (57, 1, 'small', 4), (57, 2, 'middle', 2), (57, 3, 'large', 1),"
    " (57, 4, 'miss', 0);"
    "INSERT INTO zone (revision_id, position, name, points, x1_mm, x2_mm, y1_mm, y2_mm) VALUES"
    " (55, 1, 'mid', 5, -250, 250, -250, 250), (55, 2, 'edge', 2, -500, 500, -500, 500),"
    " (55, 3, 'miss', 0, NULL, NULL, NULL, NULL);"
    "INSERT INTO target (id, revision_id, position, name, size_mm) VALUES (95, 55, 1, 'mat', 1000),"
    " (96, 55, 2, 'rug', NULL);"
    "INSERT INTO version (id, revision_id, kind, how) VALUES (61, 51, 'standard', ''),"
    " (62, 52, 'standard', ''), (63, 53, 'standard', ''), (64, 54, 'standard', ''),"
    " (65, 55, 'standard', ''), (66, 56, 'standard', ''), (67, 57, 'standard', ''), (71, 51, 'seated', '');"
    "INSERT INTO challenge (id, revision_id, unit_id, number, opens_at, due_at, closes_at, created_at)"
    " SELECT 50 + id, id, 31, id - 40, 1756900800, 1773532800, 1774396800, 1 FROM revision;"
    "INSERT INTO challenge_class (class_id, challenge_id) SELECT 11, id FROM challenge;";

static unsigned char serial;

static int open_school(void **state)
{
    serial = 0;
    return fixture_setup(state, world);
}

/* revision 51 is challenge 101 and version 61, and so on. */
struct sent {
    int64_t pupil, revision, version, target;
    int32_t day, distance_mm;
    bool surprising;
    int n;                      /* attempts */
    int values[5];
    int throws[5][THROWS];      /* {-1}: only the value */
};

static enum err put(struct store *st, void *arg)
{
    const struct sent *s = arg;
    struct hand_in h = {
        .pupil = {s->pupil}, .challenge = {s->revision + 50}, .version = {s->version},
        .channel = "web", .received_at = NOW, .done_day = s->day, .surprising = s->surprising,
        .target = s->target, .attempt_count = (size_t)s->n,
    };
    enum hand_in_outcome how;
    serial++;
    memset(h.id.b, serial, sizeof h.id.b);
    h.id.b[0] = (uint8_t)(s->pupil % 251);
    memset(h.content_hash, serial, sizeof h.content_hash);
    for (int i = 0; i < s->n; i++) {
        struct hand_in_attempt *a = &h.attempts[i];
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

static void send(struct fixture *f, struct sent s)
{
    assert_int_equal(store_tx(f->st, "test", put, &s), OK);
}

/* Values only. */
static void send_values(struct fixture *f, int64_t pupil, int64_t revision, int32_t day,
                        const int values[3])
{
    struct sent s = {.pupil = pupil, .revision = revision, .version = revision + 10, .day = day,
                     .n = 3};
    for (int i = 0; i < 3; i++) {
        s.values[i] = values[i];
        s.throws[i][0] = -1;
    }
    send(f, s);
}

/* Counts of 0, 2 and 5 points, in attempts of four. */
static void send_counts(struct fixture *f, int64_t revision, int32_t day, const int counts[3])
{
    static const int points[] = {0, 2, 5};
    struct sent s = {.pupil = AMI, .revision = revision, .version = revision + 10, .day = day};
    int made = 0;
    for (int z = 0; z < 3; z++) {
        for (int i = 0; i < counts[z]; i++, made++) {
            s.throws[made / THROWS][made % THROWS] = points[z];
            s.values[made / THROWS] += points[z];
        }
    }
    s.n = made / THROWS;
    send(f, s);
}

static struct gain ask_as(struct fixture *f, int64_t activity, int32_t fresh, bool estimates)
{
    const struct activity *a;
    struct hand_in_list all, own;
    struct gains_class cls;
    struct gain g;
    struct hand_in_scope scope = {.cls = {CLASS}, .activity = {activity}, .today = TODAY,
                                  .pupil = {AMI}, .from_day = 20330};
    assert_int_equal(activity_load_current(f->st, (struct activity_id){activity}, &a), OK);
    assert_int_equal(hand_ins_of_class_activity(f->st, f->mem, &scope, &all), OK);
    assert_int_equal(hand_ins_of_pupil_activity(f->st, f->mem, &scope, &own), OK);
    const struct gains_class_ask of = {&all, a};
    assert_int_equal(gains_class_of(f->st, &of, &cls), OK);
    const struct gain_ask q = {&own, a, &cls, fresh, estimates};
    assert_int_equal(gain_of(f->st, f->mem, &q, &g), OK);
    return g;
}

static struct gain ask(struct fixture *f, int64_t activity, int32_t fresh)
{
    return ask_as(f, activity, fresh, true);
}

static void throws_known_are_exact(void **state)
{
    struct fixture *f = *state;
    /* 03-01 */
    send_counts(f, 51, TODAY - 7, (const int[]){5, 5, 2});
    send_counts(f, 51, TODAY, (const int[]){2, 5, 5});
    struct gain g = ask(f, ZONES, 0);
    assert_int_equal(g.why, GAIN_TOLD);
    assert_int_equal(g.category, GAIN_LIKELY);
    assert_int_equal(g.route, GAIN_BY_THROWS);
    near_to(g.p.largest, 0.0837129958478727, 1e-9);
    near_to(g.p.smallest, g.p.largest, 0);
    assert_int_equal(g.first_day, TODAY - 7);
    assert_int_equal(g.latest_day, TODAY);
    assert_false(g.crosses || g.estimate);
}

static void the_first_and_not_the_last_is_the_base(void **state)
{
    struct fixture *f = *state;
    /* 03-03: nothing in four, then four times five; a middling one between is not looked at */
    send_counts(f, 51, TODAY - 9, (const int[]){4, 0, 0});
    send_counts(f, 51, TODAY - 4, (const int[]){0, 4, 0});
    send_counts(f, 51, TODAY, (const int[]){0, 0, 4});
    struct gain g = ask(f, ZONES, 0);
    assert_int_equal(g.category, GAIN_CLEAR);
    near_to(g.p.largest, 0.0142857142857143, 1e-9);
    /* from a fresh start the middling one is the first: 1/C(8,4) that all fives are drawn now */
    g = ask(f, ZONES, TODAY - 4);
    assert_int_equal(g.category, GAIN_CLEAR);
    near_to(g.p.largest, 1.0 / 70, 1e-12);
    assert_int_equal(g.first_day, TODAY - 4);
    g = ask(f, ZONES, TODAY);
    assert_int_equal(g.why, GAIN_ONE_HAND_IN);
    assert_int_equal(g.category, GAIN_SILENT);
    g = ask(f, ZONES, TODAY + 1);
    assert_int_equal(g.why, GAIN_NO_HAND_IN);
}

static void small_evidence_is_silent(void **state)
{
    struct fixture *f = *state;
    /* All 4 + 4 throws earn 5: the best possible is certain, so nothing could convince. */
    send_counts(f, 51, TODAY - 7, (const int[]){0, 0, 4});
    send_counts(f, 51, TODAY, (const int[]){0, 0, 4});
    struct gain g = ask(f, ZONES, 0);
    assert_int_equal(g.why, GAIN_TOO_FEW);
    assert_int_equal(g.category, GAIN_SILENT);
}

static void totals_are_judged_by_the_largest(void **state)
{
    struct fixture *f = *state;
    /* 04-01: between .0000125 (clear) and .101 (higher, within the usual ups and downs) */
    send_values(f, AMI, 57, TODAY - 7, (const int[]){6, 8, 7});
    send_values(f, AMI, 57, TODAY, (const int[]){11, 13, 12});
    struct gain g = ask(f, RINGS, 0);
    assert_int_equal(g.category, GAIN_UP_LUCK);
    assert_true(g.crosses);
    near_to(g.p.smallest, 1.25172789434886e-05, 1e-12);
    near_to(g.p.largest, 0.101426415097084, 1e-9);
}

static void totals_of_hits_under_a_cap(void **state)
{
    struct fixture *f = *state;
    /* 04-05: 3 and 4 of 12, then the cap of 6 twice, tries used not said */
    struct sent s = {.pupil = AMI, .revision = 52, .version = 62, .day = TODAY - 7, .n = 2,
                     .values = {3, 4}, .throws = {{-1}, {-1}}};
    send(f, s);
    s.day = TODAY;
    s.values[0] = s.values[1] = 6;
    send(f, s);
    struct gain g = ask(f, HITS, 0);
    near_to(g.p.smallest, 8.15432683259526e-08, 1e-14);
    near_to(g.p.largest, 0.118761949705648, 1e-9);
    assert_int_equal(g.category, GAIN_UP_LUCK);     /* over .10, higher */
    assert_true(g.crosses);
}

static void counts_without_a_class(void **state)
{
    struct fixture *f = *state;
    /* 06-03: 60 in 90 s, then 75 in 90 s */
    send_values(f, AMI, 53, TODAY - 7, (const int[]){20, 20, 20});
    send_values(f, AMI, 53, TODAY, (const int[]){25, 25, 25});
    struct gain g = ask(f, COUNT, 0);
    assert_int_equal(g.route, GAIN_BY_COUNTS);
    assert_int_equal(g.category, GAIN_UP_LUCK);
    near_to(g.p.largest, 0.114051739033006, 1e-9);
}

static void counts_too_small_to_tell(void **state)
{
    struct fixture *f = *state;
    /* 1 then 2 in equal times: even 3 of 3 now has the chance 1/8 */
    send_values(f, AMI, 53, TODAY - 7, (const int[]){0, 1, 0});
    send_values(f, AMI, 53, TODAY, (const int[]){1, 1, 0});
    struct gain g = ask(f, COUNT, 0);
    assert_int_equal(g.why, GAIN_TOO_FEW);
}

/* exp of the log scale, in whole milliseconds around a minute. */
static void send_measure(struct fixture *f, int64_t pupil, int32_t day, double mean, double off)
{
    const int v[3] = {(int)lround(1000 * exp(mean - off)), (int)lround(1000 * exp(mean)),
                      (int)lround(1000 * exp(mean + off))};
    send_values(f, pupil, 54, day, v);
}

static void measures_need_the_class(void **state)
{
    struct fixture *f = *state;
    /* Every hand-in is m - h, m, m + h on the logarithm: its variance is h^2, so s_w = h = .06. */
    send_measure(f, AMI, TODAY - 7, 4.0, 0.06);
    send_measure(f, AMI, TODAY, 4.11, 0.06);
    struct gain g = ask(f, TIME, 0);
    assert_int_equal(g.why, GAIN_NO_SPREAD);        /* 4 degrees of freedom */
    for (int i = 1; i <= 23; i++) {
        send_measure(f, AMI + i, TODAY, 3.5 + 0.02 * i, 0.06);
    }
    /* 07-01: 25 hand-ins give 50 degrees of freedom, rho is .5, so s_day is .03 */
    g = ask(f, TIME, 0);
    assert_int_equal(g.route, GAIN_BY_SPREAD);
    assert_int_equal(g.category, GAIN_LIKELY);
    near_to(g.p.largest, 0.047925023059338, 2e-4);  /* milliseconds are rounded */
}

static void counts_with_a_class_go_by_its_spread(void **state)
{
    struct fixture *f = *state;
    /* Roots 4, 5, 6 everywhere: s_w = 1; 15 pupils' hand-ins and two more give nu = 32. */
    for (int i = 1; i <= 14; i++) {
        send_values(f, AMI + i, 53, TODAY, (const int[]){16, 25, 36});
    }
    send_values(f, AMI, 53, TODAY - 7, (const int[]){16, 25, 36});
    send_values(f, AMI, 53, TODAY, (const int[]){49, 64, 81});
    /* means of roots 5 and 8; t = 3 / sqrt(2/3 + 2 * .25) = 2.7775; P(T_32 > t) = .0045426, by Simpson's rule */
    struct gain g = ask(f, COUNT, 0);
    assert_int_equal(g.route, GAIN_BY_SPREAD);
    assert_int_equal(g.category, GAIN_CLEAR);
    near_to(g.p.largest, 0.00454257190600712, 1e-6);
}

static void measured_change_costs_degrees_of_freedom(void **state)
{
    struct fixture *f = *state;
    struct gains_class cls;
    struct hand_in_list all;
    const struct activity *a;
    for (int i = 0; i < 13; i++) {
        send_measure(f, AMI + i, TODAY - 7, 4.0, 0.06);
        send_measure(f, AMI + i, TODAY, 4.0 + 0.05 * (i % 2), 0.06);
    }
    struct hand_in_scope scope = {.cls = {CLASS}, .activity = {TIME}, .today = TODAY};
    assert_int_equal(hand_ins_of_class_activity(f->st, f->mem, &scope, &all), OK);
    assert_int_equal(activity_load_current(f->st, (struct activity_id){TIME}, &a), OK);
    const struct gains_class_ask of = {&all, a};
    assert_int_equal(gains_class_of(f->st, &of, &cls), OK);
    near_to(cls.of[VERSION_STANDARD].nu, 52, 0);
    near_to(cls.of[VERSION_STANDARD].nu_change, 12, 0);
    near_to(cls.of[VERSION_STANDARD].rho, 0.3, 1e-9);   /* changes smaller than luck: the least */
    near_to(cls.of[VERSION_STANDARD].s_w, 0.06, 1e-5);
    assert_int_equal(ask(f, TIME, 0).why, GAIN_TOLD);   /* 52 are known; the test has 12 */
}

static void only_like_with_like(void **state)
{
    struct fixture *f = *state;
    struct sent s = {.pupil = AMI, .revision = 51, .version = 71, .day = TODAY - 7, .n = 3,
                     .values = {5, 5, 5}, .throws = {{-1}, {-1}, {-1}}};
    send(f, s);                                                     /* seated */
    send_values(f, AMI, 51, TODAY, (const int[]){9, 9, 9});         /* standard */
    assert_int_equal(ask(f, ZONES, 0).why, GAIN_NOT_COMPARABLE);
    send_values(f, AMI, 56, TODAY + 1, (const int[]){9, 9, 9});     /* six throws, not four */
    assert_int_equal(ask(f, ZONES, 0).why, GAIN_NOT_COMPARABLE);
}

static void what_waits_is_not_compared(void **state)
{
    struct fixture *f = *state;
    send_counts(f, 51, TODAY - 7, (const int[]){4, 0, 0});
    struct sent s = {.pupil = AMI, .revision = 51, .version = 61, .day = TODAY, .n = 1,
                     .values = {20}, .throws = {{5, 5, 5, 5}}, .surprising = true};
    send(f, s);
    assert_int_equal(ask(f, ZONES, 0).why, GAIN_ONE_HAND_IN);
}

static void last_school_year_is_another_story(void **state)
{
    struct fixture *f = *state;
    send_counts(f, 51, 20331, (const int[]){4, 0, 0});      /* 2025-08-31 */
    send_counts(f, 51, TODAY, (const int[]){0, 0, 4});
    struct gain g = ask(f, ZONES, 0);
    assert_int_equal(g.category, GAIN_SILENT);
    assert_int_not_equal(g.why, GAIN_TOLD);
}

static void far_hand_in(struct fixture *f, int32_t day, int32_t mm, int64_t target,
                        const int row[THROWS])
{
    struct sent s = {.pupil = AMI, .revision = 55, .version = 65, .day = day, .n = 3,
                     .distance_mm = mm, .target = target};
    for (int i = 0; i < 3; i++) {
        for (int k = 0; k < THROWS; k++) {
            s.throws[i][k] = row[k];
            s.values[i] += row[k];
        }
    }
    send(f, s);
}

static void another_distance_is_an_estimate(void **state)
{
    struct fixture *f = *state;
    /* Misses at 2 m, then the middle from 3 m. */
    far_hand_in(f, TODAY - 7, 2000, 95, (const int[]){0, 0, 2, 0});
    far_hand_in(f, TODAY, 3000, 95, (const int[]){5, 5, 2, 5});
    struct gain g = ask(f, FAR, 0);
    assert_int_equal(g.why, GAIN_TOLD);
    assert_true(g.estimate);
    assert_int_equal(g.category, GAIN_LIKELY);      /* never CLEAR */
    assert_true(g.p.largest < 1e-3);
    assert_int_equal(g.step_mm, 0);
    /* a school that has not turned estimates on is told that the two are not compared */
    g = ask_as(f, FAR, 0, false);
    assert_int_equal(g.why, GAIN_DISTANCE);
    assert_int_equal(g.category, GAIN_SILENT);
    assert_false(g.estimate);
    assert_int_equal(g.first_day, TODAY - 7);
    /* 4 m is twice 2 m: beyond 1.75 */
    far_hand_in(f, TODAY + 1, 4000, 95, (const int[]){5, 5, 5, 5});
    assert_int_equal(ask(f, FAR, 0).why, GAIN_DISTANCE);
    /* back at 2 m the first hand-in is comparable again, and exact */
    far_hand_in(f, TODAY + 2, 2000, 95, (const int[]){5, 5, 5, 5});
    g = ask(f, FAR, 0);
    assert_false(g.estimate);
    assert_int_equal(g.category, GAIN_CLEAR);
    assert_int_equal(g.step_mm, 2000);
}

static void no_size_no_estimate(void **state)
{
    struct fixture *f = *state;
    far_hand_in(f, TODAY - 7, 2000, 96, (const int[]){0, 0, 2, 0});
    far_hand_in(f, TODAY, 3000, 95, (const int[]){5, 5, 2, 5});
    assert_int_equal(ask(f, FAR, 0).why, GAIN_UNKNOWN_TARGET);
}

static void words_are_those_of_the_api(void **state)
{
    (void)state;
    assert_null(gain_why_word(GAIN_TOLD));
    assert_string_equal(gain_why_word(GAIN_TOO_FEW), "too_few_throws");
    assert_string_equal(gain_why_word(GAIN_UNKNOWN_TARGET), "unknown_target");
}

#define IN_SCHOOL(t) cmocka_unit_test_setup_teardown(t, open_school, fixture_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        IN_SCHOOL(throws_known_are_exact), IN_SCHOOL(the_first_and_not_the_last_is_the_base),
        IN_SCHOOL(small_evidence_is_silent), IN_SCHOOL(totals_are_judged_by_the_largest),
        IN_SCHOOL(totals_of_hits_under_a_cap), IN_SCHOOL(counts_without_a_class),
        IN_SCHOOL(counts_too_small_to_tell), IN_SCHOOL(measures_need_the_class),
        IN_SCHOOL(counts_with_a_class_go_by_its_spread),
        IN_SCHOOL(measured_change_costs_degrees_of_freedom), IN_SCHOOL(only_like_with_like),
        IN_SCHOOL(what_waits_is_not_compared), IN_SCHOOL(last_school_year_is_another_story),
        IN_SCHOOL(another_distance_is_an_estimate), IN_SCHOOL(no_size_no_estimate),
        cmocka_unit_test(words_are_those_of_the_api),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
