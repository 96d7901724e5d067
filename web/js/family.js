/* SPDX-License-Identifier: MIT
 * The family's page: one child at a time, what was set and sent (days, never clock times), own lanes
 * over time with their meaning in words, shared assessments, what is held and how to ask. */

import { get, onSignedOut } from "./api.js";
import { el, fill, field, banner, byId, focusOn } from "./dom.js";
import { lanesOverTime, lanesTable } from "./lanes.js";
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
import { versionNames, errorWords, codeWords, dayWords, longValue, plural } from "./words.js";

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
            { class: "top-nav", "aria-label": "Pages" },
            el(
                "button",
                { class: "button-plain", type: "button", onclick: () => cardPage(true) },
                "Open another family card"
            ),
            el("button", { class: "button-plain", type: "button", onclick: finish }, "Finish")
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
        "Finished",
        el("p", null, "This device no longer has the page open."),
        el("p", null, el("a", { href: "/c" }, "Open a page again"))
    );
}

function trouble(error, again) {
    page(
        "That did not work",
        banner("careful", el("p", null, errorWords(error))),
        el(
            "div",
            { class: "buttons" },
            el("button", { class: "button", type: "button", onclick: again }, "Try again")
        )
    );
}

/* Signing in ------------------------------------------------------------------------------------- */

async function useCard(way, says, phraseBox) {
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
                        "This card also needs the words the school told you by telephone."
                    )
                )
            );
            return;
        }
        fill(
            says,
            banner(
                "wrong",
                el("p", null, error.status === 422 && item ? codeWords(item) : errorWords(error))
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
        label: "The thirteen letters on the family card",
        hint: "Like this: BKT RMW HZV CDFG",
        type: "text",
        autocomplete: "off",
        autocapitalize: "characters",
        spellcheck: "false",
        maxlength: "30",
        class: "code-line"
    });
    const phrase = field({
        label: "The words the school told you",
        hint: "Only if the school gave you some.",
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
        if (!key && (refused !== null || letters.length === 0)) {
            code.wrong(
                refused === null
                    ? "Type the letters on the card."
                    : "This sign is not on any card: " + refused
            );
            return;
        }
        const way = key ? { key } : { card: spacedCode(letters) };
        if (!phrase.hidden && phrase.control.value) {
            way.phrase = phrase.control.value;
        }
        useCard(way, says, phrase);
    };
    page(
        more ? "Open another family card" : "Your child's page",
        el("p", null, "Scan the square on your family card, or type its letters here."),
        el(
            "form",
            { onsubmit: send, novalidate: true },
            code,
            phrase,
            says,
            el(
                "div",
                { class: "buttons" },
                el("button", { class: "button", type: "submit" }, "Open the page"),
                more
                    ? el(
                          "button",
                          { class: "button-second", type: "button", onclick: start },
                          "Back"
                      )
                    : null
            )
        ),
        el(
            "p",
            null,
            "No card? Ask the school office. ",
            el("a", { href: "/help" }, "Help"),
            " · ",
            el("a", { href: "/privacy" }, "What is held, and who sees it"),
            " · ",
            el("a", { href: "/" }, "I am a child with my own card")
        )
    );
    if (key) {
        useCard({ key }, says, phrase);
    }
}

/* One child -------------------------------------------------------------------------------------- */

function setTable(family) {
    if (!family.set.length) {
        return el("p", null, "Nothing has been set yet this school year.");
    }
    const row = (s) =>
        el(
            "tr",
            null,
            el("th", { scope: "row" }, el("span", { class: "quiet" }, s.number + " "), s.name),
            el("td", { class: "day" }, dayWords(s.set_on, "short")),
            el("td", { class: "day" }, dayWords(s.due_on, "short")),
            el(
                "td",
                null,
                s.sent_on.length
                    ? s.sent_on.map((d) => dayWords(d, "short")).join(", ")
                    : s.done
                      ? "done"
                      : "not sent"
            )
        );
    const head = el(
        "thead",
        null,
        el(
            "tr",
            null,
            ["Challenge", "Set", "For", "Sent"].map((w) => el("th", { scope: "col" }, w))
        )
    );
    const newest = family.set.slice().sort((a, b) => (a.set_on < b.set_on ? 1 : -1));
    const table = (rows) =>
        el(
            "div",
            {
                class: "table-box",
                tabindex: "0",
                role: "region",
                "aria-label": "What was set and sent"
            },
            el(
                "table",
                { class: "table dense" },
                head.cloneNode(true),
                el("tbody", null, rows.map(row))
            )
        );
    const screen = el(
        "div",
        { class: "no-print" },
        table(newest.slice(0, 8)),
        newest.length > 8
            ? el(
                  "details",
                  null,
                  el("summary", null, "Show " + plural(newest.length - 8, "more", "more")),
                  table(newest.slice(8))
              )
            : null
    );
    return [screen, el("div", { class: "only-print" }, table(newest.slice(0, 6)))];
}

