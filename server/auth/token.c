/* SPDX-License-Identifier: MIT
 * Tokens of sessions and devices.
 *
 * Invariants: 256 bits each; what the database holds is a hash, so a copy of it opens no session.
 * A plain hash is enough for a uniformly random token. A Cookie header with two cookies of our
 * name is treated as having none: which one a proxy or a browser meant is not ours to guess.
 * What a device's cookie knows is bound to its own random id, so that no tag can be moved to
 * another cookie, and says nothing to who lacks the key. A tag of 64 bits buys a guesser no more
 * than a throttle of its own. */
#include "auth/token.h"

#include <sodium.h>
#include <string.h>

#include "base/rand.h"

enum { ID_RANDOM = 8, ID_MAC = DEVICE_ID - ID_RANDOM };
enum { TOKEN_BYTES = 32, VARIANT = sodium_base64_VARIANT_URLSAFE_NO_PADDING };

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

/* Devices -------------------------------------------------------------------------------------- */

static void device_tag(const struct keys *k, const struct device *d, const struct device_of *of,
                       uint8_t out[static DEVICE_TAG])
{
    crypto_auth_hmacsha512256_state st;
    uint8_t mac[crypto_auth_hmacsha512256_BYTES];

    crypto_auth_hmacsha512256_init(&st, k->devcooki, sizeof k->devcooki);
    crypto_auth_hmacsha512256_update(&st, d->id, sizeof d->id);
    crypto_auth_hmacsha512256_update(&st, of->bytes, of->n);
    crypto_auth_hmacsha512256_final(&st, mac);
    memcpy(out, mac, DEVICE_TAG);
}

struct device_of device_of_staff(int64_t account)
{
    struct device_of of = {.bytes = {'s'}, .n = 1 + sizeof account};

    memcpy(of.bytes + 1, &account, sizeof account);
    return of;
}

struct device_of device_of_card(const uint8_t code_mac[static 32])
{
    struct device_of of = {.bytes = {'c'}, .n = 1 + 32};

    memcpy(of.bytes + 1, code_mac, 32);
    return of;
}

void device_read(const char *text, size_t n, struct device *d)
{
    uint8_t raw[DEVICE_ID + DEVICE_TAGS * DEVICE_TAG];
    size_t len = 0;

    *d = (struct device){.n = 0};
    if (text && sodium_base642bin(raw, sizeof raw, text, n, NULL, &len, NULL, VARIANT) == 0 &&
        len > DEVICE_ID && (len - DEVICE_ID) % DEVICE_TAG == 0) {
        d->n = (int)((len - DEVICE_ID) / DEVICE_TAG);
        memcpy(d->id, raw, DEVICE_ID);
        memcpy(d->tag, raw + DEVICE_ID, len - DEVICE_ID);
    }
}

bool device_knows(const struct keys *k, const struct device *d, const struct device_of *of)
{
    uint8_t tag[DEVICE_TAG];
    bool known = false;

    device_tag(k, d, of, tag);
    for (int i = 0; i < d->n; i++) {
        known = sodium_memcmp(tag, d->tag[i], DEVICE_TAG) == 0 || known;
    }
    return known;
}

/* Of fewer bytes than any tag's, so that neither passes for the other. */
static void id_mac(const struct keys *k, const struct device *d, uint8_t out[static ID_MAC])
{
    crypto_auth_hmacsha512256_state st;
    uint8_t mac[crypto_auth_hmacsha512256_BYTES];

    crypto_auth_hmacsha512256_init(&st, k->devcooki, sizeof k->devcooki);
    crypto_auth_hmacsha512256_update(&st, d->id, ID_RANDOM);
    crypto_auth_hmacsha512256_final(&st, mac);
    memcpy(out, mac, ID_MAC);
}

bool device_is_ours(const struct keys *k, const struct device *d)
{
    uint8_t mac[ID_MAC];

    id_mac(k, d, mac);
    return d->n > 0 && sodium_memcmp(mac, d->id + ID_RANDOM, ID_MAC) == 0;
}

void device_learn(const struct keys *k, struct device *d, const struct device_of *of)
{
    if (!device_is_ours(k, d)) {
        d->n = 0;
        rand_bytes(d->id, ID_RANDOM);
        id_mac(k, d, d->id + ID_RANDOM);
    }
    d->n += d->n < DEVICE_TAGS;
    memmove(d->tag[1], d->tag[0], (size_t)(d->n - 1) * DEVICE_TAG);
    device_tag(k, d, of, d->tag[0]);
}

void device_print(const struct device *d, char text[static DEVICE_TEXT])
{
    uint8_t raw[DEVICE_ID + DEVICE_TAGS * DEVICE_TAG];
    size_t tags = (size_t)d->n * DEVICE_TAG;

    memcpy(raw, d->id, DEVICE_ID);
    memcpy(raw + DEVICE_ID, d->tag, tags);
    sodium_bin2base64(text, DEVICE_TEXT, raw, DEVICE_ID + tags, VARIANT);
}

uint64_t device_throttle_all(const struct keys *k, const struct device *d)
{
    return keys_throttle(k, "device alone", d->id, DEVICE_ID);
}

uint64_t device_throttle(const struct keys *k, const struct device *d, const struct device_of *of)
{
    uint8_t bytes[DEVICE_ID + sizeof of->bytes] = {0};

    memcpy(bytes, d->id, DEVICE_ID);
    memcpy(bytes + DEVICE_ID, of->bytes, of->n);
    return keys_throttle(k, "device", bytes, sizeof bytes);
}
