/* SPDX-License-Identifier: MIT
 * A small school made through the API alone: two classes, one person of every kind, one challenge
 * with tries. All names are invented. Used by the access matrix and the API tests. */

import { Client, signedIn, uuid7 } from "./client.mjs";
import { clockMoved } from "./server.mjs";

function must(answer, ...statuses) {
    if (!statuses.includes(answer.status)) {
        throw new Error(`wanted ${statuses}, got ${answer.status}: ${answer.text.slice(0, 500)}`);
    }
    return answer.json;
}

const DAY_MS = 86400000;
let aheadMs = 0;

/* For a file whose days before today have to be of today's school year, which begins on 1 September: in the first `days`
 * of one, the clock of its days, its servers and its pages is ahead, so that so many have passed. Options of startSchool. */
export function inSchoolYear(days) {
    const today = day();
    const first = `${Number(today.slice(0, 4)) - (today.slice(5) < "09-01" ? 1 : 0)}-09-01`;
    const passed = (new Date(today) - new Date(first)) / DAY_MS;
    aheadMs += Math.max(0, days - passed) * DAY_MS;
    return aheadMs ? { more: clockMoved(aheadMs / 1000) } : {};
}

export const ahead = () => aheadMs;
const now = () => new Date(Date.now() + aheadMs);

/* The day `offset` days after the one that it is in London at `from`. */
export function day(offset = 0, from = now()) {
    const d = new Date(from.toLocaleDateString("sv-SE", { timeZone: "Europe/London" }) + "T12:00:00Z");
    d.setUTCDate(d.getUTCDate() + offset);
    return d.toISOString().slice(0, 10);
}

/* The second person accepts all that waits about this account and that they may accept. */
export async function acceptFor(second, id, body = {}) {
    const { changes } = must(await second.get("/api/v1/pending-changes"), 200);
    for (const change of changes.filter((c) => c.of.id === id && c.state === "waiting" && !c.refusal)) {
        must(await second.post(`/api/v1/pending-changes/${change.id}/acceptance`, body), 200);
    }
}

/* An account made by the office, its issued passphrase changed as the first sign-in asks; what waits about
 * it is accepted by world.second, where there is one. */
export async function makeStaff(world, name, rights = [], classes = []) {
    const made = must(await world.first.post("/api/v1/staff", { name, rights, classes }), 201);
    const passphrase = `quiet lantern ${name.toLowerCase()} meadow`;
    const client = await signedIn(world.url, { name, passphrase: made.passphrase });
    must(await client.put("/api/v1/me/passphrase", { old: made.passphrase, new: passphrase }), 204);
    if (world.second) {
        await acceptFor(world.second, made.staff.id);
    }
    await client.get("/api/v1/session");
    return { id: made.staff.id, name, passphrase, client, again: () => signedIn(world.url, { name, passphrase }) };
}

export async function makeClass(world, name, pupils) {
    const made = must(await world.first.post("/api/v1/classes", { name }), 201);
    const id = made.class.id;
    const csv = "name,year group\r\n" + pupils.map((p) => `${p},3`).join("\r\n") + "\r\n";
    must(await world.first.post(`/api/v1/classes/${id}/roster`, csv, { type: "text/csv" }), 201);
    const list = must(await world.first.get(`/api/v1/classes/${id}/pupils`), 200).pupils;
    return { id, name, pupils: list };
}

export async function makeCards(world, classId, holder) {
    return must(await world.first.post(`/api/v1/classes/${classId}/cards`, { holder }), 201).cards;
}

/* An activity of each kind, own inventions; the smallest that is complete. */
export const ACTIVITIES = {
    zones: { name: "Mat slide", strand: "target", kind: "zones", unit: "points", attempts: 3, throws: 4, distances_mm: [2000, 3000, 4000], reference_mm: 3000,
        zones: [{ name: "middle", points: 5 }, { name: "edge", points: 2 }, { name: "miss", points: 0 }], targets: [{ name: "bath mat", size_mm: 600 }],
        versions: [{ kind: "standard", how: "Slide four soft objects onto the mat.", band_lines: [7, 12] }, { kind: "seated", how: "Sit and slide four soft objects." }],
        cues: [{ text: "Eyes on the mat" }, { text: "Smooth swing" }, { text: "Soft knees" }],
        questions: [{ text: "What makes it slide further?", choices: [{ text: "A longer swing", right: true }, { text: "Shutting your eyes", right: false }] }],
        safety: ["Clear the floor."], kit: [{ item: "Four beanbags", swap: "Rolled socks" }], steps: [{ change: "space", easier: "Stand closer", harder: "Stand further away" }],
        summary: "Slide four soft objects onto a mat of zones.", set_up: "Put the mat down.", scoring: "Add the points of four slides." },
    successes: { name: "Wall catches", strand: "catching", kind: "successes", unit: "count", attempts: 3, throws: 12,
        versions: [{ kind: "standard", how: "Throw and catch twelve times.", band_lines: [5, 9] }], cues: [{ text: "Hands ready" }], safety: ["Soft ball only."],
        summary: "Twelve soft throws against a wall.", set_up: "Find a wall.", scoring: "Count the catches." },
    timed_count: { name: "Line skips", strand: "skipping", kind: "timed_count", unit: "count", attempts: 3, seconds: 30, soft_high: 90, hard_high: 200,
        versions: [{ kind: "standard", how: "Skip over a line for thirty seconds.", band_lines: [20, 40] }], safety: ["Shoes on."],
        summary: "Skips in thirty seconds.", set_up: "Put a line down.", scoring: "Count every skip." },
    measure: { name: "One-leg balance", strand: "balance", kind: "measure", unit: "ms", attempts: 3, resolution: 100, hard_low: 100, hard_high: 600000, soft_low: 500, soft_high: 120000,
        versions: [{ kind: "standard", how: "Stand on one leg.", band_lines: [10000, 30000] }], safety: ["Stand near a wall."],
        summary: "Balance on one leg.", set_up: "Clear a space.", scoring: "Time until the foot comes down." }
};

