/* SPDX-License-Identifier: MIT
 * Activities on a real database: what activity_check lets through the schema takes; a revision
 * reads back as it was written. All data is invented. */
#include <stdio.h>
#include <string.h>

#include "base/mem.h"
#include "fixture.h"
#include "store/activities.h"
#include "store/school.h"
#include "store/scoring.h"
#include "store/starters.h"
#include "t.h"

enum { BANDS = 3 };
static const int64_t now = 1790000000;      /* 2026-09-21 */

/* Runs a store call that must succeed. The fixture's store is outside any transaction: each
 * statement commits alone. */
#define must(call) assert_int_equal((call), OK)

static struct activity zones_draft(void)
{
    return (struct activity){
        .name = "Cloth slide", .summary = "Slide a cloth.", .set_up = "", .scoring = "",
        .strand = STRAND_TARGET, .kind = ACTIVITY_KIND_ZONES, .unit = VALUE_POINTS,
        .attempts = 3, .throws = 4, .resolution = 1,
        .distances_mm = {2000, 4000}, .distance_count = 2, .reference_mm = 3000,
        .zones = {{.name = "in", .points = 5, .x1_mm = {true, -100}, .x2_mm = {true, 100},
                   .y1_mm = {true, -100}, .y2_mm = {true, 100}},
                  {.name = "out", .points = 0}},
        .zone_count = 2,
        .targets = {{.name = "a tea towel", .size_mm = 600}, {.name = "own"}}, .target_count = 2,
        .versions = {{.kind = VERSION_STANDARD, .how = "Slide.", .band_lines = {5, 15},
                      .band_line_count = 2},
                     {.kind = VERSION_SEATED, .how = "Slide sitting."}},
        .version_count = 2,
        .cues = {{.text = "Low"}, {.text = "Slow"}}, .cue_count = 2,
        .questions = {{.text = "Why?", .choices = {{.text = "Yes", .right = true}, {.text = "No"}},
                       .choice_count = 2}},
        .question_count = 1,
        .safety = {"Look round."}, .safety_count = 1,
        .kit = {{.item = "cloth", .swap = "sock"}}, .kit_count = 1,
        .steps = {{.change = CHANGE_TASK, .easier = "Nearer.", .harder = ""}}, .step_count = 1,
    };
}

static struct activity measure_draft(void)
{
    return (struct activity){
        .name = "Still", .summary = "Stay still.", .set_up = "", .scoring = "",
        .strand = STRAND_BALANCE, .kind = ACTIVITY_KIND_MEASURE, .unit = VALUE_MS,
        .attempts = 3, .resolution = 100, .hard_low = {true, 100}, .hard_high = {true, 60000},
        .versions = {{.kind = VERSION_STANDARD, .how = "Stay.", .band_lines = {10000, 20000},
                      .band_line_count = 2}},
        .version_count = 1,
    };
}

static void told(const struct activity *a, const char *pointer, const char *code)
{
    void *mem = mem_root();
    const char *got_code = NULL;
    const char *got = activity_check(mem, a, BANDS, &got_code);
    if (!pointer) {
        if (got) {
            fail_msg("%s: %s", got, got_code);
        }
    } else {
        if (!got) {
            fail_msg("nothing found, wanted %s", pointer);
        }
        assert_string_equal(got, pointer);
        assert_string_equal(got_code, code);
    }
    talloc_free(mem);
}

