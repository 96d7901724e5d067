/* SPDX-License-Identifier: MIT
 * The one place where a result becomes an error answer. */
#pragma once

#include <stdbool.h>

#include "base/err.h"
#include "http/request.h"
#include "http/reply.h"

/* Fills *rp (whatever it held) with an RFC 9457 problem from err_info and rq->blames, or with a
 * small HTML page that says the same. Never holds input, a path or SQL. Sets rq->retry_after_s
 * where the answer tells when to come back. */
void problem_write(struct request *rq, struct reply *rp, enum err e, bool html);
