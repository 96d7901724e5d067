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
        {LIMIT_DEVICE_RATE, 60, 50},
        {LIMIT_SESSION_RATE, 60, 50},
        {LIMIT_CARD_WRONG, 60, 2 * MINUTE},
        {LIMIT_PASS_ADDRESS, 10, 60 * SECOND},
        {LIMIT_PASS_WIDE, 30, 30 * SECOND},
        {LIMIT_PASS_ACCOUNT, 100, 10 * SECOND},
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
    take_all(l, LIMIT_PASS_ADDRESS, 1, 1);
    assert_false(limit_take(l, LIMIT_PASS_ADDRESS, 1, 1, &after));
    assert_int_equal(after, 60);
    assert_false(limit_take(l, LIMIT_PASS_ADDRESS, 1, 1 + 59500, &after));
    assert_int_equal(after, 1);
    limit_give(l, LIMIT_PASS_ADDRESS, 1, 1 + 59500);
    assert_true(limit_take(l, LIMIT_PASS_ADDRESS, 1, 1 + 59500, &after));
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

/* A place of its own: an address in an IPv4 network, or a /64 in a /56 in a /48. */
static struct client_keys place(uint64_t near, uint64_t site, uint64_t wide)
{
    return (struct client_keys){near, site, wide};
}

static struct client_keys alone(uint64_t n)
{
    return place(n, n + 1000000, n + 2000000);
}

/* One well-formed typed code. `class_id` 0: there is no such card. */
enum outcome { OPENED, WRONG, REFUSED };
static enum outcome type_from(struct limiter *l, struct client_keys from, int64_t class_id,
                              int64_t now)
{
    struct card_try t = {.from = from, .now_ms = now};
    struct card_verdict v = limit_card_ask(l, &t);
    bool opens = v.may == CARD_MAY_ANY && class_id != 0;
    if (v.may == CARD_MAY_NOT) {
        assert_true(v.retry_after_s > 0);
        return REFUSED;
    }
    if (v.may == CARD_MAY_CLASS && class_id != 0) {
        int64_t classes[LIMIT_WINDOWS];
        int n = limit_windows(l, now, classes, LIMIT_WINDOWS);
        for (int i = 0; i < n; i++) {
            opens = opens || classes[i] == class_id;
        }
    }
    if (opens) {
        limit_card_right(l, &v, &t);
        return OPENED;
    }
    limit_card_wrong(l, &v, &t);
    return v.quiet ? REFUSED : WRONG;
}

static enum outcome type_code(struct limiter *l, uint64_t client, int64_t class_id, int64_t now)
{
    return type_from(l, alone(client), class_id, now);
}

/* Wrong codes of `n` tries, the i-th from place(near, site, wide) by these steps. */
static int wrong_of(struct limiter *l, int n, struct client_keys from, struct client_keys step,
                    int64_t now)
{
    int wrong = 0;
    for (int i = 0; i < n; i++) {
        uint64_t k = (uint64_t)i;
        wrong += type_from(l, place(from.near + k * step.near, from.site + k * step.site,
                                    from.wide + k * step.wide), 0, now) == WRONG;
    }
    return wrong;
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
    limit_window_open(l, alone(SCHOOL).near, CLASS, start);
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
    /* After 20 minutes the window is shut: whoever has used up what grew back stops all there. */
    while (type_code(l, SCHOOL, 0, start + 20 * MINUTE) != REFUSED) {
        guessed++;
    }
    assert_in_range(guessed, 8, 20);
    assert_int_equal(type_code(l, SCHOOL, CLASS, start + 20 * MINUTE), REFUSED);
    talloc_free(l);
}

/* Without a window: 60 wrong codes, then 30 an hour, 80 a day; a right one costs nothing. */
static void one_guesser(void **state)
{
    struct limiter *l = limiter_new(NULL);
    int64_t t = HOUR;
    int looked = 0, day = 0;
    (void)state;
    for (int i = 0; i < 200; i++) {
        assert_int_equal(type_code(l, 9, 5, t), OPENED);
    }
    for (int64_t at = t; at < t + HOUR / 2; at += 100) {
        looked += type_code(l, 9, 0, at) == WRONG;
    }
    assert_in_range(looked, 60 + 14, 60 + 16);
    for (int64_t at = t + HOUR / 2; at < DAY; at += MINUTE) {
        day += type_code(l, 9, 0, at) == WRONG;
    }
    assert_int_equal(looked + day, 80);
    assert_int_equal(type_code(l, 9, 5, DAY - 1), REFUSED);
    assert_int_equal(type_code(l, 9, 5, DAY), OPENED);      /* the next day */
    talloc_free(l);
}

/* One link, one home, one network: each is stopped by its own number and leaves the next wider one
 * room for others. `step` is what changes with each of 5,000 tries. */
static void widths(void **state)
{
    static const struct {
        struct client_keys step, neighbour;
        int wrong;
    } rows[] = {
        {{0, 0, 0}, {2, 1, 1}, 60},     /* one /64, or one IPv4 address: the rest of its home */
        {{1, 0, 0}, {2, 2, 1}, 80},     /* one /56: the rest of its /48 */
        {{1, 1, 0}, {2, 2, 2}, 100},    /* one /48, or an IPv4 /24: everybody else */
    };
    (void)state;
    for (size_t i = 0; i < T_COUNT(rows); i++) {
        struct limiter *l = limiter_new(NULL);
        struct client_keys from = {100000, 100000, 100000};
        const struct client_keys *n = &rows[i].neighbour;
        assert_int_equal(wrong_of(l, 5000, from, rows[i].step, HOUR), rows[i].wrong);
        /* n: 1 where it is the guesser's own, 2 where it is another's */
        struct client_keys next = {n->near == 1 ? 100000 : 2, n->site == 1 ? 100000 : 2,
                                   n->wide == 1 ? 100000 : 2};
        assert_int_equal(type_from(l, next, 5, HOUR), OPENED);
        assert_int_equal(type_from(l, alone(7), 5, HOUR), OPENED);
        /* What it took from the ceilings is what was looked up: with 399 by others, the rest of 500,
         * and the five of one address behind it. */
        for (uint64_t k = 0; k < 399; k++) {
            assert_int_equal(type_from(l, alone(500000 + k), 0, HOUR), WRONG);
        }
        assert_int_equal(wrong_of(l, 50, alone(900000), (struct client_keys){0, 0, 0}, HOUR),
                         500 - 399 - rows[i].wrong + 5);
        talloc_free(l);
    }
}

