/* SPDX-License-Identifier: MIT
 * Unsent tries, as numbers only, under the child's opaque id and the challenge's id, from the first
 * tap until they are sent (queue.js). The id of a hand-in is made with them, so that sending twice
 * stores once.
 *
 * With no connection nobody has shown a card that is theirs: what is made so stands apart (APART),
 * and what was made with the card is neither shown nor changed, only counted. */

import { uuid7 } from "../api.js";
import { read, write, remove, keys } from "./store.js";
import { state } from "./state.js";

export const APART = "~";

function key(pupil, challenge) {
    const apart = state.session && state.session.offline ? APART : "";
    return "draft/" + pupil + apart + "/" + challenge;
}

export function loadDraft(pupil, challenge) {
    const draft = read(key(pupil, challenge));
    return draft && Array.isArray(draft.attempts) ? draft : null;
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
        confirmed: false
    };
}

export function saveDraft(pupil, draft) {
    return write(key(pupil, draft.challenge), draft);
}

export function dropDraft(pupil, challenge) {
    return remove(key(pupil, challenge));
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
    return keys("draft/" + pupil + "/")
        .map(read)
        .filter((draft) => draft && Array.isArray(draft.attempts) && hasTries(draft));
}
