/* SPDX-License-Identifier: MIT
 * A starting version for chosen children: first on the child's page, the default of a hand-in that names none,
 * closed to others' children, no reason kept. All names are invented. */

import test from "node:test";
import assert from "node:assert/strict";
import { startSchool } from "../lib/server.mjs";
import { signedIn, uuid7 } from "../lib/client.mjs";
import { makeActivity, makeWorld, setChallenge, must } from "../lib/world.mjs";

test("a starting version", async (t) => {
    const school = await startSchool();
    t.after(() => school.stop());
    const w = await makeWorld(school, school.account);
    const teach = w.staff.teach.client;
    const [ondi, perrin] = w.a.pupils;
    const versions = [{ kind: "standard", how: "Stand and slide.", band_lines: [7, 12] }, { kind: "quiet", how: "Slide on a rug." }, { kind: "seated", how: "Sit and slide.", own_target: 7 }];
    const activity = await makeActivity(teach, "zones", { versions });
    const challenge = await setChallenge(teach, activity, [w.a.id]);
    const path = `/api/v1/challenges/${challenge.id}/starts?class=${w.a.id}`;
    const set = (starts) => teach.put(path, { starts });
    const first = (answer) => [answer.status, answer.json.errors[0].pointer, answer.json.errors[0].code];
    const child = async (pupil) => signedIn(school.url, { card: w.cardsA.find((c) => c.pupil.id === pupil.id).code });
    const sees = async (client) => must(await client.get(`/api/v1/me/challenges/${challenge.id}`), 200).activity.versions.map((v) => v.kind);
    const mine = [await child(ondi), await child(perrin)];

    await t.test("as for everybody until somebody chooses", async () => {
        const page = must(await teach.get(path), 200);
        assert.deepEqual(page.versions, ["standard", "quiet", "seated"]);
        assert.deepEqual(page.rows.map((r) => [r.display_name, r.version]), [["Ondi", "standard"], ["Perrin", "standard"], ["Quill", "standard"]]);
        assert.deepEqual(await sees(mine[0]), ["standard", "quiet", "seated"]);
    });
    await t.test("first on that child's page, all others still there, nobody else's page changes", async () => {
        must(await set([{ pupil: ondi.id, version: "seated" }]), 204);
        assert.deepEqual(await sees(mine[0]), ["seated", "standard", "quiet"]);
        assert.deepEqual(await sees(mine[1]), ["standard", "quiet", "seated"]);
        const other = await setChallenge(teach, activity, [w.a.id]);
        assert.equal(must(await mine[0].get(`/api/v1/me/challenges/${other.id}`), 200).activity.versions[0].kind, "standard", "another challenge");
    });
    await t.test("a hand-in that names no version is of it; one that names another is of that", async () => {
        const send = async (client, more) => must(await client.post("/api/v1/hand-ins", { id: uuid7(), challenge: challenge.id, attempts: [{ value: 9, distance_mm: 3000 }], ...more }), 201).id;
        const standard = activity.versions.find((v) => v.kind === "standard").id;
        const ids = [await send(mine[0], {}), await send(mine[0], { version: standard }), await send(mine[1], {})];
        const rows = must(await teach.get(`/api/v1/challenges/${challenge.id}/results?class=${w.a.id}`), 200).rows;
        const kinds = Object.fromEntries(rows.flatMap((r) => r.hand_ins.map((h) => [h.id, activity.versions.find((v) => v.id === h.version).kind])));
        assert.deepEqual(ids.map((id) => kinds[id]), ["seated", "standard", "standard"]);
    });
    await t.test("in the copy of the child's data, and taken back", async () => {
        const copy = async () => must(await teach.get(`/api/v1/exports/pupil.json?pupil=${ondi.id}`), 200).starting_versions;
        assert.deepEqual(await copy(), [{ challenge: challenge.number, version: "seated" }]);
        must(await set([{ pupil: ondi.id, version: "standard" }, { pupil: perrin.id, version: "quiet" }]), 204);
        assert.deepEqual(await copy(), []);
        assert.deepEqual(await sees(mine[0]), ["standard", "quiet", "seated"]);
        assert.deepEqual(await sees(mine[1]), ["quiet", "standard", "seated"]);
    });
    await t.test("all or nothing; what does not fit is named", async () => {
        const good = { pupil: ondi.id, version: "quiet" };
        assert.deepEqual(first(await set([good, { pupil: w.otherPupil.id, version: "quiet" }])), [422, "/starts/1/pupil", "not_found"]);
        assert.deepEqual(first(await set([good, good])), [422, "/starts/1/pupil", "twice"]);
        assert.deepEqual(first(await set([good, { pupil: perrin.id, version: "no_kit" }])), [422, "/starts/1/version", "not_a_choice"]);
        assert.deepEqual(first(await set([good, { pupil: perrin.id }])), [422, "/starts/1/version", "required"]);
        assert.deepEqual(first(await set([good, { ...good, pupil: perrin.id, reason: "x" }])), [422, "/starts/1/reason", "unknown"]);
        assert.equal((await set("x")).status, 422);
        assert.deepEqual(first(await teach.get(`/api/v1/challenges/${challenge.id}/starts`)), [422, "/class", "required"]);
        assert.equal((await teach.put(`/api/v1/challenges/${challenge.id}/starts`, { starts: [good] })).status, 422, "the class is named");
        assert.deepEqual(await sees(mine[0]), ["standard", "quiet", "seated"], "nothing was stored by half");
    });
    await t.test("whoever does not teach the class", async () => {
        for (const who of ["help", "read", "other_teach", "office", "safeguarding"]) {
            assert.equal((await w.staff[who].client.get(path)).status, 404, who);
            assert.equal((await w.staff[who].client.put(path, { starts: [] })).status, 404, who);
        }
        assert.equal((await teach.put(`/api/v1/challenges/${challenge.id}/starts?class=${w.b.id}`, { starts: [{ pupil: w.otherPupil.id, version: "quiet" }] })).status, 404, "another class's children");
        must(await w.staff.pe_lead.client.get(path), 200);
        assert.equal((await w.staff.pe_lead.client.get(`/api/v1/challenges/${challenge.id}/starts?class=${w.b.id}`)).status, 404, "a class that does not have the challenge");
    });
});
