/* SPDX-License-Identifier: MIT
 * The main job end to end over HTTP, and the promises that go with it. All names are invented. */

import test from "node:test";
import assert from "node:assert/strict";
import { startSchool } from "../lib/server.mjs";
import { Client, signedIn, uuid7 } from "../lib/client.mjs";
import { makeClass, makeCards, makeActivity, setChallenge, makeStaff, must, day } from "../lib/world.mjs";

const NAMES = ["Abeni", "Bram", "Calla", "Dov", "Eira", "Farrin", "Gwil", "Hana", "Isla-Mae", "Joah", "Kezi", "Lorcan", "Mirela", "Nye", "Oona",
    "Pavel", "Qadira", "Rowan", "Soraya", "Tove", "Umi", "Viggo", "Wren", "Xanthe", "Yusra", "Zeb", "Anwen", "Bodhi", "Ciara", "Dax"];

function quick(url, fields, headers = {}) {
    return new Client(url).request("POST", "/quick", new URLSearchParams(fields).toString(), { type: "application/x-www-form-urlencoded", headers });
}

async function world(t) {
    const school = await startSchool();
    t.after(() => school.stop());
    const w = { url: school.url, school, first: await signedIn(school.url, school.account) };
    await w.first.get("/api/v1/session");
    return w;
}

