/* SPDX-License-Identifier: MIT
 * A QR code as a drawing. */
#pragma once

#include "base/err.h"

struct qr {
    int size;       /* modules on a side, without the quiet zone: leave 4 around it */
    char *path;     /* SVG path data, one unit a module: rows of "M x y h n v 1 h -n z" */
};

/* Error correction level M, smallest version that fits; path on ctx. */
enum err qr_make(void *ctx, const char *text, struct qr *out) MUST_USE;
