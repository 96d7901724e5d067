/* SPDX-License-Identifier: MIT
 * From an answer as a value to what goes on the wire: all headers are put on here. */
#pragma once

#include <stdbool.h>

#include "http/reply.h"
#include "http/request.h"
#include "http/server.h"

struct MHD_Response;

/* What is known beside the reply itself. */
struct respond_extra {
    const char *allow;          /* Allow, for 405 */
    const char *cache;          /* Cache-Control other than by the rule of reply.h */
    const char *encoding;       /* Content-Encoding */
    bool vary;                  /* Vary: Accept-Encoding */
    bool close;                 /* Connection: close */
    bool worker;                /* the service worker's own policy */
    int retry_after_s;
};

/* Body memory is borrowed: it must last until the answer is out. NULL: the library failed. */
struct MHD_Response *respond_make(const struct http_config *c, const struct reply *rp,
                                  const struct respond_extra *x);
