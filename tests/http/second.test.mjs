/* SPDX-License-Identifier: MIT
 * A fresh start, an own target, and a colleague's second view. Names and results are invented; the
 * statuses and words are those of the published interface. */

import test from "node:test";
import assert from "node:assert/strict";
import { startSchool } from "../lib/server.mjs";
import { signedIn, uuid7 } from "../lib/client.mjs";
import { makeClass, makeCards, makeActivity, setChallenge, makeStaff, must, day, ACTIVITIES } from "../lib/world.mjs";

async function world(t, names = ["Ambrin", "Bexley", "Corin"]) {
    const school = await startSchool();
    t.after(() => school.stop());
    const w = { url: school.url, school, first: await signedIn(school.url, school.account) };
    await w.first.get("/api/v1/session");
    w.klass = await makeClass(w, "3 Sorrel", names);
    w.cards = await makeCards(w, w.klass.id, "pupil");
    w.child = (i) => signedIn(w.url, { card: w.cards.find((c) => c.pupil.id === w.klass.pupils[i].id).code });
    w.pupil = (i) => w.klass.pupils[i].id;
    w.teach = await makeStaff(w, "Tamsin", [], [{ class: w.klass.id, right: "teach" }]);
    return w;
}

const tries = (w, challenge, values, more = {}) => ({ id: uuid7(), challenge: challenge.id, attempts: values.map((value) => ({ value, distance_mm: 3000 })), ...more });

test("a fresh start", async (t) => {
    const w = await world(t);
    const zones = await makeActivity(w.teach.client, "zones");
    const challenge = await setChallenge(w.teach.client, zones, [w.klass.id], { opens_on: day(-10) });
    const child = await w.child(0);
    must(await child.post("/api/v1/hand-ins", tries(w, challenge, [20, 15, 12], { done_on: day(-5) })), 201);
    const path = `/api/v1/pupils/${w.pupil(0)}/fresh-start`;
    const bests = async () => must(await child.get("/api/v1/me/bests"), 200).lines;

    await t.test("what is refused", async () => {
        const code = async (from) => {
            const answer = await w.teach.client.put(path, { from });
            assert.equal(answer.status, 422, answer.text);
            return answer.json.errors.map((e) => e.pointer + " " + e.code).join();
        };
        assert.equal(await code(day(1)), "/from in_future");
        assert.equal(await code("2001-01-01"), "/from before_year");
        assert.equal(await code(7), "/from type");
        assert.equal((await w.teach.client.put(path, { from: null, why: "x" })).status, 422);
        assert.equal((await w.teach.client.put("/api/v1/pupils/999999999/fresh-start", { from: null })).status, 404);
        assert.equal(must(await w.teach.client.get(`/api/v1/pupils/${w.pupil(0)}`), 200).pupil.fresh_start, null);
    });

    await t.test("the child's line begins anew, everywhere, and no word says why", async () => {
        assert.equal((await bests())[0].best.value, 20);
        const set = must(await w.teach.client.put(path, { from: day(-1) }), 200);
        assert.equal(set.pupil.fresh_start, day(-1));
        assert.deepEqual(await bests(), []);
        const own = must(await child.get(`/api/v1/me/challenges/${challenge.id}`), 200);
        assert.deepEqual(own.bests, []);
        assert.equal(own.hand_ins.length, 1, "what was sent is still there");
        const tile = must(await child.get("/api/v1/me/challenges"), 200).challenges[0];
        assert.deepEqual([tile.state, tile.best], ["handed_in", null]);
        const stored = must(await child.post("/api/v1/hand-ins", tries(w, challenge, [7, 5, 2])), 201);
        assert.equal(stored.own_best.status, "first");
        assert.deepEqual(stored.bests.map((b) => b.value), [7]);
        assert.deepEqual((await bests()).map((l) => [l.best.value, l.hand_ins ? l.hand_ins.length : l.points.length]), [[7, 1]]);
        for (const answer of [own, tile, stored, await bests()]) {
            assert.doesNotMatch(JSON.stringify(answer), /fresh/);
        }
    });

    await t.test("an old day's tries sent late are kept and count for no best", async () => {
        const late = must(await child.post("/api/v1/hand-ins", tries(w, challenge, [14, 12, 10], { done_on: day(-3) })), 201);
        assert.equal(late.own_best.status, null);
        assert.equal((await bests())[0].best.value, 7);
    });

    await t.test("the family's page and the record begin anew; bands do not", async () => {
        const record = must(await w.teach.client.get(`/api/v1/pupils/${w.pupil(0)}/record`), 200);
        assert.deepEqual([record.lines.length, record.hand_ins.length, record.pupil.fresh_start], [1, 3, day(-1)]);
        assert.equal(record.lines[0].best.value, 7);
        const progress = must(await w.teach.client.get(`/api/v1/pupils/${w.pupil(0)}/progress`), 200);
        assert.equal(progress.lines[0].best.value, 7);
        assert.doesNotMatch(JSON.stringify(progress), /fresh/);
        const row = must(await w.teach.client.get(`/api/v1/units/${challenge.unit.id}/assess?class=${w.klass.id}`), 200).rows.find((r) => r.pupil.id === w.pupil(0));
        assert.match(row.suggestion.reasons.join(" "), /9 tries in 3 hand-ins/);
    });

    await t.test("taken back, all counts again; both are in the audit; the office does not see it", async () => {
        must(await w.teach.client.put(path, { from: null }), 200);
        assert.equal((await bests())[0].best.value, 20);
        const audit = must(await w.first.get("/api/v1/audit"), 200).rows.map((r) => r.action);
        assert.ok(audit.includes("fresh start set") && audit.includes("fresh start taken back"));
        const office = await makeStaff(w, "Orla", ["office"]);
        must(await w.teach.client.put(path, { from: day(0) }), 200);
        assert.equal(must(await office.client.get(`/api/v1/pupils/${w.pupil(0)}`), 200).pupil.fresh_start, null);
    });
});