test("thirty names in, cards out, thirty hand-ins, grid, board, assessments, families", async (t) => {
    const w = await world(t);
    const klass = await makeClass(w, "5 Maple", NAMES);
    assert.equal(klass.pupils.length, 30);
    const cards = await makeCards(w, klass.id, "pupil");
    const family = await makeCards(w, klass.id, "family");
    assert.equal(new Set(cards.map((c) => c.code)).size, 30);
    assert.match(cards[0].code, /^[B-DF-HJ-NPR-TV-Z]{3} [B-DF-HJ-NPR-TV-Z]{3} [B-DF-HJ-NPR-TV-Z]{3}$/);
    const activity = await makeActivity(w.first, "zones");
    const challenge = await setChallenge(w.first, activity, [klass.id]);

    await t.test("ten from the browser, ten from the form without script, ten on behalf", async () => {
        for (let i = 0; i < 30; i += 1) {
            const pupil = klass.pupils[i];
            const card = cards.find((c) => c.pupil.id === pupil.id);
            if (i < 10) {
                const child = await signedIn(w.url, i % 2 ? { card: card.code } : { key: card.url.split("#k=")[1] });
                assert.equal(child.session.role, "pupil");
                const today = must(await child.get("/api/v1/me/challenges"), 200);
                assert.equal(today.challenges[0].id, challenge.id);
                must(await child.post("/api/v1/hand-ins", { id: uuid7(), challenge: challenge.id, felt: "about_right",
                    attempts: [{ throws: [0, 2, 2, 0], distance_mm: 3000 }, { throws: [2, 2, 5, 0], distance_mm: 3000 }, { value: 9, distance_mm: 3000 }] }), 201);
                must(await child.del("/api/v1/session"), 204);
                assert.equal((await child.get("/api/v1/me/challenges")).status, 401);
            } else if (i < 20) {
                const answer = await quick(w.url, { code: card.code.toLowerCase(), challenge: i % 2 ? String(challenge.number) : "", attempt_1: "9", attempt_2: "5 2 0 2", attempt_3: "12", distance_m: "3" });
                assert.equal(answer.status, 303, answer.text);
                assert.equal(answer.headers.location, "/quick/thanks");
            } else {
                must(await w.first.post(`/api/v1/challenges/${challenge.id}/hand-ins`, { id: uuid7(), pupil: pupil.id, channel: i % 2 ? "paper" : "staff", attempts: [{ value: 7 }, { value: 9 }, { value: 4 }] }), 201);
            }
        }
    });

    await t.test("grid and board say thirty", async () => {
        const grid = must(await w.first.get(`/api/v1/classes/${klass.id}/grid`), 200);
        assert.equal(grid.pupils.length, 30);
        assert.equal(grid.challenges[0].handed_in, 30);
        assert.ok(grid.pupils.every((p) => ["handed_in", "on_paper"].includes(p.cells[0].state)));
        assert.deepEqual(grid.pupils.map((p) => p.display_name), [...NAMES].sort((a, b) => a.localeCompare(b, "en")));
        const board = must(await w.first.get(`/api/v1/classes/${klass.id}/board`), 200);
        assert.deepEqual([board.challenges[0].done, board.challenges[0].of], [30, 30]);
        assert.ok(!NAMES.some((n) => JSON.stringify(board).includes(n)));
    });

    await t.test("an unchanged grid is a 304, a changed one is not", async () => {
        const one = await w.first.get(`/api/v1/classes/${klass.id}/grid`);
        assert.match(one.headers.etag, /^"[^"]+"$/);
        const same = await w.first.get(`/api/v1/classes/${klass.id}/grid`, { headers: { "if-none-match": one.headers.etag } });
        assert.equal(same.status, 304);
        const board = await w.first.get(`/api/v1/classes/${klass.id}/board`);
        assert.equal((await w.first.get(`/api/v1/classes/${klass.id}/board`, { headers: { "if-none-match": board.headers.etag } })).status, 304);
        must(await w.first.post(`/api/v1/challenges/${challenge.id}/hand-ins`, { id: uuid7(), pupil: klass.pupils[0].id, channel: "paper", attempts: [{ value: 7 }] }), 201);
        assert.equal((await w.first.get(`/api/v1/classes/${klass.id}/grid`, { headers: { "if-none-match": one.headers.etag } })).status, 200);
    });

    await t.test("assessed, shared, and each family sees its own child only", async () => {
        const unit = challenge.unit.id;
        const page = must(await w.first.get(`/api/v1/units/${unit}/assess?class=${klass.id}`), 200);
        assert.equal(page.rows.length, 30);
        assert.ok(page.rows.every((r) => !r.bulk_ok && r.bulk_no), "nothing was seen yet: nobody may be accepted in bulk");
        const refused = must(await w.first.post(`/api/v1/units/${unit}/assessments`, { pupils: page.rows.map((r) => r.pupil.id) }), 200);
        assert.deepEqual(refused.accepted, []);
        for (const row of page.rows) {
            must(await w.first.put(`/api/v1/units/${unit}/assessments/${row.pupil.id}`, { band: 1, reason: "seen_in_lessons" }), 200);
        }
        const before = await signedIn(w.url, { card: family[0].code });
        assert.deepEqual(must(await before.get(`/api/v1/children/${family[0].pupil.id}`), 200).assessments, []);
        const shares = async () => must(await w.first.get("/api/v1/audit"), 200).rows.filter((r) => r.action === "assessments shared" && r.object === `class:${klass.id}`).length;
        assert.ok(must(await w.first.post(`/api/v1/units/${unit}/share`, { class: klass.id }), 200).shared > 0);
        assert.equal(await shares(), 1, "what is let out is in the audit");
        assert.equal(must(await w.first.post(`/api/v1/units/${unit}/share`, { class: klass.id }), 200).shared, 0);
        assert.equal(await shares(), 1, "nothing let out, nothing to note");
        for (const card of family.slice(0, 5)) {
            const carer = await signedIn(w.url, { card: card.code });
            const { children } = must(await carer.get("/api/v1/children"), 200);
            assert.deepEqual(children.map((c) => c.id), [card.pupil.id]);
            const one = must(await carer.get(`/api/v1/children/${card.pupil.id}`), 200);
            assert.equal(one.assessments.length, 1);
            const text = JSON.stringify(one);
            for (const other of klass.pupils.filter((p) => p.id !== card.pupil.id)) {
                assert.ok(!new RegExp(`\\b${other.display_name}\\b`).test(text), `${other.display_name} stands on another family's page`);
                assert.equal((await carer.get(`/api/v1/children/${other.id}`)).status, 404);
            }
            assert.doesNotMatch(text, /T\d\d:\d\d/, "a clock time on the family's page");
            assert.doesNotMatch(text, /sure|fairly|leaning|suggest/i);
        }
    });

    await t.test("a carer opens both children's cards in one session", async () => {
        const carer = await signedIn(w.url, { card: family[0].code });
        must(await carer.post("/api/v1/session", { card: family[1].code }), 200);
        const { children } = must(await carer.get("/api/v1/children"), 200);
        assert.deepEqual(children.map((c) => c.id).sort(), [family[0].pupil.id, family[1].pupil.id].sort());
    });
});