static void faults_are_told_where_they_are(void **state)
{
    (void)state;
    struct activity a = zones_draft();
    told(&a, NULL, NULL);
    a.zones[1].points = 1;
    told(&a, "/zones", "no_miss");
    a = zones_draft();
    a.zones[0].points = 21;
    told(&a, "/zones/0/points", "out_of_range");
    a = zones_draft();
    a.zones[0].points = 0;
    told(&a, "/zones", "required");
    a = zones_draft();
    a.zones[1].name = "IN";
    told(&a, "/zones/1/name", "duplicate");
    a = zones_draft();
    a.zones[0].x2_mm.v = -100;
    told(&a, "/zones/0/x2_mm", "out_of_range");
    a = zones_draft();
    a.zones[0].y1_mm.set = false;
    told(&a, "/zones/0/y2_mm", "required");
    a = zones_draft();
    a.throws = 0;
    told(&a, "/throws", "required");
    a = zones_draft();
    a.seconds = 30;
    told(&a, "/seconds", "not_of_this_kind");
    a = zones_draft();
    a.unit = VALUE_COUNT;
    told(&a, "/unit", "not_of_this_kind");
    a = zones_draft();
    a.distances_mm[0] = 499;
    told(&a, "/distances_mm/0", "out_of_range");
    a = zones_draft();
    a.distances_mm[1] = 2000;
    told(&a, "/distances_mm/1", "duplicate");
    a = zones_draft();
    a.versions[0].band_lines[1] = 5;
    told(&a, "/versions/0/band_lines/1", "wrong_order");
    a = zones_draft();
    a.versions[0].band_lines[1] = 21;       /* four slides of five make 20 at most */
    told(&a, "/versions/0/band_lines/1", "out_of_range");
    a.versions[0].band_lines[1] = 19;       /* no four slides of 0 or 5 make it; 20 meets it */
    told(&a, NULL, NULL);
    a = zones_draft();
    a.versions[0].band_lines[2] = 20;
    a.versions[0].band_line_count = BANDS;
    told(&a, "/versions/0/band_lines", "too_many");
    a = zones_draft();
    a.versions[0].kind = VERSION_SEATED;
    told(&a, "/versions/1/kind", "duplicate");
    a = zones_draft();
    a.versions[0].kind = VERSION_QUIET;
    told(&a, "/versions", "no_standard");
    a = zones_draft();
    a.questions[0].choices[1].right = true;
    told(&a, "/questions/0/choices", "one_right");
    a = zones_draft();
    a.questions[0].choice_count = 1;
    told(&a, "/questions/0/choices", "too_few");
    a = zones_draft();
    a.cues[1].text = "\xc2\x85";
    told(&a, "/cues/1/text", "not_text");
    a = zones_draft();
    a.name = "";
    told(&a, "/name", "required");
}

static void faults_of_measures(void **state)
{
    (void)state;
    struct activity a = measure_draft();
    told(&a, NULL, NULL);
    a.hard_high.set = false;
    told(&a, "/hard_high", "required");
    a = measure_draft();
    a.hard_low.v = 0;
    told(&a, "/hard_low", "out_of_range");
    a = measure_draft();
    a.hard_low.v = 60000;
    told(&a, "/hard_high", "wrong_order");
    a = measure_draft();
    a.soft_high = (struct optional_int){true, 60001};
    told(&a, "/soft_high", "wrong_order");
    a = measure_draft();
    a.lower_is_better = true;
    told(&a, "/versions/0/band_lines/1", "wrong_order");
    a.versions[0].band_lines[1] = 5000;
    told(&a, NULL, NULL);
    a = measure_draft();
    a.throws = 3;
    told(&a, "/throws", "not_of_this_kind");
    a = measure_draft();
    a.zones[0] = (struct activity_zone){.name = "miss"};
    a.zone_count = 1;
    told(&a, "/zones", "not_of_this_kind");
}

/* Text of `n` letters. */
static const char *letters(void *mem, size_t n)
{
    char *s = mem_array(mem, char, n + 1);
    memset(s, 'a', n);
    return s;
}

static void the_longest_draft_fits_the_schema(void **state)
{
    (void)state;
    struct fixture f;
    fixture_school(&f);
    struct activity a = zones_draft();
    a.name = letters(f.mem, 60);
    a.summary = letters(f.mem, 300);
    a.set_up = letters(f.mem, 600);
    a.scoring = letters(f.mem, 600);
    a.throws = 20;
    a.zones[0].points = 20;
    a.zones[0].name = letters(f.mem, 40);
    a.distances_mm[0] = 500;
    a.distances_mm[1] = 30000;
    a.reference_mm = 30000;
    a.targets[0] = (struct activity_target){.name = letters(f.mem, 60), .size_mm = 5000};
    a.versions[0].how = letters(f.mem, 600);
    a.versions[0].band_lines[0] = 20;
    a.versions[0].band_lines[1] = 400;
    a.cues[0].text = letters(f.mem, 120);
    a.questions[0].text = letters(f.mem, 200);
    a.questions[0].choices[0].text = letters(f.mem, 120);
    a.safety[0] = letters(f.mem, 160);
    a.kit[0] = (struct activity_kit){.item = letters(f.mem, 80), .swap = letters(f.mem, 120)};
    a.steps[0].easier = letters(f.mem, 200);
    const struct activity *out = NULL;
    told(&a, NULL, NULL);
    must(activity_create(f.st, &a, (struct activity_id){0}, (struct activity_by){.now = now}, &out));
    a.name = letters(f.mem, 61);
    told(&a, "/name", "too_long");
    fixture_close(&f);
}

