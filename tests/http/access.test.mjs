/* SPDX-License-Identifier: MIT
 * The access matrix: every route of the running server (`thrice routes`) as every kind of person.
 * Expectations come from tests/data/access.csv, written by hand from the school's role matrix, so
 * that the routing table does not test itself. What is refused must look like what is not there. */

import test from "node:test";
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { execFileSync } from "node:child_process";
import { startSchool, thrice } from "../lib/server.mjs";
import { uuid7 } from "../lib/client.mjs";
import { makeWorld, makeStaff, makeActivity, principal, must } from "../lib/world.mjs";

const PRINCIPALS = ["anon", "pupil", "other_pupil", "carer", "other_carer", "teach", "other_teach", "help", "help_over", "read", "pe_lead", "safeguarding", "office"];

function table() {
    const text = readFileSync(new URL("../data/access.csv", import.meta.url), "utf8").trim();
    return text.split("\n").slice(1).map((line) => {
        const [method, path, allowed] = line.split(",");
        return { method, path, allowed: allowed.split(" ") };
    });
}

/* Bodies that get past the gate and then, where the work would destroy the world, are refused. */
function bodyFor(row, w) {
    const bodies = {
        "PUT /api/v1/me/passphrase": { old: "not the right one at all", new: "another quiet lantern 42" },
        "POST /api/v1/staff": { name: "" },
        "PUT /api/v1/staff/{staff}": { rights: ["none such"] },
        "POST /api/v1/pending-changes": { kind: "none such" },
        "POST /api/v1/pending-changes/{change}/acceptance": { older: "none such" },
        "PUT /api/v1/school": { band_words: [] },
        "PUT /api/v1/purge-plan": {},
        "POST /api/v1/classes": { name: "" },
        "PUT /api/v1/classes/{class}": { name: "" },
        "PUT /api/v1/classes/{class}/staff/{staff}": { right: "none such" },
        "POST /api/v1/classes/{class}/pupils": { display_name: "" },
        "PUT /api/v1/pupils/{pupil}": { family_view: "none such" },
        "PUT /api/v1/pupils/{pupil}/fresh-start": { from: "2001-01-01" },
        "POST /api/v1/classes/{class}/cards": { holder: "none such" },
        "POST /api/v1/pupils/{pupil}/cards": { holder: "none such" },
        "POST /api/v1/year/move": { id: uuid7(), seen: "0", backed_up: false },
        "POST /api/v1/units": { name: "" },
        "PUT /api/v1/units/{unit}": { name: "" },
        "POST /api/v1/unit-files": { thrice_unit: 7 },
        "POST /api/v1/activities": { name: "" },
        "PUT /api/v1/activities/{activity}": { name: "" },
        "PUT /api/v1/activities/{activity}/lines": { versions: { standard: [13] } },
        "POST /api/v1/challenges": { activity: w.activity.id, classes: [w.a.id], due_on: "2001-01-01" },
        "PUT /api/v1/challenges/{challenge}": { due_on: "2001-01-01" },
        "PUT /api/v1/units/{unit}/reports/{pupil}": { text: 5 },
        "PUT /api/v1/challenges/{challenge}/starts": { starts: "none such" },
        "POST /api/v1/hand-ins": { id: uuid7(), challenge: w.challenge.id, attempts: [{ value: 13 }] },
        "POST /api/v1/messages": { about: "none such" },
        "POST /api/v1/challenges/{challenge}/hand-ins": { id: uuid7(), pupil: w.pupil.id, channel: "staff", attempts: [{ value: 13 }] },
        "POST /api/v1/hand-ins/{hand_in}/set-aside": { reason: "none such" },
        "PUT /api/v1/units/{unit}/assessments/{pupil}": { band: 99 },
        "POST /api/v1/units/{unit}/assessments": { pupils: [w.pupil.id] },
        "POST /api/v1/units/{unit}/share": { class: w.a.id, pupils: [] },
        "POST /api/v1/units/{unit}/seen": { pupil: w.pupil.id, cue: w.activity.cues[0].id, seen: true },
        "POST /api/v1/units/{unit}/answers": { pupil: w.pupil.id, question: w.activity.questions[0].id, right: true },
        "PUT /api/v1/units/{unit}/taking-part/{pupil}": { band: 99 },
        "POST /api/v1/statements": { area: "none such", text: "" },
        "PUT /api/v1/statements/{statement}": { archived: "none such" },
        "PUT /api/v1/pupils/{pupil}/statements/{statement}": { met: "none such" },
        "POST /api/v1/units/{unit}/second-views": { class: w.a.id, staff: "1", pupils: [] },
        "PUT /api/v1/second-views/{view}": { band: 99 },
        "POST /api/v1/second-views/{view}/agreement": { band: 99 },
        "POST /api/v1/messages/{message}/acknowledgement": { outcome: "none such" },
        "POST /api/v1/session": { card: "BBB BBB BBB" }
    };
    return bodies[`${row.method} ${row.path}`] || {};
}

