/* SPDX-License-Identifier: MIT
 * One challenge: every child's tries as lanes, what they point to with reasons, what is to check,
 * and entry on a child's behalf. Sorted by name, never by a result. */

import { get, post } from "../api.js";
import { el, fill, banner } from "../dom.js";
import { start, titled, rightOn, has, action, notice } from "./shell.js";
import { STATES, ASIDE, COULD_NOT, VERSIONS, dayWords, count } from "./words.js";
import { lanes } from "../lanes.js";
import { shortValue, distance } from "../words.js";
import { entryForm } from "./entry.js";
import { suggestionBox, owesView } from "./suggestion.js";

const CHANGED = {
    first: "a first score", new_best: "a new own best", new_best_farther: "as good or better from farther away",
    first_at_distance: "first time at this distance", equal_best: "equals the own best", not_this_time: "own best stays"
};

const MARKS = { mistake: "says it is a mistake", keep: "kept", set_aside: "set aside", ask_again: "asked again" };

function setAside(handIn, redraw) {
    const why = el("select", { "aria-label": "Reason" }, Object.keys(ASIDE).map((k) => el("option", { value: k }, ASIDE[k])));
    return el("details", { class: "no-print" }, el("summary", null, "Check"),
        el("div", { class: "buttons" },
            action("Keep", async () => { await post("/hand-ins/" + handIn.id + "/keep"); await redraw(); }, { class: "button-second" }),
            action("Ask again", async () => { await post("/hand-ins/" + handIn.id + "/ask-again"); await redraw(); }, { class: "button-second" })),
        el("div", { class: "buttons" }, why,
            action("Set aside", async () => { await post("/hand-ins/" + handIn.id + "/set-aside", { reason: why.value }); await redraw(); }, { class: "button-careful" })));
}

function handInNotes(handIn, activity) {
    const version = activity.versions.find((v) => v.id === handIn.version);
    const from = Array.from(new Set(handIn.attempts.map((a) => a.distance_mm).filter(Boolean))).map(distance);
    const notes = [dayWords(handIn.done_on)];
    if (version && version.kind !== "standard") {
        notes.push(VERSIONS[version.kind] + " version");
    }
    if (from.length) {
        notes.push("from " + from.join(", "));
    }
    if (handIn.after_date) {
        notes.push("after the date");
    }
    if (handIn.channel === "paper" || handIn.channel === "staff") {
        notes.push(handIn.channel === "paper" ? "on paper" : "entered by staff");
    }
    if (handIn.could_not) {
        notes.push("could not: " + COULD_NOT[handIn.could_not]);
    }
    return notes.join(" · ");
}

function handInBox(handIn, activity, own, mayMark, redraw) {
    const state = handIn.state === "to_check" ? el("span", { class: "state state-to_check" }, "to check")
        : handIn.state === "set_aside" ? el("span", { class: "quiet" }, "set aside, counts for nothing") : null;
    const marks = handIn.marks.length ? el("p", { class: "small quiet" }, handIn.marks.map((m) => m.by + ": " + MARKS[m.mark] +
        (m.reason ? " (" + ASIDE[m.reason] + ")" : "") + ", " + dayWords(m.on)).join("; ")) : null;
    return el("div", { class: "hand-in" },
        handIn.attempts.length ? lanes({ attempts: handIn.attempts, best: handIn.best, activity, small: true }) : null,
        el("div", { class: "hand-in-notes" }, el("p", { class: "small" }, handInNotes(handIn, activity)), state ? el("p", { class: "small" }, state) : null,
            own, marks, mayMark ? setAside(handIn, redraw) : null));
}

function row(data, r, mayMark, redraw) {
    const activity = data.activity;
    const own = r.own_best && r.own_best.status ? el("p", { class: "small" }, CHANGED[r.own_best.status] +
        (r.own_best.before === null || r.own_best.value === null || r.own_best.status === "not_this_time" ? "" :
            " (" + shortValue(r.own_best.before, activity.unit) + " → " + shortValue(r.own_best.value, activity.unit) + ")")) : null;
    return el("tr", { id: "pupil-" + r.pupil.id },
        el("th", { scope: "row", class: "pin" }, el("a", { href: "/staff/pupil?id=" + r.pupil.id }, r.pupil.display_name)),
        el("td", { "data-label": "Done?" }, el("span", { class: "state state-" + r.state }, STATES[r.state]), r.could_not ? el("span", { class: "small quiet state-why" }, COULD_NOT[r.could_not]) : null),
        el("td", { class: "lanes-cell", "data-label": "Tries" }, r.hand_ins.map((h, i) => handInBox(h, activity, i === r.hand_ins.length - 1 ? own : null, mayMark, redraw))),
        el("td", { "data-label": "What the tries point to" }, r.second_view ? owesView() : r.suggestion ? suggestionBox(r.suggestion) : el("span", { class: "quiet" }, "nothing yet")));
}

