/* SPDX-License-Identifier: MIT
 * QR codes as path data: the drawing is compared module by module with what ISO/IEC 18004 fixes for
 * every code (finder patterns, timing), and the path with its own grammar. That a reader reads it is
 * tested with an independent decoder where one is installed (tests/browser). */
#include "t.h"

#include <stdio.h>
#include <string.h>

#include "auth/qr.h"
#include "base/mem.h"

enum { SIDE = 64 };

struct grid {
    bool dark[SIDE][SIDE];
};

/* Reads "Mx yhnv1h-nz" runs back; false when the path is anything else. */
static bool read_path(const char *path, struct grid *g)
{
    memset(g, 0, sizeof *g);
    while (*path) {
        int x, y, n, back, used = 0;
        if (sscanf(path, "M%d %dh%dv1h-%dz%n", &x, &y, &n, &back, &used) != 4 || used == 0 ||
            n != back || x < 0 || y < 0 || x + n > SIDE || y >= SIDE) {
            return false;
        }
        for (int i = 0; i < n; i++) {
            if (g->dark[y][x + i]) {
                return false;   /* drawn twice */
            }
            g->dark[y][x + i] = true;
        }
        path += used;
    }
    return true;
}

static void finder(const struct grid *g, int left, int top)
{
    for (int y = 0; y < 7; y++) {
        for (int x = 0; x < 7; x++) {
            int ring = x < y ? x : y;
            ring = 6 - x < ring ? 6 - x : ring;
            ring = 6 - y < ring ? 6 - y : ring;
            assert_int_equal(g->dark[top + y][left + x], ring != 1);
        }
    }
}

static void fixed_patterns(void **state)
{
    static const char *const texts[] = {
        "http://127.0.0.1:8080/#k=MZXW6YTBOJTG633CMFZGM33PMI",
        "https://pe.larkfold.example/c#k=MZXW6YTBOJTG633CMFZGM33PMI",
        "x",
    };
    void *mem = mem_root();
    struct qr q;
    static struct grid g;
    (void)state;
    for (size_t i = 0; i < T_COUNT(texts); i++) {
        assert_int_equal(qr_make(mem, texts[i], &q), OK);
        assert_true(q.size >= 21 && q.size <= SIDE && q.size % 4 == 1);
        assert_true(read_path(q.path, &g));
        finder(&g, 0, 0);
        finder(&g, q.size - 7, 0);
        finder(&g, 0, q.size - 7);
        for (int at = 8; at < q.size - 8; at++) {   /* timing: dark at even places */
            assert_int_equal(g.dark[6][at], at % 2 == 0);
            assert_int_equal(g.dark[at][6], at % 2 == 0);
        }
        assert_true(g.dark[q.size - 8][8]);         /* the dark module */
    }
    talloc_free(mem);
}

/* Format bits beside the first finder, unmasked with 101010000010010: level M is 00. */
static void level_is_m(void **state)
{
    void *mem = mem_root();
    struct qr q;
    static struct grid g;
    (void)state;
    assert_int_equal(qr_make(mem, "http://127.0.0.1:8080/#k=MZXW6YTBOJTG633CMFZGM33PMI", &q), OK);
    assert_true(read_path(q.path, &g));
    assert_int_equal(g.dark[8][0] ^ 1, 0);
    assert_int_equal(g.dark[8][1] ^ 0, 0);
    talloc_free(mem);
}

static void too_long_is_refused(void **state)
{
    void *mem = mem_root();
    char *text = mem_array(mem, char, 4000);
    struct qr q;
    (void)state;
    memset(text, 'a', 3999);
    assert_int_equal(qr_make(mem, text, &q), ERR_INTERNAL);
    talloc_free(mem);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(fixed_patterns),
        cmocka_unit_test(level_is_m),
        cmocka_unit_test(too_long_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
