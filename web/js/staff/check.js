/* SPDX-License-Identifier: MIT
 * What waits for a look, over all classes: surprising values and what a child says is a mistake, as many as
 * Home says. One key each: K keep, A ask again, S set aside with the reason shown. The keys work on
 * the row that has the focus, and nowhere else (WCAG 2.1, 2.1.4). What was decided stays in its row, and
 * another key changes it: the last one holds. By class and name, never by a result. */

import { get } from "../api.js";
import { el, fill, banner, announce } from "../dom.js";
import { start, titled } from "./shell.js";
import { checkButtons } from "./challenge-row.js";
import { shortValue } from "../words.js";
import { TO_CHECK, VERSIONS, count, dayWords } from "./words.js";

const REASON = { mistake: "child_says", surprising: "not_possible" };
const DONE = { keep: "Kept.", "ask-again": "Asked again.", "set-aside": "Set aside." };
const KEYS = { keep: "k", "ask-again": "a", "set-aside": "s" };

/* [{klass, found: [rows]}] in the order of the rows */
function byClass(rows) {
    return rows.reduce((all, row) => {
        const last = all[all.length - 1];
        if (last && last.klass.id === row.class.id) {
            last.found.push(row);
            return all;
        }
        return all.concat({ klass: row.class, found: [row] });
    }, []);
}

function tries(one) {
    return [one.values.map((value) => shortValue(value, one.activity.unit)).join(", ") || "no tries", one.version !== "standard" ? VERSIONS[one.version] : "",
        dayWords(one.done_on)].filter(Boolean).join(" · ");
}

function item(one, moved) {
    const name = one.pupil.display_name;
    const why = TO_CHECK[one.why];
    const said = el("strong", { class: "check-said" });
    const done = (what) => {
        said.textContent = DONE[what];
        row.classList.add("check-done");
        announce(name + ": " + DONE[what]);
        moved(row, 1);
    };
    const row = el("li", { class: "check-row", tabindex: "0", "aria-label": name + ", " + one.activity.name + ", " + tries(one) + ": " + why },
        el("p", null, el("a", { href: "/staff/challenge?id=" + one.challenge + "#pupil-" + one.pupil.id }, name), " · ", one.activity.name, " · ", tries(one), " ", said),
        el("p", { class: "small quiet" }, why + "."),
        checkButtons(one.hand_in, name, done, { reason: REASON[one.why], keys: KEYS }));
    row.addEventListener("keydown", (event) => {
        if (event.target !== row || event.ctrlKey || event.altKey || event.metaKey) {
            return;
        }
        const what = Object.keys(KEYS).find((k) => KEYS[k] === event.key.toLowerCase());
        if (what) {
            event.preventDefault();
            row.querySelector("[data-mark=" + what + "]").click();
        } else if (event.key === "ArrowDown" || event.key === "ArrowUp") {
            event.preventDefault();
            moved(row, event.key === "ArrowDown" ? 1 : -1);
        }
    });
    return row;
}

start(async ({ body }) => {
    const [home, waiting] = await Promise.all([get("/home"), get("/to-check")]);
    titled("To check");
    const lists = byClass(waiting.to_check);
    const rows = [];
    const moved = (row, by) => {
        const to = rows[rows.indexOf(row) + by];
        if (to) {
            to.focus();
        }
    };
    const sections = lists.map(({ klass, found }) => el("section", null, el("h2", null, klass.name, el("span", { class: "title-note" }, count(found.length, "to check", "to check"))),
        el("ul", { class: "plain" }, found.map((one) => {
            const row = item(one, moved);
            rows.push(row);
            return row;
        }))));
    fill(body, home.messages.may_see && home.messages.waiting ? banner("careful", el("p", null, el("a", { href: "/staff/messages" }, count(home.messages.waiting, "message from a child is waiting", "messages from children are waiting")), ". Look there first.")) : null,
        rows.length ? el("p", { class: "quiet" }, "Choose a row, then one key: K keep, A ask again, S set aside with the reason shown. Arrows go up and down. Another key changes your mind.")
            : el("p", { class: "lead" }, "Nothing waits for a look."),
        sections, el("p", null, el("a", { href: "/staff" }, "Home")));
    if (rows.length) {
        rows[0].focus();
    }
});
