/* SPDX-License-Identifier: MIT
 * What the pupil's page knows while it is open: the session, the challenges fetched, what was ticked
 * in "Ready?". Only unsent tries are kept on the device (drafts.js), never a name or a best. */

import { get } from "../api.js";
import { deviceDay } from "../words.js";

export const state = {
    session: null /* GET /session, or null */,
    confirmed: false /* "Are you ...?" was answered yes */,
    today: null /* the school's day at the last look */,
    challenges: null /* of GET /me/challenges */,
    details: {} /* challenge id -> GET /me/challenges/{id} */,
    ready: {} /* challenge id -> true: the safety check was ticked; stored as nothing */,
    mistaken: {} /* hand-in id -> true: "I made a mistake" was said just now */,
    result: null /* the answer to the last hand-in, for the thank-you page */,
    after: null /* where to go once the card was put in again: {pupil, screen} */,
    notice: null /* {kind, words} shown once at the top of the next page */
};

let sameDay = true; /* this device's day is the school's */

export async function loadToday() {
    const answer = await get("/me/challenges");
    state.today = answer.today;
    sameDay = answer.today === deviceDay();
    state.challenges = answer.challenges;
    return answer.challenges;
}

export async function loadChallenge(id) {
    if (!state.today) {
        await loadToday();
    }
    if (!state.details[id]) {
        state.details[id] = await get("/me/challenges/" + encodeURIComponent(id));
    }
    return state.details[id];
}

/* The school's day now; the device's clock is believed only when it agreed. */
export function dayNow() {
    return sameDay ? deviceDay() : state.today;
}

/* Everything about this child goes from memory. */
export function forgetChild() {
    state.session = null;
    state.confirmed = false;
    state.today = null;
    state.challenges = null;
    state.details = {};
    state.ready = {};
    state.mistaken = {};
    state.result = null;
}

/* This version's own best: {value, distance_mm} or null; at `distanceMm` when given. */
export function bestFor(detail, version, distanceMm) {
    const mine = detail.bests.filter((b) => b.version === version);
    const here = mine.filter((b) => !distanceMm || !b.distance_mm || b.distance_mm === distanceMm);
    return here.length ? here[0] : null;
}
