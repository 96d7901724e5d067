/* SPDX-License-Identifier: MIT
 * base/clock: against RFC 3339's examples, the C library's calendar, and summer-time changes of
 * the IANA time zone database as `zdump -v` prints them. */
#include "base/clock.h"

#include <pthread.h>
#include <stdatomic.h>
#include <stdlib.h>
#include <time.h>

#include "day.h"
#include "t.h"

static void calendar_agrees_with_timegm(void **state)
{
    (void)state;
    static const int64_t days[] = {0, 1, 58, 59, 60, 364, 365, 789, 11016, 11017, 19782, 20605, 24855,
                                   -1, -719162, 47540, 47541, 2932896};
    for (size_t i = 0; i < T_COUNT(days); i++) {
        char text[11], want[11];
        time_t t = days[i] * 86400;
        struct tm tm;
        assert_non_null(gmtime_r(&t, &tm));
        strftime(want, sizeof want, "%Y-%m-%d", &tm);
        clock_day_print((int32_t)days[i], text);
        if (days[i] != -719162) {           /* glibc prints the year 1 as "1" */
            assert_string_equal(text, want);
        } else {
            assert_string_equal(text, "0001-01-01");
        }
        int32_t back = 0;
        assert_true(clock_day_parse(text, &back));
        assert_int_equal(back, days[i]);
    }
    /* Every day of four centuries goes there and back, and is the next of the one before. */
    for (int32_t d = -36525; d < 109573; d += 1) {
        char text[11];
        int32_t back;
        clock_day_print(d, text);
        assert_true(clock_day_parse(text, &back));
        assert_int_equal(back, d);
    }
}

static void refuses_bad_dates(void **state)
{
    (void)state;
    static const char *const bad[] = {
        "", "2026-02-29", "2026-13-01", "2026-00-10", "2026-04-31", "2026-01-00", "2026-1-1",
        "26-01-01", "2026/01/01", "2026-01-01 ", " 2026-01-01", "2100-02-29", "0000-01-01",
        "2026-01-011", "2026-0a-01", "-026-01-01",
    };
    int32_t d;
    for (size_t i = 0; i < T_COUNT(bad); i++) {
        assert_false(clock_day_parse(bad[i], &d));
    }
    assert_false(clock_day_parse(NULL, &d));
    assert_true(clock_day_parse("2024-02-29", &d));
    assert_true(clock_day_parse("2000-02-29", &d));
}

static void knows_weekdays(void **state)
{
    (void)state;
    int32_t d;
    assert_true(clock_day_parse("1970-01-01", &d) && clock_weekday(d) == 4);
    assert_true(clock_day_parse("2024-02-29", &d) && clock_weekday(d) == 4);
    assert_true(clock_day_parse("2026-11-23", &d) && clock_weekday(d) == 1);
    assert_true(clock_day_parse("2026-11-29", &d) && clock_weekday(d) == 7);
    assert_int_equal(clock_weekday(-1), 3);
    assert_int_equal(clock_weekday(-4), 7);
}

/* RFC 3339, section 5.8: all five examples, with the equivalences stated there. */
static void reads_rfc3339(void **state)
{
    (void)state;
    int64_t a, b;
    assert_true(clock_at_parse("1985-04-12T23:20:50.52Z", &a));
    assert_int_equal(a, 482196050);
    assert_true(clock_at_parse("1996-12-19T16:39:57-08:00", &a));
    assert_true(clock_at_parse("1996-12-20T00:39:57Z", &b));
    assert_int_equal(a, b);
    assert_true(clock_at_parse("1990-12-31T23:59:60Z", &a));
    assert_true(clock_at_parse("1990-12-31T15:59:60-08:00", &b));
    assert_int_equal(a, b);
    assert_true(clock_at_parse("1937-01-01T12:00:27.87+00:20", &a));
    assert_true(clock_at_parse("1937-01-01T11:40:27Z", &b));
    assert_int_equal(a, b);
    assert_true(clock_at_parse("2026-11-25t09:00:00z", &a));
    static const char *const bad[] = {
        "", "2026-11-25", "2026-11-25T09:00:00", "2026-11-25 09:00:00Z", "2026-11-25T24:00:00Z",
        "2026-11-25T09:60:00Z", "2026-11-25T09:00:61Z", "2026-11-25T09:00:60Z",
        "2026-11-25T09:00:00.Z", "2026-11-25T09:00:00+1:00", "2026-11-25T09:00:00+24:00",
        "2026-11-25T09:00:00+01:60", "2026-11-25T09:00:00ZZ", "2026-11-25T9:00:00Z",
        "2026-02-30T09:00:00Z", "2026-11-25T09:00:00+0100",
    };
    for (size_t i = 0; i < T_COUNT(bad); i++) {
        if (clock_at_parse(bad[i], &a)) {
            fail_msg("\"%s\"", bad[i]);
        }
    }
    assert_false(clock_at_parse(NULL, &a));
    char text[21];
    clock_at_print(482196050, text);
    assert_string_equal(text, "1985-04-12T23:20:50Z");
    clock_at_print(-1, text);
    assert_string_equal(text, "1969-12-31T23:59:59Z");
}

