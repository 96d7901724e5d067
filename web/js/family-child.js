/* SPDX-License-Identifier: MIT
 * One child on the family's page, on a screen and on one side of A4. */

import { el } from "./dom.js";
import { lanesOverTime, lanesTable } from "./lanes.js";
import { t, own } from "./msg.js";
import { dayWords, deviceDay, pointsWords } from "./words.js";
import { numberWords, toldWords, familyNextWords } from "./family-words.js";

const SET_ON_PAPER = 6;

function setTable(family) {
    if (!family.set.length) {
        return el("p", null, t("family.nothing_set"));
    }
    const row = (s) =>
        el(
            "tr",
            null,
            el(
                "th",
                { scope: "row" },
                el("span", { class: "quiet" }, s.number + " "),
                own(s.name),
                s.cancelled ? el("span", { class: "hint" }, t("family.cancelled")) : null
            ),
            el("td", { class: "day" }, dayWords(s.set_on, "short")),
            el("td", { class: "day" }, dayWords(s.due_on, "short")),
            el(
                "td",
                { class: s.sent_on.length > 1 ? null : "day" },
                s.sent_on.length
                    ? s.sent_on.map((d) => dayWords(d, "short")).join(", ")
                    : s.done
                      ? t("family.done")
                      : s.due_on >= deviceDay()
                        ? t("family.not_yet")
                        : t("family.not_sent")
            )
        );
    const head = el(
        "thead",
        null,
        el(
            "tr",
            null,
            ["challenge", "set", "for", "sent"].map((w) =>
                el("th", { scope: "col" }, t("family.col_" + w))
            )
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
                "aria-label": t("family.set_and_sent")
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
                  el("summary", null, t("family.more", { n: newest.length - 8 })),
                  table(newest.slice(8))
              )
            : null
    );
    const more = newest.length - SET_ON_PAPER;
    return [
        screen,
        el(
            "div",
            { class: "only-print" },
            table(newest.slice(0, SET_ON_PAPER)),
            more > 0 ? el("p", { class: "small" }, t("family.on_screen", { n: more })) : null
        )
    ];
}

/* Paper has one side: the newest lines, and of many lines only the last day each. */
const ON_PAPER = 9;

function newestFirst(lines) {
    const last = (l) => l.hand_ins[l.hand_ins.length - 1].on;
    return lines.slice().sort((a, b) => (last(a) < last(b) ? 1 : -1));
}

function lineBlock(line, place, all) {
    const { activity } = line;
    return el(
        "section",
        { class: "lanes-pair line" + (place >= ON_PAPER ? " no-print" : "") },
        el(
            "div",
            null,
            el(
                "h3",
                null,
                own(activity.name),
                " ",
                el("span", { class: "quiet" }, t("kind." + line.version.kind).toLowerCase())
            ),
            el("p", null, toldWords(line) + " ", el("span", { class: "quiet" }, numberWords(activity))),
            line.new_points.length ? el("p", null, t("told.met", { points: pointsWords(line.new_points) })) : null,
            el(
                "details",
                { class: "no-print" },
                el("summary", null, t("family.all_numbers")),
                el(
                    "div",
                    {
                        class: "table-box",
                        tabindex: "0",
                        role: "region",
                        "aria-label": t("family.numbers_of", { name: own(activity.name) })
                    },
                    lanesTable(line)
                )
            )
        ),
        el("div", { class: "no-print" }, lanesOverTime({ line, last: 4 })),
        el("div", { class: "only-print" }, lanesOverTime({ line, last: all.length > 4 ? 1 : 2 }))
    );
}

const HELD = ["name", "tries", "seen", "cards", "messages", "never"];
const SEE = ["you", "teachers", "office", "messages"];
const ASK = ["copy", "complain"];

function section(title, names, stem) {
    return el(
        "section",
        null,
        el("h2", null, title),
        el("ul", { class: "small held" }, names.map((name) => el("li", null, t(stem + name))))
    );
}

/* Draws the page by `page(title, ...nodes)`; `open(id)` goes to another child of the same family. */
export function childPage(family, children, page, open) {
    const { child } = family;
    const lines = newestFirst(family.lines.filter((l) => l.hand_ins.length));
    page(
        child.display_name,
        el(
            "p",
            { class: "quiet" },
            (child.class ? child.class + " · " : "") + t("family.practice")
        ),
        children.length > 1
            ? el(
                  "nav",
                  { class: "buttons", "aria-label": t("family.children") },
                  children.map((c) =>
                      el(
                          "button",
                          {
                              type: "button",
                              class: c.id === child.id ? "button" : "button-second",
                              "aria-current": c.id === child.id ? "page" : null,
                              onclick: () => open(c.id)
                          },
                          c.display_name
                      )
                  )
              )
            : null,
        el("h2", null, t("family.set_and_sent")),
        setTable(family),
        el("h2", null, t("family.over_time")),
        lines.length
            ? el(
                  "p",
                  { class: "small" },
                  t("family.marks") + " " + t("told.vary")
              )
            : el("p", null, t("family.no_tries")),
        el(
            "div",
            { class: "lines" + (lines.length > 4 ? " lines-many" : "") },
            lines.map(lineBlock)
        ),
        lines.length > ON_PAPER
            ? el(
                  "p",
                  { class: "only-print small" },
                  t("family.on_screen", { n: lines.length - ON_PAPER })
              )
            : null,
        el(
            "div",
            { class: "side" },
            family.assessments.length
                ? el(
                      "section",
                      null,
                      el("h2", null, t("family.decided")),
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
                      el("h2", null, t("family.next")),
                      el(
                          "ul",
                          null,
                          family.next.map((n) =>
                              el("li", null, el("strong", null, own(n.activity)), ": " + familyNextWords(n))
                          )
                      )
                  )
                : null
        ),
        el(
            "div",
            { class: "family-foot" },
            section(t("family.held", { name: child.display_name }), HELD, "family.held_"),
            section(t("family.see"), SEE, "family.see_"),
            section(t("family.ask_title"), ASK, "family.ask_")
        ),
        el(
            "div",
            { class: "buttons" },
            el(
                "button",
                { class: "button", type: "button", onclick: () => window.print() },
                t("family.print")
            ),
            el("a", { class: "button-second", href: "/privacy" }, t("family.who_sees"))
        )
    );
    document.title = t("family.title") + " - Thrice";
}
