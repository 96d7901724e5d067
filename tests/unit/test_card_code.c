/* SPDX-License-Identifier: MIT
 * Card codes: the mathematics exhaustively, the drawing statistically, the reader by table. */
#include "t.h"

#include <string.h>

#include "auth/card_code.h"
#include "base/rand.h"

enum { CODES = 200, DRAWS = 40000, LETTERS = 19 };

static int place(char c)
{
    return (int)(strchr(card_letters, c) - card_letters);
}

/* Every single wrong letter and every swap of two different letters, at both lengths. */
static void check_letter_catches(void **state)
{
    static const size_t lengths[] = {CARD_PUPIL, CARD_FAMILY};
    (void)state;
    for (size_t k = 0; k < T_COUNT(lengths); k++) {
        for (int i = 0; i < CODES; i++) {
            char code[CARD_FAMILY + 1], bad[CARD_FAMILY + 1];
            card_code_new(lengths[k], code);
            assert_int_equal(strlen(code), lengths[k]);
            assert_true(card_code_check(code, lengths[k]));
            for (size_t at = 0; at < lengths[k]; at++) {
                for (int l = 0; l < LETTERS; l++) {
                    memcpy(bad, code, sizeof bad);
                    bad[at] = card_letters[l];
                    assert_int_equal(card_code_check(bad, lengths[k]), bad[at] == code[at]);
                }
                for (size_t to = at + 1; to < lengths[k]; to++) {
                    memcpy(bad, code, sizeof bad);
                    bad[at] = code[to];
                    bad[to] = code[at];
                    assert_int_equal(card_code_check(bad, lengths[k]), code[at] == code[to]);
                }
            }
        }
    }
}

/* The weights' property itself, with no code drawn: w * d is never 0 modulo 19 for a wrong letter,
 * (w - v) * d never for a swap. (A prime modulus has no zero divisors: elementary number theory.) */
static void weights_have_no_zero_divisors(void **state)
{
    (void)state;
    for (int w = 1; w <= CARD_FAMILY; w++) {
        for (int d = 1; d < LETTERS; d++) {
            assert_int_not_equal(w * d % LETTERS, 0);
            for (int v = 1; v < w; v++) {
                assert_int_not_equal((w - v) * d % LETTERS, 0);
            }
        }
    }
}

/* Worked by hand: B is 0, C 1, D 2, F 3, G 4, H 5, J 6, K 7 ... BCDFGHJK gives
 * 1*0+2*1+3*2+4*3+5*4+6*5+7*6+8*7 = 168 = 16 mod 19; 9*x = 3 mod 19 has x = 13 (9*13 = 117 = 6*19+3),
 * and place 13 is T (K 7, M 8, N 9, P 10, R 11, S 12, T 13). */
static void worked_example(void **state)
{
    (void)state;
    assert_true(card_code_check("BCDFGHJKT", 9));
    assert_false(card_code_check("BCDFGHJKS", 9));
    assert_false(card_code_check("BCDFGHKJT", 9));
    assert_false(card_code_check("BCDFGHJA", 8));
}

/* Letters are even: chi-square over what fills the 8 random places, 18 degrees of freedom; 42.31 is
 * exceeded once in a thousand (standard tables). A fixed seed keeps it from failing by chance. */
static void letters_are_even(void **state)
{
    long seen[LETTERS] = {0};
    double expected, chi = 0;
    (void)state;
    rand_reproducible(20261125);
    for (long drawn = 0; drawn < 8L * DRAWS; drawn++) {
        seen[rand_below(LETTERS)]++;
    }
    expected = 8.0 * DRAWS / LETTERS;
    for (int l = 0; l < LETTERS; l++) {
        double d = (double)seen[l] - expected;
        chi += d * d / expected;
    }
    assert_true(chi < 42.31);

    /* In codes the blocklist takes some: no letter may be off by more than 8 in 100. */
    memset(seen, 0, sizeof seen);
    long total = 0;
    for (int i = 0; i < DRAWS; i++) {
        char code[CARD_FAMILY + 1];
        card_code_new(CARD_PUPIL, code);
        for (int at = 0; at < CARD_PUPIL; at++, total++) {
            seen[place(code[at])]++;
        }
    }
    for (int l = 0; l < LETTERS; l++) {
        near_to((double)seen[l] * LETTERS / (double)total, 1.0, 0.08);
    }
}

