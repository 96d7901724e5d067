/* SPDX-License-Identifier: MIT
 * The preview of band lines for a class of 30 with three hand-ins each: what the server needs beyond
 * answering at all (/healthz over the same connection is taken off), in interleaved rounds, medians.
 * Lines differ from question to question, so that no table is remembered; then the same lines again.
 * Names and tries are invented. */

import { startSchool } from "../lib/server.mjs";
import { signedIn, uuid7 } from "../lib/client.mjs";
import { makeClass, makeActivity, setChallenge, must } from "../lib/world.mjs";

const ROUNDS = Number(process.env.ROUNDS || 5) * 6;
const quiet = { noRecord: true };

function median(list) {
    const sorted = [...list].sort((a, b) => a - b);
    return sorted[Math.floor(sorted.length / 2)];
}

async function ms(work) {
    const began = process.hrtime.bigint();
    await work();
    return Number(process.hrtime.bigint() - began) / 1e6;
}

const school = await startSchool();
const first = await signedIn(school.url, school.account);
await first.get("/api/v1/session");
const klass = await makeClass({ first }, "6 Elm", Array.from({ length: 30 }, (_, i) => `Pupil${String.fromCharCode(65 + i % 26)}${i}`));
for (const kind of ["zones", "successes", "timed_count", "measure"]) {
    const activity = await makeActivity(first, kind);
    const challenge = await setChallenge(first, activity, [klass.id]);
    for (let i = 0; i < 90; i += 1) {
        const one = (k) => (kind === "zones" ? { throws: [0, 2, 5, [0, 2, 5][(i + k) % 3]], distance_mm: 3000 } : { value: kind === "measure" ? 8000 + 1000 * ((i * 7 + k * 3) % 15) : 3 + (i * 5 + k * 2) % 9 });
        must(await first.post(`/api/v1/challenges/${challenge.id}/hand-ins`, { id: uuid7(), pupil: klass.pupils[i % 30].id, channel: "staff", attempts: [one(0), one(1), one(2)] }, quiet), 201);
    }
    const path = (lines) => `/api/v1/activities/${activity.id}/band-preview?class=${klass.id}&lines=${lines}`;
    const some = { zones: [["7", "12"], ["5", "11"], ["4", "9"], ["6", "14"], ["2", "10"], ["8", "15"]], successes: [["5", "9"], ["3", "8"], ["4", "10"], ["6", "11"], ["2", "7"], ["1", "12"]],
        timed_count: [["5", "9"], ["3", "8"], ["4", "10"], ["6", "11"]], measure: [["10000", "15000"], ["9000", "14000"], ["11000", "16000"]] }[kind];
    const samples = { fresh: [], again: [], bare: [] };
    const ask = (lines) => ms(async () => must(await first.get(path(lines.join(",")), quiet), 200));
    for (let i = 0; i < ROUNDS; i += 1) {
        samples.bare.push(await ms(() => first.get("/healthz", quiet)));
        (i < some.length ? samples.fresh : samples.again).push(await ask(some[i % some.length]));
    }
    const bare = median(samples.bare);
    process.stdout.write(`preview of band lines, 30 pupils x 3 hand-ins, ${kind}: ${(median(samples.fresh) - bare).toFixed(1)} ms with new lines, ${(median(samples.again) - bare).toFixed(1)} ms with known ones (bare answer ${bare.toFixed(1)} ms)\n`);
}
await school.stop();
