/* SPDX-License-Identifier: MIT
 * What teachers add from lessons over HTTP: the observation grid, questions, taking part and
 * statements; who sees what, what is taken back, and that many marks are stored all or not at all.
 * All names are invented. */

import test from "node:test";
import assert from "node:assert/strict";
import { startSchool } from "../lib/server.mjs";
import { signedIn } from "../lib/client.mjs";
import { makeWorld, makeActivity, makeClass, must, day } from "../lib/world.mjs";

async function world(t) {
    const school = await startSchool();
    t.after(() => school.stop());
    const w = await makeWorld(school, school.account);
    w.unit = w.challenge.unit.id;
    w.grid = `/api/v1/units/${w.unit}/seen?class=${w.a.id}`;
    w.teach = w.staff.teach.client;
    return w;
}

const rowOf = (page, pupil) => page.rows.find((r) => r.pupil.id === pupil.id);
const first = (answer) => [answer.status, answer.json.errors[0].pointer, answer.json.errors[0].code];

test("the observation grid", async (t) => {
    const w = await world(t);
    const [ondi, perrin, quill] = w.a.pupils;
    const [eyes, swing, knees] = w.activity.cues;
    const [question] = w.activity.questions;
    const send = (body) => w.teach.post(`/api/v1/units/${w.unit}/seen`, body);
    const page = async (client = w.teach) => must(await client.get(w.grid), 200);

    await t.test("nothing looked for yet: every cell is absent", async () => {
        const grid = await page();
        assert.deepEqual(grid.cues.map((c) => c.text), ["Eyes on the mat", "Smooth swing", "Soft knees"]);
        assert.deepEqual(grid.questions.map((q) => q.activity), ["Mat slide"]);
        assert.deepEqual(grid.rows.map((r) => r.pupil.display_name), ["Ondi", "Perrin", "Quill"]);
        assert.ok(grid.rows.every((r) => !Object.keys(r.seen).length && !Object.keys(r.answers).length && r.taking_part === null));
        assert.ok(grid.band_words.length > 1);
    });

    await t.test("seen, looked and not seen, taken back", async () => {
        must(await send({ pupil: ondi.id, cue: eyes.id, seen: true }), 204);
        must(await send({ pupil: ondi.id, cue: swing.id, seen: false }), 204);
        assert.deepEqual(rowOf(await page(), ondi).seen, { [eyes.id]: true, [swing.id]: false });
        must(await send({ pupil: ondi.id, cue: eyes.id, seen: null }), 204);
        assert.deepEqual(rowOf(await page(), ondi).seen, { [swing.id]: false });
        const assess = must(await w.teach.get(`/api/v1/units/${w.unit}/assess?class=${w.a.id}`), 200);
        assert.deepEqual(rowOf(assess, ondi).evidence.seen, { [swing.id]: false }, "what is taken back is no evidence");
    });

    await t.test("a whole column at once, and back", async () => {
        const marks = w.a.pupils.map((p) => ({ pupil: p.id, cue: knees.id, seen: true }));
        must(await send({ marks }), 204);
        assert.ok((await page()).rows.every((r) => r.seen[knees.id] === true));
        must(await send({ marks: marks.map((m) => ({ ...m, seen: null })) }), 204);
        assert.ok((await page()).rows.every((r) => !(knees.id in r.seen)));
    });

    await t.test("all or nothing", async () => {
        const good = { pupil: perrin.id, cue: eyes.id, seen: true };
        const none = async (answer) => {
            assert.deepEqual(rowOf(await page(), perrin).seen, {}, answer.text);
            return answer;
        };
        assert.equal((await none(await send({ marks: [good, { ...good, pupil: w.otherPupil.id }] }))).status, 404, "a child of another class");
        assert.equal((await none(await send({ marks: [good, { ...good, pupil: quill.id, cue: "4611686018427387903" }] }))).status, 404, "no such teaching point");
        assert.deepEqual(first(await none(await send({ marks: [good, { ...good, seen: "yes", pupil: quill.id }] }))), [422, "/marks/1/seen", "type"]);
        assert.deepEqual(first(await none(await send({ marks: [good, good] }))), [422, "/marks/1", "twice"]);
        assert.deepEqual(first(await none(await send({ marks: [good, "x"] }))), [422, "/marks/1", "type"]);
        assert.deepEqual(first(await none(await send({ marks: [] }))), [422, "/marks", "empty"]);
        assert.deepEqual(first(await none(await send({ marks: good }))), [422, "/marks", "type"]);
        assert.deepEqual(first(await none(await send({ marks: [good], cue: eyes.id }))), [422, "/cue", "unknown"]);
        assert.deepEqual(first(await none(await send({ marks: Array.from({ length: 201 }, () => good) }))), [422, "/marks", "too_many"]);
        assert.deepEqual(first(await none(await send({ pupil: perrin.id, cue: eyes.id }))), [422, "/seen", "required"]);
        assert.deepEqual(first(await none(await send({ pupil: perrin.id, cue: "x", seen: true }))), [422, "/cue", "not_an_id"]);
        const elsewhere = await makeActivity(w.teach, "successes");
        assert.equal((await none(await send({ ...good, cue: elsewhere.cues[0].id }))).status, 404, "a point of no activity of the unit");
    });

    await t.test("a mark with an id is stored once; of two the one said last holds", async () => {
        const [a, b, c] = ["01890a5d-ac96-774b-bcce-b302099a8057", "01890a5d-ac96-774b-bcce-b302099a8058", "01890a5d-ac96-774b-bcce-b302099a8059"];
        const mark = { id: a, ago_s: 3000, pupil: quill.id, cue: swing.id, seen: true };
        const held = async () => rowOf(await page(), quill).seen[swing.id];
        const copies = async () => must(await w.first.get(`/api/v1/exports/pupil.json?pupil=${quill.id}`), 200).seen.length;
        must(await send(mark), 204);
        const before = await copies();
        must(await send(mark), 204);
        must(await send({ marks: [{ ...mark, ago_s: 3010 }] }), 204);
        assert.equal(await copies(), before, "a repeat is stored once");
        assert.deepEqual([(await send({ ...mark, seen: false })).status, (await send({ ...mark, pupil: perrin.id })).status], [409, 409], "another mark under that id");
        must(await send({ ...mark, id: b, ago_s: 3600, seen: false }), 204);
        assert.equal(await held(), true, "said earlier, arrived later");
        must(await send({ ...mark, id: c, ago_s: 2900, seen: null }), 204);
        assert.equal(await held(), undefined, "taken back");
        must(await send({ pupil: quill.id, cue: swing.id, seen: false }), 204);
        assert.equal(await held(), false);
        assert.deepEqual(first(await send({ ...mark, id: "x" })), [422, "/id", "not_a_uuid"]);
        assert.deepEqual(first(await send({ marks: [{ ...mark, ago_s: -1 }] })), [422, "/marks/0/ago_s", "out_of_range"]);
        assert.deepEqual(first(await send({ ...mark, ago_s: 36 * 86400 })), [422, "/ago_s", "out_of_range"]);
        assert.deepEqual(first(await send({ ...mark, ago_s: 1.5 })), [422, "/ago_s", "type"]);
        must(await send({ pupil: quill.id, cue: swing.id, seen: null }), 204);
    });

    await t.test("two hundred marks at once", async () => {
        const big = await makeClass(w, "5 Maple", Array.from({ length: 67 }, (_, i) => `Child ${String.fromCharCode(65 + i % 26)}${String.fromCharCode(97 + Math.floor(i / 26))}`));
        must(await w.first.post("/api/v1/challenges", { activity: w.activity.id, unit: w.unit, classes: [big.id], opens_on: day(-2), due_on: day(5), closes_on: day(20) }), 201);
        const marks = big.pupils.flatMap((p) => w.activity.cues.map((c) => ({ pupil: p.id, cue: c.id, seen: true }))).slice(0, 200);
        must(await w.first.post(`/api/v1/units/${w.unit}/seen`, { marks }), 204);
        const grid = must(await w.first.get(`/api/v1/units/${w.unit}/seen?class=${big.id}`), 200);
        assert.equal(grid.rows.reduce((n, r) => n + Object.keys(r.seen).length, 0), 200);
    });

    await t.test("a question answered in a lesson stands in place of the child's own answer", async () => {
        const answer = (right) => w.teach.post(`/api/v1/units/${w.unit}/answers`, { pupil: ondi.id, question: question.id, right });
        const counted = async () => {
            const e = rowOf(must(await w.teach.get(`/api/v1/units/${w.unit}/assess?class=${w.a.id}`), 200), ondi).evidence;
            return [e.questions_right, e.questions_answered];
        };
        assert.deepEqual(await counted(), [0, 0]);
        must(await answer(true), 204);
        assert.deepEqual(rowOf(await page(), ondi).answers, { [question.id]: true });
        assert.deepEqual(await counted(), [1, 1]);
        must(await answer(false), 204);
        assert.deepEqual(await counted(), [0, 1]);
        must(await answer(null), 204);
        assert.deepEqual(await counted(), [0, 0]);
        assert.deepEqual(first(await answer("yes")), [422, "/right", "type"]);
        assert.equal((await w.teach.post(`/api/v1/units/${w.unit}/answers`, { pupil: w.otherPupil.id, question: question.id, right: true })).status, 404);
        assert.equal((await w.teach.post(`/api/v1/units/${w.unit}/answers`, { pupil: ondi.id, question: eyes.id, right: true })).status, 404);
    });

    await t.test("taking part, and taken back", async () => {
        const put = (band) => w.teach.put(`/api/v1/units/${w.unit}/taking-part/${ondi.id}`, { band });
        must(await put(1), 204);
        assert.equal(rowOf(await page(), ondi).taking_part, 1);
        must(await put(null), 204);
        assert.equal(rowOf(await page(), ondi).taking_part, null);
        assert.deepEqual(first(await put(99)), [422, "/band", "out_of_range"]);
        assert.deepEqual(first(await w.teach.put(`/api/v1/units/${w.unit}/taking-part/${ondi.id}`, {})), [422, "/band", "required"]);
    });

    await t.test("who helps sees and records no band; who reads changes nothing", async () => {
        const help = w.staff.help.client;
        must(await w.teach.put(`/api/v1/units/${w.unit}/taking-part/${ondi.id}`, { band: 1 }), 204);
        const grid = await page(help);
        assert.ok(!("band_words" in grid) && grid.rows.every((r) => !("taking_part" in r)));
        must(await help.post(`/api/v1/units/${w.unit}/seen`, { pupil: quill.id, cue: eyes.id, seen: true }), 204);
        must(await help.post(`/api/v1/units/${w.unit}/answers`, { pupil: quill.id, question: question.id, right: true }), 204);
        assert.equal((await help.put(`/api/v1/units/${w.unit}/taking-part/${quill.id}`, { band: 1 })).status, 404);
        const read = w.staff.read.client;
        assert.deepEqual(rowOf(await page(read), quill).seen, { [eyes.id]: true });
        assert.equal((await read.post(`/api/v1/units/${w.unit}/seen`, { pupil: quill.id, cue: eyes.id, seen: false })).status, 404);
        assert.ok("taking_part" in rowOf(await page(w.staff.pe_lead.client), quill));
    });

    await t.test("the class is named, and is one's own", async () => {
        assert.equal((await w.teach.get(`/api/v1/units/${w.unit}/seen`)).status, 404);
        assert.deepEqual(first(await w.staff.pe_lead.client.get(`/api/v1/units/${w.unit}/seen`)), [422, "/class", "required"]);
        assert.equal((await w.teach.get(`/api/v1/units/${w.unit}/seen?class=${w.b.id}`)).status, 404);
        assert.equal((await w.teach.get(`/api/v1/units/4611686018427387903/seen?class=${w.a.id}`)).status, 404);
        assert.equal((await w.child.get(w.grid)).status, 404);
    });
});

