/* SPDX-License-Identifier: MIT
 * Two persons agree before anybody gains a way to read children's messages: the ways in which one office
 * account might come to read them alone, each shut; who may accept; what lapses; and the command line,
 * which does it and tells everybody. Our own rule; the school and its people are invented. */

import test from "node:test";
import assert from "node:assert/strict";
import { execFileSync, spawnSync } from "node:child_process";
import { startSchool, thrice } from "../lib/server.mjs";
import { signedIn } from "../lib/client.mjs";
import { makeWorld, makeStaff, makeClass, acceptFor, must } from "../lib/world.mjs";

const changes = async (client) => must(await client.get("/api/v1/pending-changes"), 200).changes;
const waits = async (client, id, kind) => (await changes(client)).find((c) => c.of.id === id && c.kind === kind && c.state === "waiting");
const accept = (client, change, body = {}) => client.post(`/api/v1/pending-changes/${change.id}/acceptance`, body);
const code = (answer) => [answer.status, answer.json && answer.json.errors && answer.json.errors[0].code];
const messages = async (client) => must(await client.get("/api/v1/messages"), 200);
const shown = async (client) => must(await client.get("/api/v1/session"), 200).changes;

/* An account whose passphrase was issued: signed in, and one of its own chosen. */
async function comeIn(w, name, issued) {
    const client = await signedIn(w.url, { name, passphrase: issued });
    must(await client.put("/api/v1/me/passphrase", { old: issued, new: `amber kettle ${name.toLowerCase()} harbour` }), 204);
    await client.get("/api/v1/session");
    return client;
}

async function world(t) {
    const school = await startSchool();
    t.after(() => school.stop());
    const w = await makeWorld(school, school.account);
    w.school = school;
    w.office = w.staff.office.client;           /* holds office alone: reads no message */
    w.guard = w.staff.safeguarding.client;
    assert.equal((await w.office.get("/api/v1/messages")).status, 404);
    return w;
}

test("way one: an office account gives itself teach", async (t) => {
    const w = await world(t);
    const id = w.staff.office.id;
    must(await w.office.put(`/api/v1/classes/${w.a.id}/staff/${id}`, { right: "teach" }), 200);
    must(await w.office.get(`/api/v1/challenges/${w.challenge.id}/results?class=${w.a.id}`), 200);
    const before = await messages(w.office);
    assert.deepEqual(before.messages, [], "teaching works at once, messages do not");
    assert.deepEqual(before.limits, [{ class: { id: w.a.id, name: "3 Alder" }, since: null }]);
    assert.deepEqual(must(await w.office.get("/api/v1/home"), 200).messages, { may_see: false, waiting: 0 });
    assert.equal((await w.office.post(`/api/v1/messages/${w.message.id}/acknowledgement`, { outcome: "acknowledged" })).status, 404);
    const change = await waits(w.office, id, "teach");
    assert.deepEqual(change.second_persons.map((p) => p.name), ["Maren", "Sable"]);
    assert.deepEqual(code(await accept(w.office, change)), [409, "own"]);
    assert.deepEqual(code(await accept(w.guard, change, { older: "yes" })), [422, "type"]);
    assert.ok((await shown(w.office)).some((c) => c.id === change.id), "the one concerned sees it");
    assert.ok((await shown(w.guard)).some((c) => c.id === change.id), "a holder of safeguarding sees it");
    assert.ok(!(await shown(w.staff.teach.client)).some((c) => c.id === change.id), "nobody else does");
    assert.equal(must(await w.guard.get("/api/v1/session"), 200).to_accept, 1);
    await new Promise((next) => setTimeout(next, 1100));    /* instants are whole seconds: the message is from before */
    must(await accept(w.guard, change), 200);
    const after = await messages(w.office);
    assert.deepEqual(after.messages, [], "what was sent before stays closed");
    assert.notEqual(after.limits[0].since, null);
    must(await w.child.post("/api/v1/messages", { about: "talk" }), 201);
    assert.deepEqual((await messages(w.office)).messages.map((m) => m.about), ["talk"]);
    must(await w.office.post("/api/v1/pending-changes", { kind: "older", staff: id, class: w.a.id }), 200);
    assert.deepEqual(code(await accept(w.office, await waits(w.office, id, "older"))), [409, "own"]);
    assert.equal((await messages(w.office)).messages.length, 1);
});

