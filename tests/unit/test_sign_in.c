/* SPDX-License-Identifier: MIT
 * The gate and the handlers of sign-in, account and cards, called the way the loop calls them:
 * gate, parse, slow, then fn inside a transaction. School, names and results are invented. */
#include "sign_in_scene.h"

static void staff_signs_in(void **state)
{
    struct scene *s = *state;
    struct person p = {.csrf = ""};
    struct call c = call(s, POST, "/api/v1/session", NULL, 0,
                         "{\"name\":\"  t. MOSS \",\"passphrase\":\"" PASS "\"}");
    keep(&c, &p);
    assert_string_equal(text_of(&c, "role"), "staff");
    assert_string_equal(text_of(&c, "display_name"), "T. Moss");
    assert_int_equal(json_array_size(json_object_get(c.json, "classes")), 1);
    assert_int_equal(strlen(c.rp.set_session), 43);
    assert_non_null(c.rp.set_device);
    call_end(&c);
    c = call(s, GET, "/api/v1/session", &p, 0, NULL);
    assert_string_equal(text_of(&c, "csrf_token"), p.csrf);
    call_end(&c);
    c = call(s, DELETE, "/api/v1/session", &p, 0, NULL);
    assert_true(c.rp.end_session);
    expect(&c, OK, NULL, NULL);
    c = call(s, GET, "/api/v1/session", &p, 0, NULL);
    expect(&c, ERR_NOT_SIGNED_IN, NULL, NULL);
}

static void wrong_staff(void **state)
{
    struct scene *s = *state;
    static const struct {
        const char *body;
        enum err err;
        const char *pointer, *code;
    } rows[] = {
        {"{\"name\":\"T. Moss\",\"passphrase\":\"Plum-kettle-orbit-sand\"}", ERR_WRONG_SIGN_IN, NULL, NULL},
        {"{\"name\":\"T. Moss\",\"passphrase\":\"" PASS " \"}", ERR_WRONG_SIGN_IN, NULL, NULL},
        {"{\"name\":\"Nobody\",\"passphrase\":\"" PASS "\"}", ERR_WRONG_SIGN_IN, NULL, NULL},
        {"{\"name\":\"T. Moss\"}", ERR_BAD_INPUT, "/passphrase", "required"},
        {"{\"name\":\"T. Moss\",\"passphrase\":7}", ERR_BAD_INPUT, "/passphrase", "not_text"},
        {"{\"name\":\" \",\"passphrase\":\"" PASS "\"}", ERR_BAD_INPUT, "/name", "required"},
        {"{}", ERR_BAD_INPUT, "/card", "required"},
        {"{\"card\":\"BCD\",\"name\":\"T. Moss\"}", ERR_BAD_INPUT, "/card", "one_way_only"},
        {"{\"name\":\"T. Moss\",\"passphrase\":\"" PASS "\",\"one_time_code\":\"123456\"}",
         ERR_BAD_INPUT, "/one_time_code", "not_yet"},
        {"{\"name\":\"T. Moss\",\"passphrase\":\"" PASS "\",\"admin/~\":true}", ERR_BAD_INPUT,
         "/admin~1~0", "unknown"},
    };
    for (size_t i = 0; i < T_COUNT(rows); i++) {
        struct call c = call(s, POST, "/api/v1/session", NULL, 0, rows[i].body);
        assert_null(c.rp.set_session);
        expect(&c, rows[i].err, rows[i].pointer, rows[i].code);
    }
    fixture_sql(&s->f, "UPDATE staff SET disabled_at = 1 WHERE id = 11");
    struct call c = call(s, POST, "/api/v1/session", NULL, 0,
                         "{\"name\":\"T. Moss\",\"passphrase\":\"" PASS "\"}");
    expect(&c, ERR_WRONG_SIGN_IN, NULL, NULL);
    assert_int_equal(fixture_int(&s->f, "SELECT count(*) FROM session"), 0);
}

