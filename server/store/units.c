/* SPDX-License-Identifier: MIT
 * Units of work and their lessons.
 *
 * Owns: tables unit, lesson, lesson_activity.
 * Invariants: a unit's lessons are replaced whole; a unit is archived, never deleted, because
 * challenges and assessments refer to it. Terms have the same names every year, so the unit that
 * is made for a term is told from last year's by when it was made. */
#include "store/units.h"

#include <string.h>

#include "base/clock.h"
#include "base/mem.h"
#include "store/query.h"
#include "store/school.h"

enum {
    UNIT_GET, UNIT_LIST, UNIT_LESSONS_OF, UNIT_ACTIVITIES_OF, UNIT_MAKE, UNIT_CHANGE,
    UNIT_CLEAR_LESSONS, UNIT_ADD_LESSON, UNIT_ADD_ACTIVITY, UNIT_NAMED, UNIT_STMTS
};

#define UNIT_COLUMNS "id, name, statistic, policy, pooling, archived_at IS NOT NULL"

/* Days before a term within which its unit may have been made. */
enum { AHEAD_DAYS = 90 };

static const struct stmt_def defs[] = {
    [UNIT_GET] = {"unit get", "SELECT " UNIT_COLUMNS " FROM unit WHERE id = :unit"},
    [UNIT_LIST] = {"unit list",
        "SELECT " UNIT_COLUMNS " FROM unit WHERE archived_at IS NULL"
        " ORDER BY created_at DESC, id /*scan: every unit is listed*/"},
    [UNIT_LESSONS_OF] = {"lessons of a unit",
        "SELECT id, name FROM lesson WHERE unit_id = :unit ORDER BY position"},
    [UNIT_ACTIVITIES_OF] = {"activities of a lesson",
        "SELECT activity_id FROM lesson_activity WHERE lesson_id = :lesson ORDER BY position"},
    [UNIT_MAKE] = {"unit make",
        "INSERT INTO unit (id, name, statistic, policy, pooling, created_at)"
        " VALUES (:unit, :name, :statistic, :policy, :pooling, :now)"},
    [UNIT_CHANGE] = {"unit change",
        "UPDATE unit SET name = :name, statistic = :statistic, policy = :policy,"
        " pooling = :pooling, archived_at = CASE :archived WHEN 1 THEN coalesce(archived_at, :now)"
        " END WHERE id = :unit"},
    [UNIT_CLEAR_LESSONS] = {"unit clear lessons", "DELETE FROM lesson WHERE unit_id = :unit"},
    [UNIT_ADD_LESSON] = {"lesson make",
        "INSERT INTO lesson (id, unit_id, position, name)"
        " VALUES (:lesson, :unit, :position, :name)"},
    [UNIT_ADD_ACTIVITY] = {"lesson activity make",
        "INSERT INTO lesson_activity (lesson_id, position, activity_id)"
        " VALUES (:lesson, :position, :activity)"},
    [UNIT_NAMED] = {"unit named",
        "SELECT id FROM unit WHERE archived_at IS NULL AND name = :name AND created_at >= :since"
        " ORDER BY created_at DESC, id LIMIT 1 /*scan: a school has a few dozen units*/"},
};
const struct stmt_set units_stmts = {"units", defs, UNIT_STMTS};

static void unit_read(struct query *q, void *ctx, struct unit *out)
{
    int statistic = unit_statistic_of(col_text(q, 2, ctx));
    int policy = unit_policy_of(col_text(q, 3, ctx));
    int pooling = unit_pooling_of(col_text(q, 4, ctx));
    *out = (struct unit){
        .id = {col_int(q, 0)},
        .name = col_text(q, 1, ctx),
        .statistic = statistic < 0 ? UNIT_MIDDLE : (enum unit_statistic)statistic,
        .policy = policy < 0 ? UNIT_MAJORITY : (enum unit_policy)policy,
        .pooling = pooling < 0 ? UNIT_POOL_ALL : (enum unit_pooling)pooling,
        .archived = col_int(q, 5) != 0,
    };
}

static enum err read_activities(void *ctx, struct store *st, struct unit_lesson *l)
{
    struct query q;
    l->activities = mem_array(ctx, struct activity_id, LESSON_ACTIVITIES);
    query_begin(&q, st, &units_stmts, UNIT_ACTIVITIES_OF);
    query_int(&q, ":lesson", l->id.v);
    while (l->activity_count < LESSON_ACTIVITIES && query_row(&q)) {
        l->activities[l->activity_count++].v = col_int(&q, 0);
    }
    return query_end(&q);
}

static enum err read_lessons(void *ctx, struct store *st, struct unit *u)
{
    struct query q;
    u->lessons = mem_array(ctx, struct unit_lesson, UNIT_LESSONS);
    query_begin(&q, st, &units_stmts, UNIT_LESSONS_OF);
    query_int(&q, ":unit", u->id.v);
    while (u->lesson_count < UNIT_LESSONS && query_row(&q)) {
        struct unit_lesson *l = &u->lessons[u->lesson_count++];
        l->id.v = col_int(&q, 0);
        l->name = col_text(&q, 1, ctx);
    }
    enum err e = query_end(&q);
    for (size_t i = 0; e == OK && i < u->lesson_count; i++) {
        e = read_activities(ctx, st, &u->lessons[i]);
    }
    return e;
}