test("statements", async (t) => {
    const w = await world(t);
    const [ondi] = w.a.pupils;
    const lead = w.staff.pe_lead.client;
    const list = async (client = w.teach) => must(await client.get(`/api/v1/statements?class=${w.a.id}`), 200);
    const tick = (body, statement = "1", client = w.teach) => client.put(`/api/v1/pupils/${ondi.id}/statements/${statement}`, body);

    await t.test("swimming's three are there", async () => {
        const page = await list();
        assert.deepEqual(page.statements.map((s) => s.area), ["swimming", "swimming", "swimming"]);
        assert.match(page.statements[0].text, /at least 25 metres/);
        assert.ok(page.rows.every((r) => !Object.keys(r.ticks).length));
    });

    await t.test("yes, not yet, taken back; when and by whom", async () => {
        must(await tick({ met: true, on: day(-3) }), 204);
        must(await tick({ met: false }, "2"), 204);
        assert.deepEqual(rowOf(await list(), ondi).ticks, { 1: { met: true, on: day(-3), by: "Tamsin" }, 2: { met: false, on: day(0), by: "Tamsin" } });
        must(await tick({ met: null }), 204);
        assert.deepEqual(Object.keys(rowOf(await list(), ondi).ticks), ["2"]);
    });

    await t.test("what cannot be", async () => {
        assert.deepEqual(first(await tick({ met: true, on: day(1) })), [422, "/on", "in_future"]);
        assert.deepEqual(first(await tick({ met: true, on: "1999-01-01" })), [422, "/on", "too_old"]);
        assert.deepEqual(first(await tick({ met: true, on: "yesterday" })), [422, "/on", "not_a_day"]);
        assert.deepEqual(first(await tick({ met: true, on: 3 })), [422, "/on", "type"]);
        assert.deepEqual(first(await tick({ met: "yes" })), [422, "/met", "type"]);
        assert.deepEqual(first(await tick({})), [422, "/met", "required"]);
        assert.deepEqual(first(await tick({ met: true, note: "x" })), [422, "/note", "unknown"]);
        assert.equal((await tick({ met: true }, "999")).status, 404);
        assert.equal((await w.teach.put(`/api/v1/pupils/${w.otherPupil.id}/statements/1`, { met: true })).status, 404);
        for (const who of ["help", "read", "pe_lead", "office"]) {
            assert.equal((await tick({ met: true }, "1", w.staff[who].client)).status, 404, who);
        }
        for (const who of ["help", "office", "safeguarding", "other_teach"]) {
            assert.equal((await w.staff[who].client.get(`/api/v1/statements?class=${w.a.id}`)).status, 404, who);
        }
    });

    await t.test("the list is the PE lead's, and audited", async () => {
        const made = must(await lead.post("/api/v1/statements", { area: "dance", text: "  Moves in time  to a steady beat " }), 201).statement;
        assert.deepEqual([made.area, made.text, made.archived], ["dance", "Moves in time to a steady beat", false]);
        const reworded = must(await lead.put(`/api/v1/statements/${made.id}`, { text: "Keeps a steady beat" }), 200).statement;
        assert.equal(reworded.text, "Keeps a steady beat");
        must(await tick({ met: true }, made.id), 204);
        assert.deepEqual(first(await lead.put(`/api/v1/statements/${made.id}`, { text: "Anything else" })), [422, "/text", "ticked"]);
        assert.ok(must(await lead.put(`/api/v1/statements/${made.id}`, { archived: true }), 200).statement.archived);
        assert.ok(!(await list()).statements.some((s) => s.id === made.id));
        assert.ok(must(await lead.get("/api/v1/statements"), 200).statements.some((s) => s.id === made.id && s.archived), "the lead still finds it");
        assert.equal((await tick({ met: true }, made.id)).status, 404);
        must(await lead.put(`/api/v1/statements/${made.id}`, { archived: false }), 200);
        assert.equal((await w.teach.get("/api/v1/statements")).status, 404);
        assert.deepEqual(first(await lead.post("/api/v1/statements", { area: "chess", text: "x" })), [422, "/area", "choice"]);
        assert.deepEqual(first(await lead.post("/api/v1/statements", { area: "dance", text: "x".repeat(201) })), [422, "/text", "too_long"]);
        assert.equal((await lead.put("/api/v1/statements/999", { archived: true })).status, 404);
        assert.deepEqual(first(await lead.put(`/api/v1/statements/${made.id}`, { archived: "yes" })), [422, "/archived", "type"]);
        const audit = must(await w.staff.office.client.get("/api/v1/audit"), 200).rows.map((r) => r.action);
        for (const action of ["statement added", "statement reworded", "statement archived", "statement brought back"]) {
            assert.ok(audit.includes(action), action);
        }
        for (let i = (await list()).statements.length; i < 40; i += 1) {
            must(await lead.post("/api/v1/statements", { area: "other", text: `Can do ${i}` }), 201);
        }
        assert.deepEqual(first(await lead.post("/api/v1/statements", { area: "other", text: "One more" })), [422, "/text", "forty_statements"]);
    });
});

