/* SPDX-License-Identifier: MIT
 * A stack in lent memory. Everything is aligned to 16 bytes and zeroed when it is handed out, so
 * that no table ever starts from what an earlier child's numbers left behind. */
#include "assess/room.h"

#include <string.h>

void *room_take(struct room *w, size_t count, size_t size)
{
    size_t bytes;
    if (__builtin_mul_overflow(count, size, &bytes) || bytes > w->size) {
        return NULL;
    }
    bytes = (bytes + 15) & ~(size_t)15;
    if (bytes > w->size - w->used) {
        return NULL;
    }
    void *p = w->base + w->used;
    w->used += bytes;
    memset(p, 0, bytes);
    return p;
}
