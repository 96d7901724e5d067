/* SPDX-License-Identifier: MIT
 * Who has a class, and who is in it: rights with a last day and without, a child who joins in the middle
 * of the year, one who moves class. All names are invented. */

import test from "node:test";
import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { rmSync } from "node:fs";
import { startSchool, thrice } from "../lib/server.mjs";
import { signedIn, uuid7 } from "../lib/client.mjs";
import { makeWorld, makeClass, makeStaff, makeCards, setChallenge, day, must } from "../lib/world.mjs";

const BIG = "4611686018427387903";      /* an id that nobody has */
const names = (list) => list.map((p) => p.display_name || p.name);
const codes = (answer) => answer.json.errors.map((e) => [e.pointer, e.code]);

let school, w, office;

test.before(async () => {
    school = await startSchool();
    w = await makeWorld(school, school.account);
    office = w.staff.office.client;
});
test.after(() => school.stop());

const member = async (id) => must(await office.get("/api/v1/staff"), 200).staff.find((m) => m.id === id);

test("a right on a class is given, changed and taken away, nobody else's with it", async () => {
    const supply = await makeStaff(w, "Wenna", [], [{ class: w.b.id, right: "read" }]);
    const put = (body, klass = w.a.id) => office.put(`/api/v1/classes/${klass}/staff/${supply.id}`, body);
    const grid = async (client) => (await client.get(`/api/v1/classes/${w.a.id}/grid`)).status;
    assert.equal(await grid(supply.client), 404);
    const given = must(await put({ right: "help", until: day(2) }), 200);
    assert.deepEqual(given.staff.filter((s) => s.id === supply.id), [{ id: supply.id, name: "Wenna", right: "help", until: day(2) }]);
    assert.ok(given.staff.length >= 4, "the others of the class stay");
    assert.equal(await grid(supply.client), 200, "at once, also in an open session");
    const held = (await member(supply.id)).classes;
    assert.deepEqual(held.map((c) => [c.id, c.right, c.until, c.over]).sort(), [[w.a.id, "help", day(2), false], [w.b.id, "read", null, false]].sort());

    must(await put({ right: "help", until: day(9) }), 200);        /* longer: the session goes on */
    assert.equal(await grid(supply.client), 200);
    must(await put({ right: "help", until: day(0) }), 200);        /* shorter: it ends, and the right holds today */
    assert.equal((await supply.client.get("/api/v1/home")).status, 401);
    const again = await supply.again();
    assert.equal(await grid(again), 200);
    must(await put({ right: "teach" }), 200);
    assert.equal(await grid(again), 200, "more, with no last day");
    must(await put({ right: "none" }), 200);
    assert.equal((await again.get("/api/v1/home")).status, 401);
    assert.equal(await grid(await supply.again()), 404);
    assert.deepEqual((await member(supply.id)).classes.map((c) => c.id), [w.b.id]);
    must(await put({ right: "none" }), 200);                       /* taken away twice */
    const rows = must(await office.get("/api/v1/audit"), 200).rows;
    assert.ok(rows.some((r) => r.action === "right taken away" && r.object === `class:${w.a.id}`));
});

test("a right that is over is told as over, and opens nothing", async () => {
    const ivo = await member(w.staff.help_over.id);
    assert.deepEqual(ivo.classes.map((c) => [c.id, c.right, c.until, c.over]), [[w.a.id, "help", day(-1), true]]);
    assert.equal((await (await w.staff.help_over.again()).get(`/api/v1/classes/${w.a.id}/grid`)).status, 404);
});

test("what cannot be a right is refused with its place, and nothing changes", async () => {
    const before = await member(w.staff.help.id);
    const put = (body, id = w.staff.help.id) => office.put(`/api/v1/classes/${w.a.id}/staff/${id}`, body);
    for (const [body, wanted] of [
        [{ right: "owner" }, [["/right", "choice"]]],
        [{}, [["/right", "required"]]],
        [{ right: 3 }, [["/right", "type"]]],
        [{ right: "help", until: day(-1) }, [["/until", "in_past"]]],
        [{ right: "help", until: "Friday" }, [["/until", "day"]]],
        [{ right: "help", until: 5 }, [["/until", "type"]]],
        [{ right: "help", until: "2026-02-30" }, [["/until", "day"]]],
        [{ right: "help", reason: "cover" }, [["/reason", "unknown"]]]
    ]) {
        const answer = await put(body);
        assert.equal(answer.status, 422, JSON.stringify(body));
        assert.deepEqual(codes(answer), wanted, JSON.stringify(body));
    }
    assert.equal((await put({ right: "help" }, BIG)).status, 404);
    assert.equal((await office.put(`/api/v1/classes/${BIG}/staff/${w.staff.help.id}`, { right: "help" })).status, 404);
    assert.deepEqual(await member(w.staff.help.id), before);
});

