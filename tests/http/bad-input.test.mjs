/* SPDX-License-Identifier: MIT
 * Bad input of every kind gets a clear problem and changes nothing. Naughty strings are a short list
 * of our own (control characters, bidi, script, formulas, SQL), made for this file. */

import test from "node:test";
import assert from "node:assert/strict";
import { startSchool } from "../lib/server.mjs";
import { signedIn, uuid7 } from "../lib/client.mjs";
import { makeClass, makeCards, makeActivity, setChallenge, must, ACTIVITIES } from "../lib/world.mjs";

const NAUGHTY = ["<script>alert(1)</script>", "'; DROP TABLE pupil; --", "=1+1", "@SUM(A1)", "\u202Eevil", "a\u0000b", "a\u0007b", "", "   ",
    "x".repeat(41), "Zo\u00eb", "\u{1F3C3}", "O'Neill", "\"quoted\"", "a&b<c>", "../../etc", "%00", "\u0628\u0627\u0628", "Mei \u2603"];

test("bad input", async (t) => {
    const school = await startSchool();
    t.after(() => school.stop());
    const first = await signedIn(school.url, school.account);
    await first.get("/api/v1/session");
    const w = { url: school.url, first };
    const a = await makeClass(w, "3 Alder", ["Ondi"]);
    const b = await makeClass(w, "4 Birch", ["Rafe"]);
    const [card] = await makeCards(w, a.id, "pupil");
    const zones = await makeActivity(first, "zones");
    const mine = await setChallenge(first, zones, [a.id]);
    const theirs = await setChallenge(first, zones, [b.id]);
    const child = await signedIn(school.url, { card: card.code });
    const rowsNow = async () => must(await child.get(`/api/v1/me/challenges/${mine.id}`), 200).hand_ins.length;
    const good = { challenge: mine.id, attempts: [{ value: 7 }] };

    const cases = [
        ["wrong zone points", { attempts: [{ throws: [0, 2, 3, 0] }] }, 422, "/attempts/0/throws/2"],
        ["too many throws", { attempts: [{ throws: [0, 2, 2, 0, 5] }] }, 422, "/attempts/0/throws"],
        ["impossible total", { attempts: [{ value: 7 }, { value: 13 }] }, 422, "/attempts/1/value"],
        ["total above all", { attempts: [{ value: 21 }] }, 422, "/attempts/0/value"],
        ["negative", { attempts: [{ value: -1 }] }, 422, "/attempts/0/value"],
        ["text for a number", { attempts: [{ value: "7" }] }, 422, "/attempts/0/value"],
        ["a fraction", { attempts: [{ value: 7.5 }] }, 422, "/attempts/0/value"],
        ["throws and total disagree", { attempts: [{ value: 8, throws: [0, 2, 5, 0] }] }, 422, "/attempts/0/value"],
        ["neither value nor throws", { attempts: [{ distance_mm: 3000 }] }, 422, "/attempts/0"],
        ["four tries where three are asked", { attempts: [{ value: 7 }, { value: 7 }, { value: 7 }, { value: 7 }] }, 422, "/attempts"],
        ["no tries and no reason", { attempts: [] }, 422, "/attempts"],
        ["a distance out of range", { attempts: [{ value: 7, distance_mm: 99000 }] }, 422, "/attempts/0/distance_mm"],
        ["an unknown field", { attempts: [{ value: 7 }], note: "hello" }, 422, "/note"],
        ["an unknown field in an attempt", { attempts: [{ value: 7, note: "x" }] }, 422, "/attempts/0/note"],
        ["an unknown reason", { attempts: [], could_not: "dog ate it" }, 422, "/could_not"],
        ["a cue of nowhere", { attempts: [{ value: 7 }], cues: ["12345"] }, 422, "/cues/0"],
        ["an id that is none", { id: "not-a-uuid", attempts: [{ value: 7 }] }, 422, "/id"],
        ["a day that is none", { attempts: [{ value: 7 }], done_on: "2026-02-31" }, 422, "/done_on"]
    ];
    for (const [name, change, status, pointer] of cases) {
        await t.test(name, async () => {
            const before = await rowsNow();
            const answer = await child.post("/api/v1/hand-ins", { id: uuid7(), challenge: mine.id, ...change });
            assert.equal(answer.status, status, answer.text);
            assert.match(answer.headers["content-type"], /^application\/problem\+json/);
            assert.ok(answer.json.errors.some((e) => e.pointer === pointer), answer.text);
            assert.equal(await rowsNow(), before);
        });
    }

    await t.test("an impossible total names the nearest that can be", async () => {
        const answer = await child.post("/api/v1/hand-ins", { id: uuid7(), challenge: mine.id, attempts: [{ value: 13 }] });
        assert.deepEqual(answer.json.errors[0].nearest, [12, 14]);
        assert.equal(answer.json.errors[0].code, "impossible");
    });

    await t.test("another child's challenge is not there", async () => {
        const answer = await child.post("/api/v1/hand-ins", { id: uuid7(), challenge: theirs.id, attempts: [{ value: 7 }] });
        assert.equal(answer.status, 404);
    });

    await t.test("10 MB, deep JSON, duplicate keys, broken JSON, other types", async () => {
        const raw = (text, type = "application/json") => child.request("POST", "/api/v1/hand-ins", text, { type, noRecord: true });
        const refused = async (answer) => {
            assert.ok([400, 422].includes(answer.status), answer.text);
            assert.match(answer.headers["content-type"], /^application\/problem\+json/);
        };
        assert.equal((await raw("{\"id\":\"" + "x".repeat(10 * 1024 * 1024) + "\"}").catch(() => ({ status: 413 }))).status, 413);
        await refused(await raw("{\"a\":" + "[".repeat(2000) + "]".repeat(2000) + "}"));
        await refused(await raw(`{"id":"${uuid7()}","challenge":"${mine.id}","challenge":"${mine.id}","attempts":[{"value":7}]}`));
        await refused(await raw("{\"id\":"));
        await refused(await raw("[]"));
        assert.equal((await raw(JSON.stringify({ id: uuid7(), ...good }), "text/plain")).status, 415);
        await refused(await raw(Buffer.from([0x7b, 0x22, 0xff, 0x22, 0x3a, 0x31, 0x7d])));
        assert.equal(await rowsNow(), 0);
    });

    await t.test("no token, a wrong token, a foreign page", async () => {
        const send = (headers, options = {}) => child.request("POST", "/api/v1/hand-ins", { id: uuid7(), ...good }, { headers, noRecord: true, ...options });
        assert.equal((await send({}, { noCsrf: true })).status, 403);
        assert.equal((await send({ "x-csrf-token": "A".repeat(43) }, { noCsrf: true })).status, 403);
        assert.equal((await send({ origin: "https://elsewhere.example" })).status, 403);
        assert.equal((await send({ "sec-fetch-site": "cross-site" })).status, 403);
        assert.equal((await send({ origin: "null" })).status, 403);
        assert.equal(await rowsNow(), 0);
        assert.equal((await send({ origin: school.url, "sec-fetch-site": "same-origin" })).status, 201);
    });

    await t.test("naughty strings as names come back as they went in, or are refused", async () => {
        for (const name of NAUGHTY) {
            const before = must(await first.get(`/api/v1/classes/${a.id}/pupils`), 200).pupils.length;
            const answer = await first.post(`/api/v1/classes/${a.id}/pupils`, { display_name: name });
            const after = must(await first.get(`/api/v1/classes/${a.id}/pupils`), 200).pupils;
            if (answer.status === 201) {
                assert.equal(answer.json.pupil.display_name, name.normalize("NFC"));
                assert.ok(after.some((p) => p.display_name === name.normalize("NFC")));
            } else {
                assert.ok([400, 422].includes(answer.status), `${JSON.stringify(name)}: ${answer.text}`);
                assert.equal(after.length, before);
            }
        }
        const csv = (await first.get(`/api/v1/exports/roster.csv?class=${a.id}`)).text;
        assert.match(csv, /"'=1\+1"/, "a formula is disarmed in CSV");
        assert.match((await first.get(`/api/v1/exports/results.csv?class=${a.id}`)).text, /"'@SUM\(A1\)"/);
    });

    await t.test("an activity that does not hold together is refused field by field", async () => {
        const wrong = [
            [{ zones: [{ name: "middle", points: 5 }] }, "/zones"],
            [{ zones: [{ name: "middle", points: -5 }, { name: "miss", points: 0 }] }, "/zones/0/points"],
            [{ attempts: 9 }, "/attempts"],
            [{ kind: "juggling" }, "/kind"],
            [{ distances_mm: [10] }, "/distances_mm/0"],
            [{ versions: [] }, "/versions"],
            [{ name: "" }, "/name"],
            [{ extra: 1 }, "/extra"]
        ];
        for (const [change, pointer] of wrong) {
            const answer = await first.post("/api/v1/activities", { ...ACTIVITIES.zones, ...change });
            assert.equal(answer.status, 422, JSON.stringify(change) + answer.text);
            assert.ok(answer.json.errors.some((e) => e.pointer === pointer), `${pointer}: ${answer.text}`);
        }
    });
});
