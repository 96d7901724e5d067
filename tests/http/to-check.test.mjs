/* SPDX-License-Identifier: MIT
 * "To check" is one number: what the first page says, how long the list is, and how many hand-ins have that
 * state are the same. The school and its children are invented; our own rule. */

import { test } from "node:test";
import assert from "node:assert/strict";
import { startSchool } from "../lib/server.mjs";
import { signedIn, uuid7 } from "../lib/client.mjs";
import { makeActivity, makeCards, makeClass, makeStaff, setChallenge, must, day } from "../lib/world.mjs";

test("the first page says how many the list has, each hand-in once", async (t) => {
    const school = await startSchool();
    t.after(() => school.stop());
    const first = await signedIn(school.url, school.account);
    await first.get("/api/v1/session");
    const w = { url: school.url, first };
    const fir = await makeClass(w, "2 Fir", ["Brisa", "Caio"]);
    const elm = await makeClass(w, "4 Elm", ["Dunya"]);
    const group = must(await first.post("/api/v1/classes", { name: "A small group", kind: "group" }), 201).class;
    must(await first.post(`/api/v1/classes/${group.id}/pupils`, { pupil: fir.pupils[0].id }), 201);
    const activity = await makeActivity(first, "timed_count", { soft_high: 60 });
    const set = await setChallenge(first, activity, [fir.id, elm.id, group.id]);
    const old = await setChallenge(first, activity, [fir.id, group.id], { opens_on: day(-30), due_on: day(-20), closes_on: day(-10) });
    const [brisa, caio] = await Promise.all((await makeCards(w, fir.id, "pupil")).map((c) => signedIn(school.url, { card: c.code })));
    const [dunya] = await Promise.all((await makeCards(w, elm.id, "pupil")).map((c) => signedIn(school.url, { card: c.code })));
    const send = async (child, challenge, value, more = {}) => must(await child.post("/api/v1/hand-ins", { id: uuid7(), challenge: challenge.id, attempts: [{ value }], confirmed: true, ...more }), 201);
    const mistake = async (child, sent) => must(await child.post(`/api/v1/hand-ins/${sent.id}/mistake`), 200);
    const mark = async (sent, what, more) => must(await first.post(`/api/v1/hand-ins/${sent.id}/${what}`, more), 200);
    const states = new Map();
    const note = (sent, state = sent.state) => states.set(sent.id, state);

    note(await send(brisa, set, 17));
    note(await send(brisa, set, 101)); /* more than anybody's: surprises */
    const oops = await send(brisa, old, 16, { done_on: day(-12) });
    await mistake(brisa, oops);
    note(oops, "to_check");
    const kept = await send(caio, set, 104);
    await mark(kept, "keep");
    note(kept, "counts");
    const asked = await send(caio, set, 18);
    await mistake(caio, asked);
    await mark(asked, "ask-again");
    note(asked, "set_aside");
    const aside = await send(caio, old, 19, { done_on: day(-12) });
    await mark(aside, "set-aside", { reason: "mistyped" });
    note(aside, "set_aside");
    note(await send(dunya, set, 102));
    const waiting = [...states].filter(([, state]) => state === "to_check").map(([id]) => id);
    assert.equal(waiting.length, 3, JSON.stringify([...states]));

    const both = async (client) => {
        const [home, { to_check: list }] = [must(await client.get("/api/v1/home"), 200), must(await client.get("/api/v1/to-check"), 200)];
        assert.equal(home.to_check, list.length);
        return [list, home.classes.map((c) => [c.name, c.to_check])];
    };
    const [list, classes] = await both(first);
    assert.deepEqual(list.map((r) => r.hand_in).sort(), waiting.sort());
    assert.deepEqual(list.map((r) => [r.class.name, r.pupil.display_name, r.values, r.why, r.version, r.activity.unit]), [
        ["2 Fir", "Brisa", [101], "surprising", "standard", "count"], ["2 Fir", "Brisa", [16], "mistake", "standard", "count"], ["4 Elm", "Dunya", [102], "surprising", "standard", "count"]]);
    assert.deepEqual(classes, [["2 Fir", 2], ["4 Elm", 1], ["A small group", 2]]);
    for (const challenge of [set, old]) {
        const { to_check: there } = must(await first.get(`/api/v1/challenges/${challenge.id}/results`), 200);
        assert.deepEqual(there.map((c) => c.hand_in).sort(), list.filter((r) => r.challenge === challenge.id).map((r) => r.hand_in).sort(), "the challenge's own list");
    }

    const teacher = await makeStaff(w, "Quarle", [], [{ class: elm.id, right: "teach" }, { class: fir.id, right: "read" }]);
    const [own, seen] = await both(teacher.client);
    assert.deepEqual([own.map((r) => r.pupil.display_name), seen], [["Dunya"], [["2 Fir", 2], ["4 Elm", 1]]]);
    const helper = await makeStaff(w, "Rowe", [], [{ class: elm.id, right: "help" }]);
    assert.deepEqual((await both(helper.client))[0], []);
    assert.equal((await brisa.get("/api/v1/to-check")).status, 404);
});
