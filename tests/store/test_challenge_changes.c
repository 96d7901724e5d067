/* SPDX-License-Identifier: MIT
 * What was set is mended on a real database, a class at a time: what is taken after a change, until
 * when, and what goes. Our own rules; names and days are invented. */
#include "people.h"

#include "base/mem.h"
#include "store/challenge_changes.h"
#include "store/challenges.h"
#include "store/grid.h"
#include "store/purge.h"
#include "store/starters.h"
#include "store/units.h"

/* Set on Monday 2 March 2026, due on the 13th, closes on the 27th. Changed on the 10th. */
enum { OPENS = 20514, CHANGED = 20522, DUE = 20525, CLOSES = 20539, LATE = 35 };

static struct challenge_id set;
static struct pupil_id amber, bryn;

static int64_t noon(int32_t d)
{
    return clock_day_at(d, 12, 0);
}

static int open_set(void **state)
{
    struct activity_id ids[STARTER_COUNT];
    struct unit_id unit;
    open_school(state);
    amber = pupil("Amber", rowan);
    bryn = pupil("Bryn", elm);
    assert_int_equal(starters_install(f.st, clock_now(), ids), OK);
    assert_int_equal(unit_default(f.st, OPENS, clock_now(), &unit), OK);
    const struct class_id both[] = {rowan, elm};
    const struct challenge_new n = {
        .activity = ids[0], .unit = unit, .classes = both, .class_count = 2, .now = clock_now(),
        .opens_at = clock_day_start(OPENS), .due_at = clock_day_end(DUE),
        .closes_at = clock_day_end(CLOSES),
    };
    assert_int_equal(challenge_create(f.st, &n, &set), OK);
    return 0;
}

static struct challenge_change change(struct class_id cls, int32_t opens, int32_t due, int32_t closes)
{
    return (struct challenge_change){
        .challenge = set, .cls = cls, .by = cls.v == rowan.v ? teacher : other, .now = noon(CHANGED),
        .dates = {clock_day_start(opens), clock_day_end(due), clock_day_end(closes)},
    };
}

static void cancel(struct class_id cls)
{
    struct challenge_change n = change(cls, OPENS, DUE, CLOSES);
    n.cancelled = true;
    assert_int_equal(challenge_change(f.st, &n), OK);
}

/* Tries of a day that come on a day, at noon. */
static enum err sends(struct pupil_id who, int32_t done, int32_t came, bool *late)
{
    struct challenge_spans spans;
    const struct challenge_spans_ask ask = {who, set, done, came};
    const struct challenge_done tries = {done, true, noon(came)};
    assert_int_equal(challenge_spans(f.mem, f.st, &ask, &spans), OK);
    assert_true(spans.mine);
    return challenge_takes(&spans, &tries, late);
}

static void assert_sends(struct pupil_id who, int32_t done, int32_t came, enum err want)
{
    bool late = false;
    assert_int_equal(sends(who, done, came, &late), want);
}

static void cancelled_takes_for_35_days_what_was_done_before(void **state)
{
    (void)state;
    bool late = true;
    cancel(rowan);
    assert_int_equal(sends(amber, CHANGED - 1, CHANGED + 1, &late), OK);
    assert_false(late);
    assert_sends(amber, CHANGED, CHANGED + LATE, OK);
    assert_sends(amber, CHANGED, CHANGED + LATE + 1, ERR_CLOSED);
    assert_sends(amber, CHANGED + 1, CHANGED + 1, ERR_CLOSED);
    assert_sends(amber, OPENS - 1, CHANGED + 1, ERR_CLOSED);
    assert_sends(bryn, CHANGED + 1, CHANGED + 1, OK);       /* a colleague's class goes on */
    struct challenge_spans spans;
    const struct challenge_spans_ask ask = {amber, set, CHANGED, CHANGED};
    const struct challenge_done now = {CHANGED, false, noon(CHANGED) + 1};
    assert_int_equal(challenge_spans(f.mem, f.st, &ask, &spans), OK);
    assert_int_equal(challenge_takes(&spans, &now, &late), ERR_CLOSED);     /* done after it */
}

