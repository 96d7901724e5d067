/* SPDX-License-Identifier: MIT
 * The gate: rate, provenance, session, role, CSRF token, scope, in that order.
 *
 * Invariants: nothing is let in by default; a route that lets in nobody is never reached; what a
 * person may not see answers as what is not there; every failure inside is a refusal. The order
 * matters: a foreign page is turned away before the session is looked at, the scope's look at the
 * database comes last.
 * Threats: forged requests from other pages (provenance, token), guessing and floods (rates), a
 * session that outlived its reason (asked at each request), a clock set back (auth_now). */
#include "auth/gate.h"

#include <string.h>

#include "auth/auth.h"
#include "auth/csrf.h"
#include "auth/scope.h"
#include "auth/session.h"
#include "auth/token.h"
#include "base/clock.h"
#include "base/log.h"
#include "base/mem.h"
#include "http/route.h"
#include "store/sessions.h"
#include "store/writer.h"

enum {
    TOUCH_EVERY_S = 60,
    CLASS_RIGHTS = ALLOW_TEACH | ALLOW_HELP | ALLOW_READ,
    SCHOOL_RIGHTS = ALLOW_PE_LEAD | ALLOW_SAFEGUARDING | ALLOW_OFFICE,
};

/* Last seen ------------------------------------------------------------------------------------ */

struct touch {
    struct writer_job job;
    struct session_id session;
    int64_t now;
};

static enum err touch_run(struct store *st, void *arg)
{
    const struct touch *t = arg;
    return session_touch(st, t->session, t->now);
}

static void touch_done(void *arg, enum err result)
{
    if (result) {
        log_event(LOG_WARN, "last_seen_not_written", "err=%d", (int)result);
    }
    talloc_free(arg);
}

/* Nobody waits for it: when the queue is full the next request tries again. */
static void note_seen(const struct auth *a, const struct session_row *s, int64_t now)
{
    if (!a->writer || now - s->seen_at < TOUCH_EVERY_S) {
        return;
    }
    struct touch *t = mem_new(NULL, struct touch);
    t->session = s->id;
    t->now = now;
    t->job = (struct writer_job){.fn = touch_run, .done = touch_done, .arg = t};
    if (!writer_submit(a->writer, &t->job)) {
        talloc_free(t);
    }
}

/* Session -------------------------------------------------------------------------------------- */

static void fill_who(const struct request *rq, const struct session_row *s,
                     const uint8_t hash[static TOKEN_HASH], struct who *who)
{
    *who = (struct who){
        .role = s->role,
        .session = s->id,
        .rights = s->rights,
        .staff = s->staff,
        .pupil = s->pupil,
        .card = s->card,
        .must_change = s->must_change,
    };
    csrf_token(rq->auth->keys, hash, who->csrf);
}

/* OK and role NONE: nobody is signed in. */
static enum err find_session(struct request *rq, struct who *who)
{
    uint8_t hash[TOKEN_HASH];
    struct session_row s;
    size_t n = 0;
    const char *token = cookie_find(rq->cookie, auth_session_cookie(rq->auth), &n);
    int64_t now = auth_now(rq->auth, rq->now);

    *who = (struct who){0};
    if (!token || !token_hash(token, n, hash)) {
        return OK;
    }
    enum err e = session_find(rq->store, hash, now, &s);
    if (e) {
        return e == ERR_NOT_FOUND ? OK : e;
    }
    if (session_is_over(s.role, s.started_at, s.seen_at, now)) {
        return OK;
    }
    fill_who(rq, &s, hash, who);
    note_seen(rq->auth, &s, now);
    return OK;
}

/* Each session by itself, each browser that somebody has signed in on by itself, all others of an
 * address together: whoever floods from a school's address keeps no such browser out. */
