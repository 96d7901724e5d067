/* SPDX-License-Identifier: MIT
 * The rules of taking a hand-in, handler and database together, at fixed moments. The rules are
 * our own (web/openapi.json, sendTries; include/store/hand_ins.h); rows are invented. The attainable
 * totals of four slides at 0, 2 and 5 were listed by hand: 0 2 4 5 6 7 8 9 10 11 12 14 15 17 20. */
#include <jansson.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/clock.h"
#include "base/mem.h"
#include "fixture.h"
#include "handlers/hand_in_internal.h"
#include "handlers/handlers.h"
#include "t.h"

/* 2026-03-01 00:00 .. due 2026-03-15 16:00 .. closes 2026-03-25 23:59:59, all in London (GMT). */
#define OPENS 1772323200
#define DUE 1773590400
#define CLOSES 1774483199
enum { ANOUK = 21, BAZ = 22, ELSEWHERE = 23, DAY = 86400, NOON = 43200 };

static const char world[] =
    "INSERT INTO class (id, name, name_key, kind, created_at) VALUES"
    " (11, '3 Alder', '3 alder', 'class', 1), (12, '4 Birch', '4 birch', 'class', 1);"
    "INSERT INTO pupil (id, display_name, name_key, picture, created_at) VALUES"
    " (21, 'Anouk', 'anouk', 1, 1), (22, 'Baz', 'baz', 2, 1), (23, 'Cedar', 'cedar', 3, 1);"
    "INSERT INTO membership (pupil_id, class_id, from_day) VALUES (21, 11, 20000), (22, 11, 20000),"
    " (23, 12, 20000);"
    "INSERT INTO unit (id, name, created_at) VALUES (31, 'Aiming', 1);"
    "INSERT INTO activity (id, created_at) VALUES (41, 1), (42, 1);"
    "INSERT INTO revision (id, activity_id, number, name, strand, kind, unit, attempts, throws,"
    " seconds, soft_high, hard_high, summary, set_up, scoring, created_at) VALUES"
    " (51, 41, 1, 'Mat slide', 'target', 'zones', 'points', 3, 4, NULL, NULL, NULL, '', '', '', 1),"
    " (52, 42, 1, 'Line skips', 'skipping', 'timed_count', 'count', 3, NULL, 30, 60, 200, '', '', '', 1);"
    "INSERT INTO distance VALUES (51, 2000), (51, 3000), (51, 4000);"
    "INSERT INTO zone (revision_id, position, name, points) VALUES (51, 1, 'mid', 5),"
    " (51, 2, 'edge', 2), (51, 3, 'miss', 0);"
    "INSERT INTO version (id, revision_id, kind, how) VALUES (61, 51, 'standard', ''),"
    " (62, 51, 'seated', ''), (63, 52, 'standard', '');"
    "INSERT INTO cue (id, revision_id, position, text) VALUES (71, 51, 1, 'Eyes'), (72, 52, 1, 'Soft');"
    "INSERT INTO challenge (id, revision_id, unit_id, number, opens_at, due_at, closes_at, created_at)"
    " VALUES (101, 51, 31, 12, 1772323200, 1773590400, 1774483199, 1),"
    " (102, 52, 31, 13, 1772323200, 1773590400, 1774483199, 1);"
    "INSERT INTO challenge_class (class_id, challenge_id) VALUES (11, 101), (11, 102);";

static int open_school(void **state)
{
    return fixture_setup(state, world);
}

struct sent {
    enum err e;
    int status;
    char code[40], pointer[60];         /* first blame */
    char json[4000];                    /* the answer, or the first blame's members */
};

struct call {
    struct request rq;
    struct reply rp;
};

static enum err run(struct store *st, void *arg)
{
    struct call *c = arg;
    c->rq.store = st;
    return h_hand_in_post(&c->rq, &c->rp);
}

