/* SPDX-License-Identifier: MIT
 * One challenge's results: the gain in words, what is to check. Names and results are invented; the
 * expected categories follow from rows of tests/data/vectors that are named beside them. */

import test from "node:test";
import assert from "node:assert/strict";
import { startSchool } from "../lib/server.mjs";
import { signedIn, uuid7 } from "../lib/client.mjs";
import { makeStaff, makeClass, makeCards, makeActivity, setChallenge, day, must, inSchoolYear } from "../lib/world.mjs";

const points = (counts) => [0, 2, 5].flatMap((p, i) => Array(counts[i]).fill(p));
const fours = (throws) => [0, 4, 8].map((i) => throws.slice(i, i + 4)).filter((t) => t.length);

test("results of one challenge", async (t) => {
    const school = await startSchool(inSchoolYear(14));
    t.after(() => school.stop());
    const first = await signedIn(school.url, school.account);
    await first.get("/api/v1/session");
    const w = { url: school.url, first };
    const klass = await makeClass(w, "3 Alder", ["Ondi", "Perrin", "Quill"]);
    const cards = await makeCards(w, klass.id, "pupil");
    const child = await Promise.all(cards.map((c) => signedIn(school.url, { card: c.code })));
    const slide = await makeActivity(first, "zones", { throws: 4, distances_mm: [], reference_mm: null, versions: [{ kind: "standard", how: "Slide four.", band_lines: [7, 12] }],
        zones: [{ name: "middle", points: 5 }, { name: "edge", points: 2 }, { name: "miss", points: 0 }] });
    const rings = await makeActivity(first, "zones", { name: "Rings", throws: 6, distances_mm: [], reference_mm: null, versions: [{ kind: "standard", how: "Slide six.", band_lines: [8, 13] }],
        zones: [{ name: "small", points: 4 }, { name: "middle", points: 2 }, { name: "large", points: 1 }, { name: "miss", points: 0 }] });
    const challenge = await setChallenge(first, slide, [klass.id]), totals = await setChallenge(first, rings, [klass.id]);
    const results = async (of = challenge) => must(await first.get(`/api/v1/challenges/${of.id}/results`), 200);
    const send = async (i, attempts, more = {}) => must(await child[i].post("/api/v1/hand-ins", { id: uuid7(), challenge: challenge.id, attempts, ...more }), 201);

    await t.test("nothing in: no gain, nothing to check", async () => {
        const r = await results();
        assert.deepEqual(r.rows.map((x) => x.gain), [null, null, null]);
        assert.deepEqual(r.to_check, []);
        assert.equal(r.single_bands, false);
    });

    await t.test("one hand-in is not a gain, two are judged (03-01)", async () => {
        await send(0, fours(points([5, 5, 2])).map((throws) => ({ throws })), { done_on: day(-1) });
        let gain = (await results()).rows[0].gain;
        assert.equal(gain.category, "silent");
        assert.equal(gain.silent, "one_hand_in");
        assert.match(gain.sentence, /nothing earlier/);
        await send(0, fours(points([2, 5, 5])).map((throws) => ({ throws })));
        gain = (await results()).rows[0].gain;
        assert.equal(gain.category, "likely");
        assert.equal(gain.label, "probably a gain");
        assert.match(gain.sentence, /about 1 time in 7 to 10/);
        assert.equal(gain.silent, null);
        assert.deepEqual([gain.first_on, gain.latest_on], [day(-1), day()]);
    });

    await t.test("totals whose throws would say more (04-01)", async () => {
        await send(1, [6, 8, 7].map((value) => ({ value })), { challenge: totals.id, done_on: day(-1) });
        await send(1, [11, 13, 12].map((value) => ({ value })), { challenge: totals.id });
        const gain = (await results(totals)).rows[1].gain;
        assert.deepEqual([gain.category, gain.crosses], ["up_luck", true]);
        assert.match(gain.sentence, /only the totals are known/);
    });

    await t.test("a fresh start begins anew", async () => {
        must(await first.put(`/api/v1/pupils/${klass.pupils[0].id}/fresh-start`, { from: day() }), 200, 204);
        assert.equal((await results()).rows[0].gain.silent, "one_hand_in");
        must(await first.put(`/api/v1/pupils/${klass.pupils[0].id}/fresh-start`, { from: null }), 200, 204);
        assert.equal((await results()).rows[0].gain.category, "likely");
    });

    await t.test("to check: a mistake until staff say so, a part try until it is marked", async () => {
        const sent = await send(2, [{ throws: [5, 2, 0] }, { throws: [2, 2, 0, 5] }]);
        let r = await results();
        assert.deepEqual([r.to_check, r.noted.map((c) => [c.pupil.display_name, c.why])], [[], [["Quill", "part"]]], "it counts: it waits for nobody");
        assert.equal(r.noted[0].hand_in, sent.id);
        must(await child[2].post(`/api/v1/hand-ins/${sent.id}/mistake`), 200, 201, 204);
        r = await results();
        assert.deepEqual([r.to_check.map((c) => c.why), r.noted], [["mistake"], []]);
        assert.equal(r.rows[2].gain, null);
        must(await first.post(`/api/v1/hand-ins/${sent.id}/keep`), 200, 204);
        r = await results();
        assert.deepEqual([r.to_check, r.noted], [[], []]);
    });

    await t.test("no probability of luck is in the answer", async () => {
        assert.doesNotMatch(JSON.stringify((await results()).rows.map((x) => x.gain)), /"p"|p_|prob[^a]|\d\.\d/);
    });
});

