/* SPDX-License-Identifier: MIT
 * Where a request comes from, in keys for the throttles. */
#include "t.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "auth/keys.h"

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

/* One link is a /64 (RFC 4291, 2.5.4), a home gets a /56 and a site a /48 (RFC 6177); one address has
 * many spellings (RFC 4291, 2.2; RFC 5952, 2). The addresses are for documentation (RFC 3849, RFC 5737);
 * /24 as "a network" is our own rule. */
static void client_keys(void **state)
{
    enum { NEAR = 1, SITE = 2, WIDE = 4, ALL = 7 };
    static const struct {
        const char *one, *other;
        int same;
    } rows[] = {
        {"192.0.2.7", "192.0.2.7", ALL},
        {"192.0.2.7", "192.0.2.8", WIDE},
        {"192.0.2.255", "192.0.2.0", WIDE},
        {"192.0.2.7", "192.0.3.7", 0},
        {"192.0.2.7", "198.51.100.7", 0},
        {"2001:db8:1:2:3:4:5:6", "2001:db8:1:2::9", ALL},
        {"2001:db8:1:200::1", "2001:db8:1:2ff::1", SITE | WIDE},
        {"2001:db8:1:200::1", "2001:db8:1:300::1", WIDE},
        {"2001:db8:1:0::1", "2001:db8:1:ffff::1", WIDE},
        {"2001:db8:1::1", "2001:db8:2::1", 0},
        {"2001:db8::1", "2001:db9::1", 0},
        /* spellings of one address: RFC 5952, 2.1 to 2.3 */
        {"2001:db8:0:0:1:0:0:1", "2001:0db8:0:0:1:0:0:1", ALL},
        {"2001:db8:0:0:1:0:0:1", "2001:db8::1:0:0:1", ALL},
        {"2001:db8:0:0:1:0:0:1", "2001:db8:0:0:1::1", ALL},
        {"2001:db8::aaaa:0:0:1", "2001:DB8::AAAA:0:0:1", ALL},
        {"2001:db8:aaaa:bbbb:cccc:dddd::1", "2001:db8:aaaa:bbbb:cccc:dddd:0:1", ALL},
        /* IPv4 in IPv6: mapped (RFC 4291, 2.5.5.2), translated (RFC 6052, 2.1 and 2.4) */
        {"192.0.2.33", "::ffff:192.0.2.33", ALL},
        {"192.0.2.33", "0:0:0:0:0:FFFF:c000:221", ALL},
        {"192.0.2.33", "64:ff9b::192.0.2.33", ALL},
        {"192.0.2.33", "::ffff:192.0.2.34", WIDE},
        {"192.0.2.33", "64:ff9b::198.51.100.33", 0},
        {"::ffff:192.0.2.33", "::ffff:198.51.100.33", 0},
        {"192.0.2.33", "64:ff9b:1::192.0.2.33", 0},     /* RFC 8215: for local use, not that prefix */
        {"192.0.2.33", "::192.0.2.33", 0},
        /* no address */
        {"nonsense", "", ALL},
        {"nonsense", "192.0.2", ALL},
        {"nonsense", "192.0.2.7:443", ALL},
        {"nonsense", "[2001:db8::1]", ALL},
        {"nonsense", "2001:db8::1%eth0", ALL},
        {"nonsense", NULL, ALL},
        {"nonsense", "192.0.2.7", 0},
    };
    const struct keys *k = *state;

    for (size_t i = 0; i < T_COUNT(rows); i++) {
        struct client_keys a = keys_client(k, rows[i].one);
        struct client_keys b = keys_client(k, rows[i].other);
        int same = (a.near == b.near ? NEAR : 0) | (a.site == b.site ? SITE : 0) |
                   (a.wide == b.wide ? WIDE : 0);
        if (same != rows[i].same) {
            print_error("%s, %s\n", rows[i].one, rows[i].other ? rows[i].other : "NULL");
        }
        assert_int_equal(same, rows[i].same);
    }
    /* The widths of one IPv6 address are three keys: a /64 and a /48 of equal bits never meet. */
    struct client_keys six = keys_client(k, "2001:db8::1");
    assert_true(six.near != six.site && six.site != six.wide && six.near != six.wide);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(client_keys),
    };
    return cmocka_run_group_tests(tests, set_up, tear_down);
}
