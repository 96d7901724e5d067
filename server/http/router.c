/* SPDX-License-Identifier: MIT
 * The router: exact segments, typed arguments, nothing else.
 *
 * Invariants: an argument's name fixes its type, so "not a number" never reaches a handler; a path
 * that fits no pattern is unknown whatever its method; the table is checked whole before the first
 * request, because a mistake in it is a hole in the fence.
 */
#include "http/router.h"

#include <string.h>

#include "base/mem.h"
#include "base/text.h"
#include "base/who.h"

enum { SEGMENTS = 10, METHODS = 4 };

enum arg_type { ARG_NONE, ARG_ID, ARG_UUID };

static const struct {
    const char *name;
    enum arg_type type;
} arg_types[] = {
    {"class", ARG_ID},     {"staff", ARG_ID},   {"pupil", ARG_ID},   {"unit", ARG_ID},
    {"activity", ARG_ID},  {"card", ARG_ID},    {"message", ARG_ID}, {"session", ARG_ID},
    {"challenge", ARG_ID}, {"statement", ARG_ID}, {"view", ARG_ID},
    {"change", ARG_ID},
    {"hand_in", ARG_UUID},
};

struct segment {
    const char *text; /* NULL: an argument */
    size_t len;
    enum arg_type type;
};

struct pattern {
    const struct route *route;
    size_t n, args;
    struct segment seg[SEGMENTS];
};

struct router {
    struct pattern *pattern;
    size_t n;
};

static const char *const names[] = {[GET] = "GET", [POST] = "POST", [PUT] = "PUT",
                                    [DELETE] = "DELETE"};

const char *method_name(enum method m)
{
    return m >= GET && m <= DELETE ? names[m] : "?";
}

enum method method_read(const char *name)
{
    if (strcmp(name, "HEAD") == 0) {
        return GET;
    }
    for (int m = GET; m <= DELETE; m++) {
        if (strcmp(name, names[m]) == 0) {
            return (enum method)m;
        }
    }
    return (enum method)0;
}

const char *methods_print(void *ctx, unsigned methods)
{
    char *text = mem_str(ctx, methods & 1u << GET ? "GET, HEAD" : "");
    for (int m = POST; m <= DELETE; m++) {
        if (methods & 1u << m) {
            text = mem_printf(ctx, "%s%s%s", text, *text ? ", " : "", names[m]);
        }
    }
    return text;
}

/* The next segment of a path, without its slash; false at the end. */
static bool segment_next(const char **path, const char **text, size_t *len)
{
    if (**path != '/') {
        return false;
    }
    *text = *path + 1;
    *len = strcspn(*text, "/");
    *path = *text + *len;
    return true;
}

static enum arg_type arg_type_of(const char *name, size_t len)
{
    for (size_t i = 0; i < sizeof arg_types / sizeof *arg_types; i++) {
        if (strlen(arg_types[i].name) == len && memcmp(arg_types[i].name, name, len) == 0) {
            return arg_types[i].type;
        }
    }
    return ARG_NONE;
}

static const char *pattern_make(const struct route *r, struct pattern *p)
{
    const char *rest = r->path, *text;
    size_t len;
    p->route = r;
    while (segment_next(&rest, &text, &len)) {
        if (p->n == SEGMENTS || len == 0) {
            return "an empty segment, or too many";
        }
        struct segment *s = &p->seg[p->n++];
        if (*text != ':') {
            *s = (struct segment){text, len, ARG_NONE};
            continue;
        }
        s->type = arg_type_of(text + 1, len - 1);
        p->args++;
        if (s->type == ARG_NONE || p->args > REQUEST_ARGS) {
            return "an argument of no known type, or too many";
        }
    }
    return p->n == 0 || *rest ? "a path that does not begin with /" : NULL;
}

/* Two patterns that one path could fit. */
static bool pattern_same(const struct pattern *a, const struct pattern *b)
{
    if (a->route->method != b->route->method || a->n != b->n) {
        return false;
    }
    for (size_t i = 0; i < a->n; i++) {
        const struct segment *x = &a->seg[i], *y = &b->seg[i];
        if (!x->text != !y->text) {
            return false; /* a literal never reads as an id or a UUID */
        }
        if (x->text && (x->len != y->len || memcmp(x->text, y->text, x->len) != 0)) {
            return false;
        }
    }
    return true;
}