test("switches of the school, and what they show", async (t) => {
    const school = await startSchool(inSchoolYear(14));
    t.after(() => school.stop());
    const first = await signedIn(school.url, school.account);
    await first.get("/api/v1/session");
    const w = { url: school.url, first };
    const klass = await makeClass(w, "4 Birch", Array.from({ length: 12 }, (_, i) => "Kid " + String.fromCharCode(65 + i)));
    const cards = await makeCards(w, klass.id, "pupil");
    const lead = await makeStaff(w, "Pelle", ["pe_lead"]);
    const teach = await makeStaff(w, "Tamsin", [], [{ class: klass.id, right: "teach" }]);
    const activity = await makeActivity(first, "zones", { throws: 4, reference_mm: 4000, distances_mm: [2000, 2500, 3000, 3500, 4000], targets: [{ name: "mat", size_mm: 1000 }, { name: "rug" }],
        zones: [{ name: "middle", points: 5, x1_mm: -250, x2_mm: 250, y1_mm: -250, y2_mm: 250 }, { name: "edge", points: 2, x1_mm: -500, x2_mm: 500, y1_mm: -500, y2_mm: 500 }, { name: "miss", points: 0 }],
        versions: [{ kind: "standard", how: "Slide four.", band_lines: [7, 12] }] });
    const challenge = await setChallenge(first, activity, [klass.id]);
    const results = async (who = first) => must(await who.get(`/api/v1/challenges/${challenge.id}/results`), 200);
    for (const [i, c] of cards.entries()) {
        const child = await signedIn(school.url, { card: c.code });
        const throws = i % 2 ? [5, 2, 5, 0] : [0, 2, 0, 0];
        const setup = i === 2 ? { target: activity.targets[1].id } : { target: activity.targets[0].id };
        must(await child.post("/api/v1/hand-ins", { id: uuid7(), challenge: challenge.id, setup, attempts: [throws, throws.slice().reverse(), throws].map((x) => ({ throws: x, distance_mm: i === 3 ? 2000 : i === 4 ? 4000 : 3000 })) }), 201);
    }

    await t.test("off at first: sentences, five numbers, no figures, no estimates", async () => {
        const { switches } = must(await first.get("/api/v1/school"), 200);
        assert.deepEqual(switches, { single_bands: false, distance_estimates: false, class_figures: false });
        const r = await results(teach.client);
        assert.equal(r.class_view.length, 1);
        const [v] = r.class_view;
        assert.deepEqual(v.participation, { made: 12, set: 12, could_not: 0 });
        assert.equal(v.figures, null);
        assert.equal(v.five_numbers.n, 10, "those at 3 m");
        assert.equal(v.five_numbers.distance_mm, 3000);
        assert.deepEqual([v.five_numbers.min, v.five_numbers.max], [2, 12]);
        assert.equal(v.tells, "dependably", "tries of each child are equal, children are not");
        assert.doesNotMatch(JSON.stringify(v), /Kid/, "nobody is named");
        assert.ok(r.rows.every((x) => x.estimate === null && x.estimate_silent === null));
    });

    await t.test("figures and estimates once they are turned on, by the PE lead too", async () => {
        assert.equal((await teach.client.put("/api/v1/school", { switches: { class_figures: true } })).status, 404);
        const wrong = await lead.client.put("/api/v1/school", { switches: { class_figures: "yes" } });
        assert.deepEqual([wrong.status, wrong.json.errors[0].pointer], [422, "/switches/class_figures"]);
        assert.equal((await lead.client.put("/api/v1/school", { switches: { colours: true } })).status, 422);
        const { switches } = must(await lead.client.put("/api/v1/school", { switches: { class_figures: true, distance_estimates: true } }), 200);
        assert.deepEqual(switches, { single_bands: false, distance_estimates: true, class_figures: true });
        const r = await results(teach.client);
        const f = r.class_view[0].figures;
        assert.equal(f.judged, "same_day");
        assert.equal(f.pupils, 10);
        assert.ok(f.icc_together > 0.9 && f.upper >= f.lower);
        assert.equal(f.typical_error_unit, "points");
        const [a, , rug, near, there] = r.rows;
        assert.match(a.estimate.sentence, /^ESTIMATE for 4 m: about \d+ points?, usually \d+ to \d+\. Worked out from throws at 3 m; assumes the same target/);
        assert.ok(a.estimate.lo <= a.estimate.mean && a.estimate.mean <= a.estimate.hi);
        assert.notEqual(a.estimate.label, "sure");
        assert.equal(rug.estimate, null);
        assert.match(rug.estimate_silent, /size of the target/);
        assert.equal(near.estimate, null);
        assert.match(near.estimate_silent, /try once from 2.5 m to 4 m/);
        assert.deepEqual([there.estimate, there.estimate_silent], [null, null], "thrown from the reference");
        must(await first.put("/api/v1/school", { switches: { single_bands: true } }), 200);
        assert.equal((await results()).single_bands, true);
    });

    await t.test("the change is in the audit trail", async () => {
        const { rows } = must(await first.get("/api/v1/audit"), 200);
        assert.ok(rows.some((x) => x.action === "school changed" && x.code === "switches"));
    });
});

