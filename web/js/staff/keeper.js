/* SPDX-License-Identifier: MIT
 * Keeps marks as they are tapped: a mark waits a moment (a second tap replaces the first), is sent,
 * and stays in the queue until the server has said yes. No answer is tried again for as long as the
 * page is open; a refusal is handed back with its reason. Nothing is called saved before it is.
 *
 * When the session ends, what waits is handed on and nothing more is sent from this page.
 *
 * keeper({batch(changes), send(changes), refused(change, error), told(status), ended(changes)})
 *   batch     of the changes that wait, those that go in one request (at least the first)
 *   send      a promise; the request
 *   refused   the change cannot be stored
 *   ended     the session is over and these are not stored
 *   told      {waiting, saving, error, seconds}: for the line that says how things stand
 * A change is any object with a .key; a later one of the same key takes the place of an earlier. */

import { beforeSignIn } from "./shell.js";

const TAP_MS = 400;
const AGAIN_S = [2, 5, 10, 20, 30];

function maybeLater(error) {
    return error.offline || error.status === 429 || error.status >= 500;
}

export function keeper({ batch, send, refused, told, ended }) {
    const waiting = new Map();
    let busy = false;
    let timer = 0;
    let failed = 0;
    let trouble = null;
    let over = false;

    const tell = (seconds) => told({ waiting: waiting.size, saving: busy, error: trouble, seconds: seconds || 0 });
    const later = (ms) => {
        window.clearTimeout(timer);
        timer = window.setTimeout(flush, ms);
    };

    function done(changes) {
        failed = 0;
        trouble = null;
        changes.forEach((c) => {
            if (waiting.get(c.key) === c) {
                waiting.delete(c.key);
            }
        });
    }

    function turnedDown(changes, error) {
        if (changes.length > 1) {       /* which of them it was shows when each goes alone */
            changes.forEach((c) => {
                c.alone = true;
            });
            return;
        }
        done(changes);
        refused(changes[0], error);
    }

    async function flush() {
        if (busy || over || !waiting.size) {
            return;
        }
        const all = Array.from(waiting.values());
        const changes = all[0].alone ? [all[0]] : batch(all.filter((c) => !c.alone));
        busy = true;
        tell();
        let wait = 0;
        try {
            await send(changes);
            done(changes);
        } catch (error) {
            if (error.status === 401) {
                trouble = error;
            } else if (maybeLater(error)) {
                trouble = error;
                wait = Math.max(AGAIN_S[Math.min(failed, AGAIN_S.length - 1)], error.retryAfter || 0);
                failed += 1;
            } else {
                turnedDown(changes, error);
            }
        }
        busy = false;
        tell(wait);
        if (waiting.size && !over) {
            later(wait * 1000);
        }
    }

    beforeSignIn(() => {
        over = true;
        if (waiting.size) {
            ended(Array.from(waiting.values()));
        }
    });
    window.addEventListener("online", () => later(0));
    document.addEventListener("visibilitychange", () => document.visibilityState === "hidden" && later(0));
    window.addEventListener("beforeunload", (event) => {
        if (waiting.size && !over) {
            event.preventDefault();
            event.returnValue = "";
        }
    });

    return {
        put(change) {
            waiting.delete(change.key);
            waiting.set(change.key, change);
            tell();
            if (!failed) {
                later(TAP_MS);
            }
        },
        now() {
            later(0);
        },
        unsaved(key) {
            return waiting.has(key);
        },
        inTrouble() {
            return Boolean(trouble);
        }
    };
}
