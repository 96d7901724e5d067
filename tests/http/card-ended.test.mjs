/* SPDX-License-Identifier: MIT
 * A card that has ended says so, in one and the same answer whatever ended it, at the cost of a wrong
 * code: our own rule. Names are invented. */

import test from "node:test";
import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { readFileSync } from "node:fs";
import { startSchool } from "../lib/server.mjs";
import { Client, signedIn } from "../lib/client.mjs";
import { makeClass, must } from "../lib/world.mjs";

const key = (card) => card.url.split("#k=")[1];
const words = (language) => JSON.parse(readFileSync(`web/msg/${language}.json`, "utf8"));

test("cards that have ended", async (t) => {
    const school = await startSchool();
    t.after(() => school.stop());
    const first = await signedIn(school.url, school.account);
    await first.get("/api/v1/session");
    const klass = await makeClass({ first }, "3 Alder", ["Ondi", "Perrin", "Quill"]);
    const [ondi, perrin, quill] = klass.pupils;
    const make = async (pupil, holder) => must(await first.post(`/api/v1/pupils/${pupil.id}/cards`, { holder }), 201).cards[0];
    const enter = (way, client = new Client(school.url)) => client.post("/api/v1/session", way);
    const said = async (way, client) => {
        const answer = await enter(way, client);
        assert.equal(answer.headers["set-cookie"], undefined);
        return { status: answer.status, ...answer.json, instance: "" };
    };
    const ENDED = { status: 401, type: "/problems/card-ended", title: "This card no longer works", instance: "", errors: [{ pointer: "", code: "card_ended" }] };

    const cancelled = await make(ondi, "pupil");
    must(await first.del(`/api/v1/cards/${cancelled.id}`), 204);
    const left = [await make(perrin, "pupil"), await make(perrin, "family")];
    must(await first.put(`/api/v1/pupils/${perrin.id}`, { left: true }), 200);
    const closed = await make(quill, "family");
    must(await first.put(`/api/v1/pupils/${quill.id}`, { family_view: "off" }), 200);

    await t.test("one answer, whatever ended it, by letters and by QR code", async () => {
        for (const card of [cancelled, ...left, closed]) {
            assert.deepEqual(await said({ card: card.code }), ENDED);
            assert.deepEqual(await said({ key: key(card) }), ENDED);
        }
    });
    await t.test("a family page opened again opens", async () => {
        must(await first.put(`/api/v1/pupils/${quill.id}`, { family_view: "open" }), 200);
        assert.equal((await enter({ card: closed.code })).status, 200);
        must(await first.put(`/api/v1/pupils/${quill.id}`, { family_view: "off" }), 200);
    });
    await t.test("who is signed in stays so when a card that has ended is tried", async () => {
        const live = await make(ondi, "family");
        const carer = await signedIn(school.url, { card: live.code });
        assert.deepEqual(await said({ card: closed.code }, carer), ENDED);
        assert.equal((await carer.get("/api/v1/children")).json.children.length, 1);
    });
    await t.test("the plain form, in its own words and three languages", async () => {
        for (const lang of ["en", "pl", "ur"]) {
            const form = new URLSearchParams({ lang, code: cancelled.code, challenge: "12", attempt_1: "9" }).toString();
            const page = await new Client(school.url).post("/quick", form, { type: "application/x-www-form-urlencoded" });
            assert.equal(page.status, 422);
            assert.ok(page.text.includes(words(lang)["quick.code_ended"]), lang);
            assert.ok(page.text.includes('value="9"'), "what was typed is still there");
            assert.ok(!page.text.includes("Ondi"));
        }
    });
    await t.test("used up like wrong codes, and then told as little", async () => {
        let status = 401;
        for (let i = 0; i < 80 && status === 401; i += 1) {
            status = (await enter({ card: cancelled.code })).status;
        }
        assert.equal(status, 429);
        const form = new URLSearchParams({ code: cancelled.code }).toString();
        assert.equal((await new Client(school.url).post("/quick", form, { type: "application/x-www-form-urlencoded" })).status, 429);
        assert.deepEqual(await said({ key: key(cancelled) }), ENDED, "a key is not guessed, so not throttled");
    });
});

/* What the purge does after 60 days is tested with the purge; here the row is simply gone. */
test("once deleted, letters are nobody's and a QR code still says that it no longer works", async (t) => {
    const school = await startSchool();
    t.after(() => school.stop());
    const first = await signedIn(school.url, school.account);
    await first.get("/api/v1/session");
    const klass = await makeClass({ first }, "3 Alder", ["Ondi"]);
    const [card] = must(await first.post(`/api/v1/classes/${klass.id}/cards`, { holder: "pupil" }), 201).cards;
    must(await first.del(`/api/v1/cards/${card.id}`), 204);
    await school.server.stop();
    execFileSync("sqlite3", [`${school.data}/school.db`, "DELETE FROM card"]);
    await school.start();
    const enter = async (way) => (await new Client(school.url).post("/api/v1/session", way)).json.type;
    assert.equal(await enter({ card: card.code }), "/problems/wrong-sign-in");
    assert.equal(await enter({ key: key(card) }), "/problems/card-ended");
});
