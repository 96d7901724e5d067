/* SPDX-License-Identifier: MIT
 * What the other tests leave out: changes that succeed, contradictions and refusals of the school's
 * own settings, class lists in the encodings of the wild, and the static side of the server. */

import test from "node:test";
import assert from "node:assert/strict";
import { startSchool } from "../lib/server.mjs";
import { Client, signedIn, uuid7 } from "../lib/client.mjs";
import { makeClass, makeCards, makeActivity, makeStaff, setChallenge, must, day, ACTIVITIES } from "../lib/world.mjs";

async function world(t) {
    const school = await startSchool();
    t.after(() => school.stop());
    const w = { url: school.url, school, first: await signedIn(school.url, school.account) };
    await w.first.get("/api/v1/session");
    return w;
}

test("the school's settings, dates and words", async (t) => {
    const { first } = await world(t);
    const wanted = { school: { name: "Brindle Hill Primary", time_zone: "Europe/London", safeguarding_contact: "room 2, ask for the lead", away_phone: "a grown-up you trust", dpia_done_on: day(-3) },
        terms: [{ name: "Autumn term", starts_on: day(-40), ends_on: day(30) }, { name: "Spring term", starts_on: day(45), ends_on: day(110) }],
        closed_days: [day(3)], band_words: ["beginning", "doing", "flying"] };
    const changed = must(await first.put("/api/v1/school", wanted), 200);
    assert.deepEqual(changed.band_words, wanted.band_words);
    assert.deepEqual(changed.terms, wanted.terms);
    assert.deepEqual(changed.closed_days, wanted.closed_days);
    for (const [body, pointer] of [[{ terms: [{ name: "x", starts_on: day(5), ends_on: day(1) }] }, /^\/terms\/0/], [{ school: { time_zone: "Mars/Olympus" } }, /^\/school\/time_zone/],
        [{ band_words: ["only one"] }, /^\/band_words/], [{ closed_days: ["2026-13-01"] }, /^\/closed_days/]]) {
        const answer = await first.put("/api/v1/school", body);
        assert.equal(answer.status, 422, answer.text);
        assert.ok(answer.json.errors.some((e) => pointer.test(e.pointer)), answer.text);
    }
    assert.deepEqual(must(await first.get("/api/v1/school"), 200), changed, "a refused change changed something");
    const activity = await makeActivity(first, "successes");
    const klass = await makeClass({ first }, "3 Alder", ["Ondi"]);
    const challenge = must(await first.post("/api/v1/challenges", { activity: activity.id, classes: [klass.id], due_on: day(4) }), 201).challenge;
    assert.equal(challenge.closes_at.slice(0, 10), day(30), "closes with the term when nothing else is said");
    assert.equal(challenge.unit.name, "Autumn term");
});

test("contradictions are 409 and change nothing", async (t) => {
    const w = await world(t);
    const { first } = w;
    const klass = await makeClass(w, "3 Alder", ["Ondi"]);
    const someone = await makeStaff(w, "Tamsin", [], [{ class: klass.id, right: "teach" }]);
    assert.equal((await first.post("/api/v1/staff", { name: "tamsin" })).status, 409, "the same name in other letters");
    assert.equal((await first.post("/api/v1/classes", { name: "3 ALDER" })).status, 409);
    assert.equal((await first.post(`/api/v1/classes/${klass.id}/pupils`, { display_name: "ondi" })).status, 422, "two of one name in a class need telling apart");
    const group = must(await first.post("/api/v1/classes", { name: "Swimmers", kind: "group" }), 201).class;
    must(await first.post(`/api/v1/classes/${group.id}/pupils`, { pupil: klass.pupils[0].id }), 201);
    assert.equal((await first.post(`/api/v1/classes/${group.id}/pupils`, { pupil: klass.pupils[0].id })).status, 422);
    assert.equal((await first.put(`/api/v1/staff/${first.session.staff}`, { rights: ["pe_lead"] })).status, 409, "the last office account");
    const other = must(await first.post("/api/v1/classes", { name: "4 Birch" }), 201).class;
    assert.equal((await first.put(`/api/v1/classes/${other.id}`, { name: "3 Alder" })).status, 409);
    const activity = await makeActivity(first, "zones");
    const challenge = await setChallenge(first, activity, [klass.id]);
    const body = { id: uuid7(), pupil: klass.pupils[0].id, channel: "paper", attempts: [{ value: 9 }] };
    const path = `/api/v1/challenges/${challenge.id}/hand-ins`;
    must(await first.post(path, body), 201);
    must(await first.post(path, body), 200);
    assert.equal((await first.post(path, { ...body, attempts: [{ value: 7 }] })).status, 409);
    must(await someone.client.get("/api/v1/home"), 200);
});

