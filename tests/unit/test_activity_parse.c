/* SPDX-License-Identifier: MIT
 * An activity's JSON read strictly: what is taken, and the pointer and code of what is not. */
#include <string.h>

#include "base/mem.h"
#include "fixture.h"
#include "handlers/plan_internal.h"
#include "store/school.h"
#include "t.h"

static const char whole[] =
    "{\"name\":\"  Cloth   slide \",\"strand\":\"target\",\"kind\":\"zones\",\"unit\":\"points\","
    "\"attempts\":3,\"throws\":4,\"cap\":null,\"summary\":\"Slide.\\nGently.\",\"set_up\":\"\","
    "\"scoring\":\"\",\"distances_mm\":[4000,2000,3000],\"reference_mm\":3000,"
    "\"zones\":[{\"name\":\"mat\",\"points\":5,\"x1_mm\":-100,\"x2_mm\":100},"
    "{\"name\":\"miss\",\"points\":0}],\"targets\":[{\"id\":\"9\",\"name\":\"towel\",\"size_mm\":null}],"
    "\"versions\":[{\"kind\":\"standard\",\"how\":\"Slide.\",\"band_lines\":[5,10]}],"
    "\"cues\":[{\"id\":\"4\",\"text\":\"Low\"}],\"questions\":[{\"text\":\"Why?\",\"choices\":["
    "{\"text\":\"Yes\",\"right\":true},{\"text\":\"No\",\"right\":false}]}],"
    "\"safety\":[\"Look round.\"],\"kit\":[{\"item\":\"cloth\",\"swap\":\"sock\"}],"
    "\"steps\":[{\"change\":\"task\",\"easier\":\"Nearer.\",\"harder\":\"\"}],"
    "\"revision\":\"77\",\"attainable\":[0,5]}";

struct try {
    struct fixture f;
    struct request *rq;
    struct activity_input in;
};

static void start(struct try *t)
{
    static const struct band_words words = {3, {"low", "middle", "high"}};
    fixture_school(&t->f);
    assert_int_equal(school_band_words_put(t->f.st, &words), OK);
}

/* Parses `text` with the member `key` set to `value` (JSON; NULL: taken away). */
static enum err parse(struct try *t, const char *key, const char *value)
{
    t->rq = mem_new(t->f.mem, struct request);
    t->rq->mem = t->rq;
    t->rq->store = t->f.st;
    t->rq->json = request_own_json(t->rq, json_loads(whole, 0, NULL));
    assert_non_null(t->rq->json);
    if (key && value) {
        json_t *v = json_loads(value, JSON_DECODE_ANY, NULL);
        assert_non_null(v);
        assert_int_equal(json_object_set_new(t->rq->json, key, v), 0);
    } else if (key) {
        json_object_del(t->rq->json, key);
    }
    return activity_parse(t->rq, &t->in);
}

static void taken_as_typed(void **state)
{
    (void)state;
    struct try t = {0};
    start(&t);
    assert_int_equal(parse(&t, NULL, NULL), OK);
    const struct activity *a = &t.in.draft;
    assert_string_equal(a->name, "Cloth slide");
    assert_string_equal(a->summary, "Slide. Gently.");
    assert_int_equal(a->distances_mm[0], 2000);
    assert_int_equal(a->distances_mm[2], 4000);
    assert_int_equal(t.in.draft.revision.v, 77);
    assert_int_equal(t.in.copied_from.v, 0);
    assert_true(a->zones[0].x1_mm.set);
    assert_false(a->zones[0].y1_mm.set);
    assert_int_equal(a->targets[0].size_mm, 0);
    assert_int_equal(a->versions[0].band_lines[1], 10);
    assert_int_equal(a->resolution, 1);
    fixture_close(&t.f);
}

static void refused_with_a_pointer(void **state)
{
    (void)state;
    static const struct {
        const char *key, *value, *pointer, *code;
    } bad[] = {
        {"name", NULL, "/name", "required"},
        {"name", "7", "/name", "type"},
        {"name", "\"a\\u202eb\"", "/name", "not_text"},
        {"kind", NULL, "/kind", "required"},
        {"kind", "\"zone\"", "/kind", "not_a_choice"},
        {"a/b~c", "1", "/a~1b~0c", "unknown"},
        {"attempts", "3.0", "/attempts", "type"},
        {"attempts", "99999999999", "/attempts", "out_of_range"},
        {"attempts", "0", "/attempts", "out_of_range"},
        {"throws", "-1", "/throws", "out_of_range"},
        {"lower_is_better", "1", "/lower_is_better", "type"},
        {"zones", "{}", "/zones", "type"},
        {"zones", "[1]", "/zones/0", "type"},
        {"zones", "[{\"name\":\"a\"}]", "/zones/0/points", "required"},
        {"zones", "[{\"name\":\"a\",\"points\":1,\"colour\":2}]", "/zones/0/colour", "unknown"},
        {"zones", "[{},{},{},{},{},{},{}]", "/zones", "too_many"},
        {"distances_mm", "[3000,3000]", "/distances_mm/1", "duplicate"},
        {"distances_mm", "[\"3\"]", "/distances_mm/0", "type"},
        {"distances_mm", "[99]", "/distances_mm/0", "out_of_range"},
        {"versions", "[{\"how\":\"x\"}]", "/versions/0/kind", "required"},
        {"versions", "[{\"kind\":\"standard\",\"how\":\"x\",\"band_lines\":[1.5]}]",
         "/versions/0/band_lines/0", "type"},
        {"versions", "[{\"kind\":\"standard\",\"how\":\"x\",\"band_lines\":[1,2,3]}]",
         "/versions/0/band_lines", "too_many"},
        {"questions", "[{\"text\":\"q\",\"choices\":[{\"text\":\"a\",\"right\":\"yes\"}]}]",
         "/questions/0/choices/0/right", "type"},
        {"safety", "[\"ok\",null,5]", "/safety/2", "type"},
        {"safety", "[\"\"]", "/safety/0", "required"},
        {"steps", "[{\"change\":\"wind\"}]", "/steps/0/change", "not_a_choice"},
        {"copied_from", "\"01\"", "/copied_from", "not_an_id"},
        {"copied_from", "12", "/copied_from", "type"},
    };
    struct try t = {0};
    start(&t);
    for (size_t i = 0; i < T_COUNT(bad); i++) {
        enum err e = parse(&t, bad[i].key, bad[i].value);
        if (e != ERR_BAD_INPUT || t.rq->blame_count == 0 ||
            strcmp(t.rq->blames[0].pointer, bad[i].pointer) != 0 ||
            strcmp(t.rq->blames[0].code, bad[i].code) != 0) {
            fail_msg("%s=%s: %d %s %s", bad[i].key, bad[i].value ? bad[i].value : "(none)", e,
                     t.rq->blame_count ? t.rq->blames[0].pointer : "",
                     t.rq->blame_count ? t.rq->blames[0].code : "");
        }
    }
    fixture_close(&t.f);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(taken_as_typed),
        cmocka_unit_test(refused_with_a_pointer),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
