/* SPDX-License-Identifier: MIT
 * Two persons agree: asking, accepting, declining, and the command line's way.
 *
 * Owns: table pending_change; the columns of staff, staff_right and class_right that say whether a
 * second person has agreed; school.two_persons_at. Invariants: a right is agreed to only by
 * change_apply(); who asks and who accepts are two accounts, and both were agreed to themselves, so
 * that nobody makes a second person of their own. A row is never deleted: who agreed to what stays.
 * Threats: an office account that gives itself a right, resets a holder and signs in as one,
 * empties the list of holders to become the first again, or makes an accomplice to accept. */
#include "store/changes.h"

#include <string.h>

#include "base/clock.h"
#include "base/mem.h"
#include "base/rand.h"
#include "reading_internal.h"
#include "store/query.h"

enum {
    AT_ONCE, UNSURE, NEEDED, FITS, SAME, WITHDRAW_SAME, ASK, TIDY, APPLY_GUARD, APPLY_OFFICE,
    APPLY_TEACH, APPLY_ACCOUNT, OLDER_GUARD, OLDER_TEACH, TWO_PERSONS, SETTLE_RIGHTS,
    SETTLE_CLASSES, DECIDE, MACHINE_SAME, MACHINE_NEW, UNAGREED
};

#define LAPSES "604800"     /* CHANGE_LAPSES_DAYS in seconds */
#define OPEN(c) c ".outcome IS NULL AND " c ".asked_at > :now - " LAPSES
/* A right to teach of which not all was agreed to; one who reads all classes needs none. */
#define TEACH_UNAGREED(r) \
    r ".right = 'teach' AND (" r ".agreed_at IS NULL OR (" r ".agreed_until_day IS NOT NULL" \
    " AND (" r ".until_day IS NULL OR " r ".until_day > " r ".agreed_until_day)))" \
    " AND NOT EXISTS (SELECT 1 FROM staff_right a WHERE a.staff_id = " r ".staff_id" \
    " AND " READING_GUARD("a") ")"
/* Is there still something to agree to? For a row of pending_change or of parameters. */
#define STILL_NEEDED(kind, of, in, until) \
    "CASE " kind \
    " WHEN 'safeguarding' THEN NOT EXISTS (SELECT 1 FROM staff_right g WHERE g.staff_id = " of \
    "  AND " READING_GUARD("g") ")" \
    " WHEN 'office' THEN EXISTS (SELECT 1 FROM staff_right g WHERE g.staff_id = " of \
    "  AND g.right = 'office' AND g.agreed_at IS NULL)" \
    " WHEN 'teach' THEN EXISTS (SELECT 1 FROM class_right r WHERE r.staff_id = " of \
    "  AND r.class_id = " in " AND r.until_day IS " until " AND " TEACH_UNAGREED("r") ")" \
    " WHEN 'older' THEN EXISTS (SELECT 1 FROM class_right r WHERE r.staff_id = " of \
    "  AND r.class_id = " in " AND r.right = 'teach' AND r.agreed_at IS NOT NULL)" \
    "  OR (" in " IS NULL AND EXISTS (SELECT 1 FROM staff_right g WHERE g.staff_id = " of \
    "  AND " READING_GUARD("g") "))" \
    " ELSE EXISTS (SELECT 1 FROM staff s WHERE s.id = " of " AND s.unagreed_at IS NOT NULL) END"
/* The day a right to teach is asked until. */
#define UNTIL_ASKED \
    "(SELECT r.until_day FROM class_right r WHERE r.staff_id = :of AND r.class_id = :in" \
    " AND :kind = 'teach')"
#define SAME_THING \
    "staff_id = :of AND class_id IS :in AND (kind = :kind OR (kind IN ('reset', 'enabled')" \
    " AND :kind IN ('reset', 'enabled')))"
#define OPEN_NOW "outcome IS NULL AND asked_at > :now - " LAPSES

