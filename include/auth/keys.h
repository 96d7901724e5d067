/* SPDX-License-Identifier: MIT
 * The school's secret: one 32-byte master key, from which every other key is derived
 * (crypto_kdf). It lives beside the database and never inside it, so a copy of the database alone
 * opens no card and forges no session token. */
#pragma once

#include <stddef.h>
#include <stdint.h>

#include "base/client.h"
#include "base/err.h"

enum { KEY_LEN = 32 };

struct keys {
    uint8_t cardhash[KEY_LEN];  /* typed card codes -> what the database holds */
    uint8_t csrftokn[KEY_LEN];  /* session -> CSRF token                       */
    uint8_t auditmac[KEY_LEN];  /* chain over the audit rows                   */
    uint8_t clientky[KEY_LEN];  /* addresses and names -> throttle keys        */
    uint8_t devcooki[KEY_LEN];  /* "this browser has signed in as X before"    */
    uint8_t kepttext[KEY_LEN];  /* staff account -> the key it seals text with */
};

/* Draws a new master key into DIR/master.key (mode 0600; never overwrites; synced). ERR_CONFLICT
 * when there is one. `*why` is a fixed sentence that says what to mend. */
enum err keys_create(const char *dir, const char **why) MUST_USE;

/* Reads $CREDENTIALS_DIRECTORY/master.key when that exists, else DIR/master.key (refused when
 * others than its owner may read it). The keys lie in guarded, read-only memory. */
enum err keys_load(const char *dir, struct keys **out, const char **why) MUST_USE;
void keys_free(struct keys *k);

/* A throttle key from anything short (an address, a folded name): equal input, equal key. */
uint64_t keys_throttle(const struct keys *k, const char *kind, const void *p, size_t n);
/* The throttle keys of a client's address in text, in any spelling of RFC 5952 or RFC 4291. IPv4
 * behind IPv6 (mapped, RFC 4291 2.5.5.2; translated, RFC 6052 2.1) is IPv4; what is no address
 * shares one key. */
struct client_keys keys_client(const struct keys *k, const char *address);

enum { KEPT_KEY_TEXT = 44 };

/* The key with which a browser seals what this member of staff has typed and the server does not
 * have yet, base64url: the same at every sign-in, another for every account. It is given only in
 * answers to that account's own sessions; the device keeps what was sealed and never the key. */
void keys_kept(const struct keys *k, int64_t staff, char text[static KEPT_KEY_TEXT]);
