/* SPDX-License-Identifier: MIT
 * Activities written down.
 *
 * Owns: the writing statements of activity, revision and the tables below a revision.
 * Invariants: a revision is written whole in one transaction and never touched again; every id
 * below it is made here, so a draft that names ids of another revision cannot take them over; a
 * change made from a revision that is no longer the newest is refused, so that two teachers do not
 * undo each other's work unseen. What is written is read back by activity_load(), which makes the
 * answer the same as every later one. */
#include "store/activities.h"

#include "store/query.h"

enum {
    SAVE_ACTIVITY, SAVE_ARCHIVE, SAVE_REVISION, SAVE_VERSION, SAVE_BAND_LINE,
    SAVE_OWN_TARGET, SAVE_DISTANCE,
    SAVE_ZONE, SAVE_TARGET, SAVE_CUE, SAVE_QUESTION, SAVE_CHOICE, SAVE_SAFETY, SAVE_KIT, SAVE_STEP,
    SAVE_STMTS
};

static const struct stmt_def defs[] = {
    [SAVE_ACTIVITY] = {"activity make",
        "INSERT INTO activity (id, copied_from, created_at) VALUES (:activity, :copied, :now)"},
    [SAVE_ARCHIVE] = {"activity archive",
        "UPDATE activity SET archived_at = coalesce(archived_at, :now) WHERE id = :activity"},
    [SAVE_REVISION] = {"revision make",
        "INSERT INTO revision (id, activity_id, number, name, strand, kind, unit, attempts, throws,"
        " cap, seconds, lower_is_better, resolution, hard_low, hard_high, soft_low, soft_high,"
        " reference_mm, summary, set_up, scoring, created_at, created_by) VALUES (:revision,"
        " :activity, :number, :name, :strand, :kind, :unit, :attempts, :throws, :cap, :seconds,"
        " :lower, :resolution, :hard_low, :hard_high, :soft_low, :soft_high, :reference, :summary,"
        " :set_up, :scoring, :now, :staff)"},
    [SAVE_VERSION] = {"version make",
        "INSERT INTO version (id, revision_id, kind, how) VALUES (:id, :revision, :kind, :how)"},
    [SAVE_BAND_LINE] = {"band line make",
        "INSERT INTO band_line (version_id, band, value) VALUES (:version, :band, :value)"},
    [SAVE_OWN_TARGET] = {"own target make",
        "INSERT INTO own_target (version_id, value) VALUES (:version, :value)"},
    [SAVE_DISTANCE] = {"distance make",
        "INSERT INTO distance (revision_id, distance_mm) VALUES (:revision, :distance)"},
    [SAVE_ZONE] = {"zone make",
        "INSERT INTO zone (revision_id, position, name, points, x1_mm, x2_mm, y1_mm, y2_mm)"
        " VALUES (:revision, :position, :name, :points, :x1, :x2, :y1, :y2)"},
    [SAVE_TARGET] = {"target make",
        "INSERT INTO target (id, revision_id, position, name, size_mm)"
        " VALUES (:id, :revision, :position, :name, :size)"},
    [SAVE_CUE] = {"cue make",
        "INSERT INTO cue (id, revision_id, position, text)"
        " VALUES (:id, :revision, :position, :text)"},
    [SAVE_QUESTION] = {"question make",
        "INSERT INTO question (id, revision_id, position, text)"
        " VALUES (:id, :revision, :position, :text)"},
    [SAVE_CHOICE] = {"choice make",
        "INSERT INTO choice (id, question_id, position, text, is_right)"
        " VALUES (:id, :question, :position, :text, :right)"},
    [SAVE_SAFETY] = {"safety line make",
        "INSERT INTO safety_line (revision_id, position, text)"
        " VALUES (:revision, :position, :text)"},
    [SAVE_KIT] = {"kit make",
        "INSERT INTO kit (id, revision_id, position, item, swap)"
        " VALUES (:id, :revision, :position, :item, :swap)"},
    [SAVE_STEP] = {"step make",
        "INSERT INTO step (revision_id, change, easier, harder)"
        " VALUES (:revision, :change, :easier, :harder)"},
};
const struct stmt_set activity_save_stmts = {"activity_save", defs, SAVE_STMTS};

/* One insertion below a revision: id 0 where the table has none. */
static void begin(struct query *q, struct store *st, size_t stmt, struct revision_id revision)
{
    query_begin(q, st, &activity_save_stmts, stmt);
    query_int(q, ":revision", revision.v);
}

static void optional(struct query *q, const char *name, struct optional_int v)
{
    query_int_or_null(q, name, v.set, v.v);
}

