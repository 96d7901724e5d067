/* SPDX-License-Identifier: MIT
 * What each result means to HTTP.
 *
 * Owns: the only table from enum err to status, slug and title. Titles are fixed plain English and
 * never hold input, so a problem can be shown to anybody.
 * Invariant: a row for every value; the assertion below holds the length, and a missing row in the
 * middle shows as a NULL slug in the unit test.
 */
#include "base/err.h"

static const struct err_info table[] = {
    [OK] = {200, "ok", "Done"},
    [ERR_BAD_INPUT] = {422, "bad-input", "Something in the request cannot be right"},
    [ERR_MALFORMED] = {400, "malformed", "The request cannot be read"},
    [ERR_NOT_SIGNED_IN] = {401, "not-signed-in", "Sign in first"},
    [ERR_WRONG_SIGN_IN] = {401, "wrong-sign-in", "That did not open anything"},
    [ERR_CARD_ENDED] = {401, "card-ended", "This card no longer works"},
    [ERR_FORBIDDEN] = {403, "forbidden", "This request is not allowed"},
    [ERR_NOT_FOUND] = {404, "not-found", "There is nothing here"},
    [ERR_METHOD] = {405, "method", "That cannot be done here"},
    [ERR_CONFLICT] = {409, "conflict", "That contradicts what is stored"},
    [ERR_DIFFERENT] = {409, "different", "Something else was sent before under the same id"},
    [ERR_NOT_OPEN] = {409, "not_open", "The challenge has not opened yet"},
    [ERR_CLOSED] = {409, "closed", "The challenge was not open on that day"},
    [ERR_ENOUGH_TODAY] = {409, "enough_today", "That is enough of this challenge for one day"},
    [ERR_CONFIRM] = {422, "confirm", "Surprising, but it can be: send it again as confirmed"},
    [ERR_TOO_LARGE] = {413, "too-large", "That is too much at once"},
    [ERR_MEDIA_TYPE] = {415, "media-type", "That kind of content is not taken here"},
    [ERR_WRONG_HOST] = {421, "wrong-host", "This server does not answer for that name"},
    [ERR_TOO_MANY] = {429, "too-many", "Too many requests: wait a little"},
    [ERR_HEADERS] = {431, "headers", "The request's headers are too large"},
    [ERR_BUSY] = {503, "busy", "Busy just now: try again"},
    [ERR_STORE] = {500, "store", "The data could not be read or written"},
    [ERR_STORE_FULL] = {507, "store-full", "The disk is full: nothing was stored"},
    [ERR_INTERNAL] = {500, "internal", "Something went wrong on the server"},
};
_Static_assert(sizeof table / sizeof *table == ERR_COUNT, "a row for every enum err");

const struct err_info *err_info(enum err e)
{
    if ((int)e < 0 || e >= ERR_COUNT || !table[e].slug) {
        return &table[ERR_INTERNAL];
    }
    return &table[e];
}
