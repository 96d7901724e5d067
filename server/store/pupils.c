/* SPDX-License-Identifier: MIT
 * Pupils and who was in which class when.
 *
 * Owns: tables pupil and membership. Invariants: a membership row is a span of days, both ends
 * inside, and is never stretched back; a pupil is in one class at a time (moving closes one span
 * the day before it opens the next); a display name is used once in a class, ignoring case. A
 * leaver's row stays until the purge plan takes it, but no list of today holds it, its cards are
 * cancelled and their sessions are gone in the same transaction. Lists are sorted by name. */
#include "store/pupils.h"

#include <string.h>

#include "base/mem.h"
#include "base/rand.h"
#include "base/text.h"
#include "store/cards.h"
#include "store/query.h"
#include "store/sessions.h"

#define MEMBER_ON "m.from_day <= :day AND (m.to_day IS NULL OR m.to_day >= :day)"
#define HERE_ON MEMBER_ON " AND (p.left_day IS NULL OR p.left_day > :day)"
#define PUPIL_COLUMNS \
    "p.id, p.display_name, p.year_group, p.picture, p.family_view, p.left_day"
#define LIVE_CARDS(holder_word) \
    "(SELECT count(*) FROM card k WHERE k.pupil_id = p.id AND k.holder = '" holder_word "'" \
    " AND k.cancelled_at IS NULL AND (k.expires_at IS NULL OR k.expires_at > :now))"

enum {
    PUPIL_GET, PUPIL_ADD, PUPIL_NAME, PUPIL_YEAR, PUPIL_VIEW, PUPIL_LEFT, PUPIL_LIST, LEAVER_LIST,
    IN_CLASS, HOME_CLASS, MEMBER_LIST, NAME_TAKEN, PICTURES, MEMBER_ADD, GROUP_OPEN,
    CLOSE_DAY_BEFORE, DROP_FROM_TODAY, LAST_CLASS, REOPEN, CLOSE_LEAVER, PUPILS_STMTS
};

