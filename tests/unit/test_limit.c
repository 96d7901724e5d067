/* SPDX-License-Identifier: MIT
 * Throttles: rates by arithmetic, and the two scenes they exist for. Numbers: our own rule. */
#include "t.h"

#include "auth/limit.h"
#include "base/mem.h"

enum { SECOND = 1000, MINUTE = 60 * SECOND, HOUR = 60 * MINUTE, DAY = 24 * HOUR };

static int take_all(struct limiter *l, enum limit_kind kind, uint64_t key, int64_t now)
{
    int n = 0, after;
    while (n < 100000 && limit_take(l, kind, key, now, &after)) {
        n++;
    }
    return n;
}

static void rates(void **state)
{
    static const struct {
        enum limit_kind kind;
        int burst;
        int64_t one_in_ms;
    } rows[] = {
        {LIMIT_CLIENT_RATE, 60, 50},
        {LIMIT_SESSION_RATE, 60, 50},
        {LIMIT_CARD_WRONG, 60, 2 * MINUTE},
        {LIMIT_PASS_STRANGER, 10, 60 * SECOND},
        {LIMIT_PASS_DEVICE, 10, 30 * SECOND},
        {LIMIT_PASS_CLIENT, 30, 10 * SECOND},
        {LIMIT_PHRASE, 5, 3 * MINUTE},
    };
    struct limiter *l = limiter_new(NULL);
    (void)state;
    for (size_t i = 0; i < T_COUNT(rows); i++) {
        int64_t t = 5 * SECOND;
        assert_int_equal(take_all(l, rows[i].kind, 42, t), rows[i].burst);
        assert_int_equal(take_all(l, rows[i].kind, 43, t), rows[i].burst);     /* another's is full */
        assert_false(limit_take(l, rows[i].kind, 42, t + rows[i].one_in_ms - 1, NULL));
        assert_true(limit_take(l, rows[i].kind, 42, t + rows[i].one_in_ms, NULL));
        assert_false(limit_take(l, rows[i].kind, 42, t + rows[i].one_in_ms, NULL));
        /* A long rest fills it and no more. */
        assert_int_equal(take_all(l, rows[i].kind, 42, t + 2 * DAY), rows[i].burst);
        /* The clock going back gives nothing. */
        assert_false(limit_take(l, rows[i].kind, 42, t, NULL));
    }
    talloc_free(l);
}

static void says_when(void **state)
{
    struct limiter *l = limiter_new(NULL);
    int after = 0;
    (void)state;
    take_all(l, LIMIT_PASS_STRANGER, 1, 1);
    assert_false(limit_take(l, LIMIT_PASS_STRANGER, 1, 1, &after));
    assert_int_equal(after, 60);
    assert_false(limit_take(l, LIMIT_PASS_STRANGER, 1, 1 + 59500, &after));
    assert_int_equal(after, 1);
    limit_give(l, LIMIT_PASS_STRANGER, 1, 1 + 59500);
    assert_true(limit_take(l, LIMIT_PASS_STRANGER, 1, 1 + 59500, &after));
    talloc_free(l);
}

static void settings(void **state)
{
    struct limiter *l = limiter_new(NULL);
    (void)state;
    limiter_set_rate(l, 1000, 5000);
    assert_int_equal(take_all(l, LIMIT_CLIENT_RATE, 1, 1), 5000);
    assert_int_equal(take_all(l, LIMIT_PASS_CLIENT, 1, 1), 30);
    talloc_free(l);
}

/* Ten thousand other keys may push a bucket out, which fills it: never the other way round. */
static void eviction_is_kind(void **state)
{
    struct limiter *l = limiter_new(NULL);
    (void)state;
    for (uint64_t k = 1; k <= 20000; k++) {
        assert_true(limit_take(l, LIMIT_CLIENT_RATE, k * 0x9e3779b97f4a7c15u, (int64_t)k, NULL));
    }
    /* A key in constant use stays, whatever comes and goes. */
    int passed = 0;
    for (uint64_t k = 1; k <= 20000; k++) {
        passed += limit_take(l, LIMIT_PASS_CLIENT, 7, 100 + (int64_t)k / 10, NULL);
        (void)limit_take(l, LIMIT_PASS_CLIENT, k * 0x9e3779b97f4a7c15u, 100 + (int64_t)k / 10, NULL);
    }
    assert_int_equal(passed, 30);
    talloc_free(l);
}

