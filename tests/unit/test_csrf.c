/* SPDX-License-Identifier: MIT
 * Provenance: every combination of what browsers send, against the rules written out once more.
 * Header values: Fetch Metadata (W3C) and the Fetch standard. */
#include "t.h"

#include <string.h>

#include "auth/csrf.h"

static const char *const own[] = {"https://pe.larkfold.example", "http://127.0.0.1:8080", NULL};
static const char *const sites[] = {NULL, "same-origin", "same-site", "cross-site", "none", "",
                                    "Same-Origin", "same-origin, same-origin"};
static const char *const origins[] = {
    NULL, "https://pe.larkfold.example", "http://127.0.0.1:8080", "null", "",
    "https://pe.larkfold.example.evil.example", "http://pe.larkfold.example",
    "https://pe.larkfold.example:443", "https://PE.larkfold.example", "https://evil.example",
    "https://pe.larkfold.example/"};

static void unsafe_methods(void **state)
{
    int passed = 0;
    (void)state;
    for (size_t s = 0; s < T_COUNT(sites); s++) {
        for (size_t o = 0; o < T_COUNT(origins); o++) {
            struct provenance p = {.sec_fetch_site = sites[s], .origin = origins[o]};
            bool site_ok = s == 0 || s == 1;    /* absent, same-origin */
            bool origin_ok = o <= 2;            /* absent, ours */
            assert_int_equal(provenance_may_write(&p, own), site_ok && origin_ok);
            passed += site_ok && origin_ok;
        }
    }
    assert_int_equal(passed, 6);
    struct provenance ours = {.origin = own[0]};
    assert_false(provenance_may_write(&ours, NULL));
}

static void form_without_cookie(void **state)
{
    static const struct {
        struct provenance p;
        bool want;
    } rows[] = {
        {{.origin = NULL}, true},
        {{.origin = "https://pe.larkfold.example"}, true},
        {{.origin = "null"}, true},
        {{.origin = "https://evil.example"}, false},
        {{.referer = "https://pe.larkfold.example/quick"}, true},
        {{.referer = "https://pe.larkfold.example"}, true},
        {{.referer = "https://pe.larkfold.example.evil.example/"}, false},
        {{.referer = "https://evil.example/?https://pe.larkfold.example/"}, false},
        {{.referer = ""}, true},
        {{.sec_fetch_site = "cross-site"}, false},
        {{.sec_fetch_site = "same-site"}, false},
        {{.sec_fetch_site = "same-origin", .origin = "http://127.0.0.1:8080"}, true},
        {{.sec_fetch_site = "none"}, true},
        {{.origin = "https://pe.larkfold.example", .referer = "https://evil.example/"}, false},
    };
    (void)state;
    for (size_t i = 0; i < T_COUNT(rows); i++) {
        assert_int_equal(provenance_may_post_form(&rows[i].p, own), rows[i].want);
    }
}

static void reads(void **state)
{
    static const struct {
        const char *site, *mode, *dest;
        bool want;
    } rows[] = {
        {NULL, NULL, NULL, true},
        {"same-origin", "cors", "empty", true},
        {"none", "navigate", "document", true},
        {"cross-site", "navigate", "document", true},
        {"cross-site", "navigate", "iframe", false},
        {"cross-site", "no-cors", "script", false},
        {"cross-site", "no-cors", "image", false},
        {"cross-site", "cors", "empty", false},
        {"cross-site", NULL, NULL, false},
        {"cross-site", "navigate", NULL, false},
    };
    (void)state;
    for (size_t i = 0; i < T_COUNT(rows); i++) {
        struct provenance p = {.sec_fetch_site = rows[i].site, .sec_fetch_mode = rows[i].mode,
                               .sec_fetch_dest = rows[i].dest};
        assert_int_equal(provenance_may_read(&p), rows[i].want);
    }
}

static void tokens(void **state)
{
    struct keys k;
    uint8_t hash[32] = {0};
    char a[CSRF_TEXT], b[CSRF_TEXT];
    (void)state;
    memset(&k, 7, sizeof k);
    csrf_token(&k, hash, a);
    assert_int_equal(strlen(a), 43);
    assert_int_equal(strspn(a, "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_"),
                     43);
    assert_true(csrf_matches(a, a));
    assert_false(csrf_matches(a, NULL));
    assert_false(csrf_matches(a, ""));
    csrf_token(&k, hash, b);
    assert_string_equal(a, b);
    hash[31] = 1;                   /* another session, another token */
    csrf_token(&k, hash, b);
    assert_string_not_equal(a, b);
    assert_false(csrf_matches(a, b));
    hash[31] = 0;
    k.csrftokn[0] ^= 1;             /* another school, another token */
    csrf_token(&k, hash, b);
    assert_false(csrf_matches(a, b));
    for (int i = 0; i < 43; i++) {  /* each character counts */
        memcpy(b, a, sizeof b);
        b[i] = b[i] == 'A' ? 'B' : 'A';
        assert_false(csrf_matches(a, b));
    }
    memcpy(b, a, sizeof b);
    b[42] = '\0';
    assert_false(csrf_matches(a, b));
    char none[CSRF_TEXT] = "";      /* nobody signed in: an empty token opens nothing */
    assert_false(csrf_matches(none, ""));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(unsafe_methods),
        cmocka_unit_test(form_without_cookie),
        cmocka_unit_test(reads),
        cmocka_unit_test(tokens),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