static int32_t day(const char *s)
{
    int32_t d = 0;
    assert_true(clock_day_parse(s, &d));
    return d;
}

static int64_t at(const char *s)
{
    int64_t t = 0;
    assert_true(clock_at_parse(s, &t));
    return t;
}

/* London 2026: clocks go forward 29 March 01:00 UTC, back 25 October 01:00 UTC (zdump -v). */
static void london_days(void **state)
{
    (void)state;
    assert_true(clock_set_zone("Europe/London"));
    assert_int_equal(clock_day_start(day("2026-01-15")), at("2026-01-15T00:00:00Z"));
    assert_int_equal(clock_day_start(day("2026-07-15")), at("2026-07-14T23:00:00Z"));
    assert_int_equal(clock_day_end(day("2026-07-15")), at("2026-07-15T22:59:59Z"));
    assert_int_equal(clock_day_start(day("2026-03-29")), at("2026-03-29T00:00:00Z"));
    assert_int_equal(clock_day_start(day("2026-03-30")), at("2026-03-29T23:00:00Z"));
    assert_int_equal(clock_day_start(day("2026-10-25")), at("2026-10-24T23:00:00Z"));
    assert_int_equal(clock_day_start(day("2026-10-26")), at("2026-10-26T00:00:00Z"));
    assert_int_equal(clock_day_at(day("2026-07-15"), 15, 30), at("2026-07-15T14:30:00Z"));
    assert_int_equal(clock_day_at(day("2026-12-15"), 15, 30), at("2026-12-15T15:30:00Z"));
    /* 01:30 is not there on the 29th of March; it is there twice on the 25th of October. */
    assert_int_equal(clock_day_at(day("2026-03-29"), 1, 30), at("2026-03-29T01:30:00Z"));
    assert_int_equal(clock_day_at(day("2026-10-25"), 1, 30), at("2026-10-25T00:30:00Z"));
    assert_int_equal(clock_day(at("2026-07-14T22:59:59Z")), day("2026-07-14"));
    assert_int_equal(clock_day(at("2026-07-14T23:00:00Z")), day("2026-07-15"));
}

/* The first instant of a day is in that day and the instant before is not, in zones with large
 * offsets, half hours, and changes at midnight (Beirut, Cairo: clocks jump from 00:00 to 01:00). */
static void day_starts_everywhere(void **state)
{
    (void)state;
    static const char *const zones[] = {
        "UTC", "Europe/London", "Asia/Kolkata", "America/New_York", "Australia/Lord_Howe",
        "Pacific/Kiritimati", "Pacific/Pago_Pago", "Asia/Beirut", "Africa/Cairo",
        "America/Havana", "America/Santiago", "Asia/Kathmandu",
    };
    for (size_t z = 0; z < T_COUNT(zones); z++) {
        assert_true(clock_set_zone(zones[z]));
        for (int32_t d = day("2023-01-01"); d < day("2027-01-01"); d++) {
            int64_t start = clock_day_start(d);
            if (clock_day(start) != d || clock_day(start - 1) != d - 1) {
                fail_msg("%s day %d", zones[z], d);
            }
        }
    }
    /* Beirut: no midnight on 30 March 2025; the day begins at 01:00 summer time = 22:00 UTC. */
    assert_true(clock_set_zone("Asia/Beirut"));
    assert_int_equal(clock_day_start(day("2025-03-30")), at("2025-03-29T22:00:00Z"));
    assert_true(clock_set_zone("Europe/London"));
}

