/* SPDX-License-Identifier: MIT
 * What a child may type on the plain form. Spellings are our own list; the unit rules are those of
 * the published interface: a total in everyday units ('.' or ','), or each throw. */
#include "handlers/quick_internal.h"
#include "handlers/value_words.h"
#include "base/mem.h"
#include "t.h"

static struct activity of(enum activity_kind kind, enum value_unit unit)
{
    return (struct activity){.kind = kind, .unit = unit, .throws = 4, .attempts = 3};
}

static void a_total_or_each_throw(void **state)
{
    (void)state;
    const struct activity a = of(ACTIVITY_KIND_ZONES, VALUE_POINTS);
    struct tried t;
    const char *const totals[] = {"9", " 9 ", "9 points", "9points"};
    for (size_t i = 0; i < T_COUNT(totals); i++) {
        assert_true(quick_read_attempt(&a, totals[i], &t));
        assert_true(t.has_value);
        assert_int_equal(t.value, 9);
        assert_int_equal(t.throw_count, 0);
    }
    const char *const throws[] = {"5 2 0 2", "5,2,0,2", "5, 2, 0, 2", "5+2+0+2", "  5  2 0;2 "};
    for (size_t i = 0; i < T_COUNT(throws); i++) {
        assert_true(quick_read_attempt(&a, throws[i], &t));
        assert_false(t.has_value);
        assert_int_equal(t.throw_count, 4);
        assert_int_equal(t.throws[0], 5);
        assert_int_equal(t.throws[3], 2);
    }
    const char *const nonsense[] = {"", " ", "nine", "-1", "5 x 2", "9.5", "1e3", "99999", "5--2",
                                    "\"><script>", "٣", "5 2 0 2 points each"};
    for (size_t i = 0; i < T_COUNT(nonsense); i++) {
        assert_false(quick_read_attempt(&a, nonsense[i], &t));
    }
}

struct reading {
    const char *text;
    int64_t value;      /* -1: not one */
};

static void check(enum activity_kind kind, enum value_unit unit, const struct reading *r, size_t n)
{
    const struct activity a = of(kind, unit);
    for (size_t i = 0; i < n; i++) {
        struct tried t;
        bool ok = quick_read_attempt(&a, r[i].text, &t);
        if (ok != (r[i].value >= 0) || (ok && t.value != r[i].value)) {
            print_error("%s: %lld\n", r[i].text, ok ? (long long)t.value : -1LL);
            fail();
        }
    }
}

static void everyday_units(void **state)
{
    (void)state;
    static const struct reading seconds[] = {
        {"12.4", 12400}, {"12,4", 12400}, {"12", 12000}, {"12.345", 12345}, {"12.3456", -1},
        {"1:05", 65000}, {"1:05.5", 65500}, {"10:00", 600000}, {"1:5", -1}, {"1:60", -1},
        {"12.4 s", 12400}, {"12.4s", 12400}, {"3 seconds", 3000}, {"s", -1}, {":30", -1},
        {"1.2.3", -1}, {"-3", -1}, {"+3", -1}, {".5", -1}, {"5.", -1}, {"999999999999", -1},
        {"2 m", -1}, {"12 cm", -1},
    };
    static const struct reading centimetres[] = {
        {"85", 850}, {"85.5", 855}, {"85,5", 855}, {"85 cm", 850}, {"85cm", 850}, {"85.55", -1},
        {"1:05", -1}, {"abc", -1}, {"1.2 m", -1}, {"2 metres", -1}, {"85 s", -1},
    };
    static const struct reading counts[] = {
        {"17", 17}, {"17 times", 17}, {"0", 0}, {"17.5", -1}, {"17 18", -1}, {"", -1}, {"17 s", -1},
    };
    check(ACTIVITY_KIND_MEASURE, VALUE_MS, seconds, T_COUNT(seconds));
    check(ACTIVITY_KIND_MEASURE, VALUE_MM, centimetres, T_COUNT(centimetres));
    check(ACTIVITY_KIND_TIMED_COUNT, VALUE_COUNT, counts, T_COUNT(counts));
}

static void distances_in_metres(void **state)
{
    (void)state;
    int32_t mm = 0;
    assert_true(quick_read_distance("3", &mm));
    assert_int_equal(mm, 3000);
    assert_true(quick_read_distance("2,5 m", &mm));
    assert_int_equal(mm, 2500);
    assert_false(quick_read_distance("0", &mm));
    assert_false(quick_read_distance("far", &mm));
    assert_false(quick_read_distance("-2", &mm));
}

static const char *words(void *ctx, enum value_unit unit, int64_t value)
{
    struct buf b;
    buf_init(&b, ctx);
    value_words(&b, unit, value);
    return b.data;
}

static void values_in_words(void **state)
{
    (void)state;
    void *ctx = mem_root();
    assert_string_equal(words(ctx, VALUE_MS, 12400), "12.4 seconds");
    assert_string_equal(words(ctx, VALUE_MS, 12045), "12.045 seconds");
    assert_string_equal(words(ctx, VALUE_MS, 1000), "1 second");
    assert_string_equal(words(ctx, VALUE_MM, 850), "85 cm");
    assert_string_equal(words(ctx, VALUE_MM, 855), "85.5 cm");
    assert_string_equal(words(ctx, VALUE_POINTS, 1), "1 point");
    assert_string_equal(words(ctx, VALUE_COUNT, 17), "17");
    talloc_free(ctx);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_total_or_each_throw),
        cmocka_unit_test(everyday_units),
        cmocka_unit_test(distances_in_metres),
        cmocka_unit_test(values_in_words),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
