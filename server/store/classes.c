/* SPDX-License-Identifier: MIT
 * Classes, rights on them, the named readers of messages, and the counts of the first page.
 *
 * Owns: tables class, class_right, message_reader. A right with an end date holds on that day and
 * not after; no job has to run for it to end, because every statement compares dates. A named
 * reader counts only while that person may read: not disabled, and teaching the class or holding
 * safeguarding today, as two persons agreed. So a reader who leaves switches messages off rather
 * than leaving a child's message with nobody. */
#include "store/classes.h"

#include <string.h>

#include "base/clock.h"
#include "base/mem.h"
#include "base/rand.h"
#include "base/text.h"
#include "challenges_internal.h"
#include "classes_internal.h"
#include "hand_ins_internal.h"
#include "reading_internal.h"
#include "store/query.h"
#include "store/waiting.h"

#define PUPILS_TODAY \
    "(SELECT count(*) FROM membership m JOIN pupil p ON p.id = m.pupil_id" \
    " WHERE m.class_id = c.id AND " IN_CLASS_TODAY ")"
#define MESSAGES_ON \
    "(SELECT count(*) FROM message_reader r JOIN staff s ON s.id = r.staff_id" \
    " WHERE r.class_id = c.id AND " READING_CLASS("c.id") ") >= 2"
#define CLASS_COLUMNS \
    "c.id, c.name, c.kind = 'group', c.archived_at IS NOT NULL, " MESSAGES_ON ", " PUPILS_TODAY
#define OPEN_NOW "ch.cancelled_at IS NULL AND ch.opens_at <= :now AND ch.closes_at > :now"

enum {
    CLASS_FIND, CLASS_GET, CLASS_MAKE, CLASS_RENAME, CLASS_ARCHIVE, CLASS_OWN, CLASS_ALL,
    RIGHT_GET, RIGHT_PUT, RIGHT_DROP, RIGHT_LIST, RIGHT_ANY, READER_LIST, READER_CLEAR, READER_ADD,
    DIGEST_OPEN, DIGEST_DONE, STEPS, CLASSES_STMTS
};

