/* SPDX-License-Identifier: MIT
 * A request as handlers see it, and its life:
 *
 *   loop thread    vet framing and headers -> find route -> collect body -> admit (session, CSRF,
 *                  origin, rights, scope) -> route.parse
 *   KDF thread     route.slow, only when parse set rq->slow (passphrases)
 *   loop or writer route.fn: on the loop with a read-only store for reads, on the writer thread
 *                  inside a savepoint for writes; any result but OK rolls the savepoint back
 *   loop thread    the reply goes out (after COMMIT, for writes)
 *
 * Exactly one thread holds a request at a time. All memory hangs from rq->mem, freed in one place
 * when libmicrohttpd says the request is over; handlers free nothing. */
#pragma once

#include <jansson.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/client.h"
#include "base/err.h"
#include "base/ids.h"
#include "base/who.h"

struct app;
struct auth;
struct route;
struct store;

enum { REQUEST_ARGS = 3, REQUEST_BLAMES = 16 };

struct request_arg {
    int64_t id;                 /* `:name` typed as id, or day                       */
    struct uuid uuid;           /* `:name` typed as uuid                             */
};

/* One entry of an RFC 9457 problem's `errors`. */
struct blame {
    const char *pointer;        /* RFC 6901, "/attempts/0/throws/2"; form fields: "/attempt_1" */
    const char *code;           /* slug, e.g. "impossible", "required", "too_long"             */
    json_t *more;               /* further members or NULL: {"nearest":[12,14]}; owned by rq   */
};

struct request {
    void *mem;                          /* talloc root of this request */
    const struct route *route;
    struct request_arg args[REQUEST_ARGS];
    const char *query;                  /* raw query string without '?', "" when none; vetted */
    const char *body;                   /* bytes as sent, NUL-terminated behind; "" when none */
    size_t body_len;
    json_t *json;                       /* BODY_JSON: the parsed object */
    struct form *form;                  /* BODY_FORM: decoded fields    */
    const char *if_none_match;          /* header value or NULL */
    /* What the gate looks at: header values as sent, NULL when absent. http fills them. */
    const char *cookie;                 /* whole Cookie header */
    const char *origin;                 /* Origin */
    const char *referer;                /* Referer */
    const char *sec_fetch_site, *sec_fetch_mode, *sec_fetch_dest;
    const char *csrf;                   /* X-CSRF-Token */
    const char *origin_base;            /* "https://school.example": what QR codes and links say */
    struct who who;
    struct client_keys client;          /* keyed hashes of the client's address, for throttles */
    char request_id[17];
    int64_t now;                        /* seconds; fixed for the request */
    bool cross_site_get;                /* GET that a foreign page asked for */
    struct app *app;
    struct auth *auth;                  /* keys, throttles, hashing threads; from the app */
    struct store *store;                /* reader on loops, writing store on the writer thread */
    void *input;                        /* whatever route.parse made for slow/fn, on mem */
    bool slow;                          /* parse asks for route.slow */
    bool stranger;                      /* ... for a browser that is not known: others go first */
    struct blame blames[REQUEST_BLAMES];
    size_t blame_count;
    int retry_after_s;                  /* for ERR_TOO_MANY / ERR_BUSY; 0 = default */
};

/* Notes what was wrong with a field and returns ERR_BAD_INPUT. Pointer and code are borrowed
 * (literals, or on rq->mem). `more` may be NULL and is owned by the request from here. */
enum err request_blame(struct request *rq, const char *pointer, const char *code, json_t *more);

/* Value of a query parameter, decoded, on rq->mem; NULL when absent. */
const char *request_query(struct request *rq, const char *name);
/* ?name=<id>; absent gives *out = 0 and OK; not an id -> ERR_BAD_INPUT with blame. */
enum err request_query_id(struct request *rq, const char *name, int64_t *out) MUST_USE;

/* Keeps a jansson value until the request's memory goes (the reference is stolen). Returns j. */
json_t *request_own_json(struct request *rq, json_t *j);

/* BODY_FORM: the field's decoded value or NULL. Duplicate fields were refused before. */
const char *form_get(const struct form *f, const char *name);
