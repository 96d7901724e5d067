/* SPDX-License-Identifier: MIT
 * Statements: a class x what a teacher ticks from seeing it, yes or not yet, when and by whom. Never
 * set for home. The PE lead keeps the list below; words that somebody was ticked against stay. */

import { get, post, put } from "../api.js";
import { el, fill, announce } from "../dom.js";
import { field } from "../field.js";
import { start, titled, rightOn, has, action, form, notice, showError, clearError } from "./shell.js";
import { sentenceFor, yearDay } from "./words.js";
import { keeper } from "./keeper.js";
import { keepMarks, takeMarks } from "./kept.js";
import { marks, markKey, savedLine, printButtons, sendKept } from "./marks.js";

const AREAS = { swimming: "Swimming", end_of_key_stage: "End of key stage", dance: "Dance", other: "Other" };
const STATES = [
    { value: null, sign: "", word: "", long: "nothing said" },
    { value: true, sign: "✓", word: "yes", long: "yes", look: "yes" },
    { value: false, sign: "○", word: "not yet", long: "not yet", look: "no" }
];

function today() {
    const d = new Date();
    return d.getFullYear() + "-" + String(d.getMonth() + 1).padStart(2, "0") + "-" + String(d.getDate()).padStart(2, "0");
}

function ticks(context, data, area) {
    const { session, classId } = context;
    const may = rightOn(session, classId) === "teach";
    const values = new Map();
    const said = new Map();
    data.rows.forEach((r) => Object.keys(r.ticks).forEach((id) => {
        values.set(r.pupil.id + " " + id, r.ticks[id].met);
        said.set(r.pupil.id + " " + id, r.ticks[id]);
    }));
    const saved = new Map(values);
    const detail = (column) => (pupil) => {
        const tick = said.get(markKey(pupil, column));
        return tick ? yearDay(tick.on) + ", " + tick.by : "";
    };
    const columns = data.statements.filter((s) => s.area === area).map((s) => {
        const column = { key: s.id, id: s.id, head: s.text, group: AREAS[s.area], states: STATES, may, rest: null };
        column.detail = detail(column);
        return column;
    });
    const when = field({ label: "Seen on", hint: "For what you tick from now on.", type: "date", value: today(), max: today(), id: "on" });
    const line = savedLine(() => keep.now());
    let grid = null;
    let shownTrouble = false;
    const keep = keeper({
        batch: (changes) => changes.slice(0, 1),
        send: async ([c]) => {
            await put("/pupils/" + c.pupil.id + "/statements/" + c.column.id, c.value === null ? { met: null } : { met: c.value, on: c.on });
            saved.set(c.key, c.value);
        },
        refused: (c, error) => {
            grid.put(c.pupil, c.column, saved.has(c.key) ? saved.get(c.key) : null);
            showError(error);
        },
        ended: (changes) => keepMarks(session.display_name, changes),
        told: (status) => {
            line.tell(status, sentenceFor);
            const trouble = Boolean(status.error && status.waiting);
            if (trouble !== shownTrouble && grid) {
                shownTrouble = trouble;
                announce(trouble ? "Not saved yet: no answer from the server." : "Everything is saved.");
            }
            if (grid && (trouble || !status.waiting)) {
                grid.redrawAll();
            }
        }
    });
    grid = marks({ rows: data.rows, columns, values, unsaved: (key) => keep.inTrouble() && keep.unsaved(key), change: (pupil, column, value) => {
        const key = markKey(pupil, column);
        const on = when.control.value || today();
        clearError();
        said.set(key, { on, by: session.display_name });
        keep.put({ key, pupil, column, value, on });
    } });
    line.tell({ waiting: 0 }, sentenceFor);
    sendKept({ kept: takeMarks(session.display_name), rows: data.rows, columns, grid, keep,
        before: (c) => said.set(c.key, { on: c.on, by: session.display_name }) });
    return [may ? el("div", { class: "no-print" }, when) : null, may ? line : null, grid, el("div", { class: "buttons no-print" }, printButtons())];
}

