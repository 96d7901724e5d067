/* SPDX-License-Identifier: MIT
 * One challenge's results: the gain in words, what is to check. Names and results are invented; the
 * expected categories follow from rows of tests/data/vectors that are named beside them. */

import test from "node:test";
import assert from "node:assert/strict";
import { startSchool } from "../lib/server.mjs";
import { signedIn, uuid7 } from "../lib/client.mjs";
import { makeClass, makeCards, makeActivity, setChallenge, day, must } from "../lib/world.mjs";

const points = (counts) => [0, 1, 3].flatMap((p, i) => Array(counts[i]).fill(p));
const fives = (throws) => [0, 5, 10].map((i) => throws.slice(i, i + 5)).filter((t) => t.length);

test("results of one challenge", async (t) => {
    const school = await startSchool();
    t.after(() => school.stop());
    const first = await signedIn(school.url, school.account);
    await first.get("/api/v1/session");
    const w = { url: school.url, first };
    const klass = await makeClass(w, "3 Alder", ["Ondi", "Perrin", "Quill"]);
    const cards = await makeCards(w, klass.id, "pupil");
    const child = await Promise.all(cards.map((c) => signedIn(school.url, { card: c.code })));
    const slide = await makeActivity(first, "zones", { throws: 5, distances_mm: [], reference_mm: null, versions: [{ kind: "standard", how: "Slide five.", band_lines: [4, 9] }],
        zones: [{ name: "middle", points: 3 }, { name: "edge", points: 1 }, { name: "miss", points: 0 }] });
    const challenge = await setChallenge(first, slide, [klass.id]);
    const results = async () => must(await first.get(`/api/v1/challenges/${challenge.id}/results`), 200);
    const send = async (i, attempts, more = {}) => must(await child[i].post("/api/v1/hand-ins", { id: uuid7(), challenge: challenge.id, attempts, ...more }), 201);

    await t.test("nothing in: no gain, nothing to check", async () => {
        const r = await results();
        assert.deepEqual(r.rows.map((x) => x.gain), [null, null, null]);
        assert.deepEqual(r.to_check, []);
        assert.equal(r.single_bands, false);
    });

    await t.test("one hand-in is not a gain, two are judged (03-01)", async () => {
        await send(0, fives(points([8, 5, 2])).map((throws) => ({ throws })), { done_on: day(-1) });
        let gain = (await results()).rows[0].gain;
        assert.equal(gain.category, "silent");
        assert.equal(gain.silent, "one_hand_in");
        assert.match(gain.sentence, /nothing earlier/);
        await send(0, fives(points([3, 6, 6])).map((throws) => ({ throws })));
        gain = (await results()).rows[0].gain;
        assert.equal(gain.category, "likely");
        assert.equal(gain.label, "probably a gain");
        assert.match(gain.sentence, /about 1 time in 7 to 10/);
        assert.equal(gain.silent, null);
        assert.deepEqual([gain.first_on, gain.latest_on], [day(-1), day()]);
    });

    await t.test("totals whose throws would say more (04-01)", async () => {
        await send(1, [4, 5, 3].map((value) => ({ value })), { done_on: day(-1) });
        await send(1, [7, 9, 8].map((value) => ({ value })));
        const gain = (await results()).rows[1].gain;
        assert.deepEqual([gain.category, gain.crosses], ["likely", true]);
        assert.match(gain.sentence, /only the totals are known/);
    });

    await t.test("a fresh start begins anew", async () => {
        must(await first.put(`/api/v1/pupils/${klass.pupils[0].id}/fresh-start`, { from: day() }), 200, 204);
        assert.equal((await results()).rows[0].gain.silent, "one_hand_in");
        must(await first.put(`/api/v1/pupils/${klass.pupils[0].id}/fresh-start`, { from: null }), 200, 204);
        assert.equal((await results()).rows[0].gain.category, "likely");
    });

    await t.test("to check: a mistake until staff say so, a part try until it is marked", async () => {
        const sent = await send(2, [{ throws: [3, 1, 0] }, { throws: [1, 1, 0, 0, 3] }]);
        let r = await results();
        assert.deepEqual(r.to_check.map((c) => [c.pupil.display_name, c.why]), [["Quill", "part"]]);
        assert.equal(r.to_check[0].hand_in, sent.id);
        must(await child[2].post(`/api/v1/hand-ins/${sent.id}/mistake`), 200, 201, 204);
        r = await results();
        assert.deepEqual(r.to_check.map((c) => c.why), ["mistake"]);
        assert.equal(r.rows[2].gain, null);
        must(await first.post(`/api/v1/hand-ins/${sent.id}/keep`), 200, 204);
        assert.deepEqual((await results()).to_check, []);
    });

    await t.test("no probability of luck is in the answer", async () => {
        assert.doesNotMatch(JSON.stringify((await results()).rows.map((x) => x.gain)), /"p"|p_|prob[^a]|\d\.\d/);
    });
});
