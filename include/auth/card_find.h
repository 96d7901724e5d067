/* SPDX-License-Identifier: MIT
 * From a typed code or a QR's key to the live card. */
#pragma once

#include <stddef.h>

#include "base/err.h"
#include "http/request.h"
#include "store/cards.h"

/* Finds the live card behind a typed code, under the throttles. On failure the request is blamed
 * at `pointer`: ERR_BAD_INPUT "required", "letter", "length" or "check_letter" (costs nothing);
 * else ERR_WRONG_SIGN_IN or ERR_CARD_ENDED (either costs a wrong code), ERR_TOO_MANY. Loop thread.
 * Strings of *out are on rq->mem. */
enum err card_find_typed(struct request *rq, const char *typed, size_t n, const char *pointer,
                         struct card_row *out) MUST_USE;
/* The same for a QR's key; never throttled beyond the request rate. One that is not known is
 * ERR_CARD_ENDED too: its card was deleted. */
enum err card_find_key(struct request *rq, const char *key, size_t n, const char *pointer,
                       struct card_row *out) MUST_USE;
