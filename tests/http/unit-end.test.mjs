/* SPDX-License-Identifier: MIT
 * Unit end, band lines and the next lesson over HTTP. Names and tries are invented; the share of a
 * class in each band is counted by hand from the tries beside it. */

import test from "node:test";
import assert from "node:assert/strict";
import { startSchool } from "../lib/server.mjs";
import { signedIn, uuid7 } from "../lib/client.mjs";
import { makeClass, makeActivity, makeStaff, setChallenge, must, ACTIVITIES } from "../lib/world.mjs";

const NAMES = ["Ondi", "Perrin", "Quill", "Rafe", "Sunniva", "Tamar"];

async function world(t, names = NAMES) {
    const school = await startSchool();
    t.after(() => school.stop());
    const first = await signedIn(school.url, school.account);
    await first.get("/api/v1/session");
    const w = { url: school.url, first };
    w.klass = await makeClass(w, "3 Alder", names);
    w.activity = await makeActivity(first, "zones");
    w.challenge = await setChallenge(first, w.activity, [w.klass.id]);
    w.unit = w.challenge.unit.id;
    return w;
}

async function send(w, i, values, more = {}) {
    const attempts = values.map((v) => (Array.isArray(v) ? { throws: v, distance_mm: 3000 } : { value: v, distance_mm: 3000 }));
    return must(await w.first.post(`/api/v1/challenges/${(more.challenge || w.challenge).id}/hand-ins`, { id: uuid7(), pupil: w.klass.pupils[i].id, channel: "staff", attempts, ...more.body }), 201);
}

test("a suggestion is taken apart into strands, bounds and lines", async (t) => {
    const w = await world(t);
    await send(w, 0, [[5, 2, 0, 2], [5, 5, 2, 0], [2, 2, 2, 0]]);       /* 9, 12, 6: middle 9 */
    const page = must(await w.first.get(`/api/v1/units/${w.unit}/assess?class=${w.klass.id}`), 200);
    assert.deepEqual([page.unit.statistic, page.unit.policy, page.unit.pooling], ["middle", "majority", "unit"]);
    const s = page.rows[0].suggestion;
    assert.deepEqual(s.strands.map((x) => [x.name, x.band, x.decides]), [["doing", 1, false], ["thinking", null, false], ["taking_part", null, false]]);
    assert.deepEqual([s.status, s.lo, s.hi], ["not_enough", null, null], "one strand alone is no judgement of a unit");
    assert.match(s.policy_sentence, /two of doing, thinking and taking part/);
    assert.equal(s.lines.length, 1);
    assert.deepEqual([s.lines[0].activity.name, s.lines[0].version, s.lines[0].step_mm, s.lines[0].attempts, s.lines[0].hand_ins, s.lines[0].observed, s.lines[0].band],
        ["Mat slide", "standard", 3000, 3, 1, 9, 1]);
    assert.match(s.lines[0].sentence, /3 tries in 1 hand-in; the middle one is 9/);
    const empty = page.rows[1].suggestion;
    assert.deepEqual([empty.band, empty.status, empty.lines.length], [null, "not_enough", 0]);

    must(await w.first.put(`/api/v1/units/${w.unit}/taking-part/${w.klass.pupils[0].id}`, { band: 0 }), 204);
    const two = must(await w.first.get(`/api/v1/units/${w.unit}/assess?class=${w.klass.id}`), 200).rows[0].suggestion;
    assert.equal(two.status, "provisional");
    assert.ok(Number.isInteger(two.lo) && Number.isInteger(two.hi) && two.lo <= two.band && two.band <= two.hi);
    assert.deepEqual([two.band, two.lo, two.hi], [0, 0, 1], "majority of doing 1 and taking part 0; thinking could still make it 1");
    assert.deepEqual(two.strands.map((x) => x.decides), [false, false, true]);
    must(await w.first.put(`/api/v1/units/${w.unit}`, { statistic: "best", policy: "weakest" }), 200);
    const best = must(await w.first.get(`/api/v1/units/${w.unit}/assess?class=${w.klass.id}`), 200).rows[0].suggestion;
    assert.deepEqual([best.statistic, best.policy, best.lines[0].observed, best.lines[0].band], ["best", "weakest", 12, 2]);
});

