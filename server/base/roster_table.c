/* SPDX-License-Identifier: MIT
 * A class list's bytes as text, and the text as records of cells.
 *
 * Owns: encodings and libcsv (nowhere else in the program). Invariants: what comes out is valid
 * UTF-8 without NUL; a record's line is the line of the file it begins on, also when a quoted cell
 * runs over several; memory is bounded by the input (cells lie in one block of its size) and by
 * `most` records of ROSTER_COLUMNS cells, whatever the file is made of.
 * Threats: a million separators, a quote that is never closed, UTF-16 halves. */
#include <csv.h>
#include <string.h>
#include <utf8proc.h>

#include "base/buf.h"
#include "base/mem.h"
#include "roster_internal.h"

/* Encodings ------------------------------------------------------------------------------------ */

/* Windows-1252, bytes 80..9F (WHATWG Encoding Standard, index windows-1252); else Latin-1. */
static const unsigned short windows_1252[32] = {
    0x20ac, 0x0081, 0x201a, 0x0192, 0x201e, 0x2026, 0x2020, 0x2021, 0x02c6, 0x2030, 0x0160,
    0x2039, 0x0152, 0x008d, 0x017d, 0x008f, 0x0090, 0x2018, 0x2019, 0x201c, 0x201d, 0x2022,
    0x2013, 0x2014, 0x02dc, 0x2122, 0x0161, 0x203a, 0x0153, 0x009d, 0x017e, 0x0178,
};

static void put_code_point(struct buf *b, int32_t cp)
{
    utf8proc_uint8_t bytes[4];
    utf8proc_ssize_t n = utf8proc_encode_char(cp, bytes);
    buf_bytes(b, bytes, n > 0 ? (size_t)n : 0);
}

static void from_windows_1252(struct buf *b, const unsigned char *p, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        put_code_point(b, p[i] >= 0x80 && p[i] <= 0x9f ? windows_1252[p[i] - 0x80] : p[i]);
    }
}

static int32_t utf16_unit(const unsigned char *p, bool little)
{
    return little ? p[0] | p[1] << 8 : p[0] << 8 | p[1];
}

static bool from_utf16(struct buf *b, const unsigned char *p, size_t n, bool little)
{
    if (n % 2 != 0) {
        return false;
    }
    for (size_t i = 0; i < n; i += 2) {
        int32_t unit = utf16_unit(p + i, little);
        if (unit >= 0xdc00 && unit <= 0xdfff) {
            return false;
        }
        if (unit >= 0xd800 && unit <= 0xdbff) {
            i += 2;
            int32_t low = i < n ? utf16_unit(p + i, little) : 0;
            if (low < 0xdc00 || low > 0xdfff) {
                return false;
            }
            unit = 0x10000 + ((unit - 0xd800) << 10) + (low - 0xdc00);
        }
        put_code_point(b, unit);
    }
    return true;
}

static bool is_utf8(const unsigned char *p, size_t n)
{
    for (size_t i = 0; i < n;) {
        utf8proc_int32_t cp;
        utf8proc_ssize_t step = utf8proc_iterate(p + i, (utf8proc_ssize_t)(n - i), &cp);
        if (step <= 0) {
            return false;
        }
        i += (size_t)step;
    }
    return true;
}

bool roster_decode(void *ctx, const char *bytes, size_t n, struct roster_text *out)
{
    const unsigned char *p = (const unsigned char *)bytes;
    struct buf b;
    bool ok = true;
    *out = (struct roster_text){.windows = false};
    buf_init(&b, ctx);
    if (n >= 2 && ((p[0] == 0xff && p[1] == 0xfe) || (p[0] == 0xfe && p[1] == 0xff))) {
        ok = from_utf16(&b, p + 2, n - 2, p[0] == 0xff);
    } else if (n >= 3 && memcmp(p, "\xef\xbb\xbf", 3) == 0) {
        ok = is_utf8(p + 3, n - 3);
        buf_bytes(&b, p + 3, n - 3);
    } else if (is_utf8(p, n)) {
        buf_bytes(&b, p, n);
    } else {
        out->windows = true;
        from_windows_1252(&b, p, n);
    }
    out->text = b.data ? b.data : "";
    out->len = b.len;
    return ok && memchr(out->text, 0, out->len) == NULL;
}