static const struct stmt_def defs[] = {
    [CLASS_FIND] = {"class find",
        "SELECT id FROM class WHERE name_key = :key AND archived_at IS NULL"},
    [CLASS_GET] = {"class get", "SELECT " CLASS_COLUMNS ", NULL FROM class c WHERE c.id = :class"},
    [CLASS_MAKE] = {"class make",
        "INSERT INTO class (id, name, name_key, kind, created_at)"
        " VALUES (:class, :name, :key, :kind, :now)"},
    [CLASS_RENAME] = {"class rename",
        "UPDATE class SET name = :name, name_key = :key WHERE id = :class"},
    [CLASS_ARCHIVE] = {"class archive", "UPDATE class SET archived_at = :at WHERE id = :class"},
    [CLASS_OWN] = {"classes own",
        "SELECT " CLASS_COLUMNS ", cr.right FROM class_right cr JOIN class c ON c.id = cr.class_id"
        " WHERE cr.staff_id = :staff AND " RIGHT_HOLDS("cr") " AND c.archived_at IS NULL"
        " ORDER BY c.name_key, c.id"},
    [CLASS_ALL] = {"classes all",
        "SELECT " CLASS_COLUMNS ", cr.right FROM class c LEFT JOIN class_right cr"
        " ON cr.class_id = c.id AND cr.staff_id = :staff AND " RIGHT_HOLDS("cr")
        " WHERE c.archived_at IS NULL ORDER BY c.name_key, c.id"
        " /*scan: every class of the school is listed*/"},
    [RIGHT_GET] = {"class right get",
        "SELECT cr.right FROM class_right cr WHERE cr.class_id = :class AND cr.staff_id = :staff"
        " AND " RIGHT_HOLDS("cr")},
    [RIGHT_PUT] = {"class right put",
        "INSERT INTO class_right (class_id, staff_id, right, until_day)"
        " VALUES (:class, :staff, :right, :until) ON CONFLICT (class_id, staff_id)"
        " DO UPDATE SET right = excluded.right, until_day = excluded.until_day, " READING_KEPT},
    [RIGHT_DROP] = {"class right drop",
        "DELETE FROM class_right WHERE class_id = :class AND staff_id = :staff"},
    [RIGHT_LIST] = {"class staff list",
        "SELECT s.id, s.name, cr.right, cr.until_day FROM class_right cr"
        " JOIN staff s ON s.id = cr.staff_id WHERE cr.class_id = :class AND " RIGHT_HOLDS("cr")
        " AND s.disabled_at IS NULL ORDER BY s.name_key"},
    [RIGHT_ANY] = {"teaches any class",
        "SELECT EXISTS (SELECT 1 FROM class_right cr JOIN class c ON c.id = cr.class_id"
        " WHERE cr.staff_id = :staff AND cr.right = 'teach' AND " RIGHT_HOLDS("cr")
        " AND c.archived_at IS NULL)"},
    [READER_LIST] = {"reader list",
        "SELECT s.id, s.name FROM message_reader r JOIN staff s ON s.id = r.staff_id"
        " WHERE r.class_id = :class AND " READING_CLASS(":class") " ORDER BY s.name_key"},
    [READER_CLEAR] = {"reader clear", "DELETE FROM message_reader WHERE class_id = :class"},
    [READER_ADD] = {"reader add",
        "INSERT INTO message_reader (class_id, staff_id) SELECT :class, s.id FROM staff s"
        " WHERE s.id = :staff AND " READING_CLASS(":class")},
    [DIGEST_OPEN] = {"digest open",
        "SELECT count(*) FROM " CLASS_CHALLENGE " ch WHERE ch.class_id = :class AND " OPEN_NOW},
    [DIGEST_DONE] = {"digest handed in",
        "SELECT count(*), coalesce(sum(EXISTS (SELECT 1 FROM hand_in h"
        "  WHERE h.challenge_id = ch.challenge_id AND h.pupil_id = p.id AND h.could_not IS NULL"
        "  AND coalesce(" HAND_IN_LAST_MARK ", 'keep') IN ('keep', 'mistake'))), 0)"
        " FROM " CLASS_CHALLENGE " ch"
        " JOIN membership m ON m.class_id = ch.class_id JOIN pupil p ON p.id = m.pupil_id"
        " WHERE ch.class_id = :class AND " OPEN_NOW " AND " IN_CLASS_TODAY},
    [STEPS] = {"school steps",
        "SELECT EXISTS (SELECT 1 FROM pupil), EXISTS (SELECT 1 FROM card),"
        " EXISTS (SELECT 1 FROM challenge), EXISTS (SELECT 1 FROM hand_in)"
        " /*scan: each stops at its first row*/"},
};
const struct stmt_set classes_stmts = {"classes", defs, CLASSES_STMTS};

static const char *const right_words[] = {
    [CLASS_READ] = "read", [CLASS_HELP] = "help", [CLASS_TEACH] = "teach",
};

const char *class_right_word(enum class_right r)
{
    return r >= CLASS_READ && r <= CLASS_TEACH ? right_words[r] : NULL;
}

bool class_right_parse(const char *word, enum class_right *out)
{
    for (int r = CLASS_READ; word && r <= CLASS_TEACH; r++) {
        if (strcmp(word, right_words[r]) == 0) {
            *out = (enum class_right)r;
            return true;
        }
    }
    return false;
}

/* The row of a right, or CLASS_NONE for NULL. */
static enum class_right col_right(struct query *q, int i)
{
    void *mem = mem_root();
    enum class_right r = CLASS_NONE;
    if (!class_right_parse(col_text(q, i, mem), &r)) {
        r = CLASS_NONE;
    }
    talloc_free(mem);
    return r;
}

static void class_read(struct query *q, void *ctx, struct class_row *out)
{
    *out = (struct class_row){
        .id = {col_int(q, 0)},
        .name = col_text(q, 1, ctx),
        .group = col_int(q, 2) != 0,
        .archived = col_int(q, 3) != 0,
        .messages_on = col_int(q, 4) != 0,
        .pupils = col_int(q, 5),
        .right = col_right(q, 6),
    };
}