static void closed_earlier_takes_what_was_done_before(void **state)
{
    (void)state;
    bool late = true;
    struct challenge_change n = change(rowan, OPENS, CHANGED - 4, CHANGED - 3);
    assert_int_equal(challenge_change(f.st, &n), OK);
    assert_int_equal(sends(amber, CHANGED - 1, CHANGED + LATE, &late), OK);
    assert_false(late);                                     /* due later than that, then */
    assert_sends(amber, CHANGED - 1, CHANGED + LATE + 1, ERR_CLOSED);
    assert_sends(amber, CHANGED + 1, CHANGED + 2, ERR_CLOSED);
    assert_sends(amber, CHANGED - 4, CHANGED + LATE + 10, OK);      /* open on that day in any case */
    n = change(rowan, OPENS, CHANGED - 5, CHANGED - 5);             /* once more, a day later */
    n.now = noon(CHANGED + 1);
    assert_int_equal(challenge_change(f.st, &n), OK);
    assert_sends(amber, CHANGED - 1, CHANGED + LATE, OK);
    assert_sends(amber, CHANGED - 1, CHANGED + LATE + 1, ERR_CLOSED);
}

static void due_earlier_makes_nobody_late_who_was_in_time(void **state)
{
    (void)state;
    bool late = true;
    struct challenge_change n = change(rowan, OPENS, CHANGED - 5, CLOSES);
    assert_int_equal(challenge_change(f.st, &n), OK);
    assert_int_equal(sends(amber, CHANGED - 1, CHANGED + 2, &late), OK);
    assert_false(late);
    assert_int_equal(sends(amber, CHANGED + 1, CHANGED + 2, &late), OK);
    assert_true(late);
}

static void later_dates_simply_apply(void **state)
{
    (void)state;
    bool late = true;
    struct challenge_change n = change(rowan, OPENS, DUE + 7, CLOSES + 7);
    assert_int_equal(challenge_change(f.st, &n), OK);
    assert_int_equal(fixture_int(&f, "SELECT count(*) FROM challenge_was"), 0);
    assert_int_equal(sends(amber, DUE + 7, DUE + 8, &late), OK);
    assert_false(late);
    assert_sends(amber, CLOSES + 7, CLOSES + 8, OK);
    assert_sends(bryn, CLOSES + 7, CLOSES + 8, ERR_CLOSED);
    n = change(rowan, CHANGED + 5, DUE + 7, CLOSES + 7);    /* opened by mistake a week early */
    assert_int_equal(challenge_change(f.st, &n), OK);
    assert_sends(amber, CHANGED - 1, CHANGED + 1, OK);
    assert_sends(amber, CHANGED + 1, CHANGED + 1, ERR_NOT_OPEN);
    assert_sends(amber, CHANGED + 5, CHANGED + 5, OK);
}

static void nobody_changes_a_colleagues_class(void **state)
{
    (void)state;
    struct challenge_change n = change(elm, OPENS, DUE, CLOSES);
    static const struct staff_id nots[] = {{11}, {12}, {13}};
    for (size_t i = 0; i < T_COUNT(nots); i++) {
        n.by = nots[i];
        assert_int_equal(challenge_change(f.st, &n), ERR_NOT_FOUND);
    }
    n.cls = swim;
    n.by = other;
    assert_int_equal(challenge_change(f.st, &n), ERR_NOT_FOUND);    /* not set to it */
    const int32_t ended = CHANGED - 1;
    assert_int_equal(class_right_put(f.st, elm, other, CLASS_TEACH, &ended), OK);
    n.cls = elm;
    assert_int_equal(challenge_change(f.st, &n), ERR_NOT_FOUND);    /* taught it until yesterday */
    assert_int_equal(fixture_int(&f, "SELECT count(*) FROM challenge_change"), 0);
    fixture_sql(&f, "INSERT INTO staff_right (staff_id, right) VALUES (13, 'pe_lead')");
    n.by = reader;
    assert_int_equal(challenge_change(f.st, &n), OK);
}

