/* SPDX-License-Identifier: MIT
 * A pupil's private messages to staff.
 *
 * Owns: tables message and message_acknowledgement. Every statement that gives a message out
 * carries the condition of who may have it: staff with `teach` on the child's home class today or
 * with safeguarding, where two persons agreed to the right and to the account. A right opens what
 * was sent since then, for children who were in the class when they sent it; what was sent before,
 * and what a child brings along from another class, was promised to others and stays closed until a
 * second person opens it. Nothing else in the program counts or lists these rows, so
 * nobody else can see even that there is one. A message is never changed and never shown again to
 * the child. Words are fixed; there is no text.
 *
 * Overdue: one school day without an acknowledgement. Raised within school hours it is due at the
 * same time on the next school day; raised before school, at the end of that day; raised when
 * school is closed, at the end of the next school day. Where no term is known, weekdays stand in,
 * so that a school without term dates sees it sooner rather than never. */
#include "store/messages.h"

#include "base/clock.h"
#include "base/mem.h"
#include "base/rand.h"
#include "reading_internal.h"
#include "store/query.h"

enum {
    OPENS_HOUR = 8, CLOSES_HOUR = 16,   /* common practice, no source */
    SHOWN_DAYS = 30,                    /* after the acknowledgement */
    A_DAY = 20,                         /* messages of one child; beyond it somebody plays */
};

#define HOME_CLASS(column) \
    "(SELECT " column " FROM membership mm JOIN class c ON c.id = mm.class_id" \
    " WHERE mm.pupil_id = p.id AND mm.from_day <= :today" \
    " AND (mm.to_day IS NULL OR mm.to_day >= :today)" \
    " AND (p.left_day IS NULL OR p.left_day > :today)" \
    " AND c.archived_at IS NULL ORDER BY c.kind, c.name_key LIMIT 1)"
/* Older ones are opened for children who were in the class before the day on which that was done:
 * nobody is moved there afterwards to be read. Days are compared as UTC has them. */
#define OPENED_WITH_CHILD(r) \
    "m.raised_at < " r ".opened_at AND EXISTS (SELECT 1 FROM membership om" \
    " WHERE om.pupil_id = m.pupil_id AND om.class_id = " r ".class_id AND om.from_day <= :today" \
    " AND (om.to_day IS NULL OR om.to_day >= :today)" \
    " AND (om.from_day + 1) * 86400 <= " r ".opened_at)"
#define MAY_HAVE \
    "(EXISTS (SELECT 1 FROM staff s WHERE s.id = :staff AND " READING_SURE("s") ")" \
    " AND (EXISTS (SELECT 1 FROM staff_right g WHERE g.staff_id = :staff" \
    " AND " READING_GUARD("g") " AND (m.raised_at >= g.agreed_at OR m.raised_at < g.opened_at))" \
    " OR EXISTS (SELECT 1 FROM class_right r WHERE r.staff_id = :staff" \
    " AND r.class_id = " HOME_CLASS("c.id") " AND " READING_TEACH("r") \
    " AND ((m.class_id = r.class_id AND m.raised_at >= r.agreed_at)" \
    " OR (" OPENED_WITH_CHILD("r") ")))))"
#define MESSAGE_FROM \
    " FROM message m JOIN pupil p ON p.id = m.pupil_id" \
    " LEFT JOIN message_acknowledgement a ON a.message_id = m.id" \
    " LEFT JOIN staff s ON s.id = a.by_staff"
#define MESSAGE_COLUMNS \
    "m.id, p.id, p.display_name, m.about, m.body_part, m.still, m.raised_at, s.name, a.at," \
    " a.outcome, " HOME_CLASS("c.id") ", " HOME_CLASS("c.name")

enum { HOURS_ON, MESSAGE_ADD, MESSAGES_OF_DAY, MESSAGE_LIST, MESSAGE_GET, WAITING, ACK_ADD,
       READS_ANY, LIMITS, MESSAGES_STMTS };

