/* SPDX-License-Identifier: MIT
 * What was seen in lessons: pupils x teaching points of one activity, then its questions, then taking
 * part in the unit. Each tap is saved; nothing here is a mark out of anything, and nothing said stays
 * nothing said. */

import { get, post, put } from "../api.js";
import { el, fill, announce } from "../dom.js";
import { start, titled, rightOn, has, showError, clearError } from "./shell.js";
import { sentenceFor, dayWords } from "./words.js";
import { keeper } from "./keeper.js";
import { keepMarks, takeMarks } from "./kept.js";
import { marks, markKey, savedLine, printButtons, sendKept } from "./marks.js";

const SEEN = [
    { value: null, sign: "", word: "", long: "not looked for" },
    { value: true, sign: "✓", word: "seen", long: "seen", look: "yes" },
    { value: false, sign: "○", word: "not seen", long: "looked for, not seen", look: "no" }
];
const ANSWER = [
    { value: null, sign: "", word: "", long: "not asked" },
    { value: true, sign: "✓", word: "right", long: "right", look: "yes" },
    { value: false, sign: "○", word: "not yet", long: "not yet right", look: "no" }
];
const MOST = 200;

function columnsOf(data, activity, mayRecord, mayBand) {
    const of = (list) => list.filter((c) => c.activity === activity);
    const out = of(data.cues).map((c) => ({ key: "c" + c.id, id: c.id, kind: "seen", head: c.text, group: "Look for", states: SEEN, may: mayRecord, rest: "The rest seen" }));
    of(data.questions).forEach((q) => out.push({ key: "q" + q.id, id: q.id, kind: "answer", head: q.text, group: "Ask", states: ANSWER, may: mayRecord, rest: "The rest right" }));
    if (data.band_words) {
        const bands = data.band_words.map((word, i) => ({ value: i, sign: "", word, long: word, look: "band" }));
        out.push({ key: "part", id: null, kind: "part", head: "Taking part", group: "Lessons", broad: true, states: [{ value: null, sign: "", word: "", long: "nothing said" }, ...bands], may: mayBand, rest: null });
    }
    return out;
}

function valuesOf(data) {
    const values = new Map();
    data.rows.forEach((r) => {
        Object.keys(r.seen).forEach((id) => values.set(r.pupil.id + " c" + id, r.seen[id]));
        Object.keys(r.answers).forEach((id) => values.set(r.pupil.id + " q" + id, r.answers[id]));
        if (r.taking_part !== undefined) {
            values.set(r.pupil.id + " part", r.taking_part);
        }
    });
    return values;
}

async function send(unit, changes) {
    const [c] = changes;
    if (c.column.kind === "seen") {
        await post("/units/" + unit + "/seen", { marks: changes.map((m) => ({ pupil: m.pupil.id, cue: m.column.id, seen: m.value })) });
    } else if (c.column.kind === "answer") {
        await post("/units/" + unit + "/answers", { pupil: c.pupil.id, question: c.column.id, right: c.value });
    } else {
        await put("/units/" + unit + "/taking-part/" + c.pupil.id, { band: c.value });
    }
}

function together(changes) {
    return changes[0].column.kind === "seen" ? changes.filter((c) => c.column.kind === "seen").slice(0, MOST) : changes.slice(0, 1);
}

/* The unit of the newest challenge of the class, unless one is named. */
async function unitFor(params, classId, units) {
    if (params.get("unit")) {
        return params.get("unit");
    }
    const { challenges } = await get("/challenges?state=all&class=" + encodeURIComponent(classId));
    return challenges.length ? challenges[0].unit.id : units.length ? units[0].id : "";
}

function emptyWords(data, activities, classId) {
    if (!data.rows.length) {
        return el("p", null, "No pupil in this class yet.");
    }
    return activities.length ? null : el("p", null, "This unit has no activity for this class yet: nothing to look for. ", el("a", { href: "/staff/set?class=" + classId }, "Set an activity"));
}

function pickers(params, units, data, activities, at, go) {
    const unit = el("select", { id: "unit", onchange: () => go(unit.value, 0) }, units.map((u) => el("option", { value: u.id, selected: u.id === data.unit.id }, u.name)));
    const activity = el("select", { id: "activity", onchange: () => go(data.unit.id, activity.selectedIndex) }, activities.map((a, i) => el("option", { value: String(i), selected: i === at }, a)));
    return el("div", { class: "field-row no-print" },
        el("div", { class: "field" }, el("label", { for: "unit" }, "Unit"), unit),
        activities.length ? el("div", { class: "field" }, el("label", { for: "activity" }, "Activity"), activity) : null);
}

