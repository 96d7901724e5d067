/* SPDX-License-Identifier: MIT
 * A school with its gate, and calls made to it the way the loop makes them: gate, parse, slow, then
 * fn inside a transaction. School, names and results are invented. */
#pragma once

#include "t.h"

#include <stdlib.h>
#include <string.h>

#include "auth/auth.h"
#include "auth/gate.h"
#include "base/clock.h"
#include "base/mem.h"
#include "base/text.h"
#include "day.h"
#include "fixture.h"
#include "handlers/handlers.h"
#include "http/reply.h"
#include "http/route.h"
#include "store/store.h"

#include "routes.c"  /* the real table: its masks and scopes are what is tested */

enum { CLASS = 70, OTHER = 71, SAM = 501, ADA = 502, BEN = 503, MINUTE = 60 };
static const int64_t start = 1795600800;    /* Wednesday 25 November 2026, 10:00 in London */
static const char *const origins[] = {"http://127.0.0.1:8080", NULL};
#define PASS "plum-kettle-orbit-sand"

struct scene {
    struct fixture f;
    struct auth *auth;
};

/* One exchange; a new memory root each. */
struct call {
    struct request rq;
    struct reply rp;
    enum err err;
    json_t *json;
};

static int set_up(void **state)
{
    struct scene *s = calloc(1, sizeof *s);
    const char *why = "";
    char hash[PASSPHRASE_HASH], sql[4096];
    setenv("THRICE_KDF", "floor", 1);
    clock_fix(start);
    fixture_school(&s->f);
    assert_int_equal(keys_create(s->f.dir, &why), OK);
    assert_int_equal(auth_start(s->f.mem, s->f.dir, &s->auth, &why), OK);
    s->auth->origins = origins;
    assert_int_equal(passphrase_hash(PASS, strlen(PASS), hash), OK);
    snprintf(sql, sizeof sql,
             "UPDATE staff SET passphrase_hash = '%s';"
             "INSERT INTO staff(id, name, name_key, passphrase_hash, created_at) VALUES"
             " (11, 'T. Moss', 't. moss', '%s', 1), (12, 'C. Fenn', 'c. fenn', '%s', 1);"
             "INSERT INTO class(id, name, name_key, kind, created_at) VALUES"
             " (70, '4 Heron', '4 heron', 'class', 1), (71, '5 Kite', '5 kite', 'class', 1);"
             "INSERT INTO pupil(id, display_name, name_key, picture, created_at) VALUES"
             " (501, 'Sam P', 'sam p', 3, 1), (502, 'Ada K', 'ada k', 4, 1),"
             " (503, 'Ben O', 'ben o', 5, 1);"
             "INSERT INTO membership(pupil_id, class_id, from_day) VALUES"
             " (501, 70, 20000), (502, 70, 20000), (503, 71, 20000);"
             "INSERT INTO class_right (class_id, staff_id, right, until_day) VALUES (70, 11, 'teach', NULL), (71, 12, 'help', 20782);",
             hash, hash, hash);
    fixture_sql(&s->f, sql);
    *state = s;
    return 0;
}

static int tear_down(void **state)
{
    struct scene *s = *state;
    auth_stop(s->auth);
    fixture_close(&s->f);
    day_reset();
    free(s);
    return 0;
}

/* Making requests -------------------------------------------------------------------------------- */

static const struct route *route_of(enum method method, const char *path)
{
    for (size_t i = 0; i < route_count; i++) {
        if (routes[i].method == method && strcmp(routes[i].path, path) == 0) {
            return &routes[i];
        }
    }
    fail_msg("no route %s", path);
    return NULL;
}

struct person {
    char cookie[64], csrf[64];
};

static struct call call_new(struct scene *s, enum method method, const char *path,
                            const struct person *p)
{
    struct call c = {.err = OK};
    c.rq.mem = mem_root();
    c.rq.route = route_of(method, path);
    c.rq.query = "";
    c.rq.body = "";
    c.rq.origin_base = origins[0];
    c.rq.client = (struct client_keys){4711, 4712, 4713};
    c.rq.now = clock_now();
    c.rq.auth = s->auth;
    c.rq.store = s->f.st;
    memcpy(c.rq.request_id, "test", 5);
    buf_init(&c.rp.body, c.rq.mem);
    if (p) {
        c.rq.cookie = p->cookie;
        c.rq.csrf = p->csrf;
    }
    return c;
}