static const struct stmt_def defs[] = {
    [HOURS_ON] = {"messages on",
        "SELECT count(*) FROM message_reader r JOIN staff s ON s.id = r.staff_id"
        " WHERE r.class_id = (SELECT " HOME_CLASS("c.id") " FROM pupil p WHERE p.id = :pupil)"
        " AND " READING_CLASS("r.class_id")},
    [MESSAGE_ADD] = {"message add",
        "INSERT INTO message (id, pupil_id, class_id, about, body_part, still, raised_at)"
        " SELECT :message, p.id, " HOME_CLASS("c.id") ", :about, :part, :still, :now"
        " FROM pupil p WHERE p.id = :pupil"},
    [MESSAGES_OF_DAY] = {"messages of a day",
        "SELECT count(*) FROM message WHERE pupil_id = :pupil AND raised_at > :since"},
    [MESSAGE_LIST] = {"message list",
        "SELECT " MESSAGE_COLUMNS MESSAGE_FROM " WHERE " MAY_HAVE
        " AND (a.message_id IS NULL OR a.at >= :since)"
        " ORDER BY a.message_id IS NOT NULL, CASE WHEN a.message_id IS NULL THEN m.raised_at"
        " ELSE -m.raised_at END, m.id /*scan: few rows, kept shortest*/"},
    [MESSAGE_GET] = {"message get",
        "SELECT " MESSAGE_COLUMNS MESSAGE_FROM " WHERE m.id = :message AND " MAY_HAVE},
    [WAITING] = {"messages waiting",
        "SELECT count(*)" MESSAGE_FROM " WHERE a.message_id IS NULL AND " MAY_HAVE
        " /*scan: few rows, kept shortest*/"},
    [ACK_ADD] = {"message acknowledge",
        "INSERT INTO message_acknowledgement (message_id, by_staff, at, outcome)"
        " VALUES (:message, :staff, :now, :outcome)"},
    [READS_ANY] = {"reads messages",
        "SELECT 1 FROM staff s WHERE s.id = :staff AND " READING_SURE("s") " AND (EXISTS (SELECT 1"
        " FROM staff_right g WHERE g.staff_id = :staff AND " READING_GUARD("g") ") OR EXISTS"
        " (SELECT 1 FROM class_right t JOIN class c ON c.id = t.class_id WHERE t.staff_id = :staff"
        " AND " READING_TEACH("t") " AND c.archived_at IS NULL))"},
    [LIMITS] = {"closed messages",
        "SELECT NULL, NULL, " READING_SURE("s") ", g.agreed_at, g.opened_at, ''"
        " FROM staff_right g JOIN staff s ON s.id = g.staff_id"
        " WHERE g.staff_id = :staff AND g.right = 'safeguarding'"
        " UNION ALL SELECT c.id, c.name, " READING_SURE("s") " AND " READING_TEACH("t") ","
        " t.agreed_at, t.opened_at, c.name_key FROM class_right t JOIN class c ON c.id = t.class_id"
        " JOIN staff s ON s.id = t.staff_id WHERE t.staff_id = :staff AND t.right = 'teach'"
        " AND (t.until_day IS NULL OR t.until_day >= :today) AND c.archived_at IS NULL"
        " AND NOT EXISTS (SELECT 1 FROM staff_right a WHERE a.staff_id = :staff"
        " AND " READING_GUARD("a") ") ORDER BY 6"},
};
const struct stmt_set messages_stmts = {"messages", defs, MESSAGES_STMTS};

/* School hours --------------------------------------------------------------------------------- */

bool calendar_open_now(const struct calendar *c, int64_t now)
{
    int32_t day = clock_day(now);
    return calendar_school_day(c, day) && now >= clock_day_at(day, OPENS_HOUR, 0) &&
           now < clock_day_at(day, CLOSES_HOUR, 0);
}

/* First day that opens after this moment: today, when it is a school day and still early. */
static bool opens_again(const struct calendar *c, int64_t now, int32_t *out)
{
    int32_t day = clock_day(now);
    if (calendar_school_day(c, day) && now < clock_day_at(day, OPENS_HOUR, 0)) {
        *out = day;
        return true;
    }
    return calendar_next_school_day(c, day, out);
}