test("older messages are opened by a second person, for the children of the class", async (t) => {
    const w = await world(t);
    /* today is the children's first day in the class, and older ones open for those there before it */
    const sql = (text) => execFileSync("sqlite3", [`${w.school.data}/school.db`, `PRAGMA busy_timeout = 5000; ${text}`]);
    sql("UPDATE membership SET from_day = from_day - 30");
    const supply = await makeStaff({ ...w, second: null }, "Wenda", [], [{ class: w.a.id, right: "teach" }]);
    const change = await waits(w.first, supply.id, "teach");
    must(await accept(w.guard, change, { older: true }), 200);
    assert.deepEqual((await messages(supply.client)).messages.map((m) => m.id), [w.message.id]);
    assert.deepEqual((await messages(supply.client)).limits, []);
    assert.ok((await changes(w.first)).find((c) => c.id === change.id).older);
    /* a child of another class who is moved there brings no message along */
    must(await w.first.put(`/api/v1/classes/${w.b.id}`, { readers: [w.staff.other_teach.id, w.staff.safeguarding.id] }), 200);
    const other = await signedIn(w.url, { card: w.codes.other_pupil });
    must(await other.post("/api/v1/messages", { about: "unsafe" }), 201);
    must(await w.first.put(`/api/v1/pupils/${w.otherPupil.id}`, { class: w.a.id }), 200);
    assert.deepEqual((await messages(supply.client)).messages.map((m) => m.about), ["hurt"]);
    assert.deepEqual((await messages(w.staff.other_teach.client)).messages, []);
    assert.equal((await messages(w.guard)).messages.length, 2);
});

test("way two: an office account resets a safeguarding holder and signs in", async (t) => {
    const w = await world(t);
    const { id } = w.staff.safeguarding;
    const reset = must(await w.office.post(`/api/v1/staff/${id}/passphrase`), 200);
    assert.equal(reset.waits, true);
    const taken = await comeIn(w, "Sable", reset.passphrase);
    assert.deepEqual(must(await taken.get("/api/v1/session"), 200).rights, []);
    assert.equal((await taken.get("/api/v1/messages")).status, 404);
    assert.equal((await taken.get("/api/v1/audit")).status, 404);
    const change = await waits(w.office, id, "reset");
    assert.equal((await accept(taken, change)).status, 404, "the account itself accepts nothing");
    assert.deepEqual(code(await accept(w.office, change)), [409, "asked_by_you"]);
    assert.equal(must(await w.child.get("/api/v1/session"), 200).messages.on, false, "one reader is left: off for the class");
    must(await accept(w.first, change), 200);
    assert.equal((await messages(taken)).messages.length, 1);
    assert.equal(must(await w.child.get("/api/v1/session"), 200).messages.on, true);
    /* a teacher who reads: works at once, without messages; one who reads none: nothing waits */
    const teach = must(await w.office.post(`/api/v1/staff/${w.staff.teach.id}/passphrase`), 200);
    const again = await waits(w.office, w.staff.teach.id, "reset");
    assert.deepEqual(code(await accept(w.first, again)), [409, "not_signed_in"], "while the office knows the passphrase");
    const teacher = await comeIn(w, "Tamsin", teach.passphrase);
    must(await teacher.get(`/api/v1/challenges/${w.challenge.id}/results?class=${w.a.id}`), 200);
    assert.deepEqual((await messages(teacher)).messages, []);
    assert.deepEqual(code(await accept(w.first, again, { older: true })), [422, "not_of_this_kind"], "a passphrase opens nothing from before");
    must(await accept(w.first, again), 200);
    assert.equal((await messages(teacher)).messages.length, 1);
    assert.equal(must(await w.office.post(`/api/v1/staff/${w.staff.help.id}/passphrase`), 200).waits, false);
});

test("way three: the holders are disabled and a new one is made; the command line can, and tells all", async (t) => {
    const w = await world(t);
    const first = w.first.session.staff;
    for (const id of [w.staff.safeguarding.id, first]) {
        must(await w.office.put(`/api/v1/staff/${id}`, { disabled: true }), 200);
    }
    const made = must(await w.office.post("/api/v1/staff", { name: "Nell", rights: ["safeguarding"], classes: [] }), 201);
    assert.deepEqual(made.staff.rights, []);
    const puppet = await comeIn(w, "Nell", made.passphrase);
    assert.equal((await puppet.get("/api/v1/messages")).status, 404);
    const change = await waits(w.office, made.staff.id, "safeguarding");
    assert.deepEqual(change.second_persons, [], "nobody is left who could accept");
    assert.deepEqual(code(await accept(w.office, change)), [409, "asked_by_you"]);
    /* giving oneself the right is no other way */
    must(await w.office.put(`/api/v1/staff/${w.staff.office.id}`, { rights: ["office", "safeguarding"] }), 200);
    assert.deepEqual(code(await accept(w.office, await waits(w.office, w.staff.office.id, "safeguarding"))), [409, "own"]);
    assert.equal((await w.office.get("/api/v1/messages")).status, 404);

    const run = spawnSync(thrice, ["staff", "accept", "Nell", "--data", w.school.data], { encoding: "utf8" });
    assert.equal(run.status, 0, run.stderr);
    assert.match(run.stdout, /done for Nell: safeguarding/);
    assert.equal(run.stderr, `warn without_second_person staff=${made.staff.id} kind=safeguarding\n`, "ids and fixed words");
    assert.equal((await messages(puppet)).messages.length, 1);
    for (const who of ["teach", "help", "read", "pe_lead", "office"]) {
        const seen = (await shown(w.staff[who].client)).find((c) => c.id === change.id);
        assert.deepEqual([seen.state, seen.of.name, seen.decided_by], ["machine", "Nell", null], who);
    }
    const trail = must(await w.office.get("/api/v1/audit"), 200).rows.find((r) => r.action === "done without a second person");
    assert.deepEqual([trail.actor, trail.object, trail.code], ["office box", `staff:${made.staff.id}`, "safeguarding"]);
    assert.equal(spawnSync(thrice, ["staff", "accept", "Nell", "--data", w.school.data]).status, 1, "nothing is left to do");
});

