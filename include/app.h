/* SPDX-License-Identifier: MIT
 * A running server: everything that `thrice serve` builds, in the order in which it is built. */
#pragma once

#include <stdbool.h>

#include "base/err.h"

struct app;

struct app_options {
    const char *data;           /* the school's folder                                       */
    const char *listen;         /* "127.0.0.1:8080", "unix:/run/thrice/school.sock"          */
    const char *tls_cert, *tls_key;     /* PEM files, both or none                           */
    const char *behind_proxy;   /* address of the one proxy whose X-Forwarded-For counts     */
    const char *origin;         /* public address; NULL: what the school's data say          */
    const char *web_dir;        /* development: files from here                              */
    int max_connections, loops, deadline_s;
    int rate;                   /* requests a second of one client or session; 0: the default */
};

/* Ready to serve when it returns OK. Else *why is one line that says what to mend, on ctx. */
enum err app_start(void *ctx, const struct app_options *o, struct app **out, const char **why)
    MUST_USE;
/* "http://127.0.0.1:8080", "unix:/run/..." */
const char *app_address(const struct app *a);
/* Looks after what is due without anybody asking (the nightly purge); to be called again, by the
 * same thread, after as many seconds as it answers. */
int app_look(struct app *a) MUST_USE;
/* Finishes what was accepted, commits, closes. NULL is fine. */
void app_stop(struct app *a);
