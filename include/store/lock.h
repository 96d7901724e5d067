/* SPDX-License-Identifier: MIT
 * The lock of a data folder: one server for one school. Held by the kernel for the process that
 * took it, so it is gone with the process, however that ends. */
#pragma once

#include "base/err.h"

#define LOCK_FILE "lock"

/* Takes it without waiting and writes this process's number into the file. ERR_CONFLICT when
 * another process holds it: *why, on ctx, names that one. *fd is to be closed to let go. */
enum err lock_take(void *ctx, const char *dir, int *fd, const char **why) MUST_USE;
