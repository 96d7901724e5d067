/* SPDX-License-Identifier: MIT
 * What was done about a hand-in: the child said "I made a mistake", staff kept it, set it aside or
 * asked again. Marks are only ever added; the last one holds. */
#pragma once

#include <stddef.h>
#include <stdint.h>

#include "base/err.h"
#include "base/ids.h"
#include "store/store.h"

struct hand_in_mark {
    int64_t hand_in_seq;
    const char *mark;           /* mistake keep set_aside ask_again */
    const char *reason;         /* set_aside only: of hand_in_reason_words */
    struct staff_id by;         /* 0: the child (mark "mistake" only) */
    const char *by_name;        /* readers: the staff member's name, NULL for the child */
    int64_t at;
};

/* child_says not_possible wrong_child entered_twice not_as_set other_evidence mistyped;
 * NULL-terminated */
extern const char *const hand_in_reason_words[];

struct hand_in_mark_list {
    struct hand_in_mark *v;     /* oldest first, on ctx */
    size_t n;
};

enum err hand_in_mark_add(struct store *st, const struct hand_in_mark *m) MUST_USE;
enum err hand_in_marks_of(struct store *st, void *ctx, int64_t hand_in_seq,
                          struct hand_in_mark_list *out) MUST_USE;

extern const struct stmt_set hand_in_marks_stmts;