function page(context, data) {
    const { classId, klass, units, params, session, body } = context;
    const unit = encodeURIComponent(data.unit.id);
    const right = rightOn(session, classId);
    const activities = Array.from(new Set(data.cues.concat(data.questions).map((c) => c.activity)));
    const asked = Number(params.get("activity"));
    const at = params.get("activity") !== null && asked >= 0 && asked < activities.length ? asked : activities.length - 1;
    const columns = columnsOf(data, activities[at], right === "teach" || right === "help", right === "teach");
    const values = valuesOf(data);
    const saved = new Map(values);
    let grid = null;
    const line = savedLine(() => keep.now());
    let shownTrouble = false;
    const keep = keeper({
        batch: together,
        send: async (changes) => {
            await send(unit, changes);
            changes.forEach((c) => saved.set(c.key, c.value));
        },
        refused: (c, error) => {
            if (values.get(c.key) === c.value) {
                grid.put(c.pupil, c.column, saved.has(c.key) ? saved.get(c.key) : null);
            }
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
    const unsaved = (key) => keep.inTrouble() && keep.unsaved(key);
    grid = marks({ rows: data.rows, columns, values, unsaved, change: (pupil, column, value) => {
        clearError();
        keep.put({ key: markKey(pupil, column), pupil, column, value });
    } });
    line.tell({ waiting: 0 }, sentenceFor);
    const go = (toUnit, activity) => window.location.assign("/staff/seen?unit=" + toUnit + "&class=" + classId + (toUnit === data.unit.id ? "&activity=" + activity : ""));
    const mayRecord = columns.some((c) => c.may);
    const empty = emptyWords(data, activities, classId);
    titled("Teaching points seen", data.unit.name + (klass ? " · " + klass.name : ""));
    fill(body, pickers(params, units, data, activities, at, go),
        activities.length ? el("p", { class: "only-print marks-sheet-head" }, (activities[at] || "") + " · " + dayWords(new Date().toISOString())) : null,
        el("p", { class: "marks-note" }, el("strong", null, "Not looked for is not the same as not seen. "),
            el("span", { class: "no-print" }, mayRecord ? "Tap a box to go round: nothing, ✓ seen, ○ looked for and not seen. " : "You can read this, not change it."),
            mayRecord ? el("span", { class: "no-print with-keys" }, "With a keyboard: arrow keys move, Enter or Space changes. ") : null,
            el("span", { class: "only-print" }, "✓ seen, or right. ○ looked for and not seen, or not yet right. Empty: not looked for, not asked.")),
        el("p", { class: "small marks-caution" }, "Check the space and the kit before you start; stop if something hurts. The school's own rules for PE, and its safeguarding lead, come first."),
        empty || [mayRecord ? line : null, grid, el("div", { class: "buttons no-print" }, printButtons())],
        el("p", { class: "small quiet no-print" }, "What you record here stands beside the tries at unit end and in the next lesson; nothing here makes a band by itself. ", el("a", { href: "/staff/words" }, "What the words mean")),
        el("p", { class: "no-print links-line" }, right === "teach" || right === "read" || has(session, "pe_lead")
            ? [el("a", { href: "/staff/assess?unit=" + data.unit.id + "&class=" + classId }, "Assess this unit"), " · ", el("a", { href: "/staff/statements?class=" + classId }, "Statements"), " · "] : null,
        el("a", { href: "/staff/class?id=" + classId }, "Back to who's done it")));
    sendKept({ kept: takeMarks(session.display_name), rows: data.rows, columns, grid, keep });
}

start(async ({ session, params, body }) => {
    const classId = params.get("class") || "";
    const { units } = await get("/units");
    const unit = await unitFor(params, classId, units);
    if (!unit) {
        fill(body, el("p", null, "There is no unit yet. ", el("a", { href: "/staff/set?class=" + classId }, "Set an activity")));
        return;
    }
    const data = await get("/units/" + encodeURIComponent(unit) + "/seen?class=" + encodeURIComponent(classId));
    const klass = (await get("/classes")).classes.find((c) => c.id === classId);
    const known = units.some((u) => u.id === data.unit.id) ? units : [data.unit, ...units];
    page({ classId, klass, units: known, params, session, body }, data);
});
