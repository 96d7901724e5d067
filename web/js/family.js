/* SPDX-License-Identifier: MIT
 * The family's page: one child at a time, what was set and sent (days, never clock times), own lanes
 * over time with their meaning in words, shared assessments, what is held and how to ask. */

import { get, onSignedOut } from "./api.js";
import { el, fill, banner, byId, focusOn } from "./dom.js";
import { field } from "./field.js";
import { picture } from "./pictures.js";
import {
    cleanCode,
    spacedCode,
    current,
    signIn,
    signOut,
    takeKey,
    onKey,
    reloadWhenBroughtBack
} from "./session.js";
import { t, speak, keptLanguage, languageRow } from "./msg.js";
import { errorWords, codeWords } from "./words.js";
import { childPage } from "./family-child.js";

let session = null;

function page(title, ...nodes) {
    const heading = el("h1", null, title);
    fill(byId("main"), heading, nodes);
    document.title = title + " - Thrice";
    window.scrollTo(0, 0);
    focusOn(heading);
}

function topBar() {
    const bar = byId("top");
    const old = bar.querySelector(".top-nav");
    if (old) {
        bar.removeChild(old);
    }
    if (!session) {
        return;
    }
    bar.appendChild(
        el(
            "nav",
            { class: "top-nav", "aria-label": t("family.pages") },
            el(
                "button",
                { class: "button-plain", type: "button", onclick: () => cardPage(true) },
                t("family.another")
            ),
            el("button", { class: "button-plain", type: "button", onclick: finish }, t("screen.finish"))
        )
    );
}

async function finish() {
    try {
        await signOut();
    } catch (error) {
        trouble(error, finish);
        return;
    }
    session = null;
    topBar();
    page(
        t("family.finished"),
        el("p", null, t("family.closed")),
        el("p", { class: "link" }, el("a", { href: "/c" }, t("family.open_again")))
    );
}

function trouble(error, again) {
    page(
        t("family.trouble"),
        banner("careful", el("p", null, errorWords(error))),
        el(
            "div",
            { class: "buttons" },
            el("button", { class: "button", type: "button", onclick: again }, t("trouble.again"))
        )
    );
}

/* Signing in ------------------------------------------------------------------------------------- */

async function useCard(way, says, code, phraseBox) {
    try {
        session = await signIn(way);
    } catch (error) {
        const item = error.errors[0];
        if (item && item.pointer === "/phrase") {
            phraseBox.hidden = false;
            phraseBox.control.focus();
            fill(
                says,
                banner(
                    "careful",
                    el(
                        "p",
                        null,
                        t("family.needs_words")
                    )
                )
            );
            return;
        }
        if (error.slug === "card-ended") {
            code.hidden = false; /* another card's letters may be typed, also where one was scanned */
            phraseBox.hidden = true;
        }
        fill(
            says,
            banner(
                "wrong",
                el("p", null, item && item.pointer ? codeWords(item) : errorWords(error))
            )
        );
        return;
    }
    if (session.role === "pupil") {
        window.location.assign("/");
        return;
    }
    if (session.role === "staff") {
        window.location.assign("/staff");
        return;
    }
    start();
}

/* `more`: a card for another child is added to this session. `key`: a QR key that needs the phrase. */
function cardPage(more, key) {
    const says = el("div", { "aria-live": "polite" });
    const code = field({
        label: t("family.letters"),
        hint: t("family.like_this", { code: "BKT RMW HZV CDFG" }),
        type: "text",
        autocomplete: "off",
        autocapitalize: "characters",
        spellcheck: "false",
        maxlength: "30",
        class: "code-line"
    });
    const phrase = field({
        label: t("family.words"),
        hint: t("family.words_hint"),
        type: "text",
        autocomplete: "off",
        spellcheck: "false",
        maxlength: "120"
    });
    phrase.hidden = true;
    code.hidden = Boolean(key);
    code.control.addEventListener("input", () => code.wrong(""));
    const send = (event) => {
        event.preventDefault();
        const { letters, refused } = cleanCode(code.control.value);
        if (!code.hidden && (refused !== null || letters.length === 0)) {
            code.wrong(
                refused === null
                    ? t("family.type")
                    : t("family.refused", { sign: refused })
            );
            return;
        }
        const way = code.hidden ? { key } : { card: spacedCode(letters) };
        if (!phrase.hidden && phrase.control.value) {
            way.phrase = phrase.control.value;
        }
        useCard(way, says, code, phrase);
    };
    page(
        t(more ? "family.another" : "family.title"),
        el("p", null, t("family.scan")),
        el(
            "form",
            { onsubmit: send, novalidate: true },
            code,
            phrase,
            says,
            el(
                "div",
                { class: "buttons" },
                el("button", { class: "button", type: "submit" }, t("family.open")),
                more
                    ? el(
                          "button",
                          { class: "button-second", type: "button", onclick: start },
                          t("screen.back")
                      )
                    : null
            )
        ),
        el("p", null, t("family.no_card")),
        [["/help", "help"], ["/privacy", "privacy"], ["/", "child"]].map((way) =>
            el("p", { class: "link" }, el("a", { href: way[0] }, t("family." + way[1])))
        ),
        languageRow(() => (more ? cardPage(true) : cardPage(false, key)))
    );
    if (key) {
        useCard({ key }, says, code, phrase);
    }
}

async function openChild(id, children) {
    try {
        childPage(await get("/children/" + encodeURIComponent(id)), children, page, (other) =>
            openChild(other, children)
        );
    } catch (error) {
        if (error.status !== 401) {
            trouble(error, () => openChild(id, children));
        }
    }
}

async function start() {
    topBar();
    let children;
    try {
        children = (await get("/children")).children;
    } catch (error) {
        if (error.status !== 401) {
            trouble(error, start);
        }
        return;
    }
    if (children.length === 1) {
        openChild(children[0].id, children);
        return;
    }
    page(
        t("family.choose_title"),
        children.length
            ? el("p", null, t("family.choose"))
            : el("p", null, t("family.no_page")),
        el(
            "ul",
            { class: "tiles" },
            children.map((c) =>
                el(
                    "li",
                    null,
                    el(
                        "button",
                        { class: "tile", type: "button", onclick: () => openChild(c.id, children) },
                        picture(c.picture, "top-picture"),
                        el("span", { class: "tile-name" }, c.display_name)
                    )
                )
            )
        )
    );
}

onSignedOut(() => {
    if (session) {
        session = null;
        topBar();
        cardPage(false);
        byId("main").insertBefore(
            banner(
                "careful",
                el(
                    "p",
                    null,
                    t("family.open_a_while")
                )
            ),
            byId("main").firstChild
        );
    }
});

async function begin() {
    const key = takeKey();
    try {
        await speak(keptLanguage());
    } catch (error) {
        return; /* no words came: the page says what to do without them */
    }
    try {
        session = await current();
    } catch (error) {
        trouble(error, begin);
        return;
    }
    if (session && session.role !== "carer") {
        session = null;
    }
    if (key) {
        cardPage(false, key);
    } else if (session) {
        start();
    } else {
        cardPage(false);
    }
}

reloadWhenBroughtBack();
onKey((key) => cardPage(false, key));
begin();
