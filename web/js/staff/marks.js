/* SPDX-License-Identifier: MIT
 * A class x columns of marks, each a big button that goes round its states; by touch, mouse or
 * keyboard (one tab stop, arrow keys, Enter or Space). A narrow screen shows one child or one column
 * at a time; paper always shows the table. State is said by a sign and a word, never by colour alone.
 *
 * column: {key, head, group, states, may, rest, detail, broad}
 *   states   the first is "nothing said": [{value, sign, word, long}]
 *   may      this person may change it;  rest: words of the button that gives all without a mark the
 *            second state, or null;  detail(pupil): a small line under a mark, or ""
 * marks({rows, columns, values, change, unsaved}): values is a Map of markKey -> value (null: none). */

import { el, fill, announce } from "../dom.js";
import { notice } from "./shell.js";
import { keptWords } from "./kept.js";

export function markKey(pupil, column) {
    return pupil.id + " " + column.key;
}

const LONG = 55;        /* longer headings are set smaller on paper, so that none is cut */

function stateOf(column, value) {
    return column.states.find((s) => s.value === value) || column.states[0];
}

export function marks({ rows, columns, values, change, unsaved }) {
    const cells = new Map();        /* markKey -> the buttons that show it */
    const byKey = new Map(rows.map((r) => [r.pupil.id, r.pupil]));
    let undo = null;
    const undoLine = el("div", { class: "undo no-print", role: "status" });

    const valueOf = (pupil, column) => {
        const value = values.get(markKey(pupil, column));
        return value === undefined ? null : value;
    };

    function draw(node, pupil, column) {
        const state = stateOf(column, valueOf(pupil, column));
        const notSaved = unsaved(markKey(pupil, column));
        const detail = column.detail && state.value !== null ? column.detail(pupil) : "";
        node.className = "mark " + (state.value === null ? "mark-none" : "mark-" + state.look) + (notSaved ? " mark-unsaved" : "");
        node.setAttribute("aria-label", pupil.display_name + ", " + column.head + ": " + state.long + (detail ? ", " + detail : "") + (notSaved ? ", not saved yet" : ""));
        fill(node, el("span", { class: "mark-sign", "aria-hidden": "true" }, state.sign), el("span", { class: "mark-word" }, state.word),
            detail ? el("span", { class: "mark-detail" }, detail) : null, notSaved ? el("span", { class: "mark-detail no-print" }, "not saved") : null);
    }

    function redraw(key) {
        (cells.get(key) || []).forEach((show) => show());
    }

    function give(pupil, column, value) {
        values.set(markKey(pupil, column), value);
        change(pupil, column, value);
        redraw(markKey(pupil, column));
    }

    function next(pupil, column) {
        const at = column.states.indexOf(stateOf(column, valueOf(pupil, column)));
        const state = column.states[(at + 1) % column.states.length];
        undo = null;
        fill(undoLine);
        give(pupil, column, state.value);
        announce(pupil.display_name + ", " + column.head + ": " + state.long);
    }

    function cell(pupil, column) {
        const node = column.may ? el("button", { type: "button", onclick: () => next(pupil, column) }) : el("span", { role: "img" });
        const key = markKey(pupil, column);
        if (!cells.has(key)) {
            cells.set(key, []);
        }
        cells.get(key).push(() => draw(node, pupil, column));
        draw(node, pupil, column);
        return node;
    }

    function rest(column) {
        const state = column.states[1];
        const open = rows.map((r) => r.pupil).filter((p) => valueOf(p, column) === null);
        if (!open.length) {
            fill(undoLine, el("p", null, "Every child has a mark there already; none was changed."));
            return;
        }
        open.forEach((p) => give(p, column, state.value));
        undo = () => open.filter((p) => valueOf(p, column) === state.value).forEach((p) => give(p, column, null));
        const back = el("button", { type: "button", class: "button-second", onclick: () => {
            if (undo) {
                undo();
                undo = null;
                fill(undoLine, el("p", null, "Taken back."));
            }
        } }, "Undo");
        fill(undoLine, el("p", null, open.length + (open.length === 1 ? " child" : " children") + ": " + state.long + ", “" + column.head + "”. "), back);
    }

    function restButton(column) {
        return column.may && column.rest ? el("button", { type: "button", class: "mark-rest", "aria-label": column.rest + ": " + column.head, onclick: () => rest(column) }, column.rest) : null;
    }

    /* One tab stop; the arrow keys move it. */
    function arrows(box) {
        const all = () => Array.from(box.querySelectorAll("tbody tr")).map((tr) => Array.from(tr.querySelectorAll("td")).map((td) => td.querySelector("button"))).filter((line) => line.some(Boolean));
        const stop = (button) => {
            box.querySelectorAll("button").forEach((b) => b.setAttribute("tabindex", b === button ? "0" : "-1"));
        };
        const found = all();
        const firstMark = (found[1] || found[0] || []).find(Boolean);
        stop(firstMark || null);
        box.addEventListener("focusin", (event) => event.target.tagName === "BUTTON" && stop(event.target));
        box.addEventListener("keydown", (event) => {
            const moves = { ArrowUp: [-1, 0], ArrowDown: [1, 0], ArrowLeft: [0, -1], ArrowRight: [0, 1], Home: [0, -99], End: [0, 99] };
            const move = moves[event.key];
            if (!move || event.altKey || event.metaKey || event.target.tagName !== "BUTTON") {
                return;
            }
            event.preventDefault();
            const lines = all();
            let r = lines.findIndex((line) => line.indexOf(event.target) >= 0);
            let c = lines[r].indexOf(event.target);
            const last = lines[r].length - 1;
            do {        /* over places without a button */
                r += move[0];
                c = Math.abs(move[1]) === 99 ? (move[1] < 0 ? 0 : last) : c + move[1];
            } while (lines[r] && c >= 0 && c <= last && !lines[r][c] && Math.abs(move[1]) !== 99);
            const to = lines[r] && lines[r][c];
            if (to) {
                to.focus();
            }
        });
    }

    const long = columns.some((c) => c.head.length > LONG) ? " marks-long" : "";
    const several = columns.some((c) => c.group !== columns[0].group);

    function groupRow() {
        const groups = [];
        columns.forEach((c) => {
            const last = groups[groups.length - 1];
            if (last && last.name === c.group) {
                last.n += 1;
            } else {
                groups.push({ name: c.group, n: 1 });
            }
        });
        return el("tr", { class: "marks-groups" }, el("td", { class: "pin" }), groups.map((g) => el("th", { scope: "colgroup", colspan: g.n }, g.name)));
    }

    function table(label) {
        const anyRest = columns.some((c) => c.may && c.rest);
        const box = el("div", { class: "table-box marks-box", role: "region", "aria-label": label },
            el("table", { class: "table marks" + (columns.length < 5 ? " marks-few" : "") + long, role: "grid", "aria-label": label },
                el("colgroup", null, el("col", { class: "marks-names" }), columns.map((c) => el("col", { class: c.broad ? "marks-broad" : null }))),
                el("thead", null, groupRow(), el("tr", null, el("th", { scope: "col", class: "pin" }, "Pupil"),
                    columns.map((c) => el("th", { scope: "col" }, el("span", { class: "marks-head" }, c.head))))),
                el("tbody", null,
                    anyRest ? el("tr", { class: "no-print" }, el("th", { scope: "row", class: "pin quiet" }, "Whole class"), columns.map((c) => el("td", null, restButton(c)))) : null,
                    rows.map((r) => el("tr", null, el("th", { scope: "row", class: "pin" }, r.pupil.display_name), columns.map((c) => el("td", null, cell(r.pupil, c))))))));
        if (columns.some((c) => c.may)) {
            arrows(box);
        } else {
            box.setAttribute("tabindex", "0");
        }
        return box;
    }

    /* One child, or one column, at a time. */
    function oneAtATime() {
        const list = el("ul", { class: "marks-list" });
        const pick = el("select", { id: "marks-pick" });
        const tool = el("div", { class: "marks-rest-line" });
        let by = "child";
        const show = () => {
            const at = pick.value;
            cells.forEach((shows, key) => cells.set(key, shows.slice(0, 1)));     /* the table's stay */
            if (by === "child") {
                const pupil = byKey.get(at);
                fill(tool);
                fill(list, columns.map((c) => el("li", null, el("span", { class: "marks-what" }, several ? el("span", { class: "small quiet marks-group" }, c.group) : null, c.head), cell(pupil, c))));
            } else {
                const column = columns.find((c) => c.key === at);
                fill(tool, restButton(column));
                fill(list, rows.map((r) => el("li", null, el("span", { class: "marks-what" }, r.pupil.display_name), cell(r.pupil, column))));
            }
        };
        const fillPick = () => {
            fill(pick, by === "child" ? rows.map((r) => el("option", { value: r.pupil.id }, r.pupil.display_name))
                : columns.map((c) => el("option", { value: c.key }, (several ? c.group + ": " : "") + c.head)));
            pick.setAttribute("aria-label", by === "child" ? "Child" : "What to look for");
            show();
        };
        const step = (by_) => {
            const to = pick.selectedIndex + by_;
            if (to >= 0 && to < pick.options.length) {
                pick.selectedIndex = to;
                show();
                announce(pick.options[to].text);
            }
        };
        pick.addEventListener("change", show);
        const way = (value, text) => el("label", { class: "marks-way" }, el("input", { type: "radio", name: "marks-by", value, checked: by === value, onchange: () => {
            by = value;
            fillPick();
        } }), text);
        list.addEventListener("keydown", (event) => {
            const move = { ArrowUp: -1, ArrowDown: 1 }[event.key];
            if (move) {
                const all = Array.from(list.querySelectorAll("button"));
                const to = all[all.indexOf(event.target) + move];
                event.preventDefault();
                if (to) {
                    to.focus();
                }
            }
        });
        const box = el("div", { class: "marks-narrow no-print" },
            el("fieldset", { class: "marks-ways" }, el("legend", { class: "only-read" }, "Show one at a time"), way("child", "One child"), way("column", "One point")),
            el("div", { class: "marks-step" }, el("button", { type: "button", class: "button-second", "aria-label": "The one before", onclick: () => step(-1) }, "‹"), pick,
                el("button", { type: "button", class: "button-second", "aria-label": "The next one", onclick: () => step(1) }, "›")),
            tool, list);
        fillPick();
        return box;
    }

    const node = el("div", { class: "marks-all" });
    const label = "Marks of the class";
    fill(node, undoLine, el("div", { class: "marks-wide" }, table(label)), rows.length && columns.length ? oneAtATime() : null);
    node.redrawAll = () => cells.forEach((shows) => shows.forEach((show) => show()));
    node.redraw = redraw;
    node.put = (pupil, column, value) => {
        values.set(markKey(pupil, column), value);
        redraw(markKey(pupil, column));
    };
    return node;
}

