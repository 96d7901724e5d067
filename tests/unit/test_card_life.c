/* SPDX-License-Identifier: MIT
 * Cards that have ended, and a class's cards made anew, called the way the loop calls them. That a
 * card says it has ended, at the cost of a wrong code, is our own rule. School and names are
 * invented. */
#include "sign_in_scene.h"

#include "http/problem.h"

enum { CODE_BUDGET = 60 };   /* wrong codes of one client before the throttle */

static char *typed(struct scene *s, const char *code)
{
    return mem_printf(s->f.mem, "{\"card\":\"%s\"}", code);
}

static char *scanned(struct scene *s, const struct card *card)
{
    return mem_printf(s->f.mem, "{\"key\":\"%s\"}", card->key);
}

/* What the answer to a sign-in says, as it goes out. */
static char *problem_of(struct scene *s, char *body, enum err err)
{
    struct call c = call(s, POST, "/api/v1/session", NULL, 0, body);
    assert_int_equal(c.err, err);
    assert_null(c.rp.set_session);
    problem_write(&c.rq, &c.rp, c.err, false);
    assert_int_equal(c.rp.status, 401);
    char *said = mem_strn(s->f.mem, c.rp.body.data, c.rp.body.len);
    call_end(&c);
    return said;
}

/* Cancelled, run out, left, family page closed: the same words, and none of them says which. */
static void ended_is_one_answer(void **state)
{
    struct scene *s = *state;
    struct person office = staff(s, "R. Amberley");
    struct card child = make_card(s, &office, SAM, "pupil"), left = make_card(s, &office, ADA, "pupil");
    struct card closed = make_card(s, &office, SAM, "family"), old = make_card(s, &office, BEN, "family");
    const struct card *const all[] = {&child, &left, &closed, &old};
    struct call c = call(s, DELETE, "/api/v1/cards/:card", &office, strtoll(child.id, NULL, 10), NULL);
    expect(&c, OK, NULL, NULL);
    fixture_sql(&s->f, "UPDATE pupil SET left_day = 20782 WHERE id = 502;"
                       "UPDATE pupil SET family_view = 'off' WHERE id = 501;");
    char *sql = mem_printf(s->f.mem, "UPDATE card SET expires_at = %lld WHERE id = %s",
                           (long long)start, old.id);
    fixture_sql(&s->f, sql);
    const char *first = problem_of(s, typed(s, child.code), ERR_CARD_ENDED);
    assert_non_null(strstr(first, "\"type\":\"/problems/card_ended\""));
    assert_non_null(strstr(first, "\"errors\":[{\"pointer\":\"\",\"code\":\"card_ended\"}]"));
    for (size_t i = 0; i < T_COUNT(all); i++) {
        assert_string_equal(problem_of(s, typed(s, all[i]->code), ERR_CARD_ENDED), first);
        assert_string_equal(problem_of(s, scanned(s, all[i]), ERR_CARD_ENDED), first);
    }
    /* Nobody makes up a key: one that is not known was on a card that is gone. A code may be made up. */
    assert_string_equal(problem_of(s, "{\"key\":\"MZXW6YTBOJTG633CMFZGM33PMI\"}", ERR_CARD_ENDED), first);
    (void)problem_of(s, typed(s, "BCD FGH JKT"), ERR_WRONG_SIGN_IN);
    /* A card that needs a phrase as well asks for none once it has ended. */
    fixture_sql(&s->f, "UPDATE pupil SET family_view = 'two_part' WHERE id = 503");
    assert_string_equal(problem_of(s, typed(s, old.code), ERR_CARD_ENDED), first);
    assert_int_equal(fixture_int(&s->f, "SELECT count(*) FROM card WHERE last_used_day IS NOT NULL"), 0);
}

/* The same tokens as a wrong code, the same ceiling, the same silence where wrong codes get none. */
static void ended_costs_a_wrong_code(void **state)
{
    struct scene *s = *state;
    struct person office = staff(s, "R. Amberley");
    struct card gone = make_card(s, &office, SAM, "pupil"), live = make_card(s, &office, SAM, "pupil");
    struct card other = make_card(s, &office, BEN, "pupil");
    fixture_sql(&s->f, mem_printf(s->f.mem, "UPDATE card SET cancelled_at = 1 WHERE id IN (%s, %s)",
                                  gone.id, other.id));
    limiter_set_rate(s->auth->limiter, 1000, 100000);   /* the request rate is not what is looked at */
    for (int i = 0; i < CODE_BUDGET; i++) {
        struct call c = call(s, POST, "/api/v1/session", NULL, 0, typed(s, gone.code));
        expect(&c, ERR_CARD_ENDED, NULL, NULL);
    }
    struct call c = call(s, POST, "/api/v1/session", NULL, 0, typed(s, gone.code));
    assert_in_range(c.rq.retry_after_s, 1, 120);
    expect(&c, ERR_TOO_MANY, NULL, NULL);
    c = call(s, POST, "/api/v1/session", NULL, 0, typed(s, live.code));
    expect(&c, ERR_TOO_MANY, NULL, NULL);
    c = call(s, POST, "/api/v1/session", NULL, 0, scanned(s, &gone));
    expect(&c, ERR_CARD_ENDED, NULL, NULL);             /* keys are never throttled so */
    c = call(s, POST, "/api/v1/session", NULL, 0, scanned(s, &live));
    expect(&c, OK, NULL, NULL);
    /* While the class signs in on that address: its room pays, and beyond it nothing is told. */
    struct person teacher = staff(s, "T. Moss");
    c = call(s, POST, "/api/v1/classes/:class/sign-in-window", &teacher, CLASS, "{}");
    expect(&c, OK, NULL, NULL);
    for (int i = 0; i < 150; i++) {
        c = call(s, POST, "/api/v1/session", NULL, 0, typed(s, gone.code));
        expect(&c, ERR_CARD_ENDED, NULL, NULL);
        c = call(s, POST, "/api/v1/session", NULL, 0, typed(s, other.code));
        expect(&c, ERR_CARD_ENDED, NULL, NULL);
    }
    c = call(s, POST, "/api/v1/session", NULL, 0, typed(s, gone.code));
    expect(&c, ERR_TOO_MANY, NULL, NULL);
    c = call(s, POST, "/api/v1/session", NULL, 0, typed(s, live.code));
    expect(&c, OK, NULL, NULL);
}

/* Cancelled while the sign-in was on its way to the writer. */
static void ended_meanwhile(void **state)
{
    struct scene *s = *state;
    struct person office = staff(s, "R. Amberley");
    struct card card = make_card(s, &office, SAM, "pupil");
    struct call c = call_new(s, POST, "/api/v1/session", NULL);
    struct request *rq = &c.rq;
    rq->json = request_own_json(rq, json_loads(typed(s, card.code), 0, NULL));
    assert_int_equal(gate_admit(rq), OK);
    assert_int_equal(rq->route->parse(rq, &c.rp), OK);
    fixture_sql(&s->f, "UPDATE card SET cancelled_at = 1");
    c.err = store_tx(rq->store, "call", run_fn, &c);
    assert_null(c.rp.set_session);
    expect(&c, ERR_CARD_ENDED, NULL, NULL);
    assert_int_equal(fixture_int(&s->f, "SELECT count(*) FROM session WHERE staff_id IS NULL"), 0);
}

#define T(f) cmocka_unit_test_setup_teardown(f, set_up, tear_down)

int main(void)
{
    const struct CMUnitTest tests[] = {
        T(ended_is_one_answer), T(ended_costs_a_wrong_code), T(ended_meanwhile),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
