/* SPDX-License-Identifier: MIT
 * Headers of every answer.
 *
 * Invariant: nothing leaves without the security headers, errors and static files included; there
 * are two sets, HTML and everything else. HSTS goes out only where the public address is https
 * (RFC 6797 7.2 forbids it elsewhere). A service worker is allowed for exactly as long as the tree
 * of web/ holds one.
 */
#include "http/respond.h"

#include <microhttpd.h>
#include <stdio.h>

#include "base/mem.h"
#include "http/assets.h"

enum { DEVICE_DAYS_S = 180 * 86400 };

#define CSP_HTML                                                                                   \
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; font-src 'self'; "   \
    "connect-src 'self'; manifest-src 'self'; form-action 'self'; frame-ancestors 'none'; "        \
    "base-uri 'none'; object-src 'none'; require-trusted-types-for 'script'; "
static const char csp_html[] = CSP_HTML "trusted-types 'none'";
static const char csp_html_worker[] = CSP_HTML "trusted-types sw; worker-src 'self'";
static const char csp_other[] = "default-src 'none'; frame-ancestors 'none'; base-uri 'none'; "
                                "object-src 'none'; sandbox";
static const char csp_worker[] = "default-src 'none'; connect-src 'self'";
static const char permissions[] =
    "accelerometer=(), camera=(), display-capture=(), geolocation=(), gyroscope=(), "
    "magnetometer=(), microphone=(), midi=(), payment=(), usb=(), browsing-topics=(), "
    "fullscreen=(self), screen-wake-lock=(self)";

static bool put(struct MHD_Response *r, const char *name, const char *value)
{
    return !value || MHD_add_response_header(r, name, value) == MHD_YES;
}

static bool put_security(struct MHD_Response *r, const struct http_config *c, bool html,
                         bool worker)
{
    const char *csp = csp_other;
    if (worker) {
        csp = csp_worker;
    } else if (html) {
        csp = asset_find("/sw.js") ? csp_html_worker : csp_html;
    }
    return put(r, "Content-Security-Policy", csp) &&
           put(r, "Permissions-Policy", html ? permissions : NULL) &&
           put(r, "Strict-Transport-Security",
               c->secure ? "max-age=31536000; includeSubDomains" : NULL) &&
           put(r, "X-Content-Type-Options", "nosniff") && put(r, "X-Frame-Options", "DENY") &&
           put(r, "Referrer-Policy", "same-origin") &&
           put(r, "Cross-Origin-Opener-Policy", "same-origin") &&
           put(r, "Cross-Origin-Resource-Policy", "same-origin") &&
           put(r, "X-Robots-Tag", "noindex, nofollow, noarchive");
}

static bool put_cookie(struct MHD_Response *r, const struct http_config *c, const char *name,
                       const char *value, const char *more)
{
    char line[384];
    int n = snprintf(line, sizeof line, "%s=%s; Path=/; %sHttpOnly; SameSite=Strict%s", name, value,
                     c->secure ? "Secure; " : "", more);
    return n > 0 && n < (int)sizeof line && put(r, "Set-Cookie", line);
}

static bool put_cookies(struct MHD_Response *r, const struct http_config *c, const struct reply *rp)
{
    bool good = true;
    if (rp->set_device) {
        char age[32];
        snprintf(age, sizeof age, "; Max-Age=%d", DEVICE_DAYS_S);
        good = put_cookie(r, c, c->device_cookie, rp->set_device, age);
    }
    if (rp->set_session) {
        return good && put_cookie(r, c, c->session_cookie, rp->set_session, "");
    }
    if (rp->end_session) {
        return good && put_cookie(r, c, c->session_cookie, "", "; Max-Age=0");
    }
    return good;
}

static bool put_rest(struct MHD_Response *r, const struct reply *rp, const struct respond_extra *x)
{
    char retry[16];
    snprintf(retry, sizeof retry, "%d", x->retry_after_s);
    const char *cache = x->cache ? x->cache : "no-store"; /* an ETag is for the page to keep */
    return put(r, "Content-Type", rp->type) && put(r, "Cache-Control", cache) &&
           put(r, "ETag", rp->etag) && put(r, "Location", rp->location) &&
           put(r, "Content-Disposition", rp->disposition) && put(r, "Allow", x->allow) &&
           put(r, "Content-Encoding", x->encoding) &&
           put(r, "Vary", x->vary ? "Accept-Encoding" : NULL) &&
           put(r, "Retry-After", x->retry_after_s > 0 ? retry : NULL) &&
           put(r, "WWW-Authenticate", rp->status == 401 ? "Session realm=\"thrice\"" : NULL) &&
           put(r, "Connection", x->close ? "close" : NULL);
}

struct MHD_Response *respond_make(const struct http_config *c, const struct reply *rp,
                                  const struct respond_extra *x)
{
    /* The library only reads a PERSISTENT body; its signature lacks the const. */
    struct MHD_Response *r =
        MHD_create_response_from_buffer(rp->body.len, rp->body.data, MHD_RESPMEM_PERSISTENT);
    if (!r) {
        return NULL;
    }
    if (put_security(r, c, rp->html, x->worker) && put_cookies(r, c, rp) && put_rest(r, rp, x)) {
        return r;
    }
    MHD_destroy_response(r);
    return NULL;
}
