/* SPDX-License-Identifier: MIT
 * Staff accounts and what they may do.
 *
 * Invariants: a name is unique ignoring case (name_key); school-wide rights are rows, so the
 * schema's CHECK is the list; a right on a class is one of three words with an optional last day.
 * Whether somebody may change rights is the caller's question. */
#include "store/staff.h"

#include <inttypes.h>
#include <string.h>

#include "base/mem.h"
#include "base/who.h"
#include "reading_internal.h"
#include "store/query.h"

enum {
    BY_NAME, GET, LIST, COUNTS, PUT, SET_HASH, DISABLE, ENABLE, RIGHT_DROP, RIGHT_PUT, CLASSES,
    CLASS_PUT, CLASSES_KEEP
};

/* 1 pe_lead, 2 safeguarding, 4 office: mapped to the program's bits in read_row. */
#define COLUMNS \
    "s.id, s.name, s.passphrase_hash, s.must_change, s.disabled_at IS NOT NULL, s.created_at," \
    " (SELECT coalesce(sum(CASE r.right WHEN 'pe_lead' THEN 1 WHEN 'safeguarding' THEN 2 ELSE 4" \
    " END), 0) FROM staff_right r WHERE r.staff_id = s.id)," \
    " s.unagreed_at IS NULL, " READING_SURE("s") " AND EXISTS (SELECT 1 FROM staff_right g" \
    " WHERE g.staff_id = s.id AND " READING_GUARD("g") ")"

static const struct stmt_def defs[] = {
    [BY_NAME] = {"staff by name", "SELECT " COLUMNS " FROM staff s WHERE s.name_key = :key"},
    [GET] = {"staff get", "SELECT " COLUMNS " FROM staff s WHERE s.id = :id"},
    [LIST] = {"staff list", "SELECT " COLUMNS " FROM staff s /*scan: all staff are listed*/"
                            " ORDER BY s.name_key"},
    [COUNTS] = {"staff counts",
                "SELECT count(*), coalesce(sum(EXISTS (SELECT 1 FROM staff_right r"
                " WHERE r.staff_id = s.id AND r.right = 'office')), 0)"
                " FROM staff s /*scan: a school has few*/ WHERE s.disabled_at IS NULL"},
    [PUT] = {"staff put",
             "INSERT INTO staff(id, name, name_key, passphrase_hash, must_change, created_at)"
             " VALUES (:id, :name, :key, :hash, :must, :now)"},
    [SET_HASH] = {"staff passphrase",
                  "UPDATE staff SET passphrase_hash = :hash, must_change = :must WHERE id = :id"},
    [DISABLE] = {"staff disable",
                 "UPDATE staff SET disabled_at = coalesce(disabled_at, :now) WHERE id = :id"},
    [ENABLE] = {"staff enable", "UPDATE staff SET disabled_at = NULL WHERE id = :id"},
    [RIGHT_DROP] = {"staff right drop",
                    "DELETE FROM staff_right WHERE staff_id = :id AND right = :right"},
    [RIGHT_PUT] = {"staff right put",
                   "INSERT INTO staff_right(staff_id, right) VALUES (:id, :right)"
                   " ON CONFLICT DO NOTHING"},
    [CLASSES] = {"staff classes",
                 "SELECT c.id, c.name, c.kind, cr.right, cr.until_day, " READING_TEACH("cr")
                 " AND " READING_SURE("s") " FROM class_right cr JOIN staff s ON s.id = cr.staff_id"
                 " JOIN class c ON c.id = cr.class_id WHERE cr.staff_id = :id"
                 " AND (:ever = 1 OR cr.until_day IS NULL OR cr.until_day >= :today)"
                 " AND c.archived_at IS NULL ORDER BY c.name_key, c.id"},
    [CLASS_PUT] = {"staff class put",
                   "INSERT INTO class_right(class_id, staff_id, right, until_day)"
                   " VALUES (:class, :id, :right, :until) ON CONFLICT(class_id, staff_id)"
                   " DO UPDATE SET right = excluded.right, until_day = excluded.until_day,"
                   " " READING_KEPT},
    [CLASSES_KEEP] = {"staff classes keep",
                      "DELETE FROM class_right WHERE staff_id = :id"
                      " AND class_id NOT IN (SELECT value FROM json_each(:classes))"},
};
const struct stmt_set staff_stmts = {"staff", defs, sizeof defs / sizeof *defs};