/* A hundred networks with a hundred addresses each: above 500 a day each address keeps five, above
 * 5,000 only those that were right today go on. */
static void many_guessers(void **state)
{
    enum { HOME = 1, SCHOOL = 88888 };
    struct limiter *l = limiter_new(NULL);
    int64_t t = 3 * DAY + HOUR;
    int looked = 0;
    (void)state;
    assert_int_equal(type_code(l, HOME, 5, t), OPENED);
    for (uint64_t c = 0; c < 10000; c++) {
        uint64_t wide = 5000 + c % 100, near = 100000 + c;
        for (int i = 0; i < 10; i++) {
            looked += type_from(l, place(near, near, wide), 0, t) == WRONG;
        }
    }
    assert_int_equal(looked, 5000);
    assert_int_equal(type_code(l, HOME, 5, t + MINUTE), OPENED);        /* was right today */
    assert_int_equal(type_code(l, 77777, 5, t + MINUTE), REFUSED);      /* typed, unknown today */
    limit_window_open(l, alone(SCHOOL).near, 5, t);                     /* a class still gets in */
    assert_int_equal(type_code(l, SCHOOL, 5, t + MINUTE), OPENED);
    assert_int_equal(type_code(l, 77777, 5, t + MINUTE), OPENED);       /* ... and from its homes */
    assert_int_equal(type_code(l, 77778, 6, t + MINUTE), WRONG);        /* that class alone */
    assert_int_equal(type_code(l, 77779, 5, t + 20 * MINUTE), REFUSED); /* for 20 minutes */
    assert_int_equal(type_code(l, 77779, 5, t + DAY), OPENED);          /* and tomorrow all do */
    talloc_free(l);
}

/* Guessing at a class whose window is open, from a network that has had its hundred: a hundred more;
 * from 600 networks: 50,000 in all. The teacher's own address goes on. */
static void guessing_at_a_window(void **state)
{
    enum { SCHOOL = 88888 };
    struct limiter *l = limiter_new(NULL);
    const struct client_keys each = {1, 1, 0};
    int64_t t = HOUR;
    int looked = 0;
    (void)state;
    limit_window_open(l, alone(SCHOOL).near, 5, t);
    assert_int_equal(wrong_of(l, 1000, place(1000, 1000, 4), each, t), 200);
    assert_int_equal(type_from(l, place(9000, 9000, 4), 5, t), REFUSED);
    for (uint64_t w = 100; w < 700; w++) {
        looked += wrong_of(l, 300, place(w * 1000, w * 1000, w), each, t);
    }
    assert_int_equal(looked + 200, 5000 + 50000);
    assert_int_equal(type_code(l, 77777, 5, t), REFUSED);
    assert_int_equal(type_code(l, SCHOOL, 5, t), OPENED);
    talloc_free(l);
}

/* A family's code is long: its own address alone counts, and nothing it does counts for others. */
static void family_codes(void **state)
{
    struct limiter *l = limiter_new(NULL);
    struct card_try t = {.from = alone(5), .family = true, .now_ms = HOUR};
    (void)state;
    for (int i = 0; i < 60; i++) {
        struct card_verdict v = limit_card_ask(l, &t);
        assert_int_equal(v.may, CARD_MAY_ANY);
        limit_card_wrong(l, &v, &t);
    }
    struct card_verdict v = limit_card_ask(l, &t);
    assert_int_equal(v.may, CARD_MAY_NOT);
    assert_in_range(v.retry_after_s, 1, 120);
    assert_int_equal(wrong_of(l, 200, place(6, alone(5).site, alone(5).wide),
                              (struct client_keys){1, 1, 0}, HOUR), 100);
    for (uint64_t c = 0; c < 60; c++) {
        (void)wrong_of(l, 200, place(1000 * c + 10000, 1000 * c + 10000, c + 10),
                       (struct client_keys){1, 1, 0}, HOUR);
    }
    assert_int_equal(type_code(l, 77777, 5, HOUR), REFUSED);
    t.from = alone(77777);
    v = limit_card_ask(l, &t);
    assert_int_equal(v.may, CARD_MAY_ANY);
    talloc_free(l);
}

static void who_is_there(void **state)
{
    struct limiter *l = limiter_new(NULL);
    (void)state;
    assert_false(limit_is_there(l, 5, HOUR));
    limit_seen(l, 5, HOUR);
    assert_true(limit_is_there(l, 5, HOUR + 20 * MINUTE - 1));
    assert_false(limit_is_there(l, 5, HOUR + 20 * MINUTE));
    assert_false(limit_is_there(l, 6, HOUR));
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
        cmocka_unit_test(widths),
        cmocka_unit_test(many_guessers),
        cmocka_unit_test(guessing_at_a_window),
        cmocka_unit_test(family_codes),
        cmocka_unit_test(who_is_there),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
