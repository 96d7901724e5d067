/* SPDX-License-Identifier: MIT
 * Activities read back.
 *
 * Owns: the reading statements of activity, revision and the tables below a revision; the cache of
 * loaded revisions.
 * Invariants: a revision is never changed once stored, so what was loaded stays true for as long as
 * the store is open; the cache belongs to one store and so to one thread. A revision that was
 * loaded inside a transaction that then rolled back stays in the cache under an id that nothing
 * refers to: ids are random and never used again. Only staff make revisions and each takes a few
 * kilobytes, so the cache is not bounded.
 * Counts read from the database never pass the arrays: the schema bounds positions, and the
 * readers stop at the arrays' ends all the same. */
#include "store/activities.h"

#include <string.h>

#include "base/log.h"
#include "base/mem.h"
#include "store/query.h"

enum {
    ACT_REVISION, ACT_CURRENT, ACT_VERSIONS, ACT_BAND_LINES, ACT_DISTANCES, ACT_ZONES, ACT_TARGETS,
    ACT_CUES, ACT_QUESTIONS, ACT_CHOICES, ACT_SAFETY, ACT_KIT, ACT_STEPS, ACT_LIST, ACT_ARCHIVED,
    ACT_STMTS
};

static const struct stmt_def defs[] = {
    [ACT_REVISION] = {"revision get",
        "SELECT activity_id, number, name, strand, kind, unit, attempts, throws, cap, seconds,"
        " lower_is_better, resolution, hard_low, hard_high, soft_low, soft_high, reference_mm,"
        " summary, set_up, scoring FROM revision WHERE id = :revision"},
    [ACT_CURRENT] = {"activity current",
        "SELECT id FROM revision WHERE activity_id = :activity ORDER BY number DESC LIMIT 1"},
    [ACT_VERSIONS] = {"versions of a revision",
        "SELECT v.id, v.kind, v.how, t.value FROM version v"
        " LEFT JOIN own_target t ON t.version_id = v.id"
        " WHERE v.revision_id = :revision ORDER BY CASE v.kind"
        " WHEN 'standard' THEN 0 WHEN 'quiet' THEN 1 WHEN 'seated' THEN 2 ELSE 3 END"},
    [ACT_BAND_LINES] = {"band lines of a revision",
        "SELECT l.version_id, l.value FROM version v JOIN band_line l ON l.version_id = v.id"
        " WHERE v.revision_id = :revision ORDER BY l.version_id, l.band"},
    [ACT_DISTANCES] = {"distances of a revision",
        "SELECT distance_mm FROM distance WHERE revision_id = :revision ORDER BY distance_mm"},
    [ACT_ZONES] = {"zones of a revision",
        "SELECT name, points, x1_mm, x2_mm, y1_mm, y2_mm FROM zone WHERE revision_id = :revision"
        " ORDER BY position"},
    [ACT_TARGETS] = {"targets of a revision",
        "SELECT id, name, size_mm FROM target WHERE revision_id = :revision ORDER BY position"},
    [ACT_CUES] = {"cues of a revision",
        "SELECT id, text FROM cue WHERE revision_id = :revision ORDER BY position"},
    [ACT_QUESTIONS] = {"questions of a revision",
        "SELECT id, text FROM question WHERE revision_id = :revision ORDER BY position"},
    [ACT_CHOICES] = {"choices of a revision",
        "SELECT c.question_id, c.id, c.text, c.is_right FROM question q"
        " JOIN choice c ON c.question_id = q.id WHERE q.revision_id = :revision"
        " ORDER BY c.question_id, c.position"},
    [ACT_SAFETY] = {"safety lines of a revision",
        "SELECT text FROM safety_line WHERE revision_id = :revision ORDER BY position"},
    [ACT_KIT] = {"kit of a revision",
        "SELECT id, item, swap FROM kit WHERE revision_id = :revision ORDER BY position"},
    [ACT_STEPS] = {"steps of a revision",
        "SELECT change, easier, harder FROM step WHERE revision_id = :revision ORDER BY CASE change"
        " WHEN 'space' THEN 0 WHEN 'task' THEN 1 WHEN 'equipment' THEN 2 ELSE 3 END"},
    [ACT_LIST] = {"activity list",
        "SELECT a.archived_at IS NOT NULL, r.id,"
        " (SELECT count(*) FROM revision o JOIN challenge c ON c.revision_id = o.id"
        "  WHERE o.activity_id = a.id), f.created_by, s.name"
        " FROM activity a JOIN revision f ON f.activity_id = a.id AND f.number = 1"
        " LEFT JOIN staff s ON s.id = f.created_by"
        " JOIN revision r ON r.activity_id = a.id AND r.number ="
        " (SELECT max(n.number) FROM revision n WHERE n.activity_id = a.id)"
        " ORDER BY a.archived_at IS NOT NULL, r.name COLLATE NOCASE, a.id"
        " /*scan: every activity of the school is listed*/"},
    [ACT_ARCHIVED] = {"activity archived",
        "SELECT archived_at IS NOT NULL FROM activity WHERE id = :activity"},
};
const struct stmt_set activities_stmts = {"activities", defs, ACT_STMTS};

