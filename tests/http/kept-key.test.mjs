/* SPDX-License-Identifier: MIT
 * The key that seals typed text on a device: one a staff account, the same at each sign-in, in no answer to anybody
 * else. Our own rule. All names are invented. */

import test from "node:test";
import assert from "node:assert/strict";
import { startSchool } from "../lib/server.mjs";
import { makeWorld, must, principal } from "../lib/world.mjs";
import { Client } from "../lib/client.mjs";

test("a key a staff account", async (t) => {
    const school = await startSchool();
    t.after(() => school.stop());
    const w = await makeWorld(school, school.account);
    const session = async (client) => must(await client.get("/api/v1/session"), 200);
    const keyOf = async (client) => (await session(client)).kept_key;

    const tamsin = await keyOf(w.staff.teach.client);
    assert.equal(Buffer.from(tamsin, "base64url").length, 32, "256 bits for AES-GCM (NIST SP 800-38D)");
    assert.equal(await keyOf(await w.staff.teach.again()), tamsin, "what was sealed opens after the next sign-in");
    const others = await Promise.all(["read", "office", "pe_lead"].map((who) => keyOf(w.staff[who].client)));
    assert.equal(new Set([tamsin, ...others]).size, 4);

    const signedOut = await w.staff.teach.again();
    must(await signedOut.del("/api/v1/session"), 204);
    const refused = await signedOut.get("/api/v1/session");
    assert.equal(refused.status, 401);
    for (const text of [refused.text, (await new Client(school.url).get("/api/v1/session")).text, JSON.stringify(await session(await principal(w, "pupil"))), JSON.stringify(await session(await principal(w, "carer")))]) {
        assert.ok(!text.includes("kept_key"));
    }
});