test("the record and the copy of the data say it, the family's page does not", async (t) => {
    const w = await world(t);
    const [ondi] = w.a.pupils;
    must(await w.teach.put(`/api/v1/pupils/${ondi.id}/statements/3`, { met: true }), 204);
    must(await w.teach.post(`/api/v1/units/${w.unit}/answers`, { pupil: ondi.id, question: w.activity.questions[0].id, right: false }), 204);
    const record = must(await w.teach.get(`/api/v1/pupils/${ondi.id}/record`), 200);
    assert.deepEqual(record.statements, [{ text: "Performs safe self-rescue in different water-based situations", met: true, on: day(0), by: "Tamsin" }]);
    assert.deepEqual(record.lesson_answers.map((a) => [a.question, a.right]), [[w.activity.questions[0].text, false]]);
    const copy = must(await w.teach.get(`/api/v1/exports/pupil.json?pupil=${ondi.id}`), 200);
    assert.deepEqual([copy.statements.length, copy.lesson_answers.length], [1, 1]);
    must(await w.teach.put(`/api/v1/pupils/${ondi.id}/statements/3`, { met: null }), 204);
    must(await w.teach.post(`/api/v1/units/${w.unit}/answers`, { pupil: ondi.id, question: w.activity.questions[0].id, right: true }), 204);
    for (const seen of [true, null]) {
        must(await w.teach.post(`/api/v1/units/${w.unit}/seen`, { pupil: ondi.id, cue: w.activity.cues[0].id, seen }), 204);
    }
    const held = must(await w.teach.get(`/api/v1/exports/pupil.json?pupil=${ondi.id}`), 200);
    assert.deepEqual(held.statements.map((s) => [s.met, s.on, s.by]), [[true, day(0), "Tamsin"], [null, day(0), "Tamsin"]], "what is held is in the copy, taken back or not");
    assert.deepEqual(held.lesson_answers.map((a) => a.right), [false, true]);
    assert.deepEqual(held.seen.map((s) => [s.cue, s.seen]), [["Eyes on the mat", true], ["Eyes on the mat", null]]);
    const stands = must(await w.teach.get(`/api/v1/pupils/${ondi.id}/record`), 200);
    assert.deepEqual([stands.statements, stands.seen, stands.lesson_answers.map((a) => a.right)], [[], [], [true]], "the record tells what holds");
    const office = must(await w.staff.office.client.get(`/api/v1/exports/pupil.json?pupil=${ondi.id}`), 200);
    assert.ok(!("statements" in office) && !("lesson_answers" in office), "the office gets no results");
    const family = await signedIn(w.url, { card: w.codes.carer });
    const shown = [await family.get(`/api/v1/children/${ondi.id}`), await family.get(`/api/v1/pupils/${ondi.id}/progress`)];
    for (const answer of shown) {
        must(answer, 200);
        assert.doesNotMatch(answer.text, /self-rescue|lesson_answers|statements/);
    }
});