/* Paper has one side: the newest lines, and of many lines only the last day each. */
const ON_PAPER = 9;

function newestFirst(lines) {
    const last = (l) => l.hand_ins[l.hand_ins.length - 1].on;
    return lines.slice().sort((a, b) => (last(a) < last(b) ? 1 : -1));
}

function lineBlock(line, place, all) {
    const { activity } = line;
    const best = line.best
        ? "Best so far: " + longValue(line.best.value, activity.unit) + "."
        : null;
    return el(
        "section",
        { class: "lanes-pair line" + (place >= ON_PAPER ? " no-print" : "") },
        el(
            "div",
            null,
            el(
                "h3",
                null,
                activity.name,
                " ",
                el("span", { class: "quiet" }, versionNames[line.version.kind].toLowerCase())
            ),
            best ? el("p", null, el("strong", null, best)) : null,
            line.meaning ? el("p", null, line.meaning) : null,
            el(
                "details",
                { class: "no-print" },
                el("summary", null, "All the numbers"),
                el(
                    "div",
                    {
                        class: "table-box",
                        tabindex: "0",
                        role: "region",
                        "aria-label": activity.name + ", all the numbers"
                    },
                    lanesTable(line)
                )
            )
        ),
        el("div", { class: "no-print" }, lanesOverTime({ line, last: 4 })),
        el("div", { class: "only-print" }, lanesOverTime({ line, last: all.length > 4 ? 1 : 2 }))
    );
}

function childPage(family, children) {
    const { child } = family;
    const lines = newestFirst(family.lines.filter((l) => l.hand_ins.length));
    page(
        child.display_name,
        el(
            "p",
            { class: "quiet" },
            (child.class ? child.class + " · " : "") + "PE practice this school year"
        ),
        children.length > 1
            ? el(
                  "nav",
                  { class: "buttons", "aria-label": "Children" },
                  children.map((c) =>
                      el(
                          "button",
                          {
                              type: "button",
                              class: c.id === child.id ? "button" : "button-second",
                              "aria-current": c.id === child.id ? "page" : null,
                              onclick: () => openChild(c.id, children)
                          },
                          c.display_name
                      )
                  )
              )
            : null,
        el("h2", null, "What was set and sent"),
        setTable(family),
        el("h2", null, "Tries over time"),
        lines.length
            ? el(
                  "p",
                  { class: "small" },
                  "Each mark is one try. Further along is better. The best of each day has a ring."
              )
            : el("p", null, "No tries yet."),
        el(
            "div",
            { class: "lines" + (lines.length > 4 ? " lines-many" : "") },
            lines.map(lineBlock)
        ),
        lines.length > ON_PAPER
            ? el(
                  "p",
                  { class: "only-print small" },
                  "The page on a screen shows " +
                      plural(lines.length - ON_PAPER, "more line", "more lines") +
                      "."
              )
            : null,
        el(
            "div",
            { class: "side" },
            family.assessments.length
                ? el(
                      "section",
                      null,
                      el("h2", null, "What the teacher decided"),
                      el(
                          "ul",
                          null,
                          family.assessments.map((a) =>
                              el(
                                  "li",
                                  null,
                                  el("strong", null, a.unit),
                                  ": " + a.word + " (" + dayWords(a.on, "year") + ")"
                              )
                          )
                      )
                  )
                : null,
            family.next.length
                ? el(
                      "section",
                      null,
                      el("h2", null, "What to try next"),
                      el(
                          "ul",
                          null,
                          family.next.map((n) =>
                              el("li", null, el("strong", null, n.activity), ": " + n.words)
                          )
                      )
                  )
                : null
        ),
        el("h2", null, "What is held about " + child.display_name),
        el(
            "ul",
            { class: "small held" },
            family.held.map((h) => el("li", null, h))
        ),
        el("p", { class: "small" }, family.ask),
        el(
            "div",
            { class: "buttons" },
            el(
                "button",
                { class: "button", type: "button", onclick: () => window.print() },
                "Print this page"
            ),
            el("a", { class: "button-second", href: "/privacy" }, "Who sees what")
        )
    );
    document.title = "Your child's page - Thrice";
}

async function openChild(id, children) {
    try {
        childPage(await get("/children/" + encodeURIComponent(id)), children);
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
        "Your children",
        children.length
            ? el("p", null, "Choose one child.")
            : el("p", null, "This card opens no page just now. Please ask the school office."),
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
                    "The page was open a while, so it was closed. Open it again with the card."
                )
            ),
            byId("main").firstChild
        );
    }
});

async function begin() {
    const key = takeKey();
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
