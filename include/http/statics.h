/* SPDX-License-Identifier: MIT
 * Answers for the files of web/, made once and sent often. */
#pragma once

#include "base/err.h"
#include "http/assets.h"
#include "http/server.h"
#include "http/vet.h"

struct MHD_Response;
struct statics;

/* A set for one loop (answers are counted references: sharing them between threads would make every
 * request wait for the other loop). Its destructor lets them go: after the daemon stopped. */
struct statics *statics_new(void *ctx, const struct http_config *c);

/* The answer for a file, by Accept-Encoding and If-None-Match; *status is 200 or 304. Borrowed. */
struct MHD_Response *statics_pick(struct statics *s, const struct asset *a,
                                  const struct headers *h, unsigned *status);

/* --web-dir: reads the file of `a` below `dir` now, into *rp (body on ctx). The path comes from the
 * table, never from a request. ERR_NOT_FOUND when it is not there. */
enum err web_dir_read(void *ctx, const char *dir, const struct asset *a, struct reply *rp) MUST_USE;