/* Guessing from elsewhere slows strangers down and never the browser that is known. */
static void known_browser_goes_on(void **state)
{
    struct scene *s = *state;
    static const char wrong[] = "{\"name\":\"T. Moss\",\"passphrase\":\"not-the-right-one\"}";
    static const char right[] = "{\"name\":\"T. Moss\",\"passphrase\":\"" PASS "\"}";
    char device[100];
    struct call c = call(s, POST, "/api/v1/session", NULL, 0, right);
    assert_int_equal(c.err, OK);
    snprintf(device, sizeof device, "dv=%s", c.rp.set_device);
    call_end(&c);
    for (int i = 0; i < 10; i++) {
        c = call(s, POST, "/api/v1/session", NULL, 0, wrong);
        expect(&c, ERR_WRONG_SIGN_IN, NULL, NULL);
    }
    c = call(s, POST, "/api/v1/session", NULL, 0, right);
    assert_in_range(c.rq.retry_after_s, 1, 60);
    expect(&c, ERR_TOO_MANY, NULL, NULL);
    c = call_new(s, POST, "/api/v1/session", NULL);
    c.rq.cookie = device;
    call_run(&c, right);
    assert_null(c.rp.set_device);       /* it has one */
    expect(&c, OK, NULL, NULL);
    c = call(s, POST, "/api/v1/session", NULL, 0,
             "{\"name\":\"C. Fenn\",\"passphrase\":\"" PASS "\"}");
    expect(&c, OK, NULL, NULL);         /* another account is not slowed */
}

static void pupil_signs_in(void **state)
{
    struct scene *s = *state;
    struct person teacher = staff(s, "T. Moss");
    struct card card = make_card(s, &teacher, SAM, "pupil");
    struct person p = by_code(s, &card);
    struct call c = call(s, GET, "/api/v1/session", &p, 0, NULL);
    assert_string_equal(text_of(&c, "role"), "pupil");
    assert_string_equal(text_of(&c, "pupil"), "501");
    assert_string_equal(text_of(&c, "display_name"), "Sam P");
    assert_int_equal(json_integer_value(json_object_get(c.json, "picture")), 3);
    assert_string_equal(json_string_value(json_object_get(json_object_get(c.json, "class"), "name")),
                        "4 Heron");
    assert_true(json_is_false(json_object_get(json_object_get(c.json, "messages"), "on")));
    call_end(&c);
    char body[80];
    snprintf(body, sizeof body, "{\"key\":\"%s\"}", card.key);
    (void)sign_in(s, body);
    assert_int_equal(fixture_int(&s->f, "SELECT last_used_day FROM card"), 20782);
    /* One wrong letter is the check letter's business; a letter that is on no card says so. */
    char bad[24];
    memcpy(bad, card.code, sizeof bad);
    bad[0] = bad[0] == 'B' ? 'C' : 'B';
    snprintf(body, sizeof body, "{\"card\":\"%s\"}", bad);
    for (int i = 0; i < 50; i++) {
        c = call(s, POST, "/api/v1/session", NULL, 0, body);
        c.rq.retry_after_s = 0;
        clock_fix(start + i);
        if (c.err == ERR_TOO_MANY) {    /* the request rate, not the card's */
            call_end(&c);
            break;
        }
        expect(&c, ERR_BAD_INPUT, "/card", "check_letter");
    }
    c = call(s, POST, "/api/v1/session", NULL, 0, "{\"card\":\"AAA AAA AAA\"}");
    expect(&c, ERR_BAD_INPUT, "/card", "letter");
    c = call(s, POST, "/api/v1/session", NULL, 0, "{\"key\":\"nonsense\"}");
    expect(&c, ERR_BAD_INPUT, "/key", "not_a_key");
    c = call(s, POST, "/api/v1/session", NULL, 0, "{\"key\":\"MZXW6YTBOJTG633CMFZGM33PMI\"}");
    expect(&c, ERR_CARD_ENDED, NULL, NULL);
    c = call(s, POST, "/api/v1/session", NULL, 0, "{\"card\":\"BCDFGHJKT\"}");
    expect(&c, ERR_WRONG_SIGN_IN, NULL, NULL);
}

/* Session spans through the gate, with the clock moved. */
static void session_ends_by_itself(void **state)
{
    struct scene *s = *state;
    struct person teacher = staff(s, "T. Moss");
    clock_fix(start + 30 * MINUTE - 1);
    struct call c = call(s, GET, "/api/v1/session", &teacher, 0, NULL);
    expect(&c, OK, NULL, NULL);
    clock_fix(start + 30 * MINUTE);
    c = call(s, GET, "/api/v1/session", &teacher, 0, NULL);
    expect(&c, ERR_NOT_SIGNED_IN, NULL, NULL);
    /* Seen again and again it still ends after eight hours. */
    fixture_sql(&s->f, "UPDATE session SET seen_at = started_at + 8 * 3600 - 1");
    clock_fix(start + 8 * 60 * MINUTE - 1);
    c = call(s, GET, "/api/v1/session", &teacher, 0, NULL);
    expect(&c, OK, NULL, NULL);
    clock_fix(start + 8 * 60 * MINUTE);
    c = call(s, GET, "/api/v1/session", &teacher, 0, NULL);
    expect(&c, ERR_NOT_SIGNED_IN, NULL, NULL);
    clock_fix(start);
}