/* The same child before and after: what the old class sees, what the new one sees, what the child sees. */
test("a child who moves class takes the tries along, and who may see them follows", async () => {
    const mover = w.pupil;
    const [old, next] = [await w.staff.teach.again(), await w.staff.other_teach.again()];
    const record = async (client) => client.get(`/api/v1/pupils/${mover.id}/record`);
    const theirs = await setChallenge(next, w.activity, [w.b.id]);
    assert.equal((await record(old)).status, 200);
    assert.equal((await record(next)).status, 404);
    assert.equal((await next.put(`/api/v1/pupils/${mover.id}`, { class: w.b.id })).status, 404, "nobody fetches a child");
    assert.deepEqual(codes(await old.put(`/api/v1/pupils/${mover.id}`, { class: w.b.id })), [["/class", "not_allowed"]], "moving is the office's");

    const moved = must(await office.put(`/api/v1/pupils/${mover.id}`, { class: w.b.id }), 200).pupil;
    assert.deepEqual(moved.classes.filter((c) => !c.to).map((c) => c.name), ["4 Birch"]);

    const gridOf = async (client, klass) => names(must(await client.get(`/api/v1/classes/${klass}/grid`), 200).pupils);
    assert.ok(!(await gridOf(old, w.a.id)).includes(mover.display_name), "the old class's grid no longer lists the child");
    assert.ok((await gridOf(next, w.b.id)).includes(mover.display_name));
    const rows = must(await old.get(`/api/v1/challenges/${w.challenge.id}/results?class=${w.a.id}`), 200).rows;
    assert.ok(!rows.some((r) => r.pupil.id === mover.id));
    assert.equal((await record(old)).status, 404, "the old teacher no longer sees the child");
    assert.deepEqual(must(await record(next), 200).hand_ins.map((h) => h.id), [w.handIn.id], "the tries of before are the child's");

    const child = await signedIn(w.url, { card: w.codes.pupil });       /* the card still works */
    assert.deepEqual(must(await child.get("/api/v1/me/challenges"), 200).challenges.map((c) => c.id), [theirs.id]);
    assert.equal(must(await child.get("/api/v1/me/bests"), 200).lines.length, 1);
    assert.equal((await child.post("/api/v1/hand-ins", { id: uuid7(), challenge: w.challenge.id, attempts: [{ value: 4, distance_mm: 3000 }] })).status, 404, "what is set for the old class only is no longer asked");
    must(await child.post("/api/v1/hand-ins", { id: uuid7(), challenge: theirs.id, attempts: [{ throws: [2, 2, 0, 0], distance_mm: 3000 }] }), 201);
    assert.equal(must(await record(next), 200).hand_ins.length, 2);

    /* back again on the same day: as if nothing had been, and the tries of both are there */
    must(await office.put(`/api/v1/pupils/${mover.id}`, { class: w.a.id }), 200);
    assert.equal(must(await record(old), 200).hand_ins.length, 2);
    assert.equal((await record(next)).status, 404);
});

test("a move is refused where it cannot be", async () => {
    const twin = must(await w.first.post(`/api/v1/classes/${w.b.id}/pupils`, { display_name: w.a.pupils[1].display_name, year_group: 4 }), 201).pupil;
    const move = (id, to) => office.put(`/api/v1/pupils/${id}`, { class: to });
    assert.deepEqual(codes(await move(twin.id, w.a.id)), [["/class", "duplicate"]]);
    assert.deepEqual(codes(await move(twin.id, BIG)), [["/class", "not_found"]]);
    must(await office.put(`/api/v1/pupils/${twin.id}`, { left: true }), 200);
    assert.deepEqual(codes(await move(twin.id, w.a.id)), [["/class", "left"]]);
    const back = must(await office.put(`/api/v1/pupils/${twin.id}`, { left: false }), 200).pupil;
    assert.deepEqual(back.classes.filter((c) => !c.to).map((c) => c.id), [w.b.id], "a leaver who is back is in the class of before");
});

