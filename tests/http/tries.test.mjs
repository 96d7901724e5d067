/* SPDX-License-Identifier: MIT
 * Tries by every way in, and who sees what of them. Names and results are invented; the statuses
 * and states are those of the published interface. */

import test from "node:test";
import assert from "node:assert/strict";
import { startSchool } from "../lib/server.mjs";
import { Client, signedIn, uuid7 } from "../lib/client.mjs";
import { makeClass, makeCards, makeActivity, setChallenge, makeStaff, must, day, inSchoolYear } from "../lib/world.mjs";

function quick(url, fields, headers = {}) {
    return new Client(url).request("POST", "/quick", new URLSearchParams(fields).toString(), { type: "application/x-www-form-urlencoded", headers });
}

async function world(t) {
    const school = await startSchool(inSchoolYear(14));
    t.after(() => school.stop());
    const w = { url: school.url, school, first: await signedIn(school.url, school.account) };
    await w.first.get("/api/v1/session");
    w.klass = await makeClass(w, "3 Sorrel", ["Ambrin", "Bexley"]);
    w.cards = await makeCards(w, w.klass.id, "pupil");
    w.codeOf = (i) => w.cards.find((c) => c.pupil.id === w.klass.pupils[i].id).code;
    w.child = (i) => signedIn(w.url, { card: w.codeOf(i) });
    return w;
}

const cellOf = (grid, pupil, challenge) => grid.pupils.find((p) => p.id === pupil.id).cells.find((c) => c.challenge === challenge.id);

