/* SPDX-License-Identifier: MIT
 * Binding where `--listen` says. One socket, later duplicated into every loop's daemon.
 */
#include "http/listen.h"

#include <arpa/inet.h>
#include <errno.h>
#include <netdb.h>
#include <netinet/in.h>
#include <string.h>
#include <sys/socket.h>
#include <sys/stat.h>
#include <sys/un.h>
#include <unistd.h>

#include "base/mem.h"
#include "base/text.h"

enum { BACKLOG = 1024 };

static enum err refuse(void *ctx, const char **why, const char *what, const char *spec)
{
    *why = mem_printf(ctx, "--listen %s: %s", spec, what);
    return ERR_BAD_INPUT;
}

static enum err failed(void *ctx, const char **why, const char *spec, int fd)
{
    *why = mem_printf(ctx, "--listen %s: %s", spec, strerror(errno));
    if (fd >= 0) {
        close(fd);
    }
    return ERR_STORE;
}

/* A socket file that refuses connections was left behind by a server that is gone. */
static bool unix_is_stale(const struct sockaddr_un *sa)
{
    struct stat st;
    if (lstat(sa->sun_path, &st) != 0 || !S_ISSOCK(st.st_mode)) {
        return false;
    }
    int fd = socket(AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC, 0);
    bool stale = fd >= 0 && connect(fd, (const struct sockaddr *)sa, sizeof *sa) != 0 &&
                 errno == ECONNREFUSED;
    if (fd >= 0) {
        close(fd);
    }
    return stale;
}

static enum err listen_unix(void *ctx, const char *spec, struct http_listener *out,
                            const char **why)
{
    const char *path = spec + strlen("unix:");
    struct sockaddr_un sa = {.sun_family = AF_UNIX};
    if (!*path || strlen(path) >= sizeof sa.sun_path) {
        return refuse(ctx, why, "the path is empty or too long", spec);
    }
    memcpy(sa.sun_path, path, strlen(path) + 1);
    if (unix_is_stale(&sa)) {
        unlink(path);
    }
    int fd = socket(AF_UNIX, SOCK_STREAM | SOCK_NONBLOCK | SOCK_CLOEXEC, 0);
    mode_t before = umask(0117); /* no thread runs yet */
    int bound = fd < 0 ? -1 : bind(fd, (const struct sockaddr *)&sa, sizeof sa);
    umask(before);
    if (bound != 0 || listen(fd, BACKLOG) != 0) {
        return failed(ctx, why, spec, fd);
    }
    *out = (struct http_listener){.fd = fd, .unix_socket = true, .loopback = true,
                                  .authority = mem_str(ctx, path), .unix_path = mem_str(ctx, path)};
    return OK;
}

static bool is_loopback(const struct sockaddr_storage *sa)
{
    if (sa->ss_family == AF_INET) {
        const struct sockaddr_in *in = (const struct sockaddr_in *)(const void *)sa;
        return (ntohl(in->sin_addr.s_addr) >> 24) == 127;
    }
    const struct sockaddr_in6 *in6 = (const struct sockaddr_in6 *)(const void *)sa;
    return IN6_IS_ADDR_LOOPBACK(&in6->sin6_addr);
}

static enum err listen_inet(void *ctx, const struct addrinfo *ai, const char *spec,
                            struct http_listener *out, const char **why)
{
    int one = 1;
    int fd = socket(ai->ai_family, SOCK_STREAM | SOCK_NONBLOCK | SOCK_CLOEXEC, 0);
    if (fd < 0 || setsockopt(fd, SOL_SOCKET, SO_REUSEADDR, &one, sizeof one) != 0 ||
        bind(fd, ai->ai_addr, ai->ai_addrlen) != 0 || listen(fd, BACKLOG) != 0) {
        return failed(ctx, why, spec, fd);
    }
    struct sockaddr_storage sa = {0};
    socklen_t len = sizeof sa;
    char host[64], port[8];
    if (getsockname(fd, (struct sockaddr *)&sa, &len) != 0 ||
        getnameinfo((struct sockaddr *)&sa, len, host, sizeof host, port, sizeof port,
                    NI_NUMERICHOST | NI_NUMERICSERV) != 0) {
        return failed(ctx, why, spec, fd);
    }
    bool six = sa.ss_family == AF_INET6;
    *out = (struct http_listener){.fd = fd, .loopback = is_loopback(&sa)};
    out->port = six ? ntohs(((struct sockaddr_in6 *)(void *)&sa)->sin6_port)
                    : ntohs(((struct sockaddr_in *)(void *)&sa)->sin_port);
    out->authority = mem_printf(ctx, six ? "[%s]:%s" : "%s:%s", host, port);
    return OK;
}

enum err http_listen(void *ctx, const char *spec, struct http_listener *out, const char **why)
{
    if (strncmp(spec, "unix:", 5) == 0) {
        return listen_unix(ctx, spec, out, why);
    }
    const char *colon = strrchr(spec, ':');
    int64_t port;
    if (!colon || colon == spec || !text_int(colon + 1, 0, 65535, &port)) {
        return refuse(ctx, why, "expected HOST:PORT or unix:PATH", spec);
    }
    char *host = mem_strn(ctx, spec, (size_t)(colon - spec));
    size_t n = strlen(host);
    if (n > 2 && host[0] == '[' && host[n - 1] == ']') {
        host[n - 1] = '\0';
        host++;
    }
    if (strcmp(host, "localhost") == 0) {
        host = mem_str(ctx, "127.0.0.1");
    }
    struct addrinfo hints = {.ai_flags = AI_NUMERICHOST | AI_NUMERICSERV | AI_PASSIVE,
                             .ai_socktype = SOCK_STREAM};
    struct addrinfo *ai = NULL;
    if (getaddrinfo(host, colon + 1, &hints, &ai) != 0) {
        return refuse(ctx, why, "HOST must be a numeric address or localhost", spec);
    }
    enum err e = listen_inet(ctx, ai, spec, out, why);
    freeaddrinfo(ai);
    return e;
}
