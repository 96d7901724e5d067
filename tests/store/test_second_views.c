/* SPDX-License-Identifier: MIT
 * A colleague's second view: who may be asked, what is hidden while it is owed, given once, agreed
 * once. Invented rows. */
#include "people.h"

#include "store/second_views.h"

static struct pupil_id ami, ben;
static const struct unit_id unit = {31}, other_unit = {32};

static int open_unit(void **state)
{
    open_school(state);
    fixture_sql(&f, "INSERT INTO unit (id, name, created_at) VALUES (31, 'Aiming', 1),"
                    " (32, 'Other', 1);"
                    "INSERT INTO staff_right (staff_id, right) VALUES (14, 'pe_lead')");
    ami = pupil("Ami", rowan);
    ben = pupil("Ben", rowan);
    return 0;
}

struct step {
    struct second_view_new ask;
    int64_t id;
    int band;
    struct second_view_agree agree;
};

static enum err do_ask(void *arg)
{
    struct step *s = arg;
    return second_view_ask(f.st, &s->ask, &s->id);
}

static enum err do_give(void *arg)
{
    struct step *s = arg;
    return second_view_give(f.st, s->id, s->band, day("2026-03-03"));
}

static enum err do_withdraw(void *arg)
{
    return second_view_withdraw(f.st, ((struct step *)arg)->id);
}

static enum err do_agree(void *arg)
{
    return second_view_agree(f.st, &((struct step *)arg)->agree);
}

static struct step asked(struct pupil_id p, struct staff_id of)
{
    struct step s = {.ask = {unit, p, of, teacher, day("2026-03-02")}};
    assert_int_equal(in_tx(do_ask, &s), OK);
    return s;
}

static bool hidden(struct staff_id from, struct unit_id u, struct pupil_id p)
{
    struct second_blind_list list;
    assert_int_equal(second_blind_of(f.st, f.mem, from, &list), OK);
    return second_view_hides(&list, u, p);
}

static void hidden_from_the_person_asked_until_given(void **state)
{
    (void)state;
    struct step s = asked(ami, reader);
    assert_true(hidden(reader, unit, ami));
    assert_false(hidden(reader, unit, ben));
    assert_false(hidden(reader, other_unit, ami));
    assert_false(hidden(teacher, unit, ami));
    assert_false(hidden((struct staff_id){0}, unit, ami));
    s.band = 2;
    assert_int_equal(in_tx(do_give, &s), OK);
    assert_false(hidden(reader, unit, ami));
    s.band = 1;
    assert_int_equal(in_tx(do_give, &s), ERR_NOT_FOUND);        /* once */
    assert_int_equal(in_tx(do_withdraw, &s), ERR_NOT_FOUND);    /* given views stay */
    struct second_view v;
    assert_int_equal(second_view_get(f.st, f.mem, s.id, &v), OK);
    assert_int_equal(v.band, 2);
    assert_int_equal(v.now_band, -1);
    assert_string_equal(v.asked_of_name, "Reader");
}

static void asked_once_and_never_of_oneself(void **state)
{
    (void)state;
    struct step s = asked(ami, reader);
    struct step again = s, self = {.ask = {unit, ami, teacher, teacher, 1}};
    assert_int_equal(in_tx(do_ask, &again), ERR_CONFLICT);
    assert_int_equal(in_tx(do_ask, &self), ERR_CONFLICT);
    assert_int_equal(in_tx(do_withdraw, &s), OK);
    assert_false(hidden(reader, unit, ami));
    assert_int_equal(in_tx(do_ask, &again), OK);
    s.id = 999;
    assert_int_equal(in_tx(do_withdraw, &s), ERR_NOT_FOUND);
}

static void agreed_once_and_only_when_given(void **state)
{
    (void)state;
    struct step s = asked(ami, reader);
    struct second_view v;
    s.band = 2;
    s.agree = (struct second_view_agree){s.id, 1, 2, teacher, day("2026-03-03")};
    assert_int_equal(in_tx(do_agree, &s), ERR_NOT_FOUND);
    assert_int_equal(in_tx(do_give, &s), OK);
    assert_int_equal(in_tx(do_agree, &s), OK);
    assert_int_equal(in_tx(do_agree, &s), ERR_NOT_FOUND);
    assert_int_equal(second_view_get(f.st, f.mem, s.id, &v), OK);
    assert_int_equal(v.first_band, 1);
    assert_int_equal(v.agreed_band, 2);
}

static void lists_are_by_name_and_of_the_class(void **state)
{
    (void)state;
    struct second_view_list list;
    struct pupil_id cat = pupil("Cat", elm);
    asked(ben, reader);
    asked(ami, reader);
    asked(cat, other);
    const struct unit_class k = {unit, rowan, day("2026-03-03")};
    assert_int_equal(second_views_of_class(f.st, f.mem, &k, &list), OK);
    assert_int_equal(list.n, 2);
    assert_string_equal(list.v[0].display_name, "Ami");
    assert_int_equal(second_views_asked_of(f.st, f.mem, reader, &list), OK);
    assert_int_equal(list.n, 2);
    assert_string_equal(list.v[1].display_name, "Ben");
    assert_int_equal(second_views_of_pupil(f.st, f.mem, cat, &list), OK);
    assert_int_equal(list.n, 1);
    fixture_sql(&f, "DELETE FROM membership; DELETE FROM pupil");
    assert_int_equal(fixture_int(&f, "SELECT count(*) FROM second_view"), 0);
}

static void who_may_be_asked(void **state)
{
    (void)state;
    struct second_view_people p;
    const struct second_view_may may = {rowan, day("2026-03-03"), teacher};
    assert_int_equal(second_view_may_ask(f.st, f.mem, &may, &p), OK);
    assert_int_equal(p.n, 3);                   /* who reads it and who leads PE; not the helper */
    assert_string_equal(p.v[0].name, "Other");
    assert_string_equal(p.v[2].name, "Reader");
    fixture_sql(&f, "UPDATE class_right SET until_day = 20514 WHERE staff_id = 13;"
                    "UPDATE staff SET disabled_at = 1 WHERE id = 14");
    assert_int_equal(second_view_may_ask(f.st, f.mem, &may, &p), OK);
    assert_int_equal(p.n, 1);                   /* the first account leads PE */
}

#define test(t) cmocka_unit_test_setup_teardown(t, open_unit, close_school)

int main(void)
{
    const struct CMUnitTest tests[] = {
        test(hidden_from_the_person_asked_until_given),
        test(asked_once_and_never_of_oneself),
        test(agreed_once_and_only_when_given),
        test(lists_are_by_name_and_of_the_class),
        test(who_may_be_asked),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