test("the form without script, in everyday words", async (t) => {
    const w = await world(t);
    const zones = await setChallenge(w.first, await makeActivity(w.first, "zones"), [w.klass.id]);
    const code = w.codeOf(0);
    const rows = async () => must(await w.first.get(`/api/v1/challenges/${zones.id}/results?class=${w.klass.id}`), 200).rows[0].hand_ins;
    const wrong = async (fields, words) => {
        const before = (await rows()).length;
        const answer = await quick(w.url, fields);
        assert.equal(answer.status, 422, answer.text);
        assert.match(answer.text, words);
        assert.equal(answer.headers["cache-control"], "no-store");
        assert.match(answer.headers["content-security-policy"], /default-src 'none'/);
        assert.equal(answer.headers["set-cookie"], undefined);
        assert.equal((await rows()).length, before, "nothing is stored");
        return answer.text;
    };

    await t.test("what is wrong is said", async () => {
        await wrong({ code: "", attempt_1: "7" }, /Write the letters from your card/);
        await wrong({ code: "BKT", attempt_1: "7" }, /There are nine letters/);
        await wrong({ code: "AEI OUA EIO", attempt_1: "7" }, /not on any card/);
        const swapped = code.replace(/^(.)(.)/, "$2$1");
        await wrong({ code: swapped === code ? code.replace(/.$/, (c) => (c === "B" ? "C" : "B")) : swapped, attempt_1: "7" }, /One letter is wrong/);
        await wrong({ code, challenge: "7", attempt_1: "7" }, /two or three digits/);
        await wrong({ code, challenge: zones.number === 999 ? "998" : "999", attempt_1: "7" }, /no challenge with that number/);
        await wrong({ code }, /Write at least one try/);
        await wrong({ code, attempt_1: "seven" }, /Write a number, or the points of each throw/);
        await wrong({ code, attempt_1: "5 3 0 0" }, /A go cannot score 3 here/);
        await wrong({ code, attempt_1: "5 2 0 0 2" }, /One try has 4 goes/);
        await wrong({ code, attempt_1: "7", attempt_2: "7", attempt_3: "7", attempt_4: "7" }, /This challenge has 3 tries/);
        await wrong({ code, attempt_1: "7", distance_m: "far" }, /Write the distance in metres/);
        await wrong({ code, attempt_1: "7", distance_m: "90" }, /from 0.5 to 30 metres/);
        await wrong({ code, attempt_1: "7", could_not: "dog" }, /Choose one of the list/);
    });

    await t.test("what was typed is kept, and the page links to its style", async () => {
        const text = await wrong({ code, challenge: String(zones.number), attempt_1: "9", attempt_2: "5 2 0 2", attempt_3: "16", distance_m: "2,5" },
            /16 cannot be made with 4 goes\. 15 or 17 can\./);
        for (const kept of [code, String(zones.number), "9", "5 2 0 2", "16", "2,5"]) {
            assert.ok(text.includes(`value="${kept}"`), kept);
        }
        assert.match(text, /aria-invalid="true"/);
        const css = /href="(\/s\/[0-9a-f]+\/css\/quick\.css)"/.exec(text);
        assert.ok(css, "a style sheet under the tree's hash");
        assert.equal((await new Client(w.url).get(css[1], { noRecord: true })).status, 200);
    });

    await t.test("an unusual distance is asked about, and waits for a look when confirmed", async () => {
        const fields = { code, attempt_1: "7", distance_m: "9" };
        const text = await wrong(fields, /Your sheet does not have that distance\. Is it right\?/);
        assert.match(text, /name="confirmed"/);
        assert.equal((await quick(w.url, { ...fields, confirmed: "yes" })).status, 303);
        const [sent] = await rows();
        assert.deepEqual([sent.state, sent.channel, sent.attempts[0].distance_mm], ["to_check", "quick", 9000]);
    });

    await t.test("two at once from one form are one hand-in; other numbers are another", async () => {
        const before = (await rows()).length;
        const fields = { code, attempt_1: "12", attempt_2: "5 5 2 0", distance_m: "3" };
        const answers = await Promise.all([quick(w.url, fields), quick(w.url, fields), quick(w.url, fields)]);
        assert.deepEqual(answers.map((a) => a.status), [303, 303, 303]);
        assert.equal((await rows()).length, before + 1);
        assert.equal((await quick(w.url, { ...fields, attempt_1: "14" })).status, 303);
        assert.equal((await rows()).length, before + 2);
    });

    await t.test("more than one challenge needs its number; a measure is in seconds", async () => {
        const balance = await setChallenge(w.first, await makeActivity(w.first, "measure", { hard_low: 100 }), [w.klass.id]);
        await wrong({ code, attempt_1: "7" }, /more than one challenge/);
        await wrong({ code, challenge: String(balance.number), attempt_1: "0.2" }, /unusual/);
        assert.equal((await quick(w.url, { code, challenge: String(balance.number), attempt_1: "12,4", attempt_2: "1:05" })).status, 303);
        const results = must(await w.first.get(`/api/v1/challenges/${balance.id}/results?class=${w.klass.id}`), 200);
        assert.deepEqual(results.rows[0].hand_ins[0].attempts.map((a) => a.value), [12400, 65000]);
    });

    await t.test("could not, with no tries", async () => {
        assert.equal((await quick(w.url, { code: w.codeOf(1), challenge: String(zones.number), could_not: "no_space" })).status, 303);
        const grid = must(await w.first.get(`/api/v1/classes/${w.klass.id}/grid`), 200);
        assert.equal(cellOf(grid, w.klass.pupils[1], zones).state, "could_not");
    });

    await t.test("a family's card sends nothing; another site sends nothing; a session is not needed nor used", async () => {
        const [family] = await makeCards(w, w.klass.id, "family");
        await wrong({ code: family.code, attempt_1: "7" }, /That is a family card/);
        assert.equal((await quick(w.url, { code, attempt_1: "7" }, { origin: "https://elsewhere.example" })).status, 403);
        assert.equal((await quick(w.url, { code, attempt_1: "7" }, { referer: "https://elsewhere.example/page" })).status, 403);
    });
});

