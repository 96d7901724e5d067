/* SPDX-License-Identifier: MIT
 * Opening a school for a command. */
#include "auth/audit.h"
#include "auth/keys.h"
#include "cmd.h"
#include "store/school.h"
#include "store/store.h"

enum err cmd_open(void *ctx, const char *dir, struct store **st, struct keys **keys,
                  const char **why)
{
    enum err e = store_open(ctx, dir, STORE_WRITE, st, why);
    if (e == OK) {
        e = keys_load(dir, keys, why);
    }
    if (e == OK && school_use_zone(*st) != OK) {
        *why = "this folder holds no school; start with thrice init";
        e = ERR_NOT_FOUND;
    }
    return e == OK ? audit_key_must_fit(*st, *keys, why) : e;
}
