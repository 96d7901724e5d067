/* SPDX-License-Identifier: MIT
 * The lock of a data folder (flock(2)): two servers on one database would each hold throttles,
 * sessions' ages and tags that the other does not know of. */
#include "store/lock.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <string.h>
#include <sys/file.h>
#include <unistd.h>

#include "base/mem.h"

static const char *held_by(void *ctx, int fd)
{
    char number[16] = "";
    ssize_t n = pread(fd, number, sizeof number - 1, 0);
    size_t digits = n > 0 ? strspn(number, "0123456789") : 0;
    number[digits] = '\0';
    return mem_printf(ctx, "another thrice serve%s%s%s serves this folder already; stop it first",
                      digits ? " (process " : "", number, digits ? ")" : "");
}

enum err lock_take(void *ctx, const char *dir, int *fd, const char **why)
{
    const char *path = mem_printf(ctx, "%s/" LOCK_FILE, dir);
    *fd = open(path, O_RDWR | O_CREAT | O_NOFOLLOW | O_CLOEXEC, 0600);
    if (*fd < 0) {
        *why = mem_printf(ctx, "%s: %s", path, strerror(errno));
        return ERR_STORE;
    }
    if (flock(*fd, LOCK_EX | LOCK_NB) != 0) {
        *why = held_by(ctx, *fd);
        close(*fd);
        *fd = -1;
        return ERR_CONFLICT;
    }
    const char *number = mem_printf(ctx, "%ld\n", (long)getpid());
    /* Only what the other's message says is missing where the disk is full. */
    if (ftruncate(*fd, 0) != 0 || pwrite(*fd, number, strlen(number), 0) < 0) {
        errno = 0;
    }
    return OK;
}