test("on behalf: who may, for whom, and what comes back", async (t) => {
    const w = await world(t);
    const other = await makeClass(w, "4 Tansy", ["Corrin"]);
    const helper = await makeStaff(w, "Hollis", [], [{ class: w.klass.id, right: "help", until: day(3) }]);
    const reader = await makeStaff(w, "Rafferty", [], [{ class: w.klass.id, right: "read" }]);
    const activity = await makeActivity(w.first, "zones");
    const challenge = await setChallenge(w.first, activity, [w.klass.id, other.id]);
    const path = `/api/v1/challenges/${challenge.id}/hand-ins`;
    const entry = (pupil, more = {}) => ({ id: uuid7(), pupil: pupil.id, channel: "paper", attempts: [{ value: 7 }, { value: 9 }], ...more });

    const byHelper = must(await helper.client.post(path, entry(w.klass.pupils[0])), 201);
    assert.deepEqual([byHelper.best, byHelper.own_best.status, byHelper.bests, byHelper.next.kind, byHelper.channel], [null, null, [], "none", "paper"]);
    const byTeacher = must(await w.first.post(path, entry(w.klass.pupils[1], { channel: "staff" })), 201);
    assert.deepEqual([byTeacher.best, byTeacher.own_best.status], [9, "first"]);
    assert.equal((await helper.client.post(path, entry(other.pupils[0]))).status, 404, "a pupil of another class");
    assert.equal((await reader.client.post(path, entry(w.klass.pupils[0]))).status, 404);
    assert.equal((await w.first.post(path, entry(w.klass.pupils[0], { channel: "web" }))).status, 422);
    assert.equal((await w.first.post(path, entry(w.klass.pupils[0], { challenge: "1" }))).status, 422);
    assert.equal((await w.first.post(path, entry({ id: "12345" }))).status, 404);

    const seen = must(await helper.client.get(`/api/v1/classes/${w.klass.id}/grid`), 200);
    assert.equal(cellOf(seen, w.klass.pupils[0], challenge).state, "on_paper");
    assert.ok(seen.pupils.every((p) => p.cells.every((c) => !("best" in c))), "help sees states without a best");
    const all = must(await reader.client.get(`/api/v1/classes/${w.klass.id}/grid`), 200);
    assert.equal(cellOf(all, w.klass.pupils[0], challenge).best, 9);
    assert.equal(cellOf(all, w.klass.pupils[1], challenge).state, "handed_in");
    const office = await makeStaff(w, "Odalys", ["office"]);
    const names = must(await office.client.get(`/api/v1/classes/${w.klass.id}/grid`), 200);
    assert.ok(names.pupils.every((p) => p.cells.every((c) => !("best" in c))), "the office sees no result");
});

test("a mistake, and what staff do about it", async (t) => {
    const w = await world(t);
    const challenge = await setChallenge(w.first, await makeActivity(w.first, "successes"), [w.klass.id]);
    const child = await w.child(0);
    const send = (value, more = {}) => child.post("/api/v1/hand-ins", { id: uuid7(), challenge: challenge.id, attempts: [{ value }], ...more });
    const first = must(await send(6), 201);
    const second = must(await send(9), 201);
    assert.equal(second.own_best.status, "new_best");
    const [family] = (await makeCards(w, w.klass.id, "family")).filter((c) => c.pupil.id === w.klass.pupils[0].id);
    const carer = await signedIn(w.url, { card: family.code });
    const page = async () => must(await carer.get(`/api/v1/children/${w.klass.pupils[0].id}`), 200);
    const grid = async () => cellOf(must(await w.first.get(`/api/v1/classes/${w.klass.id}/grid`), 200), w.klass.pupils[0], challenge);

    assert.equal((await page()).lines[0].best.value, 9);
    const stranger = await w.child(1);
    assert.equal((await stranger.post(`/api/v1/hand-ins/${second.id}/mistake`)).status, 404);
    must(await child.post(`/api/v1/hand-ins/${second.id}/mistake`), 200);
    must(await child.post(`/api/v1/hand-ins/${second.id}/mistake`), 200);
    assert.deepEqual([(await grid()).state, (await grid()).best], ["to_check", 6]);
    assert.equal((await page()).lines[0].best.value, 6);
    assert.equal((await page()).lines[0].hand_ins.length, 1, "what waits is not on the family's page");
    assert.equal(must(await child.get("/api/v1/me/challenges"), 200).challenges[0].state, "to_check");

    const kept = must(await w.first.post(`/api/v1/hand-ins/${second.id}/keep`), 200);
    assert.deepEqual([kept.state, kept.marks.map((m) => m.mark)], ["counts", ["mistake", "keep"]]);
    assert.deepEqual([(await grid()).state, (await grid()).best], ["handed_in", 9]);
    assert.equal((await w.first.post(`/api/v1/hand-ins/${second.id}/set-aside`, {})).status, 422);
    assert.equal((await w.first.post(`/api/v1/hand-ins/${second.id}/set-aside`, { reason: "because" })).status, 422);
    const aside = must(await w.first.post(`/api/v1/hand-ins/${second.id}/set-aside`, { reason: "wrong_child" }), 200);
    assert.deepEqual([aside.state, aside.marks.at(-1).reason], ["set_aside", "wrong_child"]);
    assert.equal((await child.post(`/api/v1/hand-ins/${second.id}/mistake`)).status, 409);
    must(await w.first.post(`/api/v1/hand-ins/${first.id}/ask-again`), 200);
    assert.equal((await grid()).state, "not_yet");
    assert.deepEqual(must(await child.get("/api/v1/me/bests"), 200).lines, []);
    const audit = must(await w.first.get("/api/v1/audit"), 200).rows.map((r) => r.action);
    for (const action of ["hand-in kept", "hand-in set aside", "asked again"]) {
        assert.ok(audit.includes(action), action);
    }
});

