/* SPDX-License-Identifier: MIT
 * Asks the browser to keep the page for days with no connection (web/sw.js). The one Trusted Types
 * policy that the server allows is made here and can only ever name that one file. */

const WORKER = "/sw.js";

function workerAddress() {
    if (!window.trustedTypes) {
        return WORKER;
    }
    return window.trustedTypes
        .createPolicy("sw", { createScriptURL: () => WORKER })
        .createScriptURL("");
}

export function keepPage() {
    if (!navigator.serviceWorker) {
        return;
    }
    try {
        navigator.serviceWorker.register(workerAddress()).catch(() => undefined);
    } catch (e) {
        return; /* forbidden here: the page works, but only with a connection */
    }
}
