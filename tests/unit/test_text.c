/* SPDX-License-Identifier: MIT
 * base/text: the acceptance of text against Unicode's own examples, numbers against tables of what
 * can go wrong. */
#include "base/text.h"

#include <string.h>

#include "base/mem.h"
#include "t.h"

struct ok_case {
    const char *s;
    size_t n, min, max;
    bool want;
};
#define S(text) text, sizeof(text) - 1

static void acceptable_text(void **state)
{
    (void)state;
    static const struct ok_case cases[] = {
        {S("Asha"), 1, 40, true},
        {S(""), 1, 40, false},
        {S(""), 0, 40, true},
        {S("   "), 1, 40, false},
        {S("  ab  "), 2, 2, true},
        {S("a b"), 3, 3, true},
        {S("abc"), 1, 2, false},
        {S("\xC5\x81ucja"), 5, 5, true},                    /* code points are counted, not bytes */
        {S("\xF0\x9F\x8E\xBE"), 1, 1, true},
        {S("a\0b"), 1, 40, false},                           /* NUL inside */
        {S("a\nb"), 1, 40, false},
        {S("a\tb"), 1, 40, false},
        {S("a\x1B[31m"), 1, 40, false},
        {S("a\x7F"), 1, 40, false},
        {S("a\xC2\x85"), 1, 40, false},                      /* C1: NEL */
        {S("a\xC2\x9F"), 1, 40, false},
        {S("a\xE2\x80\xAE" "b"), 1, 40, false},              /* U+202E right-to-left override */
        {S("a\xE2\x81\xA6" "b"), 1, 40, false},              /* U+2066 isolate */
        {S("\xE2\x80\x8F\xD7\xA0"), 1, 40, true},            /* U+200F mark is ordinary Hebrew text */
        /* The Unicode Standard 15.0, table 3-7: well-formed sequences only. */
        {S("\xC0\x80"), 0, 40, false},                       /* over-long NUL */
        {S("\xC1\xBF"), 0, 40, false},
        {S("\xE0\x9F\xBF"), 0, 40, false},
        {S("\xED\xA0\x80"), 0, 40, false},                   /* surrogate D800 */
        {S("\xED\xBF\xBF"), 0, 40, false},
        {S("\xF0\x8F\xBF\xBF"), 0, 40, false},
        {S("\xF4\x90\x80\x80"), 0, 40, false},               /* above U+10FFFF */
        {S("\xF5\x80\x80\x80"), 0, 40, false},
        {S("\x80"), 0, 40, false},
        {S("a\xE2\x82"), 0, 40, false},                      /* cut off */
        {S("\xFF\xFE"), 0, 40, false},
    };
    for (size_t i = 0; i < T_COUNT(cases); i++) {
        const struct ok_case *c = &cases[i];
        if (text_ok(c->s, c->n, c->min, c->max) != c->want) {
            fail_msg("case %zu", i);
        }
    }
    assert_false(text_ok(NULL, 0, 0, 1));
}

/* Unicode Standard Annex #15 (revision 53): figures 3 to 5. */
static void composes_as_uax15_shows(void **state)
{
    (void)state;
    void *mem = mem_root();
    static const char *const pairs[][2] = {
        {"\xE2\x84\xAB", "\xC3\x85"},                        /* U+212B angstrom sign -> U+00C5 */
        {"\xE2\x84\xA6", "\xCE\xA9"},                        /* U+2126 ohm sign -> U+03A9 */
        {"A\xCC\x8A", "\xC3\x85"},                           /* A + ring -> U+00C5 */
        {"o\xCC\x82", "\xC3\xB4"},                           /* o + circumflex -> U+00F4 */
        {"s\xCC\xA3\xCC\x87", "\xE1\xB9\xA9"},               /* s + dot below + dot above */
        {"\xE1\xB8\x8B\xCC\xA3", "\xE1\xB8\x8D\xCC\x87"},    /* U+1E0B U+0323 -> U+1E0D U+0307 */
        {"\xEF\xAC\x81", "\xEF\xAC\x81"},                    /* the fi ligature stays under NFC */
    };
    for (size_t i = 0; i < T_COUNT(pairs); i++) {
        assert_string_equal(text_clean(mem, pairs[i][0]), pairs[i][1]);
    }
    talloc_free(mem);
}

