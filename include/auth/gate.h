/* SPDX-License-Identifier: MIT
 * The one door: called by http for every routed request (not for static files) after the body's
 * framing is vetted and before route.parse. */
#pragma once

#include "base/err.h"
#include "http/request.h"

/* Rate, provenance, session, role, CSRF token, scope, in that order; fills rq->who. OK, or
 * ERR_TOO_MANY (rq->retry_after_s set), ERR_FORBIDDEN, ERR_NOT_SIGNED_IN, ERR_NOT_FOUND.
 * Needs rq->{route,args,query,store,auth,now,client} and the header fields of struct request.
 * A no_session route never asks for a session, but rq->who is filled when one is there and its
 * CSRF token came along. Staff with a passphrase the office issued reach their own account and
 * the session only, until they have changed it (ERR_FORBIDDEN, code "must_change"). */
enum err gate_admit(struct request *rq) MUST_USE;
