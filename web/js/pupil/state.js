/* SPDX-License-Identifier: MIT
 * What the pupil's page knows while it is open: the session, the challenges, what was ticked in
 * "Ready?". Challenges once fetched stay on the device (store.js) without what the child did, so that
 * they open with no connection; a child who came in that way sees those and asks the server nothing. */

import { get, ApiError } from "../api.js";
import { deviceDay, dayOf } from "../words.js";
import { pictureName } from "../pictures.js";
import { t } from "../msg.js";
import { read, write, remove, keys } from "./store.js";

const WAIT_MS = 8000; /* for an answer, where what is kept would do */
const DAY_MS = 86400000;

export const state = {
    session: null /* GET /session, or null; offline: {pupil, picture, from, offline: true, ...} */,
    confirmed: false /* "Are you ...?" was answered yes */,
    today: null /* the school's day at the last look */,
    challenges: null /* of GET /me/challenges */,
    old: null /* the day of what is shown, when it was not fetched just now */,
    details: {} /* challenge id -> GET /me/challenges/{id} */,
    ready: {} /* challenge id -> true: the safety check was ticked; stored as nothing */,
    mistaken: {} /* hand-in id -> true: "I made a mistake" was said just now */,
    result: null /* the answer to the last hand-in, for the thank-you page */,
    sent: false /* something went just now */,
    done: null /* the answer to what went last */,
    after: null /* where to go once the card was put in again: {pupil, screen} */,
    notice: null /* {kind, words} shown once at the top of the next page */
};

let skew = 0; /* days from this device's day to the school's */

/* The day of the school now, as far as this device can tell; never before a day that it has told. */
export function dayNow() {
    const day = deviceDay(new Date(Date.now() + skew * DAY_MS));
    return state.today > day ? state.today : day;
}

/* Children whose challenges are on this device. */
export function kids() {
    return keys("kid/")
        .map(read)
        .filter(Boolean);
}

/* Comes in with no connection by this picture; `kid` is whose challenges are shown. */
export function offlineSession(kid, pupil, picture) {
    return {
        role: "pupil",
        offline: true,
        pupil,
        from: kid.id,
        picture,
        display_name: pictureName(picture),
        class: null,
        family_can_see: null,
        messages: null
    };
}

/* Throws as if no answer had come: what this child asks for needs the server. */
export function needServer() {
    if (state.session.offline) {
        throw new ApiError({ slug: "offline", offline: true });
    }
}

function whose() {
    return state.session.from || state.session.pupil;
}

function missing(error) {
    return error.offline || error.status >= 500;
}

function detailKey(id) {
    return "detail/" + whose() + "/" + id;
}

/* No name, no best, nothing that was done. */
function keepList(answer) {
    const { pupil, picture } = state.session;
    const klass = state.session.class;
    const list = answer.challenges.map((c) => {
        const { id, number, name, summary, kind, unit, opens_at, due_at, closes_at } = c;
        return { id, number, name, summary, kind, unit, opens_at, due_at, closes_at };
    });
    const stem = "detail/" + pupil + "/";
    keys(stem)
        .filter((key) => !list.some((c) => stem + c.id === key))
        .forEach(remove);
    const day = answer.today;
    write("kid/" + pupil, { id: pupil, picture, class: klass && klass.id, skew, day, list });
}

function keepDetail(detail) {
    const { id, number, opens_at, due_at, closes_at, activity } = detail;
    const kept = { id, number, opens_at, due_at, closes_at, activity, hand_ins: [], bests: [] };
    return write(detailKey(id), kept);
}

/* Fetches what would be missing without a connection. */
async function keepDetails(session) {
    for (const { id } of state.challenges) {
        const kept = read(detailKey(id));
        if (!kept || Date.now() - kept.since > DAY_MS) {
            const detail = await get("/me/challenges/" + encodeURIComponent(id), { quiet: true });
            if (state.session !== session) {
                return;
            }
            await keepDetail(detail);
        }
    }
}

function showKept(kid) {
    skew = kid.skew;
    state.today = kid.day;
    state.today = dayNow();
    state.old = kid.day;
    state.challenges = kid.list.filter((c) => dayOf(c.closes_at) >= state.today);
    return state.challenges;
}

export async function loadToday() {
    const { session } = state;
    const kid = read("kid/" + whose());
    if (session.offline) {
        return showKept(kid || { skew: 0, day: dayNow(), list: [] });
    }
    let answer;
    try {
        answer = await get("/me/challenges", { wait: kid ? WAIT_MS : 0 });
    } catch (error) {
        if (!kid || !missing(error)) {
            throw error;
        }
        return showKept(kid);
    }
    if (state.session !== session) {
        return [];
    }
    state.today = answer.today;
    state.old = null;
    skew = Math.round((new Date(answer.today) - new Date(deviceDay())) / DAY_MS);
    state.challenges = answer.challenges;
    keepList(answer);
    keepDetails(session).catch(() => undefined);
    return answer.challenges;
}

export async function loadChallenge(id) {
    if (!state.today) {
        await loadToday();
    }
    if (state.details[id]) {
        return state.details[id];
    }
    const { session } = state;
    const kept = read(detailKey(id));
    try {
        needServer();
        const detail = await get("/me/challenges/" + encodeURIComponent(id), {
            wait: kept ? WAIT_MS : 0
        });
        if (state.session === session) {
            state.details[id] = detail;
            keepDetail(detail);
        }
        return detail;
    } catch (error) {
        if (!kept || !missing(error)) {
            throw error;
        }
        return kept;
    }
}

/* Who can see what is sent, for the child. */
export function familySees() {
    const { family_can_see: sees } = state.session;
    return sees === null ? t("offline.family_may") : sees ? t("today.family_sees") : null;
}

/* Everything about this child goes from memory. */
export function forgetChild() {
    state.session = null;
    state.confirmed = false;
    state.today = null;
    state.old = null;
    state.challenges = null;
    state.details = {};
    state.ready = {};
    state.mistaken = {};
    state.result = null;
    state.sent = false;
    state.done = null;
}

/* This version's own best: {value, distance_mm} or null; at `distanceMm` when given. */
export function bestFor(detail, version, distanceMm) {
    const mine = detail.bests.filter((b) => b.version === version);
    const here = mine.filter((b) => !distanceMm || !b.distance_mm || b.distance_mm === distanceMm);
    return here.length ? here[0] : null;
}