static enum err run_fn(struct store *st, void *arg)
{
    struct call *c = arg;
    (void)st;
    return c->rq.route->fn(&c->rq, &c->rp);
}

static void call_run(struct call *c, const char *body)
{
    struct request *rq = &c->rq;
    if (body) {
        rq->json = request_own_json(rq, json_loads(body, JSON_REJECT_DUPLICATES, NULL));
        assert_non_null(rq->json);
    }
    c->err = gate_admit(rq);
    if (!c->err && rq->route->parse) {
        c->err = rq->route->parse(rq, &c->rp);
    }
    if (!c->err && rq->slow) {
        c->err = rq->route->slow(rq, &c->rp);
    }
    if (!c->err) {
        c->err = store_tx(rq->store, "call", run_fn, c);
    }
    if (!c->err && c->rp.body.len > 0) {
        c->json = json_loadb(c->rp.body.data, c->rp.body.len, 0, NULL);
        assert_non_null(c->json);
    }
}

static struct call call(struct scene *s, enum method method, const char *path,
                        const struct person *p, int64_t arg, const char *body)
{
    struct call c = call_new(s, method, path, p);
    c.rq.args[0].id = arg;
    call_run(&c, body);
    return c;
}

static void call_end(struct call *c)
{
    json_decref(c->json);
    talloc_free(c->rq.mem);
}

static const char *text_of(const struct call *c, const char *name)
{
    return json_string_value(json_object_get(c->json, name));
}

/* Says the error, and the blame when one is wanted. */
static void expect(struct call *c, enum err err, const char *pointer, const char *code)
{
    if (c->err != err) {
        print_error("%s: got %d, wanted %d\n", c->rq.route->path, (int)c->err, (int)err);
    }
    assert_int_equal(c->err, err);
    if (pointer) {
        assert_int_not_equal(c->rq.blame_count, 0);
        assert_string_equal(c->rq.blames[0].pointer, pointer);
        assert_string_equal(c->rq.blames[0].code, code);
    }
    call_end(c);
}

static void keep(const struct call *c, struct person *p)
{
    assert_int_equal(c->err, OK);
    if (c->rp.set_session) {
        snprintf(p->cookie, sizeof p->cookie, "a=1; s=%s", c->rp.set_session);
    }
    snprintf(p->csrf, sizeof p->csrf, "%s", text_of(c, "csrf_token"));
}

static struct person sign_in(struct scene *s, const char *body)
{
    struct person p = {.csrf = ""};
    struct call c = call(s, POST, "/api/v1/session", NULL, 0, body);
    keep(&c, &p);
    call_end(&c);
    return p;
}

static struct person staff(struct scene *s, const char *name)
{
    char body[200];
    snprintf(body, sizeof body, "{\"name\":\"%s\",\"passphrase\":\"" PASS "\"}", name);
    return sign_in(s, body);
}

struct card {
    char code[24], key[32], id[24];
};

static struct card make_card(struct scene *s, const struct person *p, int64_t pupil,
                             const char *holder)
{
    struct card out;
    char body[64];
    snprintf(body, sizeof body, "{\"holder\":\"%s\"}", holder);
    struct call c = call(s, POST, "/api/v1/pupils/:pupil/cards", p, pupil, body);
    assert_int_equal(c.err, OK);
    assert_int_equal(c.rp.status, 201);
    const json_t *card = json_array_get(json_object_get(c.json, "cards"), 0);
    const char *url = json_string_value(json_object_get(card, "url"));
    snprintf(out.code, sizeof out.code, "%s", json_string_value(json_object_get(card, "code")));
    snprintf(out.key, sizeof out.key, "%s", strstr(url, "#k=") + 3);
    snprintf(out.id, sizeof out.id, "%s", json_string_value(json_object_get(card, "id")));
    call_end(&c);
    return out;
}

static struct person by_code(struct scene *s, const struct card *card)
{
    char body[64];
    snprintf(body, sizeof body, "{\"card\":\"%s\"}", card->code);
    return sign_in(s, body);
}