test("what a provisional result still waits for is named, be it the tries", async (t) => {
    const w = await world(t);
    const quill = w.a.pupils[2];
    const asked = [w.activity];
    for (let i = 0; i < 2; i += 1) {
        const more = await makeActivity(w.teach, "zones", { name: `Mat slide ${i + 2}` });
        must(await w.teach.post("/api/v1/challenges", { activity: more.id, unit: w.unit, classes: [w.a.id], opens_on: day(-2), due_on: day(5), closes_on: day(20) }), 201);
        asked.push(more);
    }
    for (const a of asked) {
        must(await w.teach.post(`/api/v1/units/${w.unit}/answers`, { pupil: quill.id, question: a.questions[0].id, right: true }), 204);
    }
    must(await w.teach.put(`/api/v1/units/${w.unit}/taking-part/${quill.id}`, { band: 0 }), 204);
    const { suggestion } = rowOf(must(await w.teach.get(`/api/v1/units/${w.unit}/assess?class=${w.a.id}`), 200), quill);
    assert.deepEqual([suggestion.band, suggestion.status], [null, "provisional"]);
    const once = suggestion.reasons.filter((r) => r.startsWith("Once "));
    assert.equal(once.length, 1, suggestion.reasons.join("|"));
    assert.match(once[0], /^Once doing is known it could be /, "thinking is known already");
});