test("the child's own pages", async (t) => {
    const w = await world(t);
    const activity = await makeActivity(w.first, "zones");
    const challenge = await setChallenge(w.first, activity, [w.klass.id]);
    const later = await setChallenge(w.first, activity, [w.klass.id], { opens_on: day(2), due_on: day(5), closes_on: day(9) });
    const child = await w.child(0);
    const today = must(await child.get("/api/v1/me/challenges"), 200);
    assert.equal(today.today, day());
    assert.deepEqual(today.challenges.map((c) => [c.id, c.state, c.best]), [[challenge.id, "not_yet", null]]);
    assert.equal((await child.get(`/api/v1/me/challenges/${later.id}`)).status, 404, "not before it opens");
    const seated = activity.versions.find((v) => v.kind === "seated").id;
    const [cue] = activity.cues;
    const [question] = activity.questions;
    const sent = must(await child.post("/api/v1/hand-ins", { id: uuid7(), challenge: challenge.id, cues: [cue.id], answers: { [question.id]: question.choices[1].id },
        setup: { target: activity.targets[0].id, kit: activity.kit[0].id, place: "home", counted_by: "helper" }, felt: "too_hard", done_on: day(-1),
        attempts: [{ throws: [5, 2, 0, 2], distance_mm: 3000 }, { value: 15, distance_mm: 2000 }, { throws: [5, 5], distance_mm: 3000 }] }), 201);
    assert.deepEqual([sent.best, sent.best_distance_mm, sent.attempts.map((a) => a.part)], [15, 2000, [false, false, true]]);
    assert.deepEqual(sent.bests.map((b) => [b.distance_mm, b.value]), [[2000, 15], [3000, 9]]);
    must(await child.post("/api/v1/hand-ins", { id: uuid7(), challenge: challenge.id, version: seated, attempts: [{ value: 20, distance_mm: 3000 }] }), 201);
    const one = must(await child.get(`/api/v1/me/challenges/${challenge.id}`), 200);
    const text = JSON.stringify(one);
    assert.doesNotMatch(text, /band_lines|"right"|received_at|marks/);
    assert.equal(one.hand_ins.length, 2);
    assert.deepEqual([one.hand_ins[0].cues, one.hand_ins[0].answers, one.hand_ins[0].setup.place], [[cue.id], { [question.id]: question.choices[1].id }, "home"]);
    assert.equal(one.bests.length, 3, "the seated version has a line of its own");
    const { lines } = must(await child.get("/api/v1/me/bests"), 200);
    assert.deepEqual(lines.map((l) => [l.version.kind, l.best.value]), [["standard", 15], ["seated", 20]]);
    assert.deepEqual(must(await (await w.child(1)).get("/api/v1/me/bests"), 200).lines, []);
    const tile = must(await child.get("/api/v1/me/challenges"), 200).challenges[0];
    assert.deepEqual([tile.state, tile.best], ["handed_in", 15], "versions are not mixed");
});

