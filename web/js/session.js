/* SPDX-License-Identifier: MIT
 * Coming in and going out. A key from a QR code stands behind the # of the address and is never sent
 * with it: takeKey() wipes it from the address before anything else happens, and only then may it be
 * posted. Nothing about a card is kept on the device. */

import { get, post, del, forgetToken, ApiError } from "./api.js";

/* The letters a card may have: no vowels, so no words; no look-alikes. */
export const CARD_LETTERS = "BCDFGHJKMNPRSTVWXYZ";
const LOOKS_LIKE = { 8: "B", 5: "S", 2: "Z", 6: "G", U: "V" };

/* {letters, refused}: what was typed as card letters, and the first sign that is on no card. */
export function cleanCode(typed) {
    let letters = "";
    let refused = null;
    for (const sign of String(typed).toUpperCase()) {
        const letter = LOOKS_LIKE[sign] || sign;
        if (CARD_LETTERS.indexOf(letter) >= 0) {
            letters += letter;
        } else if (!/[\s\-\u2010-\u2015._]/.test(sign) && refused === null) {
            refused = sign;
        }
    }
    return { letters, refused };
}

/* "BKTRMWHZV" -> "BKT RMW HZV"; 13 letters in three threes and a four. */
export function spacedCode(letters) {
    const parts = [];
    for (let at = 0; at < letters.length; at += 3) {
        parts.push(letters.slice(at, at + 3));
    }
    if (letters.length === 13) {
        const last = parts.pop();
        parts[parts.length - 1] += last;
    }
    return parts.join(" ");
}

/* A child's nine letters whose check letter is right: with weights 1 to 9 they sum to 0 modulo 19. */
export function mayBeCard(letters) {
    let sum = 0;
    for (let i = 0; i < letters.length; i += 1) {
        sum += (i + 1) * CARD_LETTERS.indexOf(letters[i]);
    }
    return letters.length === 9 && sum % 19 === 0;
}

/* The key of a QR code in the address, or null: 128 bits, so the last letter has two that are 0. The address is clean
 * afterwards. */
export function takeKey() {
    const found = /^#k=([A-Z2-7]{25}[AEIMQUY4])$/i.exec(window.location.hash);
    if (window.location.hash) {
        window.history.replaceState(
            window.history.state,
            "",
            window.location.pathname + window.location.search
        );
    }
    return found ? found[1] : null;
}

/* A card scanned while the page is open only changes what stands behind the #. */
export function onKey(fn) {
    window.addEventListener("hashchange", () => {
        const key = takeKey();
        if (key) {
            fn(key);
        }
    });
}

/* The session, or null when there is none. Throws only when the server cannot be reached. `wait`: ms.
 * `peek`: only to look; the page does not act for it. */
export async function current(wait, peek) {
    try {
        return await get("/session", { quiet: true, wait, peek });
    } catch (error) {
        if (error instanceof ApiError && error.status === 401) {
            return null;
        }
        throw error;
    }
}

/* way: {card} | {key} | {name, passphrase, one_time_code?} | card or key with {phrase}. */
export function signIn(way, wait) {
    return post("/session", way, { quiet: true, wait });
}

/* Ends the session at the server; with a token only the one that has it. One that has ended is as good. */
export async function signOut(csrf) {
    try {
        await del("/session", { quiet: true, csrf });
    } catch (error) {
        if (!(error instanceof ApiError) || error.status !== 401) {
            throw error;
        }
    } finally {
        if (!csrf) {
            forgetToken();
        }
    }
}

/* A page brought back from the browser's memory shows nothing of the last child: it loads anew. */
export function reloadWhenBroughtBack() {
    window.addEventListener("pageshow", (event) => {
        if (event.persisted) {
            window.location.reload();
        }
    });
}
