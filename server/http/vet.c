/* SPDX-License-Identifier: MIT
 * Request vetting: what libmicrohttpd 0.9.75 lets through and should not.
 *
 * It takes Content-Length together with Transfer-Encoding, the first of two lengths, a space before
 * the colon (and then parses the body as a second request), a folded line glued to the next name,
 * two Hosts, and it hands out a target already percent-decoded. A line whose name is empty ends the
 * header block there and makes what follows the next request; a NUL cuts a value or the target; a
 * bare LF ends a line. Each of these can make two parties see two different requests (request
 * smuggling), so whatever is not plainly one request is refused with 400 and the connection is
 * closed.
 * How hidden bytes are found: the library leaves the block where it was received, with NULs over
 * the ends of its parts, so each part must begin exactly where the one before it ended, and the
 * block end where the last part does. What this cannot see, because the library writes NULs over
 * it: a NUL in the place of the CR at the end of a line, and a NUL or a lone colon in the place of
 * the last line's CR. The block is then taken to end where the library ends it, which somebody
 * else may see otherwise; behind a proxy therefore each connection carries one request
 * (exchange_judge). Sources: RFC 9112 sections 2.2, 3.2, 5.1, 6.1, 6.3; RFC 9110 5.6.2 (token).
 */
#include "http/vet.h"

#include <arpa/inet.h>
#include <string.h>
#include <strings.h>

static bool is_token_char(unsigned char c)
{
    return (c >= '0' && c <= '9') || (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') ||
           (c && strchr("!#$%&'*+-.^_`|~", c));
}

static bool is_path_char(unsigned char c)
{
    return (c >= '0' && c <= '9') || (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') ||
           c == '/' || c == '_' || c == '.' || c == '-';
}

/* No empty, "." or ".." segment, but for the single one of "/". */
static bool segments_ok(const char *path, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        if (path[i] != '/') {
            continue;
        }
        const char *s = path + i + 1;
        size_t len = 0;
        while (i + 1 + len < n && s[len] != '/') {
            len++;
        }
        bool dots = (len == 1 && s[0] == '.') || (len == 2 && s[0] == '.' && s[1] == '.');
        if (dots || (len == 0 && i + 1 < n)) {
            return false;
        }
    }
    return true;
}

enum err vet_target(const char *raw, size_t *path_len)
{
    *path_len = 0;
    if (!raw || *raw != '/') {
        return ERR_MALFORMED;
    }
    size_t n = strnlen(raw, TARGET_MAX + 1);
    if (n > TARGET_MAX) {
        return ERR_HEADERS;
    }
    size_t path = 0;
    while (is_path_char((unsigned char)raw[path])) {
        path++;
    }
    if ((raw[path] && raw[path] != '?') || !segments_ok(raw, path)) {
        return ERR_MALFORMED;
    }
    for (size_t i = path; i < n; i++) {
        if ((unsigned char)raw[i] <= 0x20 || (unsigned char)raw[i] >= 0x7f || raw[i] == '#') {
            return ERR_MALFORMED;
        }
    }
    *path_len = path;
    return OK;
}

/* Headers of which there may be one only, and where each is kept. */
static const struct {
    const char *name;
    size_t offset;
    bool once;
} known[] = {
    {"host", offsetof(struct headers, host), true},
    {"content-length", offsetof(struct headers, content_length_text), true},
    {"transfer-encoding", offsetof(struct headers, transfer_encoding), true},
    {"content-type", offsetof(struct headers, content_type), true},
    {"origin", offsetof(struct headers, origin), true},
    {"cookie", offsetof(struct headers, cookie), true},
    {"referer", offsetof(struct headers, referer), true},
    {"x-csrf-token", offsetof(struct headers, csrf), true},
    {"sec-fetch-site", offsetof(struct headers, sec_fetch_site), true},
    {"sec-fetch-mode", offsetof(struct headers, sec_fetch_mode), true},
    {"sec-fetch-dest", offsetof(struct headers, sec_fetch_dest), true},
    {"expect", offsetof(struct headers, expect), true},
    {"if-none-match", offsetof(struct headers, if_none_match), false},
    {"accept-encoding", offsetof(struct headers, accept_encoding), false},
    {"x-forwarded-for", offsetof(struct headers, forwarded), false},
};

static void keep(struct headers *h, const char *name, size_t n, const char *value)
{
    for (size_t i = 0; i < sizeof known / sizeof *known; i++) {
        if (strlen(known[i].name) != n || strncasecmp(known[i].name, name, n) != 0) {
            continue;
        }
        const char **place = (const char **)(void *)((char *)h + known[i].offset);
        if (*place && known[i].once) {
            h->fault = ERR_MALFORMED;
        }
        h->forwarded_count += place == &h->forwarded;
        *place = value;
        return;
    }
}

static bool value_ok(const char *value, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        unsigned char c = (unsigned char)value[i];
        if ((c < 0x20 && c != '\t') || c == 0x7f) {
            return false;
        }
    }
    return true;
}