static void foreign_pages(void **state)
{
    struct scene *s = *state;
    struct person p = staff(s, "T. Moss");
    static const struct {
        const char *site, *origin, *csrf;   /* csrf "": the right one */
        enum err err;
    } rows[] = {
        {"same-origin", "http://127.0.0.1:8080", "", OK},
        {NULL, NULL, "", OK},
        {NULL, "http://127.0.0.1:8080", "", OK},
        {"same-origin", "http://127.0.0.1:8080", NULL, ERR_FORBIDDEN},
        {NULL, NULL, NULL, ERR_FORBIDDEN},
        {NULL, NULL, "AAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA", ERR_FORBIDDEN},
        {"cross-site", "https://evil.example", "", ERR_FORBIDDEN},
        {"same-site", NULL, "", ERR_FORBIDDEN},
        {"none", NULL, "", ERR_FORBIDDEN},
        {NULL, "null", "", ERR_FORBIDDEN},
        {NULL, "http://127.0.0.1:8081", "", ERR_FORBIDDEN},
    };
    for (size_t i = 0; i < T_COUNT(rows); i++) {
        struct call c = call_new(s, POST, "/api/v1/classes/:class/sign-in-window", &p);
        c.rq.args[0].id = CLASS;
        c.rq.sec_fetch_site = rows[i].site;
        c.rq.origin = rows[i].origin;
        c.rq.csrf = rows[i].csrf && !*rows[i].csrf ? p.csrf : rows[i].csrf;
        call_run(&c, "{}");
        expect(&c, rows[i].err, NULL, NULL);
    }
    struct call c = call_new(s, GET, "/api/v1/session", &p);
    c.rq.sec_fetch_site = "cross-site";
    c.rq.sec_fetch_mode = "no-cors";
    c.rq.sec_fetch_dest = "script";
    call_run(&c, NULL);
    expect(&c, ERR_FORBIDDEN, NULL, NULL);
    c = call_new(s, POST, "/api/v1/session", NULL);
    c.rq.origin = "https://evil.example";
    call_run(&c, "{\"name\":\"T. Moss\",\"passphrase\":\"" PASS "\"}");
    expect(&c, ERR_FORBIDDEN, NULL, NULL);
}

static void roles_and_scopes(void **state)
{
    struct scene *s = *state;
    struct person office = staff(s, "R. Amberley"), teacher = staff(s, "T. Moss");
    struct person cover = staff(s, "C. Fenn");
    struct card card = make_card(s, &teacher, SAM, "pupil");
    struct person pupil = by_code(s, &card);
    struct call c = call(s, POST, "/api/v1/classes/:class/sign-in-window", &teacher, OTHER, "{}");
    expect(&c, ERR_NOT_FOUND, NULL, NULL);          /* another's class */
    c = call(s, POST, "/api/v1/classes/:class/sign-in-window", &teacher, 999, "{}");
    expect(&c, ERR_NOT_FOUND, NULL, NULL);          /* none: the same */
    c = call(s, POST, "/api/v1/classes/:class/sign-in-window", &cover, OTHER, "{}");
    expect(&c, ERR_NOT_FOUND, NULL, NULL);          /* help is not teach */
    c = call(s, POST, "/api/v1/classes/:class/sign-in-window", &office, CLASS, "{}");
    expect(&c, ERR_NOT_FOUND, NULL, NULL);          /* the route names teach alone */
    c = call(s, POST, "/api/v1/classes/:class/sign-in-window", &pupil, CLASS, "{}");
    expect(&c, ERR_NOT_FOUND, NULL, NULL);
    c = call(s, POST, "/api/v1/classes/:class/sign-in-window", NULL, CLASS, "{}");
    expect(&c, ERR_NOT_SIGNED_IN, NULL, NULL);
    c = call(s, GET, "/api/v1/pupils/:pupil/cards", &teacher, SAM, NULL);
    assert_int_equal(json_array_size(json_object_get(c.json, "cards")), 1);
    expect(&c, OK, NULL, NULL);
    c = call(s, GET, "/api/v1/pupils/:pupil/cards", &teacher, BEN, NULL);
    expect(&c, ERR_NOT_FOUND, NULL, NULL);
    c = call(s, GET, "/api/v1/pupils/:pupil/cards", &office, BEN, NULL);
    expect(&c, OK, NULL, NULL);
    /* A teacher makes no family cards. */
    c = call(s, POST, "/api/v1/pupils/:pupil/cards", &teacher, SAM, "{\"holder\":\"family\"}");
    expect(&c, ERR_FORBIDDEN, "/holder", "office_only");
    /* A card of another class cannot be cancelled; one's own can, and the child is out. */
    struct card ben = make_card(s, &office, BEN, "pupil");
    c = call(s, DELETE, "/api/v1/cards/:card", &teacher, strtoll(ben.id, NULL, 10), NULL);
    expect(&c, ERR_NOT_FOUND, NULL, NULL);
    c = call(s, GET, "/api/v1/session", &pupil, 0, NULL);
    expect(&c, OK, NULL, NULL);
    c = call(s, DELETE, "/api/v1/cards/:card", &teacher, strtoll(card.id, NULL, 10), NULL);
    expect(&c, OK, NULL, NULL);
    c = call(s, GET, "/api/v1/session", &pupil, 0, NULL);
    expect(&c, ERR_NOT_SIGNED_IN, NULL, NULL);
}