static void cleans_white_space(void **state)
{
    (void)state;
    void *mem = mem_root();
    assert_string_equal(text_clean(mem, "  Oak \t\r\n class  "), "Oak class");
    assert_string_equal(text_clean(mem, "\xC2\xA0" "a\xE2\x80\x83\xE3\x80\x80" "b\xE2\x80\xA8"), "a b");
    assert_string_equal(text_clean(mem, ""), "");
    assert_string_equal(text_clean(mem, " \t"), "");
    assert_null(text_clean(mem, "a\xFF"));
    assert_null(text_clean(mem, NULL));
    talloc_free(mem);
}

/* NFKC_Casefold; values from Unicode 15.0 DerivedNormalizationProps.txt (NFKC_CF). */
static void folds_to_one_key(void **state)
{
    (void)state;
    void *mem = mem_root();
    static const char *const pairs[][2] = {
        {"ASHA", "asha"},
        {"Stra\xC3\x9F" "e", "strasse"},                     /* 00DF -> 0073 0073 */
        {"\xE1\xBA\x9E", "ss"},                              /* 1E9E -> 0073 0073 */
        {"\xEF\xAC\x81n", "fin"},                            /* FB01 -> 0066 0069 */
        {"\xEF\xBC\xA1", "a"},                               /* FF21 full-width A -> 0061 */
        {"\xCE\xA3\xCF\x82", "\xCF\x83\xCF\x83"},            /* 03A3, 03C2 -> 03C3 */
        {"a\xC2\xAD" "b", "ab"},                             /* 00AD soft hyphen -> nothing */
        {"a\xE2\x80\x8B" "b", "ab"},                         /* 200B -> nothing */
        {"A\xCC\x8A", "\xC3\xA5"},
        {"Jos\xC3\x89", "jos\xC3\xA9"},
        {"\xC2\xB2", "2"},                                   /* 00B2 -> 0032 */
    };
    for (size_t i = 0; i < T_COUNT(pairs); i++) {
        assert_string_equal(text_fold(mem, pairs[i][0]), pairs[i][1]);
    }
    assert_string_equal(text_fold(mem, text_clean(mem, " Mo\xCC\x81 ")), text_fold(mem, "m\xC3\xB3"));
    assert_null(text_fold(mem, "\xC3"));
    assert_null(text_fold(mem, NULL));
    talloc_free(mem);
}

/* Where a name stands in an alphabetical list read in Britain: marks and strokes last. Names are
 * invented; the order is common practice; no source. */
static void orders_names_by_letter(void **state)
{
    (void)state;
    static const char *const sorted[] = {
        "abel",        "\xc3\xa1" "bel", "ada",         "\xc3\xa6" "ra", "\xc4\x91" "an", "ella",
        "\xc3\xa9" "lla", "ella b", "lars", "\xc5\x82" "ucja", "luz", "ola", "\xc3\xb8" "yvind",
        "zo\xc3\xab", "zoe a", "\xd0\xb0\xd0\xbd\xd0\xbd\xd0\xb0",
    };
    for (size_t i = 0; i < T_COUNT(sorted); i++) {
        for (size_t j = 0; j < T_COUNT(sorted); j++) {
            int got = text_order(sorted[i], strlen(sorted[i]), sorted[j], strlen(sorted[j]));
            if ((got > 0) - (got < 0) != (i > j) - (i < j)) {
                fail_msg("%s against %s: %d", sorted[i], sorted[j], got);
            }
        }
    }
    assert_int_equal(text_order("", 0, "", 0), 0);
    assert_true(text_order("", 0, "a", 1) < 0);
}

