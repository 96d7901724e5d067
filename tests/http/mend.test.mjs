/* SPDX-License-Identifier: MIT
 * What was set by mistake is mended: cancelled, other dates, set again, each for own classes; and whose
 * an activity's band boundaries and its archive are. Our own rules. The server's clock is moved with
 * libfaketime; names and results are invented. */

import test from "node:test";
import assert from "node:assert/strict";
import { clockMoved, makeSchool, startSchool, startServer } from "../lib/server.mjs";
import { Client, signedIn, uuid7 } from "../lib/client.mjs";
import { ACTIVITIES, makeWorld, makeStaff, makeClass, makeCards, makeActivity, setChallenge, day, must } from "../lib/world.mjs";

const THROWS = [[0, 2, 5, 2], [2, 2, 5, 0], [5, 5, 0, 0]];
const tries = (challenge, more = {}) => ({ id: uuid7(), challenge: challenge.id, attempts: THROWS.map((throws) => ({ throws, distance_mm: 3000 })), ...more });
const blamed = (answer) => [answer.status, answer.json.errors[0].pointer, answer.json.errors[0].code];
const DAY_S = 86400;
/* To noon of today in London, so that the days of the test and of a moved server are the same. */
const toNoon = (Date.parse(day() + "T12:00:00Z") - Date.now()) / 1000;

/* 3 Alder is Tamsin's, 4 Birch is Osric's; one challenge is set to both by the PE lead. */
async function shared(t) {
    const school = await startSchool();
    t.after(() => school.stop());
    const w = await makeWorld(school, school.account);
    w.both = await setChallenge(w.staff.pe_lead.client, w.activity, [w.a.id, w.b.id]);
    w.child = await signedIn(school.url, { card: w.codes.pupil });
    w.other = await signedIn(school.url, { card: w.codes.other_pupil });
    w.put = (who, body) => w.staff[who].client.put(`/api/v1/challenges/${w.both.id}`, body);
    w.open = async (child) => must(await child.get("/api/v1/me/challenges"), 200).challenges.map((c) => c.id);
    w.of = (challenge, klass) => challenge.classes.find((c) => c.id === klass.id);
    return w;
}

test("cancelled for own classes only, and hidden from their children alone", async (t) => {
    const w = await shared(t);
    must(await w.child.post("/api/v1/hand-ins", tries(w.both)), 201);
    assert.deepEqual(blamed(await w.put("teach", { classes: [w.b.id], cancelled: true })), [422, "/classes/0", "not_found"]);
    assert.deepEqual(blamed(await w.put("teach", { classes: [w.a.id, w.b.id], cancelled: true })), [422, "/classes/1", "not_found"]);
    assert.equal((await w.put("help", { cancelled: true })).status, 404);
    assert.equal((await w.put("read", { cancelled: true })).status, 404);
    assert.ok((await w.open(w.child)).includes(w.both.id), "nothing was done by half");

    const { challenge } = must(await w.put("teach", { cancelled: true }), 200);
    const [own, theirs] = [w.of(challenge, w.a), w.of(challenge, w.b)];
    assert.equal(own.cancelled.by, "Tamsin");
    assert.ok(Math.abs(Date.parse(own.cancelled.at) - Date.now()) < 60000);
    assert.deepEqual([own.sent, theirs.sent, theirs.cancelled, challenge.cancelled], [1, 0, null, false]);

    assert.ok(!(await w.open(w.child)).includes(w.both.id));
    assert.equal((await w.child.get(`/api/v1/me/challenges/${w.both.id}`)).status, 404);
    assert.ok((await w.open(w.other)).includes(w.both.id), "a colleague's class goes on");
    must(await w.other.get(`/api/v1/me/challenges/${w.both.id}`), 200);
    must(await w.other.post("/api/v1/hand-ins", tries(w.both)), 201);

    const open = async (klass, who) => must(await w.staff[who].client.get(`/api/v1/challenges?state=open&class=${klass.id}`), 200).challenges.map((c) => c.id);
    assert.ok(!(await open(w.a, "teach")).includes(w.both.id));
    assert.ok((await open(w.b, "other_teach")).includes(w.both.id));
    const all = must(await w.staff.teach.client.get(`/api/v1/challenges?state=all&class=${w.a.id}`), 200).challenges.find((c) => c.id === w.both.id);
    assert.equal(all.cancelled, true, "to be set again");
    const lead = must(await w.put("pe_lead", { cancelled: true }), 200).challenge;
    assert.deepEqual([lead.cancelled, w.of(lead, w.a).cancelled.by, w.of(lead, w.b).cancelled.by], [true, "Tamsin", "Pelle"]);
});

