/* SPDX-License-Identifier: MIT
 * Sends what the hall's page has kept. Every hand-in and every mark has an id of its own, made before
 * the first attempt to send, so that what arrived without an answer is stored once. Sent only in a session
 * of the member of staff who made it. What the server refuses is kept with the reason, to be looked at.
 *
 * sender({staff, told(status)}): {now(), soon(), stop()}; status {waiting, making, refused, error}. */

import { post } from "../api.js";
import { deviceDay } from "../words.js";
import { items, keepItem, dropItem } from "./hall-kept.js";

const AGAIN_S = [3, 5, 10, 20, 30];
const AT_ONCE = 50;
const MARKS_MOST_S = 35 * 86400;

const maybeLater = (error) => error.offline || error.status === 429 || error.status >= 500;

const goes = (item) => !item.why && (item.type === "mark" || item.ready);

export function status(mine, error) {
    return { waiting: mine.filter(goes).length, making: mine.filter((i) => i.type === "tries" && !i.ready).length, refused: mine.filter((i) => i.why), error: error || null };
}

function ago(item) {
    return Math.min(Math.max(0, Math.round((Date.now() - item.at) / 1000)), MARKS_MOST_S);
}

function markBody(item) {
    return { id: item.id, ago_s: ago(item), pupil: item.pupil, cue: item.cue, seen: item.seen };
}

function triesBody(item) {
    const { body } = item;
    return item.noDay ? body : { ...body, done_on: deviceDay(new Date(item.at)) };
}

const codeOf = (error, name) => error.slug === name || Boolean(error.code && error.code(name));

/* The server's day is another: a tablet whose clock is ahead. Its own today counts then. */
async function sendTries(item) {
    try {
        await post("/challenges/" + item.challenge + "/hand-ins", triesBody(item));
    } catch (error) {
        if (item.noDay || !codeOf(error, "in_future")) {
            throw error;
        }
        await keepItem({ ...item, noDay: true });
        await sendTries({ ...item, noDay: true });
    }
}

/* Why it stays, in a form that can be kept. */
function reason(error) {
    return { slug: error.slug, status: error.status, title: error.title, errors: error.errors };
}

async function refusedOrThrown(item, error) {
    if (error.status === 401 || maybeLater(error) || !error.status) {
        throw error;
    }
    await keepItem({ ...item, why: reason(error) });
}

async function sendOne(item) {
    try {
        if (item.type === "mark") {
            await post("/units/" + item.unit + "/seen", { marks: [markBody(item)] });
        } else {
            await sendTries(item);
        }
    } catch (error) {
        await refusedOrThrown(item, error);
        return;
    }
    await dropItem(item.id);
}

/* Marks of one unit go together, the last of each child and teaching point; all are stored or none, so
 * after a refusal each goes alone. */
async function sendMarks(marks) {
    const seen = new Set();
    const batch = [];
    for (const m of marks) {
        const about = m.pupil + " " + m.cue;
        if (m.unit === marks[0].unit && !seen.has(about) && batch.length < AT_ONCE) {
            seen.add(about);
            batch.push(m);
        }
    }
    try {
        await post("/units/" + batch[0].unit + "/seen", { marks: batch.map(markBody) });
    } catch (error) {
        if (error.status === 401 || maybeLater(error) || !error.status) {
            throw error;
        }
        for (const m of batch) {
            await sendOne(m);
        }
        return;
    }
    for (const m of batch) {
        await dropItem(m.id);
    }
}

export function sender({ staff, told }) {
    let busy = false;
    let timer = 0;
    let failed = 0;
    let over = false;

    async function tell(error) {
        const mine = await items(staff);
        told(status(mine, error));
    }

    const later = (ms) => {
        window.clearTimeout(timer);
        timer = over ? 0 : window.setTimeout(round, ms);
    };

    async function all() {
        for (let mine = (await items(staff)).filter(goes); mine.length && !over; mine = (await items(staff)).filter(goes)) {
            if (mine[0].type === "mark") {
                await sendMarks(mine.filter((i) => i.type === "mark"));
            } else {
                await sendOne(mine[0]);
            }
            await tell();
        }
    }

    async function round() {
        if (busy || over) {
            return;
        }
        busy = true;
        let error = null;
        try {
            await all();
            failed = 0;
        } catch (e) {
            error = e;
        }
        busy = false;
        await tell(error);
        if (error && error.status !== 401) {
            later(Math.max(AGAIN_S[Math.min(failed, AGAIN_S.length - 1)], error.retryAfter || 0) * 1000);
            failed += 1;
        }
    }

    window.addEventListener("online", () => later(0));
    return {
        now: () => later(0),
        /* Something was made: it goes now, unless nobody answered a moment ago. */
        soon: () => !failed && later(0),
        stop() {
            over = true;
            window.clearTimeout(timer);
        }
    };
}
