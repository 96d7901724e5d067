/* SPDX-License-Identifier: MIT
 * Deleting on schedule, as a school lives it: a clock two years ahead deletes nothing; a fortnight in which the
 * school is used deletes what was listed, at night, once the office has said that the date is right; a plan of more
 * than twice the last waits for the office. Clocks are moved with libfaketime; the school is the invented demo. */

import test from "node:test";
import assert from "node:assert/strict";
import { execFileSync, spawnSync } from "node:child_process";
import { join } from "node:path";
import { clockMoved, startDemo, startServer, thrice } from "../lib/server.mjs";
import { signedIn } from "../lib/client.mjs";
import { must } from "../lib/world.mjs";

const DAY_S = 86400;
const NIGHT_S = 60;         /* longest wait for the night's work */
/* Days count from noon of the day after this file began, in seconds from now: its hour makes no difference. */
const NOON = (Math.floor(Date.now() / 1000 / DAY_S) + 1.5) * DAY_S;
const TO_THREE_S = -(9 * 3600 + 10);      /* from noon back to ten seconds before three */
const noon = (days) => NOON + days * DAY_S - Math.floor(Date.now() / 1000);
const iso = (days) => new Date((NOON + days * DAY_S) * 1000).toISOString().slice(0, 10);
const pause = (ms) => new Promise((done) => { setTimeout(done, ms); });

/* The demo school in universal time, so that days and nights are easily told; its server is stopped. */
async function makeDemo(t) {
    const school = await startDemo();
    const lead = await signedIn(school.url, school.account);
    const { school: row } = must(await lead.get("/api/v1/school"), 200);
    must(await lead.put("/api/v1/school", { school: { ...row, origin: undefined, time_zone: "UTC" } }), 200);
    await school.server.stop();
    const account = school.demo.staff.find((s) => s.rights.length === 1 && s.rights[0] === "office");
    let server = null;
    t.after(async () => {
        await (server && server.stop());
        school.remove();
    });
    const sql = (text) => execFileSync("sqlite3", [join(school.data, "school.db"), text], { encoding: "utf8" }).trim();
    return {
        ...school, sql,
        office: { name: account.name, passphrase: account.passphrase },
        rows: () => sql("SELECT (SELECT count(*) FROM hand_in), (SELECT count(*) FROM assessment), (SELECT count(*) FROM seen), (SELECT count(*) FROM pupil)"),
        serve: async (days, seconds = 0) => {
            server = await startServer(school.data, { more: clockMoved(noon(days) + seconds) });
            return server;
        },
        purge: (days, ...args) => {
            const done = spawnSync(thrice, ["purge", "--data", school.data, ...args], { env: { ...process.env, ...clockMoved(noon(days)) }, encoding: "utf8" });
            return { status: done.status, said: done.stdout + done.stderr };
        }
    };
}

/* Somebody signs in on that day. */
async function used(school, days) {
    const server = await school.serve(days);
    const client = await signedIn(server.url, school.account);
    must(await client.get("/api/v1/home"), 200);
    await server.stop();
}

test("a clock two years ahead, a server start and a sign-in: nothing is deleted", async (t) => {
    const school = await makeDemo(t);
    const [before, ahead] = [school.rows(), 730];
    assert.match(before, /^1\d\d\d\|/, "the demo school has more than a thousand hand-ins");
    assert.equal(school.purge(ahead, "--dry-run").status, 1);
    await used(school, ahead);
    for (const args of [["--dry-run"], [], ["--confirm-date", iso(0)], ["--confirm-date", iso(ahead)], ["--confirm-date", iso(ahead)]]) {
        school.purge(ahead, ...args);
        assert.equal(school.rows(), before, args.join(" "));
    }
    const later = ahead + 15;       /* the wrong clock goes on for a fortnight, and somebody says it is right */
    assert.equal(school.purge(later, "--confirm-date", iso(later)).status, 0);
    assert.equal(school.rows(), before, "one day of use is not five");
});