test("an own target", async (t) => {
    const w = await world(t);
    const seated = (target, lines) => ({ kind: "seated", how: "Sit and slide.", own_target: target, band_lines: lines || [] });
    const standard = ACTIVITIES.zones.versions[0];
    const fault = async (versions) => {
        const answer = await w.teach.client.post("/api/v1/activities", { ...ACTIVITIES.zones, versions });
        assert.equal(answer.status, 422, answer.text);
        return answer.json.errors.map((e) => e.pointer + " " + e.code).join();
    };

    await t.test("what is refused", async () => {
        assert.equal(await fault([{ ...standard, band_lines: [], own_target: 8 }]), "/versions/0/own_target not_of_standard");
        assert.equal(await fault([standard, seated(8, [6])]), "/versions/1/own_target lines_or_target");
        assert.equal(await fault([standard, seated(21)]), "/versions/1/own_target out_of_range");
        assert.equal(await fault([standard, seated(0)]), "/versions/1/own_target out_of_range");
        assert.equal(await fault([standard, seated(18)]), "/versions/1/own_target impossible");
        assert.equal(await fault([standard, seated("8")]), "/versions/1/own_target type");
    });

    await t.test("met, nearly, not yet; never a band; never shown to a child", async () => {
        const made = await makeActivity(w.teach.client, "zones", { versions: [standard, seated(8)] });
        assert.deepEqual(made.versions.map((v) => v.own_target), [null, 8]);
        const challenge = await setChallenge(w.teach.client, made, [w.klass.id]);
        const results = [[8, 9, 2], [7, 9, 2], [7, 5, 2]];
        for (let i = 0; i < 3; i += 1) {
            const child = await w.child(i);
            const page = must(await child.get(`/api/v1/me/challenges/${challenge.id}`), 200);
            assert.doesNotMatch(JSON.stringify(page), /own_target/);
            must(await child.post("/api/v1/hand-ins", tries(w, challenge, results[i], { version: made.versions[1].id })), 201);
        }
        const rows = must(await w.teach.client.get(`/api/v1/units/${challenge.unit.id}/assess?class=${w.klass.id}`), 200).rows;
        const said = [/own target 8 points\. The middle try reaches it: met\./, /At least one try reaches it: nearly\./, /No try reaches it: not yet\./];
        rows.forEach((row, i) => {
            assert.equal(row.suggestion.band, null);
            assert.equal(row.suggestion.silent, "own_target");
            assert.match(row.suggestion.sentence, /own target instead of band lines/);
            assert.match(row.suggestion.reasons.join(" "), said[i]);
        });
    });
});