static enum err save_version(struct store *st, struct revision_id revision,
                             const struct activity_version *v)
{
    struct query q;
    int64_t id = store_id_new();
    begin(&q, st, SAVE_VERSION, revision);
    query_int(&q, ":id", id);
    query_text(&q, ":kind", version_kind_word(v->kind));
    query_text(&q, ":how", v->how);
    enum err e = query_run(&q);
    for (size_t i = 0; e == OK && i < v->band_line_count; i++) {
        query_begin(&q, st, &activity_save_stmts, SAVE_BAND_LINE);
        query_int(&q, ":version", id);
        query_int(&q, ":band", (int64_t)i + 1);
        query_int(&q, ":value", v->band_lines[i]);
        e = query_run(&q);
    }
    if (e == OK && v->own_target.set) {
        query_begin(&q, st, &activity_save_stmts, SAVE_OWN_TARGET);
        query_int(&q, ":version", id);
        query_int(&q, ":value", v->own_target.v);
        e = query_run(&q);
    }
    return e;
}

static enum err save_versions(struct store *st, struct revision_id revision,
                              const struct activity *a)
{
    enum err e = OK;
    for (size_t i = 0; e == OK && i < a->version_count; i++) {
        e = save_version(st, revision, &a->versions[i]);
    }
    return e;
}

static enum err save_zones(struct store *st, struct revision_id revision, const struct activity *a)
{
    struct query q;
    enum err e = OK;
    for (size_t i = 0; e == OK && i < a->zone_count; i++) {
        const struct activity_zone *z = &a->zones[i];
        begin(&q, st, SAVE_ZONE, revision);
        query_int(&q, ":position", (int64_t)i + 1);
        query_text(&q, ":name", z->name);
        query_int(&q, ":points", z->points);
        optional(&q, ":x1", z->x1_mm);
        optional(&q, ":x2", z->x2_mm);
        optional(&q, ":y1", z->y1_mm);
        optional(&q, ":y2", z->y2_mm);
        e = query_run(&q);
    }
    for (size_t i = 0; e == OK && i < a->distance_count; i++) {
        begin(&q, st, SAVE_DISTANCE, revision);
        query_int(&q, ":distance", a->distances_mm[i]);
        e = query_run(&q);
    }
    return e;
}

static enum err save_targets(struct store *st, struct revision_id revision,
                             const struct activity *a)
{
    struct query q;
    enum err e = OK;
    for (size_t i = 0; e == OK && i < a->target_count; i++) {
        begin(&q, st, SAVE_TARGET, revision);
        query_int(&q, ":id", store_id_new());
        query_int(&q, ":position", (int64_t)i + 1);
        query_text(&q, ":name", a->targets[i].name);
        query_int_or_null(&q, ":size", a->targets[i].size_mm != 0, a->targets[i].size_mm);
        e = query_run(&q);
    }
    return e;
}

static enum err save_cues(struct store *st, struct revision_id revision, const struct activity *a)
{
    struct query q;
    enum err e = OK;
    for (size_t i = 0; e == OK && i < a->cue_count; i++) {
        begin(&q, st, SAVE_CUE, revision);
        query_int(&q, ":id", store_id_new());
        query_int(&q, ":position", (int64_t)i + 1);
        query_text(&q, ":text", a->cues[i].text);
        e = query_run(&q);
    }
    for (size_t i = 0; e == OK && i < a->safety_count; i++) {
        begin(&q, st, SAVE_SAFETY, revision);
        query_int(&q, ":position", (int64_t)i + 1);
        query_text(&q, ":text", a->safety[i]);
        e = query_run(&q);
    }
    return e;
}

static enum err save_choices(struct store *st, int64_t question, const struct activity_question *of)
{
    struct query q;
    enum err e = OK;
    for (size_t i = 0; e == OK && i < of->choice_count; i++) {
        query_begin(&q, st, &activity_save_stmts, SAVE_CHOICE);
        query_int(&q, ":id", store_id_new());
        query_int(&q, ":question", question);
        query_int(&q, ":position", (int64_t)i + 1);
        query_text(&q, ":text", of->choices[i].text);
        query_int(&q, ":right", of->choices[i].right);
        e = query_run(&q);
    }
    return e;
}

static enum err save_questions(struct store *st, struct revision_id revision,
                               const struct activity *a)
{
    struct query q;
    enum err e = OK;
    for (size_t i = 0; e == OK && i < a->question_count; i++) {
        int64_t id = store_id_new();
        begin(&q, st, SAVE_QUESTION, revision);
        query_int(&q, ":id", id);
        query_int(&q, ":position", (int64_t)i + 1);
        query_text(&q, ":text", a->questions[i].text);
        e = query_run(&q);
        if (e == OK) {
            e = save_choices(st, id, &a->questions[i]);
        }
    }
    return e;
}

