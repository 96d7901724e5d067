/* SPDX-License-Identifier: MIT
 * Coming in: the card's letters on a pad of 19 keys (a keyboard works too), "Are you ...?", Finish. */

import { el, announce, fill, banner } from "../dom.js";
import { picture, pictureName } from "../pictures.js";
import { CARD_LETTERS, cleanCode, spacedCode, signIn, signOut } from "../session.js";
import { errorWords, codeWords, plural } from "../words.js";
import { state, forgetChild } from "./state.js";
import { unsent, dropAll } from "./drafts.js";
import { register, go, swap, next, second, plain, goBack } from "./screens.js";

/* After a sign-in, by card or by QR code. */
export function cameIn(session) {
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
        say(refused === null ? "" : "That letter is not on any card: " + refused);
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
                announce("rubbed out");
            }
        },
        "Rub out"
    );
    let busy = false;
    const send = async (event) => {
        event.preventDefault();
        const { letters } = cleanCode(input.value);
        if (letters.length !== 9 && letters.length !== 13) {
            say(
                letters.length
                    ? "Your card has nine letters. You have " + letters.length + "."
                    : "Tap the letters on your card."
            );
            return;
        }
        if (busy) {
            return;
        }
        busy = true;
        say("");
        try {
            cameIn(await signIn({ card: spacedCode(letters) }));
        } catch (error) {
            say(signInWords(error));
        } finally {
            busy = false;
        }
    };
    const form = el(
        "form",
        { onsubmit: send, novalidate: true },
        el("label", { for: "card", class: "lead" }, "Tap the letters on your card."),
        el("p", { class: "hint", id: "card-hint" }, "There are nine letters."),
        input,
        says,
        el(
            "div",
            { class: "pad", role: "group", "aria-label": "Letters" },
            Array.from(CARD_LETTERS).map(key),
            rub
        ),
        el("div", { class: "next" }, el("button", { class: "button", type: "submit" }, "Go"))
    );
    const waits = state.after
        ? el("p", null, "Your numbers are safe. They wait for your card.")
        : null;
    return {
        title: state.after ? "Your card again" : "Hello",
        nodes: [
            waits,
            form,
            el("p", { class: "link" }, el("a", { href: "/quick" }, "Use the plain form")),
            el(
                "p",
                { class: "link" },
                el("a", { href: "/c" }, "I am a grown-up with a family card")
            ),
            el(
                "p",
                { class: "link" },
                el("a", { href: "/privacy#child" }, "What happens to my tries?")
            )
        ]
    };
}

function whoScreen() {
    const session = state.session;
    if (!session) {
        return cardScreen();
    }
    const yes = () => {
        state.confirmed = true;
        const after = state.after;
        state.after = null;
        if (after && after.pupil === session.pupil && after.screen) {
            swap(after.screen.screen, after.screen.args);
        } else {
            swap("today", {});
        }
    };
    const no = async () => {
        try {
            await signOut();
        } catch (error) {
            state.notice = {
                kind: "careful",
                words: "The internet is not working. Close this page now."
            };
        }
        forgetChild();
        swap("card", {});
    };
    return {
        title: "Are you " + session.display_name + "?",
        nodes: [
            el(
                "div",
                { class: "who" },
                picture(session.picture, "card-picture"),
                el(
                    "p",
                    null,
                    "Your card has a picture: ",
                    el("strong", null, pictureName(session.picture)),
                    "."
                )
            )
        ].concat([next("Yes", yes, second("No, not me", no))])
    };
}

function finishScreen() {
    const waiting = unsent(state.session.pupil);
    const says = el("div", { "aria-live": "assertive" });
    const done = async () => {
        const pupil = state.session.pupil;
        try {
            await signOut();
        } catch (error) {
            fill(
                says,
                banner(
                    "careful",
                    el(
                        "p",
                        null,
                        "The internet is not working. Your page is still open at school."
                    ),
                    el("p", null, "Try again soon, or ask a grown-up.")
                )
            );
            return;
        }
        dropAll(pupil);
        forgetChild();
        state.after = null;
        state.notice = { kind: "good", words: "All done. This device has forgotten you." };
        swap("card", {});
    };
    if (!waiting.length) {
        return {
            title: "Finish?",
            nodes: [
                el("p", { class: "lead" }, "This device will forget you."),
                says,
                next("Yes, finish", done, second("Not yet", goBack))
            ]
        };
    }
    return {
        title: "Wait!",
        nodes: [
            banner(
                "careful",
                el(
                    "p",
                    null,
                    el(
                        "strong",
                        null,
                        plural(waiting.length, "challenge is", "challenges are") + " not sent yet."
                    )
                ),
                el("p", null, "If you finish now, those tries are lost.")
            ),
            says,
            next(
                "Go and send them",
                () => go("today"),
                second("Not yet", goBack),
                plain("Finish and lose them", done)
            )
        ]
    };
}

register("card", cardScreen, { open: true });
register("who", whoScreen, { open: true });
register("finish", finishScreen);
