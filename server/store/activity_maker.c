/* SPDX-License-Identifier: MIT
 * Who made an activity: who wrote its first revision. */
#include "store/activity_maker.h"

#include <string.h>

#include "store/query.h"

enum { MAKER };

static const struct stmt_def defs[] = {
    [MAKER] = {"activity maker",
        "SELECT r.created_by, s.name FROM revision r LEFT JOIN staff s ON s.id = r.created_by"
        " WHERE r.activity_id = :activity ORDER BY r.number LIMIT 1"},
};
const struct stmt_set activity_maker_stmts = {"activity_maker", defs, sizeof defs / sizeof *defs};

enum err activity_maker(void *ctx, struct store *st, struct activity_id id,
                        struct activity_maker *out)
{
    struct query q;
    *out = (struct activity_maker){0};
    query_begin(&q, st, &activity_maker_stmts, MAKER);
    query_int(&q, ":activity", id.v);
    bool found = query_row(&q);
    if (found && !col_null(&q, 0)) {
        *out = (struct activity_maker){{col_int(&q, 0)}, col_text(&q, 1, ctx)};
    }
    enum err e = query_end(&q);
    return e == OK && !found ? ERR_NOT_FOUND : e;
}

static bool same_optional(struct optional_int a, struct optional_int b)
{
    return a.set == b.set && (!a.set || a.v == b.v);
}

static bool same_version(const struct activity_version *a, const struct activity_version *b)
{
    return b && a->band_line_count == b->band_line_count &&
           same_optional(a->own_target, b->own_target) &&
           memcmp(a->band_lines, b->band_lines, a->band_line_count * sizeof *a->band_lines) == 0;
}

/* Names and places of zones may change, not what they are worth. */
static bool same_points(const struct activity *a, const struct activity *b)
{
    bool same = a->zone_count == b->zone_count;
    for (size_t i = 0; same && i < a->zone_count; i++) {
        same = a->zones[i].points == b->zones[i].points;
    }
    return same;
}

bool activity_judges_as(const struct activity *a, const struct activity *b)
{
    bool same = a->kind == b->kind && a->unit == b->unit && a->throws == b->throws &&
                a->cap == b->cap && a->seconds == b->seconds &&
                a->lower_is_better == b->lower_is_better && a->reference_mm == b->reference_mm &&
                a->version_count == b->version_count && same_points(a, b);
    for (size_t i = 0; same && i < a->version_count; i++) {
        same = same_version(&a->versions[i], activity_version_of(b, a->versions[i].kind));
    }
    return same;
}
