/* SPDX-License-Identifier: MIT
 * The trail: who did what to which object, chained with a keyed MAC so that a changed, dropped or
 * reordered row shows. A cut tail shows only against a head noted elsewhere (log, backup). */
#pragma once

#include <stdbool.h>
#include <stdint.h>

#include "auth/keys.h"
#include "base/err.h"
#include "base/who.h"
#include "store/store.h"

/* In a writing store, in the transaction of what it tells of. Ids and fixed words only, each up to
 * 60 bytes: actor "staff:ID", "pupil:ID", "carer", "office box"; object "pupil:ID"; code may be
 * "" or NULL. */
#define audit_add(st, keys, now, actor, action, object, code) \
    audit_note((st), (keys), (now), \
               &(const struct audit_words){(actor), (action), (object), (code)})

struct audit_words {
    const char *actor, *action, *object, *code;
};
enum err audit_note(struct store *st, const struct keys *k, int64_t now,
                    const struct audit_words *w) MUST_USE;

/* "staff:123" and the like, for audit_add. */
void audit_actor(const struct who *w, char out[static 32]);
void audit_object(const char *kind, int64_t id, char out[static 48]);

/* The action that notes a new master key (a restore without the old one). Rows before it cannot be
 * proven any more; from it on the chain holds under today's key. */
#define AUDIT_KEY_REPLACED "key replaced"

struct audit_head {
    int64_t rows, seq;      /* how many fit, and the last of them */
    int64_t before_key;     /* seq of the last row under an earlier key; 0: none */
    char mac[17];           /* first 16 hex digits of the last MAC, "" when there is none */
    int64_t broken_at;      /* seq of the first row that does not fit; 0: all do */
    int64_t fitting;        /* rows whose own MAC fits, also behind one that does not */
};
/* Walks the whole table. OK also when broken: look at broken_at. */
enum err audit_verify(struct store *st, const struct keys *k, struct audit_head *out) MUST_USE;

/* Whether these are the keys that the trail was written with: some row's MAC fits (the last one, in
 * a sound school). A trail without rows fits any key. */
enum err audit_key_fits(struct store *st, const struct keys *k, bool *fits) MUST_USE;
/* The same as a refusal: ERR_CONFLICT and a *why that says how to mend it. */
enum err audit_key_must_fit(struct store *st, const struct keys *k, const char **why) MUST_USE;