/* Parse and handler as the server runs them, in a transaction. */
static struct sent send_as(struct fixture *f, int64_t pupil, int64_t now, const char *json)
{
    struct sent out = {0};
    struct call c = {.rq = {.mem = mem_root(), .query = "", .now = now}};
    c.rq.who.role = ROLE_PUPIL;
    c.rq.who.pupil.v = pupil;
    c.rq.json = json_loads(json, JSON_REJECT_DUPLICATES, NULL);
    assert_non_null(c.rq.json);
    out.e = h_hand_in_post_parse(&c.rq, &c.rp);
    if (out.e == OK) {
        out.e = store_tx(f->st, "send", run, &c);
    }
    out.status = out.e == OK ? c.rp.status : err_info(out.e)->status;
    if (c.rq.blame_count > 0) {
        snprintf(out.code, sizeof out.code, "%s", c.rq.blames[0].code);
        snprintf(out.pointer, sizeof out.pointer, "%s", c.rq.blames[0].pointer);
        char *more = c.rq.blames[0].more ? json_dumps(c.rq.blames[0].more, JSON_COMPACT) : NULL;
        snprintf(out.json, sizeof out.json, "%s", more ? more : "");
        free(more);
    } else if (out.e == OK) {
        snprintf(out.json, sizeof out.json, "%s", c.rp.body.data);
    }
    json_decref(c.rq.json);
    talloc_free(c.rq.mem);
    return out;
}

/* A body for challenge `c` under id number n. */
static const char *body(struct fixture *f, int n, int c, const char *rest)
{
    return mem_printf(f->mem, "{\"id\":\"018f0000-0000-7000-8000-%012d\",\"challenge\":\"%d\",%s}", n, c,
                      rest);
}

static void expect(const struct sent *s, enum err e, const char *code, const char *pointer)
{
    if (s->e != e || strcmp(s->code, code) != 0 || strcmp(s->pointer, pointer) != 0) {
        print_error("got %d %s %s %s\n", s->e, s->code, s->pointer, s->json);
        fail();
    }
}

static long long rows(struct fixture *f)
{
    return fixture_int(f, "SELECT count(*) FROM hand_in");
}

#define SEVEN "\"attempts\":[{\"value\":7}]"

static void repeats_are_one(void **state)
{
    struct fixture *f = *state;
    const char *one = body(f, 1, 101, "\"attempts\":[{\"throws\":[5,2,0,2],\"distance_mm\":3000}]");
    struct sent a = send_as(f, ANOUK, OPENS + DAY, one);
    assert_int_equal(a.status, 201);
    struct sent b = send_as(f, ANOUK, OPENS + DAY + 5, one);
    assert_int_equal(b.status, 200);
    assert_string_equal(a.json, b.json);
    struct sent later = send_as(f, ANOUK, OPENS + 2 * DAY, body(f, 2, 101, "\"attempts\":[{\"value\":20,\"distance_mm\":3000}]"));
    assert_int_equal(later.status, 201);
    struct sent c = send_as(f, ANOUK, CLOSES + 200 * DAY, one);     /* also when all is long over */
    assert_int_equal(c.status, 200);
    b = send_as(f, ANOUK, OPENS + 2 * DAY, one);
    assert_string_equal(a.json, b.json);                            /* the same answer, later ones not counted */
    struct sent other = send_as(f, ANOUK, OPENS + DAY, body(f, 1, 101, SEVEN));
    assert_int_equal(other.e, ERR_DIFFERENT);
    assert_int_equal(send_as(f, BAZ, OPENS + DAY, one).e, ERR_DIFFERENT);
    assert_int_equal(rows(f), 2);
}

