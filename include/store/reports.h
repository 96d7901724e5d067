/* SPDX-License-Identifier: MIT
 * Drafts of report sentences, one a child and unit. They are kept until the class's reports are
 * done, and go with the child. */
#pragma once

#include <stddef.h>
#include <stdint.h>

#include "base/err.h"
#include "base/ids.h"
#include "store/store.h"

enum { REPORT_TEXT_MAX = 600 };     /* characters */

struct report {
    struct unit_id unit;
    struct pupil_id pupil;
    const char *display_name;       /* reports_of_class */
    const char *unit_name;          /* reports_of_pupil */
    const char *text;               /* NULL: none */
    struct staff_id by;
    const char *by_name;            /* reports_of_class */
    int32_t on_day;
};

struct report_list {
    struct report *v;               /* on ctx */
    size_t n;
};

struct report_class {
    struct unit_id unit;
    struct class_id cls;
    int32_t today;
};

extern const struct stmt_set reports_stmts;

/* text NULL and OK: there is none. */
enum err report_get(struct store *st, void *ctx, struct unit_id u, struct pupil_id p,
                    struct report *out) MUST_USE;
/* An empty or NULL text takes the draft away. */
enum err report_put(struct store *st, const struct report *r) MUST_USE;
/* Every child of the class of today by name, with a draft or without. */
enum err reports_of_class(struct store *st, void *ctx, const struct report_class *k,
                          struct report_list *out) MUST_USE;
enum err reports_of_pupil(struct store *st, void *ctx, struct pupil_id p,
                          struct report_list *out) MUST_USE;
/* The reports are done: deletes the drafts of the children in the class. *gone: how many. */
enum err reports_done(struct store *st, const struct report_class *k, int64_t *gone) MUST_USE;
