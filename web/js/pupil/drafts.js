/* SPDX-License-Identifier: MIT
 * Unsent tries. Kept in this tab's storage under the child's opaque id and the challenge's id, as
 * numbers only, from the first tap until the server has acknowledged them. The id of a hand-in is
 * made here, so that sending twice stores once. */

const STEM = "thrice.tries.";

function key(pupil, challenge) {
    return STEM + pupil + "." + challenge;
}

/* RFC 9562, version 7: 48 bits of time, then chance. */
export function uuid7() {
    const bytes = new Uint8Array(16);
    window.crypto.getRandomValues(bytes);
    let time = Date.now();
    for (let i = 5; i >= 0; i -= 1) {
        bytes[i] = time % 256;
        time = Math.floor(time / 256);
    }
    bytes[6] = 0x70 + (bytes[6] % 16);
    bytes[8] = 0x80 + (bytes[8] % 64);
    const hex = Array.from(bytes)
        .map((b) => (b < 16 ? "0" : "") + b.toString(16))
        .join("");
    return [
        hex.slice(0, 8),
        hex.slice(8, 12),
        hex.slice(12, 16),
        hex.slice(16, 20),
        hex.slice(20)
    ].join("-");
}

/* When storage is full or forbidden, memory has to do. */
const memory = {};

function write(name, text) {
    memory[name] = text;
    try {
        window.sessionStorage.setItem(name, text);
    } catch (e) {
        return;
    }
}

function readRaw(name) {
    try {
        return window.sessionStorage.getItem(name) || memory[name] || null;
    } catch (e) {
        return memory[name] || null;
    }
}

function remove(name) {
    delete memory[name];
    try {
        window.sessionStorage.removeItem(name);
    } catch (e) {
        return;
    }
}

function names() {
    const found = Object.keys(memory);
    try {
        for (let i = 0; i < window.sessionStorage.length; i += 1) {
            const name = window.sessionStorage.key(i);
            if (name.startsWith(STEM) && found.indexOf(name) < 0) {
                found.push(name);
            }
        }
    } catch (e) {
        return found;
    }
    return found;
}

export function loadDraft(pupil, challenge) {
    const text = readRaw(key(pupil, challenge));
    if (!text) {
        return null;
    }
    try {
        const draft = JSON.parse(text);
        return draft && Array.isArray(draft.attempts) ? draft : null;
    } catch (e) {
        return null;
    }
}

export function newDraft(challenge, version, attempts) {
    return {
        id: uuid7(),
        challenge,
        version,
        attempts: new Array(attempts).fill(null),
        at: 0,
        done_on: null,
        cues: [],
        answers: {},
        felt: null,
        setup: {},
        confirmed: false,
        sent_once: false
    };
}

export function saveDraft(pupil, draft) {
    write(key(pupil, draft.challenge), JSON.stringify(draft));
}

export function dropDraft(pupil, challenge) {
    remove(key(pupil, challenge));
}

function holds(attempt) {
    return (
        attempt !== null &&
        (attempt.way === "throws"
            ? attempt.throws.length > 0
            : attempt.value !== null && attempt.value !== undefined)
    );
}

export function hasTries(draft) {
    return Boolean(draft) && draft.attempts.some(holds);
}

/* The child's drafts that hold tries. */
export function unsent(pupil) {
    const stem = STEM + pupil + ".";
    return names()
        .filter((name) => name.startsWith(stem))
        .map((name) => loadDraft(pupil, name.slice(stem.length)))
        .filter(hasTries);
}

export function dropAll(pupil) {
    const stem = STEM + pupil + ".";
    names()
        .filter((name) => name.startsWith(stem))
        .forEach(remove);
}

/* A change after a send whose answer never came: it may be stored already, so this is another one. */
export function touch(draft) {
    if (draft.sent_once) {
        draft.id = uuid7();
        draft.sent_once = false;
    }
}