test("new band lines hold at once for what is still open, and leave what was decided alone", async (t) => {
    const w = await world(t);
    await send(w, 0, [9, 9, 9]);
    await send(w, 1, [9, 9, 9]);
    const path = `/api/v1/units/${w.unit}/assess?class=${w.klass.id}`;
    must(await w.first.put(`/api/v1/units/${w.unit}/assessments/${w.klass.pupils[0].id}`, { band: 1 }), 200);
    const lines = `/api/v1/activities/${w.activity.id}/lines`;
    const made = must(await w.first.put(lines, { revision: w.activity.revision, versions: { standard: [5, 9] } }), 200).activity;
    assert.deepEqual(made.versions.map((v) => [v.kind, v.band_lines]), [["standard", [5, 9]], ["seated", []]]);
    assert.notEqual(made.revision, w.activity.revision);
    for (const member of ["name", "summary", "throws", "distances_mm", "reference_mm", "safety", "scoring", "set_up", "attainable"]) {
        assert.deepEqual(made[member], w.activity[member], member);
    }
    const texts = (list, key) => list.map((x) => x[key]);
    assert.deepEqual([texts(made.cues, "text"), texts(made.kit, "item"), texts(made.questions, "text"), texts(made.steps, "harder")],
        [texts(w.activity.cues, "text"), texts(w.activity.kit, "item"), texts(w.activity.questions, "text"), texts(w.activity.steps, "harder")]);
    const rows = must(await w.first.get(path), 200).rows;
    assert.deepEqual(rows.slice(0, 2).map((r) => r.suggestion.band), [2, 2]);
    assert.equal(rows[0].assessment.suggestion.band, 1, "kept as it was shown");
    assert.equal((await w.first.put(lines, { revision: w.activity.revision, versions: { standard: [4, 9] } })).status, 409, "made from an older revision");
    assert.equal(must(await w.first.put(lines, { versions: { standard: [5, 9] } }), 200).activity.revision, made.revision, "nothing changed, no new revision");
    const seated = must(await w.first.put(lines, { versions: { seated: [7] } }), 200).activity;
    assert.deepEqual(seated.versions.map((v) => v.band_lines), [[5, 9], [7]]);
    for (const [body, pointer, code] of [[{ versions: { standard: [9, 5] } }, "/versions/standard/1", "wrong_order"], 
        [{ versions: { standard: [5, 21] } }, "/versions/standard/1", "out_of_range"], [{ versions: { standard: [2, 5, 9] } }, "/versions/standard", "too_many"],
        [{ versions: { standard: ["5"] } }, "/versions/standard/0", "type"], [{ versions: { quiet: [5] } }, "/versions", "unknown"], [{ versions: [5] }, "/versions", "type"],
        [{}, "/versions", "required"], [{ versions: {}, name: "x" }, "/name", "unknown"]]) {
        const answer = await w.first.put(lines, body);
        assert.equal(answer.status, 422, JSON.stringify(body) + answer.text);
        assert.deepEqual([answer.json.errors[0].pointer, answer.json.errors[0].code], [pointer, code], JSON.stringify(body));
    }
    assert.deepEqual(must(await w.first.get(`/api/v1/activities/${w.activity.id}`), 200).activity.versions, seated.versions, "a refused change changed something");
});

