/* SPDX-License-Identifier: MIT
 * What keeps another site's page from acting in a signed-in person's name. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "auth/keys.h"

enum { CSRF_TEXT = 44 };

/* The token of a session: HMAC(csrf key, token hash || "csrf1"), base64url. */
void csrf_token(const struct keys *k, const uint8_t session_hash[static 32],
                char text[static CSRF_TEXT]);
/* Constant time; false for NULL or another length. */
bool csrf_matches(const char expected[static CSRF_TEXT], const char *given);

/* What a browser says about where a request comes from; NULL where the header is absent. */
struct provenance {
    const char *origin;
    const char *referer;
    const char *sec_fetch_site;
    const char *sec_fetch_mode;
    const char *sec_fetch_dest;
};

/* An unsafe method: Sec-Fetch-Site other than same-origin, or an Origin that is none of `own`
 * (NULL-terminated), is refused. Both absent passes: the token decides. */
bool provenance_may_write(const struct provenance *p, const char *const *own);
/* The cookie-less form: refused only when a header names another site. */
bool provenance_may_post_form(const struct provenance *p, const char *const *own);
/* A GET: a foreign page may link to us, and nothing else. */
bool provenance_may_read(const struct provenance *p);
