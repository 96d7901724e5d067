/* SPDX-License-Identifier: MIT
 * Edges between the parts: throttles shared by two ways in, settings that are refused half way,
 * lists in the order a reader looks, what must not be kept by a browser. Names are invented; the
 * statuses and members are those of the published interface. */

import test from "node:test";
import assert from "node:assert/strict";
import { startSchool } from "../lib/server.mjs";
import { Client, signedIn } from "../lib/client.mjs";
import { makeClass, makeCards, makeActivity, setChallenge, must, day } from "../lib/world.mjs";

const LETTERS = "BCDFGHJKMNPRSTVWXYZ";

/* A code that is well formed: the weighted sum of its nine letters is 0 modulo 19. */
function guess(n) {
    const digits = Array.from({ length: 8 }, (_, i) => Math.floor(n / 19 ** i) % 19);
    const sum = digits.reduce((s, d, i) => s + d * (i + 1), 0);
    let check = 0;
    while ((sum + check * 9) % 19 !== 0) {
        check++;
    }
    return [...digits, check].map((d) => LETTERS[d]).join("");
}

function quick(url, code) {
    return new Client(url).request("POST", "/quick", new URLSearchParams({ code, attempt_1: "7" }).toString(), { type: "application/x-www-form-urlencoded" });
}

async function world(t) {
    const school = await startSchool();
    t.after(() => school.stop());
    const w = { url: school.url, school, first: await signedIn(school.url, school.account) };
    await w.first.get("/api/v1/session");
    return w;
}

test("guesses on the plain form and at sign-in are counted together", async (t) => {
    const w = await world(t);
    const klass = await makeClass(w, "1 Aspen", ["Orrin"]);
    const [card] = await makeCards(w, klass.id, "pupil");
    for (let i = 0; i < 60; i++) {
        assert.equal((await quick(w.url, guess(i * 7919 + 1))).status, 422);
    }
    const refused = await quick(w.url, guess(123456));
    assert.equal(refused.status, 429);
    assert.ok(Number(refused.headers["retry-after"]) > 0);
    assert.equal((await new Client(w.url).post("/api/v1/session", { card: guess(654321) })).status, 429);
    assert.equal((await quick(w.url, card.code)).status, 429, "a right code does not tell itself apart");
    const key = card.url.split("#k=")[1];
    assert.equal((await new Client(w.url).post("/api/v1/session", { key })).status, 200, "a scanned card goes on");
});

test("settings refused half way leave the time zone as it was", async (t) => {
    const w = await world(t);
    const klass = await makeClass(w, "1 Aspen", ["Orrin"]);
    const activity = await makeActivity(w.first, "successes");
    const overlap = [{ name: "One", starts_on: "2030-01-07", ends_on: "2030-04-05" }, { name: "Two", starts_on: "2030-04-01", ends_on: "2030-07-05" }];
    const refused = await w.first.put("/api/v1/school", { school: { time_zone: "Pacific/Auckland" }, terms: overlap });
    assert.equal(refused.status, 422);
    assert.equal(must(await w.first.get("/api/v1/school"), 200).school.time_zone, "Europe/London");
    const challenge = await setChallenge(w.first, activity, [klass.id]);
    const due = new Intl.DateTimeFormat("en-GB", { timeZone: "Europe/London", timeStyle: "medium" }).format(new Date(challenge.due_at));
    assert.equal(due, "23:59:59", "days still end in London");
    const moved = must(await w.first.put("/api/v1/school", { school: { time_zone: "Pacific/Auckland" } }), 200);
    assert.equal(moved.school.time_zone, "Pacific/Auckland");
    const put = must(await w.first.put(`/api/v1/challenges/${challenge.id}`, { due_on: day(9) }), 200).challenge;
    const there = new Intl.DateTimeFormat("en-GB", { timeZone: "Pacific/Auckland", timeStyle: "medium" }).format(new Date(put.due_at));
    assert.equal(there, "23:59:59", "and now in Auckland");
});

test("names stand where a reader of the alphabet looks for them", async (t) => {
    const w = await world(t);
    const klass = await makeClass(w, "1 Aspen", ["Zora", "Łucja", "Øystra", "Luz", "Ada", "Éda", "Oona", "Eda B"]);
    const sorted = ["Ada", "Éda", "Eda B", "Łucja", "Luz", "Oona", "Øystra", "Zora"];
    assert.deepEqual(klass.pupils.map((p) => p.display_name), sorted);
    const grid = must(await w.first.get(`/api/v1/classes/${klass.id}/grid`), 200);
    assert.deepEqual(grid.pupils.map((p) => p.display_name), sorted);
    assert.deepEqual((await makeCards(w, klass.id, "pupil")).map((c) => c.pupil.display_name), sorted);
    must(await w.first.post(`/api/v1/classes/${klass.id}/pupils`, { display_name: "Lucja" }), 201);
    const twice = await w.first.post(`/api/v1/classes/${klass.id}/pupils`, { display_name: "łucja" });
    assert.deepEqual([twice.status, twice.json.errors[0].code], [422, "duplicate"], "another spelling is another name, another case is not");
});

test("members that are not known are named, what is not there is null, nothing is kept", async (t) => {
    const w = await world(t);
    const klass = await makeClass(w, "1 Aspen", ["Orrin"]);
    await makeCards(w, klass.id, "pupil");
    const [row] = must(await w.first.get(`/api/v1/pupils/${klass.pupils[0].id}/cards`), 200).cards;
    assert.deepEqual([row.last_used_on, row.expires_on, row.live], [null, null, true]);
    const challenge = await setChallenge(w.first, await makeActivity(w.first, "successes"), [klass.id]);
    const odd = await w.first.put(`/api/v1/units/${challenge.unit.id}/assessments/${klass.pupils[0].id}`, { band: 0, "a/b": 1 });
    assert.deepEqual([odd.status, odd.json.errors[0].pointer], [422, "/a~1b"]);
    const grid = await w.first.get(`/api/v1/classes/${klass.id}/grid`);
    assert.equal(grid.headers["cache-control"], "no-store");
    assert.match(grid.headers.etag, /^"/);
});