/* Behind the name a colon, at most one space, the value and CR LF. Of a bare LF one byte is
 * missing: there the next line begins, and no line begins with NUL. */
static bool value_fits(const char *colon, const char *value, size_t n)
{
    bool space = value == colon + 2 && colon[1] == ' ';
    return (value == colon + 1 || space) && value[n] == '\0' && value[n + 1] == '\0';
}

void vet_line(struct headers *h, const char *method, size_t target_len, const char *version)
{
    if (version != method + strlen(method) + 1 + target_len + 1) {
        h->fault = ERR_MALFORMED;
    }
    h->next = version + strlen(version) + 2;
}

void vet_header(struct headers *h, const char *name, size_t name_len, const char *value,
                size_t value_len)
{
    h->count++;
    h->bytes += name_len + value_len + 4;
    if (h->fault != OK) {
        return;
    }
    if (h->count > HEADER_COUNT_MAX || h->bytes > HEADER_BYTES_MAX) {
        h->fault = ERR_HEADERS;
        return;
    }
    bool good = name_len > 0 && name == h->next && value_fits(name + name_len, value, value_len);
    h->next = value + value_len + 2;
    for (size_t i = 0; i < name_len; i++) {
        good = good && is_token_char((unsigned char)name[i]);
    }
    if (!good || !value_ok(value, value_len)) {
        h->fault = ERR_MALFORMED;
        return;
    }
    keep(h, name, name_len, value);
}

/* Digits only, at most 12 of them: "+5", "5, 5", "0x5" are none. */
static bool length_read(const char *s, int64_t *out)
{
    size_t n = strspn(s, "0123456789");
    if (n == 0 || n > 12 || s[n]) {
        return false;
    }
    *out = 0;
    for (size_t i = 0; i < n; i++) {
        *out = *out * 10 + (s[i] - '0');
    }
    return true;
}

enum err vet_headers_end(const struct headers *h, bool bodiless, struct vet_body *out)
{
    *out = (struct vet_body){0};
    if (h->fault != OK) {
        return h->fault;
    }
    if (h->transfer_encoding) {
        if (h->content_length_text || strcasecmp(h->transfer_encoding, "chunked") != 0) {
            return ERR_MALFORMED;
        }
        *out = (struct vet_body){.length = -1, .chunked = true, .any = true};
    } else if (h->content_length_text) {
        if (!length_read(h->content_length_text, &out->length)) {
            return ERR_MALFORMED;
        }
        out->any = out->length > 0;
    }
    if (h->expect && strcasecmp(h->expect, "100-continue") != 0) {
        return ERR_MALFORMED;
    }
    return bodiless && out->any ? ERR_MALFORMED : OK;
}

enum err vet_size(const struct headers *h, const char *method, size_t sent)
{
    return h->next + 2 == method + sent ? OK : ERR_MALFORMED;
}

enum err vet_host(const struct headers *h, const char *const *own)
{
    if (!h->host || !*h->host) {
        return ERR_MALFORMED;
    }
    for (; *own; own++) {
        if (strcasecmp(h->host, *own) == 0) {
            return OK;
        }
    }
    return ERR_WRONG_HOST;
}

bool vet_content_type(const char *value, const char *wanted)
{
    size_t n = strlen(wanted);
    if (!value || strncasecmp(value, wanted, n) != 0) {
        return false;
    }
    value += n;
    value += strspn(value, " \t");
    if (*value == '\0') {
        return true;
    }
    if (*value != ';') {
        return false;
    }
    value++;
    value += strspn(value, " \t");
    return strcasecmp(value, "charset=utf-8") == 0 || strcasecmp(value, "charset=\"utf-8\"") == 0;
}

bool vet_forwarded(const struct headers *h, char out[static 46])
{
    if (!h->forwarded || h->forwarded_count != 1) {
        return false;
    }
    const char *comma = strrchr(h->forwarded, ',');
    const char *last = comma ? comma + 1 : h->forwarded;
    last += strspn(last, " \t");
    size_t n = strcspn(last, " \t");
    if (n == 0 || n > 45 || last[n + strspn(last + n, " \t")]) {
        return false;
    }
    memcpy(out, last, n);
    out[n] = '\0';
    unsigned char bin[16];
    return inet_pton(AF_INET, out, bin) == 1 || inet_pton(AF_INET6, out, bin) == 1;
}

bool vet_accepts(const char *accept_encoding, const char *coding)
{
    size_t n = strlen(coding);
    const char *s = accept_encoding;
    while (s && *s) {
        s += strspn(s, " \t,");
        size_t item = strcspn(s, ",");
        size_t name = strcspn(s, ",; \t");
        if (name == n && strncasecmp(s, coding, n) == 0) {
            const char *q = memchr(s, '=', item);
            /* q=0, q=0.0 ...: not acceptable; anything else is */
            return !q || strspn(q + 1, "0. \t") < item - (size_t)(q + 1 - s);
        }
        s += item;
    }
    return false;
}
