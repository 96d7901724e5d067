/* SPDX-License-Identifier: MIT
 * JSON bodies: one object, no key twice, bounded depth, number of values and length of strings. */
#pragma once

#include <stddef.h>

#include "base/err.h"
#include "http/request.h"

enum { JSON_DEPTH_USUAL = 6, JSON_DEPTH = 8 };

/* Parses rq->body into rq->json. A route that takes 64 KiB or more also takes more and longer
 * values (`max` is the route's cap): 4,000 for each 64 KiB and 2,000 bytes, JSON_DEPTH deep; else
 * 256 and 256, JSON_DEPTH_USUAL deep. A text_max other than 0 takes the place of the bytes.
 * ERR_MALFORMED: not JSON, a key twice, too deep. ERR_BAD_INPUT with blame: not an object, a string
 * too long, too many values. Needs no route, so a fuzzer may call it. */
enum err json_body_parse(struct request *rq, size_t max, size_t text_max) MUST_USE;