static void no_rude_code_is_drawn(void **state)
{
    (void)state;
    assert_true(card_code_is_rude("BKFCKTRMW"));
    assert_true(card_code_is_rude("SHTBKTRMW"));
    assert_true(card_code_is_rude("BKTRMWTWT"));
    assert_false(card_code_is_rude("BKTRMWHZV"));
    for (int i = 0; i < DRAWS; i++) {
        char code[CARD_FAMILY + 1];
        card_code_new(i % 2 ? CARD_PUPIL : CARD_FAMILY, code);
        assert_false(card_code_is_rude(code));
        assert_null(strstr(code, "FCK"));
        assert_null(strstr(code, "SHT"));
    }
}

static void codes_do_not_repeat(void **state)
{
    enum { N = 3000 };
    static char codes[N][CARD_FAMILY + 1];
    (void)state;
    for (int i = 0; i < N; i++) {
        card_code_new(CARD_PUPIL, codes[i]);
        for (int k = 0; k < i; k++) {
            assert_string_not_equal(codes[i], codes[k]);
        }
    }
}

/* A good code in every way a child may type it, and what is refused. */
static void reader(void **state)
{
    static const struct {
        const char *typed;
        enum card_code_fault want;
        const char *code;
    } rows[] = {
        {"BCDFGHJKT", CARD_CODE_OK, "BCDFGHJKT"},
        {"bcd fgh jkt", CARD_CODE_OK, "BCDFGHJKT"},
        {" bcd-fgh-jkt ", CARD_CODE_OK, "BCDFGHJKT"},
        {"8CD F6H JKT", CARD_CODE_OK, "BCDFGHJKT"},     /* 8 is B, 6 is G */
        {"BCD\xe2\x80\x93" "FGH\xc2\xa0JKT", CARD_CODE_OK, "BCDFGHJKT"},
        {"", CARD_CODE_EMPTY, NULL},
        {" - ", CARD_CODE_EMPTY, NULL},
        {"BCDFGHJK", CARD_CODE_LENGTH, NULL},
        {"BCDFGHJKTT", CARD_CODE_LENGTH, NULL},
        {"BCDFGHJKTBCDFGHJKT", CARD_CODE_LENGTH, NULL},
        {"BCDFGHJKS", CARD_CODE_CHECK, NULL},
        {"BCDFGHKJT", CARD_CODE_CHECK, NULL},
        {"ACDFGHJKT", CARD_CODE_LETTER, NULL},
        {"BCDFGHJK0", CARD_CODE_LETTER, NULL},
        {"BCDFGHJK\xc3\x9f", CARD_CODE_LETTER, NULL},
        {"BCDFGHJKT;", CARD_CODE_LETTER, NULL},
    };
    char out[CARD_FAMILY + 1];
    (void)state;
    for (size_t i = 0; i < T_COUNT(rows); i++) {
        assert_int_equal(card_code_read(rows[i].typed, strlen(rows[i].typed), out), rows[i].want);
        if (rows[i].code) {
            assert_string_equal(out, rows[i].code);
        }
    }
    assert_int_equal(card_code_read("BCD\0FGHJKT", 10, out), CARD_CODE_LETTER);
    /* 5 is S, 2 is Z, U is V: the same code either way. */
    assert_int_equal(card_code_read("52U", 3, out), CARD_CODE_LENGTH);
    assert_string_equal(out, "SZV");
}