static void hidden_from_its_children_and_set_again(void **state)
{
    (void)state;
    struct challenge_list open;
    struct challenge c;
    cancel(rowan);
    assert_int_equal(challenges_open_for_pupil(f.mem, f.st, amber, noon(CHANGED), &open), OK);
    assert_int_equal(open.count, 0);
    assert_int_equal(challenges_open_for_pupil(f.mem, f.st, bryn, noon(CHANGED), &open), OK);
    assert_int_equal(open.count, 1);
    assert_int_equal(challenge_of_pupil(f.mem, f.st, amber, set, &c), OK);
    assert_true(c.cancelled);
    assert_int_equal(challenge_get(f.mem, f.st, set, &c), OK);
    assert_false(c.cancelled);
    const struct challenge_class *k = challenge_class_of(&c, rowan);
    assert_int_equal(k->cancelled_at, noon(CHANGED));
    assert_string_equal(k->cancelled_by, "Teacher");
    assert_null(challenge_class_of(&c, elm)->cancelled_by);

    struct challenge_change n = change(rowan, OPENS, DUE, CLOSES);
    n.cancelled = true;
    n.now += 86400;
    n.by = teacher;
    assert_int_equal(challenge_change(f.st, &n), OK);       /* twice: the first stays */
    assert_int_equal(challenge_get(f.mem, f.st, set, &c), OK);
    assert_int_equal(challenge_class_of(&c, rowan)->cancelled_at, noon(CHANGED));
    n.cancelled = false;
    assert_int_equal(challenge_change(f.st, &n), OK);
    assert_int_equal(challenges_open_for_pupil(f.mem, f.st, amber, noon(CHANGED + 1), &open), OK);
    assert_int_equal(open.count, 1);
    assert_sends(amber, CHANGED + 2, CHANGED + 2, OK);
}

/* In the class by day and in a group too: what goes on counts, and the later date. */
static void two_ways_to_a_child(void **state)
{
    (void)state;
    struct challenge_list open;
    bool late = true;
    fixture_sql(&f, mem_printf(f.mem, "INSERT INTO membership VALUES (%lld, %lld, 20400, NULL)",
                               (long long)amber.v, (long long)elm.v));
    struct challenge_change n = change(elm, OPENS, DUE + 3, CLOSES);
    assert_int_equal(challenge_change(f.st, &n), OK);
    assert_int_equal(challenges_open_for_pupil(f.mem, f.st, amber, noon(CHANGED), &open), OK);
    assert_int_equal(open.count, 1);
    assert_int_equal(open.rows[0].due_at, clock_day_end(DUE + 3));
    assert_int_equal(sends(amber, DUE + 2, DUE + 2, &late), OK);
    assert_false(late);
    cancel(elm);
    assert_int_equal(challenges_open_for_pupil(f.mem, f.st, amber, noon(CHANGED), &open), OK);
    assert_int_equal(open.count, 1);
    assert_int_equal(open.rows[0].due_at, clock_day_end(DUE));
    struct challenge c;
    assert_int_equal(challenge_of_pupil(f.mem, f.st, amber, set, &c), OK);
    assert_false(c.cancelled);
}

static void came(struct pupil_id who)
{
    fixture_sql(&f, mem_printf(f.mem,
        "INSERT INTO hand_in (id, pupil_id, challenge_id, version_id, channel, received_at, done_day,"
        " after_date, confirmed, surprising, content_hash) SELECT randomblob(16), %lld, c.id, v.id,"
        " 'web', 1773000000, 20520, 0, 0, 0, randomblob(32) FROM challenge c"
        " JOIN version v ON v.revision_id = c.revision_id AND v.kind = 'standard'",
        (long long)who.v));
}

static size_t columns(struct class_id cls)
{
    struct grid g;
    const struct grid_ask ask = {.cls = cls, .today = CHANGED};
    assert_int_equal(grid_load(f.st, f.mem, &ask, &g), OK);
    return g.challenge_count;
}

