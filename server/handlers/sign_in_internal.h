/* SPDX-License-Identifier: MIT
 * Shared by the handlers of sign-in, own account and cards: reading small JSON bodies strictly. */
#pragma once

#include <stdbool.h>
#include <stddef.h>

#include "base/err.h"
#include "http/request.h"

/* Blames every member whose name is not in the NULL-terminated list: "unknown". */
enum err body_only(struct request *rq, const char *const *names) MUST_USE;

/* A text member; NULL when absent. ERR_BAD_INPUT "required" or "not_text". `pointer` is "/name". */
enum err body_text(struct request *rq, const char *pointer, bool required, const char **out,
                   size_t *n) MUST_USE;
/* true or false; absent is false. */
enum err body_flag(struct request *rq, const char *pointer, bool *out) MUST_USE;

json_t *id_json(int64_t id);        /* as a decimal string */
json_t *day_json(int32_t day);      /* as "YYYY-MM-DD" */

/* The Session of the API for whoever `who` is; *out is owned by the caller. */
enum err session_view(struct request *rq, const struct who *who, json_t **out) MUST_USE;