test("a fortnight of use deletes what was listed, at night, when the office has said that the date is right", async (t) => {
    const school = await makeDemo(t);
    const [going, staying] = school.sql("SELECT id FROM pupil ORDER BY id LIMIT 2").split("\n");
    const today = Math.floor(NOON / DAY_S);
    school.sql(`PRAGMA foreign_keys = ON; UPDATE pupil SET left_day = ${today - 61} WHERE id = ${going}`);
    assert.equal(school.purge(0).status, 1, "nobody vouches for that clock");
    assert.equal(school.sql("SELECT kind || ' ' || a FROM purge_listed WHERE kind = 'leaver'"), `leaver ${going}`, "but the plan is made");
    school.sql(`UPDATE pupil SET left_day = ${today - 61} WHERE id = ${staying}`);    /* found out after the plan */
    for (const day of [1, 3, 6, 8, 11]) {
        await used(school, day);
    }

    /* The office says that the date is right, in the afternoon before the night. */
    let server = await school.serve(14);
    let office = await signedIn(server.url, school.office);
    const plan = must(await office.get("/api/v1/purge-plan"), 200);
    assert.equal(plan.clock, "unsure");
    assert.equal(plan.now.leavers, 0, "nothing goes on a clock that nobody vouches for");
    assert.deepEqual(plan.next, { listed_on: iso(0), from: iso(14), days_of_use: 5, days_needed: 5 });
    const confirmed = must(await office.put("/api/v1/purge-plan", { today: iso(14) }), 200);
    assert.equal(confirmed.clock, "confirmed");
    assert.equal(confirmed.now.leavers, 1);
    await server.stop();

    /* Ten seconds to three of the next night. */
    server = await school.serve(15, TO_THREE_S);
    office = await signedIn(server.url, school.office);
    assert.equal(must(await office.get("/api/v1/purge-plan"), 200).last_on, null, "not before three");
    const children = (id) => school.sql(`SELECT count(*) FROM pupil WHERE id = ${id}`);
    assert.equal(children(going), "1");
    const until = Date.now() + NIGHT_S * 1000;
    while (!/purge .*clock=1 .*rows=/.test(server.stderr()) && Date.now() < until) {
        await pause(500);
    }
    assert.equal(children(going), "0", "the child who was listed is gone");
    assert.equal(children(staying), "1", "the one who was not is not");
    const after = must(await office.get("/api/v1/purge-plan"), 200);
    assert.deepEqual([after.last_on, after.plan.made_on], [iso(15), iso(15)]);
    assert.ok(must(await office.get("/api/v1/audit"), 200).rows.some((r) => r.action === "purged" && r.actor === "server"));
    const asked = must(await office.get("/api/v1/school"), 200);
    assert.ok(asked.school.name, "and the school is served meanwhile");
    assert.equal(await server.stop(), 0);
});

test("a night in which a cancelled challenge alone goes leaves its row in the record, too", async (t) => {
    const school = await makeDemo(t);
    const today = Math.floor(NOON / DAY_S);
    const empty = school.sql("SELECT id FROM challenge WHERE id NOT IN (SELECT challenge_id FROM hand_in) ORDER BY id LIMIT 1");
    school.sql(`INSERT OR REPLACE INTO challenge_change SELECT class_id, challenge_id, 1, 2, 3, ${(today - 40) * DAY_S}, (SELECT min(id) FROM staff)
        FROM challenge_class WHERE challenge_id = ${empty}`);
    school.sql(`INSERT INTO purge_plan VALUES (${today - 20}, 1, NULL, 0); INSERT INTO purge_listed VALUES ('challenge', ${empty}, 0, ${today - 20});
        INSERT OR IGNORE INTO use_day VALUES (${[5, 4, 3, 2, 1].map((ago) => today - ago).join("), (")})`);
    const server = await school.serve(1, TO_THREE_S);
    const office = await signedIn(server.url, school.office);
    must(await office.put("/api/v1/purge-plan", { today: iso(1) }), 200);
    const until = Date.now() + NIGHT_S * 1000;
    while (!/purge .*clock=1 .*rows=/.test(server.stderr()) && Date.now() < until) {
        await pause(500);
    }
    assert.equal(school.sql(`SELECT count(*) FROM challenge WHERE id = ${empty}`), "0", "it went");
    assert.ok(must(await office.get("/api/v1/audit"), 200).rows.some((r) => r.action === "purged" && r.actor === "server"));
});

test("a plan of more than twice the last waits for the office", async (t) => {
    const school = await makeDemo(t);
    school.purge(0, "--confirm-date", iso(0));
    const year = 400;       /* nobody looked after the server for a year */
    assert.equal(school.purge(year, "--confirm-date", iso(year)).status, 0);
    const server = await school.serve(year);
    const office = await signedIn(server.url, school.office);
    const plan = must(await office.get("/api/v1/purge-plan"), 200);
    assert.equal(plan.waits.made_on, iso(year));
    assert.ok(plan.waits.listed > 2 * plan.waits.listed_before);
    assert.equal(plan.next, null, "all of it waits for the office");
    const put = async (body) => office.put("/api/v1/purge-plan", body);
    for (const [body, wanted] of [
        [{}, [["", "required"]]],
        [{ today: iso(0) }, [["/today", "other_day"]]],
        [{ today: 5 }, [["/today", "type"]]],
        [{ accept: "soon" }, [["/accept", "day"]]],
        [{ accept: iso(0) }, [["/accept", "not_found"]]],
        [{ now: true }, [["/now", "unknown"]]],
        [{ today: iso(year), accept: iso(0) }, [["/accept", "not_found"]]]
    ]) {
        const answer = await put(body);
        assert.equal(answer.status, 422, JSON.stringify(body));
        assert.deepEqual(answer.json.errors.map((e) => [e.pointer, e.code]), wanted, JSON.stringify(body));
    }
    assert.equal(must(await office.get("/api/v1/purge-plan"), 200).clock, "unsure", "nothing is stored by half");
    const accepted = must(await put({ accept: plan.waits.made_on }), 200);
    assert.equal(accepted.waits, null);
    assert.equal(accepted.next.listed_on, iso(year));
    assert.ok(must(await office.get("/api/v1/audit"), 200).rows.some((r) => r.action === "purge plan accepted"));
    await server.stop();
});
