/* SPDX-License-Identifier: MIT
 * The results that a fallible function may have, and what each means to HTTP.
 * One table (server/base/err.c) gives status, slug and title; nothing else in the program does. */
#pragma once

#include <stddef.h>

enum err {
    OK = 0,
    ERR_BAD_INPUT,      /* 422 the request's meaning is wrong; request_blame() names the field */
    ERR_MALFORMED,      /* 400 not parseable: broken JSON, bad escape, wrong framing */
    ERR_NOT_SIGNED_IN,  /* 401 no live session */
    ERR_WRONG_SIGN_IN,  /* 401 card, name or passphrase not known */
    ERR_CARD_ENDED,     /* 401 a card that once opened: cancelled, run out, or closed at school */
    ERR_FORBIDDEN,      /* 403 cross-site request, CSRF token missing */
    ERR_NOT_FOUND,      /* 404 not there, or not for this person to see: the same answer */
    ERR_METHOD,         /* 405 */
    ERR_CONFLICT,       /* 409 contradicts what is stored */
    ERR_DIFFERENT,      /* 409 same id, other content */
    ERR_NOT_OPEN,       /* 409 the challenge has not opened */
    ERR_CLOSED,         /* 409 done outside the open span */
    ERR_ENOUGH_TODAY,   /* 409 more than 10 a day for one challenge */
    ERR_CONFIRM,        /* 422 surprising but possible: send again with confirmed */
    ERR_TOO_LARGE,      /* 413 */
    ERR_MEDIA_TYPE,     /* 415 */
    ERR_WRONG_HOST,     /* 421 */
    ERR_TOO_MANY,       /* 429 with Retry-After */
    ERR_HEADERS,        /* 431 */
    ERR_BUSY,           /* 503 with Retry-After: queue full, or closing */
    ERR_STORE,          /* 500 SQLite said no; logged */
    ERR_STORE_FULL,     /* 507 disk full: nothing was stored, try later */
    ERR_INTERNAL,       /* 500 our bug or a library's NULL; logged */
    ERR_COUNT
};

struct err_info {
    int status;         /* HTTP status */
    const char *slug;   /* last part of the problem type, /problems/<slug> */
    const char *title;  /* plain English, fixed; never holds input */
};

/* The table row of `e`. Never NULL; an unknown value gives ERR_INTERNAL's row. */
const struct err_info *err_info(enum err e);

#define MUST_USE __attribute__((warn_unused_result))