static void printed_and_read_back(void **state)
{
    (void)state;
    for (int i = 0; i < 500; i++) {
        char code[CARD_FAMILY + 1], text[CARD_CODE_TEXT], back[CARD_FAMILY + 1];
        card_code_new(i % 2 ? CARD_PUPIL : CARD_FAMILY, code);
        card_code_print(code, text);
        assert_int_equal(card_code_read(text, strlen(text), back), CARD_CODE_OK);
        assert_string_equal(back, code);
    }
    char text[CARD_CODE_TEXT];
    card_code_print("BKTRMWHZV", text);
    assert_string_equal(text, "BKT RMW HZV");
}

/* RFC 4648 base32 against another implementation, and the round trip. */
static void keys_round_trip(void **state)
{
    char text[CARD_KEY_TEXT];
    uint8_t made[CARD_HASH], read[CARD_HASH];
    (void)state;
    for (int i = 0; i < 500; i++) {
        card_key_new(text, made);
        assert_int_equal(strlen(text), 26);
        assert_int_equal(strspn(text, "ABCDEFGHIJKLMNOPQRSTUVWXYZ234567"), 26);
        assert_true(card_key_hash(text, 26, read));
        assert_memory_equal(made, read, CARD_HASH);
        text[25] = text[25] == 'A' ? 'B' : 'A';
        if (card_key_hash(text, 26, read)) {
            assert_memory_not_equal(made, read, CARD_HASH);
        }
    }
    /* "foobarfoobarfoob" in base32: MZXW6YTBOJTG633CMFZGM33PMI (python3 base64.b32encode). Its
     * BLAKE2b-256 (python3 hashlib.blake2b(b"foobarfoobarfoob", digest_size=32)). */
    static const uint8_t want[4] = {0x4b, 0x48, 0x68, 0xd6};
    assert_true(card_key_hash("MZXW6YTBOJTG633CMFZGM33PMI", 26, read));
    assert_memory_equal(read, want, sizeof want);
    assert_true(card_key_hash("mzxw6ytbojtg633cmfzgm33pmi", 26, read));
    assert_memory_equal(read, want, sizeof want);
    assert_false(card_key_hash("MZXW6YTBOJTG633CMFZGM33PMJ", 26, read));    /* bits beyond 128 */
    assert_false(card_key_hash("MZXW6YTBOJTG633CMFZGM33PM1", 26, read));
    assert_false(card_key_hash("MZXW6YTBOJTG633CMFZGM33PM", 25, read));
}

/* The keyed hash: HMAC-SHA-512 (RFC 2104) cut to its first 256 bits,
 * compared with python3 hmac.new(key, b"code1BKTRMWHZV", "sha512").digest()[:32]. */
static void code_hash_is_hmac(void **state)
{
    struct keys k;
    uint8_t got[CARD_HASH];
    static const uint8_t want[4] = {0xf2, 0x12, 0x50, 0xe2};
    (void)state;
    memset(&k, 0, sizeof k);
    for (int i = 0; i < KEY_LEN; i++) {
        k.cardhash[i] = (uint8_t)i;
    }
    card_code_hash(&k, "BKTRMWHZV", got);
    assert_memory_equal(got, want, sizeof want);
    k.cardhash[0] = 1;
    card_code_hash(&k, "BKTRMWHZV", got);
    assert_memory_not_equal(got, want, sizeof want);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(check_letter_catches),
        cmocka_unit_test(weights_have_no_zero_divisors),
        cmocka_unit_test(worked_example),
        cmocka_unit_test(no_rude_code_is_drawn),
        cmocka_unit_test(codes_do_not_repeat),
        cmocka_unit_test(reader),
        cmocka_unit_test(printed_and_read_back),
        cmocka_unit_test(keys_round_trip),
        cmocka_unit_test(code_hash_is_hmac),
        cmocka_unit_test(letters_are_even),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