test("plan, people and evidence can be changed", async (t) => {
    const w = await world(t);
    const { first } = w;
    const klass = await makeClass(w, "3 Alder", ["Ondi", "Perrin"]);
    const pupil = klass.pupils[0].id;
    const renamed = must(await first.put(`/api/v1/pupils/${pupil}`, { display_name: "Ondine", year_group: 4 }), 200).pupil;
    assert.deepEqual([renamed.display_name, renamed.year_group], ["Ondine", 4]);
    const unit = must(await first.post("/api/v1/units", { name: "Catching in winter", statistic: "best" }), 201).unit;
    assert.equal(must(await first.put(`/api/v1/units/${unit.id}`, { statistic: "middle" }), 200).unit.statistic, "middle");
    const activity = await makeActivity(first, "zones");
    const challenge = await setChallenge(first, activity, [klass.id], { unit: unit.id });
    assert.equal(challenge.unit.id, unit.id);
    const revised = must(await first.put(`/api/v1/activities/${activity.id}`, { ...ACTIVITIES.zones, throws: 5 }), 200).activity;
    assert.notEqual(revised.revision, activity.revision);
    assert.equal(must(await first.get(`/api/v1/challenges/${challenge.id}`), 200).activity.throws, 4, "a challenge keeps the revision it was set with");
    must(await first.put(`/api/v1/units/${unit.id}/taking-part/${pupil}`, { band: 1 }), 204);
    must(await first.post(`/api/v1/units/${unit.id}/seen`, { pupil, cue: activity.cues[0].id, seen: true }), 204);
    assert.equal((await first.post(`/api/v1/units/${unit.id}/seen`, { pupil, cue: activity.cues[0].id, seen: "yes" })).status, 422);
    assert.equal((await first.post(`/api/v1/units/${unit.id}/assessments`, { pupils: "all" })).status, 422);
    assert.equal((await first.post(`/api/v1/units/${unit.id}/share`, { class: klass.id, pupils: "all" })).status, 422);
    const record = must(await first.get(`/api/v1/pupils/${pupil}/record`), 200);
    assert.equal(record.seen.length, 1);
    must(await first.get(`/api/v1/exports/pupil.json?pupil=${pupil}`), 200);
});

test("sign-in: a mistyped letter costs nothing, two factors are not there yet", async (t) => {
    const w = await world(t);
    const klass = await makeClass(w, "3 Alder", ["Ondi"]);
    const [card] = await makeCards(w, klass.id, "pupil");
    const last = card.code.slice(-1);
    const wrong = card.code.slice(0, -1) + (last === "B" ? "C" : "B");
    const answer = await new Client(w.url).post("/api/v1/session", { card: wrong });
    assert.deepEqual([answer.status, answer.json.errors[0].pointer, answer.json.errors[0].code], [422, "/card", "check_letter"]);
    const typed = await new Client(w.url).post("/api/v1/session", { card: card.code.toLowerCase().replace(/ /g, "-") });
    assert.equal(typed.status, 200, "hyphens and small letters are forgiven");
    const cookies = typed.headers["set-cookie"];
    assert.equal(cookies.length, 2);
    assert.match(cookies.find((c) => c.startsWith("s=")), /^s=[A-Za-z0-9_-]{43}; Path=\/; HttpOnly; SameSite=Strict$/);
    assert.match(cookies.find((c) => c.startsWith("dv=")), /^dv=[A-Za-z0-9_-]{32}; Path=\/; HttpOnly; SameSite=Strict; Max-Age=15552000$/);
    assert.equal((await new Client(w.url).post("/api/v1/session", { name: "nobody", passphrase: "not the right one at all" })).status, 401);
});