static void family(void **state)
{
    struct scene *s = *state;
    struct person office = staff(s, "R. Amberley");
    struct card sam = make_card(s, &office, SAM, "family"), ada = make_card(s, &office, ADA, "family");
    char body[120];
    struct person p = by_code(s, &sam);
    struct call c = call(s, GET, "/api/v1/session", &p, 0, NULL);
    assert_string_equal(text_of(&c, "role"), "carer");
    assert_int_equal(json_array_size(json_object_get(c.json, "children")), 1);
    call_end(&c);
    /* A second child's card joins the same session, only with the session's token. */
    snprintf(body, sizeof body, "{\"key\":\"%s\"}", ada.key);
    c = call(s, POST, "/api/v1/session", &p, 0, body);
    assert_null(c.rp.set_session);
    assert_int_equal(json_array_size(json_object_get(c.json, "children")), 2);
    expect(&c, OK, NULL, NULL);
    struct person tokenless = p;
    tokenless.csrf[0] = '\0';
    c = call(s, POST, "/api/v1/session", &tokenless, 0, body);
    assert_non_null(c.rp.set_session);
    assert_int_equal(json_array_size(json_object_get(c.json, "children")), 1);
    expect(&c, OK, NULL, NULL);
    /* Two-part: the phrase too, five tries. */
    char hash[PASSPHRASE_HASH], sql[300];
    assert_int_equal(passphrase_hash("plum-kettle-orbit", 17, hash), OK);
    snprintf(sql, sizeof sql,
             "UPDATE pupil SET family_view = 'two_part', family_phrase_hash = '%s' WHERE id = 501",
             hash);
    fixture_sql(&s->f, sql);
    snprintf(body, sizeof body, "{\"card\":\"%s\"}", sam.code);
    c = call(s, POST, "/api/v1/session", NULL, 0, body);
    expect(&c, ERR_BAD_INPUT, "/phrase", "required");
    snprintf(body, sizeof body, "{\"card\":\"%s\",\"phrase\":\"Plum Kettle  orbit\"}", sam.code);
    c = call(s, POST, "/api/v1/session", NULL, 0, body);
    expect(&c, OK, NULL, NULL);
    snprintf(body, sizeof body, "{\"card\":\"%s\",\"phrase\":\"plum kettle sand\"}", sam.code);
    for (int i = 0; i < 5; i++) {
        c = call(s, POST, "/api/v1/session", NULL, 0, body);
        expect(&c, ERR_WRONG_SIGN_IN, NULL, NULL);
    }
    c = call(s, POST, "/api/v1/session", NULL, 0, body);
    expect(&c, ERR_TOO_MANY, NULL, NULL);
    fixture_sql(&s->f, "UPDATE pupil SET family_view = 'off' WHERE id = 502");
    snprintf(body, sizeof body, "{\"key\":\"%s\"}", ada.key);
    c = call(s, POST, "/api/v1/session", NULL, 0, body);
    expect(&c, ERR_CARD_ENDED, NULL, NULL);
}