static void reads_whole_numbers(void **state)
{
    (void)state;
    static const struct {
        const char *s;
        bool want;
        int64_t v;
    } cases[] = {
        {"0", true, 0}, {"7", true, 7}, {"-7", true, -7}, {"007", true, 7}, {"-0", true, 0},
        {"9223372036854775807", true, INT64_MAX}, {"-9223372036854775808", true, INT64_MIN},
        {"9223372036854775808", false, 0}, {"-9223372036854775809", false, 0},
        {"99999999999999999999999", false, 0}, {"", false, 0}, {"-", false, 0}, {"+7", false, 0},
        {" 7", false, 0}, {"7 ", false, 0}, {"7.0", false, 0}, {"1e3", false, 0},
        {"0x10", false, 0}, {"--1", false, 0}, {"\xD9\xA1", false, 0} /* Arabic-Indic 1 */,
    };
    for (size_t i = 0; i < T_COUNT(cases); i++) {
        int64_t v = 99;
        if (text_int(cases[i].s, INT64_MIN, INT64_MAX, &v) != cases[i].want) {
            fail_msg("\"%s\"", cases[i].s);
        }
        assert_int_equal(v, cases[i].want ? cases[i].v : 99);
    }
    int64_t v;
    assert_true(text_int("5", 5, 5, &v));
    assert_false(text_int("4", 5, 9, &v));
    assert_false(text_int("10", 5, 9, &v));
    assert_false(text_int(NULL, 0, 1, &v));
}

static void reads_everyday_decimals(void **state)
{
    (void)state;
    static const struct {
        const char *s;
        int places;
        bool want;
        int64_t v;
    } cases[] = {
        {"4,25", 2, true, 425}, {"4.25", 2, true, 425}, {"4.2", 2, true, 420}, {"4", 2, true, 400},
        {"0.05", 2, true, 5}, {"12", 0, true, 12}, {"03.50", 2, true, 350},
        {"4.253", 2, false, 0}, {"4.0", 0, false, 0}, {".5", 2, false, 0}, {"5.", 2, false, 0},
        {"1.2.3", 2, false, 0}, {"1,2,3", 2, false, 0}, {"-1", 2, false, 0}, {"+1", 2, false, 0},
        {"1e2", 2, false, 0}, {"", 2, false, 0}, {"abc", 2, false, 0}, {"1 ", 2, false, 0},
        {"100000", 2, true, 10000000}, {"100000.01", 2, false, 0},
        {"92233720368547758079", 3, false, 0}, {"9223372036854775807", 3, false, 0},
    };
    for (size_t i = 0; i < T_COUNT(cases); i++) {
        int64_t v = 99;
        if (text_decimal(cases[i].s, cases[i].places, 10000000, &v) != cases[i].want) {
            fail_msg("\"%s\"", cases[i].s);
        }
        assert_int_equal(v, cases[i].want ? cases[i].v : 99);
    }
    int64_t v;
    assert_false(text_decimal(NULL, 2, 10, &v));
}

static void reads_ids(void **state)
{
    (void)state;
    int64_t v = 0;
    assert_true(text_id("1", &v) && v == 1);
    assert_true(text_id("9223372036854775807", &v) && v == INT64_MAX);
    static const char *const bad[] = {"0", "01", "-1", "", "9223372036854775808", "1a", " 1", "+1"};
    for (size_t i = 0; i < T_COUNT(bad); i++) {
        assert_false(text_id(bad[i], &v));
    }
    assert_false(text_id(NULL, &v));
}

/* RFC 9562, section 4 (the text form) and appendix A.6 (a version 7 example with its bytes). */
static void reads_uuids_as_rfc9562(void **state)
{
    (void)state;
    static const uint8_t v7[16] = {0x01, 0x7F, 0x22, 0xE2, 0x79, 0xB0, 0x7C, 0xC3,
                                   0x98, 0xC4, 0xDC, 0x0C, 0x0C, 0x07, 0x39, 0x8F};
    uint8_t id[16];
    char text[37];
    assert_true(text_uuid("017F22E2-79B0-7CC3-98C4-DC0C0C07398F", id));
    assert_memory_equal(id, v7, 16);
    text_uuid_print(id, text);
    assert_string_equal(text, "017f22e2-79b0-7cc3-98c4-dc0c0c07398f");
    assert_true(text_uuid("f81d4fae-7dec-11d0-a765-00a0c91e6bf6", id));
    text_uuid_print(id, text);
    assert_string_equal(text, "f81d4fae-7dec-11d0-a765-00a0c91e6bf6");
    static const char *const bad[] = {
        "", "017F22E2-79B0-7CC3-98C4-DC0C0C07398", "017F22E2-79B0-7CC3-98C4-DC0C0C07398FF",
        "017F22E279B07CC398C4DC0C0C07398F", "{17F22E2-79B0-7CC3-98C4-DC0C0C07398}",
        "017F22E2-79B0-7CC3-98C4-DC0C0C07398G", "017F22E2_79B0-7CC3-98C4-DC0C0C07398F",
        "017F-22E279B0-7CC3-98C4-DC0C0C07398F", "017F22E2-79B0-7CC3-98C4 DC0C0C07398F",
    };
    for (size_t i = 0; i < T_COUNT(bad); i++) {
        assert_false(text_uuid(bad[i], id));
    }
    assert_false(text_uuid(NULL, id));
}

