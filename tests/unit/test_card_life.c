/* SPDX-License-Identifier: MIT
 * Cards that have ended, and a class's cards made anew, called the way the loop calls them. That a
 * card says it has ended, at the cost of a wrong code, is our own rule. School and names are
 * invented. */
#include "sign_in_scene.h"

#include "http/problem.h"
#include "store/cards.h"

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
    assert_non_null(strstr(first, "\"type\":\"/problems/card-ended\""));
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

/* A device that knows a card types it for nothing only as long as it is right. */
static void known_device_pays_too(void **state)
{
    struct scene *s = *state;
    struct person office = staff(s, "R. Amberley");
    struct card card = make_card(s, &office, SAM, "pupil");
    char device[200];
    struct call c = call(s, POST, "/api/v1/session", NULL, 0, typed(s, card.code));
    assert_non_null(c.rp.set_device);
    snprintf(device, sizeof device, "dv=%s", c.rp.set_device);
    expect(&c, OK, NULL, NULL);
    limiter_set_rate(s->auth->limiter, 1000, 100000);
    for (int i = 0; i < 2 * CODE_BUDGET + 1; i++) {
        if (i == CODE_BUDGET) {
            fixture_sql(&s->f, "UPDATE card SET cancelled_at = 1");
        }
        c = call_new(s, POST, "/api/v1/session", NULL);
        c.rq.cookie = device;
        call_run(&c, typed(s, card.code));
        expect(&c, i < CODE_BUDGET ? OK : i < 2 * CODE_BUDGET ? ERR_CARD_ENDED : ERR_TOO_MANY, NULL, NULL);
    }
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

/* A class's cards made anew -------------------------------------------------------------------- */

/* Labels of the child's live cards, and which of them are still the ones of before ("="). */
static const char *live(struct scene *s, int64_t pupil, const char *holder)
{
    struct store *st = s->f.st;
    struct card_list_row *rows;
    size_t n;
    struct buf b;
    buf_init(&b, s->f.mem);
    buf_str(&b, "");
    assert_int_equal(cards_of_pupil(st, s->f.mem, (struct pupil_id){pupil}, clock_now(), &rows, &n), OK);
    for (int k = 0; k < 6; k++) {
        static const char *const labels[] = {"home", "other_home", "school", "card_1", "card_2", "card_3"};
        for (size_t i = 0; i < n; i++) {
            if (rows[i].live && strcmp(card_holder_word(rows[i].holder), holder) == 0 &&
                strcmp(rows[i].label, labels[k]) == 0) {
                buf_printf(&b, "%s%s ", rows[i].label, rows[i].id.v < 100 ? "=" : "");
            }
        }
    }
    return b.data ? b.data : "";
}

/* The cards of before have ids below 100: a drawn id never has. */
static void before(struct scene *s)
{
    fixture_sql(&s->f,
                "INSERT INTO card(id, pupil_id, holder, label, code_mac, key_hash, made_day) SELECT"
                " n, pupil, CASE WHEN label LIKE 'card%' THEN 'family' ELSE 'pupil' END, label,"
                " randomblob(32), randomblob(32), 20000 FROM (SELECT 1 AS n, 501 AS pupil, 'other_home'"
                " AS label UNION SELECT 2, 501, 'home' UNION SELECT 3, 501, 'other_home'"
                " UNION SELECT 4, 502, 'school' UNION SELECT 5, 501, 'card_2'"
                " UNION SELECT 6, 501, 'card_1')");
}

static struct call order(struct scene *s, const struct person *p, const char *body)
{
    struct call c = call(s, POST, "/api/v1/classes/:class/cards", p, CLASS, body);
    assert_int_equal(c.err, OK);
    return c;
}

static void second_homes_are_kept(void **state)
{
    struct scene *s = *state;
    struct person office = staff(s, "R. Amberley");
    before(s);
    struct call c = order(s, &office, "{\"holder\":\"pupil\",\"replace\":true}");
    assert_int_equal(json_array_size(json_object_get(c.json, "cards")), 2);
    const json_t *kept = json_object_get(c.json, "kept");
    assert_int_equal(json_array_size(kept), 1);
    kept = json_array_get(kept, 0);
    assert_string_equal(json_string_value(json_object_get(json_object_get(kept, "pupil"), "id")), "501");
    assert_int_equal(json_array_size(json_object_get(kept, "labels")), 2);
    call_end(&c);
    assert_string_equal(live(s, SAM, "pupil"), "home other_home= other_home= ");
    assert_string_equal(live(s, ADA, "pupil"), "school ");  /* the kind that was live, not another */
    assert_string_equal(live(s, SAM, "family"), "card_1= card_2= ");
    c = order(s, &office, "{\"holder\":\"family\",\"replace\":true,\"others\":\"keep\"}");
    call_end(&c);
    assert_string_equal(live(s, SAM, "family"), "card_1 card_2= ");
    assert_string_equal(live(s, ADA, "family"), "card_1 ");
}

static void each_kind_is_made_anew(void **state)
{
    struct scene *s = *state;
    struct person office = staff(s, "R. Amberley");
    before(s);
    struct call c = order(s, &office, "{\"holder\":\"pupil\",\"replace\":true,\"others\":\"remake\"}");
    const json_t *cards = json_object_get(c.json, "cards");
    assert_int_equal(json_array_size(cards), 4);
    assert_int_equal(json_array_size(json_object_get(c.json, "kept")), 0);
    struct card other_home = {.id = ""};
    for (size_t i = 0; i < 4; i++) {
        const json_t *card = json_array_get(cards, i);
        if (strcmp(json_string_value(json_object_get(card, "label")), "other_home") == 0) {
            snprintf(other_home.code, sizeof other_home.code, "%s",
                     json_string_value(json_object_get(card, "code")));
        }
    }
    call_end(&c);
    (void)by_code(s, &other_home);
    assert_string_equal(live(s, SAM, "pupil"), "home other_home other_home ");
    assert_string_equal(live(s, ADA, "pupil"), "school ");
    assert_string_equal(live(s, SAM, "family"), "card_1= card_2= ");
    assert_int_equal(fixture_int(&s->f, "SELECT count(*) FROM audit WHERE action = 'card cancelled'"), 4);
}

static void one_label_and_named_children(void **state)
{
    struct scene *s = *state;
    struct person office = staff(s, "R. Amberley");
    before(s);
    struct call c = order(s, &office, "{\"holder\":\"pupil\",\"replace\":true,\"label\":\"other_home\","
                                      "\"pupils\":[\"501\"]}");
    call_end(&c);
    assert_string_equal(live(s, SAM, "pupil"), "home= other_home other_home ");
    assert_string_equal(live(s, ADA, "pupil"), "school= ");
}

/* Who has which kinds: family cards for the office, and none that are held back. */
static void kinds_are_listed(void **state)
{
    struct scene *s = *state;
    struct person office = staff(s, "R. Amberley"), teacher = staff(s, "T. Moss");
    before(s);
    static const struct {
        const char *sql;
        size_t office, teacher;
    } rows[] = {
        {"", 3, 2},                                         /* Ada, Sam twice */
        {"UPDATE pupil SET family_view = 'two_part' WHERE id = 501", 2, 2},
        {"UPDATE card SET cancelled_at = 1 WHERE pupil_id = 502", 1, 1},
        {"UPDATE pupil SET left_day = 20700 WHERE id = 501", 0, 0},
    };
    for (size_t i = 0; i < T_COUNT(rows); i++) {
        fixture_sql(&s->f, rows[i].sql);
        struct call c = call(s, GET, "/api/v1/classes/:class/cards", &office, CLASS, NULL);
        const json_t *list = json_object_get(c.json, "live");
        assert_int_equal(json_array_size(list), rows[i].office);
        const json_t *sam = json_array_get(list, 1);
        if (sam && i == 0) {
            assert_string_equal(json_string_value(json_object_get(sam, "for")), "pupil");
            assert_int_equal(json_array_size(json_object_get(sam, "labels")), 3);
        }
        call_end(&c);
        c = call(s, GET, "/api/v1/classes/:class/cards", &teacher, CLASS, NULL);
        assert_int_equal(json_array_size(json_object_get(c.json, "live")), rows[i].teacher);
        call_end(&c);
    }
    struct call c = call(s, GET, "/api/v1/classes/:class/cards", &teacher, OTHER, NULL);
    expect(&c, ERR_NOT_FOUND, NULL, NULL);
}

#define T(f) cmocka_unit_test_setup_teardown(f, set_up, tear_down)

int main(void)
{
    const struct CMUnitTest tests[] = {
        T(ended_is_one_answer), T(ended_costs_a_wrong_code), T(known_device_pays_too), T(ended_meanwhile),
        T(second_homes_are_kept), T(each_kind_is_made_anew), T(one_label_and_named_children),
        T(kinds_are_listed),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