/* The cache: loaded revisions by id, rising. */
struct cache {
    const struct activity **rows;
    size_t count, cap;
};

static struct cache *cache_of(struct store *st)
{
    void **slot = store_slot(st, SLOT_ACTIVITIES);
    if (!*slot) {
        *slot = mem_new(st, struct cache);
    }
    return *slot;
}

/* Where `id` is, or would be. */
static size_t cache_place(const struct cache *c, int64_t id)
{
    size_t low = 0, high = c->count;
    while (low < high) {
        size_t mid = low + (high - low) / 2;
        if (c->rows[mid]->revision.v < id) {
            low = mid + 1;
        } else {
            high = mid;
        }
    }
    return low;
}

static void cache_add(struct cache *c, const struct activity *a)
{
    size_t at = cache_place(c, a->revision.v);
    mem_grow(c, c->rows, c->count, &c->cap);
    memmove(c->rows + at + 1, c->rows + at, (c->count - at) * sizeof *c->rows);
    c->rows[at] = a;
    c->count++;
}

/* The readers. ------------------------------------------------------------------------------- */

static struct optional_int col_optional(struct query *q, int i)
{
    return (struct optional_int){!col_null(q, i), col_int(q, i)};
}

static int word_or_zero(int found)
{
    if (found < 0) {
        log_bug("a word that the schema does not allow");
        return 0;
    }
    return found;
}

static void begin(struct query *q, struct store *st, size_t stmt, const struct activity *a)
{
    query_begin(q, st, &activities_stmts, stmt);
    query_int(q, ":revision", a->revision.v);
}

static enum err read_revision(struct store *st, struct activity *a, bool *found)
{
    struct query q;
    begin(&q, st, ACT_REVISION, a);
    *found = query_row(&q);
    if (*found) {
        a->id.v = col_int(&q, 0);
        a->number = (int)col_int(&q, 1);
        a->name = col_text(&q, 2, a);
        a->strand = (enum strand)word_or_zero(strand_of(col_text(&q, 3, a)));
        a->kind = (enum activity_kind)word_or_zero(activity_kind_of(col_text(&q, 4, a)));
        a->unit = (enum value_unit)word_or_zero(value_unit_of(col_text(&q, 5, a)));
        a->attempts = (int)col_int(&q, 6);
        a->throws = (int)col_int(&q, 7);
        a->cap = (int)col_int(&q, 8);
        a->seconds = (int)col_int(&q, 9);
        a->lower_is_better = col_int(&q, 10) != 0;
        a->resolution = (int)col_int(&q, 11);
        a->hard_low = col_optional(&q, 12);
        a->hard_high = col_optional(&q, 13);
        a->soft_low = col_optional(&q, 14);
        a->soft_high = col_optional(&q, 15);
        a->reference_mm = (int)col_int(&q, 16);
        a->summary = col_text(&q, 17, a);
        a->set_up = col_text(&q, 18, a);
        a->scoring = col_text(&q, 19, a);
    }
    return query_end(&q);
}

static enum err read_versions(struct store *st, struct activity *a)
{
    struct query q;
    begin(&q, st, ACT_VERSIONS, a);
    while (a->version_count < ACTIVITY_VERSIONS && query_row(&q)) {
        struct activity_version *v = &a->versions[a->version_count++];
        v->id.v = col_int(&q, 0);
        v->kind = (enum version_kind)word_or_zero(version_kind_of(col_text(&q, 1, a)));
        v->how = col_text(&q, 2, a);
        v->own_target = col_optional(&q, 3);
    }
    enum err e = query_end(&q);
    if (e != OK) {
        return e;
    }
    begin(&q, st, ACT_BAND_LINES, a);
    while (query_row(&q)) {
        for (size_t i = 0; i < a->version_count; i++) {
            struct activity_version *v = &a->versions[i];
            if (v->id.v == col_int(&q, 0) && v->band_line_count < ACTIVITY_BAND_LINES) {
                v->band_lines[v->band_line_count++] = col_int(&q, 1);
            }
        }
    }
    return query_end(&q);
}