static void open_and_closed(void **state)
{
    struct fixture *f = *state;
    assert_int_equal(send_as(f, ANOUK, OPENS - 1, body(f, 1, 101, SEVEN)).e, ERR_NOT_OPEN);
    assert_int_equal(send_as(f, ANOUK, OPENS, body(f, 2, 101, SEVEN)).status, 201);
    assert_int_equal(send_as(f, ANOUK, OPENS + DAY, body(f, 3, 101, SEVEN ",\"done_on\":\"2026-02-28\"")).e, ERR_NOT_OPEN);
    assert_int_equal(send_as(f, ANOUK, OPENS + DAY, body(f, 3, 101, SEVEN ",\"done_on\":\"2025-11-02\"")).e, ERR_NOT_OPEN);
    assert_int_equal(send_as(f, ANOUK, CLOSES, body(f, 4, 101, SEVEN)).status, 201);
    assert_int_equal(send_as(f, ANOUK, CLOSES + 1, body(f, 5, 101, SEVEN)).e, ERR_CLOSED);
    struct sent queued = send_as(f, ANOUK, CLOSES + 20 * DAY, body(f, 6, 101, SEVEN ",\"done_on\":\"2026-03-14\""));
    assert_int_equal(queued.status, 201);
    assert_non_null(strstr(queued.json, "\"after_date\":false"));
    assert_int_equal(send_as(f, ANOUK, CLOSES + 20 * DAY, body(f, 7, 101, SEVEN ",\"done_on\":\"2026-03-26\"")).e, ERR_CLOSED);
    struct sent s = send_as(f, ANOUK, CLOSES - NOON + 26 * DAY, body(f, 8, 101, SEVEN ",\"done_on\":\"2026-03-15\""));
    expect(&s, ERR_BAD_INPUT, "too_old", "/done_on");      /* 20 April: 36 days ago */
    assert_int_equal(send_as(f, ANOUK, CLOSES - NOON + 25 * DAY, body(f, 9, 101, SEVEN ",\"done_on\":\"2026-03-15\"")).status, 201);
    s = send_as(f, ANOUK, OPENS + NOON, body(f, 10, 101, SEVEN ",\"done_on\":\"2026-03-02\""));
    expect(&s, ERR_BAD_INPUT, "in_future", "/done_on");
}

static void after_the_date(void **state)
{
    struct fixture *f = *state;
    assert_non_null(strstr(send_as(f, ANOUK, DUE, body(f, 1, 101, SEVEN)).json, "\"after_date\":false"));
    assert_non_null(strstr(send_as(f, ANOUK, DUE + 1, body(f, 2, 101, SEVEN)).json, "\"after_date\":true"));
    assert_non_null(strstr(send_as(f, ANOUK, DUE + DAY, body(f, 3, 101, SEVEN ",\"done_on\":\"2026-03-15\"")).json,
                           "\"after_date\":false"));
    assert_non_null(strstr(send_as(f, ANOUK, DUE + DAY, body(f, 4, 101, SEVEN)).json, "\"after_date\":true"));
}

static void not_yours_is_not_there(void **state)
{
    struct fixture *f = *state;
    assert_int_equal(send_as(f, ELSEWHERE, OPENS + DAY, body(f, 1, 101, SEVEN)).e, ERR_NOT_FOUND);
    assert_int_equal(send_as(f, ANOUK, OPENS + DAY, body(f, 1, 999, SEVEN)).e, ERR_NOT_FOUND);
    assert_int_equal(rows(f), 0);
}

static void ten_a_day(void **state)
{
    struct fixture *f = *state;
    for (int i = 0; i < 10; i++) {
        assert_int_equal(send_as(f, ANOUK, OPENS + NOON + i, body(f, i, 101, SEVEN)).status, 201);
    }
    assert_int_equal(send_as(f, ANOUK, OPENS + NOON + 60, body(f, 10, 101, SEVEN)).e, ERR_ENOUGH_TODAY);
    assert_int_equal(send_as(f, ANOUK, OPENS + NOON + 60, body(f, 3, 101, SEVEN)).status, 200);
    assert_int_equal(send_as(f, ANOUK, OPENS + NOON + 60, body(f, 11, 102, "\"attempts\":[{\"value\":20}]")).status, 201);
    assert_int_equal(send_as(f, BAZ, OPENS + NOON + 60, body(f, 12, 101, SEVEN)).status, 201);
    assert_int_equal(send_as(f, ANOUK, OPENS + DAY, body(f, 13, 101, SEVEN)).status, 201);
}