static const char *route_fault(const struct route *r, const struct pattern *p)
{
    bool unsafe = r->method != GET;
    if (!r->allow) {
        return "nobody is let in";
    }
    if (!r->fn || !r->doc || !*r->doc || !r->work) {
        return "no handler, no doc or no work";
    }
    if (p->args && !r->scope) {
        return "an argument without a scope";
    }
    if ((r->body == BODY_NONE) != (r->max == 0)) {
        return "a body without a cap, or a cap without a body";
    }
    if (!unsafe && r->body != BODY_NONE) {
        return "a GET with a body";
    }
    if (unsafe && r->work != WRITES) {
        return "an unsafe method that does not write";
    }
    if (r->slow && !r->parse) {
        return "slow work that nothing asks for";
    }
    if ((r->allow == ALLOW_ANYONE) != r->no_session || (r->allow & ALLOW_ANYONE && r->scope)) {
        return "open to all only in part";
    }
    return NULL;
}

static const char *table_fault(const struct router *r, size_t i)
{
    const struct pattern *p = &r->pattern[i];
    const char *fault = route_fault(p->route, p);
    for (size_t j = 0; j < i && !fault; j++) {
        if (pattern_same(p, &r->pattern[j])) {
            fault = "a duplicate";
        }
    }
    return fault;
}

struct router *router_new(void *ctx, const struct route *table, size_t n, const char **why)
{
    struct router *r = mem_new(ctx, struct router);
    r->pattern = mem_array(r, struct pattern, n);
    for (size_t i = 0; i < n; i++) {
        const char *fault = pattern_make(&table[i], &r->pattern[i]);
        r->n = i + 1;
        fault = fault ? fault : table_fault(r, i);
        if (fault) {
            *why = mem_printf(ctx, "routing table: %s %s: %s", method_name(table[i].method),
                              table[i].path, fault);
            talloc_free(r);
            return NULL;
        }
    }
    return r;
}

static bool arg_read(enum arg_type type, const char *text, size_t len, struct request_arg *out)
{
    char copy[40];
    if (len == 0 || len >= sizeof copy) {
        return false;
    }
    memcpy(copy, text, len);
    copy[len] = '\0';
    return type == ARG_UUID ? text_uuid(copy, out->uuid.b) : text_id(copy, &out->id);
}

static bool pattern_fits(const struct pattern *p, const char *path, struct request_arg *args)
{
    const char *text;
    size_t len, a = 0, i = 0;
    for (; segment_next(&path, &text, &len); i++) {
        if (i == p->n) {
            return false;
        }
        const struct segment *s = &p->seg[i];
        if (s->text ? len != s->len || memcmp(text, s->text, len) != 0
                    : !arg_read(s->type, text, len, &args[a++])) {
            return false;
        }
    }
    return i == p->n && *path == '\0';
}

void router_match(const struct router *r, enum method m, const char *path, struct route_match *out)
{
    *out = (struct route_match){0};
    for (size_t i = 0; i < r->n; i++) {
        struct request_arg args[REQUEST_ARGS] = {{0}};
        const struct pattern *p = &r->pattern[i];
        if (!pattern_fits(p, path, args)) {
            continue;
        }
        out->methods |= 1u << p->route->method;
        if (p->route->method == m) {
            out->route = p->route;
            memcpy(out->args, args, sizeof args);
        }
    }
}

void router_print(const struct route *table, size_t n, FILE *out)
{
    static const char *const rights[] = {"anyone", "pupil",   "carer",        "teach",  "help",
                                         "read",   "pe_lead", "safeguarding", "office", "staff"};
    for (size_t i = 0; i < n; i++) {
        const struct route *r = &table[i];
        fprintf(out, "%s\t%s\t", method_name(r->method), r->path);
        const char *comma = "";
        for (size_t b = 0; b < sizeof rights / sizeof *rights; b++) {
            if (r->allow & 1u << b) {
                fprintf(out, "%s%s", comma, rights[b]);
                comma = ",";
            }
        }
        fprintf(out, "\t%s\t%s\n", r->work == WRITES ? "writes" : "reads", r->doc);
    }
}
