/* SPDX-License-Identifier: MIT
 * Names of classes a year later. The names are invented; that schools call a class after its year
 * group is common practice, no source. */
#include <string.h>

#include "base/mem.h"
#include "base/name.h"
#include "t.h"

static void test_year_up(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        int year;
        const char *next;           /* NULL: nothing to offer */
    } cases[] = {
        {"3 Alder", 3, "4 Alder"},
        {"Year 3", 3, "Year 4"},
        {"3B", 3, "4B"},
        {"Class 1", 1, "Class 2"},
        {"9", 9, "10"},
        {"3 Alder (room 12)", 3, "4 Alder (room 12)"},
        {"3 Alder 3", 3, "4 Alder 4"},
        {"Year 03", 3, "Year 4"},
        {"R0wan", 0, "R1wan"},
        {"Åsa 3 é", 3, "Åsa 4 é"},
        {"3/4 Alder", 3, NULL},     /* two year groups */
        {"Years 2 and 3", 3, NULL},
        {"Alder", 3, NULL},
        {"13 Alder", 3, NULL},
        {"Room 33", 3, NULL},
        {"4 Alder", 3, NULL},       /* not what the children are */
        {"99999999999999999999 Alder", 3, NULL},
        {"", 3, NULL},
    };
    void *mem = mem_root();
    for (size_t i = 0; i < T_COUNT(cases); i++) {
        const char *next = name_year_up(mem, cases[i].name, cases[i].year);
        if (cases[i].next) {
            assert_non_null(next);
            assert_string_equal(next, cases[i].next);
        } else {
            assert_null(next);
        }
    }
    talloc_free(mem);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_year_up),
    };
    return cmocka_run_group_tests_name("name", tests, NULL, NULL);
}