static void impossible_values(void **state)
{
    struct fixture *f = *state;
    int64_t now = OPENS + DAY;
    struct sent s = send_as(f, ANOUK, now, body(f, 1, 101, "\"attempts\":[{\"value\":9},{\"value\":12},{\"value\":16}]"));
    expect(&s, ERR_BAD_INPUT, "impossible", "/attempts/2/value");
    assert_string_equal(s.json, "{\"nearest\":[15,17]}");
    s = send_as(f, ANOUK, now, body(f, 1, 101, "\"attempts\":[{\"value\":13}]"));
    assert_string_equal(s.json, "{\"nearest\":[12,14]}");
    s = send_as(f, ANOUK, now, body(f, 1, 101, "\"attempts\":[{\"value\":21}]"));
    assert_string_equal(s.json, "{\"nearest\":[20]}");
    s = send_as(f, ANOUK, now, body(f, 1, 101, "\"attempts\":[{\"throws\":[5,3,0,0]}]"));
    expect(&s, ERR_BAD_INPUT, "wrong_points", "/attempts/0/throws/1");
    s = send_as(f, ANOUK, now, body(f, 1, 101, "\"attempts\":[{\"throws\":[5,2,0,0,0]}]"));
    expect(&s, ERR_BAD_INPUT, "too_many_throws", "/attempts/0/throws");
    s = send_as(f, ANOUK, now, body(f, 1, 101, "\"attempts\":[{\"throws\":[5,2,0,0],\"value\":9}]"));
    expect(&s, ERR_BAD_INPUT, "disagree", "/attempts/0/value");
    s = send_as(f, ANOUK, now, body(f, 1, 101, "\"attempts\":[{\"throws\":[5,2,0,0],\"value\":7}]"));
    assert_int_equal(s.status, 201);
    s = send_as(f, ANOUK, now, body(f, 2, 101, "\"attempts\":[{}]"));
    expect(&s, ERR_BAD_INPUT, "required", "/attempts/0");
    s = send_as(f, ANOUK, now, body(f, 2, 101, "\"attempts\":[]"));
    expect(&s, ERR_BAD_INPUT, "required", "/attempts");
    s = send_as(f, ANOUK, now, body(f, 2, 101, "\"attempts\":[{\"value\":7},{\"value\":7},{\"value\":7},{\"value\":7}]"));
    expect(&s, ERR_BAD_INPUT, "too_many", "/attempts");
    s = send_as(f, ANOUK, now, body(f, 2, 102, "\"attempts\":[{\"value\":-1}]"));
    expect(&s, ERR_BAD_INPUT, "out_of_range", "/attempts/0/value");
    s = send_as(f, ANOUK, now, body(f, 2, 102, "\"attempts\":[{\"throws\":[1,1]}]"));
    expect(&s, ERR_BAD_INPUT, "not_of_this_kind", "/attempts/0/throws");
    s = send_as(f, ANOUK, now, body(f, 2, 101, SEVEN ",\"version\":\"63\""));
    expect(&s, ERR_BAD_INPUT, "not_a_choice", "/version");
    s = send_as(f, ANOUK, now, body(f, 2, 101, SEVEN ",\"cues\":[\"71\",\"72\"]"));
    expect(&s, ERR_BAD_INPUT, "not_a_choice", "/cues/1");
    s = send_as(f, ANOUK, now, body(f, 2, 101, SEVEN ",\"answers\":{\"5\":\"6\"}"));
    expect(&s, ERR_BAD_INPUT, "not_a_choice", "/answers/5");
    s = send_as(f, ANOUK, now, body(f, 2, 101, SEVEN ",\"setup\":{\"target\":\"5\"}"));
    expect(&s, ERR_BAD_INPUT, "not_a_choice", "/setup/target");
    assert_int_equal(rows(f), 1);
}

static void fewer_throws_are_part(void **state)
{
    struct fixture *f = *state;
    struct sent s = send_as(f, ANOUK, OPENS + DAY, body(f, 1, 101, "\"attempts\":[{\"throws\":[5,5,5]},{\"value\":7}]"));
    assert_int_equal(s.status, 201);
    assert_non_null(strstr(s.json, "\"part\":true"));
    assert_non_null(strstr(s.json, "\"best\":7"));
    s = send_as(f, ANOUK, OPENS + DAY, body(f, 2, 101, "\"attempts\":[],\"could_not\":\"no_space\""));
    assert_int_equal(s.status, 201);
    assert_non_null(strstr(s.json, "\"best\":null"));
    assert_non_null(strstr(s.json, "\"status\":null"));
}

