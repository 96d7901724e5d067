/* SPDX-License-Identifier: MIT
 * Start and end of everything that signing in needs.
 *
 * The dummy hash is made at start from random bytes: an unknown name then takes as long to refuse
 * as a known one. */
#include "auth/auth.h"

#include "base/clock.h"
#include "base/mem.h"
#include "base/rand.h"

static enum err make_dummy(struct auth *a)
{
    char random[32];

    rand_bytes(random, sizeof random);
    return passphrase_hash(random, sizeof random, a->dummy_hash);
}

enum err auth_start(void *ctx, const char *dir, struct auth **out, const char **why)
{
    struct auth *a = mem_new(ctx, struct auth);

    *out = NULL;
    enum err e = keys_load(dir, &a->keys, why);
    if (e) {
        talloc_free(a);
        return e;
    }
    *why = "could not start the threads that check passphrases; is memory short?";
    e = make_dummy(a);
    if (!e) {
        e = kdf_start(a, &a->kdf);
    }
    if (e) {
        auth_stop(a);
        return e;
    }
    a->limiter = limiter_new(a);
    a->wall_at = clock_now();
    a->mono_ms = clock_mono_ms();
    *out = a;
    return OK;
}

void auth_stop(struct auth *a)
{
    if (!a) {
        return;
    }
    kdf_stop(a->kdf);
    keys_free(a->keys);
    talloc_free(a);
}

const char *auth_session_cookie(const struct auth *a)
{
    return a->secure ? "__Host-s" : "s";
}

const char *auth_device_cookie(const struct auth *a)
{
    return a->secure ? "__Host-dv" : "dv";
}

void auth_device(const struct auth *a, const char *cookies, struct device *out)
{
    size_t n = 0;
    const char *text = cookie_find(cookies, auth_device_cookie(a), &n);

    device_read(text, n, out);
}

int64_t auth_now(const struct auth *a, int64_t wall_now)
{
    int64_t at_least = a->wall_at + (clock_mono_ms() - a->mono_ms) / 1000;
    return wall_now > at_least ? wall_now : at_least;
}