/* The line that says how saving stands; the page announces only when that goes wrong or right
 * again, so that not every tap is spoken twice. */
export function savedLine(tryNow) {
    const words = el("span", null, "");
    const button = el("button", { type: "button", class: "button-plain", hidden: true, onclick: tryNow }, "Try now");
    const line = el("p", { class: "saved-line small no-print" }, words, " ", button);
    line.tell = ({ waiting, saving, error, seconds }, sentence) => {
        line.classList.toggle("saved-line-wrong", Boolean(error && waiting));
        button.hidden = !(error && waiting && !saving);
        words.textContent = error && waiting
            ? (waiting === 1 ? "1 mark is" : waiting + " marks are") + " not saved yet. " + sentence(error) + " Keep this page open" + (seconds ? "; it tries again in " + seconds + " seconds." : ".")
            : waiting ? "Saving …" : "Everything is saved.";
    };
    return line;
}

/* Puts the marks kept over the end of a session back on the page and sends them, and says so. */
export function sendKept({ kept, rows, columns, grid, keep, before }) {
    let sent = 0;
    kept.forEach((k) => rows.forEach(({ pupil }) => columns.forEach((column) => {
        if (column.may && markKey(pupil, column) === k.key && column.states.some((s) => s.value === k.value)) {
            const change = { key: k.key, pupil, column, value: k.value, on: k.on };
            if (before) {
                before(change);
            }
            grid.put(pupil, column, k.value);
            keep.put(change);
            sent += 1;
        }
    })));
    if (sent) {
        notice(keptWords(sent) + " from before you were signed out " + (sent === 1 ? "was" : "were") + " kept in this tab and " + (sent === 1 ? "is" : "are") + " being saved now.");
    }
    if (sent < kept.length) {
        notice(keptWords(kept.length - sent) + " from before could not be put back: look at the page and mark them again.");
    }
}

/* Print as it stands, or with empty boxes to fill in by hand. */
export function printButtons() {
    const print = (empty) => {
        document.body.classList.toggle("print-empty", empty);
        window.print();
        document.body.classList.remove("print-empty");
    };
    return [el("button", { type: "button", class: "button-second", onclick: () => print(true) }, "Print an empty sheet"),
        el("button", { type: "button", class: "button-second", onclick: () => print(false) }, "Print as it stands")];
}