static const struct stmt_def defs[] = {
    [PUPIL_GET] = {"pupil get", "SELECT " PUPIL_COLUMNS " FROM pupil p WHERE p.id = :pupil"},
    [PUPIL_ADD] = {"pupil add",
        "INSERT INTO pupil (id, display_name, name_key, year_group, picture, created_at)"
        " VALUES (:pupil, :name, :key, :year, :picture, :now)"},
    [PUPIL_NAME] = {"pupil name put",
        "UPDATE pupil SET display_name = :name, name_key = :key WHERE id = :pupil"},
    [PUPIL_YEAR] = {"pupil year put", "UPDATE pupil SET year_group = :year WHERE id = :pupil"},
    [PUPIL_VIEW] = {"pupil family view put",
        "UPDATE pupil SET family_view = :view, family_phrase_hash = :hash WHERE id = :pupil"},
    [PUPIL_LEFT] = {"pupil left put", "UPDATE pupil SET left_day = :left WHERE id = :pupil"},
    [PUPIL_LIST] = {"pupils of class",
        "SELECT " PUPIL_COLUMNS ", " LIVE_CARDS("pupil") ", " LIVE_CARDS("family")
        " FROM membership m JOIN pupil p ON p.id = m.pupil_id"
        " WHERE m.class_id = :class AND " HERE_ON " ORDER BY p.name_key COLLATE by_name, p.id"},
    [LEAVER_LIST] = {"leavers of class",
        "SELECT DISTINCT " PUPIL_COLUMNS ", 0, 0 FROM membership m"
        " JOIN pupil p ON p.id = m.pupil_id WHERE m.class_id = :class"
        " AND p.left_day <= :day AND m.to_day >= p.left_day - 1"
        " ORDER BY p.name_key COLLATE by_name, p.id"},
    [IN_CLASS] = {"pupil in class",
        "SELECT EXISTS (SELECT 1 FROM membership m JOIN pupil p ON p.id = m.pupil_id"
        " WHERE m.pupil_id = :pupil AND m.class_id = :class AND " HERE_ON ")"},
    /* 'class' sorts before 'group' */
    [HOME_CLASS] = {"pupil home class",
        "SELECT c.id, c.name FROM membership m JOIN pupil p ON p.id = m.pupil_id"
        " JOIN class c ON c.id = m.class_id WHERE m.pupil_id = :pupil AND " HERE_ON
        " AND c.archived_at IS NULL ORDER BY c.kind, c.name_key LIMIT 1"},
    [MEMBER_LIST] = {"pupil memberships",
        "SELECT c.id, c.name, c.kind = 'group', m.from_day, m.to_day FROM membership m"
        " JOIN class c ON c.id = m.class_id WHERE m.pupil_id = :pupil"
        " ORDER BY m.from_day, c.kind, c.name_key"},
    [NAME_TAKEN] = {"pupil name taken",
        "SELECT EXISTS (SELECT 1 FROM membership m JOIN pupil p ON p.id = m.pupil_id"
        " WHERE m.class_id = :class AND " HERE_ON " AND p.name_key = :key AND p.id <> :but)"},
    [PICTURES] = {"pictures of class",
        "SELECT p.picture, count(*) FROM membership m JOIN pupil p ON p.id = m.pupil_id"
        " WHERE m.class_id = :class AND " HERE_ON " GROUP BY p.picture"},
    [MEMBER_ADD] = {"membership add",
        "INSERT INTO membership (pupil_id, class_id, from_day) VALUES (:pupil, :class, :day)"},
    [GROUP_OPEN] = {"membership open",
        "SELECT EXISTS (SELECT 1 FROM membership m WHERE m.pupil_id = :pupil"
        " AND m.class_id = :class AND (m.to_day IS NULL OR m.to_day >= :day))"},
    /* A span that would end before it began never was: DROP_FROM_TODAY runs first. */
    [CLOSE_DAY_BEFORE] = {"membership close",
        "UPDATE membership SET to_day = :day - 1 WHERE pupil_id = :pupil"
        " AND (to_day IS NULL OR to_day >= :day) AND class_id IN"
        " (SELECT c.id FROM class c WHERE c.id = membership.class_id AND c.kind = 'class')"},
    [DROP_FROM_TODAY] = {"membership drop",
        "DELETE FROM membership WHERE pupil_id = :pupil AND from_day >= :day"
        " AND class_id IN (SELECT c.id FROM class c WHERE c.id = membership.class_id"
        " AND c.kind = 'class')"},
    [LAST_CLASS] = {"last class of leaver",
        "SELECT m.class_id, m.from_day, m.to_day FROM membership m"
        " JOIN class c ON c.id = m.class_id WHERE m.pupil_id = :pupil"
        " AND c.kind = 'class' AND c.archived_at IS NULL"
        " ORDER BY m.to_day DESC, m.from_day DESC LIMIT 1"},
    [CLOSE_LEAVER] = {"membership close leaver",
        "UPDATE membership SET to_day = max(from_day, :day - 1) WHERE pupil_id = :pupil"
        " AND (to_day IS NULL OR to_day >= :day)"},
    [REOPEN] = {"membership reopen",
        "UPDATE membership SET to_day = NULL WHERE pupil_id = :pupil AND class_id = :class"
        " AND from_day = :from"},
};
const struct stmt_set pupils_stmts = {"pupils", defs, PUPILS_STMTS};

static const char *const view_words[] = {
    [FAMILY_OPEN] = "open", [FAMILY_TWO_PART] = "two_part", [FAMILY_OFF] = "off",
};

const char *family_view_word(enum family_view v)
{
    return view_words[v];
}

bool family_view_parse(const char *word, enum family_view *out)
{
    for (int v = FAMILY_OPEN; word && v <= FAMILY_OFF; v++) {
        if (strcmp(word, view_words[v]) == 0) {
            *out = (enum family_view)v;
            return true;
        }
    }
    return false;
}

static const char *key_of(void *mem, const char *name)
{
    char *key = text_fold(mem, name);
    return key ? key : "";
}

static void pupil_read(struct query *q, void *ctx, struct pupil_row *out)
{
    *out = (struct pupil_row){
        .id = {col_int(q, 0)},
        .display_name = col_text(q, 1, ctx),
        .year_group = col_null(q, 2) ? PUPIL_NO_YEAR : (int)col_int(q, 2),
        .picture = (int)col_int(q, 3),
        .family_view = FAMILY_OFF,      /* an unknown word closes */
        .left = !col_null(q, 5),
        .left_day = (int32_t)col_int(q, 5),
    };
    char *view = col_text(q, 4, ctx);
    if (!family_view_parse(view, &out->family_view)) {
        out->family_view = FAMILY_OFF;
    }
}

