/* SPDX-License-Identifier: MIT
 * Memory that the caller lends. Nothing in this layer allocates: whoever calls hands a block, and
 * functions that need room take it from there, in the way of a stack.
 *
 *   size_t mark = w->used;  double *p = ROOM_TAKE(w, double, n);  ...  w->used = mark;   */
#pragma once

#include <stddef.h>

struct room {
    unsigned char *base;        /* aligned to 16 */
    size_t size, used;
};

/* Zeroed; NULL when there is not enough room left (then nothing was taken). */
void *room_take(struct room *w, size_t count, size_t size);
#define ROOM_TAKE(w, T, n) ((T *)room_take((w), (n), sizeof(T)))

/* Enough for every activity that stays within the budget of band_zones.h. */
enum { ROOM_ENOUGH = 8 * 1024 * 1024 };
