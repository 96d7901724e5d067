/* SPDX-License-Identifier: MIT
 * Signing in and out.
 *
 * Three ways in: a typed card code, a QR's key, a name with a passphrase. The loop reads the body,
 * asks the throttles and looks up (parse); a KDF thread checks a passphrase or a family phrase
 * (slow); the writer looks again and begins the session (fn), because between the two a card may
 * have been cancelled or an account disabled.
 *
 * Threats: guessing (throttles; a known and an unknown name take the same path and time), session
 * fixation (a new token at every sign-in, the old session ends), a foreign page signing somebody in
 * (JSON only, provenance). Secrets are wiped as soon as they have been checked. */
#include "sign_in_internal.h"

#include <inttypes.h>
#include <string.h>

#include "auth/auth.h"
#include "auth/card_find.h"
#include "auth/csrf.h"
#include "auth/session.h"
#include "auth/token.h"
#include "base/clock.h"
#include "base/log.h"
#include "base/mem.h"
#include "base/text.h"
#include "handlers/handlers.h"
#include "http/reply.h"
#include "store/cards.h"
#include "store/sessions.h"
#include "store/staff.h"

struct sign_in {
    bool is_staff;
    struct card_row card;           /* pupil, carer */
    struct staff_row staff;         /* staff; .id.v 0: no such name */
    const char *hash;               /* what the secret is checked against; NULL: nothing to check */
    char *secret;
    size_t secret_n;
    bool verified;
    char fresh_hash[PASSPHRASE_HASH];   /* the hash was made with other costs: store this one */
    enum limit_kind taken[4];       /* tokens to give back when it was right */
    uint64_t taken_key[4];
    int taken_n;
    struct device device;
};

/* Throttles ------------------------------------------------------------------------------------ */

static enum err take(struct request *rq, struct sign_in *in, enum limit_kind kind, uint64_t key)
{
    if (!limit_take(rq->auth->limiter, kind, key, clock_mono_ms(), &rq->retry_after_s)) {
        return ERR_TOO_MANY;
    }
    in->taken[in->taken_n] = kind;
    in->taken_key[in->taken_n++] = key;
    return OK;
}

static void give_back(struct request *rq, struct sign_in *in)
{
    while (in->taken_n > 0) {
        in->taken_n--;
        limit_give(rq->auth->limiter, in->taken[in->taken_n], in->taken_key[in->taken_n],
                   clock_mono_ms());
    }
}

/* The account and where it is tried from, together. */
static uint64_t account_at(const struct keys *k, uint64_t account, uint64_t place)
{
    const uint64_t both[2] = {account, place};

    return keys_throttle(k, "account at", both, sizeof both);
}

/* A browser that this account does not know. An address by itself, and an account by itself, count
 * only where nobody is signed in: a child at the school's address keeps no teacher out. */
static enum err throttle_stranger(struct request *rq, struct sign_in *in, const char *name_key)
{
    const struct keys *k = rq->auth->keys;
    uint64_t account = keys_throttle(k, "name", name_key, strlen(name_key));
    enum err e = take(rq, in, LIMIT_PASS_ADDRESS, account_at(k, account, rq->client.near));

    e = e ? e : take(rq, in, LIMIT_PASS_WIDE, account_at(k, account, rq->client.wide));
    if (!limit_is_there(rq->auth->limiter, rq->client.near, clock_mono_ms())) {
        e = e ? e : take(rq, in, LIMIT_PASS_CLIENT, rq->client.near);
        e = e ? e : take(rq, in, LIMIT_PASS_ACCOUNT, account);
    }
    if (e) {
        give_back(rq, in);
    }
    rq->stranger = true;
    return e;
}

/* A browser that has signed in as this account has its own bucket: strangers cannot empty it. */
static enum err throttle_staff(struct request *rq, struct sign_in *in, const char *name_key)
{
    const struct keys *k = rq->auth->keys;
    struct device_of of = device_of_staff(in->staff.id.v);

    if (in->staff.id.v && device_knows(k, &in->device, &of)) {
        return take(rq, in, LIMIT_PASS_DEVICE, device_throttle(k, &in->device, &of));
    }
    return throttle_stranger(rq, in, name_key);
}

/* Parse ---------------------------------------------------------------------------------------- */

static void keep_secret(struct request *rq, struct sign_in *in, const char *text, size_t n)
{
    in->secret = mem_strn(rq->mem, text, n);
    in->secret_n = n;
    rq->slow = true;
}

static enum err parse_staff(struct request *rq, struct sign_in *in, const char *name)
{
    const char *pass;
    size_t n;
    enum err e = body_text(rq, "/passphrase", true, &pass, &n);