async function pathFor(row, w) {
    const fixed = { class: w.a.id, pupil: w.pupil.id, staff: w.spare.id, unit: w.challenge.unit.id, challenge: w.challenge.id, hand_in: w.handIn.id, message: w.message.id, statement: "1" };
    let path = row.path.replace(/\{([a-z_]+)\}/g, (hole, name) => fixed[name] || hole);
    if (path.includes("{session}")) {
        if (!w.throwaway) {     /* one only: a sixth session would end the first */
            const list = must(await (await w.staff.teach.again()).get("/api/v1/me/sessions"), 200).sessions;
            w.throwaway = list.find((s) => s.this_one).id;
        }
        path = path.replace("{session}", w.throwaway);
    }
    if (path.includes("{card}")) {
        const cards = must(await w.first.post(`/api/v1/pupils/${w.pupil.id}/cards`, { holder: "pupil" }), 201).cards;
        path = path.replace("{card}", cards[0].id);
        w.leftover = cards[0].id;
    }
    if (path.includes("{view}")) {      /* asked of the reader; made again when somebody took it back */
        const asked = () => w.staff.teach.client.get(`/api/v1/units/${w.challenge.unit.id}/second-views?class=${w.a.id}`, { noRecord: true });
        if (must(await asked(), 200).views.length === 0) {
            must(await w.staff.teach.client.post(`/api/v1/units/${w.challenge.unit.id}/second-views`, { class: w.a.id, staff: w.staff.read.id, pupils: [w.pupil.id] }), 201);
        }
        path = path.replace("{view}", must(await asked(), 200).views[0].id);
    }
    if (path.includes("{change}")) {    /* office for the spare account; asked again when somebody declined */
        const spare = `/api/v1/staff/${w.spare.id}`;
        const asked = async () => must(await w.first.get("/api/v1/pending-changes", { noRecord: true }), 200).changes
            .find((c) => c.of.id === w.spare.id && c.kind === "office" && c.state === "waiting");
        if (!await asked()) {
            must(await w.first.put(spare, { rights: [] }), 200);
            must(await w.first.put(spare, { rights: ["office"] }), 200);
        }
        path = path.replace("{change}", (await asked()).id);
    }
    if (path.includes("{activity}")) {
        path = path.replace("{activity}", row.method === "DELETE" ? (await makeActivity(w.staff.teach.client, "successes")).id : w.activity.id);
    }
    if (/\/band-preview$/.test(path)) {
        path += `?class=${w.a.id}&lines=7,12`;
    }
    if (/\/assess$|\/starts$|\/reports$|\/reports\/done$|\/next-lesson$|units\/\d+\/second-views$|\/seen$|\/statements$|results\.csv|roster\.csv/.test(path)) {
        path += `?class=${w.a.id}`;
    }
    if (/\/counts$/.test(path)) {
        path += "?from=2026-01-01&to=2026-12-31";
    }
    if (/reports\.csv/.test(path)) {
        path += `?class=${w.a.id}&unit=${w.challenge.unit.id}`;
    }
    return /pupil\.json/.test(path) ? `${path}?pupil=${w.pupil.id}` : path;
}

