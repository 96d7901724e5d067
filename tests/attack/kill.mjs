/* SPDX-License-Identifier: MIT
 * kill -9 at random moments while hand-ins come in from many clients at once; after each start every
 * hand-in that was answered 201 must be there, once. KILLS (default 40) says how often. This shows
 * nothing about power loss: the system's page cache survives a killed process. */

import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { startSchool, thrice } from "../lib/server.mjs";
import { signedIn, uuid7 } from "../lib/client.mjs";
import { makeClass, makeActivity, setChallenge, must } from "../lib/world.mjs";

const KILLS = Number(process.env.KILLS || 40);
const CLIENTS = 24;

const school = await startSchool();
const first = await signedIn(school.url, school.account);
await first.get("/api/v1/session");
const names = Array.from({ length: 60 }, (_, i) => `Pupil${String.fromCharCode(65 + i % 26)}${i}`);
const klass = await makeClass({ first }, "6 Elm", names);
const activity = await makeActivity(first, "timed_count");
const acknowledged = new Map();
let challenge = null;

async function pour(until) {
    let i = 0;
    const one = async () => {
        while (Date.now() < until.at) {
            const pupil = klass.pupils[i % klass.pupils.length];
            const id = uuid7();
            i += 1;
            const answer = await first.post(`/api/v1/challenges/${challenge.id}/hand-ins`, { id, pupil: pupil.id, channel: "staff", attempts: [{ value: 20 }] }, { noRecord: true }).catch(() => null);
            if (answer && answer.status === 201) {
                acknowledged.set(id, challenge.id);
            }
        }
    };
    await Promise.all(Array.from({ length: CLIENTS }, one));
}

for (let round = 1; round <= KILLS; round += 1) {
    challenge = await setChallenge(first, activity, [klass.id]);
    const until = { at: Date.now() + 60 + Math.random() * 240 };
    const pouring = pour(until);
    await new Promise((r) => setTimeout(r, 50 + Math.random() * 200));
    await school.kill();
    until.at = 0;
    await pouring;
    await school.start();
    first.base = school.url;
    const rows = must(await first.get(`/api/v1/challenges/${challenge.id}/results`, { noRecord: true }), 200).rows.flatMap((r) => r.hand_ins.map((h) => h.id));
    const wanted = Array.from(acknowledged).filter(([, c]) => c === challenge.id).map(([id]) => id);
    assert.equal(new Set(rows).size, rows.length, "a hand-in is there twice");
    const lost = wanted.filter((id) => !rows.includes(id));
    assert.deepEqual(lost, [], `round ${round}: ${lost.length} acknowledged hand-ins lost`);
}
await school.server.stop();
execFileSync(thrice, ["check", "--data", school.data], { stdio: ["ignore", "ignore", "inherit"] });
school.remove();
console.log(`${KILLS} kills, ${acknowledged.size} acknowledged hand-ins, 0 lost, 0 doubled; thrice check is content`);