test("tries that came are kept and named: grid, results, family, the child's own", async (t) => {
    const w = await shared(t);
    const best = async () => must(await w.child.get("/api/v1/me/bests"), 200).lines.map((l) => l.best.value);
    const before = await best();
    const sent = must(await w.child.post("/api/v1/hand-ins", tries(w.both)), 201);
    const column = async () => must(await w.staff.teach.client.get(`/api/v1/classes/${w.a.id}/grid`), 200);
    const waits = async () => must(await w.staff.teach.client.get("/api/v1/home"), 200).classes.find((c) => c.id === w.a.id);
    const openBefore = (await waits()).open;
    must(await w.put("teach", { cancelled: true }), 200);
    const grid = await column();
    const at = grid.challenges.findIndex((c) => c.id === w.both.id);
    assert.equal(grid.challenges[at].cancelled, true);
    assert.equal(grid.challenges[at].handed_in, 1);
    assert.equal(grid.pupils.find((p) => p.id === w.pupil.id).cells[at].state, "handed_in");
    assert.equal((await waits()).open, openBefore - 1, "nobody is waited for");
    const board = must(await w.staff.teach.client.get(`/api/v1/classes/${w.a.id}/board`), 200).challenges;
    assert.ok(!board.some((c) => c.id === w.both.id), "children look at the board");
    const results = must(await w.staff.teach.client.get(`/api/v1/challenges/${w.both.id}/results?class=${w.a.id}`), 200);
    assert.equal(w.of(results.challenge, w.a).cancelled.by, "Tamsin");
    assert.equal(results.rows.find((r) => r.pupil.id === w.pupil.id).state, "handed_in");
    assert.ok(before.length && (await best()).length >= before.length);
    must(await w.child.post(`/api/v1/hand-ins/${sent.id}/mistake`), 200, 201, 204);
    must(await w.staff.teach.client.post(`/api/v1/hand-ins/${sent.id}/keep`), 200, 204);

    const family = async (code, pupil) => must(await (await signedIn(w.url, { card: code })).get(`/api/v1/children/${pupil.id}`), 200).set.filter((s) => s.number === w.both.number);
    assert.deepEqual((await family(w.codes.carer, w.pupil)).map((s) => [s.cancelled, s.done]), [[true, true]], "sent, so it is said");
    must(await w.put("other_teach", { cancelled: true }), 200);
    assert.deepEqual(await family(w.codes.other_carer, w.otherPupil), [], "nothing came: nothing is said");
    const empty = must(await w.staff.other_teach.client.get(`/api/v1/classes/${w.b.id}/grid`), 200).challenges;
    assert.ok(!empty.some((c) => c.id === w.both.id), "no column without tries");
    const csv = (await w.staff.teach.client.get(`/api/v1/exports/results.csv?class=${w.a.id}`)).text.split("\r\n").map((l) => l.split(","));
    const which = csv[0].findIndex((h) => h.replace(/"/g, "") === "challenge");      /* no name here has a comma */
    assert.equal(csv.filter((l) => l[which] === String(w.both.number)).length, 1, "nobody is “not yet” for it");
});

test("tries that come after it was cancelled", async (t) => {
    const w = await shared(t);
    must(await w.put("teach", { cancelled: true }), 200);
    must(await w.child.post("/api/v1/hand-ins", tries(w.both, { done_on: day(-1) })), 201);
    must(await w.child.post("/api/v1/hand-ins", tries(w.both, { done_on: day() })), 201);
    const now = await w.child.post("/api/v1/hand-ins", tries(w.both));
    assert.deepEqual([now.status, now.json.type], [409, "/problems/closed"], "done after it");
    const quick = await new Client(w.url).post("/quick", new URLSearchParams({ code: w.codes.pupil, challenge: String(w.both.number), attempt_1: "7", attempt_2: "7", attempt_3: "7" }).toString(), { type: "application/x-www-form-urlencoded" });
    assert.equal(quick.status, 422);
    const paper = (who, done_on) => w.staff[who].client.post(`/api/v1/challenges/${w.both.id}/hand-ins`, { ...tries(w.both), pupil: w.pupil.id, channel: "paper", done_on });
    must(await paper("teach", day(-1)), 201);
});

test("35 days, and then an empty one goes", async (t) => {
    const school = makeSchool();
    t.after(() => server.kill().then(() => school.remove()));
    let server = await startServer(school.data, { more: clockMoved(toNoon) });
    const w = { url: server.url, first: await signedIn(server.url, school.account) };
    await w.first.get("/api/v1/session");
    const klass = await makeClass(w, "3 Alder", ["Ondi", "Perrin"]);
    const cards = await makeCards(w, klass.id, "pupil");
    const activity = await makeActivity(w.first, "zones");
    const dates = { opens_on: day(-3), due_on: day(10), closes_on: day(60) };
    const [kept, empty, shorter] = [await setChallenge(w.first, activity, [klass.id], dates), await setChallenge(w.first, activity, [klass.id], dates), await setChallenge(w.first, activity, [klass.id], dates)];
    must(await w.first.put(`/api/v1/challenges/${kept.id}`, { cancelled: true }), 200);
    must(await w.first.put(`/api/v1/challenges/${empty.id}`, { cancelled: true }), 200);
    must(await w.first.put(`/api/v1/challenges/${shorter.id}`, { due_on: day(-1), closes_on: day(-1) }), 200);
    await server.stop();

    const on = async (days, work) => {
        server = await startServer(school.data, { more: clockMoved(toNoon + days * DAY_S) });
        try {
            await work({ child: await signedIn(server.url, { card: cards[0].code }), first: await signedIn(server.url, school.account) });
        } finally {
            await server.stop();
        }
    };
    await on(35, async ({ child }) => {
        must(await child.post("/api/v1/hand-ins", tries(kept, { done_on: day() })), 201);
        must(await child.post("/api/v1/hand-ins", tries(shorter, { done_on: day() })), 201);
        const after = await child.post("/api/v1/hand-ins", tries(shorter, { done_on: day(1) }));
        assert.deepEqual([after.status, after.json.type], [409, "/problems/closed"]);
        const gone = await child.post("/api/v1/hand-ins", tries(empty, { done_on: day(2) }));
        assert.deepEqual([gone.status, gone.json.type], [409, "/problems/closed"], "done after it was cancelled");
    });
    await on(36, async ({ child, first }) => {
        for (const c of [empty, kept, shorter]) {
            const answer = await child.post("/api/v1/hand-ins", tries(c, { done_on: day() }));
            assert.deepEqual([answer.status, answer.json.type], [409, "/problems/closed"]);
        }
        const listed = must(await first.get(`/api/v1/challenges?state=all&class=${klass.id}`), 200).challenges.map((c) => c.id).sort();
        assert.deepEqual(listed, [kept.id, shorter.id].sort());
        const plan = must(await first.get("/api/v1/purge-plan"), 200);
        assert.equal(plan.within_14_days.challenges, 1);
    });
});

test("dates of own classes, earlier or later", async (t) => {
    const w = await shared(t);
    assert.deepEqual(blamed(await w.put("teach", { closes_on: day(3) })), [422, "/closes_on", "wrong_order"], "closes before due");
    assert.deepEqual(blamed(await w.put("teach", { opens_on: day(9) })), [422, "/opens_on", "wrong_order"]);
    assert.deepEqual(blamed(await w.put("teach", { due_on: day(-9), closes_on: day(-3) })), [422, "/due_on", "wrong_order"]);
    assert.deepEqual(blamed(await w.put("teach", {})), [422, "/due_on", "required"]);
    assert.deepEqual(blamed(await w.put("teach", { classes: [] , due_on: day(9) })), [422, "/classes", "required"]);
    assert.deepEqual(blamed(await w.put("teach", { classes: [w.a.id, w.a.id], due_on: day(9) })), [422, "/classes/1", "duplicate"]);
    assert.deepEqual(blamed(await w.put("teach", { due_on: day(9), cancelled: true })), [422, "/cancelled", "with_dates"]);
    assert.equal((await w.put("teach", { colour: "red", due_on: day(9) })).status, 422);

    const later = must(await w.put("teach", { due_on: day(25) }), 200).challenge;
    assert.equal(w.of(later, w.a).due_at, w.of(later, w.a).closes_at, "closing moved with it");
    assert.deepEqual(w.of(later, w.b), { ...w.both.classes.find((c) => c.id === w.b.id), sent: 0 }, "a colleague's class is as it was");
    assert.equal(later.due_at, w.of(later, w.a).due_at, "all of it: the widest");
    const today = async (child) => must(await child.get("/api/v1/me/challenges"), 200).challenges.find((c) => c.id === w.both.id);
    assert.equal((await today(w.child)).due_at, w.of(later, w.a).due_at);
    assert.equal((await today(w.other)).due_at, w.of(later, w.b).due_at);

    must(await w.put("teach", { due_on: day(-1), closes_on: day(-1) }), 200);
    assert.equal(await today(w.child), undefined, "over");
    const queued = must(await w.child.post("/api/v1/hand-ins", tries(w.both, { done_on: day() })), 201);
    const grid = must(await w.staff.teach.client.get(`/api/v1/classes/${w.a.id}/grid`), 200);
    const at = grid.challenges.findIndex((c) => c.id === w.both.id);
    assert.equal(grid.pupils.find((p) => p.id === w.pupil.id).cells[at].state, "handed_in", "in time as it stood when it was done: " + queued.id);
    assert.equal((await w.child.post("/api/v1/hand-ins", tries(w.both))).status, 409, "done after it was closed");

    must(await w.put("teach", { opens_on: day(2), due_on: day(8), closes_on: day(9) }), 200);
    const early = await w.child.post("/api/v1/hand-ins", tries(w.both));
    assert.deepEqual([early.status, early.json.type], [409, "/problems/not_open"]);
});

test("set again, where the dates allow", async (t) => {
    const w = await shared(t);
    must(await w.put("teach", { cancelled: true }), 200);
    assert.deepEqual(blamed(await w.put("teach", { due_on: day(9) })), [422, "/cancelled", "set_again_first"]);
    const again = must(await w.put("teach", { cancelled: false }), 200).challenge;
    assert.equal(w.of(again, w.a).cancelled, null);
    assert.ok((await w.open(w.child)).includes(w.both.id));
    must(await w.child.post("/api/v1/hand-ins", tries(w.both)), 201);

    must(await w.put("teach", { due_on: day(-1), closes_on: day(-1) }), 200);
    must(await w.put("teach", { cancelled: true }), 200);
    assert.deepEqual(blamed(await w.put("teach", { cancelled: false })), [422, "/closes_on", "in_past"]);
    must(await w.put("teach", { cancelled: false, due_on: day(4), closes_on: day(9) }), 200);
    assert.ok((await w.open(w.child)).includes(w.both.id));
});

test("band boundaries and archive are of who made the activity, and of the PE lead", async (t) => {
    const w = await shared(t);
    const path = `/api/v1/activities/${w.activity.id}`;        /* Tamsin's */
    const seen = async (who) => {
        const one = must(await w.staff[who].client.get(path), 200);
        const row = must(await w.staff[who].client.get("/api/v1/activities"), 200).activities.find((a) => a.id === w.activity.id);
        assert.deepEqual([row.own, row.made_by], [one.own, one.made_by]);
        return [one.made_by, one.own];
    };
    assert.deepEqual(await seen("teach"), ["Tamsin", true]);
    assert.deepEqual(await seen("other_teach"), ["Tamsin", false]);
    assert.deepEqual(await seen("pe_lead"), ["Tamsin", true]);
    assert.deepEqual(await seen("read"), ["Tamsin", false]);
    const as = (who) => w.staff[who].client;
    assert.equal((await as("other_teach").put(path + "/lines", { versions: { standard: [3, 4] } })).status, 404);
    assert.equal((await as("other_teach").del(path)).status, 404);
    const others = (more) => as("other_teach").put(path, { ...ACTIVITIES.zones, ...more });
    const versions = (lines) => [{ ...ACTIVITIES.zones.versions[0], band_lines: lines }, ACTIVITIES.zones.versions[1]];
    assert.deepEqual(blamed(await others({ versions: versions([3, 4]) })), [422, "/versions", "made_by_another"]);
    assert.deepEqual(blamed(await others({ versions: ACTIVITIES.zones.versions.slice(0, 1) })), [422, "/versions", "made_by_another"]);
    assert.deepEqual(blamed(await others({ versions: [ACTIVITIES.zones.versions[0], { kind: "seated", how: "Sit.", own_target: 5 }] })), [422, "/versions", "made_by_another"]);
    assert.deepEqual(blamed(await others({ throws: 5 })), [422, "/versions", "made_by_another"], "what the boundaries judge");
    assert.deepEqual(blamed(await others({ zones: [{ name: "middle", points: 6 }, { name: "edge", points: 2 }, { name: "miss", points: 0 }] })), [422, "/versions", "made_by_another"]);
    must(await others({ summary: "Slide four soft things onto a mat." }), 200);        /* the rest is the school's */
    assert.deepEqual(await seen("teach"), ["Tamsin", true], "she made it still");
    must(await as("teach").put(path + "/lines", { versions: { standard: [6, 12] } }), 200);
    must(await as("pe_lead").put(path + "/lines", { versions: { standard: [5, 12] } }), 200);

    const copy = must(await as("other_teach").post("/api/v1/activities", { ...ACTIVITIES.zones, name: "Mat slide (copy)", copied_from: w.activity.id }), 201).activity;
    must(await as("other_teach").put(`/api/v1/activities/${copy.id}/lines`, { versions: { standard: [3, 4] } }), 200);
    assert.equal((await as("other_teach").del(`/api/v1/activities/${copy.id}`)).status, 204);
    const starter = must(await w.first.get("/api/v1/activities"), 200).activities.find((a) => a.made_by === null);
    assert.ok(starter, "what came with the program");
    assert.equal((await as("teach").del(`/api/v1/activities/${starter.id}`)).status, 404);
    assert.equal((await as("pe_lead").del(`/api/v1/activities/${starter.id}`)).status, 204);
    const left = await makeStaff(w, "Lark", [], [{ class: w.a.id, right: "teach" }]);
    const made = await makeActivity(left.client, "successes");
    must(await w.first.put(`/api/v1/classes/${w.a.id}/staff/${left.id}`, { right: "read" }), 200, 204);
    const again = await left.again();
    await again.get("/api/v1/session");
    assert.equal((await again.del(`/api/v1/activities/${made.id}`)).status, 404, "teaches nowhere now");
    assert.equal((await as("pe_lead").del(path)).status, 204);
});
