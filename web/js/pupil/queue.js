/* SPDX-License-Identifier: MIT
 * Tries on their way. From "Send" until the server has said that it has them they stand on the device
 * under the child for whom they were made, and go once: the server knows a hand-in by its id, and
 * takes it only with the token of that child's own session, so neither a second tab nor somebody else's
 * session can put them anywhere else. Tries made without a connection wait until the child whose
 * card the server has taken says that they are its own. */

import { get, post, sessionEnded, uuid7 } from "../api.js";
import { codeWords, deviceDay, errorWords } from "../words.js";
import { read, write, remove, keys, refresh } from "./store.js";
import { state } from "./state.js";
import { APART, loadDraft, saveDraft, hasTries, unsent, dropDraft } from "./drafts.js";

const LOCK_MS = 25000;
const AGAIN_S = 30;
const HOUR_S = 3600;
const DAY_MS = 86400000;

function all() {
    return keys("send/")
        .map(read)
        .filter(Boolean);
}

/* Without the card's letters a child is known by the picture and the class alone. */
export function unknownId(picture, klass) {
    return "p" + picture + "." + klass;
}

/* What this child has sent and the server has not: to send, or refused. */
export function held(pupil) {
    const offline = Boolean(state.session && state.session.offline);
    return all().filter((item) => item.pupil === pupil && (offline || !item.ask));
}

export function waiting(pupil) {
    return held(pupil).filter((item) => !item.why);
}

/* To be sent again by itself. A time further off than any pause is from a clock since put back. */
export function isDue(item) {
    const wait = item.next - Date.now();
    return wait <= 0 || wait > DAY_MS;
}

function stranger(session) {
    return session.class ? unknownId(session.picture, session.class.id) : null;
}

/* Made without a connection under this child's picture; to be asked about before they go. Half-made
 * tries wait until the child has none of its own there. */
export function asked(session) {
    const ids = [session.pupil, stranger(session)];
    return ids.reduce(
        (found, pupil) =>
            found.concat(
                unsent(pupil + APART)
                    .filter((draft) => !hasTries(loadDraft(session.pupil, draft.challenge)))
                    .map((draft) => ({ draft, pupil }))
            ),
        all().filter((item) => item.ask && ids.indexOf(item.pupil) >= 0)
    );
}

/* The child says whether they are its own. If not, anybody with that picture in that class is asked. */
export async function claim(session, yes) {
    for (const item of asked(session)) {
        if (item.body) {
            item.pupil = yes ? session.pupil : stranger(session);
            item.ask = !yes;
            await write("send/" + item.id, item);
        } else if (yes) {
            await saveDraft(session.pupil, item.draft);
            await dropDraft(item.pupil + APART, item.draft.challenge);
        }
    }
}

/* Puts a hand-in on its way; it is on the device when the promise is kept. */
export async function hold(detail, draft, body) {
    const { pupil, offline } = state.session;
    await write("send/" + body.id, {
        id: body.id,
        pupil,
        ask: Boolean(offline),
        body,
        draft,
        name: detail.activity.name,
        number: detail.number,
        next: 0,
        why: null
    });
    if (draft) {
        await dropDraft(pupil, detail.id);
    }
}

/* Back into the child's hands, as another hand-in: what was refused is stored nowhere. */
export async function takeBack(item) {
    item.draft.id = uuid7();
    await saveDraft(item.pupil, item.draft);
    await remove("send/" + item.id);
}

export function mayTakeBack(item) {
    return !item.draft || !hasTries(loadDraft(item.pupil, item.body.challenge));
}

export function letGo(item) {
    return remove("send/" + item.id);
}

/* What is kept of a failure. */
export function briefly({ status, slug, errors }) {
    return { status, slug, error: errors && errors[0] };
}

/* Why it was refused, or why it still waits. */
export function whyWords({ why, late }) {
    const said = why || late;
    return said.error && (said.status === 422 || said.error.pointer)
        ? codeWords(said.error)
        : errorWords(said, "childerror.");
}

/* Seconds to wait before it goes again, or null: the server has read it and will not have it. An
 * answer that names no problem is not this server's: something between here and there gave it. */
function pause(error) {
    if (/^enough.today$/.test(error.slug)) {
        return HOUR_S; /* until it is tomorrow */
    }
    if (error.offline || error.status === 401 || error.status === 403) {
        return 0; /* as soon as there is a connection, or the card */
    }
    const passes = !error.slug || error.code("in_future") || /408|429|5../.test(error.status);
    return passes ? Math.max(error.retryAfter, AGAIN_S) : null;
}

/* This device's clock was ahead when they were made: the day goes back by what the clock is out now,
 * and in no case is it a day that has not come. What was refused so is stored nowhere. */
async function mendDay(item) {
    const { today } = await get("/me/challenges", { quiet: true });
    const out = new Date(today) - new Date(deviceDay());
    const day = new Date(Date.parse(item.body.done_on) + out).toISOString().slice(0, 10);
    item.body.done_on = day < today ? day : today;
    item.mended = true;
}

async function sendOne(item, loud) {
    try {
        const now = await get("/session", { quiet: !loud, peek: true });
        if (now.pupil !== item.pupil) {
            if (loud) {
                sessionEnded({});
            }
            return { other: true };
        }
        const answer = await post("/hand-ins", item.body, { quiet: !loud, csrf: now.csrf_token });
        await remove("send/" + item.id);
        state.sent = true;
        state.done = answer;
        return { answer };
    } catch (error) {
        if (!error.errors) {
            throw error;
        }
        if (error.code("in_future") && !item.mended) {
            await mendDay(item).catch(() => undefined);
            if (item.mended) {
                return sendOne(item, loud);
            }
        }
        const wait = pause(error);
        item.next = Date.now() + (wait || 0) * 1000;
        item.late = briefly(error);
        if (wait === null) {
            item.why = item.late;
        }
        await write("send/" + item.id, item);
        return { error, item };
    }
}

async function round(loud) {
    const { session } = state;
    const results = {};
    await refresh();
    while (session && session === state.session && state.confirmed && !session.offline) {
        const item = waiting(session.pupil).find(
            (one) => !results[one.id] && (loud || isDue(one))
        );
        if (!item) {
            break;
        }
        const result = await sendOne(item, loud);
        results[item.id] = result;
        if (result.other || (result.error && result.error.offline)) {
            break;
        }
    }
    return results;
}

/* One tab at a time where the browser can see to it; where not, the same id twice is stored once. */
async function alone(work) {
    if (!navigator.locks) {
        return work();
    }
    const stop = new AbortController();
    const timer = window.setTimeout(() => stop.abort(), LOCK_MS);
    try {
        return await navigator.locks.request("thrice.send", { signal: stop.signal }, () => {
            window.clearTimeout(timer);
            return work();
        });
    } catch (error) {
        if (!stop.signal.aborted) {
            throw error;
        }
        return work();
    }
}

let last = Promise.resolve();

/* Sends what is due: {id: {answer} | {error, item}}. `loud`: the child asked, so all of it, and a
 * session that has ended asks for the card. */
export function flush(loud) {
    const mine = () => alone(() => round(loud));
    last = last.then(mine, mine);
    return last;
}