function facts(data) {
    const c = data.challenge;
    const standard = data.activity.versions.find((v) => v.kind === "standard");
    return el("dl", { class: "facts facts-tight" },
        el("dt", null, "Classes"), el("dd", null, c.classes.map((k) => k.name).join(", ")),
        el("dt", null, "Dates"), el("dd", null, "opens " + dayWords(c.opens_at) + " · due " + dayWords(c.due_at) + " · closes " + dayWords(c.closes_at)),
        el("dt", null, "Unit"), el("dd", null, c.unit.name),
        el("dt", null, "Scoring"), el("dd", null, data.activity.scoring),
        standard && standard.band_lines.length ? [el("dt", null, "Band lines (standard)"),
            el("dd", null, standard.band_lines.map((v) => (data.activity.lower_is_better ? "" : "from ") + shortValue(v, data.activity.unit) + (data.activity.lower_is_better ? " or less" : "")).join(" · "))] : null);
}

async function helperPage(id, body, session) {
    const data = await get("/challenges/" + id);
    titled(data.activity.name, "Challenge " + data.challenge.number + " · enter a hand-in");
    const mine = data.challenge.classes.find((c) => rightOn(session, c.id));
    const { pupils } = await get("/classes/" + mine.id + "/pupils");
    fill(body, facts(data), el("section", { class: "panel" }, el("h2", null, "Enter for a child"),
        entryForm({ challenge: data.challenge, activity: data.activity, pupils: pupils.filter((p) => !p.left),
            done: (name) => notice("Stored for " + name + ".") })));
}

start(async ({ session, params, body }) => {
    const id = encodeURIComponent(params.get("id") || "");
    const classId = params.get("class") || "";
    const opened = await get("/challenges/" + id);
    const rights = opened.challenge.classes.map((c) => rightOn(session, c.id));
    const lead = has(session, "pe_lead");
    if (!lead && rights.indexOf("teach") < 0 && rights.indexOf("read") < 0) {
        await helperPage(id, body, session);
        return;
    }
    const mayMark = lead || rights.indexOf("teach") >= 0;
    const redraw = async () => {
        const data = await get("/challenges/" + id + "/results" + (classId ? "?class=" + encodeURIComponent(classId) : ""));
        titled(data.activity.name, "Challenge " + data.challenge.number);
        const check = data.rows.filter((r) => r.state === "to_check");
        const done = data.rows.filter((r) => r.state !== "not_yet" && r.state !== "could_not").length;
        fill(body, facts(data),
            el("p", null, done + " of " + count(data.rows.length, "child", "children") + " have sent tries."),
            check.length ? banner("careful", el("p", null, "To check: ", check.map((r, i) => [i ? ", " : "", el("a", { href: "#pupil-" + r.pupil.id }, r.pupil.display_name)]))) : null,
            data.rows.length ? el("div", { class: "table-box", tabindex: "0", role: "region", "aria-label": "Results" },
                el("table", { class: "table stack" },
                    el("thead", null, el("tr", null, el("th", { scope: "col", class: "pin" }, "Pupil"), el("th", { scope: "col" }, "Done?"),
                        el("th", { scope: "col" }, "Tries"), el("th", { scope: "col" }, "What the tries point to"))),
                    el("tbody", null, data.rows.map((r) => row(data, r, mayMark, redraw))))) : el("p", null, "No pupil in these classes yet."),
            el("p", { class: "small quiet" }, data.note),
            el("div", { class: "buttons no-print" }, data.challenge.classes.filter((c) => lead || rightOn(session, c.id)).map((c) =>
                el("a", { class: "button-second", href: "/staff/assess?unit=" + data.challenge.unit.id + "&class=" + c.id }, "Assess " + c.name))),
            rights.indexOf("teach") >= 0 ? el("section", { class: "panel no-print" }, el("h2", null, "Enter for a child"),
                entryForm({ challenge: data.challenge, activity: data.activity, pupils: data.rows.map((r) => r.pupil),
                    done: async (name) => { await redraw(); notice("Stored for " + name + "."); } })) : null);
    };
    await redraw();
});
