/* SPDX-License-Identifier: MIT
 * What a request line and its headers must look like before anything else is done with them.
 * Pure: no libmicrohttpd here, so every rule can be tested and fuzzed alone. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/err.h"

enum { TARGET_MAX = 512, HEADER_COUNT_MAX = 40, HEADER_BYTES_MAX = 3072 };

/* Header values are borrowed; NULL where the header is absent. */
struct headers {
    const char *host, *cookie, *origin, *referer, *csrf, *if_none_match, *accept_encoding,
        *content_type, *forwarded, *content_length_text, *transfer_encoding, *expect;
    const char *sec_fetch_site, *sec_fetch_mode, *sec_fetch_dest;
    int forwarded_count;
    size_t count, bytes;
    const char *next;           /* where in the block the next name has to stand */
    enum err fault;             /* the first */
};

/* The raw target, before any decoding: origin-form; a path of [A-Za-z0-9/_.-] without "//", "."
 * or ".." segments; a query of visible ASCII. *path_len is where the path ends. */
enum err vet_target(const char *raw, size_t *path_len) MUST_USE;

/* The request line. `method`, `version` and later the names and values of headers are pointers into
 * one block of memory as it was sent, in which NULs stand for the spaces, colons and line ends that
 * part them (so libmicrohttpd leaves it); `target_len` is the raw target's length. Call it first.
 * */
void vet_line(struct headers *h, const char *method, size_t target_len, const char *version);

/* Notes one header. Call for each in turn, then vet_headers_end. At most one space may stand behind
 * the colon, and one CR LF behind the value. */
void vet_header(struct headers *h, const char *name, size_t name_len, const char *value,
                size_t value_len);

struct vet_body {
    int64_t length;             /* declared; -1: not declared (chunked) */
    bool chunked, any;
};
/* Framing as a whole: OK, ERR_MALFORMED or ERR_HEADERS. `bodiless`: GET and HEAD. */
enum err vet_headers_end(const struct headers *h, bool bodiless, struct vet_body *out) MUST_USE;

/* ERR_MALFORMED unless the block of `sent` bytes that begins at `method` ends where what was read
 * of it ends: every byte that was sent is a byte that was parsed. */
enum err vet_size(const struct headers *h, const char *method, size_t sent) MUST_USE;

/* ERR_MALFORMED without a Host, ERR_WRONG_HOST unless it is one of `own` (NULL-terminated). */
enum err vet_host(const struct headers *h, const char *const *own) MUST_USE;

/* "application/json" with nothing behind it but charset=utf-8. */
bool vet_content_type(const char *value, const char *wanted);

/* The last element of the only X-Forwarded-For line: an address, copied to out. False: none, more
 * than one line, or not an address. */
bool vet_forwarded(const struct headers *h, char out[static 46]);

/* Accept-Encoding lists `coding` and does not give it q=0. */
bool vet_accepts(const char *accept_encoding, const char *coding);
