/* SPDX-License-Identifier: MIT
 * /healthz while nothing can be stored: 503 from a commit that failed until one succeeds, also in a
 * school at rest. The disk is "filled" by a limit on the size of the server's files (prlimit(1)). */

import test from "node:test";
import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { startSchool } from "../lib/server.mjs";
import { Client, signedIn } from "../lib/client.mjs";

const ROOM = { none: "1", enough: "unlimited" };
const limit = (pid, room) => execFileSync("prlimit", ["--pid", String(pid), `--fsize=${ROOM[room]}:`]);

async function until(client, status, ms = 8000) {
    const late = Date.now() + ms;
    let got = await client.get("/healthz");
    while (got.status !== status && Date.now() < late) {
        await new Promise((done) => setTimeout(done, 50));
        got = await client.get("/healthz");
    }
    return [got.status, got.text];
}

test("healthz says whether anything can be stored", async (t) => {
    const school = await startSchool();
    t.after(() => school.stop());
    const asked = new Client(school.url);
    const staff = await signedIn(school.url, school.account);
    await staff.get("/api/v1/session");
    assert.deepEqual(await until(asked, 200), [200, "ok\n"]);

    limit(school.server.pid, "none");
    const refused = await staff.post("/api/v1/classes", { name: "5 Rowan" });
    assert.ok([500, 503, 507].includes(refused.status), `${refused.status} ${refused.text}`);
    for (let i = 0; i < 30; i += 1) { /* three tries of its own fail meanwhile */
        /* Judged by the writer and refused: that commit has nothing to write, so it proves nothing. */
        assert.equal((await staff.put("/api/v1/purge-plan", { accept: "2026-01-01" })).status, 422);
        const got = await asked.get("/healthz");
        assert.deepEqual([got.status, got.text], [503, "cannot store\n"]);
        await new Promise((done) => setTimeout(done, 100));
    }
    assert.equal((await staff.get("/api/v1/classes")).status, 200, "what is there can still be read");

    limit(school.server.pid, "enough");
    assert.deepEqual(await until(asked, 200), [200, "ok\n"], "by its own try: nobody sent anything");
    assert.equal((await staff.post("/api/v1/classes", { name: "5 Rowan" })).status, 201);
});
