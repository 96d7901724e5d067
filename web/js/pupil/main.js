/* SPDX-License-Identifier: MIT
 * The pupil's page starts here: the QR key first (and out of the address), then the card's letters,
 * or at once everything behind them where somebody is signed in or the page is on the device. */

import { current, takeKey, onKey, reloadWhenBroughtBack } from "../session.js";
import { onlyWords, speak, keptLanguage } from "../msg.js";
import { hooks, fetchRest, showDoor } from "./door.js";

const WAIT_MS = 8000; /* for the server, where the device could do without */

async function useKey(key) {
    hooks.key = key;
    hooks.scanned = true;
    await fetchRest();
    hooks.useKey();
}

async function start() {
    const worker = navigator.serviceWorker;
    const kept = Boolean(worker && worker.controller);
    hooks.key = takeKey(); /* first of all: out of the address */
    onlyWords("card");
    if (!hooks.key) {
        hooks.session = current(kept ? WAIT_MS : 0);
        hooks.session.catch(() => undefined);
    }
    try {
        await speak(keptLanguage());
    } catch (error) {
        return; /* no words came: the page as it stands leads to the plain form */
    }
    try {
        const known = hooks.key || kept || (await hooks.session.catch(() => null));
        if (hooks.scanned) {
            return;
        }
        await (known ? fetchRest() : showDoor());
        if (hooks.key) {
            hooks.useKey();
        }
    } catch (error) {
        showDoor(true);
    }
}

reloadWhenBroughtBack();
onKey((key) => useKey(key).catch(() => showDoor(true)));
start();
