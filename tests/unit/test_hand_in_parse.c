/* SPDX-License-Identifier: MIT
 * The strict reader of a hand-in's JSON: what is read, and what is blamed where. The shape is the
 * published interface's; the pointers are RFC 6901. */
#include <jansson.h>
#include <string.h>

#include "base/clock.h"
#include "base/mem.h"
#include "handlers/hand_in_internal.h"
#include "t.h"

#define ID "\"id\":\"018f0000-0000-7000-8000-000000000001\","

static struct request request_of(const char *json)
{
    struct request rq = {.mem = mem_root(), .query = "", .body = json};
    rq.json = json_loads(json, JSON_REJECT_DUPLICATES, NULL);
    assert_non_null(rq.json);
    return rq;
}

static void done(struct request *rq)
{
    json_decref(rq->json);
    talloc_free(rq->mem);
}

static void reads_everything(void **state)
{
    (void)state;
    struct request rq = request_of(
        "{" ID "\"challenge\":\"12\",\"version\":\"13\",\"attempts\":[{\"throws\":[2,0,5,2],"
        "\"distance_mm\":3000},{\"value\":7,\"tries_used\":4}],\"done_on\":\"2026-03-10\","
        "\"cues\":[\"7\",\"8\"],\"answers\":{\"5\":\"6\"},\"felt\":\"too_hard\",\"setup\":{\"target\":"
        "\"3\",\"kit\":\"4\",\"place\":\"home\",\"counted_by\":\"self\"},\"confirmed\":true,"
        "\"could_not\":\"no_kit\"}");
    struct hand_in_input in = {0};
    assert_int_equal(hand_in_input_read(&rq, false, &in), OK);
    assert_int_equal(in.h.id.b[0], 0x01);
    assert_int_equal(in.h.id.b[15], 0x01);
    assert_int_equal(in.h.challenge.v, 12);
    assert_int_equal(in.h.version.v, 13);
    assert_int_equal(in.tried_count, 2);
    assert_int_equal(in.tried[0].throw_count, 4);
    assert_int_equal(in.tried[0].throws[2], 5);
    assert_int_equal(in.tried[0].distance_mm, 3000);
    assert_false(in.tried[0].has_value);
    assert_true(in.tried[1].has_value);
    assert_int_equal(in.tried[1].tries_used, 4);
    assert_true(in.has_done_on);
    assert_int_equal(in.done_on, 20522);    /* date -u -d 2026-03-10 +%s / 86400 */
    assert_int_equal(in.h.cue_count, 2);
    assert_int_equal(in.h.answers[0].choice, 6);
    assert_string_equal(in.h.felt, "too_hard");
    assert_string_equal(in.h.place, "home");
    assert_string_equal(in.h.counted_by, "self");
    assert_string_equal(in.h.could_not, "no_kit");
    assert_true(in.h.confirmed);
    done(&rq);
}

struct wrong {
    const char *json, *pointer, *code;
    bool on_behalf;
};

static const struct wrong wrongs[] = {
    {"{" ID "\"challenge\":\"1\"}", "/attempts", "required", false},
    {"{\"challenge\":\"1\",\"attempts\":[]}", "/id", "required", false},
    {"{" ID "\"attempts\":[]}", "/challenge", "required", false},
    {"{" ID "\"challenge\":1,\"attempts\":[]}", "/challenge", "type", false},
    {"{" ID "\"challenge\":\"x\",\"attempts\":[]}", "/challenge", "not_an_id", false},
    {"{" ID "\"challenge\":\"01\",\"attempts\":[]}", "/challenge", "not_an_id", false},
    {"{\"id\":\"1\",\"challenge\":\"1\",\"attempts\":[]}", "/id", "not_a_uuid", false},
    {"{" ID "\"challenge\":\"1\",\"attempts\":{}}", "/attempts", "type", false},
    {"{" ID "\"challenge\":\"1\",\"attempts\":[7]}", "/attempts/0", "type", false},
    {"{" ID "\"challenge\":\"1\",\"attempts\":[{},{},{},{},{},{}]}", "/attempts", "too_many", false},
    {"{" ID "\"challenge\":\"1\",\"attempts\":[{\"value\":\"7\"}]}", "/attempts/0/value", "type", false},
    {"{" ID "\"challenge\":\"1\",\"attempts\":[{\"value\":7.0}]}", "/attempts/0/value", "type", false},
    {"{" ID "\"challenge\":\"1\",\"attempts\":[{\"value\":null}]}", "/attempts/0/value", "type", false},
    {"{" ID "\"challenge\":\"1\",\"attempts\":[{\"throws\":7}]}", "/attempts/0/throws", "type", false},
    {"{" ID "\"challenge\":\"1\",\"attempts\":[{\"throws\":[1,true]}]}", "/attempts/0/throws/1", "type", false},
    {"{" ID "\"challenge\":\"1\",\"attempts\":[{\"value\":1},{\"distance_mm\":0}]}",
     "/attempts/1/distance_mm", "out_of_range", false},
    {"{" ID "\"challenge\":\"1\",\"attempts\":[{\"tries_used\":101}]}", "/attempts/0/tries_used",
     "out_of_range", false},
    {"{" ID "\"challenge\":\"1\",\"attempts\":[{\"points\":1}]}", "/attempts/0/points", "unknown", false},
    {"{" ID "\"challenge\":\"1\",\"attempts\":[],\"a/b~c\":1}", "/a~1b~0c", "unknown", false},
    {"{" ID "\"challenge\":\"1\",\"attempts\":[],\"done_on\":\"2026-02-30\"}", "/done_on", "not_a_day", false},
    {"{" ID "\"challenge\":\"1\",\"attempts\":[],\"done_on\":20522}", "/done_on", "type", false},
    {"{" ID "\"challenge\":\"1\",\"attempts\":[],\"cues\":[\"7\",\"7\"]}", "/cues/1", "duplicate", false},
    {"{" ID "\"challenge\":\"1\",\"attempts\":[],\"cues\":\"7\"}", "/cues", "type", false},
    {"{" ID "\"challenge\":\"1\",\"attempts\":[],\"answers\":{\"x\":\"1\"}}", "/answers/x", "unknown", false},
    {"{" ID "\"challenge\":\"1\",\"attempts\":[],\"answers\":{\"1\":2}}", "/answers/1", "type", false},
    {"{" ID "\"challenge\":\"1\",\"attempts\":[],\"felt\":\"fine\"}", "/felt", "not_a_choice", false},
    {"{" ID "\"challenge\":\"1\",\"attempts\":[],\"setup\":{\"place\":\"park\"}}", "/setup/place",
     "not_a_choice", false},
    {"{" ID "\"challenge\":\"1\",\"attempts\":[],\"setup\":{\"help\":\"x\"}}", "/setup/help", "unknown", false},
    {"{" ID "\"challenge\":\"1\",\"attempts\":[],\"confirmed\":1}", "/confirmed", "type", false},
    {"{" ID "\"challenge\":\"1\",\"attempts\":[],\"could_not\":\"ill\"}", "/could_not", "not_a_choice", false},
    {"{" ID "\"challenge\":\"1\",\"attempts\":[],\"pupil\":\"1\"}", "/pupil", "unknown", false},
    {"{" ID "\"challenge\":\"1\",\"attempts\":[],\"channel\":\"paper\"}", "/channel", "unknown", false},
    {"{" ID "\"attempts\":[],\"channel\":\"paper\"}", "/pupil", "required", true},
    {"{" ID "\"attempts\":[],\"pupil\":\"1\"}", "/channel", "required", true},
    {"{" ID "\"attempts\":[],\"pupil\":\"1\",\"channel\":\"web\"}", "/channel", "not_a_choice", true},
};

