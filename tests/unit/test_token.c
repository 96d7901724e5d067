/* SPDX-License-Identifier: MIT
 * The cookie by which throttles know a browser. Ids are invented. */
#include "t.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "auth/token.h"

static int set_up(void **state)
{
    char dir[] = "/tmp/thrice-keys-XXXXXX", path[64];
    const char *why = "";
    struct keys *keys = NULL;

    assert_non_null(mkdtemp(dir));
    assert_int_equal(keys_create(dir, &why), OK);
    assert_int_equal(keys_load(dir, &keys, &why), OK);
    snprintf(path, sizeof path, "%s/master.key", dir);
    assert_int_equal(unlink(path), 0);
    assert_int_equal(rmdir(dir), 0);
    *state = keys;
    return 0;
}

static int tear_down(void **state)
{
    keys_free(*state);
    return 0;
}

enum { MANY = 40 };

static void device(void **state)
{
    const struct keys *k = *state;
    char text[DEVICE_TEXT];
    struct device d, back, none;
    struct device_of teacher = device_of_staff(11), cover = device_of_staff(12);
    uint8_t mac[32] = {7};
    struct device_of card = device_of_card(mac);

    device_read(NULL, 0, &d);
    assert_false(device_knows(k, &d, &teacher));
    device_learn(k, &d, &teacher);
    device_learn(k, &d, &card);
    device_print(&d, text);
    device_read(text, strlen(text), &back);
    assert_int_equal(back.n, 2);
    assert_true(device_knows(k, &back, &teacher));
    assert_true(device_knows(k, &back, &card));
    assert_false(device_knows(k, &back, &cover));
    mac[31] = 1;
    struct device_of other = device_of_card(mac);
    assert_false(device_knows(k, &back, &other));
    assert_true(device_throttle(k, &d, &teacher) == device_throttle(k, &back, &teacher));
    assert_true(device_throttle(k, &d, &teacher) != device_throttle(k, &d, &cover));
    /* Tags belong to their device: another's knows nobody by them. */
    struct device stolen = {.n = 0};
    device_learn(k, &stolen, &cover);
    memcpy(stolen.tag, d.tag, sizeof stolen.tag);
    stolen.n = d.n;
    assert_false(device_knows(k, &stolen, &teacher));
    text[10] = text[10] == 'A' ? 'B' : 'A';     /* in the id */
    device_read(text, strlen(text), &back);
    assert_false(device_knows(k, &back, &teacher));
    assert_false(device_is_ours(k, &back));
    /* One whose id was made up knows nobody, whatever it learns: it gets an id of ours first. */
    struct device made_up = {.n = 1};
    memset(made_up.id, 7, sizeof made_up.id);
    assert_false(device_is_ours(k, &made_up));
    device_learn(k, &made_up, &cover);
    assert_int_equal(made_up.n, 1);
    assert_true(device_is_ours(k, &made_up));
    assert_true(device_knows(k, &made_up, &cover));
    device_read(NULL, 0, &none);
    assert_false(device_is_ours(k, &none));
    /* What is no such cookie. */
    const char *const bad[] = {"", "A", "!!!!", "AAAAAAAAAAAAAAAAAAAAAA", "AAAAAAAAAAAAAAAAAAAAAAAAAAAA"};
    for (size_t i = 0; i < T_COUNT(bad); i++) {
        device_read(bad[i], strlen(bad[i]), &none);
        assert_int_equal(none.n, 0);
    }
    char longer[400];
    memset(longer, 'A', sizeof longer);
    device_read(longer, sizeof longer, &none);
    assert_int_equal(none.n, 0);
}

/* A school's tablet: the 16 newest, whatever comes. */
static void device_is_full(void **state)
{
    const struct keys *k = *state;
    struct device d;
    char text[DEVICE_TEXT];

    device_read(NULL, 0, &d);
    for (int64_t id = 1; id <= MANY; id++) {
        struct device_of of = device_of_staff(id);
        device_learn(k, &d, &of);
        device_print(&d, text);
        assert_true(strlen(text) < DEVICE_TEXT);
        device_read(text, strlen(text), &d);
    }
    for (int64_t id = 1; id <= MANY; id++) {
        struct device_of of = device_of_staff(id);
        assert_int_equal(device_knows(k, &d, &of), id > MANY - DEVICE_TAGS);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(device),
        cmocka_unit_test(device_is_full),
    };
    return cmocka_run_group_tests(tests, set_up, tear_down);
}
