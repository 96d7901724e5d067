/* SPDX-License-Identifier: MIT
 * Making a school: what `thrice init` and `thrice demo` have in common. */
#pragma once

#include <stdbool.h>

#include "auth/passphrase.h"
#include "base/err.h"
#include "base/ids.h"
#include "store/starters.h"

struct init_ask {
    const char *dir;            /* missing or empty */
    const char *school;         /* its name */
    const char *staff;          /* name of the first account, which holds every right */
    const char *passphrase;     /* NULL: one is drawn, to be changed at the first sign-in */
    const char *origin;         /* public address, or NULL: loopback */
};

struct init_done {
    struct staff_id staff;
    char drawn[PASSPHRASE_WORDS];       /* "" when one was given */
    struct activity_id starters[STARTER_COUNT];
};

/* Makes folder, key, database, the school's row (Europe/London), the offered band words, the first
 * account and the starter activities. All or nothing: what it made is removed when it fails.
 * *why (on ctx) is one sentence that says what to mend. */
enum err init_school(void *ctx, const struct init_ask *ask, struct init_done *out,
                     const char **why) MUST_USE;

/* Removes database and key from a folder that this run has made, and the folder if it is empty. */
void init_take_away(void *ctx, const char *dir);

/* "https://HOST[:PORT]", or plain http on 127.0.0.1, localhost or [::1]; nothing behind it. */
bool init_origin_ok(const char *url);