test("class lists of the wild", async (t) => {
    const w = await world(t);
    const { first } = w;
    const klass = must(await first.post("/api/v1/classes", { name: "3 Alder" }), 201).class;
    const send = (bytes, query = "?dry_run=1") => first.request("POST", `/api/v1/classes/${klass.id}/roster${query}`, bytes, { type: "text/csv" });
    const names = (answer) => must(answer, 200).pupils.map((p) => p.display_name);
    assert.deepEqual(names(await send("Name;Year\r\nZo\u00eb;3\r\nB\u00e9atrix;4\r\n")), ["Zo\u00eb", "B\u00e9atrix"]);
    assert.deepEqual(names(await send("\ufeffname\tyear group\nOndi\tYear 3\n")), ["Ondi"]);
    assert.deepEqual(names(await send(Buffer.from("Name\nZo\u00eb\n", "latin1"))), ["Zo\u00eb"]);
    assert.deepEqual(names(await send(Buffer.concat([Buffer.from([0xff, 0xfe]), Buffer.from("Name\nZo\u00eb\n", "utf16le")]))), ["Zo\u00eb"]);
    assert.deepEqual(names(await send("\"Name\",\"Note\"\n\"O'Neill, \"\"Bee\"\"\",\"two\nlines\"\n")), ["O'Neill, \"Bee\""]);
    assert.deepEqual(names(await send("Ondi\nPerrin\n")), ["Ondi", "Perrin"]);
    const dropped = must(await send("Forename,Surname,Date of birth,Pupil premium\nOndi,Quillon,2018-01-01,Y\n"), 200);
    assert.deepEqual(dropped.dropped, ["Date of birth", "Pupil premium"]);
    assert.doesNotMatch(JSON.stringify(dropped), /2018-01-01|Quillon/);
    const refused = await send("Name\nOndi\nOndi\n", "");
    assert.ok([200, 201, 422].includes(refused.status));
    assert.equal(must(await first.get(`/api/v1/classes/${klass.id}/pupils`), 200).pupils.length, 0, "nothing is stored when any row is refused");
    must(await send("Name\nOndi\nOndi\n", "?partial=1"), 201);
    assert.equal(must(await first.get(`/api/v1/classes/${klass.id}/pupils`), 200).pupils.length, 1);
    const nothing = await send("", "");
    assert.equal(nothing.status, 422);
    assert.equal((await send("Name\n" + "x\n".repeat(600000), "")).status, 413);
});

test("static files: compressed, hashed, guarded", async (t) => {
    const w = await world(t);
    const anon = new Client(w.url);
    const page = await anon.get("/");
    assert.equal(page.status, 200);
    assert.match(page.headers["content-security-policy"], /default-src 'none'; script-src 'self'/);
    assert.equal(page.headers["cache-control"], "no-cache");
    assert.equal(page.headers["x-frame-options"], "DENY");
    assert.equal(page.headers["referrer-policy"], "same-origin");
    const css = /href="(\/s\/[0-9a-f]{16}\/css\/base\.css)"/.exec(page.text)[1];
    for (const coding of ["br", "gzip"]) {
        const file = await anon.get(css, { headers: { "accept-encoding": coding } });
        assert.equal(file.headers["content-encoding"], coding);
        assert.match(file.headers["cache-control"], /immutable/);
        assert.equal((await anon.get(css, { headers: { "accept-encoding": coding, "if-none-match": file.headers.etag } })).status, 304);
    }
    assert.equal((await anon.get("/s/0000000000000000/css/base.css")).status, 404);
    for (const path of ["/staff", "/staff/class", "/c", "/quick", "/quick/thanks", "/privacy", "/help"]) {
        assert.equal((await anon.get(path)).status, 200, path);
    }
    assert.equal((await anon.get("/healthz")).text.trim(), "ok");
    assert.equal((await anon.request("DELETE", "/healthz")).status, 405);
    const missing = await anon.get("/nothing/here");
    assert.equal(missing.status, 404);
    assert.match(missing.headers["content-type"], /text\/html/);
});

test("an unchanged grid keeps its tag on every connection", async (t) => {
    const w = await world(t);
    const klass = await makeClass(w, "3 Alder", ["Ondi"]);
    const challenge = await setChallenge(w.first, await makeActivity(w.first, "zones"), [klass.id]);
    const path = `/api/v1/classes/${klass.id}/grid`;
    for (let round = 0; round < 3; round += 1) {
        must(await w.first.post(`/api/v1/challenges/${challenge.id}/hand-ins`, { id: uuid7(), pupil: klass.pupils[0].id, channel: "staff", attempts: [{ value: 7 }] }), 201);
        await new Promise((r) => setTimeout(r, 50));
        const { headers } = await w.first.get(path);
        const answers = await Promise.all(Array.from({ length: 24 }, () => w.first.get(path, { headers: { "if-none-match": headers.etag } })));
        assert.deepEqual(answers.map((a) => a.status), answers.map(() => 304));
    }
});
