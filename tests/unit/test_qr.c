/* SPDX-License-Identifier: MIT
 * QR codes as path data: the drawing is compared module by module with what ISO/IEC 18004 fixes for
 * every code (finder patterns, timing), the path with its own grammar, and the whole with an
 * independent decoder (zbar, package zbar-tools; skipped where it is not installed). */
#include "t.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

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

/* A plain PBM picture: 4 pixels a module and the quiet zone of 4 modules. */
static void write_picture(FILE *to, const struct grid *g, int size)
{
    int side = (size + 8) * 4;
    fprintf(to, "P1\n%d %d\n", side, side);
    for (int y = 0; y < side; y++) {
        for (int x = 0; x < side; x++) {
            int mx = x / 4 - 4, my = y / 4 - 4;
            bool in = mx >= 0 && my >= 0 && mx < size && my < size;
            fputs(in && g->dark[my][mx] ? "1 " : "0 ", to);
        }
        fputc('\n', to);
    }
}

static void another_program_reads_it(void **state)
{
    static const char *const texts[] = {
        "http://127.0.0.1:8080/#k=MZXW6YTBOJTG633CMFZGM33PMI",
        "https://pe.larkfold.example/c#k=AAAAAAAAAAAAAAAAAAAAAAAAAA",
    };
    void *mem = mem_root();
    static struct grid g;
    struct qr q;
    (void)state;
    /* zbar-tools stands in tests/packages. */
    assert_int_equal(system("command -v zbarimg >/dev/null 2>&1"), 0);
    for (size_t i = 0; i < T_COUNT(texts); i++) {
        char path[] = "/tmp/thrice-qr-XXXXXX", command[100], got[200] = "";
        int fd = mkstemp(path);
        assert_true(fd >= 0);
        FILE *to = fdopen(fd, "w");
        assert_int_equal(qr_make(mem, texts[i], &q), OK);
        assert_true(read_path(q.path, &g));
        write_picture(to, &g, q.size);
        fclose(to);
        snprintf(command, sizeof command, "zbarimg -q --raw pnm:%s 2>/dev/null", path);
        FILE *from = popen(command, "r");
        assert_non_null(from);
        assert_non_null(fgets(got, sizeof got, from));
        pclose(from);
        unlink(path);
        got[strcspn(got, "\n")] = '\0';
        assert_string_equal(got, texts[i]);
    }
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
        cmocka_unit_test(another_program_reads_it),
        cmocka_unit_test(too_long_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
