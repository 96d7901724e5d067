/* SPDX-License-Identifier: MIT
 * From method and path to a route, with its typed arguments. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdio.h>

#include "http/request.h"
#include "http/route.h"

struct router;

struct route_match {
    const struct route *route;                  /* NULL: none of this method */
    unsigned methods;                           /* 1 << method of every route of this path; 0: path
                                                   not known */
    struct request_arg args[REQUEST_ARGS];
};

/* Compiles and checks the table: no duplicate, every argument typed, every argument under a scope,
 * every entry with rights, work, handler and doc, every body capped, nothing open to all by
 * mistake. NULL: *why names the entry and the fault. */
struct router *router_new(void *ctx, const struct route *table, size_t n, const char **why);

void router_match(const struct router *r, enum method m, const char *path, struct route_match *out);

const char *method_name(enum method m);
/* 0: not a method that the program serves. HEAD reads as GET. */
enum method method_read(const char *name);
/* The value of an Allow header for a mask of methods, on ctx. */
const char *methods_print(void *ctx, unsigned methods);

/* The table as text, a line a route: method, path, who, work, doc. */
void router_print(const struct route *table, size_t n, FILE *out);