static void a_revision_reads_back_whole(void **state)
{
    (void)state;
    struct fixture f;
    fixture_school(&f);
    struct activity a = zones_draft();
    const struct activity *made = NULL, *next = NULL, *again = NULL;
    struct activity_by by = {.staff = {1}, .now = now};
    must(activity_create(f.st, &a, (struct activity_id){0}, by, &made));
    assert_int_equal(made->number, 1);
    assert_string_equal(made->name, "Cloth slide");
    assert_int_equal(made->zone_count, 2);
    assert_int_equal(made->zones[0].x1_mm.v, -100);
    assert_false(made->zones[1].x1_mm.set);
    assert_int_equal(made->distance_count, 2);
    assert_int_equal(made->targets[1].size_mm, 0);
    assert_int_equal(made->versions[0].band_lines[1], 15);
    assert_int_equal(made->versions[1].band_line_count, 0);
    assert_string_equal(made->questions[0].choices[0].text, "Yes");
    assert_true(made->questions[0].choices[0].right);
    assert_false(made->questions[0].choices[1].right);
    assert_string_equal(made->steps[0].easier, "Nearer.");
    assert_ptr_equal(activity_version(made, made->versions[1].id), &made->versions[1]);
    assert_null(activity_cue(made, 12345));

    a.name = "Cloth glide";
    a.id = made->id;
    a.revision = made->revision;
    must(activity_revise(f.st, &a, by, &next));
    assert_int_equal(next->number, 2);
    assert_int_not_equal(next->versions[0].id.v, made->versions[0].id.v);
    assert_string_equal(made->name, "Cloth slide");
    assert_int_equal(activity_revise(f.st, &a, by, &again), ERR_CONFLICT);
    must(activity_load_current(f.st, made->id, &again));
    assert_ptr_equal(again, next);
    assert_int_equal(activity_load(f.st, (struct revision_id){7}, &again), ERR_NOT_FOUND);
    a.id.v = 7;
    assert_int_equal(activity_revise(f.st, &a, by, &again), ERR_NOT_FOUND);
    fixture_close(&f);
}

static void starters_are_sound(void **state)
{
    (void)state;
    struct fixture f;
    fixture_school(&f);
    unsigned kinds = 0;
    struct activity_id ids[STARTER_COUNT];
    for (size_t i = 0; i < STARTER_COUNT; i++) {
        const struct activity *a = starters[i];
        told(a, NULL, NULL);
        kinds |= 1u << a->kind;
        assert_int_equal(a->version_count, ACTIVITY_VERSIONS);
        assert_int_equal(a->step_count, ACTIVITY_STEPS);
        assert_in_range(a->cue_count, 3, 5);
        assert_in_range(a->question_count, 1, 3);
        assert_true(a->safety_count >= 3 && a->kit_count >= 1);
        assert_int_equal(activity_version_of(a, VERSION_STANDARD)->band_line_count, BANDS - 1);
        const char *seated = activity_version_of(a, VERSION_SEATED)->how;
        assert_null(strstr(seated, "tand"));     /* shows nobody standing */
        assert_null(strstr(seated, "ump"));
    }
    assert_int_equal(kinds, (1u << ACTIVITY_KIND_COUNT) - 1);
    must(starters_install(f.st, now, ids));
    struct activity_line *lines = NULL;
    size_t n = 0;
    must(activity_list(f.mem, f.st, &lines, &n));
    assert_int_equal(n, STARTER_COUNT);
    bool archived = true;
    must(activity_is_archived(f.st, ids[0], &archived));
    assert_false(archived);
    must(activity_archive(f.st, ids[0], now));
    must(activity_is_archived(f.st, ids[0], &archived));
    assert_true(archived);
    assert_int_equal(activity_archive(f.st, (struct activity_id){7}, now), ERR_NOT_FOUND);
    fixture_close(&f);
}

/* The issue's own example: four slides at 0, 2 and 5 can never total 13 or 16. */
static void slides_never_total_thirteen(void **state)
{
    (void)state;
    struct scoring s;
    struct total_set set;
    scoring_of(starters[0], &s);
    attainable_totals(&s, s.throws, &set);
    assert_false(attainable_has(&set, 13));
    assert_false(attainable_has(&set, 16));
    assert_true(attainable_has(&set, 15));
    assert_true(attainable_has(&set, 17));
    assert_int_equal(set.most, 20);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(faults_are_told_where_they_are),
        cmocka_unit_test(faults_of_measures),
        cmocka_unit_test(the_longest_draft_fits_the_schema),
        cmocka_unit_test(a_revision_reads_back_whole),
        cmocka_unit_test(starters_are_sound),
        cmocka_unit_test(slides_never_total_thirteen),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