/* One well-formed typed code. `known` says whether there is such a card, and of which class. */
enum outcome { OPENED, WRONG, REFUSED };
static enum outcome type_code(struct limiter *l, uint64_t client, int64_t class_id, int64_t now)
{
    struct card_verdict v = limit_card_ask(l, client, now);
    bool opens = v.may == CARD_MAY_ANY && class_id != 0;
    if (v.may == CARD_MAY_NOT) {
        return REFUSED;
    }
    if (v.may == CARD_MAY_CLASS && class_id != 0) {
        int64_t classes[8];
        int n = limit_windows(l, client, now, classes, 8);
        for (int i = 0; i < n; i++) {
            opens = opens || classes[i] == class_id;
        }
    }
    if (opens) {
        limit_card_right(l, &v, client, now);
        return OPENED;
    }
    limit_card_wrong(l, now);
    return v.quiet ? REFUSED : WRONG;
}

/* Thirty children, one address, three well-formed wrong codes each before the right one, within 90
 * seconds, while somebody on the same address guesses ten times a second. */
static void class_signs_in_under_attack(void **state)
{
    enum { SCHOOL = 1001, CLASS = 5, OTHER_CLASS = 6 };
    struct limiter *l = limiter_new(NULL);
    int in = 0, typed[30] = {0}, guessed = 0;
    int64_t start = 10 * HOUR;
    (void)state;
    limit_window_open(l, SCHOOL, CLASS, start);
    for (int64_t t = start; t < start + 90 * SECOND; t += 100) {
        guessed += type_code(l, SCHOOL, 0, t) == OPENED;
        /* Each child types every 15 seconds, starting one after another. */
        for (int c = 0; c < 30; c++) {
            int64_t since = t - start - c * SECOND;
            if (since < 0 || since % (15 * SECOND) != 0 || typed[c] > 3) {
                continue;
            }
            typed[c]++;
            enum outcome o = type_code(l, SCHOOL, typed[c] == 4 ? CLASS : 0, t);
            in += typed[c] == 4 && o == OPENED;
        }
    }
    assert_int_equal(in, 30);
    assert_int_equal(guessed, 0);
    /* The window is that class's: another class's right code does not open on this address now... */
    assert_int_not_equal(type_code(l, SCHOOL, OTHER_CLASS, start + 91 * SECOND), OPENED);
    /* ...and does at home. */
    assert_int_equal(type_code(l, 2002, OTHER_CLASS, start + 91 * SECOND), OPENED);
    /* After 20 minutes the window is shut. */
    assert_int_equal(type_code(l, SCHOOL, CLASS, start + 20 * MINUTE + 1), REFUSED);
    talloc_free(l);
}

/* Without a window: 60 wrong codes, then 30 an hour; a right one costs nothing. */
static void one_guesser(void **state)
{
    struct limiter *l = limiter_new(NULL);
    int64_t t = HOUR;
    int looked = 0;
    (void)state;
    for (int i = 0; i < 200; i++) {
        assert_int_equal(type_code(l, 9, 5, t), OPENED);
    }
    for (int64_t at = t; at < t + HOUR; at += 100) {
        looked += type_code(l, 9, 0, at) == WRONG;
    }
    assert_in_range(looked, 60 + 29, 60 + 31);
    talloc_free(l);
}

/* Ten thousand addresses: above 500 a day each keeps five, above 5,000 only those that were right
 * today go on. */
static void many_guessers(void **state)
{
    enum { HOME = 1 };
    struct limiter *l = limiter_new(NULL);
    int64_t t = 3 * DAY + HOUR;
    int looked = 0;
    (void)state;
    assert_int_equal(type_code(l, HOME, 5, t), OPENED);
    for (uint64_t c = 10; c < 10010; c++) {
        for (int i = 0; i < 10; i++) {
            looked += type_code(l, c, 0, t) == WRONG;
        }
    }
    assert_in_range(looked, 5000, 5010);
    assert_int_equal(type_code(l, HOME, 5, t + MINUTE), OPENED);        /* was right today */
    assert_int_equal(type_code(l, 77777, 5, t + MINUTE), REFUSED);      /* typed, unknown today */
    limit_window_open(l, 88888, 5, t);                                  /* a class still gets in */
    assert_int_equal(type_code(l, 88888, 5, t + MINUTE), OPENED);
    assert_int_equal(type_code(l, 77777, 5, t + DAY), OPENED);          /* and tomorrow all do */
    talloc_free(l);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(rates),
        cmocka_unit_test(says_when),
        cmocka_unit_test(settings),
        cmocka_unit_test(eviction_is_kind),
        cmocka_unit_test(class_signs_in_under_attack),
        cmocka_unit_test(one_guesser),
        cmocka_unit_test(many_guessers),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