static const struct stmt_def defs[] = {
    [AT_ONCE] = {"change at once",
        "SELECT (SELECT two_persons_at FROM school WHERE id = 1) IS NULL AND (:by = 0 OR EXISTS"
        " (SELECT 1 FROM staff s JOIN staff_right g ON g.staff_id = s.id WHERE s.id = :by"
        " AND " READING_SURE("s") " AND " READING_GUARD("g") "))"
        " AND (:kind IN ('safeguarding', 'office') OR (SELECT count(*) FROM staff o"
        " WHERE o.id NOT IN (:by, :of)) <= (:by = 0 AND :kind = 'teach'))"
        " /*scan: a school has few staff*/"},
    [UNSURE] = {"account let in by one",
        "UPDATE staff SET unagreed_at = :now WHERE id = :of AND (EXISTS (SELECT 1"
        " FROM staff_right r WHERE r.staff_id = :of AND r.right IN ('office', 'safeguarding'))"
        " OR EXISTS (SELECT 1 FROM class_right c WHERE c.staff_id = :of AND c.right = 'teach')"
        " OR EXISTS (SELECT 1 FROM pending_change p WHERE p.staff_id = :of AND " OPEN("p") "))"},
    [NEEDED] = {"change needed", "SELECT " STILL_NEEDED(":kind", ":of", ":in", UNTIL_ASKED)},
    [FITS] = {"change fits",
        "SELECT " STILL_NEEDED("c.kind", "c.staff_id", "c.class_id", "c.until_day")
        " FROM pending_change c WHERE c.id = :id"},
    [SAME] = {"change asked already",
        "SELECT 1 FROM pending_change c JOIN staff b ON b.id = c.asked_by WHERE c.id IN"
        " (SELECT id FROM pending_change WHERE " SAME_THING " AND until_day IS " UNTIL_ASKED
        " AND " OPEN_NOW ") AND :kind NOT IN ('reset', 'enabled')"
        " AND " READING_MAY_ACCEPT("b")},
    [WITHDRAW_SAME] = {"change asked anew",
        "UPDATE pending_change SET outcome = 'withdrawn', decided_by = :by, decided_at = :now"
        " WHERE " SAME_THING " AND " OPEN_NOW},
    [ASK] = {"change ask",
        "INSERT INTO pending_change (id, kind, staff_id, class_id, until_day, asked_by, asked_at)"
        " VALUES (:id, :kind, :of, :in, " UNTIL_ASKED ", :by, :now)"},
    [TIDY] = {"changes tidy",
        "UPDATE pending_change SET outcome = 'withdrawn', decided_by = :by, decided_at = :now"
        " WHERE staff_id = :of AND " OPEN_NOW " AND NOT ("
        STILL_NEEDED("kind", "pending_change.staff_id", "pending_change.class_id",
                     "pending_change.until_day") ")"},
    [APPLY_GUARD] = {"change apply safeguarding",
        "INSERT INTO staff_right (staff_id, right, agreed_at, opened_at)"
        " VALUES (:of, 'safeguarding', :now, :opened) ON CONFLICT (staff_id, right)"
        " DO UPDATE SET agreed_at = :now, opened_at = :opened WHERE agreed_at IS NULL"},
    [APPLY_OFFICE] = {"change apply office",
        "UPDATE staff_right SET agreed_at = :now WHERE staff_id = :of AND right = 'office'"
        " AND agreed_at IS NULL"},
    [APPLY_TEACH] = {"change apply teach",
        "UPDATE class_right AS t SET"
        " opened_at = coalesce(:opened, CASE WHEN " READING_TEACH("t") " THEN opened_at END),"
        " agreed_at = CASE WHEN " READING_TEACH("t") " THEN agreed_at ELSE :now END,"
        " agreed_until_day = until_day"
        " WHERE staff_id = :of AND class_id = :in AND right = 'teach'"},
    [APPLY_ACCOUNT] = {"change apply account",
        "UPDATE staff SET unagreed_at = NULL WHERE id = :of AND unagreed_at IS NOT NULL"},
    [OLDER_GUARD] = {"older messages of all classes",
        "UPDATE staff_right SET opened_at = :now WHERE staff_id = :of AND right = 'safeguarding'"
        " AND agreed_at IS NOT NULL"},
    [OLDER_TEACH] = {"older messages of a class",
        "UPDATE class_right SET opened_at = :now WHERE staff_id = :of AND class_id = :in"
        " AND right = 'teach' AND agreed_at IS NOT NULL"},
    [TWO_PERSONS] = {"school has two persons",
        "UPDATE school SET two_persons_at = :now WHERE id = 1 AND two_persons_at IS NULL"
        " AND (SELECT count(*) FROM staff s WHERE " READING_MAY_ACCEPT("s") ") > 1"
        " /*scan: a school has few staff*/"},
    [SETTLE_RIGHTS] = {"rights agreed",
        "UPDATE staff_right SET agreed_at = :now, opened_at = :now WHERE staff_id = :of"
        " AND right IN ('office', 'safeguarding')"},
    [SETTLE_CLASSES] = {"rights on classes agreed",
        "UPDATE class_right SET agreed_at = :now, agreed_until_day = until_day, opened_at = :now"
        " WHERE staff_id = :of AND right = 'teach'"},
    [DECIDE] = {"change decide",
        "UPDATE pending_change SET outcome = :outcome, decided_by = :by, decided_at = :now,"
        " older = :older WHERE id = :id AND " OPEN_NOW},
    [MACHINE_SAME] = {"change by machine",
        "UPDATE pending_change SET outcome = 'machine', decided_at = :now, older = 1"
        " WHERE " SAME_THING " AND " OPEN_NOW},
    [MACHINE_NEW] = {"change by machine, not asked",
        "INSERT INTO pending_change (id, kind, staff_id, class_id, until_day, asked_at, outcome,"
        " decided_at, older) VALUES (:id, :kind, :of, :in, " UNTIL_ASKED ", :now, 'machine', :now,"
        " 1)"},
    [UNAGREED] = {"what is not agreed",
        "SELECT 'reset', NULL FROM staff s WHERE s.id = :of AND s.unagreed_at IS NOT NULL"
        " UNION ALL SELECT g.right, NULL FROM staff_right g WHERE g.staff_id = :of"
        " AND g.right IN ('office', 'safeguarding') AND g.agreed_at IS NULL"
        " UNION ALL SELECT 'teach', r.class_id FROM class_right r WHERE r.staff_id = :of"
        " AND " TEACH_UNAGREED("r")
        " UNION ALL SELECT c.kind, c.class_id FROM pending_change c WHERE c.staff_id = :of"
        " AND c.kind IN ('safeguarding', 'older') AND " OPEN("c")},
};
const struct stmt_set changes_stmts = {"changes", defs, sizeof defs / sizeof *defs};