static enum err read_zones(struct store *st, struct activity *a)
{
    struct query q;
    begin(&q, st, ACT_ZONES, a);
    while (a->zone_count < ACTIVITY_ZONES && query_row(&q)) {
        a->zones[a->zone_count++] = (struct activity_zone){
            .name = col_text(&q, 0, a),
            .points = (int)col_int(&q, 1),
            .x1_mm = col_optional(&q, 2),
            .x2_mm = col_optional(&q, 3),
            .y1_mm = col_optional(&q, 4),
            .y2_mm = col_optional(&q, 5),
        };
    }
    enum err e = query_end(&q);
    if (e != OK) {
        return e;
    }
    begin(&q, st, ACT_DISTANCES, a);
    while (a->distance_count < ACTIVITY_DISTANCES && query_row(&q)) {
        a->distances_mm[a->distance_count++] = (int32_t)col_int(&q, 0);
    }
    return query_end(&q);
}

static enum err read_targets(struct store *st, struct activity *a)
{
    struct query q;
    begin(&q, st, ACT_TARGETS, a);
    while (a->target_count < ACTIVITY_TARGETS && query_row(&q)) {
        a->targets[a->target_count++] = (struct activity_target){
            .id = col_int(&q, 0), .name = col_text(&q, 1, a), .size_mm = (int)col_int(&q, 2)};
    }
    return query_end(&q);
}

static enum err read_cues(struct store *st, struct activity *a)
{
    struct query q;
    begin(&q, st, ACT_CUES, a);
    while (a->cue_count < ACTIVITY_CUES && query_row(&q)) {
        a->cues[a->cue_count++] =
            (struct activity_cue){.id = col_int(&q, 0), .text = col_text(&q, 1, a)};
    }
    enum err e = query_end(&q);
    if (e != OK) {
        return e;
    }
    begin(&q, st, ACT_SAFETY, a);
    while (a->safety_count < ACTIVITY_SAFETY && query_row(&q)) {
        a->safety[a->safety_count++] = col_text(&q, 0, a);
    }
    return query_end(&q);
}

static void add_choice(struct query *q, struct activity *a)
{
    for (size_t i = 0; i < a->question_count; i++) {
        struct activity_question *to = &a->questions[i];
        if (to->id == col_int(q, 0) && to->choice_count < ACTIVITY_CHOICES) {
            to->choices[to->choice_count++] = (struct activity_choice){
                .id = col_int(q, 1), .text = col_text(q, 2, a), .right = col_int(q, 3) != 0};
        }
    }
}

static enum err read_questions(struct store *st, struct activity *a)
{
    struct query q;
    begin(&q, st, ACT_QUESTIONS, a);
    while (a->question_count < ACTIVITY_QUESTIONS && query_row(&q)) {
        struct activity_question *to = &a->questions[a->question_count++];
        to->id = col_int(&q, 0);
        to->text = col_text(&q, 1, a);
    }
    enum err e = query_end(&q);
    if (e != OK) {
        return e;
    }
    begin(&q, st, ACT_CHOICES, a);
    while (query_row(&q)) {
        add_choice(&q, a);
    }
    return query_end(&q);
}

static enum err read_kit(struct store *st, struct activity *a)
{
    struct query q;
    begin(&q, st, ACT_KIT, a);
    while (a->kit_count < ACTIVITY_KIT && query_row(&q)) {
        a->kit[a->kit_count++] = (struct activity_kit){
            .id = col_int(&q, 0), .item = col_text(&q, 1, a), .swap = col_text(&q, 2, a)};
    }
    enum err e = query_end(&q);
    if (e != OK) {
        return e;
    }
    begin(&q, st, ACT_STEPS, a);
    while (a->step_count < ACTIVITY_STEPS && query_row(&q)) {
        a->steps[a->step_count++] = (struct activity_step){
            .change = (enum step_change)word_or_zero(step_change_of(col_text(&q, 0, a))),
            .easier = col_text(&q, 1, a),
            .harder = col_text(&q, 2, a),
        };
    }
    return query_end(&q);
}

