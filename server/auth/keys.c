/* SPDX-License-Identifier: MIT
 * The master key's file and the keys derived from it.
 *
 * Invariants: the file is made once, with O_EXCL and mode 0600, and synced with its folder before
 * anything is hashed with it; the master key itself is wiped as soon as the sub-keys exist.
 * Threats: a copied database (useless without the file), a key file others may read (refused),
 * a symbolic link in its place (O_NOFOLLOW), core dumps (the keys' memory is left out of them). */
#include "auth/keys.h"

#include <arpa/inet.h>
#include <errno.h>
#include <fcntl.h>
#include <sodium.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/rand.h"

enum { PATH_LEN = 4096 };

static bool write_all(int fd, const uint8_t *p, size_t n)
{
    while (n > 0) {
        ssize_t w = write(fd, p, n);
        if (w < 0 && errno == EINTR) {
            continue;
        }
        if (w <= 0) {
            return false;
        }
        p += w;
        n -= (size_t)w;
    }
    return true;
}

static bool sync_folder(const char *dir)
{
    int fd = open(dir, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (fd < 0) {
        return false;
    }
    bool ok = fsync(fd) == 0;
    return close(fd) == 0 && ok;
}

enum err keys_create(const char *dir, const char **why)
{
    char path[PATH_LEN];
    uint8_t master[KEY_LEN];

    if (sodium_init() < 0 || snprintf(path, sizeof path, "%s/master.key", dir) >= PATH_LEN) {
        *why = "the data folder's path is too long";
        return ERR_INTERNAL;
    }
    int fd = open(path, O_WRONLY | O_CREAT | O_EXCL | O_NOFOLLOW | O_CLOEXEC, 0600);
    if (fd < 0) {
        bool there = errno == EEXIST;
        *why = there ? "master.key is there already; it is never overwritten"
                     : "cannot make master.key in the data folder; look at its permissions";
        return there ? ERR_CONFLICT : ERR_STORE;
    }
    rand_bytes(master, sizeof master);
    bool ok = write_all(fd, master, sizeof master) && fsync(fd) == 0;
    sodium_memzero(master, sizeof master);
    ok = close(fd) == 0 && ok && sync_folder(dir);
    if (!ok) {
        (void)unlink(path);
        *why = "cannot write master.key; is the disk full?";
        return ERR_STORE_FULL;
    }
    return OK;
}

static int open_credential(void)
{
    char path[PATH_LEN];
    const char *dir = getenv("CREDENTIALS_DIRECTORY");

    if (!dir || snprintf(path, sizeof path, "%s/master.key", dir) >= PATH_LEN) {
        return -1;
    }
    return open(path, O_RDONLY | O_CLOEXEC);
}

static enum err open_file(const char *dir, int *fd, const char **why)
{
    char path[PATH_LEN];
    struct stat st;

    if (snprintf(path, sizeof path, "%s/master.key", dir) >= PATH_LEN) {
        *why = "the data folder's path is too long";
        return ERR_INTERNAL;
    }
    *fd = open(path, O_RDONLY | O_NOFOLLOW | O_CLOEXEC);
    if (*fd < 0) {
        *why = "cannot read master.key in the data folder; without it all cards are dead";
        return ERR_NOT_FOUND;
    }
    if (fstat(*fd, &st) != 0 || !S_ISREG(st.st_mode) || (st.st_mode & 077) != 0) {
        (void)close(*fd);
        *why = "others may read master.key; mend it with chmod 600";
        return ERR_FORBIDDEN;
    }
    return OK;
}

/* Exactly KEY_LEN bytes: a longer file is somebody's mistake, not a key. */
static bool read_master(int fd, uint8_t out[static KEY_LEN])
{
    uint8_t bytes[KEY_LEN + 1];
    size_t have = 0;

    while (have < sizeof bytes) {
        ssize_t r = read(fd, bytes + have, sizeof bytes - have);
        if (r < 0 && errno == EINTR) {
            continue;
        }
        if (r <= 0) {
            break;
        }
        have += (size_t)r;
    }
    memcpy(out, bytes, KEY_LEN);
    sodium_memzero(bytes, sizeof bytes);
    return have == KEY_LEN;
}

static bool derive(struct keys *k, const uint8_t master[static KEY_LEN])
{
    const struct {
        uint8_t *out;
        const char context[crypto_kdf_CONTEXTBYTES + 1];
    } wanted[] = {
        {k->cardhash, "cardhash"}, {k->csrftokn, "csrftokn"}, {k->auditmac, "auditmac"},
        {k->clientky, "clientky"}, {k->devcooki, "devcooki"},
        {k->kepttext, "kepttext"},
    };

    for (size_t i = 0; i < sizeof wanted / sizeof *wanted; i++) {
        if (crypto_kdf_derive_from_key(wanted[i].out, KEY_LEN, 1, wanted[i].context, master) != 0) {
            return false;
        }
    }
    return true;
}

enum err keys_load(const char *dir, struct keys **out, const char **why)
{
    uint8_t master[KEY_LEN];

    *out = NULL;
    if (sodium_init() < 0) {
        *why = "the cryptographic library did not start";
        return ERR_INTERNAL;
    }
    int fd = open_credential();
    if (fd < 0) {
        enum err e = open_file(dir, &fd, why);
        if (e) {
            return e;
        }
    }
    bool whole = read_master(fd, master);
    (void)close(fd);
    if (!whole) {
        sodium_memzero(master, sizeof master);
        *why = "master.key is not 32 bytes long; put the right file back";
        return ERR_STORE;
    }
    struct keys *k = sodium_malloc(sizeof *k);
    bool ok = k != NULL && derive(k, master);
    sodium_memzero(master, sizeof master);
    if (!ok || sodium_mprotect_readonly(k) != 0) {
        keys_free(k);
        *why = "cannot hold the keys in memory; is the limit on locked memory too low?";
        return ERR_INTERNAL;
    }
    *out = k;
    return OK;
}

void keys_free(struct keys *k)
{
    sodium_free(k);
}

uint64_t keys_throttle(const struct keys *k, const char *kind, const void *p, size_t n)
{
    crypto_generichash_state st;
    uint8_t hash[crypto_generichash_BYTES];
    uint64_t key;

    crypto_generichash_init(&st, k->clientky, sizeof k->clientky, sizeof hash);
    crypto_generichash_update(&st, (const uint8_t *)kind, strlen(kind) + 1);
    crypto_generichash_update(&st, p, n);
    crypto_generichash_final(&st, hash, sizeof hash);
    memcpy(&key, hash, sizeof key);
    return key;
}

static struct client_keys of_v4(const struct keys *k, const uint8_t address[static 4])
{
    uint64_t whole = keys_throttle(k, "v4", address, 4);

    return (struct client_keys){whole, whole, keys_throttle(k, "v4/24", address, 3)};
}

struct client_keys keys_client(const struct keys *k, const char *address)
{
    static const uint8_t translated[12] = {0x00, 0x64, 0xff, 0x9b};    /* 64:ff9b::/96 */
    struct in_addr v4;
    struct in6_addr v6;

    if (address && inet_pton(AF_INET, address, &v4) == 1) {
        return of_v4(k, (const uint8_t *)&v4);
    }
    if (address && inet_pton(AF_INET6, address, &v6) == 1) {
        const uint8_t *a = v6.s6_addr;
        if (IN6_IS_ADDR_V4MAPPED(&v6) || memcmp(a, translated, sizeof translated) == 0) {
            return of_v4(k, a + 12);
        }
        return (struct client_keys){keys_throttle(k, "v6", a, 8), keys_throttle(k, "v6/56", a, 7),
                                    keys_throttle(k, "v6/48", a, 6)};
    }
    uint64_t shared = keys_throttle(k, "unknown", "", 0);
    return (struct client_keys){shared, shared, shared};
}

void keys_kept(const struct keys *k, int64_t staff, char text[static KEPT_KEY_TEXT])
{
    uint8_t key[KEY_LEN];

    /* fails only for lengths that are constants here */
    (void)crypto_kdf_derive_from_key(key, sizeof key, (uint64_t)staff, "keptstaf", k->kepttext);
    sodium_bin2base64(text, KEPT_KEY_TEXT, key, sizeof key,
                      sodium_base64_VARIANT_URLSAFE_NO_PADDING);
    sodium_memzero(key, sizeof key);
}
