/* SPDX-License-Identifier: MIT
 * The listening socket. */
#pragma once

#include <stdbool.h>
#include <stdint.h>

#include "base/err.h"

struct http_listener {
    int fd;
    bool unix_socket, loopback;
    uint16_t port;              /* the one that is bound, also when 0 was asked for */
    char *authority;            /* "127.0.0.1:8080", "[::1]:8080", or the socket's path */
    char *unix_path;            /* to be removed at the end, or NULL */
};

/* "HOST:PORT" (HOST an address or localhost; "[::1]:0"), or "unix:PATH" (mode 0660; a socket that
 * nobody serves any more is replaced). ERR_BAD_INPUT or ERR_STORE with *why, on ctx. */
enum err http_listen(void *ctx, const char *spec, struct http_listener *out, const char **why)
    MUST_USE;