static enum err read_all(struct store *st, struct activity *a)
{
    static enum err (*const readers[])(struct store *, struct activity *) = {
        read_versions, read_zones, read_targets, read_cues, read_questions, read_kit,
    };
    bool found = false;
    enum err e = read_revision(st, a, &found);
    if (e == OK && !found) {
        e = ERR_NOT_FOUND;
    }
    for (size_t i = 0; e == OK && i < sizeof readers / sizeof *readers; i++) {
        e = readers[i](st, a);
    }
    return e;
}

enum err activity_load(struct store *st, struct revision_id revision, const struct activity **out)
{
    struct cache *c = cache_of(st);
    size_t at = cache_place(c, revision.v);
    if (at < c->count && c->rows[at]->revision.v == revision.v) {
        *out = c->rows[at];
        return OK;
    }
    struct activity *a = mem_new(c, struct activity);
    a->revision = revision;
    enum err e = read_all(st, a);
    if (e != OK) {
        talloc_free(a);
        *out = NULL;
        return e;
    }
    cache_add(c, a);
    *out = a;
    return OK;
}

enum err activity_load_current(struct store *st, struct activity_id id,
                               const struct activity **out)
{
    struct query q;
    struct revision_id revision = {0};
    *out = NULL;
    query_begin(&q, st, &activities_stmts, ACT_CURRENT);
    query_int(&q, ":activity", id.v);
    if (query_row(&q)) {
        revision.v = col_int(&q, 0);
    }
    enum err e = query_end(&q);
    if (e != OK) {
        return e;
    }
    return revision.v ? activity_load(st, revision, out) : ERR_NOT_FOUND;
}

enum err activity_list(void *ctx, struct store *st, struct activity_line **out, size_t *count)
{
    struct query q;
    struct { struct activity_line line; struct revision_id revision; } *rows = NULL;
    size_t n = 0, cap = 0;
    void *mem = mem_root();
    query_begin(&q, st, &activities_stmts, ACT_LIST);
    while (query_row(&q)) {
        mem_grow(mem, rows, n, &cap);
        rows[n].line = (struct activity_line){.archived = col_int(&q, 0) != 0,
                                              .used = col_int(&q, 2),
                                              .maker = {col_int(&q, 3)},
                                              .made_by = col_text(&q, 4, ctx)};
        rows[n++].revision.v = col_int(&q, 1);
    }
    enum err e = query_end(&q);
    *out = mem_array(ctx, struct activity_line, n);
    *count = 0;
    for (size_t i = 0; e == OK && i < n; i++) {
        (*out)[i] = rows[i].line;
        e = activity_load(st, rows[i].revision, &(*out)[i].activity);
        *count = i + 1;
    }
    talloc_free(mem);
    return e;
}

enum err activity_is_archived(struct store *st, struct activity_id id, bool *out)
{
    struct query q;
    query_begin(&q, st, &activities_stmts, ACT_ARCHIVED);
    query_int(&q, ":activity", id.v);
    bool found = query_row(&q);
    *out = found && col_int(&q, 0) != 0;
    enum err e = query_end(&q);
    return e == OK && !found ? ERR_NOT_FOUND : e;
}

/* Finders ------------------------------------------------------------------------------------- */

const struct activity_version *activity_version(const struct activity *a, struct version_id id)
{
    for (size_t i = 0; i < a->version_count; i++) {
        if (a->versions[i].id.v == id.v) {
            return &a->versions[i];
        }
    }
    return NULL;
}

const struct activity_version *activity_version_of(const struct activity *a, enum version_kind k)
{
    for (size_t i = 0; i < a->version_count; i++) {
        if (a->versions[i].kind == k) {
            return &a->versions[i];
        }
    }
    return NULL;
}

#define FINDER(type, name, array, count) \
    const struct type *name(const struct activity *a, int64_t id) \
    { \
        for (size_t i = 0; i < a->count; i++) { \
            if (a->array[i].id == id) { \
                return &a->array[i]; \
            } \
        } \
        return NULL; \
    }

FINDER(activity_cue, activity_cue, cues, cue_count)
FINDER(activity_question, activity_question, questions, question_count)
FINDER(activity_target, activity_target, targets, target_count)
FINDER(activity_kit, activity_kit, kit, kit_count)

const struct activity_choice *activity_choice(const struct activity_question *q, int64_t id)
{
    for (size_t i = 0; i < q->choice_count; i++) {
        if (q->choices[i].id == id) {
            return &q->choices[i];
        }
    }
    return NULL;
}
