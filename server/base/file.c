/* SPDX-License-Identifier: MIT */
#include "base/file.h"

#include <errno.h>
#include <fcntl.h>
#include <stdbool.h>
#include <string.h>
#include <unistd.h>

#include "base/mem.h"

char *file_read(void *ctx, const char *path, size_t max, size_t *n, const char **why)
{
    bool from_stdin = strcmp(path, "-") == 0;
    int fd = from_stdin ? STDIN_FILENO : open(path, O_RDONLY | O_CLOEXEC | O_NOCTTY);
    if (fd < 0) {
        *why = strerror(errno);
        return NULL;
    }
    char *data = mem_array(ctx, char, max + 2);
    size_t len = 0;
    ssize_t got;
    do {
        got = read(fd, data + len, max + 1 - len);
        len += got > 0 ? (size_t)got : 0;
    } while ((got > 0 && len <= max) || (got < 0 && errno == EINTR));
    int failed = got < 0 ? errno : 0;
    if (!from_stdin) {
        close(fd);
    }
    if (failed || len > max) {
        *why = failed ? strerror(failed) : "too long";
        return NULL;
    }
    *n = len;
    return data;
}