static const char *const kind_words[] = {
    [CHANGE_SAFEGUARDING] = "safeguarding", [CHANGE_OFFICE] = "office", [CHANGE_TEACH] = "teach",
    [CHANGE_RESET] = "reset", [CHANGE_ENABLED] = "enabled", [CHANGE_OLDER] = "older",
};

const char *change_kind_word(enum change_kind k)
{
    return (unsigned)k < CHANGE_KINDS ? kind_words[k] : NULL;
}

bool change_kind_parse(const char *word, enum change_kind *out)
{
    for (int k = 0; word && k < CHANGE_KINDS; k++) {
        if (strcmp(word, kind_words[k]) == 0) {
            *out = (enum change_kind)k;
            return true;
        }
    }
    return false;
}

static void begin(struct query *q, size_t index, const struct change_ask *a, struct store *st)
{
    query_begin(q, st, &changes_stmts, index);
    query_int(q, ":of", a->of.v);
    query_text(q, ":kind", kind_words[a->kind]);
}

static void bind_class(struct query *q, const struct change_ask *a)
{
    query_int_or_null(q, ":in", a->in.v != 0, a->in.v);
}

static enum err yes_or_no(struct query *q, bool *out)
{
    *out = query_row(q) && col_int(q, 0) != 0;
    return query_end(q);
}

/* Doing it ------------------------------------------------------------------------------------- */

struct apply {
    struct change_ask ask;
    bool older;
};