enum err unit_get(void *ctx, struct store *st, struct unit_id id, struct unit *out)
{
    struct query q;
    query_begin(&q, st, &units_stmts, UNIT_GET);
    query_int(&q, ":unit", id.v);
    bool found = query_row(&q);
    if (found) {
        unit_read(&q, ctx, out);
    }
    enum err e = query_end(&q);
    if (e == OK && !found) {
        return ERR_NOT_FOUND;
    }
    return e == OK ? read_lessons(ctx, st, out) : e;
}

enum err units_list(void *ctx, struct store *st, struct unit **out, size_t *count)
{
    struct query q;
    struct unit *rows = NULL;
    size_t n = 0, cap = 0;
    query_begin(&q, st, &units_stmts, UNIT_LIST);
    while (query_row(&q)) {
        mem_grow(ctx, rows, n, &cap);
        unit_read(&q, ctx, &rows[n++]);
    }
    enum err e = query_end(&q);
    for (size_t i = 0; e == OK && i < n; i++) {
        e = read_lessons(ctx, st, &rows[i]);
    }
    *out = rows;
    *count = n;
    return e;
}

static enum err add_activities(struct store *st, int64_t lesson, const struct unit_lesson *l)
{
    struct query q;
    enum err e = OK;
    for (size_t i = 0; e == OK && i < l->activity_count; i++) {
        query_begin(&q, st, &units_stmts, UNIT_ADD_ACTIVITY);
        query_int(&q, ":lesson", lesson);
        query_int(&q, ":position", (int64_t)i + 1);
        query_int(&q, ":activity", l->activities[i].v);
        e = query_run(&q);
    }
    return e;
}

static enum err add_lessons(struct store *st, struct unit_id id, const struct unit *draft)
{
    struct query q;
    enum err e = OK;
    for (size_t i = 0; e == OK && i < draft->lesson_count; i++) {
        int64_t lesson = store_id_new();
        query_begin(&q, st, &units_stmts, UNIT_ADD_LESSON);
        query_int(&q, ":lesson", lesson);
        query_int(&q, ":unit", id.v);
        query_int(&q, ":position", (int64_t)i + 1);
        query_text(&q, ":name", draft->lessons[i].name);
        e = query_run(&q);
        if (e == OK) {
            e = add_activities(st, lesson, &draft->lessons[i]);
        }
    }
    /* The only reference a lesson makes is to activities. */
    return e == ERR_CONFLICT ? ERR_NOT_FOUND : e;
}

static void bind_unit(struct query *q, struct unit_id id, const struct unit *u, int64_t now)
{
    query_int(q, ":unit", id.v);
    query_text(q, ":name", u->name);
    query_text(q, ":statistic", unit_statistic_word(u->statistic));
    query_text(q, ":policy", unit_policy_word(u->policy));
    query_text(q, ":pooling", unit_pooling_word(u->pooling));
    query_int(q, ":now", now);
}

enum err unit_create(struct store *st, const struct unit *draft, int64_t now, struct unit_id *out)
{
    struct query q;
    out->v = store_id_new();
    query_begin(&q, st, &units_stmts, UNIT_MAKE);
    bind_unit(&q, *out, draft, now);
    enum err e = query_run(&q);
    return e == OK ? add_lessons(st, *out, draft) : e;
}

enum err unit_update(struct store *st, struct unit_id id, const struct unit *draft, int64_t now)
{
    struct query q;
    query_begin(&q, st, &units_stmts, UNIT_CHANGE);
    bind_unit(&q, id, draft, now);
    query_int(&q, ":archived", draft->archived);
    enum err e = query_run_one(&q);
    if (e != OK) {
        return e;
    }
    query_begin(&q, st, &units_stmts, UNIT_CLEAR_LESSONS);
    query_int(&q, ":unit", id.v);
    e = query_run(&q);
    return e == OK ? add_lessons(st, id, draft) : e;
}

/* What the unit of `day` is called, and since when it may have been made. */
static void name_of_day(const struct calendar *c, int32_t day, const char **name, int32_t *since)
{
    *name = "This term";
    *since = day - AHEAD_DAYS;
    for (size_t i = 0; i < c->term_count; i++) {
        if (c->terms[i].starts_day <= day && day <= c->terms[i].ends_day) {
            *name = c->terms[i].name;
            *since = c->terms[i].starts_day - AHEAD_DAYS;
        }
    }
}

enum err unit_default(struct store *st, int32_t day, int64_t now, struct unit_id *out)
{
    void *mem = mem_root();
    struct calendar c;
    const char *name = NULL;
    int32_t since = 0;
    struct query q;
    out->v = 0;
    enum err e = school_calendar(st, mem, &c);
    if (e == OK) {
        name_of_day(&c, day, &name, &since);
        query_begin(&q, st, &units_stmts, UNIT_NAMED);
        query_text(&q, ":name", name);
        query_int(&q, ":since", clock_day_start(since));
        if (query_row(&q)) {
            out->v = col_int(&q, 0);
        }
        e = query_end(&q);
    }
    if (e == OK && !out->v) {
        struct unit draft = {.name = name, .statistic = UNIT_MIDDLE, .policy = UNIT_MAJORITY,
                             .pooling = UNIT_POOL_ALL};
        e = unit_create(st, &draft, now, out);
    }
    talloc_free(mem);
    return e;
}