struct prose_case {
    const char *s, *want;
    bool lost;
};

/* Newlines: The Unicode Standard, 5.8 "Newline Guidelines", table 5-1 and rule R4. The rest is our
 * own rule. */
static void prose_is_mended(void **state)
{
    (void)state;
    static const struct prose_case cases[] = {
        {"", "", false},
        {" \t\r\n ", "", false},
        {"One smooth swing.", "One smooth swing.", false},
        {"one\ntwo", "one\ntwo", false},
        {"one\r\ntwo\rthree", "one\ntwo\nthree", false},
        {"one\n\rtwo", "one\n\ntwo", false},             /* LF, then CR: two newlines */
        {"one\r\n\r\ntwo", "one\n\ntwo", false},
        {"one\vtwo\fthree", "one\ntwo\nthree", false},
        {"one\xC2\x85two\xE2\x80\xA8three\xE2\x80\xA9" "four", "one\ntwo\nthree\nfour", false},
        {"one\ttwo", "one two", false},
        {"  one \t two  \n  three  ", "one two\nthree", false},
        {"one\xC2\xA0two", "one two", false},
        {"\n\none\n\n", "one", false},
        {"one\n \t \ntwo", "one\n\ntwo", false},
        {"a\x01" "b\x1B[31mc\x7F" "d\xC2\x9F" "e", "ab[31mcde", true},
        {"a\xE2\x80\xAE" "b\xE2\x81\xA6" "c\xE2\x81\xA9", "abc", true},
        {"\x01\x02", "", true},
        {"\xE2\x80\x8F\xD7\xA0", "\xE2\x80\x8F\xD7\xA0", false},   /* U+200F is ordinary text */
        {"e\x01\xCC\x81", "\xC3\xA9", true},                        /* NFC of what is left */
        {"a\xCC\x81\x01\xCC\xA3", "\xE1\xBA\xA1\xCC\x81", true},
        {"\xC0\x80", NULL, false},
        {"a\xE2\x82", NULL, false},
    };
    void *mem = mem_root();
    for (size_t i = 0; i < T_COUNT(cases); i++) {
        const struct prose_case *c = &cases[i];
        bool lost = false;
        char *got = text_prose(mem, c->s, &lost);
        if (c->want == NULL ? got != NULL : got == NULL || strcmp(got, c->want) || lost != c->lost) {
            fail_msg("case %zu: %s", i, got ? got : "(none)");
        }
        if (got != NULL) {
            char *again = text_prose(mem, got, NULL);
            assert_string_equal(again, got);
        }
    }
    assert_null(text_prose(mem, NULL, NULL));
    assert_int_equal(text_length("\xC5\x81u\nc"), 4);
    talloc_free(mem);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(acceptable_text),
        cmocka_unit_test(prose_is_mended),
        cmocka_unit_test(composes_as_uax15_shows),
        cmocka_unit_test(cleans_white_space),
        cmocka_unit_test(folds_to_one_key),
        cmocka_unit_test(orders_names_by_letter),
        cmocka_unit_test(reads_whole_numbers),
        cmocka_unit_test(reads_everyday_decimals),
        cmocka_unit_test(reads_ids),
        cmocka_unit_test(reads_uuids_as_rfc9562),
    };
    return cmocka_run_group_tests_name("text", tests, NULL, NULL);
}