static int32_t next_weekday(int32_t day)
{
    do {
        day++;
    } while (clock_weekday(day) > 5);
    return day;
}

int64_t message_due_at(const struct calendar *c, int64_t raised_at)
{
    int32_t day = clock_day(raised_at), next;
    if (!calendar_next_school_day(c, day, &next)) {
        next = next_weekday(day);
    }
    if (calendar_open_now(c, raised_at)) {
        int64_t minute = (raised_at - clock_day_start(day)) / 60;
        return clock_day_at(next, (int)(minute / 60), (int)(minute % 60));
    }
    if (calendar_school_day(c, day) && raised_at < clock_day_at(day, OPENS_HOUR, 0)) {
        return clock_day_at(day, CLOSES_HOUR, 0);
    }
    return clock_day_at(next, CLOSES_HOUR, 0);
}

/* A child's side ------------------------------------------------------------------------------- */

static enum err messages_on(struct store *st, struct pupil_id pupil, int32_t today, bool *out)
{
    struct query q;
    *out = false;
    query_begin(&q, st, &messages_stmts, HOURS_ON);
    query_int(&q, ":pupil", pupil.v);
    query_int(&q, ":today", today);
    if (query_row(&q)) {
        *out = col_int(&q, 0) >= 2;
    }
    return query_end(&q);
}

enum err messages_for_pupil(struct store *st, struct pupil_id pupil, int64_t now,
                            struct message_hours *out)
{
    *out = (struct message_hours){0};
    enum err e = messages_on(st, pupil, clock_day(now), &out->on);
    if (e != OK) {
        return e;
    }
    void *mem = mem_root();
    struct calendar c;
    e = school_calendar(st, mem, &c);
    if (e == OK) {
        out->known = c.term_count > 0;
        out->school_open = calendar_open_now(&c, now);
        out->has_opens_again = !out->school_open && opens_again(&c, now, &out->opens_again_day);
    }
    talloc_free(mem);
    return e;
}

enum err message_raise(struct store *st, const struct message_new *m, struct message_id *out)
{
    bool on = false;
    enum err e = messages_on(st, m->pupil, clock_day(m->now), &on);
    if (e != OK || !on) {
        return e != OK ? e : ERR_CLOSED;
    }
    struct query q;
    int64_t today = 0;
    query_begin(&q, st, &messages_stmts, MESSAGES_OF_DAY);
    query_int(&q, ":pupil", m->pupil.v);
    query_int(&q, ":since", m->now - 86400);
    if (query_row(&q)) {
        today = col_int(&q, 0);
    }
    e = query_end(&q);
    if (e != OK || today >= A_DAY) {
        return e != OK ? e : ERR_TOO_MANY;
    }
    out->v = rand_id();
    query_begin(&q, st, &messages_stmts, MESSAGE_ADD);
    query_int(&q, ":message", out->v);
    query_int(&q, ":pupil", m->pupil.v);
    query_int(&q, ":today", clock_day(m->now));
    query_text(&q, ":about", m->about);
    query_text(&q, ":part", m->body_part);
    query_int_or_null(&q, ":still", m->still >= 0, m->still);
    query_int(&q, ":now", m->now);
    return query_run_one(&q);
}

/* The staff's side ----------------------------------------------------------------------------- */

static void bind_reader(struct query *q, const struct message_reader *who)
{
    query_int(q, ":staff", who->staff.v);
    query_int(q, ":today", clock_day(who->now));
}

static void message_read(struct query *q, void *ctx, struct message_row *out)
{
    *out = (struct message_row){
        .id = {col_int(q, 0)},
        .pupil = {col_int(q, 1)},
        .pupil_name = col_text(q, 2, ctx),
        .about = col_text(q, 3, ctx),
        .body_part = col_text(q, 4, ctx),
        .still = col_null(q, 5) ? -1 : (int)col_int(q, 5),
        .raised_at = col_int(q, 6),
        .acknowledged = !col_null(q, 8),
        .ack_by = col_text(q, 7, ctx),
        .ack_at = col_int(q, 8),
        .ack_outcome = col_text(q, 9, ctx),
        .class_id = {col_int(q, 10)},
        .class_name = col_text(q, 11, ctx),
    };
}