test("a child who joins in the middle of the year", async () => {
    const teach = await w.staff.teach.again();
    const made = must(await teach.post(`/api/v1/classes/${w.a.id}/pupils`, { display_name: "Zinnia", year_group: 3 }), 201).pupil;
    assert.deepEqual(made.classes.map((c) => [c.id, c.from, c.to]), [[w.a.id, day(0), null]]);
    const grid = must(await teach.get(`/api/v1/classes/${w.a.id}/grid`), 200);
    assert.deepEqual(grid.pupils.find((p) => p.id === made.id).cells.map((c) => c.state), ["not_yet"]);
    const cards = must(await teach.post(`/api/v1/classes/${w.a.id}/cards`, { holder: "pupil" }), 201).cards;
    assert.deepEqual(cards.map((c) => c.pupil.id), [made.id], "cards for those who have none: only the new child's");
    const child = await signedIn(w.url, { card: cards[0].code });
    assert.equal(must(await child.get("/api/v1/me/challenges"), 200).challenges.length, 1);
    assert.deepEqual(codes(await teach.post(`/api/v1/classes/${w.a.id}/pupils`, { display_name: "ZINNIA" })), [["/display_name", "duplicate"]]);
});

test("a family card ends on 31 August", async () => {
    const klass = await makeClass(w, "5 Cherry", ["Alba"]);
    must(await w.first.post(`/api/v1/classes/${klass.id}/cards`, { holder: "family" }), 201);
    await makeCards(w, klass.id, "pupil");
    const cards = must(await office.get(`/api/v1/pupils/${klass.pupils[0].id}/cards`), 200).cards;
    assert.deepEqual(cards.map((c) => [c.for, c.expires_on && c.expires_on.slice(5)]).sort(), [["family", "08-31"], ["pupil", null]]);
});

test("the purge plan: who has left and when they go, to the office with names, messages to safeguarding alone", async () => {
    const klass = await makeClass(w, "5 Aspen", ["Bellamy", "Corin"]);
    const guard = await w.staff.safeguarding.again();
    const plan = async (client) => must(await client.get("/api/v1/purge-plan"), 200);
    const before = await plan(office);
    must(await office.put(`/api/v1/pupils/${klass.pupils[0].id}`, { left: true }), 200);
    const seen = await plan(office);
    assert.deepEqual(seen.leavers.filter((l) => l.pupil.id === klass.pupils[0].id), [{ pupil: { id: klass.pupils[0].id, display_name: "Bellamy" }, left_on: day(0), goes_on: day(61) }]);
    assert.equal(seen.leavers.length, before.leavers.length + 1);
    assert.deepEqual([seen.on, seen.last_on, seen.backup_on, seen.now.leavers, seen.within_14_days.leavers, seen.now.messages], [day(0), null, null, 0, 0, null]);
    assert.ok(seen.within_14_days.sessions > 0, "today's sign-ins are gone by then");
    const theirs = await plan(guard);
    assert.ok(theirs.leavers.every((l) => l.pupil === null) && theirs.leavers.length === seen.leavers.length);
    assert.equal(typeof theirs.now.messages, "number");
    assert.ok(!JSON.stringify(theirs).includes("Bellamy"));
    must(await office.put(`/api/v1/pupils/${klass.pupils[0].id}`, { left: false }), 200);
    assert.equal((await plan(office)).leavers.length, before.leavers.length, "who is back is not deleted");
    execFileSync(thrice, ["purge", "--data", school.data, "--confirm-date", day(0)], { encoding: "utf8" });
    assert.equal((await plan(office)).last_on, day(0));
    assert.equal((await plan(office)).plan.made_on, day(0));
    execFileSync(thrice, ["backup", school.data + ".copy", "--data", school.data], { encoding: "utf8" });
    rmSync(school.data + ".copy");
    assert.equal((await plan(office)).backup_on, day(0));
});
