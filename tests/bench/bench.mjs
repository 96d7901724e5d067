/* SPDX-License-Identifier: MIT
 * Ratios measured in one run, in interleaved rounds, medians: never an absolute rate (machines are
 * shared). Hand-ins come from one client alone or from many at once against the same server; the
 * same grid is asked for anew or with its ETag. The load is made by this script on the same machine,
 * so the ratios are lower bounds of what the server does. */

import { startSchool } from "../lib/server.mjs";
import { signedIn, uuid7 } from "../lib/client.mjs";
import { makeClass, makeActivity, setChallenge, must } from "../lib/world.mjs";
import { readFileSync } from "node:fs";

const ROUNDS = Number(process.env.ROUNDS || 5);
const COUNT = 400;

function median(list) {
    const sorted = [...list].sort((a, b) => a - b);
    return sorted[Math.floor(sorted.length / 2)];
}

async function rate(clients, work) {
    const began = process.hrtime.bigint();
    let left = COUNT;
    await Promise.all(Array.from({ length: clients }, async () => {
        while (left > 0) {
            left -= 1;
            await work();
        }
    }));
    return COUNT / (Number(process.hrtime.bigint() - began) / 1e9);
}

const school = await startSchool();
const first = await signedIn(school.url, school.account);
await first.get("/api/v1/session");
const klass = await makeClass({ first }, "6 Elm", Array.from({ length: 60 }, (_, i) => `Pupil${String.fromCharCode(65 + i % 26)}${i}`));
const activity = await makeActivity(first, "zones");
const quiet = { noRecord: true };
let challenge = null;
let turn = 0;
const sendOne = async () => {
    const pupil = klass.pupils[turn % klass.pupils.length];
    if (turn % 600 === 0) {
        challenge = await setChallenge(first, activity, [klass.id]);
    }
    turn += 1;
    must(await first.post(`/api/v1/challenges/${challenge.id}/hand-ins`, { id: uuid7(), pupil: pupil.id, channel: "staff", attempts: [{ value: 9 }, { value: 7 }, { value: 12 }] }, quiet), 201);
};
const grid = `/api/v1/classes/${klass.id}/grid`;
const samples = { one: [], many: [], full: [], unchanged: [], file: [] };
await sendOne();
for (let round = 0; round < ROUNDS; round += 1) {
    samples.one.push(await rate(1, sendOne));
    samples.many.push(await rate(32, sendOne));
    const { headers } = await first.get(grid, quiet);
    samples.full.push(await rate(8, () => first.get(grid, quiet)));
    samples.unchanged.push(await rate(8, () => first.get(grid, { ...quiet, headers: { "if-none-match": headers.etag } })));
    samples.file.push(await rate(8, () => first.get("/privacy", quiet)));
}
const m = Object.fromEntries(Object.entries(samples).map(([k, v]) => [k, median(v)]));
const rss = /VmRSS:\s+(\d+)/.exec(readFileSync(`/proc/${school.server.pid}/status`, "utf8"))[1];
console.log(`hand-ins: 32 clients over 1        ${(m.many / m.one).toFixed(2)}`);
console.log(`unchanged grid (304) over full grid ${(m.unchanged / m.full).toFixed(2)}`);
console.log(`unchanged grid over a static file   ${(m.unchanged / m.file).toFixed(2)}`);
console.log(`resident memory after the run       ${(Number(rss) / 1024).toFixed(1)} MiB`);
await school.stop();