static enum err apply(struct store *st, const struct apply *a)
{
    static const size_t index[] = {
        [CHANGE_SAFEGUARDING] = APPLY_GUARD, [CHANGE_OFFICE] = APPLY_OFFICE,
        [CHANGE_TEACH] = APPLY_TEACH, [CHANGE_RESET] = APPLY_ACCOUNT,
        [CHANGE_ENABLED] = APPLY_ACCOUNT, [CHANGE_OLDER] = OLDER_GUARD,
    };
    const struct change_ask *ask = &a->ask;
    bool in_class = ask->in.v != 0;
    size_t which = ask->kind == CHANGE_OLDER && in_class ? OLDER_TEACH : index[ask->kind];
    struct query q;
    query_begin(&q, st, &changes_stmts, which);
    query_int(&q, ":of", ask->of.v);
    if (in_class) {
        query_int(&q, ":in", ask->in.v);
    }
    if (which != APPLY_ACCOUNT) {
        query_int(&q, ":now", ask->now);
    }
    if (which == APPLY_TEACH) {
        query_int(&q, ":today", clock_day(ask->now));
    }
    if (which == APPLY_TEACH || which == APPLY_GUARD) {
        query_int_or_null(&q, ":opened", a->older, ask->now);
    }
    enum err e = query_run_one(&q);
    if (e != OK) {
        return e == ERR_NOT_FOUND ? ERR_CONFLICT : e;
    }
    query_begin(&q, st, &changes_stmts, TWO_PERSONS);
    query_int(&q, ":now", ask->now);
    return query_run(&q);
}

/* Asking --------------------------------------------------------------------------------------- */

static enum err at_once(struct store *st, const struct change_ask *a, bool *out)
{
    struct query q;
    begin(&q, AT_ONCE, a, st);
    query_int(&q, ":by", a->by.v);
    return yes_or_no(&q, out);
}

static enum err needed(struct store *st, const struct change_ask *a, bool *out)
{
    struct query q;
    begin(&q, NEEDED, a, st);
    bind_class(&q, a);
    return yes_or_no(&q, out);
}

/* What changes the account as a whole makes it unsure first; not so where it opens nothing. */
static enum err make_unsure(struct store *st, const struct change_ask *a)
{
    struct query q;
    if (a->kind != CHANGE_RESET && a->kind != CHANGE_ENABLED) {
        return OK;
    }
    query_begin(&q, st, &changes_stmts, UNSURE);
    query_int(&q, ":of", a->of.v);
    query_int(&q, ":now", a->now);
    return query_run(&q);
}

static enum err ask_second(struct store *st, const struct change_ask *a)
{
    struct query q;
    bool there = false;
    begin(&q, SAME, a, st);
    bind_class(&q, a);
    query_int(&q, ":now", a->now);
    enum err e = yes_or_no(&q, &there);
    if (e != OK || there) {
        return e;
    }
    begin(&q, WITHDRAW_SAME, a, st);
    bind_class(&q, a);
    query_int(&q, ":by", a->by.v);
    query_int(&q, ":now", a->now);
    e = query_run(&q);
    if (e != OK) {
        return e;
    }
    begin(&q, ASK, a, st);
    bind_class(&q, a);
    query_int(&q, ":id", rand_id());
    query_int(&q, ":by", a->by.v);
    query_int(&q, ":now", a->now);
    return query_run(&q);
}

enum err change_ask(struct store *st, const struct change_ask *a, enum change_asked *out)
{
    bool alone = false, wanted = false;
    enum err e = at_once(st, a, &alone);
    *out = CHANGE_NOT_NEEDED;
    if (e == OK && !alone) {
        e = make_unsure(st, a);
    }
    if (e == OK) {
        e = needed(st, a, &wanted);
    }
    if (e != OK || !wanted) {
        return e;
    }
    *out = alone ? CHANGE_AT_ONCE : CHANGE_WAITS;
    return alone ? apply(st, &(struct apply){*a, true}) : ask_second(st, a);
}

enum err changes_tidy(struct store *st, struct staff_id of, struct staff_id by, int64_t now)
{
    struct query q;
    query_begin(&q, st, &changes_stmts, TIDY);
    query_int(&q, ":of", of.v);
    query_int_or_null(&q, ":by", by.v != 0, by.v);
    query_int(&q, ":now", now);
    return query_run(&q);
}

enum err change_withdraw_safeguarding(struct store *st, const struct change_ask *a)
{
    struct query q;
    begin(&q, WITHDRAW_SAME, a, st);
    bind_class(&q, a);
    query_int(&q, ":by", a->by.v);
    query_int(&q, ":now", a->now);
    return query_run(&q);
}

