/* SPDX-License-Identifier: MIT
 * Cards for a whole class: family cards that the office holds back are named and not made; second homes' cards are
 * kept or made anew; and what a leaver's day is. Names are invented. */

import test from "node:test";
import assert from "node:assert/strict";
import { startSchool } from "../lib/server.mjs";
import { signedIn } from "../lib/client.mjs";
import { makeClass, makeStaff, must } from "../lib/world.mjs";

test("family cards for a class", async (t) => {
    const school = await startSchool();
    t.after(() => school.stop());
    const first = await signedIn(school.url, school.account);
    await first.get("/api/v1/session");
    const klass = await makeClass({ first }, "3 Alder", ["Ondi", "Perrin", "Quill"]);
    const [ondi, perrin, quill] = klass.pupils;
    must(await first.put(`/api/v1/pupils/${perrin.id}`, { family_view: "off" }), 200);
    must(await first.put(`/api/v1/pupils/${quill.id}`, { family_view: "two_part" }), 200);
    const make = async (body) => must(await first.post(`/api/v1/classes/${klass.id}/cards`, { holder: "family", ...body }), 201);
    const names = (answer) => [answer.cards.map((c) => c.pupil.display_name), answer.held_back.map((p) => p.display_name)];

    await t.test("a whole class: held back where the office says so, also when all are replaced", async () => {
        const made = await make({});
        assert.deepEqual(names(made), [["Ondi"], ["Perrin", "Quill"]]);
        assert.deepEqual(made.held_back[0], { id: perrin.id, display_name: "Perrin" });
        assert.deepEqual(names(await make({ replace: true })), [["Ondi"], ["Perrin", "Quill"]]);
    });
    await t.test("by name, as somebody who knows why", async () => {
        assert.deepEqual(names(await make({ pupils: [quill.id] })), [["Quill"], []]);
        assert.deepEqual(names(await make({ replace: true })), [["Ondi"], ["Perrin", "Quill"]], "nor is that card replaced in bulk");
        const cards = must(await first.get(`/api/v1/pupils/${quill.id}/cards`), 200).cards;
        assert.deepEqual(cards.map((c) => c.live), [true]);
    });
    await t.test("pupils' cards are not held back", async () => {
        assert.deepEqual(names(await make({ holder: "pupil" })), [["Ondi", "Perrin", "Quill"], []]);
    });
    await t.test("and open again", async () => {
        must(await first.put(`/api/v1/pupils/${perrin.id}`, { family_view: "open" }), 200);
        assert.deepEqual(names(await make({})), [["Perrin"], []], "Ondi has one");
        assert.equal(must(await first.get(`/api/v1/pupils/${ondi.id}/cards`), 200).cards.filter((c) => c.live && c.for === "family").length, 1);
    });
});

test("second homes' cards in a set made anew", async (t) => {
    const school = await startSchool();
    t.after(() => school.stop());
    const first = await signedIn(school.url, school.account);
    await first.get("/api/v1/session");
    const klass = await makeClass({ first }, "3 Alder", ["Ondi", "Perrin"]);
    const path = `/api/v1/classes/${klass.id}/cards`;
    const [ondi] = klass.pupils;
    for (const label of ["home", "other_home"]) {
        must(await first.post(`/api/v1/pupils/${ondi.id}/cards`, { holder: "pupil", label }), 201);
    }
    const ids = async () => must(await first.get(`/api/v1/pupils/${ondi.id}/cards`), 200).cards.filter((c) => c.live).map((c) => [c.label, c.id]).sort();
    const who = { id: ondi.id, display_name: "Ondi" };

    await t.test("who has which kinds", async () => {
        assert.deepEqual(must(await first.get(path), 200), { live: [{ pupil: who, for: "pupil", labels: ["home", "other_home"] }] });
    });
    await t.test("left out: the other home's card stays, and that is said", async () => {
        const before = await ids();
        const answer = must(await first.post(path, { holder: "pupil", replace: true }), 201);
        assert.deepEqual(answer.kept, [{ pupil: who, labels: ["other_home"] }]);
        assert.deepEqual(answer.cards.map((c) => [c.pupil.display_name, c.label]), [["Ondi", "home"], ["Perrin", "home"]]);
        const after = await ids();
        assert.deepEqual(after[1], before[1]);
        assert.notDeepEqual(after[0], before[0]);
    });
    await t.test("remake: the new set has the same kinds", async () => {
        const before = await ids();
        const answer = must(await first.post(path, { holder: "pupil", replace: true, others: "remake" }), 201);
        assert.deepEqual(answer.cards.map((c) => [c.pupil.display_name, c.label]), [["Ondi", "home"], ["Ondi", "other_home"], ["Perrin", "home"]]);
        assert.deepEqual(answer.kept, []);
        const after = await ids();
        assert.deepEqual(after.map((c) => c[0]), before.map((c) => c[0]));
        assert.ok(after.every((c, i) => c[1] !== before[i][1]));
    });
    await t.test("said wrongly, nothing ends", async () => {
        const before = await ids();
        for (const body of [{ others: "keep" }, { replace: true, others: "some" }, { replace: true, label: "home", others: "remake" }]) {
            assert.equal(must(await first.post(path, { holder: "pupil", ...body }), 422).errors[0].pointer, "/others");
        }
        assert.deepEqual(await ids(), before);
    });
    await t.test("the day on which a leaver is deleted is told to the office before, as it is after", async () => {
        const teacher = await makeStaff({ url: school.url, first }, "Tamsin", [], [{ class: klass.id, right: "teach" }]);
        const seen = async (client) => must(await client.get(`/api/v1/pupils/${ondi.id}`), 200).pupil.leaver_goes_on;
        assert.equal(await seen(teacher.client), null);
        const told = await seen(first);
        const left = must(await first.put(`/api/v1/pupils/${ondi.id}`, { left: true }), 200).pupil;
        const planned = must(await first.get("/api/v1/purge-plan"), 200).leavers[0].goes_on;
        assert.equal(left.leaver_goes_on, planned);
        assert.ok(told === planned || Date.parse(planned) - Date.parse(told) === 86400000, "another day only past midnight");
    });
});