static void surprising_is_asked_once(void **state)
{
    struct fixture *f = *state;
    int64_t now = OPENS + DAY;
    struct sent s = send_as(f, ANOUK, now, body(f, 1, 102, "\"attempts\":[{\"value\":17}]"));
    assert_int_equal(s.status, 201);
    assert_non_null(strstr(s.json, "\"status\":\"first\""));
    s = send_as(f, ANOUK, now, body(f, 2, 102, "\"attempts\":[{\"value\":18},{\"value\":71}]"));
    expect(&s, ERR_CONFIRM, "confirm", "/attempts/1/value");
    assert_int_equal(rows(f), 1);
    s = send_as(f, ANOUK, now, body(f, 2, 102, "\"attempts\":[{\"value\":18},{\"value\":71}],\"confirmed\":true"));
    assert_int_equal(s.status, 201);
    assert_non_null(strstr(s.json, "\"state\":\"to_check\""));
    assert_non_null(strstr(s.json, "\"status\":null"));
    assert_non_null(strstr(s.json, "\"bests\":[{\"version\":\"63\",\"distance_mm\":null,\"value\":17}]"));
    s = send_as(f, ANOUK, now, body(f, 3, 102, "\"attempts\":[{\"value\":16}],\"confirmed\":true"));
    assert_non_null(strstr(s.json, "\"state\":\"counts\""));        /* nothing to ask about */
    assert_non_null(strstr(s.json, "\"status\":\"not_this_time\",\"value\":16,\"distance_mm\":null,\"before\":17"));
}

/* Unlike the child's own history, though within the activity's limits: four tries of 2 to 4 skips,
 * then 55 (soft limit 60). */
static void unlike_the_child(void **state)
{
    struct fixture *f = *state;
    int64_t now = OPENS + DAY;
    assert_int_equal(send_as(f, ANOUK, now, body(f, 1, 102, "\"attempts\":[{\"value\":2},{\"value\":4},{\"value\":3}]")).status, 201);
    struct sent s = send_as(f, ANOUK, now, body(f, 2, 102, "\"attempts\":[{\"value\":55}]"));
    expect(&s, ERR_CONFIRM, "confirm", "/attempts/0/value");
    assert_int_equal(send_as(f, BAZ, now, body(f, 3, 102, "\"attempts\":[{\"value\":55}]")).status, 201);
    assert_int_equal(send_as(f, ANOUK, now, body(f, 4, 102, "\"attempts\":[{\"value\":5}]")).status, 201);
}

static void own_best_in_its_words(void **state)
{
    struct fixture *f = *state;
    int64_t now = OPENS + DAY;
    static const struct { const char *attempts, *want; } steps[] = {
        {"{\"value\":9,\"distance_mm\":3000}", "\"status\":\"first\",\"value\":9,\"distance_mm\":3000,\"before\":null"},
        {"{\"value\":9,\"distance_mm\":3000}", "\"status\":\"equal_best\",\"value\":9,\"distance_mm\":3000,\"before\":9"},
        {"{\"value\":12,\"distance_mm\":3000}", "\"status\":\"new_best\",\"value\":12,\"distance_mm\":3000,\"before\":9"},
        {"{\"value\":12,\"distance_mm\":4000}", "\"status\":\"new_best_farther\",\"value\":12,\"distance_mm\":4000,\"before\":12"},
        {"{\"value\":15,\"distance_mm\":2000}", "\"status\":\"first_at_distance\",\"value\":15,\"distance_mm\":2000,\"before\":12"},
        {"{\"value\":4,\"distance_mm\":2000}", "\"status\":\"not_this_time\",\"value\":4,\"distance_mm\":2000,\"before\":15"},
    };
    for (int i = 0; i < (int)T_COUNT(steps); i++) {
        struct sent s = send_as(f, ANOUK, now + i, body(f, i, 101, mem_printf(f->mem, "\"attempts\":[%s]", steps[i].attempts)));
        assert_int_equal(s.status, 201);
        if (!strstr(s.json, steps[i].want)) {
            print_error("%d: %s\n", i, s.json);
            fail();
        }
    }
    struct sent seated = send_as(f, ANOUK, now + 60, body(f, 50, 101, "\"version\":\"62\"," SEVEN));
    assert_non_null(strstr(seated.json, "\"status\":\"first\""));   /* a line of its own */
}

int main(void)
{
#define T(name) cmocka_unit_test_setup_teardown(name, open_school, fixture_teardown)
    const struct CMUnitTest tests[] = {
        T(repeats_are_one),      T(open_and_closed),          T(after_the_date),
        T(not_yours_is_not_there), T(ten_a_day),              T(impossible_values),
        T(fewer_throws_are_part), T(surprising_is_asked_once), T(unlike_the_child),
        T(own_best_in_its_words),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