test("the preview counts a class under lines that are not stored", async (t) => {
    const w = await world(t);
    const path = (query) => `/api/v1/activities/${w.activity.id}/band-preview?class=${w.klass.id}&${query}`;
    const none = must(await w.first.get(path("lines=7,12")), 200);
    assert.equal(none.from, null);
    assert.match(none.sentences[0], /No tries of this class/);
    for (const [i, v] of [[0, [2, 4, 5]], [1, [9, 9, 9]], [2, [12, 14, 12]], [3, [7, 9, 6]]]) {
        await send(w, i, v);                                        /* middles 4, 9, 12, 7 */
    }
    must(await w.first.post(`/api/v1/challenges/${w.challenge.id}/hand-ins`, { id: uuid7(), pupil: w.klass.pupils[4].id, channel: "staff", attempts: [{ value: 9, distance_mm: 2000 }] }), 201);
    must(await w.first.post(`/api/v1/challenges/${w.challenge.id}/hand-ins`, { id: uuid7(), pupil: w.klass.pupils[5].id, channel: "staff", version: w.activity.versions[1].id, attempts: [{ value: 9, distance_mm: 3000 }] }), 201);
    const before = must(await w.first.get(`/api/v1/units/${w.unit}/assess?class=${w.klass.id}`), 200);
    const p = must(await w.first.get(path("lines=7,12")), 200);
    assert.deepEqual(p.from, { unit: { id: w.unit, name: p.from.unit.name }, challenge: { id: w.challenge.id, number: w.challenge.number }, last_on: p.from.last_on, pupils: 6, placed: 4, elsewhere: 1, other_version: 1, second_view: 0 });
    assert.deepEqual(p.bands.map((b) => b.count), [1, 2, 1]);
    assert.deepEqual(p.scores, [{ value: 4, count: 1 }, { value: 7, count: 1 }, { value: 9, count: 1 }, { value: 12, count: 1 }]);
    assert.equal(Object.values(p.labels).reduce((a, b) => a + b), 4);
    assert.match(p.sentences[0], /^Of 4 children 1 would fall in “[^”]+”, 2 in “[^”]+” and 1 in “[^”]+”\.$/);
    assert.match(p.sentences[1], /another day would land in the same band at least 2 times in 3/);
    assert.match(p.sentences.join(" "), /1 child is left out: the lines belong to one distance/);
    assert.doesNotMatch(JSON.stringify(p), new RegExp(NAMES.join("|")), "no names");
    assert.deepEqual(must(await w.first.get(path("lines=5")), 200).bands.map((b) => b.count), [1, 3]);
    assert.deepEqual(must(await w.first.get(path("lines=7,18")), 200).bands.map((b) => b.count), [1, 3, 0], "18 is no total; 20 would meet it");
    const best = must(await w.first.get(path("lines=5,12&statistic=best")), 200);
    assert.deepEqual([best.statistic, best.bands.map((b) => b.count)], ["best", [0, 3, 1]]);
    const seated = must(await w.first.get(path("lines=7,12&version=seated")), 200);
    assert.deepEqual([seated.version, seated.from.placed, seated.bands[1].count], ["seated", 1, 1]);
    assert.deepEqual(must(await w.first.get(`/api/v1/units/${w.unit}/assess?class=${w.klass.id}`), 200), before, "a preview changed something");
    for (const [query, pointer, code] of [["lines=12,7", "/lines/1", "wrong_order"], ["lines=7,99", "/lines/1", "out_of_range"], ["lines=2,7,12", "/lines", "too_many"],
        ["lines=1,2,3,4,5,6", "/lines", "too_many"], ["lines=7,,12", "/lines/1", "type"], ["lines=7,", "/lines/0", "type"], ["lines=abc", "/lines/0", "type"], ["lines=-1", "/lines/0", "type"], ["version=standard", "/lines", "required"],
        ["lines=7&version=quiet", "/version", "not_found"], ["lines=7&version=x", "/version", "not_a_choice"], ["lines=7&statistic=x", "/statistic", "not_a_choice"]]) {
        const answer = await w.first.get(path(query));
        assert.equal(answer.status, 422, query + answer.text);
        assert.deepEqual([answer.json.errors[0].pointer, answer.json.errors[0].code], [pointer, code], query);
    }
    const lead = await makeStaff(w, "Pelle", ["pe_lead"]);
    assert.equal((await lead.client.get(`/api/v1/activities/${w.activity.id}/band-preview?lines=7`)).json.errors[0].pointer, "/class");
    assert.equal((await w.first.get(`/api/v1/activities/1/band-preview?class=${w.klass.id}&lines=7`)).status, 404);
    assert.equal((await w.first.put("/api/v1/activities/1/lines", { versions: {} })).status, 404);
    const changed = must(await w.first.put(`/api/v1/activities/${w.activity.id}`, { ...ACTIVITIES.zones, throws: 5 }), 200).activity;
    assert.equal(changed.throws, 5);
    const other = must(await w.first.get(path("lines=7,12")), 200);
    assert.equal(other.from, null);
    assert.match(other.sentences[0], /scored another way/);
});

