/* SPDX-License-Identifier: MIT
 * The first page: the card's letters on a pad of 19 keys (a keyboard works too). Everything behind
 * the card (journey.js) is fetched at the first letter, so that this page is there soon on any phone;
 * it says in `hooks` what to do with a card. */

import { el, announce, fill, banner, byId, focusOn } from "../dom.js";
import { CARD_LETTERS, cleanCode, spacedCode } from "../session.js";
import { t, language, languageRow } from "../msg.js";

export const hooks = {
    shown: false /* this page stands there */,
    session: null /* a promise of GET /session, asked for at the start */,
    key: null /* of a QR code, until it is used */,
    scanned: false /* a card, perhaps while the page was still starting: what is late is void */,
    ready: null /* a promise that the rest has begun */,
    send: null /* async (letters, say, empty): takes a card's letters */,
    useKey: null /* takes `key` */
};

let rest = null;

/* The scripts and styles named in the page's <template id="rest">. */
export function fetchRest() {
    if (!rest) {
        const parts = document.importNode(byId("rest").content, true);
        const ends = Array.from(parts.children).map(
            (part) =>
                new Promise((yes, no) => {
                    part.onload = yes;
                    part.onerror = part.tagName === "SCRIPT" ? no : yes;
                })
        );
        document.head.appendChild(parts);
        rest = Promise.all(ends).then(() => hooks.ready);
    }
    return rest;
}

function stuck() {
    return banner(
        "careful",
        el("p", null, t("card.stuck")),
        el(
            "button",
            { class: "button", type: "button", onclick: () => window.location.reload() },
            t("card.reload")
        )
    );
}

/* The card's form and what stands below it. `redraw()` draws it again in another language. */
export function cardNodes(redraw) {
    const says = el("div", { "aria-live": "polite" });
    const say = (words) => {
        fill(says, words ? banner("careful", el("p", null, words)) : null);
    };
    const early = () => fetchRest().catch(() => fill(says, stuck()));
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
        early();
    };
    input.addEventListener("input", () => write(input.value));
    const key = (words, name, onclick) =>
        el("button", { class: "pad-key" + name, type: "button", onclick }, words);
    const letterKey = (letter) =>
        key(letter, "", () => {
            write(input.value + letter);
            announce(letter);
        });
    const rub = key(t("card.rub"), " pad-back", () => {
        write(cleanCode(input.value).letters.slice(0, -1));
        announce(t("card.rubbed"));
    });
    let busy = false;
    const send = async (event) => {
        event.preventDefault();
        const { letters } = cleanCode(input.value);
        if (letters.length !== 9 && letters.length !== 13) {
            say(letters.length ? t("card.count", { n: letters.length }) : t("card.tap"));
            return;
        }
        if (busy) {
            return;
        }
        busy = true;
        say("");
        const wait = window.setTimeout(() => say(t("card.moment")), 400);
        try {
            await fetchRest();
            window.clearTimeout(wait);
            await hooks.send(letters, say, () => {
                input.value = "";
            });
        } catch (error) {
            fill(says, stuck());
        } finally {
            window.clearTimeout(wait);
            busy = false;
        }
    };
    const link = (href, words) => el("p", { class: "link" }, el("a", { href }, words));
    return [
        el(
            "form",
            { onsubmit: send, novalidate: true },
            el("label", { for: "card", class: "lead" }, t("card.tap")),
            el("p", { class: "hint", id: "card-hint" }, t("card.nine")),
            input,
            says,
            el(
                "div",
                { class: "pad", role: "group", "aria-label": t("card.letters") },
                Array.from(CARD_LETTERS).map(letterKey),
                rub
            ),
            el(
                "div",
                { class: "next" },
                el("button", { class: "button", type: "submit" }, t("card.go"))
            )
        ),
        link("/quick?lang=" + language(), t("card.plain")),
        link("/c", t("card.family")),
        link("/privacy#child" + (language() === "en" ? "" : "-" + language()), t("card.privacy")),
        link("/help", t("card.help")),
        languageRow(redraw)
    ];
}

/* Shows the form; `broken`: the rest could not be fetched. */
export function showDoor(broken) {
    hooks.shown = true;
    const title = t("card.title");
    const heading = el("h1", null, title);
    document.title = title + " - Thrice";
    fill(byId("main"), broken ? stuck() : null, heading, cardNodes(() => showDoor(broken)));
    focusOn(heading);
}
