/* SPDX-License-Identifier: MIT
 * What signing in needs while the server runs: keys, throttles, the hashing threads, who we are.
 * Made once at start and not changed after; rq->auth points to it. */
#pragma once

#include <stdbool.h>
#include <stdint.h>

#include "auth/kdf.h"
#include "auth/keys.h"
#include "auth/limit.h"
#include "auth/passphrase.h"
#include "auth/token.h"
#include "base/err.h"

struct writer;

struct auth {
    struct keys *keys;
    struct limiter *limiter;
    struct kdf_pool *kdf;
    struct writer *writer;          /* set by the app: "last seen" goes there; NULL: not written */
    const char *const *origins;     /* set by the app: own origins, NULL-terminated              */
    bool secure;                    /* set by the app: public address is https                   */
    int64_t wall_at, mono_ms;       /* the two clocks at start                                   */
    char dummy_hash[PASSPHRASE_HASH];   /* what an unknown name is checked against               */
};

/* Loads the keys of DIR, starts the hashing threads. Ends with auth_stop. */
enum err auth_start(void *ctx, const char *dir, struct auth **out, const char **why) MUST_USE;
void auth_stop(struct auth *a);

/* "__Host-s" or "s"; "__Host-dv" or "dv". */
const char *auth_session_cookie(const struct auth *a);
const char *auth_device_cookie(const struct auth *a);
/* The device of a Cookie header (or NULL); one that knows nobody when it names none. */
void auth_device(const struct auth *a, const char *cookies, struct device *out);

/* The later of the wall clock and what the machine's own clock says it must be: setting the clock
 * back revives no session. */
int64_t auth_now(const struct auth *a, int64_t wall_now);
