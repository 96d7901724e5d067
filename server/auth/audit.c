/* SPDX-License-Identifier: MIT
 * The chain over the audit trail: mac(n) = HMAC-SHA-512-256(audit key, mac(n-1) || row(n)).
 *
 * A row is written out with the length before each text, so no two rows share an encoding.
 * Threats: somebody with the database file changes, drops or reorders rows (shows, unless they
 * have the key as well); somebody cuts the tail (shows against a head noted elsewhere). */
#include "auth/audit.h"

#include <inttypes.h>
#include <sodium.h>
#include <stdio.h>
#include <string.h>

#include "base/log.h"
#include "base/mem.h"
#include "store/audit.h"

enum { WORD_MAX = 60 };

static void add_int(crypto_auth_hmacsha512256_state *h, int64_t v)
{
    uint8_t bytes[8];

    for (int i = 0; i < 8; i++) {
        bytes[i] = (uint8_t)((uint64_t)v >> (8 * i));
    }
    crypto_auth_hmacsha512256_update(h, bytes, sizeof bytes);
}

static void add_text(crypto_auth_hmacsha512256_state *h, const char *s)
{
    size_t n = s ? strlen(s) : 0;

    add_int(h, (int64_t)n);
    crypto_auth_hmacsha512256_update(h, (const uint8_t *)s, n);
}

static void mac_of(const struct keys *k, const uint8_t before[static 32],
                   const struct audit_row *row, uint8_t out[static 32])
{
    crypto_auth_hmacsha512256_state h;

    crypto_auth_hmacsha512256_init(&h, k->auditmac, sizeof k->auditmac);
    crypto_auth_hmacsha512256_update(&h, before, 32);
    add_int(&h, row->seq);
    add_int(&h, row->at);
    add_text(&h, row->actor);
    add_text(&h, row->action);
    add_text(&h, row->object);
    add_text(&h, row->code);
    crypto_auth_hmacsha512256_final(&h, out);
}

enum err audit_note(struct store *st, const struct keys *k, int64_t now,
                    const struct audit_words *w)
{
    struct audit_row row = {
        .at = now,
        .actor = w->actor,
        .action = w->action,
        .object = w->object,
        .code = w->code ? w->code : "",
    };
    uint8_t before[32];
    int64_t last;

    if (strlen(row.actor) > WORD_MAX || strlen(row.action) > WORD_MAX ||
        strlen(row.object) > WORD_MAX || strlen(row.code) > WORD_MAX) {
        log_bug("audit word too long");
        return ERR_INTERNAL;
    }
    enum err e = audit_last(st, &last, before);
    if (e) {
        return e;
    }
    row.seq = last + 1;
    mac_of(k, before, &row, row.mac);
    return audit_insert(st, &row);
}

void audit_actor(const struct who *w, char out[static 32])
{
    if (w->role == ROLE_STAFF && w->staff.v) {
        (void)snprintf(out, 32, "staff:%" PRId64, w->staff.v);
    } else if (w->role == ROLE_PUPIL) {
        (void)snprintf(out, 32, "pupil:%" PRId64, w->pupil.v);
    } else {
        (void)snprintf(out, 32, "%s", w->role == ROLE_CARER ? "carer" : "office box");
    }
}

void audit_object(const char *kind, int64_t id, char out[static 48])
{
    (void)snprintf(out, 48, "%.20s:%" PRId64, kind, id);
}

struct walk {
    const struct keys *keys;
    struct audit_head *head;
    int64_t seq;                /* of the row before, and its MAC as stored */
    uint8_t before[32];
};

static bool check_row(void *arg, const struct audit_row *row)
{
    struct walk *w = arg;
    struct audit_head *head = w->head;
    uint8_t mac[32];

    mac_of(w->keys, w->before, row, mac);
    bool fits = row->seq == w->seq + 1 && sodium_memcmp(mac, row->mac, sizeof mac) == 0;
    memcpy(w->before, row->mac, sizeof w->before);
    w->seq = row->seq;
    head->fitting += fits;
    if (fits && head->broken_at && strcmp(row->action, AUDIT_KEY_REPLACED) == 0) {
        *head = (struct audit_head){.before_key = row->seq - 1, .fitting = 1};
    }
    if (!fits && !head->broken_at) {
        head->broken_at = row->seq;
    }
    if (!head->broken_at) {
        head->rows++;
        head->seq = row->seq;
        sodium_bin2hex(head->mac, sizeof head->mac, mac, 8);
    }
    return true;
}

enum err audit_verify(struct store *st, const struct keys *k, struct audit_head *out)
{
    struct walk w = {.keys = k, .head = out};

    *out = (struct audit_head){0};
    return audit_walk(st, check_row, &w);
}

/* The last row first: in a sound school the walk through all of them is not needed. */
static enum err last_fits(struct store *st, const struct keys *k, bool *fits)
{
    static const uint8_t none[32];
    struct audit_row *rows = NULL;
    uint8_t mac[32];
    size_t n = 0;
    void *ctx = mem_root();

    *fits = false;
    enum err e = audit_page(st, ctx, 0, 2, &rows, &n);
    if (e == OK && n > 0) {
        mac_of(k, n > 1 ? rows[1].mac : none, &rows[0], mac);
        *fits = sodium_memcmp(mac, rows[0].mac, sizeof mac) == 0;
    }
    talloc_free(ctx);
    return e;
}

enum err audit_key_fits(struct store *st, const struct keys *k, bool *fits)
{
    struct audit_head head;
    enum err e = last_fits(st, k, fits);

    if (e == OK && !*fits) {
        e = audit_verify(st, k, &head);
        *fits = e == OK && (head.fitting > 0 || !head.broken_at);
    }
    return e;
}

enum err audit_key_must_fit(struct store *st, const struct keys *k, const char **why)
{
    bool fits = false;
    enum err e = audit_key_fits(st, k, &fits);

    if (e != OK) {
        *why = "the audit trail cannot be read (thrice check says more)";
    } else if (!fits) {
        *why = "master.key is another school's: with it no card and no trail would fit; put this "
               "school's own key back";
        e = ERR_CONFLICT;
    }
    return e;
}
