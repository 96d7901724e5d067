/* SPDX-License-Identifier: MIT
 * The pupil's page starts here: the QR key first (and out of the address), then whoever is signed in. */

import { onSignedOut } from "../api.js";
import { el } from "../dom.js";
import { current, signIn, takeKey, onKey, reloadWhenBroughtBack } from "../session.js";
import { t, speak, keptLanguage, language } from "../msg.js";
import { errorWords } from "../words.js";
import { state, forgetChild, kids } from "./state.js";
import { register, swap, showHere, here, next } from "./screens.js";
import { cameIn } from "./card.js";
import { openStore } from "./store.js";
import { endOld, sendByItself } from "./offline.js";
import { keepPage } from "./shell.js";

register(
    "trouble",
    (args) => ({
        title: t(args.error && args.error.offline ? "trouble.offline" : "trouble.title"),
        nodes: [
            el("p", { class: "lead" }, errorWords(args.error || {}, "child")),
            next(t("trouble.again"), args.again),
            args.plain
                ? el("p", { class: "link" }, el("a", { href: "/quick?lang=" + language() }, t("card.plain")))
                : null
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

async function useKey(key) {
    try {
        cameIn(await signIn({ key }));
    } catch (error) {
        state.notice = {
            kind: "careful",
            words:
                error.status === 401
                    ? t("card.old")
                    : errorWords(error, "child")
        };
        swap("card", {});
    }
}

async function start() {
    const key = takeKey(); /* first of all: out of the address */
    try {
        await speak(keptLanguage());
    } catch (error) {
        return; /* no words came: the page as it stands leads to the plain form */
    }
    const lost = await openStore();
    if (lost) {
        state.notice = { kind: "careful", words: t("store.old") };
    }
    sendByItself();
    if (key) {
        await useKey(key);
        return;
    }
    let session = null;
    try {
        await endOld();
        session = await current(kids().length ? WAIT_MS : 0);
    } catch (error) {
        const card = error.offline && kids().length;
        const words = card ? t("offline.card") : errorWords(error, "child");
        state.notice = { kind: "careful", words: (lost ? t("store.old") + " " : "") + words };
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

reloadWhenBroughtBack();
onKey(useKey);
start();
keepPage();