enum err change_settle(struct store *st, struct staff_id of, int64_t now)
{
    static const size_t index[] = {SETTLE_RIGHTS, SETTLE_CLASSES, TWO_PERSONS};
    enum err e = OK;
    for (size_t i = 0; e == OK && i < sizeof index / sizeof *index; i++) {
        struct query q;
        query_begin(&q, st, &changes_stmts, index[i]);
        query_int(&q, ":now", now);
        if (index[i] != TWO_PERSONS) {
            query_int(&q, ":of", of.v);
        }
        e = query_run(&q);
    }
    return e;
}

/* Deciding ------------------------------------------------------------------------------------- */

static enum err decide(struct store *st, const struct change_row *c, const char *outcome,
                       const struct change_decision *d)
{
    struct query q;
    query_begin(&q, st, &changes_stmts, DECIDE);
    query_int(&q, ":id", c->id);
    query_text(&q, ":outcome", outcome);
    query_int(&q, ":by", d->by.v);
    query_int(&q, ":now", d->now);
    query_int(&q, ":older", d->older);
    enum err e = query_run_one(&q);
    return e == ERR_NOT_FOUND ? ERR_CONFLICT : e;
}

enum err change_accept(struct store *st, const struct change_row *c,
                       const struct change_decision *d)
{
    const struct apply a = {
        .ask = {.kind = c->kind, .of = c->of, .in = c->in, .by = d->by, .now = d->now},
        .older = d->older || c->kind == CHANGE_OLDER,
    };
    struct query q;
    bool wanted = false;
    query_begin(&q, st, &changes_stmts, FITS);
    query_int(&q, ":id", c->id);
    enum err e = yes_or_no(&q, &wanted);
    if (e != OK || !wanted) {
        return e != OK ? e : ERR_CONFLICT;
    }
    e = decide(st, c, "accepted", d);
    return e == OK ? apply(st, &a) : e;
}

enum err change_decline(struct store *st, const struct change_row *c,
                        const struct change_decision *d)
{
    return decide(st, c, c->by.v == d->by.v ? "withdrawn" : "declined", d);
}

/* The command line ----------------------------------------------------------------------------- */

static enum err keep(struct store *st, const struct change_ask *a)
{
    struct query q;
    begin(&q, MACHINE_SAME, a, st);
    bind_class(&q, a);
    query_int(&q, ":now", a->now);
    enum err e = query_run_one(&q);
    if (e != ERR_NOT_FOUND) {
        return e;
    }
    begin(&q, MACHINE_NEW, a, st);
    bind_class(&q, a);
    query_int(&q, ":id", rand_id());
    query_int(&q, ":now", a->now);
    return query_run(&q);
}

static enum err unagreed(struct store *st, void *ctx, const struct change_ask *a,
                         struct change_done **out, size_t *n)
{
    struct query q;
    size_t cap = 0;
    *out = NULL;
    *n = 0;
    query_begin(&q, st, &changes_stmts, UNAGREED);
    query_int(&q, ":of", a->of.v);
    query_int(&q, ":now", a->now);
    while (query_row(&q)) {
        mem_grow(ctx, *out, *n, &cap);
        struct change_done *d = &(*out)[(*n)++];
        *d = (struct change_done){.in = {col_int(&q, 1)}};
        bool known = change_kind_parse(col_text(&q, 0, ctx), &d->kind);
        *n -= !known || (a->kind != CHANGE_KINDS && a->kind != d->kind);
    }
    return query_end(&q);
}

enum err change_machine(struct store *st, void *ctx, const struct change_ask *a,
                        struct change_done **out, size_t *n)
{
    enum err e = make_unsure(st, a);
    *n = 0;
    if (e == OK) {
        e = unagreed(st, ctx, a, out, n);
    }
    for (size_t i = 0; e == OK && i < *n; i++) {       /* all by what held before the first */
        bool alone = false;
        e = at_once(st, &(struct change_ask){(*out)[i].kind, a->of, (*out)[i].in, a->by, a->now},
                    &alone);
        (*out)[i].kept = !alone;
    }
    for (size_t i = 0; e == OK && i < *n; i++) {
        const struct change_done *d = &(*out)[i];
        const struct apply one = {{d->kind, a->of, d->in, a->by, a->now}, true};
        e = d->kept ? keep(st, &one.ask) : OK;
        e = e == OK ? apply(st, &one) : e;
    }
    return e;
}