static void vets_zone_names(void **state)
{
    (void)state;
    assert_true(clock_zone_known("Europe/London"));
    assert_true(clock_zone_known("America/Argentina/Buenos_Aires"));
    static const char *const bad[] = {
        "", "Europe/Atlantis", "../../etc/passwd", "/etc/localtime", "Europe/", "Europe", ":UTC",
        "Europe//London", "zone.tab", "GMT0BST,M3.5.0", "Europe/London\n",
        "aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa",
    };
    assert_true(clock_set_zone("Asia/Kolkata"));
    for (size_t i = 0; i < T_COUNT(bad); i++) {
        assert_false(clock_zone_known(bad[i]));
        assert_false(clock_set_zone(bad[i]));
    }
    assert_false(clock_zone_known(NULL));
    assert_int_equal(clock_day_start(0), -19800);   /* what was refused changed nothing */
}

static _Atomic bool stop;
static _Atomic long wrong;

static void *convert(void *arg)
{
    (void)arg;
    while (!atomic_load(&stop)) {
        int64_t start = clock_day_start(20000);
        if (start != INT64_C(20000) * 86400 && start != INT64_C(20000) * 86400 - 19800) {
            atomic_fetch_add(&wrong, 1);
        }
    }
    return NULL;
}

/* A change of zone under conversions: each sees the old or the new. One conversion reads the zone
 * three times, so a mixture of the two offsets can show only as one of them. */
static void zone_changes_beside_conversions(void **state)
{
    (void)state;
    assert_true(clock_set_zone("UTC"));
    pthread_t t[2];
    for (size_t i = 0; i < T_COUNT(t); i++) {
        assert_int_equal(pthread_create(&t[i], NULL, convert, NULL), 0);
    }
    for (int i = 0; i < 200; i++) {
        assert_true(clock_set_zone(i % 2 ? "UTC" : "Asia/Kolkata"));
    }
    atomic_store(&stop, true);
    for (size_t i = 0; i < T_COUNT(t); i++) {
        pthread_join(t[i], NULL);
    }
    assert_int_equal(atomic_load(&wrong), 0);
}

static void can_be_fixed(void **state)
{
    (void)state;
    clock_fix(1790000000);
    assert_int_equal(clock_now(), 1790000000);
    clock_fix(0);
    int64_t now = clock_now();
    assert_true(now >= (int64_t)time(NULL) - 1 && now <= (int64_t)time(NULL) + 1);
    int64_t a = clock_mono_ms();
    assert_true(a > 0 && clock_mono_ms() >= a);
    day_reset();
}

/* Each sign has to speak of the clock that is asked about (our own rule). */
static void who_vouches_for_the_clock(void **state)
{
    (void)state;
    const int64_t now = 1800000000, day = 86400;
    const struct {
        struct clock_signs s;
        bool good;
    } rows[] = {
        {{0}, false},
        {{.kernel = true, .kernel_at = now + 2}, true},
        {{.kernel = true, .kernel_at = now - 730 * day}, false},    /* this process sees another clock */
        {{.kernel = true, .kernel_at = now + 60}, false},
        {{.kernel = false, .kernel_at = now}, false},
        {{.file = true, .file_at = now - 2048}, true},
        {{.file = true, .file_at = now - 2 * day}, false},          /* moved ahead since, or no network */
        {{.file = true, .file_at = now + 60}, false},               /* moved back since */
        {{.kernel = true, .kernel_at = now - 730 * day, .file = true, .file_at = now - 730 * day}, false},
        {{.kernel = true, .kernel_at = now, .file = true, .file_at = now - 9 * day}, true},
    };
    for (size_t i = 0; i < T_COUNT(rows); i++) {
        assert_int_equal(clock_signs_good(&rows[i].s, now), rows[i].good);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(calendar_agrees_with_timegm),
        cmocka_unit_test(refuses_bad_dates),
        cmocka_unit_test(knows_weekdays),
        cmocka_unit_test(reads_rfc3339),
        cmocka_unit_test(london_days),
        cmocka_unit_test(day_starts_everywhere),
        cmocka_unit_test(vets_zone_names),
        cmocka_unit_test(zone_changes_beside_conversions),
        cmocka_unit_test(can_be_fixed),
        cmocka_unit_test(who_vouches_for_the_clock),
    };
    return cmocka_run_group_tests_name("clock", tests, NULL, NULL);
}
