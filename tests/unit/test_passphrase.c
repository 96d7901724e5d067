/* SPDX-License-Identifier: MIT
 * Passphrases: length, refusals, hashes. Lengths after NCSC's three random words and ASVS 5.0
 * 6.2.1 and 6.2.9; costs after the OWASP password storage sheet (Argon2id, 19 MiB, 2 passes). */
#include "t.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "auth/passphrase.h"

static const char *refused(const char *text)
{
    return passphrase_refusal(text, strlen(text), "Larkfold Primary School", "R. Amberley");
}

static void length(void **state)
{
    char text[PASSPHRASE_MAX + 2];
    (void)state;
    assert_string_equal(refused("orbit-plum3"), "too_short");
    assert_null(refused("orbit-plum-3"));
    for (size_t i = 0; i < sizeof text - 1; i++) {
        text[i] = (char)('a' + i * i * 7 % 26);
    }
    memcpy(text, "kettle orbit", 12);
    text[PASSPHRASE_MAX + 1] = '\0';
    assert_string_equal(refused(text), "too_long");
    text[PASSPHRASE_MAX] = '\0';
    assert_null(refused(text));
}

static void common_ones(void **state)
{
    static const char *const bad[] = {
        "passwordpassword", "password1234", "Password2026!", "P@ssw0rd1234", "p4ssw0rdp4ssw0rd",
        "letmeinletmein", "letmein-please", "iloveyou2026", "iloveyouforever", "welcome12345",
        "qwertyuiop12", "QWERTYUIOPAS", "1q2w3e4r5t6y", "asdfghjkl123", "zxcvbnm,./123",
        "123456789012", "987654321098", "abcdefghijkl", "zyxwvutsrqpo", "aaaaaaaaaaaa",
        "abababababab", "123123123123", "abcabcabcabc", "footballfootball", "football2026",
        "Summer2026!!", "september2026", "monkeydragon1", "qwertyqwerty", "sunshine-sunshine",
        "liverpool1892", "changeme-now", "administrator", "administrator1", "correcthorsebatterystaple",
        "            ", "............", "trustno1trustno1", "opensesame123", "princess-princess",
    };
    (void)state;
    for (size_t i = 0; i < T_COUNT(bad); i++) {
        const char *code = refused(bad[i]);
        if (!code) {
            print_error("not refused: %s\n", bad[i]);
        }
        assert_non_null(code);
    }
}

/* The rule behind the list: any of the usual words with any year and sign. Counted, because the
 * list is our own and not a published one. */
static void words_with_years(void **state)
{
    static const char *const words[] = {
        "password", "football", "liverpool", "sunshine", "princess", "superman", "chocolate",
        "butterfly", "september", "wednesday", "administrator", "iloveyou", "basketball",
        "starwars", "pokemon", "charlotte", "manchester", "strawberry", "christmas", "letmein"};
    int tried = 0;
    (void)state;
    for (size_t w = 0; w < T_COUNT(words); w++) {
        for (int t = 0; t < 6; t++) {
            for (int year = 1980; year <= 2030; year++) {
                char text[64], tail[24];
                switch (t) {
                case 0: snprintf(tail, sizeof tail, "%d", year); break;
                case 1: snprintf(tail, sizeof tail, "%d!", year); break;
                case 2: snprintf(tail, sizeof tail, "-%d", year); break;
                case 3: snprintf(tail, sizeof tail, "%d%d", year % 100, year % 100); break;
                case 4: snprintf(tail, sizeof tail, "!%d", year); break;
                default: snprintf(tail, sizeof tail, "_%d?", year); break;
                }
                snprintf(text, sizeof text, "%s%s", words[w], tail);
                assert_non_null(refused(text));
                tried++;
            }
        }
    }
    assert_int_equal(tried, 20 * 6 * 51);
}

static void own_words(void **state)
{
    (void)state;
    assert_string_equal(refused("larkfold-primary-school"), "own_words");
    assert_string_equal(refused("Larkfold2026!"), "own_words");
    assert_string_equal(refused("Amberley-Larkfold"), "own_words");
    assert_string_equal(refused("thrice-thrice-pupil"), "own_words");
    assert_string_equal(refused("TeacherSchool1"), "own_words");
    assert_null(refused("larkfold kettle orbit"));
    assert_null(passphrase_refusal("larkfoldlarkfoldx7quilt", 23, NULL, NULL));
}

