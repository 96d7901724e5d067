/* SPDX-License-Identifier: MIT
 * The purge plan says what the purge does, to the day. Names are invented; the spans are those that
 * include/store/purge.h gives. */
#include "people.h"

#include <stdio.h>
#include <string.h>

#include "base/mem.h"
#include "store/purge.h"

static struct purge_done done;
static int64_t when;

static enum err do_purge(void *arg)
{
    (void)arg;
    return purge_rows(f.st, when, &done);
}

static void same_as_planned(int64_t now, struct purge_done *planned)
{
    when = now;
    assert_int_equal(purge_plan(f.st, now, planned), OK);
    assert_int_equal(in_tx(do_purge, NULL), OK);
    assert_memory_equal(planned, &done, sizeof done);
}

static void took_part(struct pupil_id p, int unit, int on_day)
{
    fixture_sql(&f, mem_printf(f.mem, "INSERT INTO taking_part VALUES (%lld, %d, 1, 11, %d)",
                               (long long)p.v, unit, on_day));
}

/* A leaver with old things of their own, which go with the child and are not counted twice; one
 * who stays, with an old thing and a new one. */
static void test_plan_is_deed(void **state)
{
    (void)state;
    struct pupil_id gone = pupil("Amber", rowan), stays = pupil("Bryn", rowan);
    assert_int_equal(pupil_leave(f.st, gone, day("2026-01-05"), clock_now()), OK);
    fixture_sql(&f, "INSERT INTO unit(id, name, created_at) VALUES (1, 'U', 1), (2, 'V', 1)");
    took_part(gone, 1, 19000);
    took_part(stays, 1, 19000);
    took_part(stays, 2, 20510);
    fixture_sql(&f, mem_printf(f.mem, "INSERT INTO fresh_start VALUES (%lld, 19000, 11, 19000)",
                               (long long)gone.v));

    struct purge_leaver *rows;
    size_t n;
    assert_int_equal(purge_leavers(f.st, f.mem, &rows, &n), OK);
    assert_int_equal(n, 1);
    assert_string_equal(rows[0].display_name, "Amber");
    assert_int_equal(rows[0].left_day, day("2026-01-05"));

    struct purge_done planned;
    int32_t goes = rows[0].goes_day;
    assert_int_equal(purge_plan(f.st, clock_day_at(goes - 1, 23, 0), &planned), OK);
    assert_int_equal(planned.leavers, 0);
    assert_int_equal(planned.decisions, 3);
    assert_int_equal(fixture_int(&f, "SELECT count(*) FROM taking_part"), 3);   /* looked only */
    same_as_planned(clock_day_at(goes, 3, 0), &planned);
    assert_int_equal(planned.leavers, 1);
    assert_int_equal(planned.decisions, 1);
    assert_int_equal(fixture_int(&f, "SELECT count(*) FROM pupil"), 1);
    assert_int_equal(fixture_int(&f, "SELECT count(*) FROM taking_part"), 1);
    same_as_planned(clock_day_at(goes, 4, 0), &planned);
    assert_int_equal(planned.leavers + planned.decisions + planned.hand_ins, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(test_plan_is_deed, open_school, close_school),
    };
    return cmocka_run_group_tests_name("purge", tests, NULL, NULL);
}