    if (e) {
        return e;
    }
    const char *clean = text_clean(rq->mem, name);
    const char *key = clean ? text_fold(rq->mem, clean) : NULL;
    if (!key || !*key) {
        return request_blame(rq, "/name", clean ? "required" : "not_text", NULL);
    }
    e = staff_by_name(rq->store, rq->mem, key, &in->staff);
    if (e == ERR_NOT_FOUND || (!e && in->staff.disabled)) {
        in->staff = (struct staff_row){0};
        e = OK;
    }
    if (!e) {
        e = throttle_staff(rq, in, key);
    }
    if (e) {
        return e;
    }
    in->is_staff = true;
    in->hash = in->staff.id.v ? in->staff.hash : rq->auth->dummy_hash;
    /* Too long to be anybody's: checked cut short, so that it takes as long and is wrong. */
    keep_secret(rq, in, pass, n <= PASSPHRASE_MAX ? n : 0);
    return OK;
}

static enum err parse_phrase(struct request *rq, struct sign_in *in)
{
    const char *phrase;
    char tidy[PASSPHRASE_WORDS];
    size_t n;
    enum err e = body_text(rq, "/phrase", true, &phrase, &n);

    if (e) {
        return e;
    }
    n = passphrase_family_tidy(phrase, n, tidy);
    if (n == 0) {
        return request_blame(rq, "/phrase", "required", NULL);
    }
    struct device_of of = device_of_card(in->card.code_mac);
    rq->stranger = !device_knows(rq->auth->keys, &in->device, &of);
    e = take(rq, in, LIMIT_PHRASE, (uint64_t)in->card.id.v);
    if (e) {
        return e;
    }
    in->hash = in->card.phrase_hash ? in->card.phrase_hash : rq->auth->dummy_hash;
    keep_secret(rq, in, tidy, n);
    explicit_bzero(tidy, sizeof tidy);
    return OK;
}

static enum err parse_card(struct request *rq, struct sign_in *in, const char *pointer)
{
    const char *text;
    size_t n;
    enum err e = body_text(rq, pointer, true, &text, &n);

    if (!e && strcmp(pointer, "/card") == 0) {
        e = card_find_typed(rq, text, n, pointer, &in->card);
    } else if (!e) {
        e = card_find_key(rq, text, n, pointer, &in->card);
    }
    if (!e && in->card.two_part) {
        e = parse_phrase(rq, in);
    }
    return e;
}

enum err h_session_post_parse(struct request *rq, struct reply *rp)
{
    static const char *const members[] = {"card",          "key",    "name", "passphrase",
                                          "one_time_code", "phrase", NULL};
    struct sign_in *in = mem_new(rq->mem, struct sign_in);
    const char *card = NULL, *key = NULL, *name = NULL, *code = NULL;
    size_t n;

    (void)rp;
    rq->input = in;
    auth_device(rq->auth, rq->cookie, &in->device);
    enum err e = body_only(rq, members);
    e = e ? e : body_text(rq, "/card", false, &card, &n);
    e = e ? e : body_text(rq, "/key", false, &key, &n);
    e = e ? e : body_text(rq, "/name", false, &name, &n);
    e = e ? e : body_text(rq, "/one_time_code", false, &code, &n);
    if (e) {
        return e;
    }
    if ((card != NULL) + (key != NULL) + (name != NULL) != 1) {
        return request_blame(rq, "/card", card || key || name ? "one_way_only" : "required", NULL);
    }
    if (code) {
        return request_blame(rq, "/one_time_code", "not_yet", NULL);
    }
    return name ? parse_staff(rq, in, name) : parse_card(rq, in, card ? "/card" : "/key");
}

/* Slow ----------------------------------------------------------------------------------------- */

enum err h_session_post_slow(struct request *rq, struct reply *rp)
{
    struct sign_in *in = rq->input;
    enum err e = OK;

    (void)rp;
    in->verified = passphrase_verify(in->hash, in->secret, in->secret_n);
    if (in->verified && in->is_staff && in->staff.id.v && passphrase_is_stale(in->hash)) {
        e = passphrase_hash(in->secret, in->secret_n, in->fresh_hash);
    }
    explicit_bzero(in->secret, in->secret_n);
    return e;
}

/* Begin ---------------------------------------------------------------------------------------- */

/* From now on this browser knows who or which card was let in. */
static void remember(struct request *rq, struct reply *rp, struct sign_in *in,
                     const struct device_of *of)
{
    char text[DEVICE_TEXT];

    if (!device_knows(rq->auth->keys, &in->device, of)) {
        device_learn(rq->auth->keys, &in->device, of);
        device_print(&in->device, text);
        rp->set_device = mem_str(rq->mem, text);
    }
}