static size_t made(struct scene *s, const struct person *p, const char *body)
{
    struct call c = call(s, POST, "/api/v1/classes/:class/cards", p, CLASS, body);
    assert_int_equal(c.err, OK);
    size_t n = json_array_size(json_object_get(c.json, "cards"));
    call_end(&c);
    return n;
}

static void class_cards(void **state)
{
    struct scene *s = *state;
    struct person teacher = staff(s, "T. Moss");
    assert_int_equal(made(s, &teacher, "{\"holder\":\"pupil\"}"), 2);
    assert_int_equal(made(s, &teacher, "{\"holder\":\"pupil\"}"), 0);
    assert_int_equal(made(s, &teacher, "{\"holder\":\"pupil\",\"pupils\":[\"501\"]}"), 1);
    assert_int_equal(made(s, &teacher, "{\"holder\":\"pupil\",\"pupils\":[\"501\"]}"), 1);
    struct call c = call(s, POST, "/api/v1/classes/:class/cards", &teacher, CLASS,
                         "{\"holder\":\"pupil\",\"pupils\":[\"502\",\"501\"]}");
    expect(&c, ERR_CONFLICT, "/pupils/1", "three_live");
    assert_int_equal(fixture_int(&s->f, "SELECT count(*) FROM card WHERE pupil_id = 502"), 1);
    assert_int_equal(made(s, &teacher, "{\"holder\":\"pupil\",\"replace\":true}"), 2);
    assert_int_equal(fixture_int(&s->f, "SELECT count(*) FROM card WHERE cancelled_at IS NULL"), 4);
    static const struct {
        const char *body, *pointer, *code;
    } rows[] = {
        {"{\"holder\":\"pupil\",\"pupils\":[\"503\"]}", "/pupils/0", "not_in_class"},
        {"{\"holder\":\"pupil\",\"pupils\":[\"501\",\"501\"]}", "/pupils/1", "twice"},
        {"{\"holder\":\"pupil\",\"pupils\":[]}", "/pupils", "required"},
        {"{\"holder\":\"pupil\",\"pupils\":[5]}", "/pupils/0", "not_an_id"},
        {"{\"holder\":\"teacher\"}", "/holder", "unknown"},
        {"{}", "/holder", "required"},
        {"{\"holder\":\"pupil\",\"label\":\"card_1\"}", "/label", "unknown"},
        {"{\"holder\":\"pupil\",\"replace\":\"yes\"}", "/replace", "not_true_or_false"},
        {"{\"holder\":\"pupil\",\"replace\":true,\"others\":\"both\"}", "/others", "unknown"},
        {"{\"holder\":\"pupil\",\"replace\":true,\"others\":true}", "/others", "not_text"},
        {"{\"holder\":\"pupil\",\"others\":\"keep\"}", "/others", "not_allowed"},
        {"{\"holder\":\"pupil\",\"replace\":true,\"label\":\"home\",\"others\":\"keep\"}", "/others",
         "not_allowed"},
        {"{\"holder\":\"pupil\",\"colour\":\"red\"}", "/colour", "unknown"},
    };
    for (size_t i = 0; i < T_COUNT(rows); i++) {
        c = call(s, POST, "/api/v1/classes/:class/cards", &teacher, CLASS, rows[i].body);
        expect(&c, ERR_BAD_INPUT, rows[i].pointer, rows[i].code);
    }
    /* Every card made or cancelled left a row. */
    assert_int_equal(fixture_int(&s->f, "SELECT count(*) FROM audit WHERE action = 'card made'"),
                     fixture_int(&s->f, "SELECT count(*) FROM card"));
    assert_int_equal(fixture_int(&s->f, "SELECT count(*) FROM audit WHERE action = 'card cancelled'"),
                     fixture_int(&s->f, "SELECT count(*) FROM card WHERE cancelled_at IS NOT NULL"));
}

/* Our own rule, and who signed in with an issued passphrase can do no more than this. */
static void only_own_account_before_the_change(void **state)
{
    static const char *const open[] = {"/api/v1/session", "/api/v1/session", "/api/v1/me/passphrase",
                                       "/api/v1/me/sessions", "/api/v1/me/sessions/:session"};
    size_t n = 0;
    (void)state;
    for (size_t i = 0; i < route_count; i++) {
        if (routes[i].issued_ok) {
            assert_true(n < T_COUNT(open));
            assert_string_equal(routes[i].path, open[n++]);
        }
    }
    assert_int_equal(n, T_COUNT(open));
}