test("the same hand-in five times at once is one row; other content is refused", async (t) => {
    const w = await world(t);
    const klass = await makeClass(w, "2 Hazel", ["Ember", "Fen"]);
    const cards = await makeCards(w, klass.id, "pupil");
    const activity = await makeActivity(w.first, "successes");
    const challenge = await setChallenge(w.first, activity, [klass.id]);
    const child = await signedIn(w.url, { card: cards[0].code });
    const body = { id: uuid7(), challenge: challenge.id, attempts: [{ value: 7 }, { value: 9 }, { value: 8 }] };
    const answers = await Promise.all([1, 2, 3, 4, 5].map(() => child.post("/api/v1/hand-ins", body)));
    assert.deepEqual(answers.map((a) => a.status).sort(), [200, 200, 200, 200, 201]);
    assert.equal(new Set(answers.map((a) => a.text)).size, 1, "every answer is the same");
    const own = must(await child.get(`/api/v1/me/challenges/${challenge.id}`), 200);
    assert.equal(own.hand_ins.length, 1);
    assert.equal(own.hand_ins[0].best, 9);
    const other = await child.post("/api/v1/hand-ins", { ...body, attempts: [{ value: 1 }] });
    assert.equal(other.status, 409);
    assert.match(other.json.type, /different/);
    const sibling = await signedIn(w.url, { card: cards[1].code });
    assert.equal((await sibling.post("/api/v1/hand-ins", body)).status, 409);
    for (let i = 0; i < 9; i += 1) {
        must(await child.post("/api/v1/hand-ins", { ...body, id: uuid7() }), 201);
    }
    const enough = await child.post("/api/v1/hand-ins", { ...body, id: uuid7() });
    assert.equal(enough.status, 409);
    assert.match(enough.json.type, /enough_today/);
});

test("kill -9 right after a 201 loses nothing", async (t) => {
    const w = await world(t);
    const klass = await makeClass(w, "6 Elm", NAMES.slice(0, 20));
    const activity = await makeActivity(w.first, "timed_count");
    const challenge = await setChallenge(w.first, activity, [klass.id]);
    const sent = [];
    for (let round = 0; round < 4; round += 1) {
        const answers = await Promise.all(klass.pupils.slice(round * 5, round * 5 + 5).map((p) => {
            const id = uuid7();
            return w.first.post(`/api/v1/challenges/${challenge.id}/hand-ins`, { id, pupil: p.id, channel: "staff", attempts: [{ value: 20 + round }] }).then((a) => ({ id, a }));
        }));
        answers.filter((x) => x.a.status === 201).forEach((x) => sent.push(x.id));
        await w.school.kill();
        await w.school.start();
        w.url = w.school.url;
        w.first.base = w.school.url;
    }
    assert.equal(sent.length, 20);
    const results = must(await w.first.get(`/api/v1/challenges/${challenge.id}/results`), 200);
    const there = results.rows.flatMap((r) => r.hand_ins.map((h) => h.id));
    assert.deepEqual(there.sort(), sent.sort());
});

test("/quick: a roll that cannot be made is explained, what was typed is kept", async (t) => {
    const w = await world(t);
    const klass = await makeClass(w, "1 Ash", ["Juno"]);
    const [card] = await makeCards(w, klass.id, "pupil");
    const activity = await makeActivity(w.first, "zones");
    const challenge = await setChallenge(w.first, activity, [klass.id]);
    const typed = { code: card.code, challenge: String(challenge.number), attempt_1: "9", attempt_2: "12", attempt_3: "16", distance_m: "3" };
    const wrong = await quick(w.url, typed);
    assert.equal(wrong.status, 422);
    assert.match(wrong.headers["content-type"], /text\/html/);
    assert.match(wrong.text, /15 or 17/);
    assert.match(wrong.text, /value="9"/);
    assert.match(wrong.text, /value="12"/);
    assert.doesNotMatch(wrong.text, /<script/);
    const right = { ...typed, attempt_3: "15" };
    assert.equal((await quick(w.url, right)).status, 303);
    const grid = must(await w.first.get(`/api/v1/classes/${klass.id}/grid`), 200);
    assert.deepEqual([grid.pupils[0].cells[0].state, grid.pupils[0].cells[0].best], ["handed_in", 15]);
    assert.equal((await quick(w.url, right)).status, 303, "sent again within ten minutes");
    const results = must(await w.first.get(`/api/v1/challenges/${challenge.id}/results`), 200);
    assert.equal(results.rows[0].hand_ins.length, 1);
    assert.equal((await quick(w.url, right, { origin: "https://elsewhere.example" })).status, 403);
    const naughty = await quick(w.url, { ...typed, attempt_1: "\"><script>alert(1)</script>" });
    assert.equal(naughty.status, 422);
    assert.doesNotMatch(naughty.text, /<script/);
});