enum err pupil_get(struct store *st, void *ctx, struct pupil_id id, struct pupil_row *out)
{
    struct query q;
    bool found = false;
    query_begin(&q, st, &pupils_stmts, PUPIL_GET);
    query_int(&q, ":pupil", id.v);
    if (query_row(&q)) {
        found = true;
        pupil_read(&q, ctx, out);
    }
    enum err e = query_end(&q);
    return e == OK && !found ? ERR_NOT_FOUND : e;
}

/* Adding --------------------------------------------------------------------------------------- */

static enum err membership_add(struct store *st, struct pupil_id id, struct class_id in,
                               int32_t day)
{
    struct query q;
    query_begin(&q, st, &pupils_stmts, MEMBER_ADD);
    query_int(&q, ":pupil", id.v);
    query_int(&q, ":class", in.v);
    query_int(&q, ":day", day);
    return query_run(&q);
}

enum err pupil_add(struct store *st, const struct pupil_new *p, int picture, struct pupil_id *out)
{
    void *mem = mem_root();
    struct query q;
    out->v = rand_id();
    query_begin(&q, st, &pupils_stmts, PUPIL_ADD);
    query_int(&q, ":pupil", out->v);
    query_text(&q, ":name", p->display_name);
    query_text(&q, ":key", key_of(mem, p->display_name));
    query_int_or_null(&q, ":year", p->year_group != PUPIL_NO_YEAR, p->year_group);
    query_int(&q, ":picture", picture);
    query_int(&q, ":now", p->now);
    enum err e = query_run(&q);
    talloc_free(mem);
    return e == OK ? membership_add(st, *out, p->in, p->from_day) : e;
}

enum err pupil_make(struct store *st, const struct pupil_new *p, struct pupil_id *out)
{
    bool taken = false;
    const struct name_place place = {.in = p->in, .day = p->from_day};
    enum err e = pupil_name_taken(st, p->display_name, &place, &taken);
    if (e != OK || taken) {
        return e != OK ? e : ERR_CONFLICT;
    }
    struct pupil_pictures pictures;
    e = pupil_pictures(st, p->in, p->from_day, &pictures);
    return e == OK ? pupil_add(st, p, pupil_picture_next(&pictures), out) : e;
}

enum err pupil_pictures(struct store *st, struct class_id in, int32_t day,
                        struct pupil_pictures *out)
{
    struct query q;
    *out = (struct pupil_pictures){{0}};
    query_begin(&q, st, &pupils_stmts, PICTURES);
    query_int(&q, ":class", in.v);
    query_int(&q, ":day", day);
    while (query_row(&q)) {
        int64_t picture = col_int(&q, 0);
        if (picture >= 0 && picture < PUPIL_PICTURES) {
            out->used[picture] = (int)col_int(&q, 1);
        }
    }
    return query_end(&q);
}

int pupil_picture_next(struct pupil_pictures *p)
{
    int least = p->used[0], ties = 0, chosen = 0;
    for (int i = 1; i < PUPIL_PICTURES; i++) {
        least = p->used[i] < least ? p->used[i] : least;
    }
    for (int i = 0; i < PUPIL_PICTURES; i++) {
        ties += p->used[i] == least;
    }
    int pick = (int)rand_below((uint32_t)ties);
    for (int i = 0; i < PUPIL_PICTURES; i++) {
        if (p->used[i] == least && pick-- == 0) {
            chosen = i;
        }
    }
    p->used[chosen]++;
    return chosen;
}

/* Changing ------------------------------------------------------------------------------------- */

enum err pupil_rename(struct store *st, struct pupil_id id, const char *display_name)
{
    void *mem = mem_root();
    struct query q;
    query_begin(&q, st, &pupils_stmts, PUPIL_NAME);
    query_int(&q, ":pupil", id.v);
    query_text(&q, ":name", display_name);
    query_text(&q, ":key", key_of(mem, display_name));
    enum err e = query_run_one(&q);
    talloc_free(mem);
    return e;
}

