/* SPDX-License-Identifier: MIT
 * Accounts of staff, their school-wide rights and their rights on classes. Rows are on ctx. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/err.h"
#include "base/ids.h"
#include "store/store.h"

extern const struct stmt_set staff_stmts;

struct staff_row {
    struct staff_id id;
    const char *name;
    const char *hash;           /* passphrase, Argon2id; staff_list leaves it NULL */
    unsigned rights;            /* ALLOW_PE_LEAD | ALLOW_SAFEGUARDING | ALLOW_OFFICE */
    bool must_change, disabled;
    bool sure;                  /* nobody let it in alone: see store/changes.h */
    bool reads_all;             /* messages of all classes, today */
    int64_t created_at;
};

struct staff_class_row {
    struct class_id class_id;
    const char *class_name;
    const char *kind;           /* "class", "group" */
    unsigned right;             /* one of ALLOW_TEACH, ALLOW_HELP, ALLOW_READ */
    bool has_until;
    int32_t until_day;
    bool reads;                 /* messages of the class, on the day asked for */
};

/* Words of rights <-> bits: "teach", "help", "read", "pe_lead", "safeguarding", "office". NULL / 0
 * when there is none. */
const char *right_word(unsigned bit);
unsigned right_bit(const char *word);

enum err staff_by_name(struct store *st, void *ctx, const char *name_key, struct staff_row *out)
    MUST_USE;
enum err staff_get(struct store *st, void *ctx, struct staff_id id, struct staff_row *out) MUST_USE;
/* All, sorted by name. */
enum err staff_list(struct store *st, void *ctx, struct staff_row **out, size_t *n) MUST_USE;
/* Accounts not disabled; of them, those that hold `office`. */
enum err staff_counts(struct store *st, int64_t *live, int64_t *office) MUST_USE;

struct staff_new {
    struct staff_id id;         /* rand_id() */
    const char *name, *name_key, *hash;
    bool must_change;
    int64_t now;
};
/* ERR_CONFLICT: the name is taken. */
enum err staff_put(struct store *st, const struct staff_new *s) MUST_USE;
enum err staff_set_hash(struct store *st, struct staff_id id, const char *hash, bool must_change)
    MUST_USE;
enum err staff_set_disabled(struct store *st, struct staff_id id, bool disabled, int64_t now)
    MUST_USE;
/* The school-wide rights are the bits given. What stays keeps what was agreed about it; what is new
 * is not agreed to (store/changes.h). */
enum err staff_set_rights(struct store *st, struct staff_id id, unsigned rights) MUST_USE;

/* Rights on classes not archived, by class name: those that hold on the day, or `ever` all. */
struct staff_classes_want { struct staff_id id; int32_t today; bool ever; };
enum err staff_classes(struct store *st, void *ctx, const struct staff_classes_want *want,
                       struct staff_class_row **out, size_t *n) MUST_USE;
/* Sets one right on one class in place of what was there; `teach` that stays keeps what was agreed
 * about it, and no longer than the right lasts. ERR_CONFLICT: no such class or staff. */
enum err staff_class_put(struct store *st, struct staff_id id, const struct staff_class_row *right)
    MUST_USE;
/* Takes away every right on a class that is not among `rows`. */
enum err staff_classes_keep(struct store *st, struct staff_id id,
                            const struct staff_class_row *rows, size_t n) MUST_USE;