static enum err save_kit(struct store *st, struct revision_id revision, const struct activity *a)
{
    struct query q;
    enum err e = OK;
    for (size_t i = 0; e == OK && i < a->kit_count; i++) {
        begin(&q, st, SAVE_KIT, revision);
        query_int(&q, ":id", store_id_new());
        query_int(&q, ":position", (int64_t)i + 1);
        query_text(&q, ":item", a->kit[i].item);
        query_text(&q, ":swap", a->kit[i].swap ? a->kit[i].swap : "");
        e = query_run(&q);
    }
    for (size_t i = 0; e == OK && i < a->step_count; i++) {
        begin(&q, st, SAVE_STEP, revision);
        query_text(&q, ":change", step_change_word(a->steps[i].change));
        query_text(&q, ":easier", a->steps[i].easier ? a->steps[i].easier : "");
        query_text(&q, ":harder", a->steps[i].harder ? a->steps[i].harder : "");
        e = query_run(&q);
    }
    return e;
}

struct place { struct activity_id activity; struct revision_id revision; int number; };

static enum err save_revision(struct store *st, const struct place *to, const struct activity *a,
                              struct activity_by by)
{
    struct query q;
    begin(&q, st, SAVE_REVISION, to->revision);
    query_int(&q, ":activity", to->activity.v);
    query_int(&q, ":number", to->number);
    query_text(&q, ":name", a->name);
    query_text(&q, ":strand", strand_word(a->strand));
    query_text(&q, ":kind", activity_kind_word(a->kind));
    query_text(&q, ":unit", value_unit_word(a->unit));
    query_int(&q, ":attempts", a->attempts);
    query_int_or_null(&q, ":throws", a->throws != 0, a->throws);
    query_int_or_null(&q, ":cap", a->cap != 0, a->cap);
    query_int_or_null(&q, ":seconds", a->seconds != 0, a->seconds);
    query_int(&q, ":lower", a->lower_is_better);
    query_int(&q, ":resolution", a->resolution);
    optional(&q, ":hard_low", a->hard_low);
    optional(&q, ":hard_high", a->hard_high);
    optional(&q, ":soft_low", a->soft_low);
    optional(&q, ":soft_high", a->soft_high);
    query_int_or_null(&q, ":reference", a->reference_mm != 0, a->reference_mm);
    query_text(&q, ":summary", a->summary);
    query_text(&q, ":set_up", a->set_up);
    query_text(&q, ":scoring", a->scoring);
    query_int(&q, ":now", by.now);
    query_int_or_null(&q, ":staff", by.staff.v != 0, by.staff.v);
    return query_run(&q);
}

static enum err save_all(struct store *st, const struct place *to, const struct activity *a,
                         struct activity_by by)
{
    static enum err (*const savers[])(struct store *, struct revision_id,
                                      const struct activity *) = {
        save_versions, save_zones, save_targets, save_cues, save_questions, save_kit,
    };
    enum err e = save_revision(st, to, a, by);
    for (size_t i = 0; e == OK && i < sizeof savers / sizeof *savers; i++) {
        e = savers[i](st, to->revision, a);
    }
    return e;
}

enum err activity_create(struct store *st, const struct activity *draft,
                         struct activity_id copied_from, struct activity_by by,
                         const struct activity **out)
{
    struct place to = {.activity = {store_id_new()}, .revision = {store_id_new()}, .number = 1};
    struct query q;
    query_begin(&q, st, &activity_save_stmts, SAVE_ACTIVITY);
    query_int(&q, ":activity", to.activity.v);
    query_int_or_null(&q, ":copied", copied_from.v != 0, copied_from.v);
    query_int(&q, ":now", by.now);
    enum err e = query_run(&q);
    if (e == OK) {
        e = save_all(st, &to, draft, by);
    }
    return e == OK ? activity_load(st, to.revision, out) : e;
}

enum err activity_revise(struct store *st, const struct activity *draft, struct activity_by by,
                         const struct activity **out)
{
    const struct activity *now = NULL;
    enum err e = activity_load_current(st, draft->id, &now);
    if (e != OK) {
        return e;
    }
    if (draft->revision.v && draft->revision.v != now->revision.v) {
        return ERR_CONFLICT;
    }
    struct place to = {.activity = draft->id, .revision = {store_id_new()},
                       .number = now->number + 1};
    e = save_all(st, &to, draft, by);
    return e == OK ? activity_load(st, to.revision, out) : e;
}

enum err activity_archive(struct store *st, struct activity_id id, int64_t now)
{
    struct query q;
    query_begin(&q, st, &activity_save_stmts, SAVE_ARCHIVE);
    query_int(&q, ":activity", id.v);
    query_int(&q, ":now", now);
    return query_run_one(&q);
}
