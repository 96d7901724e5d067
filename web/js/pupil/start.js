/* SPDX-License-Identifier: MIT
 * Everything behind the card begins: what the device keeps, then a QR key or whoever is signed in. */

import { onSignedOut } from "../api.js";
import { el } from "../dom.js";
import { current, signIn } from "../session.js";
import { t } from "../msg.js";
import { errorWords } from "../words.js";
import { state, forgetChild, kids } from "./state.js";
import { hooks } from "./door.js";
import { register, swap, adopt, showHere, here, next } from "./screens.js";
import { cameIn, signInWords } from "./card.js";
import { openStore, read } from "./store.js";
import { endOld, sendByItself } from "./offline.js";

register(
    "trouble",
    (args) => ({
        title: t(args.error && args.error.offline ? "trouble.offline" : "trouble.title"),
        nodes: [
            el("p", { class: "lead" }, errorWords(args.error || {}, "childerror.")),
            next(t("trouble.again"), args.again)
        ]
    }),
    { open: true }
);

onSignedOut(() => {
    if (!state.session) {
        return;
    }
    const pupil = state.session.pupil;
    const was = here();
    forgetChild();
    state.after = { pupil, screen: was };
    state.notice = { kind: "careful", words: t("card.time") };
    swap("card", {});
});

const WAIT_MS = 8000; /* for the server, where the device could do without */

async function useKey() {
    const { key } = hooks;
    hooks.key = null;
    if (!key) {
        return;
    }
    try {
        cameIn(await signIn({ key }));
    } catch (error) {
        state.notice = { kind: "careful", words: signInWords(error) };
        swap("card", {});
    }
}

/* Asks the browser to keep the page for days with no connection (web/sw.js). The one Trusted Types
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

function keepPage() {
    if (!navigator.serviceWorker) {
        return;
    }
    try {
        navigator.serviceWorker.register(workerAddress()).catch(() => undefined);
    } catch (e) {
        return; /* forbidden here: the page works, but only with a connection */
    }
}

/* Who is signed in, or null; what went wrong stands on the card's screen. */
async function whoIsIn(lost) {
    try {
        if (read("out")) {
            await endOld();
            return await current(kids().length ? WAIT_MS : 0);
        }
        return await hooks.session;
    } catch (error) {
        const card = error.offline && kids().length;
        const words = card ? t("offline.card") : errorWords(error, "childerror.");
        state.notice = { kind: "careful", words: (lost ? t("store.old") + " " : "") + words };
        return null;
    }
}

export async function begin() {
    const lost = await openStore();
    if (lost) {
        state.notice = { kind: "careful", words: t("store.old") };
    }
    hooks.useKey = useKey;
    sendByItself();
    keepPage();
    if (hooks.key) {
        return; /* main.js hands it over now */
    }
    if (hooks.shown) {
        endOld().catch(() => undefined);
        adopt("card");
        return;
    }
    const session = await whoIsIn(lost);
    if (hooks.scanned) {
        return;
    }
    if (session && session.role === "pupil") {
        state.session = session;
        const was = here();
        state.confirmed = Boolean(was && was.pupil && was.screen !== "who");
        if (state.confirmed) {
            showHere();
        } else {
            swap("who", {});
        }
        return;
    }
    swap("card", {});
}
