/* SPDX-License-Identifier: MIT
 * A supply teacher till Friday: sees who has sent, enters a result; no bands, reasons or messages by any
 * address; refused on Saturday. The server's clock is moved with libfaketime, so that Friday is a Friday.
 * All names are invented. */

import test from "node:test";
import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { clockMoved, makeSchool, startServer, thrice } from "../lib/server.mjs";
import { signedIn, uuid7 } from "../lib/client.mjs";
import { makeWorld, makeStaff, must } from "../lib/world.mjs";

const BANDS = ["Quernstone first step", "Quernstone second step", "Quernstone third step"];

/* A Friday in winter, when London's clocks show universal time; whatever day it is now. */
const FRIDAY = "2027-01-15";
const noon = Date.parse(`${FRIDAY}T12:00:00Z`);

/* The server on that Friday, or some hours after its noon. */
function serve(school, hours) {
    return startServer(school.data, { more: clockMoved((noon - Date.now()) / 1000 + hours * 3600) });
}

async function getAll(client, w) {
    const fixed = { class: w.a.id, pupil: w.pupil.id, staff: w.staff.teach.id, unit: w.challenge.unit.id, challenge: w.challenge.id, hand_in: w.handIn.id, message: w.message.id,
        statement: "1", activity: w.activity.id, session: "1", card: "1", view: "1" };
    const routes = execFileSync(thrice, ["routes"], { encoding: "utf8" }).trim().split("\n").map((line) => line.split(/\s+/)).filter(([method, path]) => method === "GET" && path.startsWith("/api/v1/") && path !== "/api/v1/openapi.json");
    const answers = [];
    for (const [, route] of routes) {
        const path = route.replace(/\{([a-z_]+)\}/g, (hole, name) => fixed[name] || "1");
        for (const query of ["", `?class=${w.a.id}`, `?pupil=${w.pupil.id}`, `?class=${w.a.id}&state=all&all=1`, `?class=${w.a.id}&lines=7,12`]) {
            answers.push({ path: path + query, route, ...(await client.get(path + query, { noRecord: true })) });
        }
    }
    return answers;
}

test("a supply teacher till Friday", async (t) => {
    const school = makeSchool();
    t.after(() => school.remove());
    assert.equal(new Date(FRIDAY).getUTCDay(), 5);
    let server = await serve(school, 0);
    const first = await signedIn(server.url, school.account);
    await first.get("/api/v1/session");
    must(await first.put("/api/v1/school", { band_words: BANDS }), 200);
    const w = await makeWorld(server, school.account, new Date(noon));
    const supply = await makeStaff(w, "Wenda", [], [{ class: w.a.id, right: "help", until: FRIDAY }]);
    const [ondi, perrin, quill] = w.a.pupils;
    const code = (pupil) => w.cardsA.find((c) => c.pupil.id === pupil.id).code;
    const child = await signedIn(server.url, { card: code(perrin) });
    must(await child.post("/api/v1/hand-ins", { id: uuid7(), challenge: w.challenge.id, could_not: "no_grown_up", attempts: [] }), 201);
    must(await child.post("/api/v1/messages", { about: "hurt", where: "tummy", still: false }), 201);
    must(await w.staff.teach.client.put(`/api/v1/units/${w.challenge.unit.id}/assessments/${ondi.id}`, { band: 2 }), 200);

    await t.test("on Friday she sees who has sent, and enters a result", async () => {
        const grid = must(await supply.client.get(`/api/v1/classes/${w.a.id}/grid`), 200);
        const states = Object.fromEntries(grid.pupils.map((p) => [p.display_name, p.cells[0].state]));
        assert.deepEqual(states, { Ondi: "handed_in", Perrin: "could_not", Quill: "not_yet" });
        must(await supply.client.post(`/api/v1/challenges/${w.challenge.id}/hand-ins`, { id: uuid7(), pupil: quill.id, channel: "paper", attempts: [{ value: 9, distance_mm: 3000 }] }), 201);
        const after = must(await supply.client.get(`/api/v1/classes/${w.a.id}/grid`), 200);
        assert.equal(after.pupils.find((p) => p.id === quill.id).cells[0].state, "on_paper");
        assert.equal((await supply.client.post(`/api/v1/challenges/${w.challenge.id}/hand-ins`, { id: uuid7(), pupil: w.otherPupil.id, channel: "paper", attempts: [{ value: 9, distance_mm: 3000 }] })).status, 404, "another class");
    });

    await t.test("no band, reason or message by any address", async () => {
        const answers = await getAll(supply.client, w);
        const open = answers.filter((a) => a.status === 200);
        assert.ok(answers.length > 150 && open.length > 30, `${open.length} of ${answers.length} open`);
        for (const { path, route, text } of open) {
            assert.ok(!/no_grown_up|tummy/.test(text), `${path} gives a reason or a message away`);
            assert.ok(!/"suggestion"|"assessment"|"probs"|"band":/.test(text), `${path} speaks of a band`);
            /* The school's words for its bands are every teacher's; of whom they are said is not. */
            assert.ok(route === "/api/v1/school" || !BANDS.some((word) => text.includes(word)), `${path} says a band`);
        }
        const closed = [`/api/v1/challenges/${w.challenge.id}/results`, `/api/v1/units/${w.challenge.unit.id}/assess?class=${w.a.id}`, `/api/v1/messages`, `/api/v1/exports/results.csv?class=${w.a.id}`, `/api/v1/pupils/${ondi.id}`];
        for (const path of closed) {
            assert.equal((await w.staff.teach.client.get(path)).status, 200, `${path} is there for the teacher`);
            assert.equal((await supply.client.get(path)).status, 404, path);
        }
    });

    await t.test("until the last minute of Friday, and not a minute of Saturday", async () => {
        const at = async (hours) => {
            assert.equal(await server.stop(), 0);
            server = await serve(school, hours);
            return signedIn(server.url, { name: supply.name, passphrase: supply.passphrase });
        };
        const grid = `/api/v1/classes/${w.a.id}/grid`;
        assert.equal((await (await at(11.8)).get(grid)).status, 200, "Friday, 23:48");
        const late = await at(12.2);
        assert.equal((await late.get(grid)).status, 404, "Saturday, 00:12");
        assert.deepEqual(must(await late.get("/api/v1/session"), 200).classes, [], "no class is hers");
        assert.equal((await late.post(`/api/v1/challenges/${w.challenge.id}/hand-ins`, { id: uuid7(), pupil: quill.id, channel: "paper", attempts: [{ value: 9, distance_mm: 3000 }] })).status, 404);
        for (const { path, route, status, text } of (await getAll(late, w)).filter((a) => a.status === 200)) {
            assert.ok(!/Ondi|Perrin|Quill/.test(text), `${path} (${route}, ${status}) names a child`);
        }
        assert.equal(await server.stop(), 0);
    });
});
