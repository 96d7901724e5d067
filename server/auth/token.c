/* SPDX-License-Identifier: MIT
 * Tokens of sessions and devices.
 *
 * Invariants: 256 bits each; what the database holds is a hash, so a copy of it opens no session.
 * A plain hash is enough for a uniformly random token. A Cookie header with two cookies of our
 * name is treated as having none: which one a proxy or a browser meant is not ours to guess. */
#include "auth/token.h"

#include <sodium.h>
#include <string.h>

#include "base/rand.h"

enum { TOKEN_BYTES = 32, DEVICE_ID = 16, VARIANT = sodium_base64_VARIANT_URLSAFE_NO_PADDING };

void token_new(char text[static TOKEN_TEXT], uint8_t hash[static TOKEN_HASH])
{
    uint8_t raw[TOKEN_BYTES];

    rand_bytes(raw, sizeof raw);
    sodium_bin2base64(text, TOKEN_TEXT, raw, sizeof raw, VARIANT);
    crypto_generichash(hash, TOKEN_HASH, raw, sizeof raw, NULL, 0);
    sodium_memzero(raw, sizeof raw);
}

bool token_hash(const char *text, size_t n, uint8_t hash[static TOKEN_HASH])
{
    uint8_t raw[TOKEN_BYTES];
    size_t len = 0;

    if (n != TOKEN_TEXT - 1 ||
        sodium_base642bin(raw, sizeof raw, text, n, NULL, &len, NULL, VARIANT) != 0 ||
        len != sizeof raw) {
        return false;
    }
    crypto_generichash(hash, TOKEN_HASH, raw, sizeof raw, NULL, 0);
    sodium_memzero(raw, sizeof raw);
    return true;
}

const char *cookie_find(const char *header, const char *name, size_t *n)
{
    const char *found = NULL;
    size_t name_len = strlen(name);

    for (const char *p = header; p && *p;) {
        p += strspn(p, " \t");
        size_t len = strcspn(p, ";");
        if (len > name_len && memcmp(p, name, name_len) == 0 && p[name_len] == '=') {
            if (found) {
                return NULL;
            }
            found = p + name_len + 1;
            *n = len - name_len - 1;
        }
        p += len;
        p += *p == ';';
    }
    while (found && *n > 0 && (found[*n - 1] == ' ' || found[*n - 1] == '\t')) {
        (*n)--;
    }
    return found;
}

static void device_mac(const struct keys *k, int64_t account, const uint8_t id[static DEVICE_ID],
                       uint8_t out[static crypto_auth_BYTES])
{
    uint8_t bytes[DEVICE_ID + sizeof account];

    memcpy(bytes, id, DEVICE_ID);
    memcpy(bytes + DEVICE_ID, &account, sizeof account);
    crypto_auth(out, bytes, sizeof bytes, k->devcooki);
}

void device_new(const struct keys *k, int64_t account, char text[static DEVICE_TEXT])
{
    uint8_t raw[DEVICE_ID + crypto_auth_BYTES];

    rand_bytes(raw, DEVICE_ID);
    device_mac(k, account, raw, raw + DEVICE_ID);
    sodium_bin2base64(text, DEVICE_TEXT, raw, sizeof raw, VARIANT);
}

bool device_known(const struct keys *k, int64_t account, const char *text, size_t n)
{
    uint8_t raw[DEVICE_ID + crypto_auth_BYTES], mac[crypto_auth_BYTES];
    size_t len = 0;

    if (!text || n != DEVICE_TEXT - 1 ||
        sodium_base642bin(raw, sizeof raw, text, n, NULL, &len, NULL, VARIANT) != 0 ||
        len != sizeof raw) {
        return false;
    }
    device_mac(k, account, raw, mac);
    return sodium_memcmp(mac, raw + DEVICE_ID, sizeof mac) == 0;
}

uint64_t device_throttle(const struct keys *k, int64_t account, const char *text, size_t n)
{
    char bytes[DEVICE_TEXT + sizeof account] = {0};

    memcpy(bytes, text, n < DEVICE_TEXT ? n : DEVICE_TEXT);
    memcpy(bytes + DEVICE_TEXT, &account, sizeof account);
    return keys_throttle(k, "device", bytes, sizeof bytes);
}
