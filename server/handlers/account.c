/* SPDX-License-Identifier: MIT
 * One's own account: passphrase, open sessions; and the sign-in window of one's own class.
 *
 * Changing the passphrase asks for the old one (throttled like a sign-in) and ends every other
 * session of the account. Sessions are listed by day: nothing shows when somebody was online. */
#include "sign_in_internal.h"

#include <string.h>

#include "auth/audit.h"
#include "auth/auth.h"
#include "base/clock.h"
#include "base/mem.h"
#include "handlers/handlers.h"
#include "http/reply.h"
#include "store/school.h"
#include "store/sessions.h"
#include "store/staff.h"

struct change {
    struct staff_row staff;
    char *old, *new;
    size_t old_n, new_n;
    bool verified;
    char hash[PASSPHRASE_HASH];
};

static enum err look_at_new(struct request *rq, const struct change *c)
{
    struct school s = {.name = NULL};
    enum err e = school_get(rq->store, rq->mem, &s);

    if (e && e != ERR_NOT_FOUND) {
        return e;
    }
    const char *code = passphrase_refusal(c->new, c->new_n, s.name, c->staff.name);
    if (!code && c->old_n == c->new_n && memcmp(c->old, c->new, c->new_n) == 0) {
        code = "same";
    }
    return code ? request_blame(rq, "/new", code, NULL) : OK;
}

enum err h_me_passphrase_put_parse(struct request *rq, struct reply *rp)
{
    static const char *const members[] = {"old", "new", NULL};
    struct change *c = mem_new(rq->mem, struct change);
    const char *old, *new;

    (void)rp;
    rq->input = c;
    enum err e = body_only(rq, members);
    e = e ? e : body_text(rq, "/old", true, &old, &c->old_n);
    e = e ? e : body_text(rq, "/new", true, &new, &c->new_n);
    e = e ? e : staff_get(rq->store, rq->mem, rq->who.staff, &c->staff);
    if (e) {
        return e;
    }
    c->old = mem_strn(rq->mem, old, c->old_n);
    c->new = mem_strn(rq->mem, new, c->new_n);
    e = look_at_new(rq, c);
    if (e) {
        return e;
    }
    if (!limit_take(rq->auth->limiter, LIMIT_PASS_DEVICE, (uint64_t)rq->who.staff.v,
                    clock_mono_ms(), &rq->retry_after_s)) {
        return ERR_TOO_MANY;
    }
    rq->slow = true;
    return OK;
}

enum err h_me_passphrase_put_slow(struct request *rq, struct reply *rp)
{
    struct change *c = rq->input;
    enum err e = OK;

    (void)rp;
    c->verified = passphrase_verify(c->staff.hash, c->old, c->old_n);
    if (c->verified) {
        e = passphrase_hash(c->new, c->new_n, c->hash);
    }
    explicit_bzero(c->old, c->old_n);
    explicit_bzero(c->new, c->new_n);
    return e;
}

enum err h_me_passphrase_put(struct request *rq, struct reply *rp)
{
    struct change *c = rq->input;
    struct staff_row now_row;
    char actor[32], object[48];

    if (!c->verified) {
        return request_blame(rq, "/old", "wrong", NULL);
    }
    enum err e = staff_get(rq->store, rq->mem, rq->who.staff, &now_row);
    if (!e && strcmp(now_row.hash, c->staff.hash) != 0) {
        return ERR_CONFLICT;    /* changed by somebody else meanwhile */
    }
    audit_actor(&rq->who, actor);
    audit_object("staff", rq->who.staff.v, object);
    e = e ? e : staff_set_hash(rq->store, rq->who.staff, c->hash, false);
    e = e ? e : sessions_end_staff(rq->store, rq->who.staff, rq->who.session);
    e = e ? e : audit_add(rq->store, rq->auth->keys, rq->now, actor, "passphrase changed", object,
                          "own");
    if (e) {
        return e;
    }
    limit_give(rq->auth->limiter, LIMIT_PASS_DEVICE, (uint64_t)rq->who.staff.v, clock_mono_ms());
    reply_no_content(rp);
    return OK;
}

enum err h_me_sessions_get(struct request *rq, struct reply *rp)
{
    struct session_list_row *s;
    size_t n;
    enum err e = sessions_of_staff(rq->store, rq->mem, rq->who.staff, &s, &n);

    if (e) {
        return e;
    }
    json_t *list = json_array();
    for (size_t i = 0; i < n; i++) {
        json_array_append_new(
            list, json_pack("{s:o,s:o,s:o,s:b}", "id", id_json(s[i].id.v), "started_on",
                            day_json(clock_day(s[i].started_at)), "seen_on",
                            day_json(clock_day(s[i].seen_at)), "this_one",
                            s[i].id.v == rq->who.session.v));
    }
    return reply_json(rq, rp, 200, json_pack("{s:o}", "sessions", list));
}

enum err h_me_session_delete(struct request *rq, struct reply *rp)
{
    struct session_id id = {rq->args[0].id};
    enum err e = session_end(rq->store, id);

    if (e) {
        return e;
    }
    rp->end_session = id.v == rq->who.session.v;
    reply_no_content(rp);
    return OK;
}

/* What a stopped child asks its teacher for. */
enum err h_sign_in_window_post(struct request *rq, struct reply *rp)
{
    static const char *const members[] = {NULL};
    char actor[32], object[48];
    enum err e = body_only(rq, members);

    audit_actor(&rq->who, actor);
    audit_object("class", rq->args[0].id, object);
    e = e ? e : audit_add(rq->store, rq->auth->keys, rq->now, actor, "sign-in window opened",
                          object, "");
    if (e) {
        return e;
    }
    limit_window_open(rq->auth->limiter, rq->client.near, rq->args[0].id, clock_mono_ms());
    reply_no_content(rp);
    return OK;
}