/* The key of a name; an unreadable one gives "", which no class has. */
static const char *key_of(void *mem, const char *name)
{
    char *clean = text_clean(mem, name);
    char *key = clean ? text_fold(mem, clean) : NULL;
    return key ? key : "";
}

enum err class_find(struct store *st, const char *name, struct class_id *out)
{
    void *mem = mem_root();
    struct query q;
    out->v = 0;
    query_begin(&q, st, &classes_stmts, CLASS_FIND);
    query_text(&q, ":key", key_of(mem, name));
    if (query_row(&q)) {
        out->v = col_int(&q, 0);
    }
    enum err e = query_end(&q);
    talloc_free(mem);
    return e == OK && out->v == 0 ? ERR_NOT_FOUND : e;
}

enum err class_get(struct store *st, void *ctx, struct class_id id, int32_t today,
                   struct class_row *out)
{
    struct query q;
    bool found = false;
    query_begin(&q, st, &classes_stmts, CLASS_GET);
    query_int(&q, ":class", id.v);
    query_int(&q, ":today", today);
    if (query_row(&q)) {
        found = true;
        class_read(&q, ctx, out);
    }
    enum err e = query_end(&q);
    return e == OK && !found ? ERR_NOT_FOUND : e;
}

enum err class_make(struct store *st, const char *name, bool group, int64_t now,
                    struct class_id *out)
{
    void *mem = mem_root();
    struct query q;
    out->v = rand_id();
    query_begin(&q, st, &classes_stmts, CLASS_MAKE);
    query_int(&q, ":class", out->v);
    query_text(&q, ":name", name);
    query_text(&q, ":key", key_of(mem, name));
    query_text(&q, ":kind", group ? "group" : "class");
    query_int(&q, ":now", now);
    enum err e = query_run(&q);
    talloc_free(mem);
    return e;
}

enum err class_rename(struct store *st, struct class_id id, const char *name)
{
    void *mem = mem_root();
    struct query q;
    query_begin(&q, st, &classes_stmts, CLASS_RENAME);
    query_int(&q, ":class", id.v);
    query_text(&q, ":name", name);
    query_text(&q, ":key", key_of(mem, name));
    enum err e = query_run_one(&q);
    talloc_free(mem);
    return e;
}

enum err class_archive(struct store *st, struct class_id id, int64_t at)
{
    struct query q;
    query_begin(&q, st, &classes_stmts, CLASS_ARCHIVE);
    query_int(&q, ":class", id.v);
    query_int_or_null(&q, ":at", at != 0, at);
    return query_run_one(&q);
}

enum err classes_list(struct store *st, void *ctx, const struct class_query *want,
                      struct class_row **out, size_t *n)
{
    struct query q;
    size_t cap = 0;
    *out = NULL;
    *n = 0;
    query_begin(&q, st, &classes_stmts, want->all ? CLASS_ALL : CLASS_OWN);
    query_int(&q, ":staff", want->staff.v);
    query_int(&q, ":today", want->today);
    while (query_row(&q)) {
        mem_grow(ctx, *out, *n, &cap);
        class_read(&q, ctx, &(*out)[(*n)++]);
    }
    return query_end(&q);
}

/* Rights --------------------------------------------------------------------------------------- */

enum err class_right_of(struct store *st, struct class_id id, struct staff_id staff, int32_t day,
                        enum class_right *out)
{
    struct query q;
    *out = CLASS_NONE;
    query_begin(&q, st, &classes_stmts, RIGHT_GET);
    query_int(&q, ":class", id.v);
    query_int(&q, ":staff", staff.v);
    query_int(&q, ":today", day);
    if (query_row(&q)) {
        *out = col_right(&q, 0);
    }
    return query_end(&q);
}

enum err class_right_put(struct store *st, struct class_id id, struct staff_id staff,
                         enum class_right right, const int32_t *until)
{
    struct query q;
    query_begin(&q, st, &classes_stmts, right == CLASS_NONE ? RIGHT_DROP : RIGHT_PUT);
    query_int(&q, ":class", id.v);
    query_int(&q, ":staff", staff.v);
    if (right != CLASS_NONE) {
        query_text(&q, ":right", class_right_word(right));
        query_int_or_null(&q, ":until", until != NULL, until ? *until : 0);
    }
    return query_run(&q);
}