static const struct {
    unsigned bit;
    const char *word;
} right_words[] = {
    {ALLOW_TEACH, "teach"},     {ALLOW_HELP, "help"},
    {ALLOW_READ, "read"},       {ALLOW_PE_LEAD, "pe_lead"},
    {ALLOW_SAFEGUARDING, "safeguarding"}, {ALLOW_OFFICE, "office"},
};
enum { RIGHT_WORDS = sizeof right_words / sizeof *right_words, FIRST_SCHOOL_WIDE = 3 };

const char *right_word(unsigned bit)
{
    for (int i = 0; i < RIGHT_WORDS; i++) {
        if (right_words[i].bit == bit) {
            return right_words[i].word;
        }
    }
    return NULL;
}

unsigned right_bit(const char *word)
{
    for (int i = 0; word && i < RIGHT_WORDS; i++) {
        if (strcmp(right_words[i].word, word) == 0) {
            return right_words[i].bit;
        }
    }
    return 0;
}

static void read_row(struct query *q, void *ctx, bool with_hash, struct staff_row *out)
{
    int64_t held = col_int(q, 6);

    *out = (struct staff_row){
        .id = {col_int(q, 0)},
        .name = col_text(q, 1, ctx),
        .hash = with_hash ? col_text(q, 2, ctx) : NULL,
        .must_change = col_int(q, 3) != 0,
        .disabled = col_int(q, 4) != 0,
        .created_at = col_int(q, 5),
        .rights = (held & 1 ? ALLOW_PE_LEAD : 0U) | (held & 2 ? ALLOW_SAFEGUARDING : 0U) |
                  (held & 4 ? ALLOW_OFFICE : 0U),
        .sure = col_int(q, 7) != 0,
        .reads_all = col_int(q, 8) != 0,
    };
}

static enum err read_one(struct query *q, void *ctx, struct staff_row *out)
{
    bool found = query_row(q);

    if (found) {
        read_row(q, ctx, true, out);
    }
    enum err e = query_end(q);
    return e ? e : found ? OK : ERR_NOT_FOUND;
}

enum err staff_by_name(struct store *st, void *ctx, const char *name_key, struct staff_row *out)
{
    struct query q;

    query_begin(&q, st, &staff_stmts, BY_NAME);
    query_text(&q, ":key", name_key);
    return read_one(&q, ctx, out);
}

enum err staff_get(struct store *st, void *ctx, struct staff_id id, struct staff_row *out)
{
    struct query q;

    query_begin(&q, st, &staff_stmts, GET);
    query_int(&q, ":id", id.v);
    return read_one(&q, ctx, out);
}

enum err staff_list(struct store *st, void *ctx, struct staff_row **out, size_t *n)
{
    struct query q;
    size_t cap = 0;

    *out = NULL;
    *n = 0;
    query_begin(&q, st, &staff_stmts, LIST);
    while (query_row(&q)) {
        mem_grow(ctx, *out, *n, &cap);
        read_row(&q, ctx, false, &(*out)[(*n)++]);
    }
    return query_end(&q);
}

enum err staff_counts(struct store *st, int64_t *live, int64_t *office)
{
    struct query q;

    *live = *office = 0;
    query_begin(&q, st, &staff_stmts, COUNTS);
    if (query_row(&q)) {
        *live = col_int(&q, 0);
        *office = col_int(&q, 1);
    }
    return query_end(&q);
}

