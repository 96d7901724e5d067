/* SPDX-License-Identifier: MIT
 * Rights on classes, looked at from an object: does this member of staff hold one on a class that
 * the object belongs to today?
 *
 * Every question answers "there" and "bits" apart, because school-wide rights need the first only.
 * "Today" is always the caller's day: an end date counts to the end of its day. */
#include "store/rights.h"

#include <string.h>

#include "base/mem.h"
#include "base/who.h"
#include "store/query.h"
#include "store/staff.h"

enum {
    ON_CLASS, ON_PUPIL, ON_CHALLENGE, ANYWHERE, OF_HAND_IN, OF_MESSAGE, OF_CARD, UNIT, HAS_CHALLENGE
};

/* A right of :staff that holds on :today; joined to whatever gave the class. */
#define HOLDS "cr.staff_id = :staff AND (cr.until_day IS NULL OR cr.until_day >= :today)"
#define IN_TODAY "m.from_day <= :today AND (m.to_day IS NULL OR m.to_day >= :today)"

static const struct stmt_def defs[] = {
    [ON_CLASS] = {"rights on class",
                  "SELECT cr.right FROM class c"
                  " LEFT JOIN class_right cr ON cr.class_id = c.id AND " HOLDS
                  " WHERE c.id = :class"},
    [ON_PUPIL] = {"rights on pupil",
                  "SELECT NULL FROM pupil WHERE id = :pupil"
                  " UNION ALL SELECT cr.right FROM membership m"
                  " JOIN pupil p ON p.id = m.pupil_id"
                  " AND (p.left_day IS NULL OR p.left_day > :today)"
                  " JOIN class_right cr ON cr.class_id = m.class_id AND " HOLDS
                  " WHERE m.pupil_id = :pupil AND " IN_TODAY},
    [ON_CHALLENGE] = {"rights on challenge",
                      "SELECT cr.right FROM challenge_class cc"
                      " LEFT JOIN class_right cr ON cr.class_id = cc.class_id AND " HOLDS
                      " WHERE cc.challenge_id = :challenge"},
    [ANYWHERE] = {"rights anywhere", "SELECT DISTINCT cr.right FROM class_right cr WHERE " HOLDS},
    [OF_HAND_IN] = {"pupil of hand-in", "SELECT pupil_id FROM hand_in WHERE id = :id"},
    [OF_MESSAGE] = {"pupil of message", "SELECT pupil_id FROM message WHERE id = :id"},
    [OF_CARD] = {"pupil of card", "SELECT pupil_id FROM card WHERE id = :id"},
    [UNIT] = {"unit exists", "SELECT 1 FROM unit WHERE id = :id"},
    [HAS_CHALLENGE] = {"pupil has challenge",
                       "SELECT 1 FROM challenge_class cc"
                       " JOIN membership m ON m.class_id = cc.class_id"
                       " WHERE cc.challenge_id = :challenge AND m.pupil_id = :pupil AND " IN_TODAY
                       " LIMIT 1"},
};
const struct stmt_set rights_stmts = {"rights", defs, sizeof defs / sizeof *defs};

static void begin(struct query *q, const struct rights_of *of, size_t index)
{
    query_begin(q, of->st, &rights_stmts, index);
    query_int(q, ":staff", of->staff.v);
    query_int(q, ":today", of->today);
}

static unsigned right_of_row(struct query *q)
{
    void *ctx = mem_root();
    const char *word = col_text(q, 0, ctx);
    unsigned bit = word ? right_bit(word) : 0;

    talloc_free(ctx);
    return bit;
}

static enum err collect(struct query *q, struct rights_found *out)
{
    *out = (struct rights_found){.results_everywhere = true};
    while (query_row(q)) {
        unsigned bit = right_of_row(q);
        out->there = true;
        out->bits |= bit;
        out->results_everywhere = out->results_everywhere && (bit & (ALLOW_TEACH | ALLOW_READ));
    }
    out->results_everywhere = out->results_everywhere && out->there;
    return query_end(q);
}

enum err rights_class(const struct rights_of *of, int64_t class_id, struct rights_found *out)
{
    struct query q;

    begin(&q, of, ON_CLASS);
    query_int(&q, ":class", class_id);
    return collect(&q, out);
}

enum err rights_pupil(const struct rights_of *of, int64_t pupil_id, struct rights_found *out)
{
    struct query q;

    begin(&q, of, ON_PUPIL);
    query_int(&q, ":pupil", pupil_id);
    return collect(&q, out);
}

enum err rights_challenge(const struct rights_of *of, int64_t challenge_id,
                          struct rights_found *out)
{
    struct query q;

    begin(&q, of, ON_CHALLENGE);
    query_int(&q, ":challenge", challenge_id);
    return collect(&q, out);
}

enum err rights_any(const struct rights_of *of, unsigned *bits)
{
    struct query q;
    struct rights_found found;

    begin(&q, of, ANYWHERE);
    enum err e = collect(&q, &found);
    *bits = found.bits;
    return e;
}

static enum err owner(struct query *q, int64_t *pupil)
{
    *pupil = query_row(q) ? col_int(q, 0) : 0;
    return query_end(q);
}

enum err rights_pupil_of_hand_in(struct store *st, const struct uuid *id, int64_t *pupil)
{
    struct query q;

    query_begin(&q, st, &rights_stmts, OF_HAND_IN);
    query_blob(&q, ":id", id->b, sizeof id->b);
    return owner(&q, pupil);
}

enum err rights_pupil_of_message(struct store *st, int64_t message_id, int64_t *pupil)
{
    struct query q;

    query_begin(&q, st, &rights_stmts, OF_MESSAGE);
    query_int(&q, ":id", message_id);
    return owner(&q, pupil);
}

enum err rights_pupil_of_card(struct store *st, int64_t card_id, int64_t *pupil)
{
    struct query q;

    query_begin(&q, st, &rights_stmts, OF_CARD);
    query_int(&q, ":id", card_id);
    return owner(&q, pupil);
}

enum err rights_unit_exists(struct store *st, int64_t unit_id, bool *there)
{
    struct query q;

    query_begin(&q, st, &rights_stmts, UNIT);
    query_int(&q, ":id", unit_id);
    *there = query_row(&q);
    return query_end(&q);
}

enum err rights_pupil_has_challenge(struct store *st, int64_t pupil_id, int64_t challenge_id,
                                    int32_t today, bool *yes)
{
    struct query q;

    query_begin(&q, st, &rights_stmts, HAS_CHALLENGE);
    query_int(&q, ":pupil", pupil_id);
    query_int(&q, ":challenge", challenge_id);
    query_int(&q, ":today", today);
    *yes = query_row(&q);
    return query_end(&q);
}