static enum err mark_overdue(struct store *st, struct message_row *rows, size_t n, int64_t now)
{
    void *mem = mem_root();
    struct calendar c;
    enum err e = school_calendar(st, mem, &c);
    for (size_t i = 0; e == OK && i < n; i++) {
        rows[i].overdue = !rows[i].acknowledged && now >= message_due_at(&c, rows[i].raised_at);
    }
    talloc_free(mem);
    return e;
}

enum err messages_list(struct store *st, void *ctx, const struct message_reader *who,
                       struct message_row **out, size_t *n)
{
    struct query q;
    size_t cap = 0;
    *out = NULL;
    *n = 0;
    query_begin(&q, st, &messages_stmts, MESSAGE_LIST);
    bind_reader(&q, who);
    query_int(&q, ":since", who->now - SHOWN_DAYS * 86400);
    while (query_row(&q)) {
        mem_grow(ctx, *out, *n, &cap);
        message_read(&q, ctx, &(*out)[(*n)++]);
    }
    enum err e = query_end(&q);
    return e == OK ? mark_overdue(st, *out, *n, who->now) : e;
}

enum err message_get(struct store *st, void *ctx, struct message_id id,
                     const struct message_reader *who, struct message_row *out)
{
    struct query q;
    bool found = false;
    query_begin(&q, st, &messages_stmts, MESSAGE_GET);
    query_int(&q, ":message", id.v);
    bind_reader(&q, who);
    if (query_row(&q)) {
        found = true;
        message_read(&q, ctx, out);
    }
    enum err e = query_end(&q);
    if (e != OK || !found) {
        return e != OK ? e : ERR_NOT_FOUND;
    }
    return mark_overdue(st, out, 1, who->now);
}

enum err messages_waiting(struct store *st, const struct message_reader *who, int64_t *out)
{
    struct query q;
    *out = 0;
    query_begin(&q, st, &messages_stmts, WAITING);
    bind_reader(&q, who);
    if (query_row(&q)) {
        *out = col_int(&q, 0);
    }
    return query_end(&q);
}

enum err messages_reads_any(struct store *st, const struct message_reader *who, bool *out)
{
    struct query q;
    query_begin(&q, st, &messages_stmts, READS_ANY);
    bind_reader(&q, who);
    *out = query_row(&q);
    return query_end(&q);
}

enum err messages_limits(struct store *st, void *ctx, const struct message_reader *who,
                         struct message_limit **out, size_t *n)
{
    struct query q;
    size_t cap = 0;
    *out = NULL;
    *n = 0;
    query_begin(&q, st, &messages_stmts, LIMITS);
    bind_reader(&q, who);
    while (query_row(&q)) {
        bool reads = col_int(&q, 2) != 0;
        if (reads && !col_null(&q, 4)) {
            continue;
        }
        mem_grow(ctx, *out, *n, &cap);
        (*out)[(*n)++] = (struct message_limit){
            .class_id = {col_int(&q, 0)},
            .class_name = col_text(&q, 1, ctx),
            .reads = reads,
            .since = col_int(&q, 3),
        };
    }
    return query_end(&q);
}

enum err message_may_see(struct store *st, struct message_id id, const struct message_reader *who,
                         bool *out)
{
    void *mem = mem_root();
    struct message_row row;
    enum err e = message_get(st, mem, id, who, &row);
    *out = e == OK;
    talloc_free(mem);
    return e == ERR_NOT_FOUND ? OK : e;
}

enum err message_acknowledge(struct store *st, struct message_id id, struct staff_id by,
                             const char *outcome, int64_t now)
{
    struct query q;
    query_begin(&q, st, &messages_stmts, ACK_ADD);
    query_int(&q, ":message", id.v);
    query_int(&q, ":staff", by.v);
    query_text(&q, ":outcome", outcome);
    query_int(&q, ":now", now);
    return query_run(&q);
}