static bool may_go_on(struct request *rq, const struct who *who)
{
    enum limit_kind kind = LIMIT_CLIENT_RATE;
    uint64_t key = rq->client.near;
    struct device device;

    if (who->role) {
        kind = LIMIT_SESSION_RATE;
        key = (uint64_t)who->session.v;
        limit_seen(rq->auth->limiter, rq->client.near, clock_mono_ms());
    } else {
        auth_device(rq->auth, rq->cookie, &device);
        if (device_is_ours(rq->auth->keys, &device)) {
            kind = LIMIT_DEVICE_RATE;
            key = device_throttle_all(rq->auth->keys, &device);
        }
    }
    return limit_take(rq->auth->limiter, kind, key, clock_mono_ms(), &rq->retry_after_s);
}

/* Rules ---------------------------------------------------------------------------------------- */

static bool provenance_ok(struct request *rq)
{
    const struct provenance p = {
        .origin = rq->origin,
        .referer = rq->referer,
        .sec_fetch_site = rq->sec_fetch_site,
        .sec_fetch_mode = rq->sec_fetch_mode,
        .sec_fetch_dest = rq->sec_fetch_dest,
    };
    if (rq->route->method == GET) {
        rq->cross_site_get = rq->cross_site_get || !provenance_may_read(&p);
        return rq->route->no_session || !rq->cross_site_get;
    }
    return rq->route->no_session && rq->route->html
               ? provenance_may_post_form(&p, rq->auth->origins)
               : provenance_may_write(&p, rq->auth->origins);
}

/* Does the route's mask let this role in at all? Class rights are the scope's to settle; a route
 * without a scope asks for one anywhere. */
static bool role_ok(struct request *rq)
{
    unsigned allow = rq->route->allow;

    switch (rq->who.role) {
    case ROLE_PUPIL:
        return (allow & ALLOW_PUPIL) != 0;
    case ROLE_CARER:
        return (allow & ALLOW_CARER) != 0;
    case ROLE_STAFF:
        if ((allow & ALLOW_STAFF) || (allow & rq->who.rights & SCHOOL_RIGHTS)) {
            return true;
        }
        if (!(allow & CLASS_RIGHTS)) {
            return false;
        }
        return rq->route->scope || (rights_anywhere(rq) & allow & CLASS_RIGHTS) != 0;
    case ROLE_NONE:
        break;
    }
    return false;
}

/* With a passphrase that the office knows: what the route says, nothing else. */
static enum err must_change_first(struct request *rq)
{
    if (!rq->who.must_change || rq->route->issued_ok) {
        return OK;
    }
    (void)request_blame(rq, "/passphrase", "must_change", NULL);
    return ERR_FORBIDDEN;
}

static enum err admit_person(struct request *rq)
{
    if (rq->who.role == ROLE_NONE) {
        return ERR_NOT_SIGNED_IN;
    }
    if (!role_ok(rq)) {
        return ERR_NOT_FOUND;
    }
    if (rq->route->method != GET && !csrf_matches(rq->who.csrf, rq->csrf)) {
        return ERR_FORBIDDEN;
    }
    enum err e = must_change_first(rq);
    if (e) {
        return e;
    }
    return !rq->route->scope || rq->route->scope(rq) ? OK : ERR_NOT_FOUND;
}

enum err gate_admit(struct request *rq)
{
    struct who who;
    enum err e = find_session(rq, &who);

    if (e) {
        return e;
    }
    if (!may_go_on(rq, &who)) {
        return ERR_TOO_MANY;
    }
    if (!provenance_ok(rq)) {
        return ERR_FORBIDDEN;
    }
    if (rq->route->no_session) {
        /* Signing in while signed in: who it is counts only with the token; that session ends. */
        rq->who = csrf_matches(who.csrf, rq->csrf) ? who : (struct who){.session = who.session};
        return rq->route->allow & ALLOW_ANYONE ? OK : ERR_NOT_FOUND;
    }
    rq->who = who;
    if (rq->route->allow & ALLOW_ANYONE) {
        return OK;
    }
    return admit_person(rq);
}