export async function makeActivity(client, kind, changes = {}) {
    return must(await client.post("/api/v1/activities", { ...ACTIVITIES[kind], ...changes }), 201).activity;
}

export async function setChallenge(client, activity, classes, dates = {}) {
    return must(await client.post("/api/v1/challenges", { activity: activity.id, classes, opens_on: day(-2), due_on: day(5), closes_on: day(20), ...dates }), 201).challenge;
}

/* `from`: when it is at the server, where its clock is another than ours. */
export async function makeWorld(server, account, from = now()) {
    const world = { url: server.url, first: await signedIn(server.url, account) };
    await world.first.get("/api/v1/session");
    world.a = await makeClass(world, "3 Alder", ["Ondi", "Perrin", "Quill"]);
    world.b = await makeClass(world, "4 Birch", ["Rafe", "Sunniva"]);
    world.cardsA = await makeCards(world, world.a.id, "pupil");
    world.cardsB = await makeCards(world, world.b.id, "pupil");
    world.familyA = await makeCards(world, world.a.id, "family");
    world.familyB = await makeCards(world, world.b.id, "family");
    /* the first account makes the first second person alone; from then on two agree */
    const safeguarding = await makeStaff(world, "Sable", ["safeguarding"]);
    world.second = safeguarding.client;
    world.staff = {
        safeguarding,
        teach: await makeStaff(world, "Tamsin", [], [{ class: world.a.id, right: "teach" }]),
        other_teach: await makeStaff(world, "Osric", [], [{ class: world.b.id, right: "teach" }]),
        help: await makeStaff(world, "Hedda", [], [{ class: world.a.id, right: "help", until: day(3, from) }]),
        help_over: await makeStaff(world, "Ivo", [], [{ class: world.a.id, right: "help", until: day(-1, from) }]),
        read: await makeStaff(world, "Runa", [], [{ class: world.a.id, right: "read" }]),
        pe_lead: await makeStaff(world, "Pelle", ["pe_lead"]),
        office: await makeStaff(world, "Orla", ["office"])
    };
    const teach = world.staff.teach.client;
    world.activity = await makeActivity(teach, "zones");
    world.challenge = await setChallenge(teach, world.activity, [world.a.id], { opens_on: day(-2, from), due_on: day(5, from), closes_on: day(20, from) });
    must(await world.first.put(`/api/v1/classes/${world.a.id}`, { readers: [world.staff.teach.id, world.staff.safeguarding.id] }), 200);
    world.pupil = world.a.pupils[0];
    world.otherPupil = world.b.pupils[0];
    const codeOf = (cards, pupil) => cards.find((c) => c.pupil.id === pupil.id).code;
    world.codes = { pupil: codeOf(world.cardsA, world.pupil), other_pupil: codeOf(world.cardsB, world.otherPupil),
        carer: codeOf(world.familyA, world.pupil), other_carer: codeOf(world.familyB, world.otherPupil) };
    const child = await signedIn(server.url, { card: world.codes.pupil });
    world.handIn = must(await child.post("/api/v1/hand-ins", { id: uuid7(), challenge: world.challenge.id,
        attempts: [{ throws: [0, 2, 5, 2], distance_mm: 3000 }, { throws: [2, 2, 5, 0], distance_mm: 3000 }, { value: 12, distance_mm: 3000 }] }), 201);
    must(await child.post("/api/v1/messages", { about: "hurt", where: "leg", still: false }), 201);
    world.message = must(await teach.get("/api/v1/messages"), 200).messages[0];
    world.child = child;
    return world;
}

/* A client signed in as this kind of person. */
export async function principal(world, name) {
    if (name === "anon") {
        return new Client(world.url);
    }
    if (world.codes[name]) {
        return signedIn(world.url, { card: world.codes[name] });
    }
    return world.staff[name].again();
}

export { must };