static enum err answer(struct request *rq, struct reply *rp, const struct who *who)
{
    json_t *view;
    enum err e = session_view(rq, who, &view);

    return e ? e : reply_json(rq, rp, 200, view);
}

static enum err begin(struct request *rq, struct reply *rp, const struct session_begin *b,
                      struct who *who)
{
    char token[TOKEN_TEXT];
    struct session_begun begun;
    enum err e = session_begin(rq->store, b, token, &begun);

    if (e) {
        return e;
    }
    csrf_token(rq->auth->keys, begun.hash, who->csrf);
    who->session = begun.id;
    rp->set_session = mem_str(rq->mem, token);
    explicit_bzero(token, sizeof token);
    return answer(rq, rp, who);
}

static enum err begin_staff(struct request *rq, struct reply *rp, struct sign_in *in)
{
    struct staff_row now_row;

    if (!in->verified || !in->staff.id.v) {
        return ERR_WRONG_SIGN_IN;
    }
    enum err e = staff_get(rq->store, rq->mem, in->staff.id, &now_row);
    if (e == ERR_NOT_FOUND || (!e && (now_row.disabled || strcmp(now_row.hash, in->hash) != 0))) {
        return ERR_WRONG_SIGN_IN;
    }
    if (!e && in->fresh_hash[0]) {
        e = staff_set_hash(rq->store, in->staff.id, in->fresh_hash, now_row.must_change);
    }
    if (e) {
        return e;
    }
    struct who who = {.role = ROLE_STAFF, .staff = in->staff.id};
    struct session_begin b = {.role = ROLE_STAFF, .staff = in->staff.id,
                              .now = auth_now(rq->auth, rq->now), .replaces = rq->who.session};
    struct device_of of = device_of_staff(in->staff.id.v);
    e = begin(rq, rp, &b, &who);
    if (!e) {
        remember(rq, rp, in, &of);
    }
    return e;
}

/* A second family card in a session that is open: the token stays. */
static enum err add_child(struct request *rq, struct reply *rp, const struct card_row *card)
{
    bool has = false;
    enum err e = session_has_child(rq->store, rq->who.session, card->pupil, rq->now, &has);

    if (!e && !has) {
        e = sessions_trim_card(rq->store, card->id, SESSIONS_CARD - 1);
    }
    if (!e && !has) {
        e = session_add_card(rq->store, rq->who.session, card->id);
    }
    return e ? e : answer(rq, rp, &rq->who);
}

static enum err begin_card(struct request *rq, struct reply *rp, struct sign_in *in)
{
    struct card_row card;

    if (in->card.two_part && !in->verified) {
        return ERR_WRONG_SIGN_IN;
    }
    enum err e = card_by_id(rq->store, rq->mem, in->card.id, rq->now, &card);
    if (e == ERR_NOT_FOUND || (!e && card.two_part && !in->verified)) {
        return ERR_WRONG_SIGN_IN;
    }
    if (!e) {
        e = card_used(rq->store, card.id, clock_day(rq->now));
    }
    if (e) {
        return e;
    }
    bool family = card.holder == CARD_FOR_FAMILY;
    if (family && rq->who.role == ROLE_CARER) {
        return add_child(rq, rp, &card);
    }
    enum role role = family ? ROLE_CARER : ROLE_PUPIL;
    struct who who = {.role = role, .card = card.id};
    who.pupil.v = family ? 0 : card.pupil.v;
    struct session_begin b = {.role = role, .card = card.id,
                              .now = auth_now(rq->auth, rq->now), .replaces = rq->who.session};
    struct device_of of = device_of_card(card.code_mac);
    e = begin(rq, rp, &b, &who);
    if (!e) {
        remember(rq, rp, in, &of);
    }
    return e;
}

enum err h_session_post(struct request *rq, struct reply *rp)
{
    struct sign_in *in = rq->input;
    enum err e = in->is_staff ? begin_staff(rq, rp, in) : begin_card(rq, rp, in);

    if (!e) {
        give_back(rq, in);
        limit_seen(rq->auth->limiter, rq->client.near, clock_mono_ms());
    }
    if (in->is_staff) {
        log_event(LOG_INFO, e ? "staff_sign_in_refused" : "staff_signed_in",
                  "request=%s staff=%" PRId64, rq->request_id, in->staff.id.v);
    }
    return e;
}

enum err h_session_get(struct request *rq, struct reply *rp)
{
    return answer(rq, rp, &rq->who);
}

enum err h_session_delete(struct request *rq, struct reply *rp)
{
    enum err e = session_end(rq->store, rq->who.session);

    if (e) {
        return e;
    }
    rp->end_session = true;
    reply_no_content(rp);
    return OK;
}