static void the_grid_keeps_a_cancelled_column_that_has_tries(void **state)
{
    (void)state;
    struct challenge c;
    cancel(rowan);
    assert_int_equal(columns(rowan), 0);
    assert_int_equal(columns(elm), 1);
    came(amber);
    assert_int_equal(columns(rowan), 1);
    assert_int_equal(challenge_get(f.mem, f.st, set, &c), OK);
    assert_int_equal(challenge_class_of(&c, rowan)->sent, -1);
    assert_int_equal(challenge_count_sent(f.st, &c), OK);
    assert_int_equal(challenge_class_of(&c, rowan)->sent, 1);
    assert_int_equal(challenge_class_of(&c, elm)->sent, 0);
}

static int32_t purge_day;
static struct purge_done purged;

/* Listed a fortnight before, as store/purge_plan.h has it; taken where it is due. */
static enum err do_purge(void *arg)
{
    (void)arg;
    const struct purge_may may = {.any = true, .listed_by = purge_day - PURGE_AHEAD_DAYS};
    enum err e = purge_list(f.st, may.listed_by);
    return e == OK ? purge_rows(f.st, noon(purge_day), &may, &purged) : e;
}

static int64_t goes_on(int32_t d)
{
    purge_day = d;
    fixture_sql(&f, mem_printf(f.mem, "INSERT OR IGNORE INTO purge_plan VALUES (%d, 0, NULL, 0)",
                               d - PURGE_AHEAD_DAYS));
    assert_int_equal(in_tx(do_purge, NULL), OK);
    return purged.challenges;
}

static void an_empty_one_goes_after_35_days_and_its_number_stays_taken(void **state)
{
    (void)state;
    cancel(rowan);
    assert_int_equal(goes_on(CHANGED + LATE + 1), 0);       /* another class goes on */
    cancel(elm);
    long long number = fixture_int(&f, "SELECT number FROM challenge");
    assert_int_equal(goes_on(CHANGED + LATE), 0);
    assert_int_equal(goes_on(CHANGED + LATE + 1), 1);
    assert_int_equal(fixture_int(&f, "SELECT count(*) FROM challenge"), 0);
    assert_int_equal(fixture_int(&f, "SELECT count(*) FROM challenge_change"), 0);
    assert_int_equal(fixture_int(&f, "SELECT count(*) FROM challenge_was"), 0);
    assert_int_equal(fixture_int(&f, "SELECT count(*) FROM number_past"), 2);
    assert_int_equal(fixture_int(&f, "SELECT max(number) FROM number_past"), number);
}

static void one_with_tries_stays(void **state)
{
    (void)state;
    cancel(rowan);
    cancel(elm);
    came(bryn);
    assert_int_equal(goes_on(CHANGED + 100), 0);
    assert_int_equal(fixture_int(&f, "SELECT count(*) FROM hand_in"), 1);
}

static void what_was_is_kept_no_longer_than_it_is_needed(void **state)
{
    (void)state;
    cancel(rowan);
    assert_int_equal(fixture_int(&f, "SELECT count(*) FROM challenge_was"), 1);
    struct challenge_change n = change(elm, OPENS, DUE, CLOSES + 60);
    n.now = noon(CHANGED + LATE);
    assert_int_equal(challenge_change(f.st, &n), OK);
    assert_int_equal(fixture_int(&f, "SELECT count(*) FROM challenge_was"), 1);
    n.now = noon(CHANGED + LATE + 1);
    assert_int_equal(challenge_change(f.st, &n), OK);
    assert_int_equal(fixture_int(&f, "SELECT count(*) FROM challenge_was"), 0);
}

int main(void)
{
#define T(name) cmocka_unit_test_setup_teardown(name, open_set, close_school)
    const struct CMUnitTest tests[] = {
        T(cancelled_takes_for_35_days_what_was_done_before),
        T(closed_earlier_takes_what_was_done_before),
        T(due_earlier_makes_nobody_late_who_was_in_time),
        T(later_dates_simply_apply),
        T(nobody_changes_a_colleagues_class),
        T(hidden_from_its_children_and_set_again),
        T(two_ways_to_a_child),
        T(the_grid_keeps_a_cancelled_column_that_has_tries),
        T(an_empty_one_goes_after_35_days_and_its_number_stays_taken),
        T(one_with_tries_stays),
        T(what_was_is_kept_no_longer_than_it_is_needed),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
