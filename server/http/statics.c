/* SPDX-License-Identifier: MIT
 * Static files: the table built into the binary, and complete answers for each file, made when it
 * is first asked for and kept.
 *
 * Invariants: a request selects a row of the table and nothing else; no file is opened for it (but
 * with --web-dir, for development, where the name still comes from the table). Every coding of a
 * file has its own strong tag. What lies under the tree hash never changes under that name.
 */
#include "http/statics.h"

#include <fcntl.h>
#include <microhttpd.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/mem.h"
#include "http/respond.h"

enum { PLAIN, BR, GZ, CODINGS };
enum { WEB_DIR_MAX = 4 * 1024 * 1024 };

struct row {
    struct MHD_Response *full[CODINGS], *unchanged[CODINGS];
    char etag[CODINGS][24];
    bool made;
};

struct statics {
    const struct http_config *config;
    struct row *row;        /* one a file; filled when the file is first asked for */
};

const struct asset *asset_find(const char *path)
{
    size_t low = 0, high = asset_count;
    while (low < high) {
        size_t mid = low + (high - low) / 2;
        int c = strcmp(path, assets[mid].path);
        if (c == 0) {
            return &assets[mid];
        }
        if (c < 0) {
            high = mid;
        } else {
            low = mid + 1;
        }
    }
    return NULL;
}

static const void *coding_bytes(const struct asset *a, int coding, size_t *n)
{
    static const char *const empty = "";
    const void *p = coding == BR ? a->br : coding == GZ ? a->gz : a->plain;
    *n = (size_t)(coding == BR ? a->br_len : coding == GZ ? a->gz_len : a->plain_len);
    return coding == PLAIN && !p ? empty : p;
}

static const char *cache_of(const struct asset *a)
{
    return strncmp(a->path, "/s/", 3) == 0 ? "public, max-age=31536000, immutable" : "no-cache";
}

static void row_make(struct row *row, const struct asset *a, const struct http_config *c)
{
    static const char *const names[CODINGS] = {NULL, "br", "gzip"};
    static const char *const suffix[CODINGS] = {"", "-b", "-g"};
    row->made = true;
    for (int i = 0; i < CODINGS; i++) {
        size_t n;
        const void *p = coding_bytes(a, i, &n);
        if (!p) {
            continue;
        }
        /* "\"hash\"" -> "\"hash-b\"" */
        snprintf(row->etag[i], sizeof row->etag[i], "%.*s%s\"", (int)strlen(a->etag) - 1, a->etag,
                 suffix[i]);
        struct reply rp = {.status = 200, .type = a->type, .etag = row->etag[i]};
        rp.html = strncmp(a->type, "text/html", 9) == 0;
        struct respond_extra x = {.cache = cache_of(a), .vary = a->br || a->gz};
        x.worker = strcmp(a->source, "sw.js") == 0;
        x.close = c->unix_socket || c->proxy;
        row->unchanged[i] = respond_make(c, &rp, &x);
        x.encoding = names[i];
        rp.body.data = (char *)(uintptr_t)p;
        rp.body.len = n;
        row->full[i] = respond_make(c, &rp, &x);
    }
}

static int statics_free(struct statics *s)
{
    for (size_t i = 0; i < asset_count; i++) {
        for (int k = 0; k < CODINGS; k++) {
            if (s->row[i].full[k]) {
                MHD_destroy_response(s->row[i].full[k]);
            }
            if (s->row[i].unchanged[k]) {
                MHD_destroy_response(s->row[i].unchanged[k]);
            }
        }
    }
    return 0;
}

struct statics *statics_new(void *ctx, const struct http_config *c)
{
    struct statics *s = mem_new(ctx, struct statics);
    s->row = mem_array(s, struct row, (size_t)asset_count);
    s->config = c;
    talloc_set_destructor(s, statics_free);
    return s;
}

struct MHD_Response *statics_pick(struct statics *s, const struct asset *a,
                                  const struct headers *h, unsigned *status)
{
    struct row *row = &s->row[a - assets];
    if (!row->made) {
        row_make(row, a, s->config);
    }
    int coding = PLAIN;
    if (row->full[BR] && vet_accepts(h->accept_encoding, "br")) {
        coding = BR;
    } else if (row->full[GZ] && vet_accepts(h->accept_encoding, "gzip")) {
        coding = GZ;
    }
    if (h->if_none_match && etag_listed(h->if_none_match, row->etag[coding])) {
        *status = 304;
        return row->unchanged[coding];
    }
    *status = 200;
    return row->full[coding];
}

/* The page with "/s/-/" replaced, as the build does it. */
static void tree_insert(struct buf *b, const char *text)
{
    static const char mark[] = "/s/-/";
    for (const char *at; (at = strstr(text, mark)) != NULL; text = at + sizeof mark - 1) {
        buf_bytes(b, text, (size_t)(at - text));
        buf_printf(b, "/s/%s/", assets_tree_hash);
    }
    buf_str(b, text);
}

enum err web_dir_read(void *ctx, const char *dir, const struct asset *a, struct reply *rp)
{
    int fd = open(mem_printf(ctx, "%s/%s", dir, a->source), O_RDONLY | O_CLOEXEC | O_NOFOLLOW);
    struct stat st;
    if (fd < 0 || fstat(fd, &st) != 0 || !S_ISREG(st.st_mode) || st.st_size > WEB_DIR_MAX) {
        if (fd >= 0) {
            close(fd);
        }
        return ERR_NOT_FOUND;
    }
    size_t size = (size_t)st.st_size, have = 0;
    char *text = mem_array(ctx, char, size + 1);
    ssize_t got = 1;
    while (have < size && got > 0) {
        got = read(fd, text + have, size - have);
        have += got > 0 ? (size_t)got : 0;
    }
    close(fd);
    *rp = (struct reply){.status = 200, .type = a->type};
    rp->html = strncmp(a->type, "text/html", 9) == 0;
    buf_init(&rp->body, ctx);
    if (rp->html) {
        tree_insert(&rp->body, text);
    } else {
        buf_bytes(&rp->body, text, have);
    }
    return OK;
}