enum err pupil_year_put(struct store *st, struct pupil_id id, int year_group)
{
    struct query q;
    query_begin(&q, st, &pupils_stmts, PUPIL_YEAR);
    query_int(&q, ":pupil", id.v);
    query_int_or_null(&q, ":year", year_group != PUPIL_NO_YEAR, year_group);
    return query_run_one(&q);
}

enum err pupil_family_view_put(struct store *st, struct pupil_id id, enum family_view v,
                               const char *phrase_hash)
{
    struct query q;
    query_begin(&q, st, &pupils_stmts, PUPIL_VIEW);
    query_int(&q, ":pupil", id.v);
    query_text(&q, ":view", family_view_word(v));
    query_text(&q, ":hash", v == FAMILY_TWO_PART ? phrase_hash : NULL);
    enum err e = query_run_one(&q);
    return e == OK && v != FAMILY_OPEN ? sessions_end_family(st, id) : e;
}

/* Lists and questions -------------------------------------------------------------------------- */

enum err pupils_of_class(struct store *st, void *ctx, const struct pupils_query *want,
                         struct pupil_row **out, size_t *n)
{
    struct query q;
    size_t cap = 0;
    *out = NULL;
    *n = 0;
    query_begin(&q, st, &pupils_stmts, want->leavers ? LEAVER_LIST : PUPIL_LIST);
    query_int(&q, ":class", want->in.v);
    query_int(&q, ":day", want->day);
    if (!want->leavers) {
        query_int(&q, ":now", want->now);
    }
    while (query_row(&q)) {
        mem_grow(ctx, *out, *n, &cap);
        struct pupil_row *row = &(*out)[(*n)++];
        pupil_read(&q, ctx, row);
        row->pupil_cards = col_int(&q, 6);
        row->family_cards = col_int(&q, 7);
    }
    return query_end(&q);
}

static enum err ask(struct query *q, bool *out)
{
    *out = query_row(q) && col_int(q, 0) != 0;
    return query_end(q);
}

enum err pupil_in_class(struct store *st, struct pupil_id id, struct class_id in, int32_t day,
                        bool *out)
{
    struct query q;
    query_begin(&q, st, &pupils_stmts, IN_CLASS);
    query_int(&q, ":pupil", id.v);
    query_int(&q, ":class", in.v);
    query_int(&q, ":day", day);
    return ask(&q, out);
}

enum err pupil_home_class(struct store *st, void *ctx, struct pupil_id id, int32_t day,
                          struct home_class *out)
{
    struct query q;
    *out = (struct home_class){.name = NULL};
    query_begin(&q, st, &pupils_stmts, HOME_CLASS);
    query_int(&q, ":pupil", id.v);
    query_int(&q, ":day", day);
    if (query_row(&q)) {
        *out = (struct home_class){.id = {col_int(&q, 0)}, .name = col_text(&q, 1, ctx)};
    }
    return query_end(&q);
}

enum err pupil_memberships(struct store *st, void *ctx, struct pupil_id id,
                           struct membership **out, size_t *n)
{
    struct query q;
    size_t cap = 0;
    *out = NULL;
    *n = 0;
    query_begin(&q, st, &pupils_stmts, MEMBER_LIST);
    query_int(&q, ":pupil", id.v);
    while (query_row(&q)) {
        mem_grow(ctx, *out, *n, &cap);
        (*out)[(*n)++] = (struct membership){
            .id = {col_int(&q, 0)},
            .name = col_text(&q, 1, ctx),
            .group = col_int(&q, 2) != 0,
            .from_day = (int32_t)col_int(&q, 3),
            .to_day = (int32_t)col_int(&q, 4),
            .has_to = !col_null(&q, 4),
        };
    }
    return query_end(&q);
}

enum err pupil_name_taken(struct store *st, const char *display_name,
                          const struct name_place *place, bool *out)
{
    void *mem = mem_root();
    struct query q;
    query_begin(&q, st, &pupils_stmts, NAME_TAKEN);
    query_int(&q, ":class", place->in.v);
    query_int(&q, ":day", place->day);
    query_text(&q, ":key", key_of(mem, display_name));
    query_int(&q, ":but", place->but.v);
    enum err e = ask(&q, out);
    talloc_free(mem);
    return e;
}

/* Coming and going ----------------------------------------------------------------------------- */

