/* SPDX-License-Identifier: MIT
 * Counts for the head: exact inside the school; what may be published worked out by hand from the rules
 * (counts of 1 to 4 hidden, then in each row and column with a hidden cell at least two hidden that make 5 or more;
 * groups under 10 not told; all of a group alike hidden below 20; per cent to the nearest 5). Names are invented. */

import test from "node:test";
import assert from "node:assert/strict";
import { startSchool } from "../lib/server.mjs";
import { signedIn, uuid7 } from "../lib/client.mjs";
import { makeActivity, makeStaff, setChallenge, must, day } from "../lib/world.mjs";

async function school(t, years) {
    const s = await startSchool();
    t.after(() => s.stop());
    const first = await signedIn(s.url, s.account);
    await first.get("/api/v1/session");
    const klass = must(await first.post("/api/v1/classes", { name: "All" }), 201).class.id;
    const names = years.flatMap(([year, n]) => Array.from({ length: n }, (_, i) => [`Child${"ABCDEFGH"[year]}${"abcdefghijklmnopqrstuvwxyz"[i % 26]}${i > 25 ? "x" : ""}`, year]));
    must(await first.request("POST", `/api/v1/classes/${klass}/roster`, "Name,Year\n" + names.map((r) => r.join(",")).join("\n") + "\n", { type: "text/csv" }), 201);
    const pupils = must(await first.get(`/api/v1/classes/${klass}/pupils`), 200).pupils;
    const challenge = await setChallenge(first, await makeActivity(first, "zones"), [klass]);
    const of = (year) => pupils.filter((p) => p.year_group === year);
    const send = async (p, more = {}) => must(await first.post(`/api/v1/challenges/${challenge.id}/hand-ins`, { id: uuid7(), pupil: p.id, channel: "paper", attempts: [{ value: 9, distance_mm: 3000 }], ...more }), 201).id;
    const counts = async (from = day(-30), to = day(0)) => must(await first.get(`/api/v1/counts?from=${from}&to=${to}`), 200);
    return { s, first, of, send, counts };
}

test("exact counts: once a child; set aside and could-not are no returns", async (t) => {
    const w = await school(t, [[3, 12], [4, 12], [5, 8]]);
    for (const p of w.of(3).slice(0, 7)) {
        await w.send(p);
    }
    await w.send(w.of(3)[0]);
    for (const p of w.of(4).slice(0, 6)) {
        await w.send(p);
    }
    await w.send(w.of(4)[7], { could_not: "no_space", attempts: [] });
    const aside = await w.send(w.of(4)[8]);
    must(await w.first.post(`/api/v1/hand-ins/${aside}/set-aside`, { reason: "mistyped" }), 200);
    await w.send(w.of(5)[0]);
    const { returns } = await w.counts();
    assert.deepEqual(returns.exact, [{ year_group: 3, pupils: 12, yes: 7, rest: 5 }, { year_group: 4, pupils: 12, yes: 6, rest: 6 }, { year_group: 5, pupils: 8, yes: 1, rest: 7 }]);
    /* no count of 1 to 4 in the groups of ten and more: 7 of 12 is 58.3, so 60; 6 of 12 is 50 */
    assert.deepEqual(returns.publish, [{ year_group: 3, fewer_than_ten: false, pupils: 12, yes: 7, rest: 5, percent: 60 }, { year_group: 4, fewer_than_ten: false, pupils: 12, yes: 6, rest: 6, percent: 50 },
        { year_group: 5, fewer_than_ten: true, pupils: null, yes: null, rest: null, percent: null }]);
    assert.equal((await w.counts(day(-30), day(-1))).returns.exact[0].yes, 0, "other days");
});

test("one small count takes others with it", async (t) => {
    const w = await school(t, [[3, 12], [4, 12]]);
    for (const p of w.of(3).slice(0, 7).concat(w.of(4).slice(0, 10))) {
        await w.send(p);
    }
    const { returns } = await w.counts();
    assert.deepEqual(returns.exact.map((r) => [r.yes, r.rest]), [[7, 5], [10, 2]]);
    /* 2 is hidden; its row needs another, so 10; each column then needs another, so 7 and 5 */
    assert.deepEqual(returns.publish.map((r) => [r.pupils, r.yes, r.rest, r.percent]), [[12, null, null, null], [12, null, null, null]]);
});

test("swimming statements; all alike in a small group is hidden", async (t) => {
    const w = await school(t, [[5, 12], [6, 24]]);
    const tick = async (p, met) => must(await w.first.put(`/api/v1/pupils/${p.id}/statements/1`, { met }), 204);
    for (const p of w.of(5)) {
        await tick(p, true);
    }
    for (const [i, p] of w.of(6).entries()) {
        await tick(p, i < 14);
        if (i >= 19) {
            await tick(p, null); /* taken back: nothing is said */
        }
    }
    const [first, second] = (await w.counts()).statements;
    assert.match(first.text, /25 metres/);
    assert.deepEqual(first.exact, [{ year_group: 5, pupils: 12, yes: 12, not_yet: 0, rest: 0 }, { year_group: 6, pupils: 24, yes: 14, not_yet: 5, rest: 5 }]);
    /* Year 5: all 12 alike and fewer than 20. Year 6: no count of 1 to 4; 14 of 24 is 58.3, so 60. */
    assert.deepEqual(first.publish.map((r) => [r.pupils, r.yes, r.not_yet, r.rest, r.percent]), [[12, null, null, null, null], [24, 14, 5, 5, 60]]);
    /* Nobody was asked: 24 alike are 20 or more and may be told, 12 may not. */
    assert.deepEqual(second.publish.map((r) => [r.yes, r.not_yet, r.rest, r.percent]), [[null, null, null, null], [0, 0, 24, 0]]);
});

test("bad days, and whoever is not the lead", async (t) => {
    const w = await school(t, [[3, 2]]);
    const first = (a) => [a.status, a.json.errors[0].pointer, a.json.errors[0].code];
    assert.deepEqual(first(await w.first.get("/api/v1/counts?to=2026-01-01")), [422, "/from", "required"]);
    assert.deepEqual(first(await w.first.get("/api/v1/counts?from=x&to=2026-01-01")), [422, "/from", "not_a_day"]);
    assert.deepEqual(first(await w.first.get("/api/v1/counts?from=2026-01-02&to=2026-01-01")), [422, "/to", "wrong_order"]);
    const office = await makeStaff({ first: w.first, url: w.s.url }, "Orla", ["office"]);
    assert.equal((await office.client.get("/api/v1/counts?from=2026-01-01&to=2026-01-02")).status, 404);
});