test("my best is one number: of the year at the activity, on every page", async (t) => {
    const w = await world(t);
    const activity = await makeActivity(w.first, "timed_count", { versions: [{ kind: "standard", how: "Skip." }, { kind: "seated", how: "Sit and tap." }] });
    const [first, second] = [await setChallenge(w.first, activity, [w.klass.id]), await setChallenge(w.first, activity, [w.klass.id])];
    const child = await w.child(0);
    const send = async (challenge, value, more = {}) => must(await child.post("/api/v1/hand-ins", { id: uuid7(), challenge: challenge.id, attempts: [{ value }], ...more }), 201);
    const tiles = async () => must(await child.get("/api/v1/me/challenges"), 200).challenges.map((c) => [c.state, c.best]).sort();
    const lines = async () => must(await child.get("/api/v1/me/bests"), 200).lines.map((l) => [l.version.kind, l.best.value]);
    const seated = activity.versions.find((v) => v.kind === "seated").id;
    await send(first, 31, { version: seated });
    assert.deepEqual([await tiles(), await lines()], [[["handed_in", 31], ["not_yet", 31]], [["seated", 31]]], "no standard version yet: the one done last");
    await send(first, 60);
    await send(second, 55);
    assert.deepEqual([await tiles(), await lines()], [[["handed_in", 60], ["handed_in", 60]], [["standard", 60], ["seated", 31]]]);
    const stored = await send(second, 58);
    assert.deepEqual([stored.own_best.status, stored.own_best.before], ["not_this_time", 60]);
});

test("the family's page takes tries that arrive late, and a fresh start, as they are", async (t) => {
    const w = await world(t);
    const activity = await makeActivity(w.first, "zones");
    const challenge = await setChallenge(w.first, activity, [w.klass.id]);
    const child = await w.child(0);
    const send = async (value, done_on) => must(await child.post("/api/v1/hand-ins", { id: uuid7(), challenge: challenge.id, done_on, attempts: [{ value, distance_mm: 3000 }] }), 201);
    const page = async () => must(await w.first.get(`/api/v1/pupils/${w.klass.pupils[0].id}/progress`), 200);
    await send(7, day());
    await send(12, day(-1));        /* done the day before, arrived after */
    const late = await page();
    assert.match(late.lines[0].meaning, /Own best so far: 12 points/);
    assert.deepEqual(late.next.map((n) => n.words), ["Try for 14 points."], "never less than the own best");
    await send(9, day());
    assert.deepEqual((await page()).set[0].sent_on, [day(), day(-1)], "each day once");

    must(await w.first.put(`/api/v1/pupils/${w.klass.pupils[0].id}/fresh-start`, { from: day() }), 200);
    const fresh = await page();
    assert.match(fresh.lines[0].meaning, /^Sent 2 times since \d{1,2} [A-Z][a-z]+ 20\d\d\. Own best so far: 9 points/);
    const words = new Date(`${day()}T12:00:00Z`).toLocaleDateString("en-GB", { day: "numeric", month: "long", year: "numeric", timeZone: "UTC" });
    assert.ok(fresh.lines[0].meaning.includes(`since ${words}.`), fresh.lines[0].meaning);
    assert.deepEqual(fresh.set[0].sent_on, [day(), day(-1)], "what was sent stays sent");
    must(await w.first.put(`/api/v1/pupils/${w.klass.pupils[0].id}/fresh-start`, { from: null }), 200);
    assert.match((await page()).lines[0].meaning, /^Sent 3 times this school year\./);
});