static void good_ones(void **state)
{
    static const char *const good[] = {
        "plum-kettle-orbit-sand", "seventeen quiet otters", "tall giraffes juggle", "mV7#kq2Lw9$z",
        "\xd1\x81\xd0\xb8\xd0\xbd\xd0\xb8\xd0\xb9 \xd1\x87\xd0\xb0\xd0\xb9\xd0\xbd\xd0\xb8\xd0\xba"
        " \xd0\xb8 \xd0\xbb\xd0\xb5\xd1\x81", "837465018273",
    };
    (void)state;
    for (size_t i = 0; i < T_COUNT(good); i++) {
        const char *code = refused(good[i]);
        if (code) {
            print_error("%s: %s\n", good[i], code);
        }
        assert_null(code);
    }
}

static void drawn_ones(void **state)
{
    char a[PASSPHRASE_WORDS], b[PASSPHRASE_WORDS];
    (void)state;
    for (int i = 0; i < 2000; i++) {
        int hyphens = 0;
        passphrase_words(a);
        assert_null(refused(a));
        for (const char *p = a; *p; p++) {
            hyphens += *p == '-';
        }
        assert_int_equal(hyphens, 3);
        passphrase_words(b);
        assert_string_not_equal(a, b);
    }
}

static void family_phrase_is_forgiving(void **state)
{
    char out[PASSPHRASE_WORDS];
    (void)state;
    assert_int_equal(passphrase_family_tidy("  Plum  kettle-ORBIT ", 21, out), 17);
    assert_string_equal(out, "plum-kettle-orbit");
    assert_int_equal(passphrase_family_tidy("   ", 3, out), 0);
    assert_int_equal(passphrase_family_tidy("a\nb", 3, out), 0);
    passphrase_family_words(out);
    char again[PASSPHRASE_WORDS];
    assert_int_equal(passphrase_family_tidy(out, strlen(out), again), strlen(out));
    assert_string_equal(out, again);
}

static void hashes(void **state)
{
    char hash[PASSPHRASE_HASH], other[PASSPHRASE_HASH];
    static const char text[] = "plum-kettle-orbit-sand";
    size_t n = sizeof text - 1;
    (void)state;
    setenv("THRICE_KDF", "floor", 1);
    assert_int_equal(passphrase_hash(text, n, hash), OK);
    assert_non_null(strstr(hash, "$argon2id$v=19$m=19456,t=2,p=1$"));
    assert_int_equal(passphrase_hash(text, n, other), OK);
    assert_string_not_equal(hash, other);           /* salted */
    assert_true(passphrase_verify(hash, text, n));
    assert_false(passphrase_verify(hash, text, n - 1));
    assert_false(passphrase_verify(hash, "Plum-kettle-orbit-sand", n));
    assert_false(passphrase_verify(hash, "plum-kettle-orbit-sand ", n + 1));
    assert_false(passphrase_verify("", text, n));
    assert_false(passphrase_verify("$argon2id$nonsense", text, n));
    assert_false(passphrase_is_stale(hash));
    assert_false(passphrase_is_stale("not a hash"));
    unsetenv("THRICE_KDF");
    assert_int_equal(passphrase_hash(text, n, other), OK);
    if (strstr(other, "m=32768,t=3")) {             /* not on a machine under 1 GiB */
        assert_true(passphrase_is_stale(hash));
    }
}

/* An outside value: the reference implementation's own test (phc-winner-argon2, test.c: version
 * 0x13, t=2, m=65536, p=1, "password", "somesalt", Argon2id). */
static void verifies_a_published_hash(void **state)
{
    static const char published[] =
        "$argon2id$v=19$m=65536,t=2,p=1$c29tZXNhbHQ$CTFhFdXPJO1aFaMaO6Mm5c8y7cJHAph8ArZWb2GRPPc";
    (void)state;
    assert_true(passphrase_verify(published, "password", 8));
    assert_false(passphrase_verify(published, "Password", 8));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(length),
        cmocka_unit_test(common_ones),
        cmocka_unit_test(words_with_years),
        cmocka_unit_test(own_words),
        cmocka_unit_test(good_ones),
        cmocka_unit_test(drawn_ones),
        cmocka_unit_test(family_phrase_is_forgiving),
        cmocka_unit_test(hashes),
        cmocka_unit_test(verifies_a_published_hash),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