/* `with_right` false: the right columns are not there (readers). */
static enum err staff_rows(struct query *q, void *ctx, bool with_right, struct class_staff **out,
                           size_t *n)
{
    size_t cap = 0;
    *out = NULL;
    *n = 0;
    while (query_row(q)) {
        mem_grow(ctx, *out, *n, &cap);
        struct class_staff *row = &(*out)[(*n)++];
        *row = (struct class_staff){.id = {col_int(q, 0)}, .name = col_text(q, 1, ctx)};
        if (with_right) {
            row->right = col_right(q, 2);
            row->has_until = !col_null(q, 3);
            row->until_day = (int32_t)col_int(q, 3);
        }
    }
    return query_end(q);
}

enum err class_staff_list(struct store *st, void *ctx, struct class_id id, int32_t today,
                          struct class_staff **out, size_t *n)
{
    struct query q;
    query_begin(&q, st, &classes_stmts, RIGHT_LIST);
    query_int(&q, ":class", id.v);
    query_int(&q, ":today", today);
    return staff_rows(&q, ctx, true, out, n);
}

enum err class_teaches_any(struct store *st, struct staff_id staff, int32_t day, bool *out)
{
    struct query q;
    *out = false;
    query_begin(&q, st, &classes_stmts, RIGHT_ANY);
    query_int(&q, ":staff", staff.v);
    query_int(&q, ":today", day);
    if (query_row(&q)) {
        *out = col_int(&q, 0) != 0;
    }
    return query_end(&q);
}

/* Readers of messages -------------------------------------------------------------------------- */

enum err class_readers(struct store *st, void *ctx, struct class_id id, int32_t today,
                       struct class_staff **out, size_t *n)
{
    struct query q;
    query_begin(&q, st, &classes_stmts, READER_LIST);
    query_int(&q, ":class", id.v);
    query_int(&q, ":today", today);
    return staff_rows(&q, ctx, false, out, n);
}

enum err class_readers_put(struct store *st, struct class_id id, int32_t today,
                           const struct reader_set *set, size_t *bad)
{
    struct query q;
    query_begin(&q, st, &classes_stmts, READER_CLEAR);
    query_int(&q, ":class", id.v);
    enum err e = query_run(&q);
    for (size_t i = 0; e == OK && i < set->n; i++) {
        *bad = i;
        query_begin(&q, st, &classes_stmts, READER_ADD);
        query_int(&q, ":class", id.v);
        query_int(&q, ":staff", set->ids[i].v);
        query_int(&q, ":today", today);
        e = query_run_one(&q);
    }
    return e == ERR_NOT_FOUND ? ERR_CONFLICT : e;
}

/* First page ----------------------------------------------------------------------------------- */

enum err class_digest(struct store *st, struct class_id id, int64_t now, struct class_digest *out)
{
    struct query q;
    *out = (struct class_digest){0};
    query_begin(&q, st, &classes_stmts, DIGEST_OPEN);
    query_int(&q, ":class", id.v);
    query_int(&q, ":now", now);
    if (query_row(&q)) {
        out->open = col_int(&q, 0);
    }
    enum err e = query_end(&q);
    if (e != OK) {
        return e;
    }
    query_begin(&q, st, &classes_stmts, DIGEST_DONE);
    query_int(&q, ":class", id.v);
    query_int(&q, ":now", now);
    query_int(&q, ":today", clock_day(now));
    if (query_row(&q)) {
        out->expected = col_int(&q, 0);
        out->handed_in = col_int(&q, 1);
    }
    e = query_end(&q);
    return e != OK ? e : waiting_in_class(st, id, clock_day(now), &out->to_check);
}

enum err school_steps(struct store *st, struct school_steps *out)
{
    struct query q;
    *out = (struct school_steps){0};
    query_begin(&q, st, &classes_stmts, STEPS);
    if (query_row(&q)) {
        *out = (struct school_steps){
            .class_list = col_int(&q, 0) != 0,
            .cards = col_int(&q, 1) != 0,
            .activity_set = col_int(&q, 2) != 0,
            .tried = col_int(&q, 3) != 0,
        };
    }
    return query_end(&q);
}