test("other ways: an accomplice, an account let in again, a class of one's own, a named reader", async (t) => {
    const w = await world(t);
    /* an office account made to be the second person */
    const made = must(await w.office.post("/api/v1/staff", { name: "Nell", rights: ["office"], classes: [] }), 201);
    const puppet = await comeIn(w, "Nell", made.passphrase);
    must(await puppet.get("/api/v1/staff"), 200);
    must(await w.office.put(`/api/v1/classes/${w.a.id}/staff/${w.staff.office.id}`, { right: "teach" }), 200);
    must(await w.office.put(`/api/v1/staff/${w.staff.read.id}`, { rights: ["safeguarding"] }), 200);
    assert.deepEqual(code(await accept(puppet, await waits(w.office, w.staff.office.id, "teach"))), [409, "not_agreed"]);
    assert.deepEqual(code(await accept(puppet, await waits(w.office, w.staff.read.id, "safeguarding"))), [409, "not_agreed"]);
    assert.deepEqual(code(await puppet.del(`/api/v1/pending-changes/${(await waits(w.office, w.staff.read.id, "safeguarding")).id}`)), [409, "not_agreed"]);
    /* or to be the one who asks */
    must(await puppet.put(`/api/v1/staff/${w.staff.help.id}`, { rights: ["safeguarding"] }), 200);
    const unasked = await waits(w.office, w.staff.help.id, "safeguarding");
    assert.deepEqual(code(await accept(w.office, unasked)), [409, "asker"]);
    assert.deepEqual(unasked.second_persons, [], "nobody is named who may not");
    /* another office account's passphrase: it does its work and accepts nothing */
    must(await w.first.put(`/api/v1/staff/${made.staff.id}`, { disabled: true }), 200);
    must(await accept(w.guard, await waits(w.office, w.staff.office.id, "teach")), 200);
    must(await w.office.put(`/api/v1/staff/${w.staff.safeguarding.id}`, { disabled: true }), 200);
    must(await w.office.put(`/api/v1/staff/${w.staff.safeguarding.id}`, { disabled: false }), 200);
    assert.equal((await w.staff.safeguarding.again().then((c) => c.get("/api/v1/messages"))).status, 404, "let in again by one");
    assert.ok(await waits(w.first, w.staff.safeguarding.id, "enabled"));
    /* the one who is named to read, and may not yet */
    const supply = await makeStaff({ ...w, second: null }, "Wenda", [], [{ class: w.a.id, right: "teach" }]);
    const named = await w.first.put(`/api/v1/classes/${w.a.id}`, { readers: [w.staff.teach.id, supply.id] });
    assert.deepEqual(code(named), [422, "may_not_read"]);
    /* a class made by somebody who teaches already; a child is moved into it */
    const own = await makeClass({ first: w.office }, "Oak", ["Tilda"]);
    must(await w.first.put(`/api/v1/pupils/${w.pupil.id}`, { class: own.id }), 200);
    assert.deepEqual((await messages(w.office)).messages, []);
    assert.ok(await waits(w.first, w.staff.office.id, "teach"));
});

