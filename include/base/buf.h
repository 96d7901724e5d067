/* SPDX-License-Identifier: MIT
 * A growing byte buffer, and the only two ways to write HTML, JSON text and CSV cells into it. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

struct buf {
    void *ctx;      /* talloc owner of data */
    char *data;     /* always NUL-terminated once written to; NULL when empty */
    size_t len, cap;
};

void buf_init(struct buf *b, void *ctx);
void buf_bytes(struct buf *b, const void *p, size_t n);
void buf_str(struct buf *b, const char *s);                 /* NULL is written as nothing */
void buf_printf(struct buf *b, const char *fmt, ...) __attribute__((format(printf, 2, 3)));
void buf_int(struct buf *b, int64_t v);

/* HTML: literals compile only for string constants; text is escaped (& < > " ') and loses C0/C1
 * and bidi controls. Every attribute value in the program is double-quoted. */
#define html_lit(b, s) buf_bytes((b), "" s "", sizeof(s) - 1)
void html_txt(struct buf *b, const char *s);
/* The same for the program's own words, which keep the isolates (U+2066-9) that hold a number's
 * direction among letters that run from the right. Never for what somebody typed. */
void html_words(struct buf *b, const char *s);

/* JSON: a quoted, escaped string; NULL gives null. Invalid UTF-8 never reaches here (text_ok). */
void json_txt(struct buf *b, const char *s);

/* CSV (RFC 4180, CRLF rows by the caller): a quoted text cell; a leading = + - @ TAB CR LF or their
 * full-width forms gets a leading ' so that a spreadsheet shows text, not a formula. */
void csv_cell(struct buf *b, const char *s);
