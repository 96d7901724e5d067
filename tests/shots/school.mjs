/* SPDX-License-Identifier: MIT
 * An invented school with something of every kind for the pictures: starters (whose words are in all
 * languages), zones in a row, rings, centimetres; a class that has nothing, a family of two. */

import { startBehindRelay } from "../lib/cut.mjs";
import { signedIn } from "../lib/client.mjs";
import { ACTIVITIES, makeActivity, makeCards, makeClass, makeStaff, must, setChallenge, day } from "../lib/world.mjs";

const STRIPS = { ...ACTIVITIES.zones, name: "Path slide", summary: "Slide a sock along a path of towels. See which towel it stops on.",
    zones: [{ name: "near towel", points: 1 }, { name: "middle towel", points: 3 }, { name: "far towel", points: 5 }, { name: "miss", points: 0 }] };
const RINGS = { ...ACTIVITIES.zones, name: "Ring roll", summary: "Roll a soft ball to stop in the rings.",
    zones: [{ name: "small ring", points: 5 }, { name: "middle ring", points: 3 }, { name: "big ring", points: 1 }, { name: "miss", points: 0 }] };
const LONG = { ...ACTIVITIES.measure, name: "Seated reach", unit: "mm", resolution: 10, hard_low: 10, hard_high: 3000, soft_low: 100, soft_high: 1500,
    summary: "Reach as far as you can, sitting.", versions: [{ kind: "standard", how: "Sit. Reach along the ruler.", band_lines: [300, 600] }] };

export const STARTERS = { zones: "Slide to the mat", successes: "Gate roll", timed_count: "Half-minute skips", measure: "Heron stand" };

export async function startShotSchool() {
    const school = await startBehindRelay();
    const first = await signedIn(school.url, school.account);
    await first.get("/api/v1/session");
    must(await first.put("/api/v1/school", { terms: [{ name: "Autumn term", starts_on: day(-60), ends_on: day(60) }] }), 200);
    const world = { first, url: school.url };
    const klass = await makeClass(world, "3 Alder", ["Ondi", "Perrin", "Quill"]);
    const none = await makeClass(world, "4 Birch", ["Rafe"]);
    const one = await makeClass(world, "2 Rowan", ["Sunniva"]);
    const all = must(await first.get("/api/v1/activities"), 200).activities;
    const started = (name) => all.find((a) => a.name === name);
    const challenges = {};
    for (const [kind, name] of Object.entries(STARTERS)) {
        challenges[kind] = await setChallenge(first, started(name), [klass.id]);
    }
    await setChallenge(first, started(STARTERS.measure), [one.id]);
    for (const [name, [kind, made]] of Object.entries({ strips: ["zones", STRIPS], rings: ["zones", RINGS], long: ["measure", LONG] })) {
        challenges[name] = await setChallenge(first, await makeActivity(first, kind, made), [klass.id]);
    }
    const cards = await makeCards(world, klass.id, "pupil");
    const [noneCard] = await makeCards(world, none.id, "pupil");
    const [oneCard] = await makeCards(world, one.id, "pupil");
    const family = await makeCards(world, klass.id, "family");
    return { school, first, klass, challenges, cards, noneCard, oneCard, family, world };
}

/* From here on children may tell: two members of staff read what they tell. */
export async function turnMessagesOn(s) {
    const two = [await makeStaff(s.world, "Tamsin", [], [{ class: s.klass.id, right: "teach" }]), await makeStaff(s.world, "Sable", ["safeguarding"])];
    must(await s.first.put(`/api/v1/classes/${s.klass.id}`, { readers: two.map((p) => p.id) }), 200);
}
