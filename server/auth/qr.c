/* SPDX-License-Identifier: MIT
 * QR codes by libqrencode, as path data that scales and prints black on white.
 * Each row's dark runs become one rectangle a run, so the text stays short. */
#include "auth/qr.h"

#include <qrencode.h>

#include "base/buf.h"

static int run_length(const unsigned char *row, int x, int width)
{
    int n = 0;
    while (x + n < width && (row[x + n] & 1)) {
        n++;
    }
    return n;
}

enum err qr_make(void *ctx, const char *text, struct qr *out)
{
    struct buf b;
    QRcode *code = QRcode_encodeString8bit(text, 0, QR_ECLEVEL_M);

    if (!code) {
        return ERR_INTERNAL;
    }
    buf_init(&b, ctx);
    for (int y = 0; y < code->width; y++) {
        const unsigned char *row = code->data + y * code->width;
        for (int x = 0; x < code->width; x++) {
            int n = run_length(row, x, code->width);
            if (n > 0) {
                buf_printf(&b, "M%d %dh%dv1h-%dz", x, y, n, n);
                x += n - 1;
            }
        }
    }
    out->size = code->width;
    out->path = b.data;
    QRcode_free(code);
    return OK;
}
