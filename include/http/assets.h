/* SPDX-License-Identifier: MIT
 * The files of web/, embedded by server/embed.sh with their brotli and gzip copies. */
#pragma once

#include <stddef.h>
#include <stdint.h>

struct asset {
    const char *path;       /* "/s/<tree hash>/js/api.js", "/staff/class", "/" */
    const char *type;       /* Content-Type */
    const char *etag;       /* strong, quoted: hash of the bytes */
    const void *plain, *br, *gz;            /* br/gz may be NULL: no gain or absent */
    uint64_t plain_len, br_len, gz_len;
    const char *source;     /* its place in web/, "staff/class.html": what --web-dir reads */
};
extern const struct asset assets[];         /* sorted by path (strcmp) */
extern const uint64_t asset_count;
extern const char assets_tree_hash[];       /* 16 hex digits */

/* NULL: none of that path. */
const struct asset *asset_find(const char *path);
