/* SPDX-License-Identifier: MIT
 * A unit as a file from one school to another: nothing of a person in it, byte for byte the same when it goes
 * out again, all of it or nothing, and files that are broken in many ways. All names are invented. */

import test from "node:test";
import assert from "node:assert/strict";
import { startSchool } from "../lib/server.mjs";
import { signedIn } from "../lib/client.mjs";
import { makeActivity, must } from "../lib/world.mjs";

async function office(t) {
    const school = await startSchool();
    t.after(() => school.stop());
    const first = await signedIn(school.url, school.account);
    await first.get("/api/v1/session");
    const count = async () => [must(await first.get("/api/v1/units"), 200).units.length, must(await first.get("/api/v1/activities"), 200).activities.length];
    return { first, count };
}

async function fullUnit(first) {
    const [slide, skip] = [await makeActivity(first, "zones"), await makeActivity(first, "timed_count")];
    const starters = must(await first.get("/api/v1/activities"), 200).activities;
    const heron = starters.find((a) => a.name === "Heron stand");
    return must(await first.post("/api/v1/units", { name: "Aim and hold", statistic: "best", policy: "weakest", pooling: "latest",
        lessons: [{ name: "First aim", activities: [slide.id, heron.id] }, { name: "Skip", activities: [skip.id, slide.id] }, { name: "Free", activities: [] }] }), 201).unit;
}

test("from one school to another and out again", async (t) => {
    const [a, b] = [await office(t), await office(t)];
    const unit = await fullUnit(a.first);
    const out = await a.first.get(`/api/v1/units/${unit.id}/file`);
    must(out, 200);
    assert.match(out.headers["content-disposition"], /attachment; filename="unit\.json"/);
    assert.doesNotMatch(out.text, /"id"|"revision"|attainable|created|Maren|[0-9]{15,}/, "no id, no date, nobody");
    assert.deepEqual(out.json.unit.lessons.map((l) => l.activities), [[0, 1], [2, 0], []]);
    assert.equal(out.json.activities.length, 3);

    const before = await b.count();
    const looked = must(await b.first.post("/api/v1/unit-files?dry_run=1", out.json), 200);
    assert.deepEqual(looked, { name: "Aim and hold", lessons: 3, activities: [{ name: "Mat slide", known: false }, { name: "Heron stand", known: true }, { name: "Line skips", known: false }], unit: null });
    assert.deepEqual(await b.count(), before, "looking stores nothing");
    const made = must(await b.first.post("/api/v1/unit-files", out.json), 201);
    assert.deepEqual(await b.count(), [before[0] + 1, before[1] + 2], "what the school has, word for word, is used");
    const again = await b.first.get(`/api/v1/units/${made.unit}/file`);
    assert.equal(again.text, out.text, "byte for byte");
    const second = must(await b.first.post("/api/v1/unit-files", out.json), 201);
    assert.ok(second.activities.every((x) => x.known));
    assert.deepEqual(await b.count(), [before[0] + 2, before[1] + 2]);
});

test("a file that is broken is refused with a pointer and stores nothing", async (t) => {
    const w = await office(t);
    const unit = await fullUnit(w.first);
    const file = must(await w.first.get(`/api/v1/units/${unit.id}/file`), 200);
    file.activities.forEach((a) => { a.name = "Other " + a.name; });
    const before = await w.count();
    const send = async (change) => {
        const one = JSON.parse(JSON.stringify(file));
        change(one);
        const answer = await w.first.post("/api/v1/unit-files", one);
        assert.deepEqual(await w.count(), before, "nothing is stored");
        return [answer.status, answer.json.errors[0].pointer, answer.json.errors[0].code];
    };
    assert.deepEqual(await send((f) => { f.thrice_unit = 2; }), [422, "/thrice_unit", "not_a_choice"]);
    assert.deepEqual(await send((f) => { delete f.thrice_unit; }), [422, "/thrice_unit", "required"]);
    assert.deepEqual(await send((f) => { f.pupils = ["Ondi"]; }), [422, "/pupils", "unknown"]);
    assert.deepEqual(await send((f) => { delete f.unit; }), [422, "/unit", "required"]);
    assert.deepEqual(await send((f) => { f.unit.name = ""; }), [422, "/unit/name", "required"]);
    assert.deepEqual(await send((f) => { f.unit.statistic = "worst"; }), [422, "/unit/statistic", "not_a_choice"]);
    assert.deepEqual(await send((f) => { f.unit.lessons[1].activities[0] = 9; }), [422, "/unit/lessons/1/activities/0", "out_of_range"]);
    assert.deepEqual(await send((f) => { f.unit.lessons[0].activities[0] = "0"; }), [422, "/unit/lessons/0/activities/0", "type"]);
    assert.deepEqual(await send((f) => { f.unit.lessons[0].when = "x"; }), [422, "/unit/lessons/0/when", "unknown"]);
    assert.deepEqual(await send((f) => { f.activities[1] = "x"; }), [422, "/activities/1", "type"]);
    assert.deepEqual(await send((f) => { f.activities[2].kind = "race"; }), [422, "/activities/2/kind", "not_a_choice"]);
    assert.deepEqual(await send((f) => { f.activities[0].versions[0].how = ""; }), [422, "/activities/0/versions/0/how", "required"]);
    const falling = await send((f) => { f.activities[2].versions[0].band_lines = [40, 20]; });
    assert.equal(falling[0], 422, "the last activity's fault stores none before it");
    assert.match(falling[1], /^\/activities\/2\/versions\/0\/band_lines/);
    assert.equal((await send((f) => { f.activities = Array.from({ length: 61 }, () => f.activities[0]); }))[2], "too_many");
});

test("truncated, doubled, deep and huge files", async (t) => {
    const w = await office(t);
    const unit = await fullUnit(w.first);
    const { text } = await w.first.get(`/api/v1/units/${unit.id}/file`);
    const before = await w.count();
    const send = async (bytes) => (await w.first.request("POST", "/api/v1/unit-files", bytes, { type: "application/json" })).status;
    for (let n = 0; n < text.length; n += Math.ceil(text.length / 60)) {
        assert.equal(await send(text.slice(0, n)), 400, `cut at ${n}`);
    }
    assert.equal(await send(text.replace("{\"thrice_unit\":1", "{\"thrice_unit\":1,\"thrice_unit\":1")), 400, "a key twice");
    assert.equal(await send("{\"thrice_unit\":1,\"unit\":" + "[".repeat(200) + "]".repeat(200) + "}"), 400, "deep");
    assert.equal(await send("{\"thrice_unit\":1,\"unit\":{\"name\":\"" + "x".repeat(300000) + "\"}}"), 413, "huge");
    assert.equal(await send("{\"thrice_unit\":1,\"unit\":{\"name\":\"x\"},\"activities\":[" + Array.from({ length: 20000 }, () => "1").join(",") + "]}"), 422, "many values");
    assert.deepEqual(await w.count(), before);
});