enum err staff_put(struct store *st, const struct staff_new *s)
{
    struct query q;

    query_begin(&q, st, &staff_stmts, PUT);
    query_int(&q, ":id", s->id.v);
    query_text(&q, ":name", s->name);
    query_text(&q, ":key", s->name_key);
    query_text(&q, ":hash", s->hash);
    query_int(&q, ":must", s->must_change);
    query_int(&q, ":now", s->now);
    return query_run(&q);
}

enum err staff_set_hash(struct store *st, struct staff_id id, const char *hash, bool must_change)
{
    struct query q;

    query_begin(&q, st, &staff_stmts, SET_HASH);
    query_int(&q, ":id", id.v);
    query_text(&q, ":hash", hash);
    query_int(&q, ":must", must_change);
    return query_run_one(&q);
}

enum err staff_set_disabled(struct store *st, struct staff_id id, bool disabled, int64_t now)
{
    struct query q;

    query_begin(&q, st, &staff_stmts, disabled ? DISABLE : ENABLE);
    query_int(&q, ":id", id.v);
    if (disabled) {
        query_int(&q, ":now", now);
    }
    return query_run_one(&q);
}

enum err staff_set_rights(struct store *st, struct staff_id id, unsigned rights)
{
    enum err e = OK;

    for (int i = FIRST_SCHOOL_WIDE; !e && i < RIGHT_WORDS; i++) {
        struct query q;
        query_begin(&q, st, &staff_stmts, rights & right_words[i].bit ? RIGHT_PUT : RIGHT_DROP);
        query_int(&q, ":id", id.v);
        query_text(&q, ":right", right_words[i].word);
        e = query_run(&q);
    }
    return e;
}

static unsigned class_right_of_row(struct query *q, void *ctx)
{
    const char *word = col_text(q, 3, ctx);
    return right_bit(word);
}

enum err staff_classes(struct store *st, void *ctx, const struct staff_classes_want *want,
                       struct staff_class_row **out, size_t *n)
{
    struct query q;
    size_t cap = 0;

    *out = NULL;
    *n = 0;
    query_begin(&q, st, &staff_stmts, CLASSES);
    query_int(&q, ":id", want->id.v);
    query_int(&q, ":today", want->today);
    query_int(&q, ":ever", want->ever);
    while (query_row(&q)) {
        mem_grow(ctx, *out, *n, &cap);
        (*out)[(*n)++] = (struct staff_class_row){
            .class_id = {col_int(&q, 0)},
            .class_name = col_text(&q, 1, ctx),
            .kind = col_text(&q, 2, ctx),
            .right = class_right_of_row(&q, ctx),
            .has_until = !col_null(&q, 4),
            .until_day = (int32_t)col_int(&q, 4),
            .reads = col_int(&q, 5) != 0,
        };
    }
    return query_end(&q);
}

enum err staff_class_put(struct store *st, struct staff_id id, const struct staff_class_row *right)
{
    struct query q;

    query_begin(&q, st, &staff_stmts, CLASS_PUT);
    query_int(&q, ":class", right->class_id.v);
    query_int(&q, ":id", id.v);
    query_text(&q, ":right", right_word(right->right));
    query_int_or_null(&q, ":until", right->has_until, right->until_day);
    return query_run(&q);
}

enum err staff_classes_keep(struct store *st, struct staff_id id,
                            const struct staff_class_row *rows, size_t n)
{
    void *mem = mem_root();
    char *ids = mem_str(mem, "[");
    struct query q;

    for (size_t i = 0; i < n; i++) {
        ids = mem_printf(mem, "%s%s%" PRId64, ids, i ? "," : "", rows[i].class_id.v);
    }
    query_begin(&q, st, &staff_stmts, CLASSES_KEEP);
    query_int(&q, ":id", id.v);
    query_text(&q, ":classes", mem_printf(mem, "%s]", ids));
    enum err e = query_run(&q);
    talloc_free(mem);
    return e;
}
