/* SPDX-License-Identifier: MIT
 * Coming in: the card's letters on a pad of 19 keys (a keyboard works too), "Are you ...?", Finish. */

import { el, announce, fill, banner } from "../dom.js";
import { picture, pictureName } from "../pictures.js";
import { CARD_LETTERS, cleanCode, spacedCode, mayBeCard, signIn } from "../session.js";
import { t, language, languageRow } from "../msg.js";
import { errorWords, codeWords } from "../words.js";
import { state, forgetChild, kids } from "./state.js";
import { unsent } from "./drafts.js";
import { forget, remove } from "./store.js";
import { held } from "./queue.js";
import { cameWithoutServer, comeOn, leave } from "./offline.js";
import { register, go, swap, next, second, plain, goBack } from "./screens.js";

const WAIT_MS = 8000; /* for an answer, where the device could do without */

/* Other tabs of this browser now belong to whoever came in here: they ask again. Keeps nothing. */
const TURN = "thrice.turn";

function sayTurn() {
    try {
        window.localStorage.setItem(TURN, "1");
        window.localStorage.removeItem(TURN);
    } catch (e) {
        return;
    }
}

window.addEventListener("storage", (event) => {
    if (event.key === TURN && event.newValue && state.session && !state.session.offline) {
        window.history.replaceState(null, "");
        window.location.reload();
    }
});

/* After a sign-in, by card or by QR code. */
export function cameIn(session) {
    sayTurn();
    remove("out");
    if (session.role === "carer") {
        window.location.assign("/c");
        return;
    }
    if (session.role === "staff") {
        window.location.assign("/staff");
        return;
    }
    forgetChild();
    state.session = session;
    swap("who", {});
}

function signInWords(error) {
    const item = error.errors[0];
    if (error.status === 422 && item) {
        return codeWords(item);
    }
    return errorWords(error, "child");
}

function cardScreen() {
    const says = el("div", { "aria-live": "polite" });
    const say = (words) => {
        fill(says, words ? banner("careful", el("p", null, words)) : null);
    };
    const input = el("input", {
        type: "text",
        id: "card",
        class: "code-line",
        autocomplete: "off",
        autocapitalize: "characters",
        spellcheck: "false",
        inputmode: "none",
        maxlength: "24",
        "aria-describedby": "card-hint"
    });
    const write = (typed) => {
        const { letters, refused } = cleanCode(typed);
        input.value = spacedCode(letters.slice(0, 13));
        say(refused === null ? "" : t("card.refused", { letter: refused }));
    };
    input.addEventListener("input", () => write(input.value));
    const key = (letter) =>
        el(
            "button",
            {
                class: "pad-key",
                type: "button",
                onclick: () => {
                    write(input.value + letter);
                    announce(letter);
                }
            },
            letter
        );
    const rub = el(
        "button",
        {
            class: "pad-key pad-back",
            type: "button",
            onclick: () => {
                const { letters } = cleanCode(input.value);
                input.value = spacedCode(letters.slice(0, -1));
                say("");
                announce(t("card.rubbed"));
            }
        },
        t("card.rub")
    );
    let busy = false;
    const send = async (event) => {
        event.preventDefault();
        const { letters } = cleanCode(input.value);
        if (letters.length !== 9 && letters.length !== 13) {
            say(
                letters.length ? t("card.count", { n: letters.length }) : t("card.tap")
            );
            return;
        }
        if (busy) {
            return;
        }
        busy = true;
        const mayStay = letters.length === 9 && kids().length > 0;
        say("");
        try {
            cameIn(await signIn({ card: spacedCode(letters) }, mayStay ? WAIT_MS : 0));
        } catch (error) {
            if (!error.offline || !mayStay) {
                say(signInWords(error));
            } else if (mayBeCard(letters)) {
                input.value = "";
                cameWithoutServer();
            } else {
                say(t("code.check_letter"));
            }
        } finally {
            busy = false;
        }
    };
    const form = el(
        "form",
        { onsubmit: send, novalidate: true },
        el("label", { for: "card", class: "lead" }, t("card.tap")),
        el("p", { class: "hint", id: "card-hint" }, t("card.nine")),
        input,
        says,
        el(
            "div",
            { class: "pad", role: "group", "aria-label": t("card.letters") },
            Array.from(CARD_LETTERS).map(key),
            rub
        ),
        el("div", { class: "next" }, el("button", { class: "button", type: "submit" }, t("card.go")))
    );
    const waits = state.after
        ? el("p", null, t("card.waits"))
        : null;
    return {
        title: t(state.after ? "card.again" : "card.title"),
        nodes: [
            waits,
            form,
            el("p", { class: "link" }, el("a", { href: "/quick?lang=" + language() }, t("card.plain"))),
            el(
                "p",
                { class: "link" },
                el("a", { href: "/c" }, t("card.family"))
            ),
            el(
                "p",
                { class: "link" },
                el("a", { href: "/privacy#child" }, t("card.privacy"))
            ),
            languageRow(() => swap("card", {}))
        ]
    };
}

/* How many challenges of this child are not sent, half-made ones too. */
function waits(pupil) {
    return unsent(pupil).length + held(pupil).length;
}

function whoScreen() {
    const session = state.session;
    if (!session) {
        return cardScreen();
    }
    const yes = () => {
        state.confirmed = true;
        comeOn();
    };
    const no = async () => {
        const kept = waits(session.pupil);
        if (!kept) {
            await forget(session.pupil); /* what waits to be sent is another child's: it stays */
        }
        if (!(await leave())) {
            state.notice = { kind: "careful", words: t("who.offline") };
        } else if (kept) {
            state.notice = { kind: "careful", words: t("offline.others", { n: kept }) };
        }
        swap("card", {});
    };
    return {
        title: t("who.title", { name: session.display_name }),
        nodes: [
            el(
                "div",
                { class: "who" },
                picture(session.picture, "card-picture"),
                el(
                    "p",
                    null,
                    t("who.picture", { picture: pictureName(session.picture) })
                )
            )
        ].concat([next(t("who.yes"), yes, second(t("who.no"), no))])
    };
}

function finishScreen() {
    const { pupil } = state.session;
    const n = waits(pupil);
    const done = async () => {
        await forget(pupil);
        const ended = await leave();
        state.notice = {
            kind: ended ? "good" : "careful",
            words: t("finish.done") + (ended ? "" : " " + t("finish.offline"))
        };
        swap("card", {});
    };
    const stop = async () => {
        const ended = await leave();
        state.notice = {
            kind: "good",
            words: t("offline.stopped") + (ended ? "" : " " + t("finish.offline"))
        };
        swap("card", {});
    };
    const keep = t("offline.stop");
    if (!n) {
        return {
            title: t("finish.title"),
            nodes: [
                el("p", { class: "lead" }, t("finish.forgets")),
                next(t("finish.yes"), done, second(t("finish.not_yet"), goBack)),
                plain(keep, stop)
            ]
        };
    }
    return {
        title: t("finish.wait"),
        nodes: [
            banner(
                "careful",
                el("p", null, el("strong", null, t("finish.waiting", { n }))),
                el("p", null, t("finish.lost"))
            ),
            next(
                t("finish.send"),
                () => go(held(pupil).length ? "held" : "today"),
                second(keep, stop),
                second(t("finish.not_yet"), goBack),
                plain(t("finish.lose"), done)
            )
        ]
    };
}

register("card", cardScreen, { open: true });
register("who", whoScreen, { open: true });
register("finish", finishScreen);