static void blames_what_is_wrong(void **state)
{
    (void)state;
    for (size_t i = 0; i < T_COUNT(wrongs); i++) {
        struct request rq = request_of(wrongs[i].json);
        struct hand_in_input in = {0};
        enum err e = hand_in_input_read(&rq, wrongs[i].on_behalf, &in);
        if (e != ERR_BAD_INPUT || rq.blame_count == 0 ||
            strcmp(rq.blames[0].pointer, wrongs[i].pointer) != 0 ||
            strcmp(rq.blames[0].code, wrongs[i].code) != 0) {
            print_error("%s: %d %s %s\n", wrongs[i].json, e,
                        rq.blame_count ? rq.blames[0].pointer : "-",
                        rq.blame_count ? rq.blames[0].code : "-");
            fail();
        }
        done(&rq);
    }
}

static void hash_of(const char *json, uint8_t out[32])
{
    struct request rq = request_of(json);
    struct hand_in_input in = {0};
    assert_int_equal(hand_in_input_read(&rq, false, &in), OK);
    hand_in_content_hash(&rq, &in);
    memcpy(out, in.h.content_hash, 32);
    done(&rq);
}

static void same_content_same_hash(void **state)
{
    (void)state;
    uint8_t one[32], two[32];
    hash_of("{" ID "\"challenge\":\"1\",\"attempts\":[{\"value\":7}],\"cues\":[\"1\",\"2\"]}", one);
    static const char *const same[] = {
        "{" ID "\"attempts\":[{\"value\":7}],\"cues\":[\"2\",\"1\"],\"challenge\":\"1\"}",
        "{" ID "\"challenge\":\"1\",\"attempts\":[{\"value\":7}],\"cues\":[\"1\",\"2\"],\"confirmed\":true}",
        "{\"id\":\"018f0000-0000-7000-8000-0000000000ff\",\"challenge\":\"1\",\"attempts\":[{\"value\":7}],"
        "\"cues\":[\"1\",\"2\"]}",
    };
    for (size_t i = 0; i < T_COUNT(same); i++) {
        hash_of(same[i], two);
        assert_memory_equal(one, two, 32);
    }
    static const char *const other[] = {
        "{" ID "\"challenge\":\"2\",\"attempts\":[{\"value\":7}],\"cues\":[\"1\",\"2\"]}",
        "{" ID "\"challenge\":\"1\",\"attempts\":[{\"value\":8}],\"cues\":[\"1\",\"2\"]}",
        "{" ID "\"challenge\":\"1\",\"attempts\":[{\"value\":7},{\"value\":7}],\"cues\":[\"1\",\"2\"]}",
        "{" ID "\"challenge\":\"1\",\"attempts\":[{\"value\":7,\"distance_mm\":3000}],\"cues\":[\"1\",\"2\"]}",
        "{" ID "\"challenge\":\"1\",\"attempts\":[{\"value\":7}],\"cues\":[\"1\"]}",
        "{" ID "\"challenge\":\"1\",\"attempts\":[{\"value\":7}],\"cues\":[\"1\",\"2\"],\"felt\":\"too_easy\"}",
        "{" ID "\"challenge\":\"1\",\"attempts\":[{\"value\":7}],\"cues\":[\"1\",\"2\"],"
        "\"done_on\":\"2026-03-10\"}",
    };
    for (size_t i = 0; i < T_COUNT(other); i++) {
        hash_of(other[i], two);
        assert_memory_not_equal(one, two, 32);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(reads_everything),
        cmocka_unit_test(blames_what_is_wrong),
        cmocka_unit_test(same_content_same_hash),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