/* Records and cells ---------------------------------------------------------------------------- */

/* libcsv grows its cell buffer by this much at a time: a file of one endless cell stays cheap. */
enum { CELL_BLOCK = 1 << 16 };

struct reading {
    void *ctx;
    struct roster_table *t;
    char *arena;                /* every cell with its NUL; a cell costs at least one input byte */
    size_t used;
    size_t cell_cap, record_cap, most;
    size_t first, count;        /* of the record being read */
    bool something;             /* it holds more than empty cells */
    bool ended;                 /* a record ended in the line just fed */
    int line;                   /* where the record began */
};

static void on_cell(void *s, size_t n, void *data)
{
    struct reading *r = data;
    r->count++;
    if (r->t->full || r->count > ROSTER_COLUMNS) {
        r->something = r->something || n > 0;
        return;
    }
    char *copy = r->arena + r->used;
    memcpy(copy, s, n);
    copy[n] = '\0';
    r->used += n + 1;
    r->something = r->something || strspn(copy, " \t\r\n") != n;
    mem_grow(r->ctx, r->t->cells, r->t->cell_count, &r->cell_cap);
    r->t->cells[r->t->cell_count++] = copy;
}

static void on_record(int terminator, void *data)
{
    struct reading *r = data;
    (void)terminator;
    r->ended = true;
    if (!r->something) {
        r->t->cell_count = r->first;        /* empty cells only: forget them */
    } else if (r->t->record_count == r->most) {
        r->t->full = true;
    } else {
        mem_grow(r->ctx, r->t->records, r->t->record_count, &r->record_cap);
        r->t->records[r->t->record_count++] =
            (struct roster_record){.line = r->line, .first = r->first, .count = r->count};
    }
    r->first = r->t->cell_count;
    r->count = 0;
    r->something = false;
}

/* Length of the line at p with its end (LF, CR or CR LF). */
static size_t line_length(const char *p, size_t n)
{
    size_t i = 0;
    while (i < n && p[i] != '\n' && p[i] != '\r') {
        i++;
    }
    if (i + 1 < n && p[i] == '\r' && p[i + 1] == '\n') {
        i++;
    }
    return i < n ? i + 1 : n;
}

static bool is_blank(const char *p, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        if (p[i] != ' ' && p[i] != '\t' && p[i] != '\r' && p[i] != '\n') {
            return false;
        }
    }
    return true;
}

enum err roster_table_read(void *ctx, const struct roster_text *in, char separator, size_t most,
                           struct roster_table *out)
{
    *out = (struct roster_table){0};
    struct reading r = {.ctx = ctx, .t = out, .most = most};
    r.arena = mem_array(ctx, char, in->len + 2);
    struct csv_parser parser;
    if (csv_init(&parser, 0) != 0) {
        return ERR_INTERNAL;
    }
    csv_set_blk_size(&parser, CELL_BLOCK);
    csv_set_delim(&parser, (unsigned char)separator);   /* NUL never occurs: whole lines */
    bool inside = false;        /* of a quoted cell that runs over lines */
    int line = 0;
    for (size_t at = 0, n; at < in->len && !out->full; at += n) {
        const char *from = in->text + at;
        n = line_length(from, in->len - at);
        line++;
        if (!inside) {
            r.line = line;
        }
        r.ended = false;
        if (csv_parse(&parser, from, n, on_cell, on_record, &r) != n) {
            csv_free(&parser);
            return ERR_INTERNAL;        /* without strictness only memory can fail */
        }
        inside = !r.ended && (inside || !is_blank(from, n));
    }
    if (inside && !out->full) {         /* a last line without its end, or a quote left open */
        r.ended = false;
        if (csv_parse(&parser, "\n", 1, on_cell, on_record, &r) != 1) {
            csv_free(&parser);
            return ERR_INTERNAL;
        }
        out->open_quote_line = r.ended ? 0 : r.line;
    }
    csv_free(&parser);
    return OK;
}

const char *roster_cell(const struct roster_table *t, const struct roster_record *r, size_t i)
{
    return i < r->count && i < ROSTER_COLUMNS ? t->cells[r->first + i] : "";
}
