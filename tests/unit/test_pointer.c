/* SPDX-License-Identifier: MIT
 * base/pointer: the examples of RFC 6901, section 5, built step by step, and its order of escapes
 * (section 4: "~01" is "~1", not "/"). */
#include "base/pointer.h"

#include "base/mem.h"
#include "t.h"

static void rfc_6901_examples(void **state)
{
    (void)state;
    static const struct {
        const char *name, *want;
    } members[] = {
        {"foo", "/foo"},   {"", "/"},         {"a/b", "/a~1b"}, {"c%d", "/c%d"}, {"e^f", "/e^f"},
        {"g|h", "/g|h"},   {"i\\j", "/i\\j"}, {"k\"l", "/k\"l"}, {" ", "/ "},     {"m~n", "/m~0n"},
        {"~1", "/~01"},    {"~/~/", "/~0~1~0~1"},
    };
    void *ctx = mem_root();
    for (size_t i = 0; i < T_COUNT(members); i++) {
        assert_string_equal(pointer_member(ctx, "", members[i].name), members[i].want);
    }
    assert_string_equal(pointer_item(ctx, pointer_member(ctx, "", "foo"), 0), "/foo/0");
    assert_string_equal(pointer_member(ctx, "/attempts/2", "a/b"), "/attempts/2/a~1b");
    talloc_free(ctx);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(rfc_6901_examples)};
    return cmocka_run_group_tests_name("pointer", tests, NULL, NULL);
}