test("the next lesson groups by what comes next, and nobody without tries is in the easiest group", async (t) => {
    const w = await world(t);
    const path = `/api/v1/units/${w.unit}/next-lesson?class=${w.klass.id}`;
    const unknown = must(await w.first.get(path), 200);
    assert.deepEqual(unknown.activities[0].groups.map((g) => [g.step, g.pupils.length]), [["no_tries", 6]]);
    await send(w, 0, [[0, 0, 0, 2], [0, 0, 0, 0], [0, 2, 0, 0]]);      /* 2 of 12 score: closer */
    await send(w, 1, [[5, 5, 2, 5], [5, 5, 5, 2], [5, 2, 5, 5]]);      /* all score: further */
    await send(w, 2, [[2, 2, 0, 0], [5, 2, 0, 0], [5, 2, 2, 0]]);      /* 7 of 12: the same */
    must(await w.first.post(`/api/v1/units/${w.unit}/seen`, { pupil: w.klass.pupils[0].id, cue: w.activity.cues[0].id, seen: false }), 204);
    must(await w.first.post(`/api/v1/units/${w.unit}/seen`, { pupil: w.klass.pupils[1].id, cue: w.activity.cues[0].id, seen: true }), 204);
    const plan = must(await w.first.get(path), 200);
    assert.equal(plan.activities.length, 1);
    const [a] = plan.activities;
    assert.equal(a.activity.name, "Mat slide");
    const groups = Object.fromEntries(a.groups.map((g) => [g.step, g]));
    const names = (g) => g.pupils.map((p) => p.display_name);
    assert.deepEqual(a.groups.map((g) => g.step), ["closer", "same", "further", "no_tries"]);
    assert.deepEqual([names(groups.closer), names(groups.further), names(groups.same), names(groups.no_tries)], [["Ondi"], ["Perrin"], ["Quill"], ["Rafe", "Sunniva", "Tamar"]]);
    assert.deepEqual([groups.closer.pupils[0].distance_mm, groups.further.pupils[0].distance_mm, groups.same.pupils[0].distance_mm, groups.no_tries.pupils[0].distance_mm], [2000, 4000, 3000, null]);
    assert.deepEqual([groups.closer.words, groups.further.words, groups.same.words], [["Stand closer"], ["Stand further away"], []]);
    assert.deepEqual(a.kit, [{ item: "Four beanbags", swap: "Rolled socks" }]);
    assert.deepEqual(a.safety, ["Clear the floor."]);
    const [eyes, swing] = a.cues;
    assert.deepEqual([names({ pupils: eyes.not_seen }), names({ pupils: eyes.not_looked })], [["Ondi"], ["Quill", "Rafe", "Sunniva", "Tamar"]]);
    assert.deepEqual([swing.not_seen.length, swing.not_looked.length], [0, 6]);
    assert.doesNotMatch(JSON.stringify(plan), /low|weak|behind|"value"|"best"/i);
    const everyone = a.groups.flatMap((g) => names(g)).sort();
    assert.deepEqual(everyone, [...NAMES].sort(), "everybody is in one group");

    /* a second activity, of counts: a score to make; and a hand-in that waits for a check */
    const hops = await makeActivity(w.first, "timed_count");
    const later = await setChallenge(w.first, hops, [w.klass.id]);
    must(await w.first.post(`/api/v1/challenges/${later.id}/hand-ins`, { id: uuid7(), pupil: w.klass.pupils[0].id, channel: "staff", attempts: [{ value: 20 }, { value: 24 }] }), 201);
    const two = must(await w.first.get(path), 200).activities.find((x) => x.activity.id === hops.id);
    assert.deepEqual(two.groups.map((g) => [g.step, g.pupils.length]), [["score", 1], ["no_tries", 5]]);
    assert.equal((await w.first.get(`/api/v1/units/1/next-lesson?class=${w.klass.id}`)).status, 404);
    const lead = await makeStaff(w, "Pelle", ["pe_lead"]);
    assert.equal((await lead.client.get(`/api/v1/units/${w.unit}/next-lesson`)).status, 422);
});
