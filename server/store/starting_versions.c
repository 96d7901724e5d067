/* SPDX-License-Identifier: MIT
 * Starting versions in the database.
 *
 * Owns: table starting_version. Invariants: at most one row a child and challenge; it goes with
 * either; standard is never a row. */
#include "store/starting_versions.h"

#include <string.h>

#include "base/mem.h"
#include "store/query.h"

enum { PUT, BACK, GET, OF_CHALLENGE, OF_PUPIL };

static const struct stmt_def defs[] = {
    [PUT] = {"starting version put",
        "INSERT INTO starting_version (challenge_id, pupil_id, kind)"
        " VALUES (:challenge, :pupil, :kind)"
        " ON CONFLICT (pupil_id, challenge_id) DO UPDATE SET kind = excluded.kind"},
    [BACK] = {"starting version take back",
        "DELETE FROM starting_version WHERE pupil_id = :pupil AND challenge_id = :challenge"},
    [GET] = {"starting version get",
        "SELECT kind FROM starting_version WHERE pupil_id = :pupil AND challenge_id = :challenge"},
    [OF_CHALLENGE] = {"starting versions of challenge",
        "SELECT s.pupil_id, s.challenge_id, c.number, s.kind FROM starting_version s"
        " JOIN challenge c ON c.id = s.challenge_id WHERE s.challenge_id = :challenge"
        " ORDER BY s.pupil_id"},
    [OF_PUPIL] = {"starting versions of pupil",
        "SELECT s.pupil_id, s.challenge_id, c.number, s.kind FROM starting_version s"
        " JOIN challenge c ON c.id = s.challenge_id WHERE s.pupil_id = :pupil"
        " ORDER BY c.number, c.id"},
};

const struct stmt_set starting_versions_stmts = {"starting_versions", defs,
                                                 sizeof defs / sizeof *defs};

static enum version_kind kind_of(const char *word)
{
    for (int k = 0; word && k < ACTIVITY_VERSIONS; k++) {
        if (strcmp(word, version_kind_word((enum version_kind)k)) == 0) {
            return (enum version_kind)k;
        }
    }
    return VERSION_STANDARD;
}

enum err starting_version_set(struct store *st, const struct starting_version *s)
{
    struct query q;
    const bool back = s->kind == VERSION_STANDARD;
    query_begin(&q, st, &starting_versions_stmts, back ? BACK : PUT);
    query_int(&q, ":challenge", s->challenge.v);
    query_int(&q, ":pupil", s->pupil.v);
    if (!back) {
        query_text(&q, ":kind", version_kind_word(s->kind));
    }
    return query_run(&q);
}

enum err starting_version_get(struct store *st, struct pupil_id p, struct challenge_id c,
                              enum version_kind *out)
{
    struct query q;
    void *mem = mem_root();
    *out = VERSION_STANDARD;
    query_begin(&q, st, &starting_versions_stmts, GET);
    query_int(&q, ":pupil", p.v);
    query_int(&q, ":challenge", c.v);
    while (query_row(&q)) {
        *out = kind_of(col_text(&q, 0, mem));
    }
    talloc_free(mem);
    return query_end(&q);
}

static enum err read_list(struct query *q, void *ctx, struct starting_version_list *out)
{
    size_t cap = 0;
    *out = (struct starting_version_list){0};
    while (query_row(q)) {
        mem_grow(ctx, out->v, out->n, &cap);
        out->v[out->n++] = (struct starting_version){
            .pupil = {col_int(q, 0)}, .challenge = {col_int(q, 1)},
            .challenge_number = (int)col_int(q, 2), .kind = kind_of(col_text(q, 3, ctx)),
        };
    }
    return query_end(q);
}

enum err starting_versions_of_challenge(struct store *st, void *ctx, struct challenge_id c,
                                        struct starting_version_list *out)
{
    struct query q;
    query_begin(&q, st, &starting_versions_stmts, OF_CHALLENGE);
    query_int(&q, ":challenge", c.v);
    return read_list(&q, ctx, out);
}

enum err starting_versions_of_pupil(struct store *st, void *ctx, struct pupil_id p,
                                    struct starting_version_list *out)
{
    struct query q;
    query_begin(&q, st, &starting_versions_stmts, OF_PUPIL);
    query_int(&q, ":pupil", p.v);
    return read_list(&q, ctx, out);
}

enum version_kind starting_version_in(const struct starting_version_list *list, struct pupil_id p)
{
    for (size_t i = 0; i < list->n; i++) {
        if (list->v[i].pupil.v == p.v) {
            return list->v[i].kind;
        }
    }
    return VERSION_STANDARD;
}
