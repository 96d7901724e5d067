/* SPDX-License-Identifier: MIT
 * Provenance of a request and the CSRF token.
 *
 * The token is derived from the session, not stored, so it cannot outlive it; it is compared in
 * constant time. Browsers of today say where a request comes from (Sec-Fetch-Site, Origin); where
 * neither header is there the token decides alone, which a foreign page cannot read.
 * Rules after the Fetch Metadata and Fetch standards; "same-origin" is the only value that opens
 * an unsafe method, because another page of the same site is not ours. */
#include "auth/csrf.h"

#include <sodium.h>
#include <string.h>

void csrf_token(const struct keys *k, const uint8_t session_hash[static 32],
                char text[static CSRF_TEXT])
{
    static const char label[] = "csrf1";
    uint8_t bytes[32 + sizeof label - 1], mac[crypto_auth_BYTES];

    memcpy(bytes, session_hash, 32);
    memcpy(bytes + 32, label, sizeof label - 1);
    crypto_auth(mac, bytes, sizeof bytes, k->csrftokn);
    sodium_bin2base64(text, CSRF_TEXT, mac, sizeof mac, sodium_base64_VARIANT_URLSAFE_NO_PADDING);
}

bool csrf_matches(const char expected[static CSRF_TEXT], const char *given)
{
    return given && expected[0] && strlen(given) == CSRF_TEXT - 1 &&
           sodium_memcmp(expected, given, CSRF_TEXT - 1) == 0;
}

static bool is_own(const char *origin, const char *const *own)
{
    for (size_t i = 0; own && own[i]; i++) {
        if (strcmp(origin, own[i]) == 0) {
            return true;
        }
    }
    return false;
}

/* A Referer is an address: ours when it is one of our origins and a path, or nothing, follows. */
static bool is_own_address(const char *address, const char *const *own)
{
    for (size_t i = 0; own && own[i]; i++) {
        size_t n = strlen(own[i]);
        if (strncmp(address, own[i], n) == 0 && (address[n] == '\0' || address[n] == '/')) {
            return true;
        }
    }
    return false;
}

bool provenance_may_write(const struct provenance *p, const char *const *own)
{
    if (p->sec_fetch_site && strcmp(p->sec_fetch_site, "same-origin") != 0) {
        return false;
    }
    return !p->origin || is_own(p->origin, own);
}

bool provenance_may_post_form(const struct provenance *p, const char *const *own)
{
    if (p->sec_fetch_site && strcmp(p->sec_fetch_site, "same-origin") != 0 &&
        strcmp(p->sec_fetch_site, "none") != 0) {
        return false;
    }
    /* "null" names no site: a browser told to send no referrer says so about our own form. */
    if (p->origin && strcmp(p->origin, "null") != 0 && !is_own(p->origin, own)) {
        return false;
    }
    return !p->referer || !p->referer[0] || is_own_address(p->referer, own);
}

bool provenance_may_read(const struct provenance *p)
{
    if (!p->sec_fetch_site || strcmp(p->sec_fetch_site, "cross-site") != 0) {
        return true;
    }
    return p->sec_fetch_mode && strcmp(p->sec_fetch_mode, "navigate") == 0 && p->sec_fetch_dest &&
           strcmp(p->sec_fetch_dest, "document") == 0;
}