test("the family's page, the record and the exports", async (t) => {
    const w = await world(t);
    const activity = await makeActivity(w.first, "zones");
    const challenge = await setChallenge(w.first, activity, [w.klass.id]);
    const child = await w.child(0);
    must(await child.post("/api/v1/hand-ins", { id: uuid7(), challenge: challenge.id, done_on: day(-1), attempts: [{ value: 7, distance_mm: 3000 }] }), 201);
    must(await child.post("/api/v1/hand-ins", { id: uuid7(), challenge: challenge.id, attempts: [{ value: 12, distance_mm: 3000 }] }), 201);
    must(await child.post("/api/v1/hand-ins", { id: uuid7(), challenge: challenge.id, attempts: [], could_not: "no_grown_up" }), 201);
    const pupil = w.klass.pupils[0];
    const page = must(await w.first.get(`/api/v1/pupils/${pupil.id}/progress`), 200);
    assert.deepEqual(page.set.map((s) => [s.number, s.sent_on, s.done]), [[challenge.number, [day(-1), day()], true]]);
    assert.match(page.lines[0].meaning, /Sent 2 times this school year\. Own best so far: 12 points from 3 m\. The first score was 7 points\./);
    assert.ok(page.held.length >= 3 && page.ask.length > 10);
    assert.equal(page.next.length, 1);
    const text = JSON.stringify(page);
    assert.doesNotMatch(text, /no_grown_up|could_not|T\d\d:\d\d|suggest|Bexley/);

    const record = must(await w.first.get(`/api/v1/pupils/${pupil.id}/record`), 200);
    assert.equal(record.hand_ins.length, 3);
    assert.equal(record.pupil.display_name, "Ambrin");
    const csv = await w.first.get(`/api/v1/exports/results.csv?class=${w.klass.id}`);
    assert.equal(csv.status, 200);
    assert.match(csv.headers["content-type"], /^text\/csv/);
    const lines = csv.text.trimEnd().split("\r\n");
    assert.equal(lines.length, 1 + 3 + 1, "a row a hand-in, and one for who has not sent");
    assert.match(lines[1], /^"Ambrin",3,\d+,"Mat slide","standard","\d{4}-\d\d-\d\d","handed_in",7,,,,,7,"points"$/);
    assert.match(lines[3], /"could_not",,,,,,,"points"$/);
    assert.match(lines[4], /^"Bexley",3,\d+,"Mat slide",,,"not_yet",,,,,,,"points"$/);
    assert.equal((await w.first.get("/api/v1/exports/results.csv")).status, 422, "a class is always named");
    const copy = must(await w.first.get(`/api/v1/exports/pupil.json?pupil=${pupil.id}`), 200);
    assert.equal(copy.hand_ins.length, 3);
    assert.ok(Array.isArray(copy.cards));
    const office = await makeStaff(w, "Odalys", ["office"]);
    const names = must(await office.client.get(`/api/v1/exports/pupil.json?pupil=${pupil.id}`), 200);
    assert.deepEqual([names.hand_ins, names.assessments, names.pupil.display_name], [undefined, undefined, "Ambrin"]);
    const teacher = await makeStaff(w, "Thora", [], [{ class: w.klass.id, right: "teach" }]);
    const taught = must(await teacher.client.get(`/api/v1/exports/pupil.json?pupil=${pupil.id}`), 200);
    assert.deepEqual([taught.cards, taught.hand_ins.length], [undefined, 3]);
    const audit = must(await w.first.get("/api/v1/audit"), 200).rows.map((r) => r.action);
    for (const action of ["record read", "results exported", "data copied"]) {
        assert.ok(audit.includes(action), action);
    }
});

test("a time far beyond the child's own is asked about, once the class shows how much times vary", async (t) => {
    const w = await world(t);
    const names = Array.from({ length: 12 }, (_, i) => "Nel" + "abcdefghijkl"[i]);     /* invented */
    const klass = await makeClass(w, "5 Yew", names);
    const cards = await makeCards(w, klass.id, "pupil");
    const activity = await makeActivity(w.first, "measure");
    const challenge = await setChallenge(w.first, activity, [klass.id]);
    const send = async (i, values, more = {}) => {
        const child = await signedIn(w.url, { card: cards[i].code });
        return child.post("/api/v1/hand-ins", { id: uuid7(), challenge: challenge.id, attempts: values.map((value) => ({ value })), ...more });
    };
    must(await send(0, [8000, 10000, 9000]), 201);
    must(await send(0, [30000, 9000, 9000]), 201);      /* nobody knows yet how much times vary */
    must(await send(1, [8000, 10000, 9000]), 201);
    for (let i = 2; i < 12; i++) {
        must(await send(i, [10000, 11000, 12000]), 201);
    }
    const asked = await send(1, [10000, 60000, 9000]);
    assert.equal(asked.status, 422);
    assert.deepEqual(asked.json.errors.map((e) => [e.pointer, e.code]), [["/attempts/1/value", "confirm"]]);
    must(await send(1, [10000, 12000, 9000]), 201);
    const kept = must(await send(1, [10000, 60000, 9000], { confirmed: true }), 201);
    assert.equal(kept.state, "to_check");
});