test("asked, declined, taken back, asked again; taken away, it waits no more", async (t) => {
    const w = await world(t);
    const { id } = w.staff.read;
    const wish = (rights) => w.office.put(`/api/v1/staff/${id}`, { rights });
    must(await wish(["safeguarding"]), 200);
    const one = await waits(w.office, id, "safeguarding");
    must(await wish(["safeguarding"]), 200);
    assert.equal((await waits(w.office, id, "safeguarding")).id, one.id, "asked twice is once");
    must(await w.guard.del(`/api/v1/pending-changes/${one.id}`), 204);
    assert.equal((await changes(w.office)).find((c) => c.id === one.id).state, "declined");
    assert.deepEqual(code(await accept(w.first, one)), [409, "over"]);
    assert.deepEqual(code(await w.first.del(`/api/v1/pending-changes/${one.id}`)), [409, "over"]);
    assert.equal((await accept(w.first, { id: "4611686018427387903" })).status, 404);
    must(await wish(["safeguarding"]), 200);
    const two = await waits(w.office, id, "safeguarding");
    must(await w.office.del(`/api/v1/pending-changes/${two.id}`), 204);
    assert.equal((await changes(w.office)).find((c) => c.id === two.id).state, "withdrawn");
    must(await wish(["safeguarding"]), 200);
    must(await wish([]), 200);
    assert.equal(await waits(w.office, id, "safeguarding"), undefined);
    assert.deepEqual((await shown(w.staff.read.client)).map((c) => c.state).sort(), ["declined", "withdrawn", "withdrawn"]);
    const ask = (body) => w.office.post("/api/v1/pending-changes", body);
    assert.deepEqual(code(await ask({ kind: "reset", staff: id })), [409, "nothing_to_accept"]);
    assert.deepEqual(code(await ask({ kind: "teach", staff: w.staff.teach.id, class: w.a.id })), [409, "nothing_to_accept"]);
    assert.deepEqual(code(await ask({ kind: "teach", staff: id })), [422, "required"]);
    assert.deepEqual(code(await ask({ kind: "office", staff: id, class: w.a.id })), [422, "not_of_this_kind"]);
    assert.deepEqual(code(await ask({ kind: "office", staff: "7" })), [422, "not_found"]);
    assert.deepEqual(code(await ask({ kind: "safeguarding", staff: id })), [422, "choice"]);
    const reset = must(await w.office.post(`/api/v1/staff/${w.staff.teach.id}/passphrase`), 200);
    must(await w.office.del(`/api/v1/pending-changes/${(await waits(w.office, w.staff.teach.id, "reset")).id}`), 204);
    const teacher = await comeIn(w, "Tamsin", reset.passphrase);
    assert.deepEqual((await messages(teacher)).messages, [], "taken back is not accepted");
    must(await ask({ kind: "reset", staff: w.staff.teach.id }), 200);
    await acceptFor(w.guard, w.staff.teach.id);
    assert.equal((await messages(teacher)).messages.length, 1);
});

test("what nobody accepts within seven days has lapsed, and says so", async (t) => {
    const w = await world(t);
    const sql = (text) => execFileSync("sqlite3", [`${w.school.data}/school.db`, `PRAGMA busy_timeout = 5000; ${text}`]);
    must(await w.office.put(`/api/v1/staff/${w.staff.read.id}`, { rights: ["safeguarding"] }), 200);
    const change = await waits(w.office, w.staff.read.id, "safeguarding");
    sql(`UPDATE pending_change SET asked_at = asked_at - 7 * 86400 WHERE id = ${change.id}`);
    assert.deepEqual(code(await accept(w.guard, change)), [409, "over"]);
    assert.equal((await changes(w.office)).find((c) => c.id === change.id).state, "lapsed");
    assert.equal((await shown(w.staff.read.client)).find((c) => c.id === change.id).state, "lapsed");
    assert.equal(must(await w.guard.get("/api/v1/session"), 200).to_accept, 0);
    sql(`UPDATE pending_change SET asked_at = asked_at - 8 * 86400 WHERE id = ${change.id}`);
    assert.ok(!(await shown(w.staff.read.client)).some((c) => c.id === change.id), "shown for 14 days");
    must(await w.office.put(`/api/v1/staff/${w.staff.read.id}`, { rights: ["safeguarding"] }), 200);
    assert.ok(await waits(w.office, w.staff.read.id, "safeguarding"));
});

test("a new school: the first holder beside the first account stays simple", async (t) => {
    const school = await startSchool();
    t.after(() => school.stop());
    const w = { url: school.url, first: await signedIn(school.url, school.account) };
    await w.first.get("/api/v1/session");
    const klass = await makeClass(w, "2 Fir", ["Brisa"]);
    const teacher = await makeStaff(w, "Alder", [], [{ class: klass.id, right: "teach" }]);
    assert.deepEqual((await messages(teacher.client)).limits, [], "while there is no third account");
    const second = await makeStaff(w, "Briar", [], [{ class: klass.id, right: "teach" }]);
    assert.deepEqual((await messages(second.client)).limits.map((l) => l.since), [null]);
    const lead = await makeStaff(w, "Cress", ["safeguarding"]);
    must(await lead.client.get("/api/v1/messages"), 200);
    await acceptFor(lead.client, second.id);
    assert.notEqual((await messages(second.client)).limits[0].since, null);
    const other = must(await w.first.post("/api/v1/staff", { name: "Dill", rights: ["safeguarding"], classes: [] }), 201).staff;
    assert.deepEqual(other.rights, [], "the next one takes two");
});