test("tries from two distances are compared only where the school wants estimates", async (t) => {
    const school = await startSchool(inSchoolYear(14));
    t.after(() => school.stop());
    const first = await signedIn(school.url, school.account);
    await first.get("/api/v1/session");
    const w = { url: school.url, first };
    const klass = await makeClass(w, "4 Birch", ["Ondi"]);
    const [card] = await makeCards(w, klass.id, "pupil");
    const activity = await makeActivity(first, "zones", { throws: 4, reference_mm: 4000, distances_mm: [2000, 2500, 3000, 3500, 4000], targets: [{ name: "mat", size_mm: 1000 }],
        zones: [{ name: "middle", points: 5, x1_mm: -250, x2_mm: 250, y1_mm: -250, y2_mm: 250 }, { name: "edge", points: 2, x1_mm: -500, x2_mm: 500, y1_mm: -500, y2_mm: 500 }, { name: "miss", points: 0 }],
        versions: [{ kind: "standard", how: "Slide four.", band_lines: [7, 12] }] });
    const challenge = await setChallenge(first, activity, [klass.id], { opens_on: day(-10) });
    const child = await signedIn(school.url, { card: card.code });
    const send = (throws, distance_mm, more = {}) => child.post("/api/v1/hand-ins", { id: uuid7(), challenge: challenge.id, setup: { target: activity.targets[0].id }, attempts: [1, 2, 3].map(() => ({ throws, distance_mm })), ...more });
    const gain = async () => must(await first.get(`/api/v1/challenges/${challenge.id}/results`), 200).rows[0].gain;
    must(await send([0, 2, 0, 0], 3000, { done_on: day(-7) }), 201);
    must(await send([5, 2, 5, 0], 4000), 201);

    const off = await gain();
    assert.deepEqual([off.category, off.label, off.silent, off.estimate], ["silent", "cannot be told", "distance", false]);
    assert.equal(off.sentence, "The first tries and the latest are from different distances, or it is not known from where, so they are not compared. Silence is not “no progress”.");
    assert.deepEqual([off.first_on, off.latest_on], [day(-7), day(0)]);
    assert.deepEqual(Object.entries(off).filter(([, v]) => typeof v === "number"), [], "no figure across distances");

    must(await first.put("/api/v1/school", { switches: { distance_estimates: true } }), 200);
    const on = await gain();
    assert.deepEqual([on.category, on.estimate, on.silent], ["likely", true, null], "never a clear gain");
    assert.match(on.sentence, /^ESTIMATE across distances: probably a gain\. It assumes the stated target/);

    must(await first.put("/api/v1/school", { switches: { distance_estimates: false } }), 200);
    assert.deepEqual(await gain(), off, "turned off, nothing of it stays");
});