function classPart(context, data) {
    const { params, classId } = context;
    const areas = Object.keys(AREAS).filter((a) => data.statements.some((s) => s.area === a));
    if (!areas.length) {
        return el("p", null, "The school has no statements in use. The PE lead keeps the list.");
    }
    if (!data.rows.length) {
        return el("p", null, "No pupil in this class yet.");
    }
    const area = areas.indexOf(params.get("area")) >= 0 ? params.get("area") : areas[0];
    const pick = el("select", { id: "area", onchange: () => window.location.assign("/staff/statements?class=" + classId + "&area=" + pick.value) }, areas.map((a) => el("option", { value: a, selected: a === area }, AREAS[a])));
    return [
        areas.length > 1 ? el("div", { class: "field no-print" }, el("label", { for: "area" }, "Area"), pick) : null,
        area === "swimming" ? el("div", { class: "banner banner-careful" }, el("p", null, "Tick only what a qualified person saw in the water, under the school's own swimming and water-safety rules.")) : null,
        el("p", { class: "marks-note" }, "Yes or not yet, as seen at school; never set for home. An empty box says nothing: not looked for is not the same as not yet."),
        ticks(context, data, area)
    ];
}

/* The list itself, for the PE lead. */
async function listPart(box) {
    const redraw = () => listPart(box);
    const { statements } = await get("/statements");
    const one = (s) => {
        const words = el("input", { type: "text", maxlength: "200", value: s.text, "aria-label": "Words of: " + s.text });
        const reword = form({ class: "statement-words" }, async () => {
            await put("/statements/" + s.id, { text: words.value });
            await redraw();
            notice("Reworded.");
        }, words, el("button", { type: "submit", class: "button-second" }, "Reword"));
        return el("li", null, el("p", null, el("span", { class: "small quiet" }, AREAS[s.area] + (s.archived ? ", put away" : "")), el("br"), s.text),
            el("div", { class: "buttons-tight" }, action(s.archived ? "Bring back" : "Put away", async () => {
                await put("/statements/" + s.id, { archived: !s.archived });
                await redraw();
                notice(s.archived ? "Brought back." : "Put away. Ticks that were given stay in each child's record.");
            }, { class: "button-second", "aria-label": (s.archived ? "Bring back: " : "Put away: ") + s.text })),
            s.archived ? null : el("details", null, el("summary", { "aria-label": "Other words for: " + s.text }, "Other words"), el("p", { class: "small quiet" }, "Only while nobody is ticked against it."), reword));
    };
    const area = field({ label: "Area", choices: Object.keys(AREAS).map((a) => ({ value: a, text: AREAS[a] })), value: "other", id: "new-area" });
    const text = field({ label: "What a teacher can see a child do", type: "text", maxlength: "200", id: "new-text" });
    const open = Boolean(box.querySelector("details[open]")) || !new URLSearchParams(window.location.search).get("class");
    fill(box, el("details", { class: "panel part", open }, el("summary", null, el("h2", null, "The school's list")), el("p", { class: "small quiet" }, "At most 40 in use. Say what can be seen; nothing about health, needs or home."),
        el("ul", { class: "plain statement-list" }, statements.map(one)),
        form({}, async () => {
            await post("/statements", { area: area.control.value, text: text.control.value });
            await redraw();
            notice("Added.");
        }, el("div", { class: "fields-two" }, area, text), el("button", { type: "submit", class: "button" }, "Add a statement"))));
}

start(async ({ session, params, body }) => {
    const classId = params.get("class") || "";
    const lead = has(session, "pe_lead");
    const classes = (await get("/classes")).classes;
    const klass = classes.find((c) => c.id === classId);
    titled("Statements", klass ? klass.name : null);
    const listBox = el("section", { class: "no-print" });
    const data = classId ? await get("/statements?class=" + encodeURIComponent(classId)) : null;
    fill(body, data ? classPart({ session, params, classId }, data) : el("p", null, "Open a class to tick statements."),
        lead ? listBox : null,
        classId ? el("p", { class: "no-print" }, el("a", { href: "/staff/class?id=" + classId }, "Back to who's done it")) : null);
    if (lead) {
        await listPart(listBox);
    }
});