static enum err is_open(struct store *st, struct pupil_id id, struct class_id in, int32_t day,
                        bool *out)
{
    struct query q;
    query_begin(&q, st, &pupils_stmts, GROUP_OPEN);
    query_int(&q, ":pupil", id.v);
    query_int(&q, ":class", in.v);
    query_int(&q, ":day", day);
    return ask(&q, out);
}

enum err pupil_join(struct store *st, struct pupil_id id, struct class_id group, int32_t day)
{
    bool open = false;
    enum err e = is_open(st, id, group, day, &open);
    if (e != OK || open) {
        return e != OK ? e : ERR_CONFLICT;
    }
    return membership_add(st, id, group, day);
}

/* Ends the pupil's span in a class the day before `day`. */
static enum err close_class(struct store *st, struct pupil_id id, int32_t day)
{
    static const size_t steps[] = {DROP_FROM_TODAY, CLOSE_DAY_BEFORE};
    enum err e = OK;
    for (size_t i = 0; e == OK && i < 2; i++) {
        struct query q;
        query_begin(&q, st, &pupils_stmts, steps[i]);
        query_int(&q, ":pupil", id.v);
        query_int(&q, ":day", day);
        e = query_run(&q);
    }
    return e;
}

enum err pupil_move(struct store *st, struct pupil_id id, struct class_id to, int32_t day)
{
    bool open = false;
    enum err e = is_open(st, id, to, day, &open);
    if (e != OK || open) {
        return e != OK ? e : ERR_CONFLICT;
    }
    e = close_class(st, id, day);
    return e == OK ? membership_add(st, id, to, day) : e;
}

static enum err close_leaver(struct store *st, struct pupil_id id, int32_t day)
{
    struct query q;
    query_begin(&q, st, &pupils_stmts, CLOSE_LEAVER);
    query_int(&q, ":pupil", id.v);
    query_int(&q, ":day", day);
    return query_run(&q);
}

static enum err left_put(struct store *st, struct pupil_id id, bool left, int32_t day)
{
    struct query q;
    query_begin(&q, st, &pupils_stmts, PUPIL_LEFT);
    query_int(&q, ":pupil", id.v);
    query_int_or_null(&q, ":left", left, day);
    return query_run_one(&q);
}

/* Whether the pupil has left; ERR_NOT_FOUND when there is none. */
static enum err has_left(struct store *st, struct pupil_id id, bool *left)
{
    void *mem = mem_root();
    struct pupil_row row = {.left = false};
    enum err e = pupil_get(st, mem, id, &row);
    *left = row.left;
    talloc_free(mem);
    return e;
}

enum err pupil_leave(struct store *st, struct pupil_id id, int32_t day, int64_t now)
{
    bool left = false;
    enum err e = has_left(st, id, &left);
    if (e != OK || left) {
        return e != OK ? e : ERR_CONFLICT;
    }
    e = left_put(st, id, true, day);
    if (e == OK) {
        e = cards_cancel_pupil(st, id, now);
    }
    if (e == OK) {
        e = sessions_end_pupil(st, id);
    }
    /* A span that began today keeps this one day, so that it is known which class to return to. */
    return e == OK ? close_leaver(st, id, day) : e;
}

enum err pupil_return(struct store *st, struct pupil_id id, int32_t day)
{
    bool left = false;
    enum err e = has_left(st, id, &left);
    if (e != OK || !left) {
        return e != OK ? e : ERR_CONFLICT;
    }
    struct query q;
    struct class_id last = {0};
    int32_t from = 0, to = 0;
    query_begin(&q, st, &pupils_stmts, LAST_CLASS);
    query_int(&q, ":pupil", id.v);
    if (query_row(&q)) {
        last.v = col_int(&q, 0);
        from = (int32_t)col_int(&q, 1);
        to = (int32_t)col_int(&q, 2);
    }
    e = query_end(&q);
    if (e == OK) {
        e = left_put(st, id, false, 0);
    }
    if (e != OK || last.v == 0) {
        return e;
    }
    if (to < day - 1) {
        return membership_add(st, id, last, day);
    }
    query_begin(&q, st, &pupils_stmts, REOPEN);
    query_int(&q, ":pupil", id.v);
    query_int(&q, ":class", last.v);
    query_int(&q, ":from", from);
    return query_run_one(&q);
}