static void change_passphrase(void **state)
{
    struct scene *s = *state;
    struct person here = staff(s, "T. Moss"), there = staff(s, "T. Moss");
    fixture_sql(&s->f, "UPDATE staff SET must_change = 1 WHERE id = 11");
    /* Until it is changed: the account only. */
    struct call c = call(s, GET, "/api/v1/pupils/:pupil/cards", &here, SAM, NULL);
    expect(&c, ERR_FORBIDDEN, "/passphrase", "must_change");
    static const struct {
        const char *body;
        enum err err;
        const char *pointer, *code;
    } rows[] = {
        {"{\"old\":\"wrong-kettle-orbit\",\"new\":\"seventeen quiet otters\"}", ERR_BAD_INPUT, "/old", "wrong"},
        {"{\"old\":\"" PASS "\",\"new\":\"short\"}", ERR_BAD_INPUT, "/new", "too_short"},
        {"{\"old\":\"" PASS "\",\"new\":\"password2026\"}", ERR_BAD_INPUT, "/new", "common"},
        {"{\"old\":\"" PASS "\",\"new\":\"larkfold primary\"}", ERR_BAD_INPUT, "/new", "own_words"},
        {"{\"old\":\"" PASS "\",\"new\":\"" PASS "\"}", ERR_BAD_INPUT, "/new", "same"},
        {"{\"old\":\"" PASS "\"}", ERR_BAD_INPUT, "/new", "required"},
    };
    for (size_t i = 0; i < T_COUNT(rows); i++) {
        c = call(s, PUT, "/api/v1/me/passphrase", &here, 0, rows[i].body);
        expect(&c, rows[i].err, rows[i].pointer, rows[i].code);
    }
    c = call(s, PUT, "/api/v1/me/passphrase", &here, 0,
             "{\"old\":\"" PASS "\",\"new\":\"seventeen quiet otters\"}");
    assert_int_equal(c.rp.status, 204);
    expect(&c, OK, NULL, NULL);
    c = call(s, GET, "/api/v1/pupils/:pupil/cards", &here, SAM, NULL);
    expect(&c, OK, NULL, NULL);
    c = call(s, GET, "/api/v1/session", &there, 0, NULL);
    expect(&c, ERR_NOT_SIGNED_IN, NULL, NULL);      /* the other one ended */
    c = call(s, POST, "/api/v1/session", NULL, 0,
             "{\"name\":\"T. Moss\",\"passphrase\":\"" PASS "\"}");
    expect(&c, ERR_WRONG_SIGN_IN, NULL, NULL);
    struct person again = sign_in(s, "{\"name\":\"T. Moss\",\"passphrase\":\"seventeen quiet otters\"}");
    c = call(s, GET, "/api/v1/me/sessions", &again, 0, NULL);
    const json_t *list = json_object_get(c.json, "sessions");
    assert_int_equal(json_array_size(list), 2);
    int64_t mine = 0, other = 0;
    for (size_t i = 0; i < 2; i++) {
        const json_t *one = json_array_get(list, i);
        int64_t id = strtoll(json_string_value(json_object_get(one, "id")), NULL, 10);
        *(json_is_true(json_object_get(one, "this_one")) ? &mine : &other) = id;
    }
    call_end(&c);
    assert_true(mine != 0 && other != 0);
    struct person cover = staff(s, "C. Fenn");
    c = call(s, DELETE, "/api/v1/me/sessions/:session", &cover, mine, NULL);
    expect(&c, ERR_NOT_FOUND, NULL, NULL);          /* not one's own */
    c = call(s, DELETE, "/api/v1/me/sessions/:session", &again, other, NULL);
    expect(&c, OK, NULL, NULL);
    c = call(s, GET, "/api/v1/session", &here, 0, NULL);
    expect(&c, ERR_NOT_SIGNED_IN, NULL, NULL);
}

#define T(f) cmocka_unit_test_setup_teardown(f, set_up, tear_down)

int main(void)
{
    const struct CMUnitTest tests[] = {
        T(staff_signs_in), T(wrong_staff), T(known_browser_goes_on), T(pupil_signs_in),
        T(session_ends_by_itself), T(foreign_pages), T(roles_and_scopes), T(family),
        cmocka_unit_test(only_own_account_before_the_change),
        T(class_cards), T(change_passphrase),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