test("a child of two homes: another card, the lost one cancelled", async (t) => {
    const w = await world(t);
    const klass = await makeClass(w, "1 Oak", ["Lumi"]);
    const [home] = await makeCards(w, klass.id, "pupil");
    const pupil = klass.pupils[0].id;
    const [second] = must(await w.first.post(`/api/v1/pupils/${pupil}/cards`, { holder: "pupil", label: "other_home" }), 201).cards;
    must(await w.first.post(`/api/v1/pupils/${pupil}/cards`, { holder: "pupil", label: "school" }), 201);
    assert.equal((await w.first.post(`/api/v1/pupils/${pupil}/cards`, { holder: "pupil" })).status, 409, "three live cards at most");
    const open = await signedIn(w.url, { card: home.code });
    must(await w.first.del(`/api/v1/cards/${home.id}`), 204);
    assert.equal((await open.get("/api/v1/me/challenges")).status, 401, "the lost card's open session ends");
    assert.equal((await new Client(w.url).post("/api/v1/session", { card: home.code })).status, 401);
    const child = await signedIn(w.url, { card: second.code });
    assert.equal(child.session.display_name, "Lumi");
    const listed = must(await w.first.get(`/api/v1/pupils/${pupil}/cards`), 200).cards;
    assert.equal(listed.filter((c) => c.live).length, 2);
    assert.ok(!JSON.stringify(listed).includes(second.code));
});

test("71 typed for 17, confirmed, then 'I made a mistake'", async (t) => {
    const w = await world(t);
    const klass = await makeClass(w, "3 Lime", ["Sol"]);
    const [card] = await makeCards(w, klass.id, "pupil");
    const activity = await makeActivity(w.first, "timed_count", { soft_high: 60 });
    const challenge = await setChallenge(w.first, activity, [klass.id]);
    const child = await signedIn(w.url, { card: card.code });
    must(await child.post("/api/v1/hand-ins", { id: uuid7(), challenge: challenge.id, attempts: [{ value: 15 }, { value: 17 }, { value: 16 }] }), 201);
    const id = uuid7();
    const typo = { id, challenge: challenge.id, attempts: [{ value: 71 }] };
    const asked = await child.post("/api/v1/hand-ins", typo);
    assert.equal(asked.status, 422);
    assert.equal(asked.json.errors[0].code, "confirm");
    assert.equal(asked.json.errors[0].pointer, "/attempts/0/value");
    const stored = must(await child.post("/api/v1/hand-ins", { ...typo, confirmed: true }), 201);
    assert.equal(stored.state, "to_check");
    assert.equal(must(await child.post(`/api/v1/hand-ins/${id}/mistake`), 200).state, "to_check");
    const bests = must(await child.get("/api/v1/me/bests"), 200);
    assert.equal(bests.lines[0].best.value, 17);
    const grid = must(await w.first.get(`/api/v1/classes/${klass.id}/grid`), 200);
    assert.equal(grid.pupils[0].cells[0].state, "to_check");
    const unit = challenge.unit.id;
    const page = must(await w.first.get(`/api/v1/units/${unit}/assess?class=${klass.id}`), 200);
    assert.equal(page.rows[0].bulk_ok, false);
    const bulk = must(await w.first.post(`/api/v1/units/${unit}/assessments`, { pupils: [klass.pupils[0].id] }), 200);
    assert.deepEqual(bulk.accepted, []);
    assert.equal(bulk.refused.length, 1);
    const aside = must(await w.first.post(`/api/v1/hand-ins/${id}/set-aside`, { reason: "child_says" }), 200);
    assert.deepEqual(aside.marks.map((m) => m.mark), ["mistake", "set_aside"], "staff see that the child said so");
    assert.equal(must(await w.first.get(`/api/v1/classes/${klass.id}/grid`), 200).pupils[0].cells[0].state, "handed_in");
});

test("accept in bulk where something was seen and the suggestion is sure enough", async (t) => {
    const w = await world(t);
    const klass = await makeClass(w, "4 Yew", ["Tarn", "Vale"]);
    const activity = await makeActivity(w.first, "zones");
    const challenge = await setChallenge(w.first, activity, [klass.id]);
    for (const pupil of klass.pupils) {
        for (let i = 0; i < 3; i += 1) {
            must(await w.first.post(`/api/v1/challenges/${challenge.id}/hand-ins`, { id: uuid7(), pupil: pupil.id, channel: "staff",
                attempts: [{ throws: [5, 5, 5, 5], distance_mm: 3000 }, { throws: [5, 5, 5, 2], distance_mm: 3000 }, { throws: [5, 5, 5, 5], distance_mm: 3000 }] }), 201);
        }
    }
    const unit = challenge.unit.id;
    must(await w.first.post(`/api/v1/units/${unit}/seen`, { pupil: klass.pupils[0].id, cue: activity.cues[0].id, seen: true }), 204);
    const page = must(await w.first.get(`/api/v1/units/${unit}/assess?class=${klass.id}`), 200);
    const first = page.rows.find((r) => r.pupil.id === klass.pupils[0].id);
    assert.ok(first.bulk_ok, JSON.stringify(first));
    assert.equal(first.suggestion.band, 2);
    assert.equal(first.suggestion.label, "sure");
    const answer = must(await w.first.post(`/api/v1/units/${unit}/assessments`, { pupils: klass.pupils.map((p) => p.id) }), 200);
    assert.deepEqual(answer.accepted, [klass.pupils[0].id]);
    assert.equal(answer.refused[0].code, "nothing_seen");
    const again = must(await w.first.get(`/api/v1/units/${unit}/assess?class=${klass.id}`), 200).rows.find((r) => r.assessment);
    assert.equal(again.assessment.in_bulk, true);
    assert.equal(again.assessment.suggestion.band, 2, "the suggestion is kept beside the decision");
});

