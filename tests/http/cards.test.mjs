/* SPDX-License-Identifier: MIT
 * Family cards for a whole class: those that the office holds back are named and not made. Names are invented. */

import test from "node:test";
import assert from "node:assert/strict";
import { startSchool } from "../lib/server.mjs";
import { signedIn } from "../lib/client.mjs";
import { makeClass, must } from "../lib/world.mjs";

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