async function ask(client, row, w) {
    const path = await pathFor(row, w);
    if (row.path === "/quick" && row.method === "POST") {
        return client.request("POST", path, "code=BBB+BBB+BBB&attempt_1=3", { type: "application/x-www-form-urlencoded" });
    }
    if (/\/roster$/.test(row.path)) {
        return client.request("POST", path + "?dry_run=1", "name\nVesper\n", { type: "text/csv" });
    }
    return client.request(row.method, path, row.method === "GET" || row.method === "DELETE" ? undefined : bodyFor(row, w));
}

test("access matrix", async (t) => {
    const school = await startSchool();
    t.after(() => school.stop());
    const w = await makeWorld(school, school.account);
    w.spare = await makeStaff(w, "Spindle");    /* whose passphrase the office issues anew */
    const rows = table();

    await t.test("every route of the server has a row, and every row a route", () => {
        const served = execFileSync(thrice, ["routes"], { encoding: "utf8" }).trim().split("\n")
            .map((line) => line.trim().split(/\s+/)).filter((p) => /^(GET|POST|PUT|DELETE)$/.test(p[0]))
            .map((p) => `${p[0]} ${p[1].replace(/:([a-z_]+)/g, "{$1}")}`);
        const listed = rows.map((r) => `${r.method} ${r.path}`).filter((r) => r !== "GET /api/v1/openapi.json");
        assert.deepEqual(served.sort(), listed.sort());
    });

    for (const row of rows) {
        await t.test(`${row.method} ${row.path}`, async () => {
            const wrong = [];
            for (const name of PRINCIPALS) {
                const fresh = row.method === "DELETE" && row.path === "/api/v1/session";
                w.clients = w.clients || {};
                const client = fresh || !w.clients[name] ? await principal(w, name) : w.clients[name];
                if (!fresh && row.path !== "/api/v1/session") {
                    w.clients[name] = client;
                }
                const answer = await ask(client, row, w);
                if (w.leftover) {
                    await w.first.del(`/api/v1/cards/${w.leftover}`, { noRecord: true });
                    w.leftover = null;
                }
                const allowed = row.allowed.includes(name);
                const signIn = row.path === "/api/v1/session" && row.method === "POST";
                const got = allowed && (signIn || ![401, 403, 404].includes(answer.status)) ? "in" : String(answer.status);
                const wanted = allowed ? "in" : name === "anon" ? "401" : "404";
                /* Where the body names the object, the answer points at that field as unknown. */
                const unknownField = !allowed && answer.status === 422 && answer.json.errors.every((e) => e.code === "not_found");
                if (got !== wanted && !unknownField) {
                    wrong.push(`${name}: wanted ${wanted}, got ${answer.status} ${answer.text.slice(0, 160)}`);
                }
            }
            assert.deepEqual(wrong, []);
        });
    }

    await t.test("what is not yours looks exactly like what is not there", async () => {
        const client = await w.staff.other_teach.again();
        const shape = (a) => JSON.stringify({ ...a.json, instance: "" });
        for (const path of [`/api/v1/classes/ID/grid`, `/api/v1/pupils/ID/record`, `/api/v1/challenges/ID/results`]) {
            const real = path.replace("ID", path.includes("classes") ? w.a.id : path.includes("pupils") ? w.pupil.id : w.challenge.id);
            assert.equal(shape(await client.get(real)), shape(await client.get(path.replace("ID", "4611686018427387903"))), path);
        }
    });

    await t.test("a disabled account's open session ends at once", async () => {
        const gone = await w.staff.read.again();
        must(await gone.get("/api/v1/home"), 200);
        must(await w.first.put(`/api/v1/staff/${w.staff.read.id}`, { disabled: true }), 200);
        assert.equal((await gone.get("/api/v1/home")).status, 401);
    });
});