test("messages: off until two read them; then exactly the teacher and safeguarding see them", async (t) => {
    const w = await world(t);
    const klass = await makeClass(w, "2 Fir", ["Brisa"]);
    const [card] = await makeCards(w, klass.id, "pupil");
    const teacher = await makeStaff(w, "Alder", [], [{ class: klass.id, right: "teach" }]);
    const child = await signedIn(w.url, { card: card.code });
    assert.equal(child.session.messages.on, false);
    assert.equal((await child.post("/api/v1/messages", { about: "talk" })).status, 409);
    must(await w.first.put(`/api/v1/classes/${klass.id}`, { readers: [teacher.id, w.first.session.staff] }), 200);
    must(await child.post("/api/v1/messages", { about: "hurt", where: "leg", still: true }), 201);
    assert.equal((await child.post("/api/v1/messages", { about: "hurt", where: "nose" })).status, 422);
    const { messages } = must(await teacher.client.get("/api/v1/messages"), 200);
    assert.deepEqual([messages.length, messages[0].about, messages[0].where, messages[0].still, messages[0].acknowledged], [1, "hurt", "leg", true, null]);
    const read = must(await teacher.client.post(`/api/v1/messages/${messages[0].id}/acknowledgement`, { outcome: "passed_on" }), 200);
    assert.equal(read.acknowledged.by, "Alder");
    assert.equal((await teacher.client.post(`/api/v1/messages/${messages[0].id}/acknowledgement`, { outcome: "acknowledged" })).status, 409);
    const audit = must(await w.first.get("/api/v1/audit"), 200);
    assert.ok(audit.rows.some((r) => /message/.test(r.action)), "reading messages leaves an audit row");
});

test("dates: not open yet, after the date, closed, done while it was open", async (t) => {
    const w = await world(t);
    const klass = await makeClass(w, "3 Fern", ["Isolde", "Jarek", "Kit"]);
    const cards = await makeCards(w, klass.id, "pupil");
    const activity = await makeActivity(w.first, "successes");
    const later = await setChallenge(w.first, activity, [klass.id], { opens_on: day(2), due_on: day(5), closes_on: day(9) });
    const late = await setChallenge(w.first, activity, [klass.id], { opens_on: day(-9), due_on: day(-2), closes_on: day(3) });
    const over = await setChallenge(w.first, activity, [klass.id], { opens_on: day(-20), due_on: day(-10), closes_on: day(-4) });
    const child = await signedIn(w.url, { card: cards[0].code });
    const send = (challenge, more = {}) => child.post("/api/v1/hand-ins", { id: uuid7(), challenge: challenge.id, attempts: [{ value: 6 }], ...more });
    const early = await send(later);
    assert.deepEqual([early.status, /not_open/.test(early.json.type)], [409, true], early.text);
    const after = must(await send(late), 201);
    assert.equal(after.after_date, true);
    const closed = await send(over);
    assert.deepEqual([closed.status, /closed/.test(closed.json.type)], [409, true], closed.text);
    must(await send(over, { done_on: day(-5) }), 201);
    assert.equal((await send(over, { done_on: day(1) })).status, 422);
    const grid = must(await w.first.get(`/api/v1/classes/${klass.id}/grid`), 200);
    const cell = grid.pupils.find((p) => p.id === cards[0].pupil.id).cells.find((c) => c.challenge === late.id);
    assert.equal(cell.state, "after_date");
    const could = must(await send(late, { attempts: [], could_not: "no_space" }), 201);
    assert.equal(could.could_not, "no_space");
    assert.ok(!later.id.includes("."));
    const moved = must(await w.first.put(`/api/v1/challenges/${late.id}`, { due_on: day(6), closes_on: day(8) }), 200);
    assert.equal(moved.challenge.due_at.slice(0, 10), day(6));
});
